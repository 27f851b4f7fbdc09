"""`register.jsonl`: one line for each file at the moment it was first seen, each carrying the hash of the line before.

Nobody can put in, take out or change a line later without breaking every line after it; so a log that was made at
the time of the work can be told from one that was made up afterwards, provided that one line's hash (the head) was
printed, mailed or signed at some date. Lines are `{"path", "sha256", "size", "captured", "basis", "registered",
"previous"}`: `captured` is the moment of capture as exact as known (null if unknown) and `basis` how it is known;
`registered` is the UTC moment of first sight; `previous` the SHA-256 of the bytes of the line before, without its
line end (64 zeros for the first).
"""
from __future__ import annotations

import contextlib
import datetime as dt
import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from witnessmark.journal import lines
from witnessmark.model import Capture, Moment

START = "0" * 64
FIELDS = ("path", "sha256", "size", "captured", "basis", "registered", "previous")


@dataclass
class Register:
    """The register in memory: `known` maps a SHA-256 to the first line that has it; `head` is the last line's hash."""

    path: Path
    head: str = START
    known: dict[str, dict[str, Any]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)
    _waiting: dict[str, bytes] | None = None

    def add(self, capture: Capture) -> dict[str, Any]:
        """The line of this file: the one that it already has, else a new one, on the disk when this returns (or when
        `together` ends)."""
        if capture.sha256 not in self.known:
            line = {"path": capture.path, "sha256": capture.sha256, "size": capture.size,
                    "captured": as_edtf(capture.moment), "basis": capture.moment.basis, "registered": now(),
                    "previous": self.head}
            encoded = lines.encode(line)
            if self._waiting is None:
                lines.append_raw(self.path, [encoded])
            else:
                self._waiting[capture.sha256] = encoded
            self.head = hashlib.sha256(encoded).hexdigest()
            self.known[capture.sha256] = line
        return self.known[capture.sha256]

    @contextlib.contextmanager
    def together(self) -> Iterator[None]:
        """What is added inside is on the disk when this ends; where it fails, none of it was added."""
        head, waiting = self.head, dict[str, bytes]()
        self._waiting = waiting
        try:
            yield
            lines.append_raw(self.path, list(waiting.values()))
        except BaseException:
            self.head = head
            for sha256 in waiting:
                del self.known[sha256]
            raise
        finally:
            self._waiting = None


def load(path: Path) -> Register:
    """Read the register and check its chain; every break is a sentence in `faults`, and nothing is left out."""
    register = Register(path)
    for line in lines.read(path):
        value = line.value
        if value is None or any(name not in value for name in FIELDS):
            register.faults.append(f"{path.name}, line {line.number}: this is no line of the register")
        else:
            if value["previous"] != register.head:
                register.faults.append(f"{path.name}, line {line.number}: it does not follow from the line before: "
                                       "one of them was changed, added or taken out")
            register.known.setdefault(str(value["sha256"]), value)
        register.head = hashlib.sha256(line.raw).hexdigest()
    return register


def as_edtf(moment: Moment) -> str | None:
    """A moment as exact as it is known: "2024-03-09T16:40:00-07:00", "2024-03-09", "2024-03", "2024"; None if not."""
    if moment.at is None or moment.precision == "none":
        return None
    if moment.precision in ("second", "minute"):
        return moment.at.isoformat(timespec="seconds")
    return moment.at.strftime({"day": "%Y-%m-%d", "month": "%Y-%m", "year": "%Y"}[moment.precision])


def now() -> str:
    """This moment in UTC, to the second."""
    return dt.datetime.now(dt.UTC).isoformat(timespec="seconds").replace("+00:00", "Z")
