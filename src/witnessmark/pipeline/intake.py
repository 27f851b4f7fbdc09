"""First stage: every file that is new, changed, moved or gone → its source row, its line in the register."""
from __future__ import annotations

import dataclasses
import datetime as dt
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from witnessmark.errors import UnreadableFile
from witnessmark.faults import concerns_own_files
from witnessmark.journal import Journal, scan
from witnessmark.journal.register import Register
from witnessmark.media import sha256_of
from witnessmark.media.names import from_name
from witnessmark.model import Capture, Kind, Moment, Settings
from witnessmark.pipeline.progress import Progress, Summary
from witnessmark.plugins import hook, kind_of
from witnessmark.store import loading, rows, writing

DECIDE_READING = ("kind", "captured", "captured_basis", "captured_precision", "duration", "has_sound", "subtitle")
"""Columns of a source on which its reading depends besides its words."""

MOST_TOGETHER, LONGEST_TOGETHER = 100, 1.0  # files, seconds
HASHED_AHEAD = 2
Ready = Callable[[scan.Seen], bool]


@dataclass
class Intake:
    """One pass over the folder. `ready` says whether a new or changed file may be read yet (`watch` lets it settle);
    `waiting` counts those that may not.
    """

    journal: Journal
    db: Database
    register: Register
    summary: Summary
    progress: Progress
    settings: Settings
    ready: Ready | None = None
    paths: frozenset[str] = frozenset()
    waiting: int = 0

    def run(self, again: bool = False) -> None:
        """Take in all that differs; with `again` every source is looked into anew."""
        folder = scan.walk(self.journal.root, kind_of)
        found = scan.changes(loading.known_files(self.db), folder, kind_of, again)
        self.paths = found.paths
        fresh = [(source, sha256) for source, sha256 in found.fresh if self.ready is None or self.ready(source.seen)]
        self.waiting = len(found.fresh) - len(fresh)
        self.progress.stage("files", len(fresh))
        files = hashed(self.journal.root, sorted(fresh, key=lambda item: in_order_of_capture(item[0])))
        for first in files:
            # A file costs some forced writes to the disk; many at a time, a few for all of them.
            with self.db.atomic(), self.register.together():
                until = time.monotonic() + LONGEST_TOGETHER
                self._take_one_in(*first)
                for taken, item in enumerate(files, 2):
                    self._take_one_in(*item)
                    if taken == MOST_TOGETHER or time.monotonic() > until:
                        break
        for path in found.gone:
            self._let_go(path)
        self.summary.unreadable.update({path: cause for path, cause in folder.passed_over.items()
                                        if path.endswith("/") or path == "."})

    def _take_one_in(self, source: scan.Source, hashing: Future[str]) -> None:
        """One file; one that cannot be read costs a line of the summary."""
        self.progress.step(source.path)
        try:
            self._take_in(source, hashing.result())
        except OSError as error:
            if concerns_own_files(error, self.journal):
                raise
            self.summary.unreadable[source.path] = f"it cannot be read ({error.strerror})"
        except UnreadableFile as error:
            self.summary.unreadable[source.path] = str(error)

    def _take_in(self, source: scan.Source, sha256: str) -> None:
        before = next(iter(loading.query(self.db, "SELECT * FROM files WHERE path = ?", [source.path])), None)
        identity = rows.source_id(sha256)
        with self.db.atomic():
            if before and before["sha256"] != sha256:
                self._let_go(source.path)
                self.summary.changed += 1
            others = [path for path in self._paths_of(identity) if path != source.path]
            if not others or source.path < min(others):
                renewed = before is not None and before["beside"] != source.beside
                self._write(source, sha256, renewed, counted=not (before and before["sha256"] != sha256))
            writing.write_file(self.db, source.path, sha256, source.seen.size, source.seen.mtime_ns, source.beside)

    def _paths_of(self, identity: str) -> list[str]:
        """Where else a source's content still is."""
        return [row["path"] for row in self.db.query("SELECT path FROM files WHERE source_id = ?", [identity])
                if row["path"] in self.paths]

    def _write(self, source: scan.Source, sha256: str, renewed: bool, counted: bool) -> None:
        capture = self._capture(source, sha256)
        identity = rows.source_id(sha256)
        old = next(iter(loading.query(self.db, "SELECT * FROM sources WHERE id = ?", [identity])), None)
        new = rows.source_row(capture, self.register.add(capture)["registered"], subtitle=source.subtitle)
        writing.write_source(self.db, new, capture.gps)
        if old is None:
            self.summary.new += counted
        else:
            self.summary.moved += old["path"] != source.path
            if renewed or any(old[name] != new[name] for name in DECIDE_READING):
                writing.forget_reading_input(self.db, identity)
            if set(old["problems"]) - set(capture.problems):
                writing.forget_photo(self.db, identity)  # what its decoding told is to be told again
        if capture.kind == "unreadable":
            self.summary.unreadable[source.path] = "; ".join(capture.problems)

    def _capture(self, source: scan.Source, sha256: str) -> Capture:
        settings, root = self.settings, self.journal.root
        capture: Capture = hook().ingest_file(root=root, path=source.path, settings=settings, sha256=sha256)
        if capture.kind == "unreadable" and sha256_of(root / source.path) != sha256:
            raise UnreadableFile(f"{source.path} changed while it was read: it is tried again next time")
        if capture.kind == "unreadable" and source.subtitle:
            # The recording is broken, but what was said is there: it is placed by the subtitle file's own name.
            words = hook().ingest_file(root=root, path=source.subtitle, settings=settings,
                                       sha256=sha256_of(root / source.subtitle))
            capture = dataclasses.replace(capture, moment=words.moment, duration=words.duration)
        return dataclasses.replace(capture, moment=self._steady(capture, sha256))

    def _steady(self, capture: Capture, sha256: str) -> Moment:
        """A file's own time changes when it is copied: where nothing better is known, the first one seen holds."""
        moment, line = capture.moment, self.register.known.get(sha256)
        if moment.basis != "file-time" or not moment.at or not line or line["basis"] != "file-time":
            return moment
        first = first_moment(line, self.settings.timezone)
        return first if first.at and first.at.date() < moment.at.date() else moment

    def _let_go(self, path: str) -> None:
        """The content that was known at this path is there no more."""
        old = next(iter(self.db.query("SELECT source_id FROM files WHERE path = ?", [path])), None)
        if old is None:
            return
        identity = old["source_id"]
        with self.db.atomic():
            writing.forget_file(self.db, path)
            source = next(iter(loading.query(self.db, "SELECT * FROM sources WHERE id = ?", [identity])), None)
            elsewhere = self._paths_of(identity)
            if source is None or (elsewhere and source["path"] != path):
                return
            if elsewhere:
                self._renew_at(min(elsewhere))
            elif (self.journal.root / path).exists() or source["kind"] == "unreadable":
                # Edited in place, copied again, or now a recording's subtitle file: what it was is superseded.
                writing.remove_source(self.db, identity)
            else:
                writing.set_state(self.db, identity, "gone")
                self.summary.gone += 1

    def _renew_at(self, path: str) -> None:
        """The source is now known by another of its paths."""
        folder = scan.walk(self.journal.root, kind_of)
        for source in scan.sources(folder.files, kind_of):
            if source.path == path:
                known = loading.known_files(self.db)[path]
                self._write(source, known.sha256, renewed=False, counted=False)

    def restore_lost(self) -> None:
        """After the database was made anew: files that the register knows and the folder no longer has are gone,
        not forgotten."""
        there = {row["sha256"] for row in self.db.query("SELECT sha256 FROM sources")}
        for sha256, line in self.register.known.items():
            path = str(line["path"])
            if sha256 in there or (self.journal.root / path).exists() or path in self.paths:
                continue
            kind: Kind = kind_of(path) or "unreadable"
            capture = Capture(path, sha256, int(line["size"]), kind, "application/octet-stream",
                              first_moment(line, self.settings.timezone), has_sound=kind == "recording")
            writing.write_capture(self.db, capture, str(line["registered"]), state="gone")


