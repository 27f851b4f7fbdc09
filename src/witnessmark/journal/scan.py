"""What is in the folder, and how it differs from what was known.

A file whose size and modification time are as they were is taken to be unchanged; any other is hashed. Hidden files
and folders, the program's own files, links (they could lead out of the folder), and evidence bags that the program
itself wrote (a folder with `bagit.txt`) are passed over.
"""
from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from witnessmark.journal.folder import OWN_FILES, Known
from witnessmark.model import Kind

SUBTITLES = (".vtt", ".srt")
LABELS = ".xmp"
BAG = "bagit.txt"

KindOf = Callable[[str], Kind | None]
"""The kind that a file's name promises; None for files that no journal reads."""


@dataclass(frozen=True, slots=True)
class Seen:
    """A file as the folder shows it: path relative to the journal, size in bytes, modification time in nanoseconds."""

    path: str
    size: int
    mtime_ns: int

    @property
    def stamp(self) -> str:
        return f"{PurePosixPath(self.path).name} {self.size} {self.mtime_ns}"


@dataclass
class Folder:
    """Everything in the folder that a journal may read, in order of path, and what was passed over, with the cause.

    `closed` are folders that could not be opened, as "path/": what is known of them is not gone.
    """

    files: list[Seen] = field(default_factory=list)
    passed_over: dict[str, str] = field(default_factory=dict)
    closed: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Source:
    """A file that is a source of its own, with the subtitle file that is its transcript, if there is one.

    `beside` tells how the files that belong to it looked, so that a change of theirs is seen.
    """

    seen: Seen
    subtitle: str | None = None
    beside: str = ""

    @property
    def path(self) -> str:
        return self.seen.path


@dataclass(frozen=True, slots=True)
class Changes:
    """How the folder differs from what is known.

    `fresh` are the sources to be read again (new, changed, touched, or with other files beside them), each with its
    hash where it looks unchanged, else None; `gone` are known paths that are no source any more; `paths` are those of
    all sources there now.
    """

    fresh: tuple[tuple[Source, str | None], ...]
    gone: tuple[str, ...]
    paths: frozenset[str]


def walk(root: Path, kind_of: KindOf) -> Folder:
    """Look at every file once, without opening any."""
    folder = Folder()
    _walk(root, "", folder, kind_of)
    return folder


def _walk(place: Path, prefix: str, folder: Folder, kind_of: KindOf) -> None:
    try:
        with os.scandir(place) as found:
            entries = sorted(found, key=lambda entry: entry.name)
    except OSError as error:
        folder.closed.append(prefix)
        folder.passed_over[prefix or "."] = f"the folder cannot be opened ({error.strerror})"
        return
    if prefix and any(entry.name == BAG for entry in entries):
        folder.passed_over[prefix] = "an evidence bag that was made from the journal"
        return
    for entry in entries:
        path = prefix + entry.name
        if entry.name.startswith(".") or path in OWN_FILES:
            continue
        if not _is_text(path):
            folder.passed_over[ascii(path)] = "its name holds bytes that are no text: rename it"
            continue
        try:
            _look(entry, path, folder, kind_of)
        except OSError as error:
            folder.passed_over[path] = f"it cannot be looked at ({error.strerror})"


def _is_text(path: str) -> bool:
    """False for names of bytes that are not UTF-8, which Python carries as lone surrogates."""
    try:
        path.encode()
    except UnicodeEncodeError:
        return False
    return True


def _look(entry: os.DirEntry[str], path: str, folder: Folder, kind_of: KindOf) -> None:
    if entry.is_symlink():
        folder.passed_over[path] = "a link is not followed: put the file itself into the folder"
    elif entry.is_dir(follow_symlinks=False):
        _walk(Path(entry.path), path + "/", folder, kind_of)
    elif entry.is_file(follow_symlinks=False) and (kind_of(path) or path.lower().endswith(LABELS)):
        state = entry.stat(follow_symlinks=False)
        folder.files.append(Seen(path, state.st_size, state.st_mtime_ns))


def sources(files: Iterable[Seen], kind_of: KindOf) -> list[Source]:
    """Which files are sources, and which belong to one: subtitles beside a recording, XMP labels beside anything."""
    files = list(files)
    belonging: dict[str, list[Seen]] = defaultdict(list)
    for seen in files:
        if PurePosixPath(seen.path).suffix.lower() in (*SUBTITLES, LABELS):
            belonging[_stem(seen.path)].append(seen)
    found: list[Source] = []
    taken: set[str] = set()
    for seen in files:
        kind = kind_of(seen.path)
        if kind not in ("recording", "photo"):
            continue
        beside = [*belonging.get(_stem(seen.path), ()), *belonging.get(seen.path.casefold(), ())]
        if kind == "photo":
            beside = [other for other in beside if other.path.lower().endswith(LABELS)]
        subtitle = min((other.path for other in beside if not other.path.lower().endswith(LABELS)),
                       key=lambda path: (path.lower().endswith(SUBTITLES[1]), path), default=None)
        taken.update(other.path for other in beside)
        found.append(Source(seen, subtitle, "\n".join(sorted({other.stamp for other in beside}))))
    alone = [Source(seen) for seen in files if kind_of(seen.path) in ("transcript", "note", "document")
             and seen.path not in taken]
    return sorted(found + alone, key=lambda source: source.path)


def _stem(path: str) -> str:
    """The path without its suffix; capitals do not matter, as on cameras' cards."""
    return str(PurePosixPath(path).with_suffix("")).casefold()


def changes(known: Mapping[str, Known], folder: Folder, kind_of: KindOf, again: bool = False) -> Changes:
    """Compare the folder with what is known by path, without opening a file; with `again` every source is fresh."""
    fresh = []
    current = sources(folder.files, kind_of)
    for source in current:
        old = known.get(source.path)
        same = old is not None and (old.size, old.mtime_ns) == (source.seen.size, source.seen.mtime_ns)
        if not (old and same and old.beside == source.beside) or again:
            fresh.append((source, old.sha256 if old and same else None))
    paths = frozenset(source.path for source in current)
    gone = tuple(path for path in known if path not in paths
                 and not any(path.startswith(closed) for closed in folder.closed))
    return Changes(tuple(fresh), gone, paths)
