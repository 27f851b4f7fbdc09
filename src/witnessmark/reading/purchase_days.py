"""The day on which a thing was bought, ordered, returned or came, where the talk says one.

In: purchases and the times of their passage. Out: the same purchases with `date` (EDTF). Never: a day for what is only
planned or priced, a day that is said of hours or of work beside it, or one where none was said: the ledgers show the day
of the talk then, as what it is.
"""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from spacy.tokens import Span, Token

from witnessmark.model import Purchase
from witnessmark.reading.dates import TimeMention
from witnessmark.reading.text import Passage

SETTLED = frozenset({"bought", "ordered", "returned", "received"})
LABOUR = frozenset({"hour", "minute"})
CLIMB = 8  # steps up the syntax from a word to its verb: longer chains are parse errors


def with_days(purchases: Iterable[Purchase], passage: Passage, times: Sequence[TimeMention]) -> tuple[Purchase, ...]:
    """The purchases, each with the time that stands with its verb, if one does."""
    told = [time for time in times if time.edtf and time.kind in ("past", "present") and not _of_hours(time, passage)]
    return tuple(_with_day(purchase, passage, told) for purchase in purchases)


def _with_day(purchase: Purchase, passage: Passage, times: Sequence[TimeMention]) -> Purchase:
    verb = _told_by(purchase, passage) if purchase.status in SETTLED else None
    if verb is None:
        return purchase
    near = [time for time in times if verb.sent.start <= time.start < verb.sent.end
            and (_verb(passage.doc[time.start:time.end].root) == verb or _opens(verb.sent, time, verb))]
    if not near:
        return purchase
    time = min(near, key=lambda one: abs(one.start - verb.i))
    return replace(purchase, date=time.edtf, rules=(*purchase.rules, f"time-{time.rule}"))


def _told_by(purchase: Purchase, passage: Passage) -> Token | None:
    """The verb that tells of a purchase: the one that its rule names, or the one above its item."""
    named = {word for rule in purchase.rules if rule.startswith("verb:") for word in rule[5:].split("-")}
    start = passage.offsets[purchase.cue]
    end = passage.offsets[purchase.cue + 1] if purchase.cue + 1 < len(passage.offsets) else len(passage.doc.text)
    inside = [token for token in passage.doc if start <= token.idx < end]
    last = (purchase.item.split() or [""])[-1].lower()
    items = [token for token in inside if last in (token.lower_, token.lemma_.lower())]
    verbs = [token for token in inside if token.lemma_ in named and token.pos_ == "VERB"]
    if verbs and items:
        return min(verbs, key=lambda verb: abs(verb.i - items[0].i))
    return verbs[0] if verbs else _verb(items[0]) if items else None


def _verb(token: Token) -> Token | None:
    """The nearest verb above a word."""
    at = token
    for _ in range(CLIMB):
        if at.pos_ in ("VERB", "AUX") or at.head == at:
            return at
        at = at.head
    return None


def _opens(sentence: Span, time: TimeMention, verb: Token | None) -> bool:
    """True for "On Tuesday the dies came": a time at the front, and no other verb before the item's."""
    if verb is None or time.start > verb.i:
        return False
    return not any(token.pos_ == "VERB" for token in sentence if token.i < verb.i)


def _of_hours(time: TimeMention, passage: Passage) -> bool:
    """True for "three hours on Tuesday and two on Wednesday": the days of labour, not of a purchase."""
    sentence = passage.doc[time.start].sent
    labour = [token.i for token in sentence if token.lemma_ in LABOUR and token.i < time.start]
    return bool(labour) and not any(token.pos_ == "VERB" for token in passage.doc[labour[-1]:time.start])
