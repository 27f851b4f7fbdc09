"""The journal's database: its tables, columns, views, and the version of them.

`.witnessmark/journal.db` is SQLite, made from the files of the journal, `register.jsonl`, `corrections.jsonl` and the
cached transcripts, and can be deleted at any time: the next `index` makes it again. Nothing in it is a source of truth.

Names follow the label guide. Times inside a recording are seconds; moments are ISO 8601 with an offset; days are
`YYYY-MM-DD`; a `date` is EDTF (ISO 8601-2) and comes with `first_day` and `last_day`, the days that it may stand for,
so that it sorts and compares (NULL at an open end). Columns marked JSON hold a JSON list. Record ids
are short hashes of the source's SHA-256, the kind of record, its cue and its place among equals, so that a record keeps
its id for as long as the same words are read the same way.

`TABLES` and `VIEWS` below are the manual: `describe()` hands them to the pages.
"""
from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlite_utils import Database

from witnessmark.store.views import VIEWS

SCHEMA_VERSION = 2

RECORD_TABLES = ("acts", "hours", "purchases", "open_items")
DATED_TABLES = ("acts", "hours", "purchases")
SEARCHED = {"cues": ("text",), "acts": ("part", "quote"), "purchases": ("item", "vendor"),
            "open_items": ("part", "quote"), "sources": ("caption", "keywords", "path"), "photos": ("text_seen",),
            "photo_tags": ("assembly", "part", "side", "task")}
"""What full-text search covers: for each table the columns in its `<table>_fts`."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table: what a row is, its columns as name → (type, meaning), its key, its references and indexes."""

    about: str
    columns: dict[str, tuple[type, str]]
    key: tuple[str, ...] = ("id",)
    references: tuple[tuple[str, str, str], ...] = (("source_id", "sources", "id"),)
    indexes: tuple[tuple[str, ...], ...] = (("source_id",),)


RECORD_COLUMNS: dict[str, tuple[type, str]] = {
    "id": (str, "short hash, stable for as long as the same words are read the same way"),
    "source_id": (str, "the recording, transcript or note that says it"),
    "cue": (int, "number of the cue in which the decisive words stand"),
    "start": (float, "seconds: where the clip begins"),
    "end": (float, "seconds: where the clip ends"),
    "quote": (str, "the words"),
    "confidence": (float, "0 to 1"),
    "rules": (str, "JSON: the rules that made the record, in order"),
    "doubts": (str, "JSON: questions for the builder"),
    "correction": (str, "id of the last correction that changed or confirmed it; NULL if none"),
}
DATE_COLUMNS: dict[str, tuple[type, str]] = {
    "date": (str, "EDTF: when, never more exact than what was said"),
    "first_day": (str, "first day that the date may stand for; NULL if open"),
    "last_day": (str, "last day that the date may stand for; NULL if open"),
}

