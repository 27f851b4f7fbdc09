"""The major-portion worksheet: for each row the evidence found, and the four columns in tenths of a point.

Each row is one point, parted in tenths over maker, commercial help, the builder's assembly, the builder's fabrication
("A point (each task equals 1 point) can be divided over multiple categories ... into 1/10 fractions ... 0.5 ... to the
Manufacturer, 0.3 ... as Commercial Assistance, 0.2 to the Amateur Builder as Fabrication": instructions of the FAA's
Amateur-Built Fabrication and Assembly Checklist (2011)). The builder sets them in `worksheet.csv`. Where he has set
nothing a row is proposed only if the records are plain, and the proposal is marked; everything else stays empty.

The builder's share is (assembly + fabrication) / all four, over the rows that apply. 14 CFR 21.191(g): "Operating an
aircraft the major portion of which has been fabricated and assembled by persons who undertook the construction project
solely for their own education or recreation." That "the major portion" is more than half is the FAA's reading (from
memory: AC 20-27G and Order 8130.2). Only the inspector finds it.
"""
from __future__ import annotations

import decimal
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any

from witnessmark import edtf_days, words
from witnessmark.evidence.checklist import Item, WorksheetError, read_rows
from witnessmark.evidence.gather import PERFORMED, Collected, Row
from witnessmark.trade.vocabulary import built_in

NAME = "worksheet.csv"
COLUMNS = ("maker", "commercial", "assembly", "fabrication")
BUILDERS = ("assembly", "fabrication")
POINT = 10  # tenths
YES, NO = ("", "yes", "y", "x", "1", "true"), ("no", "n", "n/a", "na", "0", "false")
SURE = 0.75  # below it the pages call a record "not sure"
ASSEMBLY_NAMES = frozenset(name for known in built_in().assemblies.values() for name in known.synonyms)
UNDOING = ("remove", "drill-out")
Tenths = dict[str, int]


@dataclass(frozen=True, slots=True)
class Set:
    """What the builder set for a row; `tenths` is None where he left all four columns empty."""

    applies: bool = True
    tenths: Tenths | None = None
    note: str = ""


@dataclass
class Line:
    """One row with its evidence. `proposed` and `tenths` (set by the builder) are tenths by column, or None."""

    item: Item
    setting: Set
    proposed: Tenths | None
    state: str
    first: str | None
    last: str | None
    who: str
    pictures: int
    records: dict[str, list[int]] = field(default_factory=dict)
    """Numbers in the log of the builder's and helpers' records ("own") and of "others"; 0 outside of an extract."""

    @property
    def row(self) -> str:
        return self.item.row

    @property
    def task(self) -> str:
        return self.item.task

    @property
    def own(self) -> int:
        """The number of records of the builder's and of unpaid helpers' work."""
        return len(self.records["own"])

    @property
    def others(self) -> int:
        return len(self.records["others"])

    @property
    def tenths(self) -> Tenths | None:
        return self.setting.tenths

    @property
    def span(self) -> str:
        if not self.last:
            return ""
        return self.last if self.first == self.last else f"{self.first or 'before'} to {self.last}"

    def shown(self, column: str) -> str:
        """A column as the log prints it: set "0.5", proposed "(1.0)", not applying "n/a"."""
        if not self.setting.applies:
            return "n/a"
        if self.tenths is not None:
            return f"{self.tenths[column] / POINT:.1f}" if self.tenths[column] else ""
        return f"({self.proposed[column] / POINT:.1f})" if self.proposed and self.proposed[column] else ""


@dataclass(frozen=True, slots=True)
class Total:
    """Tenths by column over some rows; `rows` is their number."""

    rows: int
    tenths: Tenths

    @property
    def share(self) -> Decimal | None:
        """The builder's share in percent, rounded down to a tenth so that it is never said too high; None of none."""
        points = sum(self.tenths.values())
        return percent(sum(self.tenths[column] for column in BUILDERS), points) if points else None


def percent(part: int, whole: int) -> Decimal:
    return (Decimal(part) * 100 / whole).quantize(Decimal("0.1"), decimal.ROUND_DOWN)


