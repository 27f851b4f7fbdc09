"""Names as the builder has taught them: another spelling of a thing's name becomes the name. Pure functions."""
from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from witnessmark.journal.corrections import Correction

NAMES = {"acts": "part", "open_items": "part", "purchases": "item"}
"""The field of a record that names a thing, by table."""
NOT_THINGS = ("tasks", "assemblies")
Taught = Mapping[tuple[str, ...], str]


def taught(corrections: Iterable[Correction]) -> dict[tuple[str, ...], str]:
    """The words of each taught spelling → the name that it stands for; the last word of the builder counts."""
    found = {}
    for line in corrections:
        heard, meant = str(line.from_.get("word") or ""), str(line.to.get("word") or "")
        if line.do == "word" and line.kind not in NOT_THINGS and words(heard) and words(meant):
            found[words(heard)] = meant
    return found


def words(name: str) -> tuple[str, ...]:
    """The words of a name, singular and in lower case."""
    from witnessmark.trade.inflect import normal  # with its room comes the language model, which most never need

    return tuple(normal(word) for word in name.replace("-", " ").split())


def named(name: str, spellings: Taught) -> str:
    """The name with a taught spelling at its end put right: "left trunnion cuff" is a "left trunnion collar"."""
    said = name.replace("-", " ").split()
    for start in range(len(said)):
        meant = spellings.get(words(" ".join(said[start:])))
        if meant:
            return " ".join([*said[:start], meant])
    return name


def renamed(kind: str, row: dict[str, Any], spellings: Taught) -> dict[str, Any]:
    """A row of a record table under the name that the builder taught for its thing."""
    field = NAMES.get(kind)
    if not field or not spellings or not row.get(field):
        return row
    return {**row, field: named(row[field], spellings)}
