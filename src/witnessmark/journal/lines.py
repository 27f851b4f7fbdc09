"""JSON Lines files that are only ever appended to (https://jsonlines.org): one object a line, UTF-8.

A line is written in one call and forced to the disk before the program goes on. Where the power failed in the middle
of one, the torn end is set aside as a file of its own and cut off, so that the next line starts clean.
"""
from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from witnessmark.errors import JournalError


@dataclass(frozen=True, slots=True)
class Line:
    """One line: its number from 1, its bytes without the line end, its object (None if it is no JSON object)."""

    number: int
    raw: bytes
    value: dict[str, Any] | None


def read(path: Path) -> list[Line]:
    """All whole lines of a file, in order; none where the file is missing. A torn end is left out."""
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        return []
    except OSError as error:
        raise JournalError(f"{path.name} cannot be opened ({error.strerror}): check that it may be read") from None
    whole = text.split(b"\n")
    if whole[-1] and _object(whole[-1]) is None:
        whole.pop()
    return [Line(number, raw.rstrip(b"\r"), _object(raw)) for number, raw in enumerate(whole, 1) if raw.strip()]


def _object(raw: bytes) -> dict[str, Any] | None:
    try:
        value = json.loads(raw)
    except (ValueError, RecursionError):
        return None
    return value if isinstance(value, dict) else None


def mend(path: Path, aside: Path) -> str | None:
    """Make a file ready for the next line; the caller holds the journal's lock.

    A torn end is kept in the folder `aside` and cut off; the sentence that reports it is returned. An end that is a
    whole line but for its line end gets one.
    """
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        return None
    start = text.rfind(b"\n") + 1
    torn = text[start:]
    if not torn:
        return None
    if _object(torn) is not None:
        _write(path, b"\n", os.O_APPEND)
        return None
    aside.mkdir(parents=True, exist_ok=True)
    kept = aside / f"{path.stem}-{hashlib.sha256(torn).hexdigest()[:8]}.txt"
    _write(kept, torn, os.O_TRUNC)
    with path.open("r+b") as file:
        file.truncate(start)
        os.fsync(file.fileno())
    return f"{path.name} ended in half a line (a write was cut off): it was set aside as {kept.parent.name}/{kept.name}"


def encode(value: dict[str, Any]) -> bytes:
    """An object as one line without its line end: keys in the order given, no spaces, text unescaped."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode()


def append(path: Path, value: dict[str, Any]) -> bytes:
    """Write one line and force it to the disk; the line is returned. Raises OSError where that is not possible."""
    line = encode(value)
    append_raw(path, [line])
    return line


def append_raw(path: Path, encoded: Sequence[bytes]) -> None:
    """Write lines (from `encode`) in one call and force them to the disk. Raises OSError where that is not possible.

    An end that somebody left without a line end stays a line of its own.
    """
    if encoded:
        _write(path, (b"" if _ends_whole(path) else b"\n") + b"".join(line + b"\n" for line in encoded), os.O_APPEND)


def count(path: Path) -> int:
    """The number of lines in a file, blank ones and a torn end among them; 0 where it is missing."""
    try:
        text = path.read_bytes()
    except FileNotFoundError:
        return 0
    return text.count(b"\n") + (not text.endswith(b"\n") and bool(text))


def _ends_whole(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            if file.seek(0, os.SEEK_END) == 0:
                return True
            file.seek(-1, os.SEEK_END)
            return file.read(1) == b"\n"
    except FileNotFoundError:
        return True


def _write(path: Path, content: bytes, flag: int) -> None:
    new = not path.exists()
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | flag, 0o644)
    try:
        while content:
            content = content[os.write(handle, content):]
        os.fsync(handle)
    finally:
        os.close(handle)
    if new:
        _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    """Force a new file's name to the disk, where the system has folders that can be opened (not on Windows)."""
    if hasattr(os, "O_DIRECTORY"):
        handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