def in_order_of_capture(source: scan.Source) -> tuple[float, str]:
    """Where a file comes in, before it has been opened: by the time in its name, else by its own time; then by path."""
    named = from_name(source.path)
    if named is None:
        return source.seen.mtime_ns / 1e9, source.path
    return named.when.replace(tzinfo=named.when.tzinfo or dt.UTC).timestamp(), source.path


def hashed(root: Path, fresh: Iterable[tuple[scan.Source, str | None]]) -> Iterator[tuple[scan.Source, Future[str]]]:
    """Each source with its SHA-256, known or in the making: the next files are hashed while one is looked into."""
    with ThreadPoolExecutor(HASHED_AHEAD) as pool:
        ahead: deque[tuple[scan.Source, Future[str]]] = deque()
        for source, sha256 in fresh:
            ahead.append((source, pool.submit(_hash, root / source.path, sha256)))
            if len(ahead) > HASHED_AHEAD:
                yield ahead.popleft()
        yield from ahead


def _hash(path: Path, known: str | None) -> str:
    return known or sha256_of(path)


def first_moment(line: dict[str, Any], zone: str) -> Moment:
    """The moment of capture as a line of the register has it."""
    text, basis = line["captured"], line["basis"]
    if not text:
        return Moment(None, "none", "none")
    precision = {4: "year", 7: "month", 10: "day"}.get(len(text), "second")
    day = {"year": text + "-01-01", "month": text + "-01"}.get(precision, text)
    at = dt.datetime.fromisoformat(day)
    return Moment(at if at.tzinfo else at.replace(tzinfo=ZoneInfo(zone)), precision, basis,  # type: ignore[arg-type]
                  "journal" if precision != "second" else "offset")
