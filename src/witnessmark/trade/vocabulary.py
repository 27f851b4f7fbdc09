"""The vocabulary as data: the tables of `data/` and the builder's own words, as plain values.

Each table is a CSV file with a header; several values in one field are parted by "|". A hyphen in a word of a
table ("nut-plate") means that it is written as one word, as two, or with a hyphen.
"""
from __future__ import annotations

import csv
import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from importlib import resources

from witnessmark.errors import JournalError
from witnessmark.trade.terms import TaskForm, TermKind

Words = Mapping[str, Mapping[str, tuple[str, ...]]]

# The tables of things and the kind of term that each gives.
THING_TABLES: dict[str, TermKind] = {"parts": "part", "hardware": "part", "tools": "tool", "safety_gear": "tool",
                                     "materials": "material", "consumables": "consumable"}
# The purchase category of a table's things, unless the row names its own.
TABLE_CATEGORY = {"parts": "part", "hardware": "hardware", "tools": "tool", "safety_gear": "safety-gear",
                  "materials": "material", "consumables": "consumable"}
OWN_KINDS = ("parts", "assemblies", "tasks", "tools", "materials", "consumables", "hardware", "safety_gear")


@dataclass(frozen=True, slots=True)
class Thing:
    """A thing with a name: `category` is that of a purchase, `construction` the ways of building that have it.

    `assembly` is the one that such a thing always belongs to, None where it could belong to several.
    """

    name: str
    kind: TermKind
    category: str
    synonyms: tuple[str, ...] = ()
    assembly: str | None = None
    construction: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Assembly:
    """An assembly id of the journal with its label and the words that mean it."""

    id: str
    label: str
    synonyms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class OtherSense:
    """A word that means `thing` (None: nothing of the trade) where one of `near` stands near, or where none does."""

    word: str
    near: frozenset[str]
    absent: bool
    thing: Thing | None


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All tables.

    `nominals` maps a noun of work to its task, `irregular` a verb to its irregular forms; `modifiers` are words of
    position that belong to a name ("front"), `not_terms` phrases with a trade word that mean something else.
    `everyday_things` are nouns that no work of the trade is done to, `everyday_phrases` what follows a verb where it
    is talk ("screw" "up").
    """

    assemblies: dict[str, Assembly]
    tasks: dict[str, str]
    things: tuple[Thing, ...]
    verbs: tuple[TaskForm, ...]
    irregular: dict[str, tuple[str, ...]]
    nominals: dict[str, str]
    services: dict[str, str]
    modifiers: frozenset[str]
    not_terms: tuple[str, ...]
    senses: tuple[OtherSense, ...]
    everyday_things: frozenset[str]
    everyday_phrases: dict[str, tuple[tuple[str, ...], ...]]


def rows(table: str) -> Iterator[dict[str, str]]:
    """The rows of one table of `data/`, by column name."""
    text = resources.files("witnessmark.trade").joinpath("data", f"{table}.csv").read_text(encoding="utf-8")
    yield from csv.DictReader(text.splitlines())


def split(field: str | None) -> tuple[str, ...]:
    """The values of one field."""
    return tuple(value.strip() for value in (field or "").split("|") if value.strip())


@functools.cache
def built_in() -> Vocabulary:
    """The vocabulary that comes with the program."""
    things = tuple(_things())
    return Vocabulary(
        assemblies={row["id"]: Assembly(row["id"], row["label"], split(row["synonyms"]))
                    for row in rows("assemblies")},
        tasks={row["id"]: row["label"] for row in rows("tasks")},
        things=things,
        verbs=tuple(_verbs()),
        irregular={row["lemma"]: split(row["forms"]) for row in rows("irregular_verbs")},
        nominals={noun: row["task"] for row in rows("nominals") for noun in (row["noun"], *split(row["synonyms"]))},
        services={name: row["category"] for row in rows("services")
                  for name in (row["name"], *split(row["synonyms"]))},
        modifiers=frozenset(row["word"] for row in rows("modifiers")),
        not_terms=tuple(row["phrase"] for row in rows("not_terms")),
        senses=tuple(_senses(things)),
        everyday_things=frozenset(row["noun"] for row in rows("everyday_things")),
        everyday_phrases=_phrases(),
    )


def _things() -> Iterator[Thing]:
    for table, kind in THING_TABLES.items():
        for row in rows(table):
            yield Thing(row["name"], kind, row.get("category") or TABLE_CATEGORY[table], split(row["synonyms"]),
                        row.get("assembly") or None, split(row.get("construction")))


def _phrases() -> dict[str, tuple[tuple[str, ...], ...]]:
    phrases: dict[str, tuple[tuple[str, ...], ...]] = {}
    for row in rows("everyday_phrases"):
        phrases[row["verb"]] = (*phrases.get(row["verb"], ()), tuple(row["then"].split()))
    return phrases


def _senses(things: tuple[Thing, ...]) -> Iterator[OtherSense]:
    named = {(thing.kind, thing.name): thing for thing in things}
    for row in rows("senses"):
        thing = named[THING_TABLES[row["table"]], row["name"]] if row["name"] else None
        yield OtherSense(row["word"], frozenset(split(row["near"])), row["when"] == "absent", thing)


def _verbs() -> Iterator[TaskForm]:
    for row in rows("verbs"):
        for particle in split(row["particles"]) or ("-",):
            yield TaskForm(row["lemma"], row["task"], None if particle == "-" else particle,
                           frozenset(split(row["objects"])), row["light"] == "yes")


def with_own_words(base: Vocabulary, own: Words) -> Vocabulary:
    """The vocabulary with the builder's own words (`[vocabulary.*]` of journal.toml) added.

    Raises JournalError naming the key that cannot be used and what is allowed there.
    """
    for kind in own:
        if kind not in OWN_KINDS:
            raise JournalError(f"journal.toml: [vocabulary.{kind}] is not a kind of word; use one of "
                               f"{', '.join(OWN_KINDS)}.")
    things = list(base.things)
    for table in THING_TABLES:
        for name, synonyms in own.get(table, {}).items():
            _add_thing(things, table, name.lower(), tuple(synonym.lower() for synonym in synonyms))
    return replace(base, things=tuple(things), assemblies=_own_assemblies(base, own), verbs=_own_verbs(base, own))


def _add_thing(things: list[Thing], table: str, name: str, synonyms: tuple[str, ...]) -> None:
    for at, thing in enumerate(things):
        if thing.name == name and thing.kind == THING_TABLES[table]:
            things[at] = replace(thing, synonyms=thing.synonyms + synonyms)
            return
    things.append(Thing(name, THING_TABLES[table], TABLE_CATEGORY[table], synonyms))


def _own_assemblies(base: Vocabulary, own: Words) -> dict[str, Assembly]:
    assemblies = dict(base.assemblies)
    for key, synonyms in own.get("assemblies", {}).items():
        _check("assemblies", key, assemblies)
        assemblies[key] = replace(assemblies[key], synonyms=assemblies[key].synonyms
                                  + tuple(synonym.lower() for synonym in synonyms))
    return assemblies


def _own_verbs(base: Vocabulary, own: Words) -> tuple[TaskForm, ...]:
    added = []
    for key, synonyms in own.get("tasks", {}).items():
        _check("tasks", key, base.tasks)
        added += [TaskForm(synonym.lower(), key) for synonym in synonyms]
    return tuple(added) + base.verbs


def _check(kind: str, key: str, allowed: Mapping[str, object]) -> None:
    if key not in allowed:
        raise JournalError(f"journal.toml: \"{key}\" under [vocabulary.{kind}] is not known; use one of "
                           f"{', '.join(allowed)}.")
