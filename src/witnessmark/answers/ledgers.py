"""The ledgers: hours, money, open jobs, and the journal's totals.

Amounts and hours are ranges, low to high; sums add the lows and the highs. Nothing that was not said to be bought or
ordered is spent, and what was returned is taken off again.
"""
from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from sqlite_utils import Database

from witnessmark.errors import WitnessmarkError
from witnessmark.store.loading import journal_row, query

Row = dict[str, Any]
HOURS_BY = ("month", "assembly", "person", "task", "who")
SPEND_BY = ("month", "category", "vendor", "assembly")
OPEN_BY = ("kind", "assembly", "month")
EMPTY = {"month": "undated", "assembly": "no assembly said", "vendor": "no vendor said", "task": "no task said",
         "person": "nobody named", "category": "", "kind": "", "who": ""}
CENTS = 2


def hours(db: Database, by: str = "month") -> Row:
    """Hours worked, each counted once: `lines`, and `groups` by month, assembly, person, task or who.

    Each group (its name is `group`) and the whole have `low`, `high` and `who`: the hours of each kind of person.
    """
    _allowed(by, HOURS_BY)
    lines = query(db, "SELECT * FROM ledger_hours")
    for line in lines:
        line["person"] = line["person"] or line["who"]
    groups = [{"group": name, by: name, **_hours_sum(members)} for name, members in _split(lines, by)]
    return {"by": by, "groups": groups, **_hours_sum(lines), "lines": lines}


def _hours_sum(lines: Iterable[Row]) -> Row:
    who: dict[str, list[float]] = {}
    for line in lines:
        sums = who.setdefault(line["who"] or "nobody", [0.0, 0.0])
        sums[0] += line["low"]
        sums[1] += line["high"]
    return {"low": _cents(sum(low for low, _ in who.values())), "high": _cents(sum(high for _, high in who.values())),
            "who": {name: [_cents(low), _cents(high)] for name, (low, high) in sorted(who.items())}}


def spend(db: Database, by: str = "month") -> Row:
    """Money spent, returns taken off: `lines`, and `groups` by month, category, vendor or assembly.

    `unpriced` counts the purchases whose amount was not said.
    """
    _allowed(by, SPEND_BY)
    lines = query(db, "SELECT * FROM spend")
    return {"by": by, "currency": journal_row(db).get("currency"), "groups": _grouped(lines, by, _money_sum),
            **_money_sum(lines), "lines": lines}


def receipts_alone(db: Database) -> list[Row]:
    """Receipts of which nobody spoke (`date`, `vendor`, `total`, `problems`, `source`); not in `spend`."""
    return query(db, "SELECT * FROM receipts_alone")


def _money_sum(lines: Iterable[Row]) -> Row:
    lines = list(lines)
    priced = [line for line in lines if line["low"] is not None]
    return {"low": _cents(sum(line["low"] for line in priced)), "high": _cents(sum(line["high"] for line in priced)),
            "unpriced": sum(line["low"] is None and line["status"] != "returned" for line in lines)}


def open_jobs(db: Database, by: str = "kind") -> Row:
    """What is still to do, to buy, to fix or away: `lines`, oldest first, and `groups` with their number."""
    _allowed(by, OPEN_BY)
    lines = query(db, "SELECT substr(day, 1, 7) AS month, * FROM open_jobs")
    return {"by": by, "groups": _grouped(lines, by, _count), **_count(lines), "lines": lines}


def _count(lines: Iterable[Row]) -> Row:
    return {"count": len(list(lines))}


def _grouped(lines: Iterable[Row], by: str, total: Callable[[Iterable[Row]], Row]) -> list[Row]:
    return [{by: name, **total(members)} for name, members in _split(lines, by)]


def _split(lines: Iterable[Row], by: str) -> list[tuple[str, list[Row]]]:
    """The names of groups, in order, with their lines."""
    groups: dict[str, list[Row]] = {}
    for line in lines:
        groups.setdefault(line[by] or EMPTY[by], []).append(line)
    return sorted(groups.items())


def _allowed(by: str, names: tuple[str, ...]) -> None:
    if by not in names:
        raise WitnessmarkError(f"it cannot be grouped by {by}: use one of {', '.join(names)}")


def _cents(value: float) -> float:
    return round(value, CENTS)


def totals(db: Database) -> Row:
    """The journal in figures: what `index` prints at its end."""
    one = next(iter(db.query("""SELECT
        (SELECT count(DISTINCT day) FROM sources WHERE kind IN ('recording', 'transcript', 'note', 'photo')) AS days,
        (SELECT min(day) FROM sources WHERE kind IN ('recording', 'transcript', 'note', 'photo')) AS first_day,
        (SELECT max(day) FROM sources WHERE kind IN ('recording', 'transcript', 'note', 'photo')) AS last_day,
        (SELECT count(*) FROM readings) AS sessions,
        (SELECT count(*) FROM sources WHERE kind = 'photo') AS photos,
        (SELECT count(*) FROM acts WHERE status IN ('done', 'doing') AND who = 'builder') AS acts,
        (SELECT count(*) FROM acts WHERE status IN ('done', 'doing') AND who IS NOT 'builder') AS acts_of_others,
        (SELECT count(*) FROM acts WHERE status NOT IN ('done', 'doing')) AS not_performed,
        (SELECT count(*) FROM open_jobs) AS open_jobs,
        (SELECT count(*) FROM sources WHERE state = 'gone') AS gone,
        (SELECT count(*) FROM sources WHERE kind = 'unreadable' AND state = 'present') AS unreadable,
        (SELECT count(*) FROM corrections WHERE state = 'unmatched') AS unmatched_corrections""")))
    work, money = _hours_sum(query(db, "SELECT * FROM ledger_hours")), _money_sum(query(db, "SELECT * FROM spend"))
    return {**one, "hours": work["who"], "spent": [money["low"], money["high"]], "unpriced": money["unpriced"],
            "currency": journal_row(db).get("currency")}
