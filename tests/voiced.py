"""Invented talk with what must be read from it, in a form that a builder could check by eye (data/ledger_voices/*.txt).

A passage is a block of lines without an empty line between them. Lines that begin with ">" are its cues; the others
say what is expected, one record a line, fields parted by "|". A leading "?" marks a record that may be read or left
out, "*" a field that the label guide leaves open, "/" parts fields that are as right:

- bought: item | category | status | amount or low-high or "-" | vendor (optional)
- hours: length or low-high | scope | who ("-" for nobody) | "not counted" (only where a session or job does not count)
- items: kind | part | task (optional)

"nothing" stands for no record; a kind without a line is not what the passage is about. Lines with "#" are headings.
All were recorded on Saturday 17 May 2025 in the evening.
"""
from __future__ import annotations

import datetime as dt
import functools
import pathlib
import re
from dataclasses import dataclass

from witnessmark.model import Cue, Hours, OpenItem, Purchase, Reading, Session, Transcript
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular

FOLDER = pathlib.Path(__file__).parent / "data" / "ledger_voices"
RECORDED = dt.datetime.fromisoformat("2025-05-17T20:00:00+00:00")
SAME_HOURS = 0.02  # hours; the labels' own scorer takes lengths this near for the same
NEVER_COUNTED = ("total", "planned", "other")


@dataclass(frozen=True)
class Talk:
    """A passage: where it stands, its cues, and the records expected of each kind that it is about."""

    place: str
    cues: tuple[str, ...]
    expected: dict[str, tuple[str, ...]]


def talks(pattern: str) -> list[Talk]:
    """The passages of the files that fit a pattern ("money_*.txt"), in order."""
    found = []
    for path in sorted(FOLDER.glob(pattern)):
        number = 1
        for block in re.split(r"\n\s*\n", path.read_text(encoding="utf-8")):
            lines = block.strip().splitlines()
            if lines and lines[0].startswith(">"):
                found.append(_talk(f"{path.stem}:{number}", lines))
            number += block.count("\n") + 2
    return found


def _talk(place: str, lines: list[str]) -> Talk:
    expected: dict[str, tuple[str, ...]] = {}
    for line in lines:
        if line.startswith(">"):
            continue
        kind, _, record = line.partition(":")
        records = () if record.strip() == "nothing" else (record.strip(),)
        expected[kind.strip()] = expected.get(kind.strip(), ()) + records
    return Talk(place, tuple(line[1:].strip() for line in lines if line.startswith(">")), expected)


def reading_of(talk: Talk, memory: Memory | None = None) -> Reading:
    cues = tuple(Cue(6.0 * at, 6.0 * at + 5.5, line) for at, line in enumerate(talk.cues))
    session = Session("voice", RECORDED, Transcript(cues, "subtitle"))
    return read(session, lexicon(), memory or Memory())[0]


@functools.cache
def lexicon() -> Lexicon:
    return Lexicon.load()


def differences(talk: Talk, reading: Reading) -> list[str]:
    """What was not read as expected, one line for each difference, empty if all was."""
    records = {
        "bought": [_of_purchase(one) for one in reading.purchases],
        "hours": [_of_hours(one) for one in reading.hours],
        "items": [_of_item(one) for one in reading.open_items],
    }
    return [line for kind, expected in talk.expected.items() for line in _compared(kind, expected, records[kind])]


def _of_purchase(one: Purchase) -> list[str]:
    return [one.item, one.category, one.status, _span(one.amount_low, one.amount_high), one.vendor or ""]


def _of_hours(one: Hours) -> list[str]:
    counts = "" if one.counted or one.scope in NEVER_COUNTED else "not counted"
    return [_span(one.low, one.high), one.scope, one.who or "-", counts]


def _of_item(one: OpenItem) -> list[str]:
    return [one.kind, one.part or "", one.task or ""]


def _span(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "-"
    return f"{low:g}" if abs(low - high) < SAME_HOURS else f"{low:g}-{high:g}"


def _compared(kind: str, expected: tuple[str, ...], records: list[list[str]]) -> list[str]:
    """Expected and found records paired, the best pairs first; the rest are missed or extra."""
    wanted = [[field.strip() for field in line.split("|")] for line in expected]
    left, missed = list(records), []
    for fields in sorted(wanted, key=lambda fields: fields[0].startswith("?")):
        may_miss = fields[0].startswith("?")
        fields = [fields[0].lstrip("? "), *fields[1:]]
        fitting = [record for record in left if _fits(kind, fields, record)]
        if fitting:
            left.remove(fitting[0])
        elif not may_miss:
            missed.append(fields)
    return [f"{kind} missed: {' | '.join(fields)}" for fields in missed] + [
        f"{kind} extra: {' | '.join(record)}" for record in left
    ]


def _fits(kind: str, wanted: list[str], record: list[str]) -> bool:
    return all(want == "*" or _same(kind, at, want, have) for at, (want, have) in
               enumerate(zip(wanted, record, strict=False))) and not (
        kind == "hours" and len(wanted) < 4 and record[3])


def _same(kind: str, at: int, want: str, have: str) -> bool:
    named = (kind, at) in (("bought", 0), ("items", 1))
    if named:
        return _same_name(want, have)
    if (kind, at) in (("bought", 3), ("hours", 0)) and want != "-" and have != "-":
        ends = [[float(end) for end in span.split("-")] for span in (want, have)]
        return all(abs(a - b) < SAME_HOURS for a, b in
                   ((ends[0][0], ends[1][0]), (ends[0][-1], ends[1][-1])))
    return have in want.split("/") or want == have


def _same_name(want: str, have: str) -> bool:
    """The same last word, or half of the words in common; alternatives are parted by "/"."""
    if not want:
        return True
    return any(_alike(_words(name), _words(have)) or name == have == "" for name in want.split("/"))


def _words(name: str) -> list[str]:
    return [singular(word) for word in name.lower().replace("-", " ").split()]


def _alike(one: list[str], other: list[str]) -> bool:
    if not one or not other:
        return False
    return one[-1] == other[-1] or len({*one} & {*other}) * 2 >= len({*one} | {*other})