@dataclass(frozen=True, slots=True)
class Worksheet:
    """All rows in the checklist's order, and their totals."""

    lines: list[Line]
    columns: tuple[str, ...] = COLUMNS

    @property
    def applying(self) -> list[Line]:
        return [line for line in self.lines if line.setting.applies]

    def as_set(self) -> Total:
        """Over the rows that the builder set."""
        return _total(line.tenths for line in self.applying)

    def with_proposals(self) -> Total:
        """Over the rows that he set, and those that are proposed where he set nothing."""
        return _total(line.tenths or line.proposed for line in self.applying)

    def proven_only(self) -> tuple[Decimal, int]:
        """The share, in percent, of all rows that apply, each a whole point, with unproven rows at zero, and how many
        those are: rows without a record of the builder's or a helper's work, or without tenths."""
        lines = self.applying
        proven = [line for line in lines if line.own and (line.tenths or line.proposed)]
        tenths = sum((line.tenths or line.proposed or {})[column] for line in proven for column in BUILDERS)
        return percent(tenths, POINT * len(lines)) if lines else Decimal(0), len(lines) - len(proven)

    def in_words(self) -> list[str]:
        """The totals as sentences."""
        own, both = self.as_set(), self.with_proposals()
        share, unproven = self.proven_only()
        applying = words.plural(len(self.applying), "row")
        return [
            f"Over all {applying} that apply, the {unproven} unproven ones at zero: {share} % are the builder’s.",
            f"Over only those rows that the builder has set: {_share(own)}." if own.rows else
            "The builder has set no row yet.",
            f"Over only those rows that are set or, in brackets, proposed: {_share(both)}; this says nothing about the "
            "others." if both.rows else "The records make no row so plain that it is proposed.",
            "The builder’s share is assembly and fabrication divided by all four columns. More than half is needed "
            "for the major portion (14 CFR 21.191(g)); the program only adds up, and only the inspector finds so.",
            "Each row is one point in tenths. Figures in brackets are proposals of the program, made only where the "
            "records show the row’s own work by the builder on exact days, with nobody else’s and no contradiction. "
            "A record shows that such work was done, not that all of the row was: the builder sets the figures."]


def _share(total: Total) -> str:
    points = sum(total.tenths[column] for column in BUILDERS)
    return (f"{total.share} % are the builder’s ({points / POINT:.1f} of {sum(total.tenths.values()) / POINT:.1f} "
            f"points over {words.plural(total.rows, 'row')})")


def _total(found: Any) -> Total:
    rows = [tenths for tenths in found if tenths is not None]
    return Total(len(rows), {column: sum(tenths[column] for tenths in rows) for column in COLUMNS})


def build(found: Collected, items: Sequence[Item], settings: Mapping[str, Set],
          numbers: Mapping[str, int]) -> Worksheet:
    """The worksheet of the whole journal; `numbers` maps record ids to their numbers in the log."""
    by_task: dict[str, list[Row]] = defaultdict(list)
    for act in found.everything["acts"]:
        by_task[act["task"]].append(act)
    return Worksheet([_line(found, item, settings.get(item.row, Set()), by_task, numbers) for item in items])


def _line(found: Collected, item: Item, setting: Set, by_task: Mapping[str, list[Row]],
          numbers: Mapping[str, int]) -> Line:
    acts = [act for task in sorted(item.tasks) for act in by_task.get(task, ()) if item.takes(act)]
    done = [act for act in acts if act["status"] in PERFORMED]
    own = [act for act in done if act["who"] in ("builder", "helper")]
    others = [act for act in done if act["who"] not in ("builder", "helper")]
    proposed, state = propose(found, item, acts, [act for task in UNDOING for act in by_task.get(task, ())])
    if setting.tenths is not None:
        state = "set by the builder"
    if not setting.applies:
        state, proposed = "does not apply", None
    firsts = sorted(act["first_day"] for act in own if act["first_day"])
    lasts = sorted(act["last_day"] for act in own if act["last_day"])
    open_start = any(not act["first_day"] for act in own)
    return Line(item, setting, proposed, state, None if open_start or not firsts else firsts[0],
                lasts[-1] if lasts else None, ", ".join(sorted({words.who(act) for act in done})),
                len({tag["path"] for act in done for tag in found.pictures.get(act["id"], ())}),
                {"own": sorted(numbers.get(act["id"], 0) for act in own),
                 "others": sorted(numbers.get(act["id"], 0) for act in others)})


