"""Journals made for tests: folders with files, and databases straight from records, without any reading.

`folder(place)` makes an empty journal; `say(...)` puts a transcript into it. `database(place, told)` writes a database
from `Told` sessions and captures, as if they had been indexed, so that pages, evidence and answers can be tested
whatever the reading makes of words. `labelled(text)` turns a file in the form of the label guide into `Told` sessions.
"""
from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from witnessmark.journal import Journal, corrections, open_journal, register, template
from witnessmark.model import Act, Capture, Cue, Hours, Moment, OpenItem, Purchase, Reading, Record, Transcript
from witnessmark.pipeline import finish
from witnessmark.store import database as store_database
from witnessmark.store import journal_row, write_capture, write_journal, write_reading
from witnessmark.store.schema import RECORD_TABLES

RECORDS: dict[str, type[Record]] = {"acts": Act, "hours": Hours, "purchases": Purchase, "open_items": OpenItem}


@dataclass
class Told:
    """One session: when (ISO with offset), its lines as (start, end, text), its records by kind as plain fields.

    A record gives `cue` and what it says; times and quote are taken from the cue where they are not given.
    """

    recorded: str
    cues: Sequence[tuple[float, float, str]]
    records: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    name: str = ""
    video: bool = False

    @property
    def path(self) -> str:
        moment = dt.datetime.fromisoformat(self.recorded)
        return self.name or f"{moment:%Y%m%d_%H%M%S}.{'mp4' if self.video else 'vtt'}"


def folder(place: Path, zone: str = "America/Denver", **settings: Any) -> Path:
    """An empty journal in `place`."""
    place.mkdir(parents=True, exist_ok=True)
    values = {"title": "Made for a test", "aircraft": "Reed Plover, metal", "timezone": zone, "currency": "USD",
              "builders": ["Wim"], **settings}
    (place / "journal.toml").write_text(template.text(**values), encoding="utf-8")
    return place


def say(place: Path, recorded: str, *lines: str, name: str = "", each: float = 5.0) -> Path:
    """Put a transcript into a journal: one cue a line, each so many seconds long; returns its path."""
    told = Told(recorded, [(n * each, (n + 1) * each, line) for n, line in enumerate(lines)], name=name)
    path = place / told.path
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(as_vtt(told.cues), encoding="utf-8")
    return path


def as_vtt(cues: Iterable[tuple[float, float, str]]) -> str:
    return "\n\n".join(["WEBVTT", *(f"{_clock(start)} --> {_clock(end)}\n{text}" for start, end, text in cues)]) + "\n"


def _clock(seconds: float) -> str:
    whole, milli = divmod(round(seconds * 1000), 1000)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}.{milli:03}"


def reading_of(told: Told) -> Reading:
    """The session's records as values."""
    tables: dict[str, Any] = {kind: tuple(_record(kind, fields, told) for fields in told.records.get(kind, ()))
                              for kind in RECORD_TABLES}
    return Reading(**tables)


def _record(kind: str, fields: dict[str, Any], told: Told) -> Record:
    start, end, text = told.cues[fields["cue"]]
    return RECORDS[kind](**{"start": start, "end": end, "quote": text, "rules": ("by-hand",), **fields})


def database(place: Path, told: Iterable[Told], pictures: Iterable[Capture] = ()) -> Journal:
    """A journal with these sessions and pictures in its database; the transcripts are written as files, too."""
    if not (place / "journal.toml").exists():
        folder(place)
    journal = open_journal(place)
    journal.program.mkdir(exist_ok=True)
    known = register.load(journal.register)
    db, _ = store_database.open_to_write(journal.database)
    db.execute("PRAGMA synchronous = OFF")  # nothing is lost: it can be made again
    fixed = corrections.load(journal.corrections)
    for session in sorted(told, key=lambda session: dt.datetime.fromisoformat(session.recorded)):
        content = as_vtt(session.cues).encode()
        (place / session.path).parent.mkdir(parents=True, exist_ok=True)
        (place / session.path).write_bytes(content)
        capture = capture_of(session, content)
        write_capture(db, capture, known.add(capture)["registered"])
        cues = tuple(Cue(start, end, text) for start, end, text in session.cues)
        write_reading(db, capture, Transcript(cues, "subtitle"), reading_of(session), corrections=fixed.standing)
    for picture in pictures:
        write_capture(db, picture, known.add(picture)["registered"])
    finish.connect(db, fixed)
    write_journal(db, journal_row(journal.settings))
    db.close()
    return journal


def capture_of(told: Told, content: bytes) -> Capture:
    moment = Moment(dt.datetime.fromisoformat(told.recorded), "second", "file-name", "offset")
    return Capture(told.path, hashlib.sha256(content).hexdigest(), len(content),
                   "recording" if told.video else "transcript", "video/mp4" if told.video else "text/vtt", moment,
                   duration=told.cues[-1][1] if told.cues else 0.0, has_video=told.video, has_sound=told.video)


def labelled(text: str) -> list[Told]:
    """The sessions of a file in the form of the label guide, with its labels as their records."""
    return [Told(session["recorded"], [(cue["start"], cue["end"], cue["text"]) for cue in session["cues"]],
                 {kind: session[kind] for kind in RECORD_TABLES})
            for session in json.loads(text)["sessions"]]
