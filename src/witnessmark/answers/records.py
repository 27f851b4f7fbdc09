"""All that was extracted, session by session, in the form that `records --json` prints."""
from __future__ import annotations

from collections import defaultdict
from typing import Any

from sqlite_utils import Database

from witnessmark.answers import pictures
from witnessmark.store.loading import query
from witnessmark.store.schema import RECORD_TABLES

PROGRAMS_OWN = ("source_id", "first_day", "last_day", "closed_on", "receipt_id", "day", "picture")
ONLY_IF_KNOWN = ("correction", "count", "same_as", "receipt_problems")


def sessions(db: Database, source: str | None = None) -> list[dict[str, Any]]:
    """Every session in order of recording: `source`, `recorded`, `basis`, `state`, its records by kind, its cues.

    Records have the fields of the label guide and `start`, `end` (seconds), `quote`, `confidence`, `rules`, `doubts`;
    acts have `pictures` and `still`, purchases `receipt` (paths) where there are any. `source` (a path) asks for one
    session.
    """
    where, values = ("AND s.path = ?", [source]) if source else ("", [])
    found = query(db, f"""SELECT s.id, s.path, s.captured, s.captured_basis, s.state FROM sources AS s
        JOIN readings AS r ON r.source_id = s.id WHERE 1 {where} ORDER BY r.recorded, s.id""", values)
    records = {kind: _by_source(db, f"SELECT * FROM {kind} ORDER BY source_id, cue, start, id")
               for kind in RECORD_TABLES}
    proofs = _proofs(db)
    cues = _by_source(db, "SELECT * FROM cues ORDER BY source_id, number")
    return [{"source": row["path"], "recorded": row["captured"], "basis": row["captured_basis"], "state": row["state"],
             **{kind: [_shown(kind, record, proofs) for record in records[kind][row["id"]]] for kind in RECORD_TABLES},
             "cues": [{"start": cue["start"], "end": cue["end"], "text": cue["text"]} for cue in cues[row["id"]]]}
            for row in found]


def _by_source(db: Database, sql: str) -> dict[str, list[dict[str, Any]]]:
    grouped: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for row in query(db, sql):
        grouped[row["source_id"]].append(row)
    return grouped


def _proofs(db: Database) -> dict[str, list[str]]:
    """Record id → paths of the pictures that were taken with it, best first, or of the receipt that proves it."""
    proofs = pictures.of_every_act(db)
    for row in db.query("SELECT p.id AS record, s.path FROM purchases AS p JOIN sources AS s ON s.id = p.receipt_id"):
        proofs[row["record"]].append(row["path"])
    return proofs


def _shown(kind: str, record: dict[str, Any], proofs: dict[str, list[str]]) -> dict[str, Any]:
    truths = ("counted", "approx") if kind == "hours" else ()
    shown = {name: bool(value) if name in truths else value for name, value in record.items()
             if name not in PROGRAMS_OWN and not (name in ONLY_IF_KNOWN and value is None)}
    if record["id"] in proofs:
        shown["pictures" if kind == "acts" else "receipt"] = proofs[record["id"]]
    if record.get("picture"):
        shown["still"] = f"{pictures.STILLS}/{record['picture']}"
    return shown
