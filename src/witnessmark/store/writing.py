"""Into the database: one transaction for each file. The caller holds the journal's lock."""
from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlite_utils import Database

import witnessmark
from witnessmark.journal.corrections import Correction, Corrections
from witnessmark.model import Capture, Reading, Settings, Transcript
from witnessmark.store.corrected import Outcome, corrected
from witnessmark.store.rows import (
    as_stored,
    reading_from_json,
    reading_to_json,
    record_rows,
    source_id,
    source_row,
    still_name,
)
from witnessmark.store.schema import RECORD_TABLES, TABLES

Row = dict[str, Any]


def journal_row(settings: Settings, fingerprints: Mapping[str, str] | None = None) -> Row:
    """The journal's own row, as values."""
    return {"id": 1, "title": settings.title, "aircraft": settings.aircraft, "timezone": settings.timezone,
            "currency": settings.currency, "builders": list(settings.builders), "helpers": list(settings.helpers),
            "hired": list(settings.hired), "made_by": witnessmark.__version__, **(fingerprints or {})}


def put(db: Database, table: str, row: Row) -> None:
    """A row in place of the one with its key, whose other columns stay; by one statement.

    The library's own `upsert` looks the table's columns and keys up for every row: for thousands of pictures that takes
    longer than reading them.
    """
    names, key = list(row), TABLES[table].key
    changed = [f'"{name}" = excluded."{name}"' for name in names if name not in key]
    columns, marks = ", ".join(f'"{name}"' for name in names), ", ".join("?" * len(names))
    then = f"UPDATE SET {', '.join(changed)}" if changed else "NOTHING"
    db.execute(f"INSERT INTO {table} ({columns}) VALUES ({marks}) ON CONFLICT ({', '.join(key)}) DO {then}",
               list(row.values()))


def write_journal(db: Database, row: Row) -> None:
    """Put the journal's own row (`journal_row`) in place."""
    with db.atomic():
        put(db, "journal", as_stored(row))


def write_capture(db: Database, capture: Capture, registered: str, state: str = "present",
                  subtitle: str | None = None) -> str:
    """A source as it was found; returns its id. What its words gave stays as it is.

    `registered` is the UTC moment of the register's line; `subtitle` the path of the file that is its transcript.
    """
    row = source_row(capture, registered, state, subtitle)
    write_source(db, row, capture.gps)
    return str(row["id"])


def write_source(db: Database, row: Row, gps: tuple[float, float] | None) -> None:
    """The row of a source (`rows.source_row`), and its place apart from it."""
    with db.atomic():
        put(db, "sources", row)
        if gps:
            put(db, "places", {"source_id": row["id"], "latitude": gps[0], "longitude": gps[1]})


def forget_reading_input(db: Database, identity: str) -> None:
    """The words or the moment of a source have changed: the next run is to read it again."""
    with db.atomic():
        db.execute("UPDATE readings SET input = NULL WHERE source_id = ?", [identity])


def write_file(db: Database, path: str, sha256: str, size: int, mtime_ns: int, beside: str = "") -> None:
    """How a file looked when it was read."""
    with db.atomic():
        put(db, "files", {"path": path, "source_id": source_id(sha256), "sha256": sha256, "size": size,
                          "mtime_ns": mtime_ns, "beside": beside})


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
        put(db, "readings", {"source_id": identity, "recorded": moment, **(fingerprints or {}),
                             "reading": reading_to_json(reading),
                             "problems": json.dumps(transcript.problems, ensure_ascii=False)})
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
    if source["has_video"]:
        for act in tables["acts"]:
            act["picture"] = still_name(source["sha256"], act["start"])
    rows, outcomes = corrected(tables, corrections, source["sha256"], source["day"])
    _forget_links(db)
    for kind in RECORD_TABLES:
        db.table(kind).delete_where("source_id = ?", [source["id"]])
        db.table(kind).insert_all(map(as_stored, rows[kind]))
    return outcomes


def _forget_links(db: Database) -> None:
    """What leads from record to record is to be made again, even if this run is cut off before that."""
    db.execute("UPDATE journal SET links_key = NULL, pictures_key = NULL")


