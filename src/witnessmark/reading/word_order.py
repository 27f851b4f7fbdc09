"""Word order that a speaker brings from another language: "we have yesterday the frame on the fuselage mounted".

German, Dutch and others put the participle or infinitive last and the subject behind the verb. In: the words of a text
in lower case. Out: the order in which they are to be shown to the parser, verb before its objects. The reading keeps
the order that was spoken. Common knowledge of grammar, no source.
"""
from __future__ import annotations

from collections.abc import Callable, Sequence

AUXILIARIES = frozenset({"have", "has", "'ve", "’ve"})
MODALS = frozenset({"will", "'ll", "’ll", "must", "shall", "should", "would", "could", "can"})
SUBJECTS = frozenset({"i", "we", "he", "she", "they", "you"})
ENDS = frozenset({".", "!", ";", ":", "…"})
CLOSES = ENDS | {",", "and", "but", "?", "because", "so"}
# What an auxiliary has before it in English order, or what makes its object no object of the participle.
PLAIN_AFTER = frozenset({"been", "to", "got", "had", "n't", "not", "no", "never", "just", "already", "also", "all", "done", "a",
                         "an", "some", "any", "two", "three", "four", "more", "only", "still", "both"})
NOT_A_FRONT = frozenset({"what", "who", "where", "when", "why", "how", "if", "which", "that", "and", "but", "or", "because"})
ADVERBIALS = frozenset({"yesterday", "today", "tomorrow", "on", "in", "with", "at", "by", "for", "to", "into", "onto", "from",
                        "last", "this", "already", "not", "yet", "now", "then", "first", "since"})
SMALL = frozenset({"not", "n't", "already", "yet", "just", "also", "all", "both", "never", "now", "then", "finally", "only",
                   "since", "first", "today", "yesterday", "even", "still", "really", "actually"})
LONGEST = 14  # words between an auxiliary and its verb


def spoken_order(words: Sequence[str], is_participle: Callable[[int], bool], is_base: Callable[[int], bool]) -> list[int]:
    """The numbers of the words in the order to be shown; the order spoken where nothing is out of place."""
    order = list(range(len(words)))
    start = 0
    for at, word in enumerate(words):
        if word in CLOSES:
            start = at + 1
        elif word in AUXILIARIES | MODALS:
            fits = is_participle if word in AUXILIARIES else is_base
            moved = _moved(words, start, at, fits)
            if moved is not None:
                last = max(moved)
                order[start:last + 1] = moved
    return order


def _moved(words: Sequence[str], start: int, at: int, fits: Callable[[int], bool]) -> list[int] | None:
    """The words from `start` to the verb of the auxiliary at `at`, in English order; None where they are so already."""
    inverted = at + 1 < len(words) and words[at + 1] in SUBJECTS and at > start and words[start] not in NOT_A_FRONT
    begin = at + 2 if inverted else at + 1
    if not inverted and (at == start or not (set(words[start:at]) & SUBJECTS) or words[begin:begin + 1] == []):
        return None
    end = next((i for i in range(begin, min(begin + LONGEST, len(words))) if words[i] in CLOSES), len(words))
    verb = end - 1
    if verb <= begin or not fits(verb) or words[end:end + 1] == ["?"]:
        return None
    between = words[begin:verb]
    if words[begin] in PLAIN_AFTER - {"not", "already"} or any(word in SUBJECTS for word in between):
        return None
    if "been" in between or all(word in SMALL for word in between) or (not inverted and not set(between) & ADVERBIALS):
        return None
    lead = [*range(start, at), at + 1, at] if inverted else [*range(start, at + 1)]
    return [*lead, verb, *range(begin, verb)]
