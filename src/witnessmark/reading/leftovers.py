"""Work that a talk leaves undone in so many words: "still to do", "never got round to", "haven't been touched".

In: a passage, its goods and its acts. Out: `Leftover` values for work that no act tells as open. Never: advice, a
general hope, or work that the same stretch tells as done.
"""
from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from spacy.tokens import Span, Token

from witnessmark.model import Act
from witnessmark.reading.defects import phrase, says
from witnessmark.reading.goods import Goods, Mention
from witnessmark.reading.text import Passage
from witnessmark.reading.utterances import utterances

OBJECT_WITHIN = 7  # tokens between a verb of work and the thing it is to be done to
SHORT_WITHIN = 6  # tokens behind "short of" in which the goods are named
OPEN = ("planned", "not-done")
ERRANDS = frozenset({"buy", "order", "get", "pick", "find", "source", "call", "ring", "ask", "pay", "send", "phone", "grab", "show", "tell", "see"})
STATES = ("VBN", "VBG", "VB", "NN")  # tags in which a verb of work may stand behind "still needs"


@dataclass(frozen=True, slots=True)
class Leftover:
    """Work left undone, told in cue `cue`: its part, its task where a verb names it, and the rule that told of it."""

    cue: int
    part: str
    task: str | None
    rule: str


def find_leftovers(passage: Passage, goods: Goods, acts: Sequence[Act]) -> tuple[Leftover, ...]:
    """The work left undone that no open act of its cue tells of, in order."""
    told = {act.cue for act in acts if act.status in OPEN}
    found: list[Leftover] = []
    for stretch in utterances(passage):
        cue = passage.cue_of(stretch[0])
        if cue in told or says("generic", stretch.text):
            continue
        found += _of_stretch(stretch, goods, cue)
    return tuple(found)


def find_used_up(passage: Passage, goods: Goods) -> Iterator[tuple[int, Mention]]:
    """Goods told to be used up, with their cue: "out of masking tape", "we're short of bolts", "down to three clecos"."""
    for stretch in utterances(passage):
        text = stretch.text.lower().replace("’", "'")
        match = phrase("used_up").search(text) or phrase("used_up_opening").match(text)
        if match is None or says("generic", text):
            continue
        start = _token_at(stretch, match.end())
        named = [mention for mention in goods.terms_between(start, min(start + SHORT_WITHIN, stretch.end)) if _is_used(mention, goods)]
        if named and not any(token.is_punct or (token.pos_ in ("VERB", "ADP") and token.lower_ != "of") for token in stretch.doc[start : named[0].start]):
            yield passage.cue_of(stretch.doc[named[0].head]), named[0]


def _is_used(mention: Mention, goods: Goods) -> bool:
    """True for what is used up: consumables, material, hardware, clecos; not a part that stands there once."""
    return goods.lexicon.category(mention.name) in ("consumable", "material", "hardware", "tool", "safety-gear")


def _of_stretch(stretch: Span, goods: Goods, cue: int) -> Iterator[Leftover]:
    text = stretch.text.lower().replace("’", "'")
    ahead = phrase("left_before").search(text)
    behind = phrase("left_behind").search(text)
    if ahead:
        start = _token_at(stretch, ahead.end())
        if start < stretch.end and stretch.doc[start].lemma_.lower() in ERRANDS:
            return
        jobs = list(_jobs(stretch.doc[start : stretch.end], goods))
        yield from (Leftover(cue, mention.name, task, "left-undone") for task, mention in jobs)
        if jobs:
            return
        named = [mention for mention in goods.terms_between(start, stretch.end) if _is_worked_on(mention, goods)]
        if named:
            yield Leftover(cue, named[0].name, None, "left-undone")
    elif behind:
        start = _token_at(stretch, behind.start())
        named = [mention for mention in goods.terms_between(stretch.start, start) if _is_worked_on(mention, goods)]
        if named:
            yield Leftover(cue, named[0].name, _task_of(stretch.doc[start : stretch.end], goods), "left-undone")


def _token_at(stretch: Span, character: int) -> int:
    return next((token.i for token in stretch if token.idx - stretch.start_char >= character), stretch.end)


def _jobs(span: Span, goods: Goods) -> Iterator[tuple[str, Mention]]:
    """Each verb of work with what it is to be done to: "deburr the ribs, prime the spar"."""
    verbs = [token for token in span if goods.lexicon.verb_of(token) and token.tag_ not in ("VBN", "VBD")]
    for at, verb in enumerate(verbs):
        until = verbs[at + 1].i if at + 1 < len(verbs) else min(verb.i + 1 + OBJECT_WITHIN, span.end)
        named = [mention for mention in goods.terms_between(verb.i + 1, until) if _is_worked_on(mention, goods)]
        task = _task(verb, goods)
        if named and task:
            yield task, named[0]


def _task_of(span: Span, goods: Goods) -> str | None:
    """The task of "still needs sanding", "still need bolted in"."""
    return next((task for token in span if token.tag_ in STATES and (task := _task(token, goods))), None)


def _task(token: Token, goods: Goods) -> str | None:
    verb = goods.lexicon.verb_of(token)
    forms = goods.lexicon.task_forms(verb) if verb else ()
    return forms[0].task if forms else None


def _is_worked_on(mention: Mention, goods: Goods) -> bool:
    """True for a part or an assembly; tools and paint are worked with."""
    kind = mention.term.kind if mention.term else None
    return kind in ("part", "assembly", "designation") or goods.lexicon.category(mention.name) in ("part", "hardware")
