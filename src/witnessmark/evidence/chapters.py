"""The chapters of the log behind the summary, as plain values. Pure functions."""
from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from witnessmark import words
from witnessmark.evidence import timeliness
from witnessmark.evidence.entries import HELPER, OTHER, OWN, WHOSE, Day, Entry, as_data
from witnessmark.evidence.gaps import ROW, Gap
from witnessmark.evidence.gather import Collected
from witnessmark.evidence.worksheet import Line, Worksheet

Section = dict[str, Any]
WORK = (OWN, HELPER, OTHER)
SHORT_HASH = 12


def table(heading: str, head: Sequence[str], widths: Sequence[str], rows: list[list[str]], intro: Iterable[str] = (),
          right: Iterable[int] = (), **more: Any) -> Section:
    """A section with one table; `widths` are shares of the line or "auto", `right` the columns of figures."""
    aligned = set(right)
    return {"kind": "table", "heading": heading, "intro": list(intro), "head": list(head), "columns": list(widths),
            "align": ["r" if at in aligned else "l" for at in range(len(head))], "rows": rows, **more}


def daily(days: list[Day]) -> list[Section]:
    """Every record, in order of time."""
    return [{"kind": "days", "heading": "Day by day", "new_page": True, "intro": [
        "Every record of the journal in the chosen period, once, with a running number. Bold: work that was done. "
        "A thick bar at the left: work that is not the builder’s. Moved to the right: what is no work done "
        "(hours told, plans, advice, what was left to do)."],
        "days": [{"heading": day.heading, "entries": _each_picture_once(day)} for day in days]}]


def _each_picture_once(day: Day) -> list[Section]:
    """A day's entries as plain values; a picture that belongs to several of them stands with the first."""
    first: dict[str, int] = {}
    entries = []
    for entry in day.entries:
        data = as_data(entry)
        if entry.picture and entry.picture in first:
            data["picture"] = None
            data["facts"].append(f"Picture: with No. {first[entry.picture]}")
        elif entry.picture:
            first[entry.picture] = entry.number
        entries.append(data)
    return entries


def _work(days: list[Day]) -> list[Entry]:
    return [entry for day in days for entry in day.entries if entry.kind in WORK]


def by_assembly(days: list[Day]) -> list[Section]:
    """Work that was done, by assembly, in order of time."""
    found: dict[str, list[Entry]] = defaultdict(list)
    for entry in _work(days):
        found[words.assembly(entry.row["assembly"])].append(entry)
    tables = [table(name, ("No.", "Day", "Work", "By"), ("auto", "1.2", "3", "1.6"),
                    [[str(entry.number), words.date(entry.row["date"]), entry.what, _by(entry)] for entry in group],
                    right=(0,), level=2) for name, group in sorted(found.items())]
    return [{"kind": "text", "heading": "By assembly", "new_page": True, "paragraphs": [
        "The work that was done, once more, each assembly in order of time; numbers are those of the records."]},
        *tables]


def _by(entry: Entry) -> str:
    return words.who(entry.row) if entry.kind != OTHER else f"{words.who(entry.row)} (not the builder)"


def not_the_builders(days: list[Day], whole: bool) -> list[Section]:
    """Commercial and factory work, set apart."""
    rows = [[str(entry.number), words.date(entry.row["date"]), entry.what, words.who(entry.row),
             WHOSE.get(entry.row["who"] or "", "not said")] for entry in _work(days) if entry.kind == OTHER]
    none = "None was told." if whole else "None in this extract."
    intro = ["Work for hire and work of the makers of kit, parts and engine, as told. None of it is counted as the "
             "builder’s anywhere in this log or in the worksheet."]
    return [table("Work that is not the builder’s", ("No.", "Day", "Work", "By", "Kind"),
                  ("auto", "1.2", "3", "1.4", "1.2"), rows, intro if rows else [*intro, none],
                  right=(0,), new_page=True)]


