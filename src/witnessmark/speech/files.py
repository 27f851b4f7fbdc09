"""Files that are never seen half written."""
from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import BinaryIO


def write_whole(file: Path, fill: Callable[[BinaryIO], object]) -> None:
    """Write a file beside its place by `fill`, then put it there in one step."""
    new = file.with_name(f"{file.name}.{os.getpid()}.new")
    try:
        with new.open("wb") as stream:
            fill(stream)
        new.replace(file)
    finally:
        new.unlink(missing_ok=True)


def write_text(file: Path, text: str) -> None:
    """Write a text file, UTF-8, in one step."""
    write_whole(file, lambda stream: stream.write(text.encode()))
