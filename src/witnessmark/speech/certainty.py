"""How sure a record can be that was read from heard words: its confidence and its doubts follow those words.

In: a `Reading` and the `Transcript` that it was read from. Out: the same records, less sure where the words that
decide them are improbable, and with a question where a figure of hours or money may have been another one. Written
words (subtitles and notes) have no probabilities; their records stay as they are.
"""
from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from text_to_num import text2num

from witnessmark.model import Act, Cue, Hours, OpenItem, Purchase, Reading, Record, Transcript, Word
from witnessmark.speech.doubt import Spoken, is_small, spoken_words, twins
from witnessmark.trade.inflect import normal

SURE = 0.6  # word probability from which a word lowers no confidence: nineteen of twenty such are right (bench)
BADLY = 0.45  # probability below which a figure of hours or money is asked about whatever it sounds like
CLEARLY = 0.8  # probability from which "two" is not asked whether it was "to"
SAME = 0.011
PRICE_REACH = 2  # cues around a purchase in which its price is looked for
COUNTED = frozenset({"item", "number", "step", "point", "page", "chapter", "section", "line", "day", "part", "phase"})
CENTS = re.compile(r"^(?P<whole>[1-9]\d?)(?P<cents>[1-9]\d)$")
HOUR_UNIT = re.compile(r"^(?:hours?|hrs?|minutes?|mins?|half|quarter|and)$")
MONEY_UNIT = re.compile(r"^(?:dollars?|bucks|cents|euros?|pounds?|a|an|each|apiece|per|for|plus|total)$")


def weighed(reading: Reading, transcript: Transcript) -> Reading:
    """The records with what is known of the words that they were read from."""
    if not any(cue.words for cue in transcript.cues):
        return reading
    tables = {name: tuple(_weighed(record, transcript.cues) for record in getattr(reading, name))
              for name in ("acts", "hours", "purchases", "open_items")}
    return Reading(**tables)


def _weighed(record: Any, cues: Sequence[Cue]) -> Any:
    words = _words_of(record, cues)
    if isinstance(record, Purchase) and not _same(record, words):  # the price is often said a sentence later
        nearby = _words_of(record, cues, PRICE_REACH)
        words = nearby if _same(record, nearby) else words
    if not words:
        return record
    deciding = list(_deciding(record, words))
    least = min((word.probability for word in deciding), default=1.0)
    doubts = [] if isinstance(record, Act | OpenItem) else [
        doubt for number, word in enumerate(words) if word in deciding
        for doubt in _doubts(word, record, words[number - 1] if number else None, words[number + 1:number + 2])]
    return replace(record, confidence=round(record.confidence * min(least / SURE, 1.0), 3),
                   doubts=tuple(dict.fromkeys((*record.doubts, *doubts))))


def _words_of(record: Record, cues: Sequence[Cue], reach: int = 0) -> list[Spoken]:
    """The words between the record's start and end, at least those of its cue and of `reach` cues around it."""
    own: list[Word] = []
    for number, cue in enumerate(cues):
        own += [word for word in cue.words
                if abs(number - record.cue) <= reach or record.start - 0.01 <= word.start < record.end + 0.01]
    return spoken_words(own)


def _deciding(record: Record, words: Sequence[Spoken]) -> Iterator[Spoken]:
    """The words that carry a record: the figures of its hours or money, the names of its task and thing."""
    if isinstance(record, Act | OpenItem):
        yield from _naming(record, words)
    elif isinstance(record, Hours | Purchase):
        unit = HOUR_UNIT if isinstance(record, Hours) else MONEY_UNIT
        yield from _same(record, words) or [
            word for number, word in enumerate(words) if value_of(word.bare) is not None
            and (word.bare[:1] in "$£€" or (number + 1 < len(words) and unit.match(words[number + 1].bare)))]


def _same(record: Hours | Purchase, words: Sequence[Spoken]) -> list[Spoken]:
    """The figures among the words that are the record's own: its hours, as hours or minutes, or its sums."""
    said = [(word, value) for word in words if (value := value_of(word.bare)) is not None]
    if isinstance(record, Purchase):
        return [word for word, value in said if _is_among(value, _sums(record))]
    wanted = {record.low, record.high}
    return [word for word, value in said if _is_among(value, wanted) or _is_among(round(value / 60, 2), wanted)]


def _sums(purchase: Purchase) -> set[float]:
    """The sums that may have been said of a purchase: for all, and for one."""
    whole = {amount for amount in (purchase.amount_low, purchase.amount_high) if amount is not None}
    return whole | {amount / purchase.quantity for amount in whole if purchase.quantity}


def _is_among(value: float, wanted: set[float]) -> bool:
    """True for a figure wanted, or its whole part ("two and a half hours", "nineteen fifty")."""
    return any(abs(value - one) < SAME or (value > 0 and value == int(one)) for one in wanted)


def _naming(record: Act | OpenItem, words: Sequence[Spoken]) -> Iterator[Spoken]:
    task = record.task or ""
    part = (record.part or "").split()
    for word in words:
        if (len(task) > 2 and word.bare.startswith(task[:4])) or word.bare in part or normal(word.bare) in part:
            yield word


def value_of(text: str) -> float | None:
    """The number that a word is: "$26", "3.5", "thirty-nine"; None for any other word."""
    plain = text.strip("$£€#").replace(",", "")
    if re.fullmatch(r"\d+(?:\.\d+)?", plain):
        return float(plain)
    try:
        return float(text2num(plain, "en")) if plain.replace("-", "").isalpha() else None
    except ValueError:
        return None


def _doubts(word: Spoken, record: Hours | Purchase, before: Spoken | None,
            following: Sequence[Spoken]) -> Iterator[str]:
    """The questions to ask about a figure of hours or money."""
    if word.heard is not None:
        yield f'"{word.text}" was heard as "{word.heard}": is {word.text} right?'
        return
    readings = (*twins(word.bare), *(_with_cents(word.bare) if isinstance(record, Purchase) else ()))
    if following and value_of(f"{word.bare}-{following[0].bare}") is not None:  # "thirty nine" is no "thirteen nine"
        readings = ()
    if before is not None and before.bare in COUNTED and isinstance(record, Hours) and _same(record, [word]):
        yield f'is "{before.bare} {word.bare}" its number, or is it {word.bare} hours?'
    elif readings and not (is_small(word.bare) and word.probability >= CLEARLY) and not record.doubts:
        yield f"{word.bare} or {' or '.join(readings)}?"
    elif word.probability < BADLY:
        yield f'the figure "{word.bare}" was heard badly: is it right?'


def _with_cents(bare: str) -> tuple[str, ...]:
    """ "210" is how a recogniser writes "two ten", which is a price with cents or the whole number."""
    found = CENTS.match(bare)
    return (f"{found['whole']}.{found['cents']}",) if found else ()
