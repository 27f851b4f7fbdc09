"""Faults of the disk, as one sentence that says what to do; faults that nobody foresaw, as one sentence and a log."""
from __future__ import annotations

import contextlib
import datetime as dt
import errno
import sqlite3
import traceback
from pathlib import Path

import witnessmark
from witnessmark.journal import Journal

LOG = "faults.log"
LOG_AT_MOST = 1_000_000
# Causes that the user can do something about, as the operating system numbers them.
SYSTEM_FAULTS = {
    errno.ENOSPC: "the disk is full: make room and run the same command again; nothing is lost",
    errno.EDQUOT: "your disk quota is used up: make room and run the same command again; nothing is lost",
    errno.EROFS: "the folder is on a read-only disk: copy the journal to a place where you may write",
    errno.EACCES: "permission is refused: allow this folder and its files to be read and written",
    errno.EPERM: "permission is refused: allow this folder and its files to be read and written",
    errno.EIO: "the disk reports an error: check the disk or the card, then run the same command again",
}


def system_fault(error: Exception) -> str | None:
    """The sentence for a fault of the disk or the system; None for a fault of the program."""
    if isinstance(error, OSError) and error.errno in SYSTEM_FAULTS:
        return f"{error.filename}: {SYSTEM_FAULTS[error.errno]}" if error.filename else SYSTEM_FAULTS[error.errno]
    if isinstance(error, sqlite3.OperationalError):
        text = str(error)
        if "full" in text:
            return SYSTEM_FAULTS[errno.ENOSPC]
        if "readonly" in text or "unable to open" in text:
            return SYSTEM_FAULTS[errno.EACCES]
        if "locked" in text:
            return "the database is in use by another program: wait until that has finished"
        if "disk I/O" in text:
            return SYSTEM_FAULTS[errno.EIO]
    if isinstance(error, sqlite3.DatabaseError) and ("malformed" in str(error) or "not a database" in str(error)):
        return "the database is damaged: run `witnessmark index`, which makes it again without transcribing anything"
    return None


def concerns_own_files(error: OSError, journal: Journal) -> bool:
    """True where it is the program's writing that failed, so that going on to the next file is of no use."""
    if error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EROFS):
        return True
    return isinstance(error.filename, str) and Path(error.filename).is_relative_to(journal.program)


def log_fault(journal: Journal, error: BaseException, doing: str) -> str:
    """Write the particulars to `.witnessmark/faults.log`; the sentence for the user is returned."""
    where = write_log(journal.program, error, doing)
    kept = f"the particulars are in {where}" if where else "the particulars could not be written down"
    return f"{doing} met a fault of the program ({type(error).__name__}); {kept}"


def write_log(folder: Path, error: BaseException, doing: str) -> Path | None:
    """Add a fault to the log in a folder; None where that is not possible."""
    text = "".join(traceback.format_exception(error))
    head = f"{dt.datetime.now(dt.UTC):%Y-%m-%dT%H:%M:%SZ} witnessmark {witnessmark.__version__}: {doing}\n"
    path = folder / LOG
    with contextlib.suppress(OSError):
        if path.exists() and path.stat().st_size > LOG_AT_MOST:
            path.replace(path.with_name(LOG + ".old"))
        with path.open("a", encoding="utf-8", errors="replace") as log:
            log.write(f"{head}{text}\n")
        return path
    return None
