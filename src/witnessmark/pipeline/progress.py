"""What the pipeline tells while it works, and what it says in the end."""
from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol


class Progress(Protocol):
    """Where the pipeline reports what it is doing."""

    def stage(self, name: str, total: int) -> None:
        """A stage begins, with this many steps."""

    def step(self, what: str) -> None:
        """One step of the stage begins: usually a path."""

    def share(self, done: float) -> None:
        """How much of the present step is done, 0 to 1."""

    def left(self, seconds: float) -> None:
        """How long the stage will still take; 0 where that is not known any more."""


class Silent:
    """Progress that nobody watches."""

    def stage(self, name: str, total: int) -> None: ...

    def step(self, what: str) -> None: ...

    def share(self, done: float) -> None: ...

    def left(self, seconds: float) -> None: ...


@dataclass
class Summary:
    """What one run did and what the journal holds now.

    `unreadable` maps a path to its cause, for files found to be so in this run; `notes` are sentences for the user.
    `totals` are the journal's: days, sessions, acts, photos, hours, spent, currency, open.
    """

    new: int = 0
    changed: int = 0
    moved: int = 0
    gone: int = 0
    transcribed: int = 0
    read: int = 0
    unreadable: dict[str, str] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    totals: dict[str, object] = field(default_factory=dict)

    @property
    def nothing_new(self) -> bool:
        return not (self.new or self.changed or self.moved or self.gone or self.transcribed or self.read)
