"""Faults that nobody foresaw: one sentence for the user, the particulars in a file for whoever mends the program."""
from __future__ import annotations

import contextlib
import datetime as dt
import traceback
from pathlib import Path

import witnessmark
from witnessmark.journal import Journal

LOG = "faults.log"
LOG_AT_MOST = 1_000_000


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
