"""Why the program says what it says: the words, how they were read, the records, the rules, the corrections."""
from __future__ import annotations

import json
import re
from typing import Any

from sqlite_utils import Database

from witnessmark.errors import WitnessmarkError
from witnessmark.model import Settings
from witnessmark.store.corrected import IDENTITY
from witnessmark.store.loading import query
from witnessmark.store.schema import RECORD_TABLES

AT = re.compile(r"(?P<source>.+)@(?:(?P<hours>\d+):)?(?:(?P<minutes>\d+):)?(?P<seconds>\d+(?:\.\d+)?)")
AROUND = 1


def explain(db: Database, source: str, settings: Settings) -> dict[str, Any]:
    """The words of a source (its path, file name or id), or those around `@TIME`, and all that was made of them."""
    name, at = split(source)
    row = _source(db, name)
    cues = query(db, "SELECT * FROM cues WHERE source_id = ? ORDER BY number", [row["id"]])
    if at is not None and cues:
        nearest = max((number for number, cue in enumerate(cues) if cue["start"] <= at), default=0)
        cues = cues[max(nearest - AROUND, 0):nearest + AROUND + 1]
    records = _records(db, row["id"])
    parses = _parses(row, cues, settings)
    return {"source": row["path"], "recorded": row["captured"], "basis": row["captured_basis"],
            "transcript": row["transcript"],
            "cues": [{"number": cue["number"], "start": cue["start"], "end": cue["end"], "text": cue["text"],
                      "heard": cue["heard"], "parse": parses.get(cue["number"], []),
                      "records": [record for record in records if record["cue"] == cue["number"]]} for cue in cues]}


def split(source: str) -> tuple[str, float | None]:
    """SOURCE@TIME → the source and the seconds; no time → None."""
    found = AT.fullmatch(source)
    if not found:
        return source, None
    hours, minutes = found["hours"], found["minutes"]
    if hours is not None and minutes is None:
        hours, minutes = None, hours
    return found["source"], int(hours or 0) * 3600 + int(minutes or 0) * 60 + float(found["seconds"])


def _source(db: Database, name: str) -> dict[str, Any]:
    found = query(db, "SELECT * FROM sources WHERE path = ? OR id = ? OR path LIKE ? ESCAPE '!' ORDER BY path",
                  [name, name, "%/" + re.sub(r"([%_!])", r"!\1", name)])
    if not found:
        raise WitnessmarkError(f"{name} is not in this journal: give its path in the folder, as `witnessmark records` "
                               "prints it")
    return next((row for row in found if row["path"] == name), found[0])


def _records(db: Database, identity: str) -> list[dict[str, Any]]:
    found = []
    for kind in RECORD_TABLES:
        for row in query(db, f"SELECT * FROM {kind} WHERE source_id = ? ORDER BY cue, id", [identity]):
            said = ", ".join(f"{name} {row[name]}" for name in IDENTITY[kind] if row[name] is not None)
            why = row.get("why") if kind == "hours" else None
            found.append({"kind": kind, "id": row["id"], "cue": row["cue"], "said": f"{said} ({why})" if why else said,
                          "confidence": row["confidence"], "rules": row["rules"], "doubts": row["doubts"],
                          "corrections": _corrections(db, row["id"])})
    return found


def _corrections(db: Database, record: str) -> list[dict[str, Any]]:
    return [{**row, "to": json.loads(row["to"])} for row in db.query(
        'SELECT id, "do", "to", why, "when", state FROM corrections WHERE record_id = ? ORDER BY number', [record])]


def _parses(row: dict[str, Any], cues: list[dict[str, Any]], settings: Settings) -> dict[int, list[str]]:
    """How each cue was read, in plain words."""
    return {}
