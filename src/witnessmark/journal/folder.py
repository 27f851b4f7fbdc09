"""Where things are in a journal, and the lock that lets one program at a time write to it."""
from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import filelock

from witnessmark.errors import JournalError
from witnessmark.journal import settings as settings_file
from witnessmark.model import Settings

PROGRAM_FOLDER = ".witnessmark"
REGISTER, CORRECTIONS = "register.jsonl", "corrections.jsonl"
OWN_FILES = frozenset({settings_file.NAME, REGISTER, CORRECTIONS})


@dataclass(frozen=True, slots=True)
class Known:
    """A source as it was when it was last read."""

    sha256: str
    size: int
    mtime_ns: int
    beside: str


@dataclass(frozen=True)
class Journal:
    """A journal's folder (absolute) and its settings."""

    root: Path
    settings: Settings

    @property
    def program(self) -> Path:
        """The folder of the program's own files; may be deleted, and is made again."""
        return self.root / PROGRAM_FOLDER

    @property
    def database(self) -> Path:
        return self.program / "journal.db"

    @property
    def register(self) -> Path:
        return self.root / REGISTER

    @property
    def corrections(self) -> Path:
        return self.root / CORRECTIONS

    @contextlib.contextmanager
    def lock(self, wait: float = 0) -> Iterator[None]:
        """Hold the journal for writing; the operating system lets go of it when the program ends, however it ends.

        `wait` is in seconds. Raises JournalError where another program holds it or the folder cannot be written.
        """
        try:
            self.program.mkdir(exist_ok=True)
            lock = filelock.FileLock(self.program / "lock", timeout=wait)
            lock.acquire()
        except filelock.Timeout:
            raise JournalError(f"{self.root} is being indexed by another program: wait until that has finished, "
                               "or stop the other `index` or `watch`") from None
        except OSError as error:
            raise JournalError(f"{self.program} cannot be written ({error.strerror}): allow writing to the journal's "
                               "folder, or copy the journal to a place where you may write") from None
        try:
            yield
        finally:
            lock.release()


def open_journal(folder: Path | str) -> Journal:
    """The journal in `folder`. Raises JournalError where there is none or its settings cannot be used."""
    root = Path(folder).expanduser().resolve()
    if not root.is_dir():
        raise JournalError(f"{folder} is not a folder: give the folder that holds your recordings and photos")
    if not (root / settings_file.NAME).is_file():
        raise JournalError(f"{folder} has no {settings_file.NAME}: run `witnessmark new {folder}` to make it a journal")
    return Journal(root, settings_file.read(root / settings_file.NAME))
