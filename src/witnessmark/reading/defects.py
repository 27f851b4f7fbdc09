"""Defects that a builder sees: a crack, a gap, a leak, a thing that rubs or is missing, on a part.

In: a passage. Out: `Defect` values: the word that tells it, and the stretch in which its part is named. A defect is
one that is there now: not feared, not a rule for others, not one that was put right.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources

from spacy.tokens import Doc, Span, Token

from witnessmark.model import Act
from witnessmark.reading.goods import Goods, Mention
from witnessmark.reading.services import is_promised
from witnessmark.reading.text import Passage
from witnessmark.reading.utterances import utterances
from witnessmark.trade.inflect import singular

PLACES = frozenset(
    {"in", "on", "at", "of", "along", "across", "under", "near", "around", "between", "by", "down", "inside", "from"}
)
REPAIRED_WITHIN = 2  # cues after a defect in which its repair takes it off the list
STILL_WITHIN = 4  # tokens after a stretch in which "still there" may follow
BACK = 3  # tokens before a defect's word in which its negation stands


@dataclass(frozen=True, slots=True)
class Defect:
    """A defect told at token `token`, on `part` (None if no part is named near it); `rule` names what told it."""

    token: int
    part: str | None
    rule: str
    mention: Mention | None = None


@functools.cache
def listed(name: str) -> frozenset[str]:
    """One list of data/open_items.toml."""
    text = resources.files("witnessmark.reading").joinpath("data/open_items.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)[name])


@functools.cache
def phrase(name: str) -> re.Pattern[str]:
    """A list of phrases of data/open_items.toml as one pattern over lower-case text."""
    phrases = sorted(listed(name), key=len, reverse=True)
    starts = (rf"{'' if phrase[0] == chr(39) else '(?<!' + chr(92) + 'w)'}{re.escape(phrase)}" for phrase in phrases)
    return re.compile("(?:" + "|".join(starts) + r")(?!\w)")


def says(name: str, text: str) -> bool:
    """True where a text has one of the phrases of a list of data/open_items.toml."""
    return bool(phrase(name).search(text.lower().replace("’", "'")))


def find_defects(passage: Passage, goods: Goods, acts: Sequence[Act]) -> tuple[Defect, ...]:
    """The defects of a passage that are there now, in order, one for each part in a stretch."""
    stretches = utterances(passage)
    found: list[Defect] = []
    for number, stretch in enumerate(stretches):
        before = stretches[max(number - 2, 0) : number]
        defect = _in_stretch(stretch, before, goods) or _fault(stretch, before, stretches[number + 1 : number + 3], goods)
        if defect is None or _is_repaired(defect, passage, stretches[number : number + 2], acts):
            continue
        if not any(_same(defect, other) and abs(defect.token - other.token) < 60 for other in found):
            found.append(defect)
    return tuple(found)


_PRESENT = re.compile(r"\b(?:is|are|isn't|aren't|doesn't|don't|won't|has|have)\b|(?:'s|'re)\b")


def _fault(stretch: Span, before: Sequence[Span], following: Sequence[Span], goods: Goods) -> Defect | None:
    """A fault told in so many words ("doesn't line up"), or a mistake that is still to be put right."""
    text = stretch.text.lower().replace("’", "'")
    now, made = phrase("faults_now").search(text), phrase("faults_made").search(text)
    text = re.sub(r"\btoo \w+ an? \w+", " ", text)  # "too tight a radius" says why, not what is wrong
    if says("generic", text) or says("repaired", text) or (now is None and made is None):
        return None
    later = " ".join(span.text.lower().replace("’", "'") for span in following)
    fits = now is not None and (_PRESENT.search(text) is not None or len(text.split()) <= 4)
    if not fits and not says("to_be_put_right", f"{text} {later}"):
        return None
    at = (now or made).start()  # type: ignore[union-attr]
    token = next((token for token in stretch if token.idx - stretch.start_char >= at), stretch[0])
    feared = says("not_now", stretch.doc[stretch.start : token.i].text) and not text.startswith("i'd")
    if feared or any(token.doc[i].lower_ in ("bought", "ordered", "sent", "returned") for i in range(stretch.start, stretch.end)):
        return None
    mention = _part_of(token, stretch, before, goods, "fault")
    return Defect(token.i, mention.name if mention else None, "fault-told", mention)


def _same(one: Defect, other: Defect) -> bool:
    return one.part is None or other.part is None or one.part.split()[-1] == other.part.split()[-1]


def _in_stretch(stretch: Span, before: Sequence[Span], goods: Goods) -> Defect | None:
    for token in stretch:
        rule = _tells(token, stretch, goods)
        if rule:
            mention = _part_of(token, stretch, before, goods, rule)
            if rule == "piece-missing" and not _is_small_part(token, stretch, goods):
                continue
            return Defect(token.i, mention.name if mention else None, rule, mention)
    return None


def _is_small_part(token: Token, stretch: Span, goods: Goods) -> bool:
    """What is missing in its place is hardware: a pin, a nut, a screw; other things were never there."""
    named = goods.terms_between(token.i, min(token.i + 6, stretch.end)) or goods.terms_between(stretch.start, token.i)
    return bool(named) and goods.lexicon.category(named[0].name) == "hardware"


def _tells(token: Token, stretch: Span, goods: Goods) -> str | None:
    """The rule by which a word tells of a defect here and now, or None."""
    rule = _may_tell(token, stretch)
    if rule is None or not _is_here_and_now(token, stretch):
        return None
    if rule == "defect-noun":
        return rule if _is_reported(token, token.doc, stretch) else None
    if rule == "defect-state":
        return rule if _is_predicate(token, _clause(token, stretch)) else None
    if rule == "defect-verb":
        return rule if _is_its_verb(token) or _is_said_of_a_thing(token, goods) else None
    return None if rule == "piece-missing" and is_promised(stretch.text) else rule.removesuffix("-phrase")


def _may_tell(token: Token, stretch: Span) -> str | None:
    """The rule that a word by itself calls for; cheap, since nearly all words call for none."""
    doc, word = token.doc, token.lower_
    before = f"{doc[token.i - 1].lower_} {word}" if token.i else word
    after = f"{word} {doc[token.i + 1].lower_}" if token.i + 1 < len(doc) else word
    if word in listed("defect_verbs") and not (token.pos_ == "NOUN" and token.tag_ == "NN"):
        return "defect-verb"
    if token.pos_ in ("NOUN", "PROPN") and {singular(word), before} & listed("defect_nouns"):
        return "defect-noun"
    if word in listed("defect_states"):
        return "defect-state"
    if after in listed("defect_verbs") and token.i and doc[token.i - 1].pos_ in ("NOUN", "PROPN", "PRON", "NUM"):
        return "defect-verb-phrase"
    ahead = doc[token.i : min(token.i + 4, stretch.end)].text.lower().replace("’", "'")
    return "piece-missing" if phrase("missing").match(ahead) else None


def _is_here_and_now(token: Token, stretch: Span) -> bool:
    """Not feared, not a rule for others, not denied, not put right."""
    clause = _clause(token, stretch)
    feared = says("not_now", token.doc[clause.start : token.i].text) or says("generic", clause.text)
    return not feared and not says("repaired", stretch.text) and not _is_negated(token, clause)


def _clause(token: Token, stretch: Span) -> Span:
    """The words around a token up to the commas and stops of its stretch."""
    doc = token.doc
    start, end = token.i, token.i + 1
    while (
        start > stretch.start
        and doc[start - 1].text not in (",", ";", ".", "?", "!", ":")
        and doc[start - 1].lower_ not in ("but", "so")
    ):
        start -= 1
    while (
        end < stretch.end
        and doc[end].text not in (",", ";", ".", "?", "!", ":")
        and doc[end].lower_ not in ("but", "so")
    ):
        end += 1
    return doc[start:end]


def _is_negated(token: Token, clause: Span) -> bool:
    near = [word.lower_ for word in clause if token.i - BACK - 1 <= word.i < token.i]
    return bool(set(near) & listed("negations")) and token.lower_ not in ("missing",)


def _is_reported(token: Token, doc: Doc, stretch: Span) -> bool:
    """ "There's a crack", "it has a dent", "a nick, an inch long": not "the crack" of before, not a noun of work."""
    before = [doc[i].lower_ for i in range(max(token.i - 4, stretch.start), token.i)]
    article = bool({"a", "an", "some", "another", "two", "three", "this", "little", "slight"} & set(before[-3:]))
    pointed = says("pointing", doc[stretch.start : token.i + 1].text)
    plural = singular(token.lower_) != token.lower_
    told_of = (
        article
        or plural
        or singular(token.lower_) in listed("uncountable")
        or any(c.dep_ in ("det", "nummod") for c in token.children)
    )
    ahead = doc[stretch.start : min(stretch.end + STILL_WITHIN, len(doc))]
    still = bool(re.search(r"\bstill\b", ahead.text.lower()))
    if before[-1:] and before[-1] in ("that", "the", "those") and not still:
        return False
    if still and before[-1:] and before[-1] in ("that", "the", "those"):
        return True
    if singular(token.lower_) in listed("weak_nouns"):
        return article and pointed
    return (pointed and told_of) or (article and _opens(token, stretch))


def _opens(token: Token, stretch: Span) -> bool:
    """True where a fragment begins with the defect ("A crack, maybe an inch, at the corner of the rib")."""
    return token.i - stretch.start <= 4 and not any(
        word.dep_ in ("nsubj", "aux") and word.i < token.i for word in stretch
    )


def _is_predicate(token: Token, clause: Span) -> bool:
    """ "The hole is egged", "it's bowed", "a loose terminal"; not "the bent tube" of before."""
    doc = token.doc
    before = [doc[i].lower_ for i in range(max(token.i - 4, clause.start), token.i)]
    if set(before) & {"is", "are", "'s", "'re", "looks", "feels", "seems", "sits", "still"} and not set(before) & {
        "being",
        "been",
        "be",
        "get",
        "gets",
    }:
        by = any(word.lower_ in ("by", "over", "with", "around") for word in doc[token.i + 1 : token.i + 3])
        return not by and (token.lower_ not in listed("weak_states") or _after_copula(token))
    attributive = token.i + 1 < len(doc) and doc[token.i + 1].pos_ in ("NOUN", "PROPN")
    return (
        attributive
        and bool({"a", "an", "one", "two", "some"} & set(before[-2:]))
        and says("pointing", doc[clause.start : token.i].text)
    )


def _after_copula(token: Token) -> bool:
    """ "It is bent", "it's all bent"; not "it's lying flat", "it is riveted flat"."""
    at = token.i - 1
    while at > 0 and token.doc[at].pos_ in ("ADV", "DET", "ADJ", "NUM"):
        at -= 1
    return (
        at >= 0
        and token.doc[at].lower_ in ("is", "are", "'s", "'re", "looks", "feels", "seems", "sits")
        and token.tag_ != "VBD"
    )


def _is_said_of_a_thing(token: Token, goods: Goods) -> bool:
    """True right behind a known thing, whatever the tagger makes of the two ("the brake caliper leaks")."""
    plural = singular(token.lower_) != token.lower_
    return plural and any(mention.end == token.i for mention in goods.terms_between(token.i - 1, token.i))


def _is_its_verb(token: Token) -> bool:
    """True where a thing does it now: present tense, no person as subject."""
    if token.pos_ == "NOUN" and token.tag_ != "NNS":
        return False
    subject = next((child for child in token.children if child.dep_ == "nsubj"), None)
    before = token.nbor(-1) if token.i else token
    if before.pos_ in ("NUM", "DET", "ADJ") and token.tag_ == "NNS" and before.lower_ != "one":
        return False
    subject = subject or (before if before.pos_ in ("NOUN", "PRON", "NUM", "PROPN") else None)
    if subject is None or (
        subject.lower_ in ("i", "we", "you", "he", "she", "they", "people") and token.lower_ not in ("leak",)
    ):
        return False
    if subject.ent_type_ == "PERSON" or before.lower_ in ("to", "the", "a"):
        return False
    return token.tag_ in ("VBZ", "VBP", "NNS", "VBG") or token.lower_ in ("leak",)


def _part_of(token: Token, stretch: Span, before: Sequence[Span], goods: Goods, rule: str) -> Mention | None:
    """The part that has the defect: after "in" or "on" behind its word, else before it, else the topic before."""
    after = [mention for mention in goods.terms_between(token.i + 1, stretch.end) if _after_place(mention, token)]
    near = list(goods.terms_between(stretch.start, token.i))
    if rule == "defect-noun" and after:
        return after[0]
    if near:
        return near[-1]
    if after:
        return after[0]
    following = goods.terms_between(token.i + 1, min(token.i + 4, stretch.end))
    if following and token.tag_ in ("VBN", "JJ"):
        return following[0]
    for previous in reversed(before):
        named = goods.terms_between(previous.start, previous.end)
        if named:
            return named[0]
    return None


def _after_place(mention: Mention, token: Token) -> bool:
    doc = token.doc
    words = {doc[i].lower_ for i in range(max(token.i + 1, mention.start - 4), mention.start)}
    return bool(words & PLACES)


def _is_repaired(defect: Defect, passage: Passage, following: Sequence[Span], acts: Sequence[Act]) -> bool:
    """True where the same talk tells right after that it was put right."""
    cue = passage.cue_of(passage.doc[defect.token])
    if any(says("repaired", stretch.text) for stretch in following):
        return True
    last = defect.part.split()[-1] if defect.part else None
    for act in acts:
        if defect.rule == "fault-told" and act.cue == cue:
            continue  # the act is the mistake itself
        same = act.part is None or last is None or singular(act.part.split()[-1]) == last
        if (
            act.status == "done"
            and act.who == "builder"
            and 0 <= act.cue - cue <= REPAIRED_WITHIN
            and same
            and act.task in listed("remedies")
            and _later_told(act, defect, passage)
        ):
            return True
    return False


def _later_told(act: Act, defect: Defect, passage: Passage) -> bool:
    """True where the act is told after the defect, as far as cues can tell."""
    cue = passage.cue_of(passage.doc[defect.token])
    if act.cue > cue:
        return True
    offset = defect.token - next(token.i for token in passage.doc if passage.cue_of(token) == cue)
    return offset < 8
