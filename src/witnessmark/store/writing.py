"""Into the database: one transaction for each file. The caller holds the journal's lock."""
from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping
from typing import Any

from sqlite_utils import Database

import witnessmark
from witnessmark.journal.corrections import Correction, Corrections
from witnessmark.model import Capture, Reading, Settings, Transcript
from witnessmark.store.corrected import Outcome, corrected
from witnessmark.store.rows import as_stored, reading_from_json, reading_to_json, record_rows, source_id, source_row
from witnessmark.store.schema import RECORD_TABLES

Row = dict[str, Any]


def journal_row(settings: Settings, fingerprints: Mapping[str, str] | None = None) -> Row:
    """The journal's own row, as values."""
    return {"id": 1, "title": settings.title, "aircraft": settings.aircraft, "timezone": settings.timezone,
            "currency": settings.currency, "builders": list(settings.builders), "helpers": list(settings.helpers),
            "hired": list(settings.hired), "made_by": witnessmark.__version__, **(fingerprints or {})}


def write_journal(db: Database, row: Row) -> None:
    """Put the journal's own row (`journal_row`) in place."""
    with db.atomic():
        db.table("journal").upsert(as_stored(row), pk="id")


def write_capture(db: Database, capture: Capture, registered: str, state: str = "present",
                  subtitle: str | None = None) -> str:
    """A source as it was found; returns its id. What its words gave stays as it is.

    `registered` is the UTC moment of the register's line; `subtitle` the path of the file that is its transcript.
    """
    identity = source_id(capture.sha256)
    with db.atomic():
        db.table("sources").upsert(source_row(capture, registered, state, subtitle), pk="id")
    return identity


def forget_reading_input(db: Database, identity: str) -> None:
    """The words or the moment of a source have changed: the next run is to read it again."""
    with db.atomic():
        db.execute("UPDATE readings SET input = NULL WHERE source_id = ?", [identity])


def write_file(db: Database, path: str, sha256: str, size: int, mtime_ns: int, beside: str = "") -> None:
    """How a file looked when it was read."""
    with db.atomic():
        db.table("files").upsert({"path": path, "source_id": source_id(sha256), "sha256": sha256, "size": size,
                                  "mtime_ns": mtime_ns, "beside": beside}, pk="path")


def write_reading(db: Database, source: str | Capture, transcript: Transcript, reading: Reading, *,
                  recorded: dt.datetime | None = None, fingerprints: Mapping[str, str | None] | None = None,
                  corrections: Iterable[Correction] = ()) -> list[Outcome]:
    """The words of a source and what was read from them, corrected, in place of what was there.

    `source` is its id or its capture, already written. `recorded` is the moment by which sessions are put in order
    (by default the moment of capture); `fingerprints` are the columns input, before and after of `readings`.
    Returns what became of the corrections that are bound to this source.
    """
    identity = source_id(source.sha256) if isinstance(source, Capture) else source
    row = db.table("sources").get(identity)
    moment = recorded.astimezone(dt.UTC).isoformat(timespec="seconds") if recorded else row["captured_utc"]
    with db.atomic():
        db.table("cues").delete_where("source_id = ?", [identity])
        db.table("cues").insert_all({"source_id": identity, "number": number, "start": cue.start, "end": cue.end,
                                     "text": cue.text, "heard": cue.heard}
                                    for number, cue in enumerate(transcript.cues))
        db.table("sources").update(identity, {
            "transcript": transcript.origin, "language": transcript.language,
            "words": sum(len(cue.text.split()) for cue in transcript.cues)})
        db.table("readings").upsert({"source_id": identity, "recorded": moment, **(fingerprints or {}),
                                     "reading": reading_to_json(reading),
                                     "problems": json.dumps(transcript.problems, ensure_ascii=False)}, pk="source_id")
        return _write_records(db, row, reading, corrections)


def rewrite_records(db: Database, identity: str, corrections: Iterable[Correction]) -> list[Outcome]:
    """A source's records again from its kept reading, with these corrections; nothing is read anew."""
    row = db.table("sources").get(identity)
    kept = list(db.query("SELECT reading FROM readings WHERE source_id = ?", [identity]))
    reading = reading_from_json(kept[0]["reading"]) if kept else Reading()
    with db.atomic():
        return _write_records(db, row, reading, corrections)


def _write_records(db: Database, source: Row, reading: Reading, corrections: Iterable[Correction]) -> list[Outcome]:
    tables = record_rows(source["sha256"], reading, source["day"])
    rows, outcomes = corrected(tables, corrections, source["sha256"], source["day"])
    for kind in RECORD_TABLES:
        db.table(kind).delete_where("source_id = ?", [source["id"]])
        db.table(kind).insert_all(map(as_stored, rows[kind]))
    return outcomes


def write_corrections(db: Database, corrections: Corrections, outcomes: Iterable[Outcome]) -> None:
    """The table of corrections: every line, and what became of it."""
    found = {outcome.correction.id: outcome.record_id for outcome in outcomes}
    rows = []
    for line in corrections.lines:
        state = "undone" if line.id in corrections.undone else "applied"
        if state == "applied" and line.do not in ("undo", "word") and found.get(line.id) is None:
            state = "unmatched"
        rows.append(as_stored({"id": line.id, "number": line.number, "do": line.do, "kind": line.kind,
                               "sha256": line.sha256, "path": line.path, "start": line.start, "cue": line.cue,
                               "from": line.from_, "to": line.to, "why": line.why, "when": line.when, "state": state,
                               "record_id": found.get(line.id)}))
    with db.atomic():
        db.table("corrections").delete_where()
        db.table("corrections").insert_all(rows)


def write_links(db: Database, same_as: Mapping[str, str], closed: Mapping[str, tuple[str, str | None]]) -> None:
    """Which purchase is another telling of an earlier one, and which open item was closed by what, on which day."""
    with db.atomic():
        db.execute("UPDATE purchases SET same_as = NULL WHERE same_as IS NOT NULL")
        db.execute("UPDATE open_items SET closed_by = NULL, closed_on = NULL WHERE closed_by IS NOT NULL")
        db.conn.executemany("UPDATE purchases SET same_as = ? WHERE id = ?",
                            [(first, again) for again, first in same_as.items()])
        db.conn.executemany("UPDATE open_items SET closed_by = ?, closed_on = ? WHERE id = ?",
                            [(by, on, item) for item, (by, on) in closed.items()])


def set_state(db: Database, identity: str, state: str, path: str | None = None) -> None:
    """Mark a source as present or gone; `path` where it is found now."""
    with db.atomic():
        db.table("sources").update(identity, {"state": state, **({"path": path} if path else {})})


def forget_file(db: Database, path: str) -> None:
    with db.atomic():
        db.table("files").delete_where("path = ?", [path])


def remove_source(db: Database, identity: str) -> None:
    """Take a source and everything that came from it out of the database; the register keeps its line."""
    with db.atomic():
        for table in ("cues", "readings", *RECORD_TABLES, "photos", "photo_tags", "receipts", "files"):
            db.table(table).delete_where("source_id = ?", [identity])
        db.table("sources").delete_where("id = ?", [identity])
