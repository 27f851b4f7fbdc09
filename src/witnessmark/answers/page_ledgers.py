"""Hours and money as their pages show them: groups with their sums, and the lines of one group. Read-only.

The lines and sums are those of `ledgers`. A purchase has no date of its own in most talk; it stands in the month
in which it was told, and says so.
"""
from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from sqlite_utils import Database

from witnessmark.answers import ledgers
from witnessmark.store.loading import query

Row = dict[str, Any]
MOST_LINES = 150
HOURS_COLUMNS = ("date", "first_day", "last_day", "who", "person", "low", "high", "approx", "assembly", "task", "quote",
                 "source", "start", "id")
MONEY_COLUMNS = ("date", "told", "item", "category", "vendor", "assembly", "status", "quantity", "low", "high", "quote",
                 "source", "start", "receipt_id", "id")
FORMULA = ("=", "+", "-", "@", "\t", "\r")


def hours(db: Database, by: str, only: str | None = None) -> Row:
    """Hours worked by month, assembly, person, task or who: `groups`, sums, and the `lines` of the group `only`."""
    found = ledgers.hours(db, by)
    return {**found, **_lines(db, found["lines"], by, only)}


def money(db: Database, by: str, only: str | None = None) -> Row:
    """Money spent by month, category, vendor or assembly; `alone` are receipts of which nobody spoke."""
    found = ledgers.spend(db, by)
    return {**found, **_lines(db, found["lines"], by, only), "alone": query(db, "SELECT * FROM receipts_alone")}


def _lines(db: Database, lines: list[Row], by: str, only: str | None) -> Row:
    """The lines to show: those of one group, or all where they are few."""
    chosen = lines if only is None else [line for line in lines if (line[by] or ledgers.EMPTY[by]) == only]
    return {"only": only, "lines": with_source_kinds(db, chosen[-MOST_LINES:]), "count": len(chosen),
            "left_out": max(len(chosen) - MOST_LINES, 0)}


def with_source_kinds(db: Database, lines: list[Row]) -> list[Row]:
    """The lines with `source_kind`: a note is read, a recording is heard."""
    sources = {line["source_id"] for line in lines}
    kinds = {row["id"]: row["kind"] for row in db.query(
        f"SELECT id, kind FROM sources WHERE id IN ({', '.join('?' * len(sources))})", list(sources))}
    return [{**line, "source_kind": kinds.get(line["source_id"])} for line in lines]


def as_csv(lines: Iterable[Row], columns: tuple[str, ...]) -> str:
    """Lines as CSV (RFC 4180). Words that a spreadsheet would take for a formula get an apostrophe before them."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(columns)
    for line in lines:
        writer.writerow([_inert(line.get(column)) for column in columns])
    return out.getvalue()


def all_lines(db: Database, ledger: str) -> str:
    """The whole ledger `hours` or `money` as CSV."""
    if ledger == "hours":
        return as_csv(ledgers.hours(db)["lines"], HOURS_COLUMNS)
    return as_csv(ledgers.spend(db)["lines"], MONEY_COLUMNS)


def _inert(value: Any) -> Any:
    return f"'{value}" if isinstance(value, str) and value.startswith(FORMULA) else value
