"""Misheard trade words restored, by sound and by what stands around them; the raw words stay beside the new ones.

A word that makes sense where it stands is never changed: a word of the trade or of everyday English gives way only
where it is listed as a confusable and its place and its neighbours call for the trade word, where it stands for half
of a name of two words whose other half is right ("break line"), or where the talk itself says the right word close by
(`place_rules`). A word that no dictionary has is another matter: somebody said something there.
"""
from __future__ import annotations

from collections.abc import Sequence

from rapidfuzz import process
from rapidfuzz.distance import JaroWinkler, Prefix

from witnessmark.model import Settings, Word
from witnessmark.speech import numbers_heard, place_rules
from witnessmark.speech.line import (
    BADLY_HEARD,
    BEFORE_MONEY,
    CLEARLY_HEARD,
    FIGURES,
    FUNCTION_WORDS,
    MONEY_UNITS,
    NOUN_CALLERS,
    OBJECTS,
    SENTENCE_WORDS,
    SUBJECTS,
    Found,
    Line,
    Rule,
    line_of,
)
from witnessmark.speech.rewording import breaks, replaced
from witnessmark.speech.sounds import likeness, sounds
from witnessmark.speech.targets import Confusable, confusables

VERB_ENOUGH = 0.76  # likeness from which a word that no dictionary has is a trade verb, where a verb must stand
OPENING_ENOUGH = 0.82  # the same where it opens a phrase and was heard badly: its first sound may be cut off
NOUN_ENOUGH = 0.9  # the same of any other trade word
NAME_ENOUGH = 0.9  # the same where it has a capital, as names do
JOINED_ENOUGH = 0.85  # the same of two words that are one
# Likeness from which half a name of two words is restored, by the probability below which that half was heard: of the
# words below 0.3 every second one is wrong, of those below 0.6 every third (tests/bench/hearing.py).
HALF_ENOUGH = ((0.3, 0.75), (BADLY_HEARD, 0.8), (CLEARLY_HEARD, 0.84))
HALF_CLEAR_ENOUGH = 0.9  # the same where it was heard clearly
HALF_STRANGE_ENOUGH = 0.7  # the same where it is no English word
MARGIN = 0.02  # lead over the next best word with another stem
FIGURE_ENOUGH = 0.66  # likeness to a number word from which a word before "dollars" is that number
SHORTEST_LOST = 4
FORM_ENDINGS = frozenset({"", "s", "es", "ed", "d", "ing", "er", "ers", "e", "y", "ies", "ly", "or", "ors"})


def repaired(words: Sequence[Word], settings: Settings) -> tuple[Word, ...]:
    """The words with misheard trade words restored; each new word holds the raw ones, the rule and its confidence."""
    words = numbers_heard.designations(words)
    for rule in RULES:
        line = line_of(words, settings)
        at, out = 0, []
        while at < len(words):
            found = rule(line, at) if words[at].repair is None else None
            if found is None:
                out.append(words[at])
                at += 1
            else:
                out.append(replaced(words[found.first:found.last], found.text, found.rule, found.confidence))
                at = found.last
        words = out
    return tuple(words)


def joined_name(line: Line, at: int) -> Found | None:
    """ "nut plates", "gas collator": a name that is written as one word, in two and perhaps misspelt."""
    if at + 1 >= len(line.bare) or breaks(line.words[at]):
        return None
    one, other = line.bare[at], line.bare[at + 1]
    if one + other in line.targets.joined:
        return Found(at, at + 2, one + other, "written-together", 0.99)
    if not line.strange(at + 1) or one in FUNCTION_WORDS:
        return None
    said = sounds(f"{one} {other}")
    alike, word = max(((likeness(said, sound), word) for word, sound in line.targets.words.items()
                       if word in line.targets.joined and word[:1] == one[:1]), default=(0.0, ""))
    return Found(at, at + 2, word, "written-together", round(alike * 0.95, 2)) if alike >= JOINED_ENOUGH else None


def hyphened(line: Line, at: int) -> Found | None:
    """ "de-burred", "re-sealed": a trade word that is written as one, with a hyphen, in one piece or two."""
    last = at + 2 if at + 1 < len(line.words) and line.words[at + 1].text.startswith("-") else at + 1
    whole = "".join(line.bare[at:last])
    plain = whole.replace("-", "")
    if (last == at + 1 and plain == whole) or plain not in line.targets.words:
        return None
    return Found(at, last, plain, "written-together", 0.99)


def compound_verb(line: Line, at: int) -> Found | None:
    """ "matched drilled", "leaked test to the tank": of a verb of two words only the second is inflected."""
    if at + 1 >= len(line.bare) or breaks(line.words[at]):
        return None
    other = line.bare[at + 1]
    for first in _stems(line.bare[at]):
        forms = line.targets.compounds.get(first, frozenset()) if first != line.bare[at] else frozenset()
        if other not in forms:
            continue
        if other.endswith(("ed", "ing")):
            return Found(at, at + 2, f"{first} {other}", "compound-verb", 0.95)
        last = at + 3 if line.after(at + 2) == "to" else at + 2  # the ending of "tested" was taken for "to"
        if other + "ed" in forms and (last == at + 3 or line.after(last) in OBJECTS):
            return Found(at, last, f"{first} {other}ed", "compound-verb", 0.85)
    return None


def _stems(word: str) -> tuple[str, ...]:
    return (word.removesuffix("ed"), word.removesuffix("d")) if word.endswith("ed") else (word,)