TABLES: dict[str, Table] = {
    "journal": Table("The journal itself: one row.", {
        "id": (int, "always 1"),
        "title": (str, "from journal.toml"),
        "aircraft": (str, "from journal.toml"),
        "timezone": (str, "IANA name: the zone of the journal's days"),
        "currency": (str, "ISO 4217: the currency of every amount"),
        "builders": (str, "JSON: names"),
        "helpers": (str, "JSON: names of unpaid helpers"),
        "hired": (str, "JSON: names of people for hire"),
        "made_by": (str, "the program's version"),
        "capture_key": (str, "fingerprint of the settings that decide when a file was made"),
        "corrections_key": (str, "fingerprint of the corrections that are applied"),
        "links_key": (str, "fingerprint of the records between which links were made"),
        "pictures_key": (str, "fingerprint of the pictures and records from which tags were made"),
    }, references=(), indexes=()),
    "sources": Table("Each distinct file of the builder's, known by its content.", {
        "id": (str, "first 16 hexadecimal digits of the SHA-256"),
        "path": (str, "where it is (or was last), relative to the journal, with forward slashes"),
        "sha256": (str, "of its bytes"),
        "size": (int, "bytes"),
        "kind": (str, "recording, photo, transcript, note, document or unreadable"),
        "media_type": (str, "as found in the file, not by its name: video/mp4"),
        "state": (str, "present, or gone: no longer in the folder, its records kept"),
        "captured": (str, "when it was made, as exact as known: local ISO moment with offset, day, month or year"),
        "captured_utc": (str, "the same moment in UTC, for putting in order; the day's begin where only that is known"),
        "captured_basis": (str, "how that is known: container, exif, xmp, file-name, sidecar, file-time or none"),
        "captured_precision": (str, "second, minute, day, month, year or none"),
        "zone_basis": (str, "where its zone came from: offset, gps, utc, journal or none"),
        "captured_note": (str, "what was odd about it"),
        "day": (str, "local day of capture; NULL if not known to the day"),
        "registered": (str, "UTC moment at which it was first registered (register.jsonl)"),
        "duration": (float, "seconds"),
        "has_video": (int, "1 or 0"),
        "has_sound": (int, "1 or 0"),
        "width": (int, "pixels"),
        "height": (int, "pixels"),
        "camera": (str, "make and model as the file gives them"),
        "caption": (str, "from the file's own metadata"),
        "keywords": (str, "JSON: from the file's own metadata"),
        "problems": (str, "JSON: what could not be read, one sentence each"),
        "subtitle": (str, "path of the .vtt or .srt beside a recording that is used as its transcript"),
        "transcript": (str, "where its words come from: name of the speech weights, subtitle or note; NULL: none"),
        "language": (str, "of its words"),
        "words": (int, "number of words said"),
    }, references=(), indexes=(("path",), ("captured",), ("day",), ("kind",))),
    "places": Table("Where a file was made, if it says so: a table of its own, which is shown only when asked for.", {
        "source_id": (str, "what was made there"),
        "latitude": (float, "degrees, south negative"),
        "longitude": (float, "degrees, west negative"),
    }, key=("source_id",), indexes=()),
    "files": Table("Each file in the folder and how it looked when it was last read: the quick check for changes.", {
        "path": (str, "relative to the journal, with forward slashes"),
        "source_id": (str, "what it holds"),
        "sha256": (str, "of its bytes"),
        "size": (int, "bytes"),
        "mtime_ns": (int, "modification time, nanoseconds"),
        "beside": (str, "names, sizes and times of the subtitle and label files that belong to it, one a line"),
    }, key=("path",)),
    "cues": Table("What was said, timed line by timed line.", {
        "source_id": (str, "where"),
        "number": (int, "from 0"),
        "start": (float, "seconds"),
        "end": (float, "seconds"),
        "text": (str, "the words, misheard trade words repaired"),
        "heard": (str, "the raw words where a repair replaced them, else NULL"),
    }, key=("source_id", "number"), indexes=()),
    "readings": Table("What the rules made of each session before corrections, and from what: the program's own.", {
        "source_id": (str, "the session"),
        "recorded": (str, "UTC moment by which sessions are put in order"),
        "input": (str, "fingerprint of the rules that read it; NULL if its words or its moment have changed since"),
        "before": (str, "fingerprint of the memory that it was read with"),
        "after": (str, "fingerprint of the memory that it leaves"),
        "reading": (str, "JSON: the records as read"),
        "problems": (str, "JSON: what was wrong with its words, one sentence each"),
    }, key=("source_id",), indexes=(("recorded",),)),
    "acts": Table("Work on a named thing: done, being done, planned, not done, or advised.", {
        **RECORD_COLUMNS,
        "task": (str, "task id"),
        "part": (str, "the thing worked on, in as few words as name it; NULL if never said"),
        "assembly": (str, "assembly id; NULL if unknowable"),
        "side": (str, "left, right, both or NULL"),
        "status": (str, "done, doing, planned, not-done or advice"),
        "who": (str, "builder, helper, paid, maker; NULL for advice"),
        "person": (str, "as named"),
        **DATE_COLUMNS,
        "count": (int, "stated number of coats, passes or pieces"),
        "picture": (str, "file name in .witnessmark/thumbnails/ of the still from its moment; NULL if there is none"),
    }, indexes=(("source_id",), ("task",), ("part",), ("assembly",), ("first_day",))),
    "hours": Table("Stated lengths of human work time.", {
        **RECORD_COLUMNS,
        "low": (float, "hours"),
        "high": (float, "hours; same as low where one number was said"),
        "scope": (str, "session, task, total, planned or other"),
        "who": (str, "builder, helper, paid, maker or NULL"),
        "person": (str, "as named"),
        **DATE_COLUMNS,
        "counted": (int, "1 if it belongs in the ledger of hours worked"),
        "approx": (int, "1 if the speaker said about"),
        "assembly": (str, "assembly id or NULL"),
        "task": (str, "task id or NULL"),
        "why": (str, "why it counts or does not"),
    }, indexes=(("source_id",), ("first_day",))),
    "purchases": Table("Things bought, ordered, priced, received or returned.", {
        **RECORD_COLUMNS,
        "item": (str, "as few words as name it"),
        "category": (str, "tool, consumable, hardware, material, part, kit, service or safety-gear"),
        "status": (str, "bought, ordered, planned, considered, returned or received"),
        "amount_low": (float, "money for the whole line; NULL if not said"),
        "amount_high": (float, "same as amount_low where one amount was said"),
        "quantity": (float, "or NULL"),
        "vendor": (str, "as said, or NULL"),
        "assembly": (str, "assembly id or NULL"),
        **DATE_COLUMNS,
        "same_as": (str, "id of the earlier telling of the same purchase, which is the one that counts; else NULL"),
        "receipt_id": (str, "source id of the receipt that proves it; else NULL"),
        "receipt_problems": (str, "JSON: what differs between the words and the receipt"),
    }, indexes=(("source_id",), ("first_day",))),
    "open_items": Table("What the talk leaves to do, to buy, to fix or to wait for.", {
        **RECORD_COLUMNS,
        "kind": (str, "to-do, to-buy, to-fix or waiting"),
        "part": (str, "or NULL"),
        "task": (str, "task id or NULL"),
        "assembly": (str, "assembly id or NULL"),
        "side": (str, "left, right, both or NULL"),
        "day": (str, "local day on which it was said"),
        "same_as": (str, "id of the earlier telling of the same job, which is the one to count; else NULL"),
        "closed_by": (str, "id of the act, purchase or correction that closed it; NULL while open"),
        "closed_on": (str, "first day on which it was closed"),
    }, indexes=(("source_id",), ("kind",))),
    "photos": Table("What is known of each picture beyond its source row.", {
        "source_id": (str, "the picture"),
        "thumbnail": (str, "file name in .witnessmark/thumbnails/"),
        "text_seen": (str, "words read in the picture, a line each; NULL if it has not been looked at"),
        "is_receipt": (int, "1 if it is a receipt, 0 if not; NULL if it has not been looked at"),
        "leader_id": (str, "source id of the best picture of its burst (itself if it leads or stands alone)"),
        "sharpness": (float, "for choosing within a burst; higher is sharper"),
        "look": (str, "fingerprint of its looks, 32 hexadecimal digits, for finding near doubles"),
        "tags_key": (str, "fingerprint of what its tags were made from"),
    }, key=("source_id",), indexes=(("leader_id",),)),
    "photo_tags": Table("What a picture shows, best first, each with how that is known. Contradictions stay visible.", {
        "source_id": (str, "the picture"),
        "rank": (int, "from 0, best first"),
        "assembly": (str, "assembly id or NULL"),
        "part": (str, "or NULL"),
        "side": (str, "left, right, both or NULL"),
        "task": (str, "task id or NULL"),
        "act_id": (str, "the act that it was taken with; else NULL"),
        "basis": (str, "recording, day, folder, caption, keyword, file-name, text or builder"),
        "confidence": (float, "0 to 1"),
        "note": (str, "why, in words; contradictions"),
    }, key=("source_id", "rank"), indexes=(("assembly",), ("part",), ("act_id",))),
    "receipts": Table("What a receipt says.", {
        "source_id": (str, "the picture or PDF"),
        "vendor": (str, "or NULL"),
        "date": (str, "EDTF or NULL"),
        "total": (float, "or NULL"),
        "tax": (float, "or NULL"),
        "lines": (str, "JSON: [{item, quantity, amount}]"),
        "problems": (str, "JSON: what does not add up"),
        "confidence": (float, "0 to 1"),
    }, key=("source_id",), indexes=()),
    "corrections": Table("The builder's corrections and confirmations (corrections.jsonl) and what became of them.", {
        "id": (str, "short hash of the line"),
        "number": (int, "line in corrections.jsonl, from 1"),
        "do": (str, "change, confirm, reject, add, close, word, clock or undo"),
        "kind": (str, "acts, hours, purchases, open_items, photo_tags, camera or a kind of word"),
        "sha256": (str, "of the source that it is bound to"),
        "path": (str, "where that source was"),
        "start": (float, "seconds in that source"),
        "cue": (int, "number of the cue"),
        "from": (str, "JSON object: the fields as they were"),
        "to": (str, "JSON object: the fields as they are to be"),
        "why": (str, "the builder's reason"),
        "when": (str, "UTC moment"),
        "state": (str, "applied, unmatched (its record is no longer found) or undone"),
        "record_id": (str, "the record that it changed, else NULL"),
    }, references=(), indexes=(("record_id",), ("state",))),
}

