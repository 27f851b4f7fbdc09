"""Records to rows and back: pure functions."""
from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from collections import Counter
from typing import Any

from witnessmark.edtf_days import day_window
from witnessmark.journal.register import as_edtf
from witnessmark.model import Act, Capture, Hours, Moment, OpenItem, Purchase, Reading, Record, as_dict
from witnessmark.store.schema import DATED_TABLES, RECORD_TABLES, TABLES

RECORD_TYPES: dict[str, type[Record]] = {"acts": Act, "hours": Hours, "purchases": Purchase, "open_items": OpenItem}
FIELDS = {kind.__name__: frozenset(field.name for field in dataclasses.fields(kind)) for kind in RECORD_TYPES.values()}
LISTS = ("rules", "doubts")
ID_DIGITS = 16

Row = dict[str, Any]


def source_id(sha256: str) -> str:
    """The short id of a source."""
    return sha256[:ID_DIGITS]


def still_name(sha256: str, start: float) -> str:
    """The file name, in the folder of thumbnails, of the still from a second of a film."""
    return f"{sha256}-{round(start * 1000)}.jpg"


def short_hash(*parts: object) -> str:
    """Twelve hexadecimal digits that stand for these values."""
    return hashlib.sha256("\0".join(map(str, parts)).encode()).hexdigest()[:12]


def reading_to_json(reading: Reading) -> str:
    """A reading as JSON, the same text for the same reading."""
    return json.dumps({kind: [as_dict(record) for record in getattr(reading, kind)] for kind in RECORD_TABLES},
                      ensure_ascii=False, separators=(",", ":"))


def reading_from_json(text: str) -> Reading:
    """The reading that `reading_to_json` wrote."""
    kept: dict[str, list[Row]] = json.loads(text)
    tables: dict[str, Any] = {kind: tuple(_record(RECORD_TYPES[kind], fields) for fields in kept[kind])
                              for kind in RECORD_TABLES}
    return Reading(**tables)


def _record(kind: type[Record], fields: Row) -> Record:
    known = FIELDS[kind.__name__]
    values: Row = {name: tuple(value) if isinstance(value, list) else value
                   for name, value in fields.items() if name in known}
    return kind(**values)


def record_of(kind: str, row: Row) -> Record:
    """The record that a row (with its lists unpacked) holds, after corrections."""
    values = {name: bool(value) if name in ("counted", "approx") else value for name, value in row.items()}
    return _record(RECORD_TYPES[kind], values)


def record_rows(sha256: str, reading: Reading, day: str | None) -> dict[str, list[Row]]:
    """The rows of each record table for a source; `day` is the local day on which it was recorded."""
    tables: dict[str, list[Row]] = {}
    for kind in RECORD_TABLES:
        equals: Counter[int] = Counter()
        tables[kind] = []
        for record in getattr(reading, kind):
            identity = short_hash(sha256, kind, record.cue, equals[record.cue])
            equals[record.cue] += 1
            row = {"id": identity, "source_id": source_id(sha256), **as_dict(record), "correction": None}
            tables[kind].append(complete(kind, row, day))
    return tables


def complete(kind: str, row: Row, day: str | None) -> Row:
    """A row with what follows from its fields: the days of its date, and blanks for the columns that it lacks."""
    full = {column: row.get(column) for column in TABLES[kind].columns}
    for column in LISTS:
        full[column] = list(full[column] or ())
    if kind in DATED_TABLES:
        full["first_day"], full["last_day"] = (end.isoformat() if end else None
                                                 for end in day_window(full["date"]))
    if kind == "open_items":
        full["day"] = day
    return full


def as_stored(row: Row) -> Row:
    """A row as SQLite holds it: lists and objects as JSON, truth as 1 and 0."""
    return {name: json.dumps(value, ensure_ascii=False) if isinstance(value, list | tuple | dict)
            else int(value) if isinstance(value, bool) else value for name, value in row.items()}


def moment_columns(moment: Moment) -> Row:
    """How a moment stands in a source's row."""
    known = moment.at is not None and moment.precision != "none"
    to_the_day = known and moment.precision in ("second", "minute", "day")
    return {"captured": as_edtf(moment), "captured_basis": moment.basis, "captured_precision": moment.precision,
            "zone_basis": moment.zone_basis, "captured_note": moment.note or None,
            "captured_utc": moment.at.astimezone(dt.UTC).isoformat(timespec="seconds") if known and moment.at else None,
            "day": moment.at.date().isoformat() if to_the_day and moment.at else None}


def source_row(capture: Capture, registered: str, state: str = "present", subtitle: str | None = None) -> Row:
    """The row of a source, without what is known only when its words have been read."""
    return as_stored({
        "id": source_id(capture.sha256), "path": capture.path, "sha256": capture.sha256, "size": capture.size,
        "kind": capture.kind, "media_type": capture.media_type, "state": state, **moment_columns(capture.moment),
        "registered": registered, "duration": capture.duration, "has_video": capture.has_video,
        "has_sound": capture.has_sound, "width": capture.width, "height": capture.height, "camera": capture.camera,
        "caption": capture.caption, "keywords": capture.keywords,
        "problems": capture.problems, "subtitle": subtitle})
