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
    if not words:
        return record
    deciding = list(_deciding(record, words))
    least = min((word.probability for word in deciding), default=1.0)
    doubts = [] if isinstance(record, Act | OpenItem) else [
        doubt for number, word in enumerate(words) if word in deciding
        for doubt in _doubts(word, record, words[number + 1:number + 2])]
    return replace(record, confidence=round(record.confidence * min(least / SURE, 1.0), 3),
                   doubts=tuple(dict.fromkeys((*record.doubts, *doubts))))


def _words_of(record: Record, cues: Sequence[Cue]) -> list[Spoken]:
    """The words between the record's start and end, at least those of its cue."""
    own: list[Word] = []
    for number, cue in enumerate(cues):
        own += [word for word in cue.words
                if number == record.cue or record.start - 0.01 <= word.start < record.end + 0.01]
    return spoken_words(own)


def _deciding(record: Record, words: Sequence[Spoken]) -> Iterator[Spoken]:
    """The words that carry a record: the figures of its hours or money, the names of its task and thing."""
    if isinstance(record, Hours):
        wanted, unit = {record.low, record.high, record.low * 60, record.high * 60}, HOUR_UNIT
    elif isinstance(record, Purchase):
        wanted, unit = _sums(record), MONEY_UNIT
    elif isinstance(record, Act | OpenItem):
        yield from _naming(record, words)
        return
    else:
        return
    figures = [(word, value, number) for number, word in enumerate(words) if (value := value_of(word.bare)) is not None]
    same = [word for word, value, _ in figures if _is_among(value, wanted)]
    near = [word for word, _, number in figures if word.bare[:1] in "$£€" or (
        number + 1 < len(words) and unit.match(words[number + 1].bare))]
    yield from same or near


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


def _doubts(word: Spoken, record: Hours | Purchase, following: Sequence[Spoken]) -> Iterator[str]:
    """The questions to ask about a figure of hours or money."""
    if word.heard is not None:
        yield f'"{word.text}" was heard as "{word.heard}": is {word.text} right?'
        return
    readings = twins(word.bare)
    if following and value_of(f"{word.bare}-{following[0].bare}") is not None:  # "thirty nine" is no "thirteen nine"
        readings = ()
    if readings and not (is_small(word.bare) and word.probability >= CLEARLY) and not record.doubts:
        yield f"{word.bare} or {' or '.join(readings)}?"
    elif word.probability < BADLY:
        yield f'the figure "{word.bare}" was heard badly: is it right?'
