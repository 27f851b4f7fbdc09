"""What the matcher finds: terms, by token position, with their ids."""
from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

TermKind = Literal["part", "assembly", "task", "tool", "material", "consumable", "designation"]


@dataclass(frozen=True, slots=True)
class Term:
    """A trade term in a parsed text: tokens `start` up to, not including, `end`.

    `id` is the task or assembly id, or for things the canonical singular name ("gear leg"); `text` the words
    as they stand. `assembly` is the assembly that such a thing always belongs to (None where it could belong
    to several: "rib", "spar"). `likeness` is 1.0 for an exact match, less where a misheard word was accepted.
    """

    start: int
    end: int
    kind: TermKind
    id: str
    text: str
    assembly: str | None = None
    likeness: float = 1.0


@dataclass(frozen=True, slots=True)
class TaskForm:
    """One verb (or noun of work) of the vocabulary.

    `lemma` with an optional `particle` ("drill out") says `task`, provided that the object or a "with" phrase
    is one of `objects` (lemmas or term kinds) where that is not empty ("shoot" is `prime` only with primer).
    `light` marks everyday verbs that are work only with a trade object ("put on", "get in", "do").
    """

    lemma: str
    task: str
    particle: str | None = None
    objects: frozenset[str] = frozenset()
    light: bool = False
