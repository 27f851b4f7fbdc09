"""The checklist: tasks of a build as rows of a CSV file, and which records belong to which row.

Columns: `row` (its number on the form), `group`, `task` in words, `work` (fabrication or assembly: the builder's column
that the row's work belongs to), `assemblies`, `tasks`, `proof` and `parts`, each several ids or names parted by "|".
A record belongs to a row where its assembly and task are among the row's and its part ends in one of the row's
`parts` ("flap rib" in "rib"); an empty column takes anything. `proof` names those of the `tasks` that show the row's
own work, the others (drilling, deburring) being only part of it. A builder replaces the list by the form of his
authority; without `work` and `proof` nothing is proposed for a row.

The list that comes with the program is for fixed-wing aircraft, in words of its own. It follows the division into
tasks, each one point, of the FAA's fabrication and assembly checklist, but is not that form.
"""
from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

from witnessmark.errors import WitnessmarkError
from witnessmark.evidence.cells import plain
from witnessmark.trade.inflect import normal
from witnessmark.trade.vocabulary import built_in

NAME = "checklist.csv"
REQUIRED = ("row", "group", "task", "assemblies", "tasks")
WORK = ("fabrication", "assembly")


class WorksheetError(WitnessmarkError):
    """A checklist or the builder's worksheet cannot be used as it is."""


@dataclass(frozen=True, slots=True)
class Item:
    """One row. `work` is the builder's column for it, "" where the list does not say."""

    row: str
    group: str
    task: str
    assemblies: frozenset[str]
    tasks: frozenset[str]
    work: str = ""
    proof: frozenset[str] = frozenset()
    parts: tuple[tuple[str, ...], ...] = ()

    def takes(self, act: Mapping[str, Any]) -> bool:
        """Whether an act belongs to the row, whoever did it and whether or not it was done."""
        if act["task"] not in self.tasks or (self.assemblies and act["assembly"] not in self.assemblies):
            return False
        return not self.parts or self.names(act["part"])

    def names(self, part: str | None) -> bool:
        """Whether a part's name ends in one of the row's parts and has all its words."""
        said = words_of(part)
        return bool(said) and any(name[-1] == said[-1] and set(name) <= set(said) for name in self.parts)


def words_of(name: str | None) -> tuple[str, ...]:
    """A part's words, singular, in American spelling."""
    return tuple(normal(word) for word in (name or "").lower().replace("-", " ").split())


def read_rows(path: Path | None, default: str = "") -> tuple[str, list[dict[str, str]]]:
    """The name and rows of a CSV file (RFC 4180, UTF-8), or of a data file of this package; cells are stripped."""
    name = path.name if path else default
    try:
        content = path.read_bytes() if path else resources.files(__package__).joinpath("data", default).read_bytes()
        reader = csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline=""), strict=True)
        return name, [{(key or "").strip().lower(): plain((value or "").strip()) for key, value in row.items()
                       if isinstance(value, str | None)} for row in reader]
    except OSError as error:
        raise WorksheetError(f"{name} cannot be opened ({error.strerror}): check the name and that it may be read"
                             ) from None
    except UnicodeDecodeError:
        raise WorksheetError(f"{name} is not UTF-8 text: save it as “CSV UTF-8” in your spreadsheet") from None
    except csv.Error as error:
        raise WorksheetError(f"{name} is no CSV file ({error}): save it as “CSV UTF-8” in your spreadsheet") from None


def load(path: Path | None = None) -> list[Item]:
    """A checklist; the fixed-wing one without a path. Raises WorksheetError, naming the row and what is allowed."""
    name, rows = read_rows(path, "fixed_wing.csv")
    missing = [column for column in REQUIRED if not rows or column not in rows[0]]
    if missing:
        raise WorksheetError(f"{name} lacks the column {missing[0]}: a checklist needs {', '.join(REQUIRED)}")
    items = [_item(name, row) for row in rows if any(row.values())]
    known = set()
    for item in items:
        if not item.row or item.row in known:
            raise WorksheetError(f"{name}: row {item.row or '(empty)'} stands twice or has no name: "
                                 "give each row a name of its own")
        known.add(item.row)
    return items


def _item(name: str, row: Mapping[str, str]) -> Item:
    where = f"{name}, row {row['row']}"
    tasks = _ids(where, "tasks", row, built_in().tasks)
    if not tasks:
        raise WorksheetError(f"{where}: tasks is empty: name at least one task id, such as rivet")
    work = row.get("work", "")
    if work and work not in WORK:
        raise WorksheetError(f"{where}: work is {work}; allowed are {' and '.join(WORK)}, or nothing")
    parts = tuple(words_of(part) for part in _several(row, "parts"))
    return Item(row["row"], row["group"], row["task"], _ids(where, "assemblies", row, built_in().assemblies), tasks,
                work, _ids(where, "proof", row, built_in().tasks) & tasks if work else frozenset(), parts)


def _several(row: Mapping[str, str], column: str) -> list[str]:
    return [value.strip() for value in row.get(column, "").split("|") if value.strip()]


def _ids(where: str, column: str, row: Mapping[str, str], known: Mapping[str, Any]) -> frozenset[str]:
    found = _several(row, column)
    for value in found:
        if value not in known:
            raise WorksheetError(f"{where}: {value} is no id for {column}; allowed are {', '.join(known)}")
    return frozenset(found)
