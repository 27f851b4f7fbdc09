"""All that was extracted, session by session, in the form that `records --json` prints."""
from __future__ import annotations

from collections import defaultdict
from typing import Any

from sqlite_utils import Database

from witnessmark.store.loading import query
from witnessmark.store.schema import RECORD_TABLES

PROGRAMS_OWN = ("source_id", "first_day", "last_day", "same_as", "closed_by", "closed_on", "receipt_id", "day")


def sessions(db: Database, source: str | None = None) -> list[dict[str, Any]]:
    """Every session in order of recording: `source`, `recorded`, its records by kind, its cues.

    Records have the fields of the label guide and `start`, `end` (seconds), `quote`, `confidence`, `rules`, `doubts`.
    `source` (a path) asks for one session only.
    """
    where, values = ("AND s.path = ?", [source]) if source else ("", [])
    found = query(db, f"""SELECT s.id, s.path, s.captured, s.captured_basis, s.state FROM sources AS s
        JOIN readings AS r ON r.source_id = s.id WHERE 1 {where} ORDER BY r.recorded, s.id""", values)
    records = {kind: _by_source(db, f"SELECT * FROM {kind} ORDER BY source_id, cue, start, id")
               for kind in RECORD_TABLES}
    cues = _by_source(db, "SELECT * FROM cues ORDER BY source_id, number")
    return [{"source": row["path"], "recorded": row["captured"], "basis": row["captured_basis"], "state": row["state"],
             **{kind: [_shown(kind, record) for record in records[kind][row["id"]]] for kind in RECORD_TABLES},
             "cues": [{"start": cue["start"], "end": cue["end"], "text": cue["text"]} for cue in cues[row["id"]]]}
            for row in found]


def _by_source(db: Database, sql: str) -> dict[str, list[dict[str, Any]]]:
    grouped: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for row in query(db, sql):
        grouped[row["source_id"]].append(row)
    return grouped


def _shown(kind: str, record: dict[str, Any]) -> dict[str, Any]:
    truths = ("counted", "approx") if kind == "hours" else ()
    shown = {name: bool(value) if name in truths else value for name, value in record.items()
             if name not in PROGRAMS_OWN and not (name in ("correction", "count") and value is None)}
    if kind == "open_items":
        shown["closed_by"] = record["closed_by"]
    return shown