def propose(found: Collected, item: Item, acts: Sequence[Row], undoing: Sequence[Row]) -> tuple[Tenths | None, str]:
    """What the records of a row make plain, and how it stands, in words."""
    done = [act for act in acts if act["status"] in PERFORMED]
    if not done:
        return None, "not shown"
    if any(_may_be_others(item, act) for act in found.all_performed):
        return None, "others’ work too"
    proof = [act for act in done if act["who"] == "builder" and act["task"] in item.proof]
    if not proof:
        return None, "helpers only" if all(act["who"] == "helper" for act in done) else "shown in part"
    if not all(_sure(act) for act in proof):
        return None, "not sure"
    if not all(edtf_days.is_exact(act["date"]) for act in proof):
        return None, "day is vague"
    if len({act["side"] for act in proof}) == 1 and proof[0]["side"] in ("left", "right"):
        return None, f"only the {proof[0]['side']} side"
    since = min(act["first_day"] for act in proof)
    if any(act["status"] == "not-done" and (_told(found, act) or "") >= since for act in acts):
        return None, "parts said not done"
    parts = {(act["assembly"], act["part"]) for act in proof}
    if any(act["status"] in PERFORMED and (act["last_day"] or "") >= since and (act["assembly"], act["part"]) in parts
           for act in undoing):
        return None, "undone since"
    return {column: POINT if column == item.work else 0 for column in COLUMNS}, "proposed"


def _may_be_others(item: Item, act: Row) -> bool:
    """Work that is not the builder's and belongs to the row, or may belong to it because it was told loosely: its
    assembly or part was not said, or the part is the whole assembly ("the shop riveted the wing")."""
    if act["who"] in ("builder", "helper") or act["task"] not in item.tasks:
        return False
    whole = not act["part"] or act["part"] in ASSEMBLY_NAMES
    return (not act["assembly"] or not item.assemblies or act["assembly"] in item.assemblies) and (
        not item.parts or whole or item.names(act["part"]))


def _sure(act: Row) -> bool:
    return bool(act["correction"]) or (act["confidence"] >= SURE and not act["doubts"])


def _told(found: Collected, act: Row) -> str | None:
    day = found.sources[act["source_id"]]["day"]
    return str(day) if day else None


def read_settings(path: Path, items: Sequence[Item]) -> dict[str, Set]:
    """The builder's figures by row. Raises WorksheetError, naming the row and what is allowed."""
    name, rows = read_rows(path)
    if rows and "row" not in rows[0]:
        raise WorksheetError(f"{name} has no column row: it needs row, applies, {', '.join(COLUMNS)} and note")
    known = {item.row for item in items}
    found: dict[str, Set] = {}
    for row in rows:
        if not any(row.values()):
            continue
        if row["row"] not in known:
            raise WorksheetError(f"{name}: row {row['row'] or '(empty)'} is not in the checklist: take the names of "
                                 "its column row")
        if row["row"] in found:
            raise WorksheetError(f"{name}: row {row['row']} stands twice: keep one of them")
        found[row["row"]] = _setting(f"{name}, row {row['row']}", row)
    return found


def _setting(where: str, row: Mapping[str, str]) -> Set:
    applies = row.get("applies", "").lower()
    if applies not in (*YES, *NO):
        raise WorksheetError(f"{where}: applies is {applies}; write yes or no")
    cells = {column: row.get(column, "") for column in COLUMNS}
    tenths = {column: _tenths(where, column, cell) for column, cell in cells.items()} if any(cells.values()) else None
    if tenths is not None and sum(tenths.values()) != POINT:
        raise WorksheetError(f"{where}: the four columns make {sum(tenths.values()) / POINT:.1f}; "
                             "together they must make one point, 1.0")
    return Set(applies in YES, tenths, row.get("note", ""))


def _tenths(where: str, column: str, cell: str) -> int:
    try:
        value = Decimal(cell.replace(",", ".") or "0") * POINT
    except decimal.InvalidOperation:
        value = Decimal("NaN")
    if not value.is_finite() or value != value.to_integral_value() or not 0 <= value <= POINT:
        raise WorksheetError(f"{where}: {column} is {cell}; write tenths of a point, from 0 to 1: 0.3")
    return int(value)
