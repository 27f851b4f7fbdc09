"""The lines of the log, in words: what, to which part, by whom, how the day is known, the words, the clip, the hash.

AC 20-27G asks for documentation in a continuous and sequential manner that shows "who performed the task(s), when and
where the tasks were performed, depict the methods of construction and quality of workmanship, and document the use of
commercial and non-commercial assistance".

Pure functions over what was collected. Nothing here says more than its record: work by others, plans and advice come
out as what they are, a vague day as a vague day.
"""
from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from witnessmark import edtf_days, words
from witnessmark.evidence.gather import PERFORMED, Collected, Row, when

OWN, HELPER, OTHER, SAID, HOURS, MONEY, OPEN = "own", "helper", "other", "said", "hours", "money", "open"
ORDER = (OWN, HELPER, OTHER, HOURS, MONEY, OPEN, SAID)
LABELS = {OWN: "", HELPER: "UNPAID HELPER", OTHER: "NOT THE BUILDER’S WORK", SAID: "NOT DONE", HOURS: "HOURS",
          MONEY: "MONEY", OPEN: "LEFT TO DO"}
WHOSE = {"paid": "FOR HIRE", "maker": "MAKER OF THE KIT OR PART"}
HASH_DIGITS = 12
UNSURE = ("not sure", "a guess")
NO_DAY = "Day not known"


@dataclass(frozen=True, slots=True)
class Entry:
    """One record as the log shows it, with its running number."""

    number: int
    kind: str
    label: str
    what: str
    facts: tuple[str, ...]
    quote: str
    clip: str
    row: Row
    picture: str | None = None
    alt: str = ""


@dataclass
class Day:
    """What stands under one heading; `day` is the last day that it may stand for ("" if none is known)."""

    day: str
    heading: str
    entries: list[Entry] = field(default_factory=list)


def days(found: Collected) -> list[Day]:
    """All records of the choice in order of time, numbered from 1, under the days on which they stand."""
    rows = sorted(((kind, row) for kind in found.records for row in found.records[kind]),
                  key=lambda item: (when(item[1], found.sources)[0], _heading(found, *item),
                                    ORDER.index(kind_of(*item)), when(item[1], found.sources)))
    numbers = itertools.count(1)
    result: list[Day] = []
    for (day, heading), group in itertools.groupby(
            rows, key=lambda item: (when(item[1], found.sources)[0], _heading(found, *item))):
        result.append(Day(day, heading, [entry(found, next(numbers), kind, row) for kind, row in group]))
    return result


def kind_of(table: str, row: Row) -> str:
    """Which kind of line a record makes."""
    if table == "acts":
        if row["status"] not in PERFORMED:
            return SAID
        return {"builder": OWN, "helper": HELPER}.get(row["who"], OTHER)
    return {"hours": HOURS, "purchases": MONEY}.get(table, OPEN)


def _heading(found: Collected, table: str, row: Row) -> str:
    if row.get("date") and not edtf_days.is_exact(row["date"]):
        return f"{_capital(words.date(row['date']))} (no exact day)"
    day = when(row, found.sources)[0]
    return words.day(day) if day else NO_DAY


def entry(found: Collected, number: int, table: str, row: Row) -> Entry:
    """One record in words."""
    kind = kind_of(table, row)
    label = WHOSE.get(row.get("who") or "", "WHOSE IS NOT SAID") if kind == OTHER else ""
    source = found.sources[row["source_id"]]
    picture = next((tag for tag in found.pictures.get(row["id"], ()) if tag["thumbnail"]), None)
    name = picture["thumbnail"] if picture else row.get("picture")
    alt = f"Picture {picture['path']}" if picture else f"Still of {source['path']} at {words.clock(row['start'])}"
    return Entry(number, kind, f"{LABELS[kind]}: {label}" if label else LABELS[kind], what(table, row),
                 tuple(_facts(found, table, row)), row["quote"] or "", clip(row, source), row,
                 name if found.choice.pictures and kind in (OWN, HELPER, OTHER) else None,
                 f"{alt}, shown with: {what(table, row)}")


def what(table: str, row: Row) -> str:
    """The record in one line: "Left flap rib primed (two coats)"."""
    if table == "acts":
        return _act(row)
    if table == "hours":
        about = "about " if row["approx"] else ""
        job = f" for {words.task(row['task']).lower()}" if row["task"] else ""
        return f"{_capital(about + words.hours(row['low'], row['high']))}{job}, {words.who(row)}"
    if table == "purchases":
        return f"{_capital(row['item'])}: {words.status(row['status'])}, " \
               f"{words.span(row['amount_low'], row['amount_high'])}"
    job = f": {words.task(row['task']).lower()}" if row["task"] else ""
    return f"{words.KINDS.get(row['kind'], row['kind'])}: {words.thing(row)}{job}"


def _act(row: Row) -> str:
    thing = _capital(words.thing(row))
    if row["status"] in PERFORMED:
        count = f" ({row['count']} said)" if row["count"] else ""
        return f"{thing}: {words.done(row['task'])}{count}"
    return f"{thing}: {words.task(row['task']).lower()}, {words.status(row['status'])}"


def clip(row: Row, source: Row) -> str:
    """Where it is said: the file, the second, the file's hash in short."""
    return f"{source['path']} at {words.clock(row['start'])} ({row['start'] or 0:.0f} s), " \
           f"SHA-256 {source['sha256'][:HASH_DIGITS]}…"


def _facts(found: Collected, table: str, row: Row) -> Iterator[str]:
    kind, source = kind_of(table, row), found.sources[row["source_id"]]
    if kind in (OWN, HELPER, OTHER):
        yield f"By: {words.who(row)}"
    yield f"Day: {how_known(row, source)}"
    if table == "hours":
        yield f"{'Counted' if row['counted'] else 'Not counted'}: {row['why']}" if row["why"] else (
            "Counted" if row["counted"] else "Not counted")
    if row.get("closed_by"):
        yield f"Closed {words.short_day(row['closed_on'])}" if row["closed_on"] else "Closed"
    if is_unsure(row):
        guess = words.sure(row["confidence"]) != UNSURE[0]
        yield "The program guesses this" if guess else "The program is not sure of this"
    for doubt in row["doubts"] or ():
        yield f"Open question: {doubt}"
    fixed = found.corrections.get(row["correction"] or "")
    if fixed:
        done = {"confirm": "Confirmed", "add": "Added"}.get(fixed["do"], "Corrected")
        yield f"{done} by the builder on {words.short_day((fixed['when'] or '')[:10] or None)}"


def is_unsure(row: Row) -> bool:
    """Whether the program is not sure of a record that the builder has neither confirmed nor corrected."""
    return words.sure(row["confidence"]) in UNSURE and not row["correction"]


def how_known(row: Row, source: Row) -> str:
    """How the day of a record is known."""
    told = f"told on {words.short_day(source['day'])}" if source["day"] else "told on a day that is not known"
    basis = f"known by {words.BASES.get(source['captured_basis'], source['captured_basis'])}"
    date = row.get("date")
    if not date:
        return f"{told}, {basis}"
    if date == source["day"]:
        return f"the day of the telling, {basis}"
    return f"{words.date(date)}, as said; {told}, {basis}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def as_data(item: Entry) -> dict[str, Any]:
    """An entry as plain values for the template; the picture is the name of a file beside it."""
    return {"number": item.number, "kind": item.kind, "label": item.label, "what": item.what,
            "facts": list(item.facts), "quote": item.quote, "clip": item.clip, "picture": item.picture,
            "alt": item.alt}
