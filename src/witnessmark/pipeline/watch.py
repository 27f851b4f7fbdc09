"""`watch`: index whenever files have arrived and stopped growing.

The watcher holds the journal's lock for as long as it runs, so that there is one indexer at a time. What the operating
system reports only wakes it; what it does is decided by looking at the folder, so that a lost report (network
shares lose them) costs a delay and nothing else.
"""
from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import watchfiles

from witnessmark.errors import WitnessmarkError
from witnessmark.faults import system_fault
from witnessmark.journal import Journal, open_journal, scan
from witnessmark.journal.folder import PROGRAM_FOLDER
from witnessmark.pipeline.index import index_held
from witnessmark.pipeline.progress import Progress, Summary
from witnessmark.plugins import kind_of

SETTLE_SECONDS = 5.0
LOOK_SECONDS = 60.0  # how long a change that the operating system did not report may stay unseen

Report = Callable[[Summary | str], None]


@dataclass
class Settling:
    """Which files are still growing: each new look is remembered until the file is the same for long enough."""

    seconds: float
    now: Callable[[], float] = time.monotonic
    seen: dict[str, tuple[str, float]] = field(default_factory=dict)

    def look(self, files: list[scan.Seen]) -> None:
        """Take note of how all files look now."""
        moment = self.now()
        before, self.seen = self.seen, {}
        for file in files:
            stamp, since = before.get(file.path, ("", moment))
            self.seen[file.path] = (file.stamp, since if stamp == file.stamp else moment)

    def settled(self, file: scan.Seen) -> bool:
        """Has the file been the same, since it was first seen so, for long enough?"""
        stamp, since = self.seen.get(file.path, ("", 0.0))
        return stamp == file.stamp and self.now() - since >= self.seconds

    @property
    def pending(self) -> bool:
        """Is there a file that has not settled yet?"""
        moment = self.now()
        return any(moment - since < self.seconds for _, since in self.seen.values())


def watch(journal: Journal, report: Report, progress: Progress | None = None, settle: float = SETTLE_SECONDS,
          stop: threading.Event | None = None, polling: bool | None = None) -> None:
    """Index now and whenever something has changed, until `stop` is set or the program is interrupted.

    `report` is given the summary of each run that found something, or a sentence about what is in the way. `settle` is
    how many seconds a file must stay the same before it is taken; `polling` has the folder looked at instead of
    waiting for the operating system's reports. Raises JournalError where another program holds the journal.
    """
    stop = stop or threading.Event()
    settling = Settling(settle)
    told: object = None
    with journal.lock():
        for _ in _wakes(journal, settling, stop, polling):
            found = _round(journal, settling, progress)
            trouble = found if isinstance(found, str) else (found.unreadable, found.notes)
            news = not isinstance(found, str) and not found.nothing_new
            if news or (trouble != told and trouble != ({}, [])):
                report(found)
            told = trouble


def _wakes(journal: Journal, settling: Settling, stop: threading.Event, polling: bool | None) -> Iterator[None]:
    """When to look: now, at changes, while something is settling, and from time to time."""
    yield
    looked = -LOOK_SECONDS  # look again as soon as reports come in: what happened before that was not reported
    wait = max(int(settling.seconds * 1000 / 2), 50)
    for changes in watchfiles.watch(journal.root, watch_filter=_concerns, stop_event=stop, rust_timeout=wait,
                                    yield_on_timeout=True, raise_interrupt=False, force_polling=polling):
        if stop.is_set():
            return
        if changes or settling.pending or settling.now() - looked >= LOOK_SECONDS:
            yield
            looked = settling.now()


def _concerns(change: watchfiles.Change, path: str) -> bool:
    """The program's own files wake nobody."""
    return PROGRAM_FOLDER not in path.replace("\\", "/").split("/") and not path.endswith("register.jsonl")


def _round(journal: Journal, settling: Settling, progress: Progress | None) -> Summary | str:
    """One run, or a sentence about what was in the way; the next round tries again."""
    settling.look(scan.walk(journal.root, kind_of).files)
    try:
        return index_held(open_journal(journal.root), progress, settling.settled)
    except WitnessmarkError as error:
        return str(error)
    except (OSError, sqlite3.Error) as error:
        sentence = system_fault(error)
        if sentence is None:
            raise
        return sentence
