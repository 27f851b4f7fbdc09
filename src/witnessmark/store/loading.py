"""Out of the database again: the values that the rooms work with."""
from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from witnessmark.journal.folder import Known
from witnessmark.model import Capture, Cue, Moment, Reading, Session, Transcript
from witnessmark.store.rows import reading_from_json

if TYPE_CHECKING:
    from witnessmark.reading.memory import Memory

Row = dict[str, Any]
JSON_COLUMNS = frozenset({"rules", "doubts", "keywords", "problems", "builders", "helpers", "hired", "lines",
                          "receipt_problems"})
NOON = dt.time(12)
SESSION_ORDER, LATEST_FIRST = "recorded, source_id", "recorded DESC, source_id DESC"


def query(db: Database, sql: str, values: Iterable[Any] | dict[str, Any] = ()) -> list[Row]:
    """Rows of a query with their JSON columns as lists."""
    return [_unpacked(row) for row in db.query(sql, values if isinstance(values, dict) else list(values))]


def _unpacked(row: Row) -> Row:
    for name in JSON_COLUMNS & row.keys():
        if isinstance(row[name], str):
            row[name] = json.loads(row[name])
    return row


def journal_row(db: Database) -> Row:
    """The journal's own row; empty before anything was written."""
    return next(iter(query(db, "SELECT * FROM journal")), {})


def known_files(db: Database) -> dict[str, Known]:
    """Each file as it was when it was last read, by path."""
    return {row["path"]: Known(row["sha256"], row["size"], row["mtime_ns"], row["beside"])
            for row in db.query("SELECT path, sha256, size, mtime_ns, beside FROM files")}


def load_readings(db: Database, before: tuple[str, str] | None = None) -> list[tuple[str, Reading]]:
    """Source id and reading, before corrections, of every session in order of recording.

    `before` is the (recorded, source id) of a session: only those earlier than it.
    """
    where, values = ("WHERE (recorded, source_id) < (?, ?)", list(before)) if before else ("", [])
    return [(row["source_id"], reading_from_json(row["reading"])) for row in
            db.query(f"SELECT source_id, reading FROM readings {where} ORDER BY {SESSION_ORDER}", values)]


def load_memory(db: Database, before: tuple[str, str] | None = None) -> Memory:
    """What the sessions before this one (UTC moment, source id) said; of all of them where none is given."""
    from witnessmark.reading.memory import Memory  # with it comes the language model, which most commands never need

    memory = Memory()
    for _, reading in load_readings(db, before):
        memory = memory.after(reading)
    return memory


def memory_key(db: Database) -> str:
    """The fingerprint of all that was said: the memory after the last session."""
    last = next(iter(db.query(f"SELECT after FROM readings ORDER BY {LATEST_FIRST} LIMIT 1")), None)
    return str(last["after"]) if last else ""


def load_transcript(db: Database, identity: str) -> Transcript | None:
    """The words of a source as they were last read, without word times; None if it never had any."""
    found = next(iter(db.query("SELECT transcript, language FROM sources WHERE id = ?", [identity])), None)
    if found is None or found["transcript"] is None:
        return None
    cues = tuple(Cue(row["start"], row["end"], row["text"], heard=row["heard"]) for row in
                 db.query('SELECT start, "end", text, heard FROM cues WHERE source_id = ? ORDER BY number', [identity]))
    return Transcript(cues, found["transcript"], found["language"])


def load_capture(row: Row) -> Capture:
    """The capture that a row of `sources` (from `query`) was written from, without its place."""
    return Capture(row["path"], row["sha256"], row["size"], row["kind"], row["media_type"], _moment(row),
                   row["duration"], bool(row["has_video"]), bool(row["has_sound"]), row["width"], row["height"],
                   row["camera"], row["caption"], tuple(row["keywords"] or ()),
                   problems=tuple(row["problems"] or ()))


def recorded_of(capture: Capture, fallback: str, timezone: str) -> dt.datetime:
    """The local moment of recording, noon where only the day is known; `fallback` is an ISO moment for none at all."""
    moment = capture.moment
    zone = ZoneInfo(timezone)
    at = moment.at or dt.datetime.fromisoformat(fallback)
    if moment.precision in ("second", "minute"):
        return at
    return dt.datetime.combine(at.astimezone(zone).date(), NOON, zone)


def load_session(db: Database, row: Row, timezone: str) -> Session | None:
    """The session of a row of `sources` (from `query`), as it was last read; None if it has no words."""
    transcript = load_transcript(db, row["id"])
    if transcript is None:
        return None
    capture = load_capture(row)
    recorded = recorded_of(capture, row["captured_utc"] or row["registered"], timezone)
    return Session(capture.path, recorded, transcript, capture.duration)


def _moment(row: Row) -> Moment:
    """The moment of a row; where only the day or less is known, its begin by the offset of `captured_utc`."""
    at = dt.datetime.fromisoformat(row["captured_utc"]) if row["captured_utc"] else None
    if at and row["captured_precision"] in ("second", "minute"):
        at = dt.datetime.fromisoformat(row["captured"])
    return Moment(at, row["captured_precision"], row["captured_basis"], row["zone_basis"], row["captured_note"] or "")
