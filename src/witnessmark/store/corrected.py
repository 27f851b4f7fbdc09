"""The builder's corrections laid over a source's rows: the last word. Pure functions.

A correction is bound to words, not to a record's id, because other weights or better rules may cut or read the same
words a little differently. It finds its record again among those of the same kind, near the same time, by the fields
that the record had when it was corrected.
"""
from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rapidfuzz import fuzz

from witnessmark.journal.corrections import Correction
from witnessmark.store import taught
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
LIKENESS = 60  # percent of letters that two hearings of one noun share at least: "bolt" and "bowl", not "rib", "spar"
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
    corrections = list(corrections)
    spellings = taught.taught(corrections)
    rows = {kind: [taught.renamed(kind, row, spellings) for row in tables.get(kind, ())] for kind in RECORD_TABLES}
    outcomes = []
    for correction in corrections:
        if correction.sha256 == sha256 and correction.kind in rows:
            found = _apply(rows[correction.kind], correction, day, spellings)
            outcomes.append(Outcome(correction, found))
    return rows, outcomes


def _apply(rows: list[Row], correction: Correction, day: str | None, spellings: taught.Taught) -> str | None:
    if correction.do == "add":
        rows.append(_added(correction, day))
        return str(rows[-1]["id"])
    at = find(rows, correction, spellings)
    if at is None:
        return None
    row = rows[at]
    if correction.do == "reject":
        del rows[at]
    elif correction.do in ("change", "confirm", "close"):
        rows[at] = _changed(row, correction, day, spellings)
    return str(row["id"])


def find(rows: Sequence[Row], correction: Correction, spellings: taught.Taught | None = None) -> int | None:
    """Which row a correction means: near its words, alike in the telling field and in most others, and of no other
    thing, side or person."""
    before = taught.renamed(correction.kind, correction.from_, spellings or {})
    fields = [name for name in IDENTITY[correction.kind] if name in before]
    best: tuple[int, int, float] | None = None
    chosen = None
    for at, row in enumerate(rows):
        same = [name for name in fields if row[name] in (before[name], correction.to.get(name, before[name]))]
        alike = [name for name in fields if name in same or _heard_otherwise(correction.kind, name, row, before)]
        if not _near(row, correction) or len(alike) * 2 < len(fields) or _is_another(correction, row, before) \
                or (fields and fields[0] not in alike):
            continue
        rank = (-len(alike), -len(same), abs(float(row["start"] or 0) - correction.start))
        if best is None or rank < best:
            best, chosen = rank, at
    return chosen


def _heard_otherwise(kind: str, name: str, row: Row, before: Mapping[str, Any]) -> bool:
    """True where a thing's name may be one that other ears heard a little otherwise."""
    return name == taught.NAMES.get(kind) and bool(row[name] and before[name]) and _same_noun(row[name], before[name])


def _is_another(correction: Correction, row: Row, before: Mapping[str, Any]) -> bool:
    """True where a row plainly tells of another thing, of the other side, or of somebody else."""
    for name in ("side", "who"):
        known = [value for value in (before.get(name), correction.to.get(name)) if value]
        if row.get(name) and before.get(name) and row[name] not in known and "both" not in (row[name], *known):
            return True
    part = taught.NAMES.get(correction.kind, "")
    told = [values[part] for values in (before, correction.to) if part in values]
    return bool(told) and not any(_same_noun(row[part], name) for name in told)


def _same_noun(one: str | None, other: str | None) -> bool:
    """True where the last words of two names may be one noun, heard twice; an unknown name may be any."""
    mine, theirs = taught.words(one or ""), taught.words(other or "")
    return not mine or not theirs or fuzz.ratio(mine[-1], theirs[-1]) >= LIKENESS


def _near(row: Row, correction: Correction) -> bool:
    """By the clock; notes have no times, so there by the number of the line."""
    start = float(row["start"] or 0)
    if start or correction.start or correction.cue is None or row["cue"] is None:
        return abs(start - correction.start) <= SECONDS_APART
    return abs(int(row["cue"]) - correction.cue) <= CUES_APART


def _changed(row: Row, correction: Correction, day: str | None, spellings: taught.Taught) -> Row:
    allowed = changeable(correction.kind)
    # What was confirmed is what the record said then, whatever other weights have made of it since.
    wanted = (taught.renamed(correction.kind, correction.from_, spellings) if correction.do == "confirm"
              else correction.to)
    changes = {name: value for name, value in wanted.items() if name in allowed}
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
