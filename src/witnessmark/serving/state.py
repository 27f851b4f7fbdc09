"""What the pages of one running server know: the journal, who may ask, and the token that writing needs."""
from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from typing import Any
from weakref import WeakKeyDictionary

from witnessmark.journal import Journal


@dataclass(frozen=True)
class Guard:
    """Where the server listens, and the secret that a visitor from elsewhere must show (None: none is set)."""

    loopback: bool
    host: str
    secret: str | None = None
    token: str = field(default_factory=lambda: secrets.token_urlsafe(24))

    @property
    def may_write(self) -> bool:
        """Corrections are taken on this computer alone, or from those who have shown the secret."""
        return self.loopback or self.secret is not None


@dataclass(frozen=True)
class Pages:
    """One server's journal and guard."""

    journal: Journal
    guard: Guard


_PAGES: WeakKeyDictionary[Any, Pages] = WeakKeyDictionary()


def keep(datasette: Any, pages: Pages) -> None:
    """Remember what belongs to a Datasette."""
    _PAGES[datasette] = pages


def pages_of(datasette: Any) -> Pages:
    """What belongs to a Datasette. KeyError for one that witnessmark did not make."""
    return _PAGES[datasette]


def is_ours(datasette: Any) -> bool:
    """True for a Datasette that witnessmark made; plugins are loaded once for all that run in a process."""
    return datasette in _PAGES
