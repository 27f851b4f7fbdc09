"""Words that speech leaves out and the parser misses: the subject of "Drilled the ribs.", of "Needs torqued".

In: the words of a text. Out: for each word what is to be shown before it. The parser sees them; the reading does not.
"""
from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from witnessmark.reading.people import table
from witnessmark.reading.plain_nouns import is_part_word

ENDS = frozenset({".", "!", "?", ";", ":", "…", "..."})
LEADS = frozenset({"so", "and", "then", "but", "okay", "ok", "anyway", "well", "now", "oh", "right", "yeah", "also", "just",
                   "finally", "only", "already", "still", "um", "uh", "again", "next", "after", "ah", "first", "today",
                   "yesterday", "even", "actually", "basically", "carefully", "quickly", "probably", "never", "not",
                   "no", "yes", "righto", "alright", "almost", "maybe"})
# Past forms of everyday verbs that open a sentence where the speaker is left out.
PASTS = frozenset({"got", "had", "took", "went", "spent", "made", "did", "found", "ended", "started", "finished",
                   "managed", "tried", "wanted", "needed", "picked", "bought", "brought", "gave", "kept", "ran", "sent",
                   "told", "thought", "called", "came", "forgot", "tested", "pulled", "worked", "ordered", "decided",
                   "planned", "meant", "drove", "threw", "chucked", "stuck", "slapped", "knocked", "used", "wound",
                   "discovered", "noticed", "realized", "realised", "figured", "broke", "tore", "dug", "moved", "turned",
                   "hauled", "dragged", "wheeled", "rolled", "swapped", "borrowed", "begged", "lost", "wasted", "stayed",
                   "skipped", "missed", "ruined", "ate", "drank", "slept", "cleaned", "bent", "hung", "laid", "shot",
                   "countersunk", "ground", "built", "wove", "sewed", "cut", "swept", "wiped", "doubled", "copped"})
MINE = frozenset({"have", "haven", "will", "wo", "am", "might", "could", "should", "must", "ca", "ai",
                  "did", "'ve", "'ll", "'m", "hope", "hoping", "plan", "planning", "figure", "reckon", "think",
                  "need", "want"})
ITS = frozenset({"needs", "wants", "looks", "fits", "seems", "works", "leaks", "came", "went", "is", "was", "has",
                 "hasn", "isn", "wasn", "does", "doesn", "turned", "cost", "cured", "sits", "weighs", "swings"})
AFTER_VERB = frozenset({"the", "a", "an", "my", "it", "them", "that", "those", "these", "this", "both", "all", "some",
                        "another", "every", "each", "one", "two", "three", "four", "five", "six", "up", "out", "off",
                        "on", "in", "down", "back", "over", "through", "around", "round", "with", "to", "at", "into",
                        "onto", "from", "for", "about", "again", "yesterday", "today", "last", "and", "or", ",", ".", "!",
                        "together", "away", "our", "his", "her", "their", "your", "its", "half", "most", "part",
                        "straight", "right", "stuck", "as", "until", "till", "twice", "once", "too", "early", "late",
                        "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "me", "us",
                        "everything", "anything", "nothing", "n't", "not", "myself", "him", "than", "then", "while"})
TOLD_OF_IT = frozenset({"me", "us", "a", "an", "him", "her", "forever", "ages", "all", "about", "longer", "some"})
FINITE = frozenset({"is", "are", "was", "were", "has", "have", "had", "will", "would", "can", "could", "should", "look",
                    "looks", "came", "went", "got", "need", "needs", "do", "does", "did", "'s", "'re", "'ll", "make",
                    "made", "fit", "fits", "go", "goes", "come", "comes", "take", "takes", "took"})


def subjects_left_out(words: Sequence[str], is_past: Callable[[int], bool],
                      is_base: Callable[[int], bool]) -> Iterator[tuple[int, str]]:
    """(number of a word, what is to be shown before it): a subject, or the "to" of "all I did was sand it".

    `is_past` tells a past form of the trade's verbs, `is_base` a base form.
    """
    lower = [word.lower().replace("’", "'") for word in words]
    start = 0
    for at in range(len(lower)):
        if at == start:
            found = _opening(lower, at, is_past)
            if found is not None:
                yield found
        if lower[at] in ENDS:
            start = at + 1
        elif lower[at] in ("is", "was", "'s") and at and lower[at - 1] in ("do", "did", "doing", "done") and (
                at + 1 < len(lower) and is_base(at + 1)):
            yield at + 1, "to"
        elif lower[at] == "," and _is_bare_lead(lower[start:at]) and _has_object(lower, at + 1) and (
                is_past(at + 1) or lower[at + 1] in PASTS):
            yield at + 1, "I"


def _opening(words: list[str], start: int, is_past: Callable[[int], bool]) -> tuple[int, str] | None:
    """The subject that a sentence beginning here leaves out."""
    at = start
    while at < len(words) and (words[at] in LEADS or (words[at] == "," and at > start)) and at < start + 5:
        at += 1
    if at >= len(words):
        return None
    word, after = words[at], words[at + 1] if at + 1 < len(words) else "."
    if word in ITS or (word == "took" and after in TOLD_OF_IT):
        return (at, "It") if _states(words, at, after) else None
    if word in ("drawing", "print", "sheet", "blueprint", "spec") and after in (
            "calls", "says", "wants", "shows", "reckons", "specifies", "has", "tells", "asks", "gives"):
        return at, "The"
    if word in ("gon", "going"):
        return (at, "I 'm") if after in ("na", "to") else None
    if word in MINE:
        return (at, "I") if after in ("n't", "not", "to", "na", "been", "get", "finally", "had", "nt") else None
    if (word in PASTS or is_past(at)) and after != "by" and (after in AFTER_VERB or not _is_noun_phrase(words, at)):
        return at, "I"
    return None


def _states(words: list[str], at: int, after: str) -> bool:
    """Not "Is that right?", "Was the rib drilled?", "Does it fit?"."""
    if words[at] in ("is", "was", "has", "does"):
        return after.endswith("ed") or after in ("n't", "not", "a", "on", "in", "off", "back", "going", "been", "too")
    return words[at] not in ("hasn", "isn", "wasn", "doesn") or after == "n't"


def _is_noun_phrase(words: list[str], at: int) -> bool:
    """ "Dimpled skins look good": a finite verb follows before the clause ends."""
    for word in words[at + 1:at + 8]:
        if word in ENDS or word in (",", "and", "but", "so", "because", "that"):
            return False
        if word in FINITE:
            return True
    return False


def _is_bare_lead(words: list[str]) -> bool:
    """ "Rudder, drilled it Monday", "dry spot on the skin, laid two plies over it": a thing named before the comma."""
    things = any(is_part_word(word) for word in words)
    persons = table()["helper"]["heads"] | table()["paid"]["heads"]
    return things and len(words) <= 8 and not any(
        word in FINITE or word in persons or word in ("i", "we", "he", "she", "they", "if", "when") for word in words)


def _has_object(words: list[str], at: int) -> bool:
    return words[at + 1:at + 2] != [] and words[at + 1] in (
        "it", "them", "those", "that", "both", "all", "these", "the", "a", "one", "two", "three", "four", "my", "another")
