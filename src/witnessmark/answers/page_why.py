"""Why the log says something: one record with its words and corrections; and all corrections. Read-only."""
from __future__ import annotations

import json
from typing import Any

from sqlite_utils import Database

from witnessmark.store.corrected import changeable
from witnessmark.store.loading import query
from witnessmark.store.schema import RECORD_TABLES

Row = dict[str, Any]
AROUND = 2
PLAIN = ("start", "end", "cue", "quote", "confidence", "rules", "doubts")


def record(db: Database, identity: str) -> tuple[str, Row] | None:
    """The table and row of a record, with its source; None where there is none."""
    for kind in RECORD_TABLES:
        found = query(db, f"""SELECT r.*, s.path AS source, s.kind AS source_kind, s.day AS told FROM {kind} AS r
            JOIN sources AS s ON s.id = r.source_id WHERE r.id = ?""", [identity])
        if found:
            return kind, found[0]
    return None


def why(db: Database, identity: str) -> Row | None:
    """`kind`, `record`, `source`, the `cues` around its words, its `fields` that can be changed, its `corrections`."""
    found = record(db, identity)
    if found is None:
        return None
    kind, row = found
    source = query(db, "SELECT * FROM sources WHERE id = ?", [row["source_id"]])[0]
    cues = query(db, "SELECT * FROM cues WHERE source_id = ? AND number BETWEEN ? AND ? ORDER BY number",
                 [row["source_id"], row["cue"] - AROUND, row["cue"] + AROUND]) if row["cue"] is not None else []
    return {"kind": kind, "record": row, "source": source, "cues": cues, "fields": fields_of(kind),
            "corrections": corrections_of(db, identity), "closer": _closer(db, row)}


def fields_of(kind: str) -> list[str]:
    """The fields of a record that its form shows."""
    return [name for name in changeable(kind) if name not in PLAIN]


def _closer(db: Database, row: Row) -> Row | None:
    """The record that closed an open item."""
    found = record(db, row["closed_by"]) if row.get("closed_by") else None
    return {"kind": found[0], **found[1]} if found else None


def corrections_of(db: Database, identity: str) -> list[Row]:
    """The corrections of one record, oldest first."""
    return [_told(row) for row in db.query("SELECT * FROM corrections WHERE record_id = ? ORDER BY number", [identity])]


def corrections(db: Database, skip: int = 0, most: int = 100) -> Row:
    """A page of all corrections, those first that no longer find their record, then the latest: `unmatched`, `lines`.

    `count` is of all; `left` of those after this page.
    """
    rows = [_told(row) for row in db.query("""SELECT * FROM corrections
        ORDER BY state = 'unmatched' DESC, number DESC LIMIT ? OFFSET ?""", [most, skip])]
    count = next(db.query("SELECT count(*) AS count FROM corrections"))["count"]
    return {"unmatched": [row for row in rows if row["state"] == "unmatched"], "count": count, "skip": skip,
            "lines": [row for row in rows if row["state"] != "unmatched"], "left": max(count - skip - most, 0),
            "next": skip + most, "previous": max(skip - most, 0)}


def _told(row: Row) -> Row:
    return {**row, "from": json.loads(row["from"] or "{}"), "to": json.loads(row["to"] or "{}")}