UNASKED = frozenset({"places"})
"""Tables that no list shows: who wants them asks for them by name."""


def describe() -> dict[str, Any]:
    """Tables, views and columns in words, in the form of Datasette's metadata for one database."""
    tables: dict[str, Any] = {
        name: {"description": table.about, "hidden": name in UNASKED,
               "columns": {column: about for column, (_, about) in table.columns.items()}}
        for name, table in TABLES.items()}
    tables.update({name: {"description": about} for name, (about, _) in VIEWS.items()})
    return {"description": "What was said, shown and done in this journal.", "tables": tables}


def create(db: Database) -> None:
    """Make every table, index, search table and view in an empty database, in one transaction."""
    with db.atomic():
        for name, table in TABLES.items():
            columns = {column: kind for column, (kind, _) in table.columns.items()}
            key = table.key[0] if len(table.key) == 1 else table.key
            created = db.table(name).create(columns, pk=key, foreign_keys=table.references)
            for index in table.indexes:
                created.create_index(index)
        for name, searched in SEARCHED.items():
            db.table(name).enable_fts(searched, create_triggers=True, tokenize="porter")
        for name, (_, sql) in VIEWS.items():
            db.create_view(name, sql)
        db.execute(f"PRAGMA user_version = {SCHEMA_VERSION}")


def version(db: Database) -> int:
    """The schema version of a database; 0 for an empty file."""
    return int(db.execute("PRAGMA user_version").fetchone()[0])
