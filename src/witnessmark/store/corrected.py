"""The builder's corrections laid over a source's rows: the last word. Pure functions.

A correction is bound to words, not to a record's id, because other weights or better rules may cut or read the same
words a little differently. It finds its record again among those of the same kind, near the same time, by the fields
that the record had when it was corrected.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from witnessmark.journal.corrections import Correction
from witnessmark.store.rows import Row, complete, short_hash, source_id
from witnessmark.store.schema import RECORD_TABLES, TABLES

SECONDS_APART = 10.0
CUES_APART = 1
IDENTITY = {"acts": ("task", "part", "side", "assembly", "status", "who", "date"),
            "hours": ("low", "high", "scope", "who", "date"),
            "purchases": ("item", "amount_low", "amount_high", "status", "vendor"),
            "open_items": ("kind", "part", "task", "side")}
"""The fields that tell a record from its neighbours, the most telling first; corrections keep them in `from`."""
PERFORMED = ("done", "doing")
OWN_COLUMNS = frozenset({"id", "source_id", "rules", "correction", "first_day", "last_day", "same_as", "receipt_id",
                         "receipt_problems", "picture", "closed_by", "closed_on", "day"})
"""Columns that the program fills in; no correction sets them."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one correction: the record that it found, or None."""

    correction: Correction
    record_id: str | None


def changeable(kind: str) -> tuple[str, ...]:
    """The columns of a record table that a correction may set."""
    return tuple(column for column in TABLES[kind].columns if column not in OWN_COLUMNS)


def identity_of(kind: str, row: Mapping[str, Any]) -> Row:
    """The fields of a row by which a correction will find it again."""
    return {name: row[name] for name in IDENTITY[kind]}


def corrected(tables: Mapping[str, Sequence[Row]], corrections: Iterable[Correction], sha256: str,
              day: str | None) -> tuple[dict[str, list[Row]], list[Outcome]]:
    """The rows of one source after its corrections, in order, and what became of each correction."""
    rows = {kind: list(tables.get(kind, ())) for kind in RECORD_TABLES}
    outcomes = []
    for correction in corrections:
        if correction.sha256 == sha256 and correction.kind in rows:
            found = _apply(rows[correction.kind], correction, day)
            outcomes.append(Outcome(correction, found))
    return rows, outcomes


def _apply(rows: list[Row], correction: Correction, day: str | None) -> str | None:
    if correction.do == "add":
        rows.append(_added(correction, day))
        return str(rows[-1]["id"])
    at = find(rows, correction)
    if at is None:
        return None
    row = rows[at]
    if correction.do == "reject":
        del rows[at]
    elif correction.do in ("change", "confirm", "close"):
        rows[at] = _changed(row, correction, day)
    return str(row["id"])


def find(rows: Sequence[Row], correction: Correction) -> int | None:
    """Which row a correction means: near its words, alike in the first field of its identity and in most others."""
    fields = [name for name in IDENTITY[correction.kind] if name in correction.from_]
    best: tuple[int, float] | None = None
    chosen = None
    for at, row in enumerate(rows):
        alike = sum(row[name] == correction.from_[name] for name in fields)
        if not _near(row, correction) or alike * 2 < len(fields) or not _telling(row, correction, fields):
            continue
        rank = (-alike, abs(float(row["start"] or 0) - correction.start))
        if best is None or rank < best:
            best, chosen = rank, at
    return chosen


def _telling(row: Row, correction: Correction, fields: Sequence[str]) -> bool:
    return not fields or row[fields[0]] == correction.from_[fields[0]]


def _near(row: Row, correction: Correction) -> bool:
    """By the clock; notes have no times, so there by the number of the line."""
    start = float(row["start"] or 0)
    if start or correction.start or correction.cue is None or row["cue"] is None:
        return abs(start - correction.start) <= SECONDS_APART
    return abs(int(row["cue"]) - correction.cue) <= CUES_APART


def _changed(row: Row, correction: Correction, day: str | None) -> Row:
    allowed = changeable(correction.kind)
    changes = {name: value for name, value in correction.to.items() if name in allowed}
    new = {**row, **changes, "confidence": 1.0, "doubts": [], "correction": correction.id}
    if correction.kind == "acts":
        new = _dated_if_performed(new, day)
    return complete(correction.kind, new, day)


def _dated_if_performed(row: Row, day: str | None) -> Row:
    """Work that was not performed has no date; work that the builder says was performed has the day of the talk."""
    if row["status"] not in PERFORMED:
        return {**row, "date": None}
    return {**row, "date": row["date"] or day}


def _added(correction: Correction, day: str | None) -> Row:
    row = {"cue": correction.cue, "start": correction.start, "end": correction.start, "quote": correction.why,
           "who": "builder", "status": "done", **correction.to,
           "id": short_hash("added", correction.id), "source_id": source_id(correction.sha256),
           "confidence": 1.0, "rules": ["added-by-builder"], "correction": correction.id}
    if correction.kind == "acts":
        row = _dated_if_performed(complete("acts", row, day), day)
    return complete(correction.kind, row, day)
