"""CSV and JSON Lines of all records, worksheet, gaps and sources, the same bytes for the same journal.

CSV is RFC 4180 in UTF-8, its cells safe in a spreadsheet; JSON Lines hold every text exactly as it is.
"""
from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Sequence
from pathlib import Path

from witnessmark.evidence import timeliness
from witnessmark.evidence.cells import safe
from witnessmark.evidence.gaps import Gap
from witnessmark.evidence.gather import Collected, Row
from witnessmark.evidence.worksheet import COLUMNS, POINT, Line, Worksheet
from witnessmark.store.schema import RECORD_TABLES, TABLES

PLACES = ("latitude", "longitude")
SOURCE_COLUMNS = ("path", "sha256", "size", "kind", "media_type", "state", "captured", "captured_basis",
                  "captured_precision", "captured_note", "day", "registered", "duration", "camera", "caption",
                  "keywords", "problems", "transcript", "words")
RECORD_EXTRA = ("number", "source", "source_sha256", "told")


def write_csv(path: Path, columns: Sequence[str], rows: Iterable[Row]) -> None:
    """Rows as CSV with a header; missing values are empty."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        writer.writerows([safe(row.get(column)) for column in columns] for row in rows)


def write_lines(path: Path, columns: Sequence[str], rows: Iterable[Row]) -> None:
    """Rows as JSON Lines."""
    with path.open("w", encoding="utf-8", newline="") as file:
        for row in rows:
            file.write(json.dumps({column: row.get(column) for column in columns}, ensure_ascii=False) + "\n")


def records(found: Collected, numbers: dict[str, int], place: Path) -> None:
    """`acts.csv`, `acts.jsonl` and so on: every chosen record with its number in the log, its source and its hash."""
    for kind in RECORD_TABLES:
        if kind == "purchases" and not found.choice.money:
            continue
        columns = (*RECORD_EXTRA, *(name for name in TABLES[kind].columns if name not in ("source_id", "picture")))
        if kind == "acts":
            columns = (*columns, "pictures")
        rows = sorted((_record(found, numbers, kind, row) for row in found.records[kind]),
                      key=lambda row: int(row["number"]))
        write_csv(place / f"{kind}.csv", columns, rows)
        write_lines(place / f"{kind}.jsonl", columns, rows)


def _record(found: Collected, numbers: dict[str, int], kind: str, row: Row) -> Row:
    source = found.sources[row["source_id"]]
    more = {"number": numbers[row["id"]], "source": source["path"], "source_sha256": source["sha256"],
            "told": source["day"]}
    if kind == "acts":
        more["pictures"] = sorted({tag["path"] for tag in found.pictures.get(row["id"], ())})
    return {**row, **more}


def sources(found: Collected, place: Path) -> None:
    """`sources.csv` and `.jsonl`: every file of the journal, its hash, and how soon it was registered."""
    columns = (*SOURCE_COLUMNS, "after", "after_seconds", *(PLACES if found.choice.places else ()))
    rows = []
    for source in sorted(found.shown_sources, key=lambda row: (row["path"], row["sha256"])):
        late = timeliness.delay(source)
        rows.append({**source, "after": timeliness.in_words(late),
                     "after_seconds": None if late is None else int(late.total_seconds())})
    write_csv(place / "sources.csv", columns, rows)
    write_lines(place / "sources.jsonl", columns, rows)


WORKSHEET_COLUMNS = ("row", "group", "task", "applies", *COLUMNS, "note", "standing",
                     *(f"proposed_{column}" for column in COLUMNS), "first_day", "last_day", "records",
                     "others_records", "pictures", "who")


def worksheet(sheet: Worksheet, path: Path) -> None:
    """The worksheet; its first columns are those that the builder fills in, and what he has set so far."""
    write_csv(path, WORKSHEET_COLUMNS, map(_line, sheet.lines))


def _line(line: Line) -> Row:
    return {"row": line.row, "group": line.item.group, "task": line.task,
            "applies": "yes" if line.setting.applies else "no", **_tenths("", line.tenths), "note": line.setting.note,
            "standing": line.state, **_tenths("proposed_", line.proposed), "first_day": line.first,
            "last_day": line.last, "records": " ".join(map(str, line.records["own"])),
            "others_records": " ".join(map(str, line.records["others"])), "pictures": line.pictures, "who": line.who}


def _tenths(prefix: str, tenths: dict[str, int] | None) -> Row:
    return {prefix + column: f"{tenths[column] / POINT:.1f}" for column in COLUMNS} if tenths else {}


def gaps(found: Sequence[Gap], path: Path) -> None:
    write_csv(path, ("kind", "what", "detail"), ({"kind": gap.kind, "what": gap.what, "detail": gap.detail}
                                                 for gap in found))


def totals(sheet: Worksheet) -> Row:
    """The worksheet's totals as plain values; shares are percent, as text."""
    share, unproven = sheet.proven_only()
    return {name: {"rows": total.rows, "share": None if total.share is None else str(total.share),
                   "points": {column: total.tenths[column] / POINT for column in COLUMNS}}
            for name, total in (("set", sheet.as_set()), ("set_or_proposed", sheet.with_proposals()))} | {
        "unproven_at_zero": {"rows": len(sheet.applying), "unproven": unproven, "share": str(share)},
        "in_words": sheet.in_words()}

