"""Why a record says what it says: the sentence at a moment, its parse in plain words, its records and their rules."""
from __future__ import annotations

from dataclasses import dataclass

from spacy.tokens import Span, Token

from witnessmark.model import Act, Session
from witnessmark.reading.acts import ActFinder
from witnessmark.reading.clauses import Clause
from witnessmark.reading.dates import find_times
from witnessmark.reading.grammar import VerbGroup
from witnessmark.reading.memory import Memory
from witnessmark.reading.standing import rules
from witnessmark.reading.text import Passage, parse
from witnessmark.trade.lexicon import Lexicon

# What the families of rule names mean, for the rules that no data file describes one by one.
FAMILIES = {"part": "what thing is meant", "assembly": "which assembly it belongs to", "side": "which side",
            "time": "the date, from the words of time", "count": "how many"}
OWN_RULES = {"own-day": "no time was said: the day of the recording",
             "story-goes-on": "the story goes on from the sentence before: the same day",
             "maker-earlier": "its maker did it: some day before the recording"}


@dataclass(frozen=True)
class Explanation:
    """The sentence spoken at a moment, `parse` one plain line a clause, the acts from it, and each rule explained."""

    sentence: str
    parse: tuple[str, ...]
    acts: tuple[Act, ...]
    rules: dict[str, str]


def explain(session: Session, lexicon: Lexicon, memory: Memory, at: float) -> Explanation:
    """What is said at `at` (seconds from the start), how it was read, and what came of it.

    `memory` is that of the sessions before, as for `read`. An `at` before the first cue means the first.
    """
    passage = parse(session.transcript, memory)
    finder = _finder(passage, session, lexicon, memory)
    acts = finder.find()
    if not len(passage.doc):
        return Explanation("", (), (), {})
    sentence = _sentence_at(passage, at)
    cues = {passage.cue_of(token) for token in sentence}
    mine = tuple(act for act in acts if act.cue in cues)
    named = dict.fromkeys(rule for act in mine for rule in act.rules)
    return Explanation(sentence.text.strip(), tuple(_lines(sentence, finder)), mine,
                       {rule: describe(rule) for rule in named})


def parse_lines(session: Session, lexicon: Lexicon, memory: Memory) -> dict[int, list[str]]:
    """Cue number → how each clause of work in it was read, one plain line each."""
    passage = parse(session.transcript, memory)
    finder = _finder(passage, session, lexicon, memory)
    found: dict[int, list[str]] = {}
    for clause in finder.clauses:
        found.setdefault(passage.cue_of(clause.verb), []).append(_line(clause, finder))
    return found


def describe(rule: str) -> str:
    """One plain line on a rule by its name; never fails, an unknown name is given in words."""
    if rule in rules():
        return str(rules()[rule]["says"])
    if rule in OWN_RULES:
        return OWN_RULES[rule]
    family, _, rest = rule.partition("-")
    words = rest.replace("-", " ")
    return f"{FAMILIES[family]}: {words}" if family in FAMILIES and words else rule.replace("-", " ")


def _finder(passage: Passage, session: Session, lexicon: Lexicon, memory: Memory) -> ActFinder:
    return ActFinder(passage, lexicon, memory, session.day, find_times(passage, session.recorded))


def _sentence_at(passage: Passage, at: float) -> Span:
    """The sentence at a moment; within a cue, by the share of the cue's time that has passed."""
    number = max((i for i, cue in enumerate(passage.cues) if cue.start <= at), default=0)
    cue, offset = passage.cues[number], passage.offsets[number]
    passed = (at - cue.start) / (cue.end - cue.start) if cue.end > cue.start else 0.0
    character = offset + int(min(max(passed, 0.0), 0.999) * max(len(cue.text.strip()), 1))
    token = next((t for t in passage.doc if t.idx + len(t.text) > character), passage.doc[-1])
    return token.sent


def _lines(sentence: Span, finder: ActFinder) -> list[str]:
    inside = [clause for clause in finder.clauses if sentence.start <= clause.verb.i < sentence.end]
    return [_line(clause, finder) for clause in inside] or ["no work of the trade is told here"]


def _line(clause: Clause, finder: ActFinder) -> str:
    """ "“drilled” (drill) done to “front spar”, by “I”; past tense: done, by the builder"."""
    judged = finder.judged(clause)
    verb = clause.verb.text + (f" {clause.particle}" if clause.particle else "")
    things = ", ".join(f"“{_phrase(thing)}”" for thing in clause.objects) or "what was spoken of before"
    subject = clause.group.subject
    doer = f", subject “{_phrase(subject)}”" if subject is not None and subject not in clause.objects else ""
    stands = judged.status or "no statement"
    whose = f", by the {judged.who}" if judged.who and judged.status else ""
    return f"“{verb}” ({clause.task}) on {things}{doer}; {_grammar(clause.group)}: {stands}{whose}"


def _phrase(head: Token) -> str:
    kept = [t for t in head.subtree if head.i - 4 <= t.i <= head.i and t.dep_ not in ("punct", "relcl")]
    return " ".join(t.text for t in kept) or head.text


def _grammar(group: VerbGroup) -> str:
    """The verb group in plain words: "past, passive, negated"."""
    words = [f"{group.tense} tense" if group.tense != "none" else group.form]
    words += [name for name in ("perfect", "progressive", "passive") if getattr(group, name)]
    if group.modal:
        words.append(f"with a modal ({group.modal})")
    if group.negation is not None:
        words.append("negated")
    return ", ".join(words)