def confusable(line: Line, at: int) -> Found | None:
    """An everyday word that is listed as heard for a trade word, in its place and among its neighbours."""
    for row in confusables():
        last = at + len(row.heard)
        if line.bare[at:last] == row.heard and _fits(line, row, at, last):
            sure = 0.85 if row.near else 0.8
            return Found(at, last, row.meant, "confusable", sure)
    return None


def _fits(line: Line, row: Confusable, first: int, last: int) -> bool:
    if any(breaks(word) for word in line.words[first:last - 1]):
        return False
    around = line.near(first, last)
    near = any(line.bare[n] in row.near for n in around) if row.near else any(line.trade[n] for n in around)
    if row.slot == "verb":
        return near and line.before(first) in SUBJECTS and line.after(last) in OBJECTS
    if row.slot == "noun":
        return near and (line.before(first) in NOUN_CALLERS or line.before(first).isdigit())
    return near


def half_name(line: Line, at: int) -> Found | None:
    """ "pivot tube", "break line": one half of a name of two words is right, the other only sounds right."""
    heard = line.bare[at]
    before, after = line.before(at), line.after(at + 1)
    if not _may_give_way(line, at) or heard in line.targets.pairs.get(before, ()) \
            or after in line.targets.pairs.get(heard, ()):
        return None
    choices: set[str] = set()
    if before not in SENTENCE_WORDS:
        choices |= line.targets.pairs.get(before, frozenset())
    if after not in SENTENCE_WORDS:
        choices |= line.targets.led.get(after, frozenset())
    choices = {word for word in choices if word.isalpha() and len(word) > 2 and not _are_kin(word, heard)}
    if not choices:
        return None
    alike, word = max((likeness(sounds(heard), sounds(choice)), choice) for choice in sorted(choices))
    if alike < _half_enough(line, at):
        return None
    return Found(at, at + 1, word, "half-name", round(alike * 0.95, 2))


def _are_kin(one: str, other: str) -> bool:
    """True for two forms of one word: "seal" and "sealed"."""
    common = Prefix.similarity(one, other)
    return common > 2 and {one[common:], other[common:]} <= FORM_ENDINGS


def _half_enough(line: Line, at: int) -> float:
    """The likeness that is asked for: less of a word that nobody knows, more of one that was heard clearly."""
    if line.strange(at):
        return HALF_STRANGE_ENOUGH
    return next((enough for below, enough in HALF_ENOUGH if line.words[at].probability < below), HALF_CLEAR_ENOUGH)


def _may_give_way(line: Line, at: int) -> bool:
    word = line.bare[at]
    return (word.isalpha() and len(word) > 2 and word not in FUNCTION_WORDS and not line.trade[at]
            and word not in line.names)


def strange_word(line: Line, at: int) -> Found | None:
    """ "klekkled", "deppered": a word that no dictionary has, alone or with the next, sounds like a trade word."""
    best: Found | None = None
    for last in (at + 1, at + 2):
        if last > len(line.bare) or any(breaks(word) for word in line.words[at:last - 1]):
            break
        if not any(line.strange(n) for n in range(at, last)) or not all(
                line.bare[n].isalpha() and line.bare[n] not in FUNCTION_WORDS and not line.trade[n]
                for n in range(at, last)):
            continue
        found = _by_sound(line, at, last)
        if found and (best is None or found.confidence > best.confidence + 0.05):
            best = found
    return best


def _by_sound(line: Line, first: int, last: int) -> Found | None:
    said = sounds(" ".join(line.bare[first:last]))
    slot = line.before(first) in SUBJECTS
    near = process.extract(said, line.targets.words, scorer=JaroWinkler.similarity, limit=40, score_cutoff=0.6)
    ranked = sorted(((likeness(said, sound), word) for sound, _, word in near), reverse=True)
    if not ranked:
        return None
    alike, word = ranked[0]
    rivals = [other for score, other in ranked[1:]
              if score > alike - MARGIN and other[:4] != word[:4] and word not in other]
    named = line.words[first].text.strip()[:1].isupper() and first > 0 and not breaks(line.words[first - 1])
    begins = not line.before(first) or line.words[first - 1].text.endswith(",")
    opens = begins and line.words[first].probability < BADLY_HEARD
    enough = (NAME_ENOUGH if named else VERB_ENOUGH if slot and word in line.targets.verbs
              else OPENING_ENOUGH if opens else NOUN_ENOUGH)
    heard = "".join(line.bare[first:last])
    if rivals or alike < enough or word in heard or heard in word:  # "delaminated" is derived, not misheard
        return None
    return Found(first, last, word, "strange-word", round(min(alike, 1.0) * 0.95, 2))


def lost_figure(line: Line, at: int) -> Found | None:
    """ "aching dollars": before a unit of money stands a figure, whatever was written; never surer than a guess."""
    word = line.bare[at]
    if line.after(at + 1) not in MONEY_UNITS or not word.isalpha() or len(word) < SHORTEST_LOST \
            or word in BEFORE_MONEY or word in FUNCTION_WORDS or line.trade[at]:
        return None
    alike, figure = max((likeness(sounds(word), sounds(figure)), figure) for figure in sorted(FIGURES))
    return Found(at, at + 1, figure, "lost-figure", 0.4) if word != figure and alike >= FIGURE_ENOUGH else None


RULES: tuple[Rule, ...] = (
    joined_name, hyphened, compound_verb, lost_figure, confusable, place_rules.designated, place_rules.doubled_s,
    half_name, place_rules.said_elsewhere, place_rules.rare_verb, strange_word)
