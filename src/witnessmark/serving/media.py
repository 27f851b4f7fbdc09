"""The builder's files as the pages show them: found by the id of a registered source, never by a path.

A file is given out only where the database has it as present, its path stays inside the journal's folder with no link
on the way, and it still has the size that it had when it was read. Its content type is the one that was found in it,
out of a fixed list; anything else is offered for saving.
"""
from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlite_utils import Database

from witnessmark.errors import UnreadableFile, WitnessmarkError
from witnessmark.journal import Journal
from witnessmark.model import Cue, Transcript
from witnessmark.photos import showing
from witnessmark.store import load_capture, query
from witnessmark.store.rows import still_name

SHOWN = {
    "image/jpeg": "image/jpeg", "image/png": "image/png", "image/gif": "image/gif", "image/webp": "image/webp",
    "audio/mpeg": "audio/mpeg", "audio/mp4": "audio/mp4", "audio/x-m4a": "audio/mp4", "audio/aac": "audio/aac",
    "audio/wav": "audio/wav", "audio/x-wav": "audio/wav", "audio/ogg": "audio/ogg", "audio/flac": "audio/flac",
    "video/mp4": "video/mp4", "video/webm": "video/webm", "video/ogg": "video/ogg", "video/3gpp": "video/3gpp",
    # QuickTime and MPEG-4 files have the same build, and browsers play the one under the name of the other.
    "video/quicktime": "video/mp4", "video/x-m4v": "video/mp4",
    "text/vtt": "text/plain; charset=utf-8", "text/plain": "text/plain; charset=utf-8",
    "text/markdown": "text/plain; charset=utf-8", "application/x-subrip": "text/plain; charset=utf-8",
}
"""Media types as found → as served. Nothing that a browser would run."""
SAVED = "application/octet-stream"
POSTER_SECOND = 1.0
FILM_NAME = "film"


class Unavailable(WitnessmarkError):
    """The file cannot be given out; the sentence says why."""


def source(db: Database, identity: str) -> dict[str, Any] | None:
    """The row of a registered source."""
    return next(iter(query(db, "SELECT * FROM sources WHERE id = ?", [identity])), None)


def file_of(journal: Journal, row: dict[str, Any]) -> Path:
    """Where a source's file is. Raises Unavailable where it is gone, changed, or reached by a link."""
    if row["state"] != "present":
        raise Unavailable(f"{row['path']} is no longer in the folder: put it back and index again")
    root = journal.root.resolve()
    path = root / row["path"]
    try:
        if path.resolve(strict=True) != path or not path.is_file() or root not in path.parents:
            raise Unavailable("this file is reached by a link: put the file itself into the folder and index again")
        if path.stat().st_size != row["size"]:
            raise Unavailable(f"{row['path']} has changed since it was indexed: run `witnessmark index` again")
    except OSError:
        raise Unavailable(f"{row['path']} cannot be read: put it back and index again") from None
    return path


def served_type(row: dict[str, Any]) -> str:
    """The content type that a file is served with."""
    return SHOWN.get(row["media_type"], SAVED)


def captions(db: Database, identity: str) -> str | None:
    """A source's words as WebVTT, as they stand in the journal, repairs included; None where it has none."""
    from witnessmark.speech.subtitles import as_vtt

    rows = db.query('SELECT start, "end", text FROM cues WHERE source_id = ? ORDER BY number', [identity])
    cues = tuple(Cue(row["start"], row["end"], row["text"]) for row in rows)
    return as_vtt(Transcript(cues, "cached")) if cues else None


def small_picture(journal: Journal, row: dict[str, Any]) -> Path:
    """The thumbnail of a picture, or a frame of a film; made when it is first asked for."""
    folder = journal.program / "thumbnails"
    if row["kind"] != "photo":
        return still(journal, row, min(POSTER_SECOND, (row["duration"] or 0) / 2))
    ready = folder / f"{row['sha256']}.jpg"
    if ready.is_file():
        return ready
    file_of(journal, row)
    return _made(lambda: showing.thumbnail(journal.root, load_capture(row), folder))


def still(journal: Journal, row: dict[str, Any], second: float) -> Path:
    """The frame of a film at a second; made when it is first asked for."""
    ready = journal.program / "thumbnails" / still_name(row["sha256"], second)
    if ready.is_file():
        return ready
    if not row["has_video"]:
        raise Unavailable(f"{row['path']} has no picture")
    file_of(journal, row)
    return _made(lambda: showing.still(journal.root, load_capture(row), second, ready))


def _made(make: Any) -> Path:
    try:
        return Path(make())
    except UnreadableFile as error:
        raise Unavailable(str(error)) from None
    except OSError as error:
        raise Unavailable(f"the small picture cannot be written ({error.strerror}): allow writing to the journal's "
                          ".witnessmark folder") from None
