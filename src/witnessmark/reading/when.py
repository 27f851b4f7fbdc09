"""Which time a clause of work belongs to: its own, its sentence's, or the one that the narrative is at.

Times are found by `dates`; here they are attached. The order is clause, coordinated or governing clause, sentence,
a following "that was Saturday", then the narrative: after "then" or "after that" the day goes on, and without any
such word the talk is of its own day.
"""
from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from spacy.tokens import Doc, Span, Token

from witnessmark.reading.dates import TimeMention

CONTINUES = frozenset({"then", "after", "afterwards", "afterward", "next", "also", "and", "so", "plus"})
BREAKS = frozenset({"but", "now", "okay", "ok"})
ADDS = frozenset({"all", "both", "the", "of", "them", "that", "lot", "whole", "this", "on", "just", "each", "every", "one"})
PAST_KINDS = frozenset({"past", "present"})


@dataclass(frozen=True, slots=True)
class When:
    """A date as EDTF with the rule that attached it and how sure that is. `explicit` if a time was said for it."""

    edtf: str | None
    rule: str
    sure: float = 1.0
    explicit: bool = False
    kind: str = "present"


class Calendar:
    """The times of one passage, asked by verb. `day` is the recording's own."""

    def __init__(self, doc: Doc, times: Sequence[TimeMention], day: dt.date) -> None:
        self.doc, self.day = doc, day
        self.times = [time for time in times if time.edtf or time.kind == "future"]

    @property
    def before(self) -> str:
        """Known only to be earlier than the recording."""
        return f"../{self.day - dt.timedelta(days=1):%Y-%m-%d}"

    def of(self, verb: Token, others: Iterable[Token]) -> TimeMention | None:
        """The time said for a verb in its own sentence; `others` are the other predicates of work in it."""
        verbs = {other.i for other in others if other.i != verb.i}
        inside = [time for time in self.times if verb.sent.start <= time.start < verb.sent.end]
        direct = [time for time in inside if self._owner(time, verbs | {verb.i}) == verb.i]
        if direct:
            return self._nearest(direct, verb)
        shared = [time for time in inside if self._reaches(time, verb, verbs)]
        return self._nearest(shared, verb) if shared else None

    def with_verb(self, verb: Token) -> TimeMention | None:
        """The time that hangs on the verb itself, with no other verb between."""
        for time in self.times:
            if verb.sent.start <= time.start < verb.sent.end:
                at = self.doc[time.start:time.end].root
                while at.head != at and at != verb and at.pos_ not in ("VERB", "AUX"):
                    at = at.head
                if at == verb:
                    return time
        return None

    def is_tonight(self, time: TimeMention) -> bool:
        """True for "tonight", "this evening": a day's rest that is still to come while one speaks."""
        return self.doc[time.start:time.end].text.lower() in ("tonight", "this evening", "later today", "later tonight")

    def _owner(self, time: TimeMention, verbs: set[int]) -> int | None:
        """The predicate that a time depends on, through whatever stands between."""
        token = self.doc[time.end - 1]
        head = self._head_of(time)
        at = head if head is not None else token
        for _ in range(12):
            if at.i in verbs:
                return at.i
            if at.head == at:
                return None
            at = at.head
        return None

    def _head_of(self, time: TimeMention) -> Token | None:
        span = self.doc[time.start:time.end]
        return span.root

    def _reaches(self, time: TimeMention, verb: Token, verbs: set[int]) -> bool:
        """True where no other predicate stands between: a time at the front serves the whole sentence."""
        low, high = sorted((time.start, verb.i))
        between = [at for at in verbs if low < at < high]
        if not between:
            owner = self._owner(time, verbs | {verb.i})
            return owner in (None, verb.i) or not verb.i < time.start < owner  # "sanded, and yesterday painted"
        owner = self._owner(time, verbs | {verb.i})
        if owner is None:
            return False
        if time.start < verb.i:
            return _coordinated(self.doc[owner], verb)
        return _coordinated(verb, self.doc[owner]) and self._shares_rest(verb, owner)

    def _shares_rest(self, verb: Token, last: int) -> bool:
        """ "Bent it and welded it last month": verbs without a thing of their own share what follows."""
        return all(token.pos_ in ("CCONJ", "ADV", "VERB", "AUX", "PUNCT", "PRON", "PART") for token in self.doc[verb.i + 1:last])

    def _nearest(self, times: list[TimeMention], verb: Token) -> TimeMention:
        return min(times, key=lambda time: (abs(time.start - verb.i)))

    def is_set_for(self, time: TimeMention) -> bool:
        """True for "for Sunday", "for this Friday": a day that work is put down for, not a day on which it was done."""
        opening = self.doc[time.start]
        before = opening if opening.lower_ == "for" else self.doc[time.start - 1] if time.start else opening
        return before.lower_ == "for" and time.edtf is not None and "/" not in time.edtf

    def later_comment(self, sentence: Span) -> TimeMention | None:
        """The time of a following "That was Saturday", which dates what was told just before."""
        words = [t.lower_ for t in sentence if not t.is_punct]
        if not words or len(words) > 14 or words[0] not in (
                "that", "it", "this", "those", "took"):
            return None
        if words[0] == "took" or (words[1:2] and words[1] in ("was", "were", "'s", "is")) or words[:2] == ["that", "one"]:
            inside = [t for t in self.times if sentence.start <= t.start < sentence.end and t.kind in PAST_KINDS]
            return inside[0] if inside else None
        return None


    def afterthought(self, sentence: Span) -> TimeMention | None:
        """The past time of a sentence without a verb that adds to the one before: "All nine, last night." """
        words = [t for t in sentence if not t.is_punct and not t.is_space]
        if not words or len(words) > 12 or any(t.pos_ in ("VERB", "AUX") for t in words):
            return None
        inside = [t for t in self.times if sentence.start <= t.start < sentence.end]
        first = inside[0] if inside and inside[0].kind in PAST_KINDS else None
        lead = [t for t in words if first is not None and t.i < first.start]
        adds = all(t.lower_ in ADDS or t.pos_ in ("NUM", "CCONJ", "INTJ") for t in lead)
        return first if adds else None


def _coordinated(first: Token, second: Token) -> bool:
    at = second
    for _ in range(6):
        if at == first:
            return True
        if at.dep_ not in ("conj", "xcomp", "advcl", "ccomp", "dep") or at.head == at:
            return False
        at = at.head
    return False


def continues(sentence: Span) -> bool:
    """True where a sentence goes on with the story: "Then I …", "After that, …"."""
    for token in list(sentence)[:3]:
        if token.lower_ in BREAKS:
            return False
        if token.lower_ in ("then", "afterwards", "afterward"):
            return True
        if token.lower_ == "after" and token.i + 1 < len(token.doc) and token.nbor(1).lower_ in ("that", "which"):
            return True
    return False
