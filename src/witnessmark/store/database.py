"""Opening `journal.db`: to read it as it is, or to write it, made anew where it is missing, older or broken."""
from __future__ import annotations

import sqlite3
from pathlib import Path

from sqlite_utils import Database

from witnessmark.errors import JournalError
from witnessmark.store import schema

WAIT_SECONDS = 30  # for another program's transaction, which takes a fraction of a second


def open_to_read(path: Path) -> Database:
    """The database, read-only. Raises JournalError where there is none or it is of another version."""
    if not path.is_file():
        folder = path.parent.parent
        raise JournalError(f"{folder} has not been indexed yet: run `witnessmark index {folder}`")
    db = Database(sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=WAIT_SECONDS))
    try:
        found = schema.version(db)
    except sqlite3.DatabaseError as error:
        db.close()
        raise JournalError(f"{path} cannot be read ({error}): delete it and run `witnessmark index`, "
                           "which makes it again without transcribing anything twice") from None
    if found != schema.SCHEMA_VERSION:
        db.close()
        if found > schema.SCHEMA_VERSION:
            raise _too_new(path)
        raise JournalError(f"{path} was made by an older witnessmark: run `witnessmark index {path.parent.parent}`, "
                           "which makes it again without transcribing anything twice")
    return db


def open_to_write(path: Path) -> tuple[Database, str]:
    """The database and, where it had to be made again, a sentence that says why (else "").

    The caller holds the journal's lock. Raises JournalError where a newer program has made it.
    """
    reason = _unusable(path) if path.exists() else ""
    if reason:
        for old in (path, path.with_name(path.name + "-journal"), path.with_name(path.name + "-wal")):
            old.unlink(missing_ok=True)
    db = Database(sqlite3.connect(path, timeout=WAIT_SECONDS))
    try:
        # A rollback journal, not WAL: the file is complete by itself after every transaction, so that it can be opened
        # read-only, on a read-only disk, and copied.
        db.execute("PRAGMA journal_mode = DELETE")
        db.execute("PRAGMA synchronous = NORMAL")
        if schema.version(db) == 0:
            schema.create(db)
    except BaseException:  # a full disk: a watcher goes on, and must not keep the file open
        db.close()
        raise
    return db, reason


def _unusable(path: Path) -> str:
    """Why an existing database has to be made again, or "" if it can be used."""
    conn = sqlite3.connect(path, timeout=WAIT_SECONDS)
    try:
        found = conn.execute("PRAGMA user_version").fetchone()[0]
        tables = conn.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        sound = conn.execute("PRAGMA quick_check(1)").fetchone()[0] == "ok"
    except sqlite3.DatabaseError:
        return "the database was damaged and has been made again"
    finally:
        conn.close()
    if found > schema.SCHEMA_VERSION:
        raise _too_new(path)
    if not sound:
        return "the database was damaged and has been made again"
    if found < schema.SCHEMA_VERSION and tables:
        return "the database was made by an older witnessmark and has been made again"
    return ""


def _too_new(path: Path) -> JournalError:
    return JournalError(f"{path} was made by a newer witnessmark: update this one, or delete the file and index again")
