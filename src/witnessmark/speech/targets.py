"""The trade's words as targets of a repair: every form that a builder may say, with its sounds."""
from __future__ import annotations

import csv
import functools
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib import resources

from witnessmark.model import Settings
from witnessmark.speech.sounds import sounds
from witnessmark.trade.inflect import inflections, plural
from witnessmark.trade.likeness import is_english
from witnessmark.trade.vocabulary import Vocabulary, built_in, with_own_words

SHORTEST_JOINED = 7  # letters of a word that is written together where the recogniser wrote two


@dataclass(frozen=True, slots=True)
class Confusable:
    """One row of confusables.csv (see the README beside it)."""

    heard: tuple[str, ...]
    meant: str
    slot: str
    near: frozenset[str]


@dataclass(frozen=True)
class Targets:
    """The trade's words by use.

    `spoken` are all single trade words, `words` those that a repair may put in, with their sounds; `verbs` are
    inflected verb forms, `work` those of them that are not light ("get", "put"), `nouns` the names of one word.
    `joined` are names that are written as one word; `pairs` maps a word to the words that follow it in a name of two
    words, `led` the other way about; `compounds` maps the first word of a verb of two words ("match drill") to the
    forms of the second.
    """

    spoken: frozenset[str]
    words: Mapping[str, str]
    verbs: frozenset[str]
    work: frozenset[str]
    nouns: frozenset[str]
    joined: frozenset[str]
    pairs: Mapping[str, frozenset[str]]
    led: Mapping[str, frozenset[str]]
    compounds: Mapping[str, frozenset[str]]


def targets(settings: Settings) -> Targets:
    """The targets for a journal, its own vocabulary included."""
    own = tuple((kind, tuple(sorted(words.items()))) for kind, words in sorted(settings.vocabulary.items()))
    return _targets(own)


@functools.lru_cache(maxsize=4)
def _targets(own: tuple[tuple[str, tuple[tuple[str, tuple[str, ...]], ...]], ...]) -> Targets:
    vocabulary = with_own_words(built_in(), {kind: dict(words) for kind, words in own})
    names = _names(vocabulary)
    verbs = tuple(dict.fromkeys(form for verb in vocabulary.verbs for form in _forms(vocabulary, verb.lemma)))
    everyday = {verb.lemma for verb in vocabulary.verbs if verb.light}
    work = [form for verb in vocabulary.verbs if verb.lemma not in everyday and " " not in verb.lemma
            for form in _forms(vocabulary, verb.lemma)]
    singles = [form for name in names if " " not in name for form in (name, plural(name))]
    singles += [word for name in names if " " in name for word in name.split() if not is_english(word)]
    spoken = frozenset([*singles, *(form for form in verbs if " " not in form)])
    pairs, led, compounds = defaultdict(set), defaultdict(set), defaultdict(set)
    for first, second in (name.split() for name in names if name.count(" ") == 1 and "-" not in name):
        for form in (second, plural(second)):
            pairs[first].add(form)
            led[form].add(first)
    for first, second in (form.split() for form in verbs if form.count(" ") == 1):
        compounds[first].add(second)
    joined = {form for thing in vocabulary.things if thing.name.isalpha() and len(thing.name) >= SHORTEST_JOINED
              for form in (thing.name, plural(thing.name))}
    return Targets(spoken, _with_sounds([*work, *singles]),
                   frozenset(form for form in verbs if " " not in form), frozenset(work), frozenset(singles),
                   frozenset(joined),
                   *({key: frozenset(found) for key, found in table.items()} for table in (pairs, led, compounds)))


def _with_sounds(words: Iterable[str]) -> dict[str, str]:
    """Each word with its sounds; of spellings that sound the same only the first, which is the table's own.

    A spelling that lacks a letter ("debured", "clecod") is left out.
    """
    known = dict.fromkeys(word for word in words if word.isalpha() and len(word) > 2)
    first: dict[str, str] = {}
    for word in known:
        fuller = {word[:at] + word[at - 1:] for at in range(1, len(word))} | {word[:-1] + "ed"}
        if is_english(word) or fuller.isdisjoint(known):
            first.setdefault(sounds(word), word)
    return {word: sound for sound, word in first.items()}


def _names(vocabulary: Vocabulary) -> tuple[str, ...]:
    """The names of things and assemblies, in the order of the tables; "-" stands where they may be written apart."""
    things = (name for thing in vocabulary.things for name in (thing.name, *thing.synonyms))
    assemblies = (name for assembly in vocabulary.assemblies.values() for name in assembly.synonyms)
    return tuple(dict.fromkeys(name.lower() for name in (*things, *assemblies)))


def _forms(vocabulary: Vocabulary, lemma: str) -> tuple[str, ...]:
    """The forms as they are properly spelt; the vocabulary's table of irregular forms also holds misspellings."""
    irregular = (form for form in vocabulary.irregular.get(lemma, ()) if all(map(is_english, form.split())))
    return (*inflections(lemma), *irregular)


@functools.cache
def confusables() -> tuple[Confusable, ...]:
    """The table of everyday words that are heard for trade words, the longest first."""
    text = resources.files("witnessmark.speech").joinpath("data", "confusables.csv").read_text(encoding="utf-8")
    rows = [Confusable(tuple(row["heard"].split()), row["meant"], row["slot"],
                       frozenset(filter(None, row["near"].split("|")))) for row in csv.DictReader(text.splitlines())]
    return tuple(sorted(rows, key=lambda row: -len(row.heard)))
