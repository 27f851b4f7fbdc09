"""What goes into the tagging of pictures and what comes out: frozen values."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from witnessmark.model import Act, Session

TagBasis = Literal["recording", "day", "folder", "caption", "keyword", "file-name", "text"]


@dataclass(frozen=True, slots=True)
class Spoken:
    """A narration and what was read from it. `exact` is False where its start is known to the day only."""

    session: Session
    acts: tuple[Act, ...] = ()
    exact: bool = True


@dataclass(frozen=True, slots=True)
class PhotoTag:
    """One answer to "what does this picture show", with how that is known; best answers come first.

    `confidence` is 0 to 1. `source` and `act` (its place in that narration's acts) name what was said where the
    basis is "recording" or "day". `note` holds what supports or contradicts it.
    """

    sha256: str
    path: str
    assembly: str | None
    part: str | None
    side: str | None
    task: str | None
    basis: TagBasis
    confidence: float
    note: str = ""
    source: str | None = None
    act: int | None = None
