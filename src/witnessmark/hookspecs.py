"""The extension points of witnessmark; what it does by itself goes through them too (`builtin.py`).

A package that adds to witnessmark names a module in its entry points, group `witnessmark`:

    [project.entry-points.witnessmark]
    my_inputs = "my_package.inputs"

and in that module writes functions of the names below, marked with `hookimpl`:

    from witnessmark.hookspecs import hookimpl

    @hookimpl
    def file_kinds():
        return {".dvr": ("recording", "video/x-dvr")}

Hooks are called by keyword; an implementation takes only the arguments that it needs. Every function must leave the
builder's files as they are.
"""
from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pluggy

from witnessmark.model import Capture, Kind, Reading, Session, Settings, Transcript

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.journal import Journal
    from witnessmark.reading.memory import Memory
    from witnessmark.trade.lexicon import Lexicon

PROJECT = "witnessmark"
hookspec = pluggy.HookspecMarker(PROJECT)
hookimpl = pluggy.HookimplMarker(PROJECT)


@dataclass(frozen=True, slots=True)
class Export:
    """A form in which a journal can be written out: `write(journal, db, out)` makes it at the path `out`."""

    about: str
    write: Callable[[Journal, Database, Path], None]


@hookspec
def file_kinds() -> Mapping[str, tuple[Kind, str]]:  # type: ignore[empty-body]
    """File name suffixes (small letters, with the dot) that a journal reads → (kind, media type)."""


@hookspec(firstresult=True)
def ingest_file(root: Path, path: str, settings: Settings, sha256: str) -> Capture | None:
    """What the file `path` (relative to `root`) is and when it was made; None leaves it to the next one.

    A file that cannot be understood comes back with kind "unreadable" and a sentence in `problems`.
    """


@hookspec(firstresult=True)
def transcribe_source(root: Path, capture: Capture, subtitle: str | None, settings: Settings, lexicon: Lexicon,
                      progress: Callable[[float], None], hints: Sequence[str]) -> Transcript | None:
    """The words of a source; `subtitle` is the path of a subtitle file beside it. None leaves it to the next one.

    `progress` is called with the share (0 to 1) that is done; `hints` are names that are likely to be said in it.
    """


@hookspec
def extract_records(session: Session, lexicon: Lexicon, memory: Memory) -> Reading | None:
    """Records from one session, given what earlier sessions said; the results of all are put together."""


@hookspec
def exports() -> Mapping[str, Export]:  # type: ignore[empty-body]
    """Forms of export by name, for `witnessmark export FOLDER NAME --out PLACE`."""
