"""Rules of repair for everyday words that were heard badly, where the talk itself says the right word close by.

Each rule wants three things: a word that the recogniser was unsure of, a trade word of nearly the same sound, and a
witness for it: a designation beside it that is such a thing ("AN3-5A" is a bolt), the same word said clearly elsewhere
in the recording, or a verb's place filled by a verb that hardly anybody uses.
"""
from __future__ import annotations

import functools
from collections.abc import Iterable

from witnessmark.speech.line import (
    BADLY_HEARD,
    CLEARLY_HEARD,
    FUNCTION_WORDS,
    NOUN_CALLERS,
    OBJECTS,
    SUBJECTS,
    Found,
    Line,
)
from witnessmark.speech.sounds import likeness, sounds
from witnessmark.trade import designations
from witnessmark.trade.inflect import normal, plural, singular
from witnessmark.trade.likeness import is_common

THING_ENOUGH = 0.75  # likeness from which a word beside a designation, or in an object, is the thing that it names
RARE_ENOUGH = 0.9  # likeness from which a verb that hardly anybody uses is a trade verb
SURE_OF_S = 0.97  # word probability from which a recogniser is believed an s before another s
SHORTEST = 3
OBJECT_REACH = 5  # words in which the verb of an object is looked for
FASTENED = frozenset({"rivet", "bolt", "nut", "washer", "pin", "screw", "hardware"})  # families that are things


def designated(line: Line, at: int) -> Found | None:
    """ "the hinge bowls, AN3-5A": the word beside a designation is what the designation is."""
    if not _may_be_misheard(line, at, CLEARLY_HEARD):
        return None
    beside = [line.words[n].text for n in (at + 1, at - 1) if 0 <= n < len(line.words)]
    things = {thing for text in beside if (thing := _thing(text.strip(" .,;:!?")))}
    return _nearest(line, at, {form for thing in things for form in (thing, plural(thing))}, "designated")


@functools.lru_cache(maxsize=1024)
def _thing(text: str) -> str | None:
    """The noun for what a designation stands for: "AN470AD4-5" → "rivet"."""
    found = designations.parse(text) if any(letter.isdigit() for letter in text) else None
    return found.thing.split()[-1] if found and found.thing and found.family in FASTENED else None


def said_elsewhere(line: Line, at: int) -> Found | None:
    """ "drilled the hinge bowls ... two more bolts": the end of an object that is a thing which the talk knows."""
    if not _may_be_misheard(line, at, BADLY_HEARD) or not _ends_object(line, at):
        return None
    return _nearest(line, at, line.clear_nouns, "said-elsewhere")


def _ends_object(line: Line, at: int) -> bool:
    """True where a trade verb's object stands right before: so the clause has its verb, and this can only be a noun."""
    back = at - 1
    if not line.before(at) or not line.trade[back]:
        return False
    while back > max(at - OBJECT_REACH, 0) and line.before(back):
        back -= 1
        if line.bare[back] in line.targets.work:
            return True
        if not line.trade[back] and line.bare[back] not in NOUN_CALLERS:
            return False
    return False


def rare_verb(line: Line, at: int) -> Found | None:
    """ "I resiled the sender": a verb that is in dictionaries only, where somebody does something to a thing."""
    heard = line.bare[at]
    if not _may_be_misheard(line, at, BADLY_HEARD) or line.strange(at) or is_common(heard) or is_common(normal(heard)) \
            or line.before(at) not in SUBJECTS or line.after(at + 1) not in OBJECTS:
        return None
    choices = {word for word in line.targets.work if word in line.targets.words and word[:1] == heard[:1]}
    return _nearest(line, at, choices, "rare-verb", RARE_ENOUGH)


def doubled_s(line: Line, at: int) -> Found | None:
    """ "the flaps spar": an s that belongs to the next word only; between two things nobody says a plural."""
    one, other = line.bare[at], line.after(at + 1)
    single = singular(one)
    if single == one or not other.startswith("s") or line.words[at].text.rstrip().endswith(("'s", ",")) \
            or line.before(at) not in NOUN_CALLERS or line.words[at].probability >= SURE_OF_S:
        return None
    if single in line.targets.nouns and normal(other) in line.targets.nouns and other not in line.targets.verbs:
        return Found(at, at + 1, single, "doubled-s", 0.9)
    return None


def _may_be_misheard(line: Line, at: int, clear: float) -> bool:
    word = line.bare[at]
    return (word.isalpha() and len(word) >= SHORTEST and word not in FUNCTION_WORDS and word not in line.names
            and not line.trade[at] and line.words[at].probability < clear)


def _nearest(line: Line, at: int, choices: Iterable[str], rule: str, enough: float = THING_ENOUGH) -> Found | None:
    said = sounds(line.bare[at])
    alike, word = max(((likeness(said, sounds(choice)), choice) for choice in sorted(choices)), default=(0.0, ""))
    return Found(at, at + 1, word, rule, round(min(alike, 1.0) * 0.95, 2)) if alike >= enough else None
