"""Names of parts shown to the parser as plain nouns: "strut ends" as "metal parts", so that "ends" is no verb.

In: the words of a text. Out: what to show in the place of each word of a name, and of a person without an article
that opens a sentence. Names of one word are shown plainly
only where a determiner makes them nouns anyway and their plural looks like a verb ("the ribs bent easily").
"""
from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence

from witnessmark.reading.people import table
from witnessmark.reading.reference_words import FEATURES, NAMED_REGIONS, UNNAMED_REGIONS
from witnessmark.trade.inflect import normal
from witnessmark.trade.vocabulary import built_in

PLAIN = {False: "part", True: "parts"}
MODIFIER = "metal"
PERSON = "Woman"  # a noun that the parser takes for no verb
BARE_PERSONS = frozenset({"mate", "neighbour", "neighbor", "kid", "student", "pal", "cousin"})
BEFORE_NOUN = frozenset({"the", "a", "an", "my", "our", "your", "his", "her", "their", "its", "those", "these", "this",
                         "that", "both", "all", "left", "right", "lower", "upper", "port", "starboard", "new", "old",
                         "of", "other", "front", "rear", "two", "three", "four", "five", "six", "eight", "ten", "every",
                         "each", "some", "more", "most", "last", "first", "second", "whole", "and", "on", "in", "for", "with"})
REGIONS = NAMED_REGIONS | UNNAMED_REGIONS | FEATURES  # "the strut ends", "the rib flanges", "the skin edges"
LONGEST = 4


@functools.cache
def _names() -> tuple[frozenset[tuple[str, ...]], frozenset[str]]:
    """Names of several words, and of one, as normal words."""
    several, single = set(), set()
    for thing in built_in().things:
        for name in (thing.name, *thing.synonyms):
            words = tuple(normal(word) for word in name.replace("-", " ").split())
            if len(words) > 1:
                several.add(words)
            elif thing.kind == "part":
                single.add(words[0])
    return frozenset(several), frozenset(single)


def is_part_word(word: str) -> bool:
    """True for a word that names a part by itself, or a region: "skin", "sides"."""
    return normal(word) in _names()[1] or normal(word) in REGIONS


def _is_somebodys(after: Sequence[str]) -> bool:
    """ "The sheet metal shop": the name of a thing within that of a firm or a man."""
    return bool(after) and (after[0] in table()["paid"]["heads"] or after[0] in table()["helper"]["heads"]
                            or after[0] in ("people", "folks"))


def _opens_as_person(words: Sequence[str], at: int) -> bool:
    """ "Bloke two farms over welded it", "mate of mine cut those": not "Mate, look at this"."""
    begins = at == 0 or words[at - 1] in (".", "!", "?", ";")
    return begins and words[at] in table()["paid"]["strangers"] | BARE_PERSONS and words[at + 1:at + 2] != [","]


def plain_nouns(words: Sequence[str], taken: frozenset[int]) -> Iterator[tuple[int, str]]:
    """(number of a word, what to show in its place); `taken` are words that are shown as something else already."""
    several, single = _names()
    lower = [word.lower() for word in words]
    norm = [normal(word) for word in lower]
    at = 0
    while at < len(lower):
        if _opens_as_person(lower, at) and at not in taken:
            yield at, PERSON
            at += 1
            continue
        length = next((n for n in range(LONGEST, 1, -1) if tuple(norm[at:at + n]) in several), 0)
        if length and not taken & set(range(at, at + length)) and not _is_somebodys(norm[at + length:at + length + 1]):
            yield from ((i, MODIFIER) for i in range(at, at + length - 1))
            yield at + length - 1, PLAIN[lower[at + length - 1] != norm[at + length - 1]]
            at += length
            continue
        pair = norm[at] in single and norm[at + 1:at + 2] != [] and (norm[at + 1] in REGIONS or norm[at + 1] in single)
        if pair and lower[at + 1] != norm[at + 1] and at and lower[at - 1] in BEFORE_NOUN and not taken & {at, at + 1}:
            yield from ((at, MODIFIER), (at + 1, PLAIN[True]))
            at += 1
        elif at and norm[at] in single and lower[at] != norm[at] and at not in taken and lower[at - 1] in BEFORE_NOUN:
            yield at, PLAIN[True]
        at += 1
