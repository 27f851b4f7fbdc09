"""Between the first stage and the second: recordings that nobody has listened to yet are heard, several at a time.

What is heard goes to the transcript cache, and the second stage finds it there. So nothing is lost when this is
stopped, a recording that fails here fails again there, where it is reported, and the number of processes changes
nothing but the time.
"""
from __future__ import annotations

import concurrent.futures
import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field
from multiprocessing.connection import wait
from pathlib import Path

from sqlite_utils import Database

from witnessmark.errors import NoWeights
from witnessmark.journal import Journal
from witnessmark.model import Capture, Settings
from witnessmark.pipeline.hints import likely_names
from witnessmark.pipeline.progress import Progress
from witnessmark.plugins import hook
from witnessmark.store import loading

MOST_PROCESSES = 4
BYTES_EACH = 1_600_000_000  # with base weights, the recogniser's own buffers included (tests/bench/hearing.py --long)
FIRST_RATE = 0.15  # seconds of work a second of sound, before anything was measured (tests/bench/hearing.py)
RECORDINGS = """SELECT * FROM sources WHERE kind = 'recording' AND state = 'present' AND has_sound AND subtitle IS NULL
    AND transcript IS NULL ORDER BY captured_utc, id"""


@dataclass
class Clock:
    """How long the rest will take, from what the part that is done has taken; `total` and `done` in seconds of sound.

    `went_on` are the parts that are done of recordings that are not finished.
    """

    total: float
    done: float = 0.0
    went_on: dict[str, float] = field(default_factory=dict)
    begun: float = field(default_factory=time.monotonic)

    def left(self) -> float:
        """Seconds of work that are left."""
        done = self.done + sum(self.went_on.values())
        rate = (time.monotonic() - self.begun) / done if done else FIRST_RATE
        return max(self.total - done, 0.0) * rate


@dataclass(frozen=True)
class Job:
    """One recording to listen to."""

    root: Path
    capture: Capture
    settings: Settings
    hints: tuple[str, ...]

    @property
    def seconds(self) -> float:
        return self.capture.duration or 60.0


def hear(journal: Journal, db: Database, settings: Settings, progress: Progress) -> frozenset[str]:
    """Listen to every recording that has no words yet and none in the cache; their paths, heard here or not."""
    jobs = _jobs(journal, db, settings)
    unheard = frozenset(job.capture.path for job in jobs)
    if not jobs or not _can_hear(journal, settings):
        return unheard
    clock, processes = Clock(sum(job.seconds for job in jobs)), how_many(len(jobs))
    progress.stage("listening", len(jobs))
    finished = _one_by_one(jobs, progress, clock) if processes == 1 else _together(jobs, processes)
    progress.left(clock.left())
    for job in finished:
        progress.step(job.capture.path)
        clock.went_on.pop(job.capture.path, None)
        clock.done += job.seconds
        progress.left(clock.left())
    progress.left(0.0)
    return unheard


def how_many(jobs: int) -> int:
    """Processes to use: one for each processor, as far as the memory goes."""
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    try:
        free = os.sysconf("SC_AVPHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    except (AttributeError, ValueError, OSError):  # not told on every system
        free = 2 * BYTES_EACH
    return max(min(jobs, usable, free // BYTES_EACH, MOST_PROCESSES), 1)


def _jobs(journal: Journal, db: Database, settings: Settings) -> list[Job]:
    from witnessmark.speech import remembered

    names = likely_names(db)
    captures = [loading.load_capture(row) for row in loading.query(db, RECORDINGS)]
    return [Job(journal.root, capture, settings, names) for capture in captures
            if remembered(journal.root, capture, settings) is None]


def _can_hear(journal: Journal, settings: Settings) -> bool:
    """False without weights, and where another plugin may be the one that listens: the second stage asks it."""
    from witnessmark.speech import weights

    if len(hook().transcribe_source.get_hookimpls()) > 1:
        return False
    try:
        weights.find(settings, journal.program)
    except NoWeights:
        return False
    return True


def _one_by_one(jobs: list[Job], progress: Progress, clock: Clock) -> Iterator[Job]:
    for job in jobs:
        def share(done: float, job: Job = job) -> None:
            clock.went_on[job.capture.path] = done * job.seconds
            progress.share(done)
            progress.left(clock.left())
        _hear(job, share)
        yield job


def _together(jobs: list[Job], processes: int) -> Iterator[Job]:
    """The jobs as they are finished, the longest begun first; those of processes that died are left to the second
    stage."""
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    with concurrent.futures.ProcessPoolExecutor(
            processes, mp_context=multiprocessing.get_context("spawn"), initializer=_begin,
            initargs=(max(usable // processes, 1),)) as pool:
        running = {pool.submit(_hear, job): job for job in sorted(jobs, key=lambda job: -job.seconds)}
        try:
            for future in concurrent.futures.as_completed(running):
                future.result()
                yield running[future]
        except BrokenProcessPool:
            return
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _begin(threads: int) -> None:
    """In a new process: its share of the processors, and an end with the program that began it."""
    os.environ["OMP_NUM_THREADS"] = str(threads)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=lambda: (wait([parent.sentinel]), os._exit(1)), daemon=True).start()


def _hear(job: Job, share: Callable[[float], None] | None = None) -> None:
    from witnessmark.speech import transcribe

    try:
        transcribe(job.root, job.capture, job.settings, None, share, job.hints)
    except Exception:  # it fails again in the second stage, which tells of it
        return
