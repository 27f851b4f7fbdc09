"""A line of recognised words as the rules of repair see it, and what everyday English is.

Shared by the rules of `repair` and `place_rules`.
"""
from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import resources

from witnessmark.model import Settings, Word
from witnessmark.speech.rewording import breaks
from witnessmark.speech.targets import Targets, targets
from witnessmark.trade.inflect import normal
from witnessmark.trade.likeness import is_english

REACH = 8  # words on either side in which a neighbour counts
CLEARLY_HEARD = 0.9  # word probability from which a recogniser is rarely wrong about an everyday word
BADLY_HEARD = 0.6  # probability below which one word in three is wrong (tests/bench/hearing.py)
SURELY_SAID = 0.8  # probability from which a word is a witness for the same word elsewhere
SHORTEST_STRANGE = 5

_PLACES = tomllib.loads(resources.files("witnessmark.speech").joinpath("data", "places.toml").read_text("utf-8"))
SUBJECTS, OBJECTS, NOUN_CALLERS, OTHERS, SPOKEN, FIGURES, MONEY_UNITS, BEFORE_MONEY = (
    frozenset(_PLACES[key].split()) for key in ("subjects", "objects", "noun_callers", "others", "spoken", "figures",
                                                "money_units", "before_money"))
SENTENCE_WORDS = SUBJECTS | OBJECTS | {""}
FUNCTION_WORDS = SUBJECTS | OBJECTS | NOUN_CALLERS | OTHERS
# Endings that make a word of another, with what the other may end in.
ENDINGS = (("ed", ("", "e")), ("ing", ("", "e")), ("er", ("", "e")), ("ly", ("",)), ("'s", ("",)), ("est", ("", "e")),
           ("ish", ("",)), ("y", ("",)), ("able", ("", "e")), ("ier", ("y",)), ("iest", ("y",)), ("ied", ("y",)))


@dataclass(frozen=True, slots=True)
class Found:
    """Words `first` up to, not including, `last` are to be read as `text`."""

    first: int
    last: int
    text: str
    rule: str
    confidence: float


@dataclass(frozen=True)
class Line:
    """Recognised words with their bare lower-case forms, and which of them are words of the trade.

    `clear_nouns` are the things of the trade that were heard clearly somewhere in them.
    """

    words: Sequence[Word]
    bare: tuple[str, ...]
    trade: tuple[bool, ...]
    targets: Targets
    names: frozenset[str]
    clear_nouns: frozenset[str]

    def near(self, first: int, last: int) -> list[int]:
        """Numbers of the words around a stretch, without it."""
        return [*range(max(first - REACH, 0), first), *range(last, min(last + REACH, len(self.bare)))]

    def before(self, at: int) -> str:
        return self.bare[at - 1] if at and not breaks(self.words[at - 1]) else ""

    def after(self, at: int) -> str:
        return self.bare[at] if at < len(self.bare) and not breaks(self.words[at - 1]) else ""

    def strange(self, at: int) -> bool:
        """True for a word that neither the trade nor everyday English has, nor the journal as a name."""
        word = self.bare[at]
        return (word.isalpha() and len(word) >= SHORTEST_STRANGE and not self.trade[at] and word not in self.names
                and not is_known(word))


Rule = Callable[[Line, int], Found | None]


def line_of(words: Sequence[Word], settings: Settings) -> Line:
    aims = targets(settings)
    bare = tuple(re.sub(r"^[^\w#]+|[^\w]+$", "", word.text.lower().replace("’", "'")) for word in words)
    trade = tuple(word in aims.spoken or normal(word) in aims.spoken for word in bare)
    people = (settings.title, settings.aircraft, *settings.builders, *settings.helpers, *settings.hired)
    names = frozenset(part.lower() for name in people for part in re.findall(r"\w+", name))
    clear = frozenset(text for text, word in zip(bare, words, strict=True)
                      if text in aims.nouns and word.probability >= SURELY_SAID)
    return Line(words, bare, trade, aims, names, clear)


def is_known(word: str) -> bool:
    """True for a word of everyday English in any regular form."""
    if is_english(word) or is_english(normal(word)) or word in SPOKEN:
        return True
    for prefix in ("un", "re", "non", "over", "under"):
        if word.startswith(prefix) and len(word) > len(prefix) + 3 and is_known(word[len(prefix):]):
            return True
    for ending, stems in ENDINGS:
        if word.endswith(ending) and len(word) > len(ending) + 2:
            stem = word[:-len(ending)]
            undoubled = stem[:-1] if stem[-1:] == stem[-2:-1] else stem
            if any(is_english(form) for form in (*(stem + more for more in stems), undoubled)):
                return True
    return False