def write_corrections(db: Database, corrections: Corrections, outcomes: Iterable[Outcome]) -> None:
    """The table of corrections: every line, and what became of it."""
    found = {outcome.correction.id: outcome.record_id for outcome in outcomes}
    rows = []
    for line in corrections.lines:
        state = "undone" if line.id in corrections.undone else "applied"
        if state == "applied" and line.do not in ("undo", "word", "clock") and found.get(line.id) is None:
            state = "unmatched"
        rows.append(as_stored({"id": line.id, "number": line.number, "do": line.do, "kind": line.kind,
                               "sha256": line.sha256, "path": line.path, "start": line.start, "cue": line.cue,
                               "from": line.from_, "to": line.to, "why": line.why, "when": line.when, "state": state,
                               "record_id": found.get(line.id)}))
    with db.atomic():
        db.table("corrections").delete_where()
        db.table("corrections").insert_all(rows)


def write_links(db: Database, same_purchase: Mapping[str, str], same_job: Mapping[str, str],
                closed: Mapping[str, tuple[str, str | None]]) -> None:
    """Which purchase or open item is another telling of an earlier one; what closed an open item, and on which day."""
    with db.atomic():
        db.execute("UPDATE open_items SET closed_by = NULL, closed_on = NULL WHERE closed_by IS NOT NULL")
        for table, same in (("purchases", same_purchase), ("open_items", same_job)):
            db.execute(f"UPDATE {table} SET same_as = NULL WHERE same_as IS NOT NULL")
            db.conn.executemany(f"UPDATE {table} SET same_as = ? WHERE id = ?",
                                [(first, again) for again, first in same.items()])
        db.conn.executemany("UPDATE open_items SET closed_by = ?, closed_on = ? WHERE id = ?",
                            [(by, on, item) for item, (by, on) in closed.items()])


def write_photo(db: Database, sha256: str, fields: Row) -> None:
    """Columns of a picture's row in `photos`; the others stay as they are."""
    with db.atomic():
        put(db, "photos", {"source_id": source_id(sha256), **fields})


def forget_photo(db: Database, identity: str) -> None:
    """What was seen in a picture is to be looked for again."""
    with db.atomic():
        db.table("photos").delete_where("source_id = ?", [identity])


def write_receipt(db: Database, sha256: str, fields: Row) -> None:
    with db.atomic():
        put(db, "receipts", as_stored({"source_id": source_id(sha256), **fields}))


def write_receipt_matches(db: Database, matches: Mapping[str, tuple[str, Sequence[str]]]) -> None:
    """Purchase id → (SHA-256 of the receipt that proves it, what differs), in place of all earlier matches."""
    with db.atomic():
        db.execute("UPDATE purchases SET receipt_id = NULL, receipt_problems = NULL WHERE receipt_id IS NOT NULL")
        db.conn.executemany("UPDATE purchases SET receipt_id = ?, receipt_problems = ? WHERE id = ?", [
            (source_id(sha256), json.dumps(list(problems), ensure_ascii=False), purchase)
            for purchase, (sha256, problems) in matches.items()])


def write_tags(db: Database, sha256: str, tags: Iterable[Row]) -> None:
    """A picture's tags, best first, in place of what was there."""
    identity = source_id(sha256)
    with db.atomic():
        db.table("photo_tags").delete_where("source_id = ?", [identity])
        db.table("photo_tags").insert_all({"source_id": identity, **tag} for tag in tags)


def add_problem(db: Database, sha256: str, problem: str) -> None:
    """One more sentence about what could not be read of a source."""
    row = db.table("sources").get(source_id(sha256))
    problems = list(dict.fromkeys([*json.loads(row["problems"]), problem]))
    with db.atomic():
        db.table("sources").update(row["id"], {"problems": json.dumps(problems, ensure_ascii=False)})


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
        _forget_links(db)
        for table in ("places", "cues", "readings", *RECORD_TABLES, "photos", "photo_tags", "receipts", "files"):
            db.table(table).delete_where("source_id = ?", [identity])
        db.table("sources").delete_where("id = ?", [identity])