def by_part(days: list[Day]) -> list[Section]:
    """The index by part."""
    found: dict[tuple[str, str], list[Entry]] = defaultdict(list)
    for entry in _work(days):
        part = entry.row["part"] or "not named"
        found[part.casefold(), words.assembly(entry.row["assembly"])].append(entry)
    rows = [[group[0].row["part"] or "not named", assembly, ", ".join(str(entry.number) for entry in group)]
            for (_, assembly), group in sorted(found.items())]
    return [table("Index by part", ("Part", "Assembly", "Numbers of the records"), ("2", "1.5", "3"), rows,
                  new_page=True)]


def worksheet(sheet: Worksheet) -> list[Section]:
    """The worksheet as a table, and its totals."""
    rows = [[line.row, line.task, line.state, line.span, str(line.own), str(line.others), str(line.pictures),
             *(line.shown(column) for column in sheet.columns)] for line in sheet.lines]
    return [table("Worksheet", ("Row", "Task", "Standing", "Days", "Own", "Oth.", "Pic.", "Maker", "Hired", "Assem.",
                                "Fabr."),
                  ("auto", "3", "1.3", "1.5", *["auto"] * 7), rows, sheet.in_words(), right=range(4, 11),
                  new_page=True),
            table("Numbers of the records behind each row",
                  ("Row", "Builder’s records and helpers’", "Others’ records"), ("auto", "3", "1"),
                  [[line.row, _short(line, "own"), _short(line, "others")] for line in sheet.lines
                   if line.own or line.others], level=2)]


def _short(line: Line, kind: str) -> str:
    numbers = [str(number) for number in line.records[kind] if number]
    outside = len(line.records[kind]) - len(numbers)
    return ", ".join([*numbers, f"{outside} outside this extract"] if outside else numbers)


def gaps(found: list[Gap]) -> list[Section]:
    """What is missing."""
    rows = [[gap.kind, gap.what, gap.detail] for gap in found if gap.kind != ROW]
    empty = [gap.what.split(" ", 1)[0] for gap in found if gap.kind == ROW]
    if empty:
        rows.append([ROW, f"{words.plural(len(empty), 'row')} of the worksheet", ", ".join(empty)])
    return [table("Gaps", ("Kind", "What", "In detail"), ("1.2", "2", "3"), rows,
                  ["What an inspector may ask for and this journal does not show. A gap says nothing about the work, "
                   "only about its record."], new_page=True)]


def _minute(moment: str | None) -> str:
    """An ISO moment to the minute, as a day and a time."""
    return (moment or "")[:16].replace("T", " ")


def made_at_the_time(found: Collected) -> list[Section]:
    """How soon after its recording each file was registered."""
    sources = sorted(found.shown_sources, key=lambda row: (row["captured_utc"] or "", row["path"]))
    counts = "; ".join(f"{count} {name}" for name, count in timeliness.classes(sources))
    rows = [[row["path"], _minute(row["captured"]) or "not known", words.BASES.get(row["captured_basis"], ""),
             f"{_minute(row['registered'])} UTC", timeliness.in_words(timeliness.delay(row)),
             row["sha256"][:SHORT_HASH]]
            for row in sources]
    intro = ["When a file was first seen, a line with its hash was added to the register, and each line carries the "
             "hash of the line before. The times are those of the builder’s computer; what fixes them for others is "
             "the register’s last hash (first page) in a dated print or e-mail: everything registered before it was "
             "there on that date. `witnessmark evidence FOLDER --head HASH` tells what such a hash stands for.",
             f"From recording to registration: {counts or 'no file is registered'}."]
    intro += [f"The register does not hold: {fault}." for fault in found.register.faults]
    return [table("Made at the time", ("File", "Recorded", "Known by", "Registered", "After", "SHA-256"),
                  ("2.4", "1.6", "1.2", "1.5", "1", "auto"), rows, intro, new_page=True)]
