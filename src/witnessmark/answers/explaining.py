"""Why the program says what it says: the words, how they were read, the records, the rules, the corrections."""
from __future__ import annotations

import json
import re
from typing import Any

from sqlite_utils import Database

from witnessmark.errors import WitnessmarkError
from witnessmark.model import Settings
from witnessmark.store import loading
from witnessmark.store.corrected import IDENTITY
from witnessmark.store.schema import RECORD_TABLES

AT = re.compile(r"(?P<source>.+)@(?:(?P<hours>\d+):)?(?:(?P<minutes>\d+):)?(?P<seconds>\d+(?:\.\d+)?)")
AROUND = 1


def explain(db: Database, source: str, settings: Settings) -> dict[str, Any]:
    """The words of a source (its path, file name or id), or those around `@TIME`, and all that was made of them."""
    name, at = split(source)
    row = _source(db, name)
    cues = loading.query(db, "SELECT * FROM cues WHERE source_id = ? ORDER BY number", [row["id"]])
    if at is not None and cues:
        nearest = max((number for number, cue in enumerate(cues) if cue["start"] <= at), default=0)
        cues = cues[max(nearest - AROUND, 0):nearest + AROUND + 1]
    records = _records(db, row["id"])
    parses = _parses(db, row, settings)
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
    found = loading.query(db, "SELECT * FROM sources WHERE path = ? OR id = ? OR path LIKE ? ESCAPE '!' ORDER BY path",
                  [name, name, "%/" + re.sub(r"([%_!])", r"!\1", name)])
    if not found:
        raise WitnessmarkError(f"{name} is not in this journal: give its path in the folder, as `witnessmark records` "
                               "prints it")
    return next((row for row in found if row["path"] == name), found[0])


def _records(db: Database, identity: str) -> list[dict[str, Any]]:
    from witnessmark.reading.explain import describe

    found = []
    for kind in RECORD_TABLES:
        for row in loading.query(db, f"SELECT * FROM {kind} WHERE source_id = ? ORDER BY cue, id", [identity]):
            said = ", ".join(f"{name} {row[name]}" for name in IDENTITY[kind] if row[name] is not None)
            why = row.get("why") if kind == "hours" else None
            found.append({"kind": kind, "id": row["id"], "cue": row["cue"], "said": f"{said} ({why})" if why else said,
                          "confidence": row["confidence"], "rules": row["rules"], "doubts": row["doubts"],
                          "because": [describe(rule) for rule in row["rules"]],
                          "corrections": _corrections(db, row["id"])})
    return found


def _corrections(db: Database, record: str) -> list[dict[str, Any]]:
    return [{**row, "to": json.loads(row["to"])} for row in db.query(
        'SELECT id, "do", "to", why, "when", state FROM corrections WHERE record_id = ? ORDER BY number', [record])]


def _parses(db: Database, row: dict[str, Any], settings: Settings) -> dict[int, list[str]]:
    """How the words of each cue were read, in plain words."""
    from witnessmark.reading.explain import parse_lines
    from witnessmark.trade.lexicon import Lexicon

    session = loading.load_session(db, row, settings.timezone)
    if session is None:
        return {}
    place = next(iter(db.query("SELECT recorded FROM readings WHERE source_id = ?", [row["id"]])), None)
    memory = loading.load_memory(db, (place["recorded"], row["id"]) if place else None)
    return parse_lines(session, Lexicon.load(settings.vocabulary), memory)
