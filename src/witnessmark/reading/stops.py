"""Full stops where nobody wrote any: a recogniser's bare words cut into sentences.

A cue ends where the speaker paused, which is a border unless the words hang over it; inside a cue, a border stands
before what begins a clause of its own (a subject that no connective joins, "okay so", a second past form without a
subject). Short sentences are read better than long ones, so that a border too many does less harm than one too few.
Common practice, no source.
"""
from __future__ import annotations

import functools
from collections.abc import Sequence

from witnessmark.trade.inflect import inflections
from witnessmark.trade.vocabulary import built_in

SUBJECTS = frozenset({"i", "i'm", "i've", "i'll", "i'd", "we", "we're", "we've", "we'll", "he", "he's", "she", "she's",
                      "they", "they're", "they've", "it's", "that's", "there's", "here's", "you"})
# Before these, the words so far end a clause; before a noun they may be a relative clause's noun ("the rib i bent").
CLOSING = frozenset({"it", "them", "me", "myself", "him", "too", "again", "now", "today", "yesterday", "tonight",
                     "tomorrow", "morning", "afternoon", "evening", "night", "weekend", "week", "monday", "tuesday",
                     "wednesday", "thursday", "friday", "saturday", "sunday", "up", "down", "off", "on", "in", "out",
                     "back", "over", "together", "done", "wrong", "fine", "good", "nice", "great", "well", "yet",
                     "anyway", "already", "here", "there", "though", "ago", "later", "lunch", "dinner", "work",
                     "finally", "perfect", "ready", "dry", "straight", "hours", "minutes", "bucks", "dollars", "three",
                     "two", "four", "apart", "sure", "yeah", "no", "okay"})
CONNECTIVES = frozenset({"and", "but", "so", "because", "cause", "that", "which", "who", "if", "when", "while", "before",
                         "after", "once", "until", "till", "as", "than", "where", "how", "what", "why", "think",
                         "thought", "know", "knew", "guess", "reckon", "figured", "figure", "say", "said", "told",
                         "hope", "wish", "mean", "sure", "like", "whatever", "though", "although", "since", "unless",
                         "or", "then", "all", "everything", "thing", "way", "time", "one", "ones", "day", "reason",
                         "stuff", "did", "do", "does", "have", "has", "was", "were", "is", "are", "can", "could",
                         "should", "will", "would", "glad", "maybe", "every",
                         "okay", "well", "yeah", "no", "nope", "yep", "yes", "um", "uh", "oh", "bet", "ain't", "isn't",
                         "believe", "seems", "turns", "suppose", "says", "whether", "only", "just", "making", "make", "see", "saw"})
OPENERS = frozenset({"okay", "ok", "alright", "anyway", "anyways", "so", "but", "then", "and", "no", "nope", "yeah", "yep",
                     "oh", "well", "now", "because"})
AFTER_AND = SUBJECTS | frozenset({"then", "today", "tomorrow", "yesterday", "it", "now", "what"})
AFTER_OPENER = AFTER_AND | frozenset({"so", "the", "my", "this", "those", "these", "did", "anyway", "next", "last", "that"})
SUBORDINATORS = frozenset({"if", "when", "once", "while", "whenever", "after", "before", "until", "as", "since"})
DANGLING = frozenset({"the", "a", "an", "my", "to", "of", "and", "but", "or", "for", "with", "is", "was", "are", "were",
                      "i", "we", "he", "she", "they", "because", "that", "this", "if", "when", "then", "at", "from",
                      "into", "onto", "by", "have", "had", "has", "got", "going", "some", "i'm", "it's", "your", "our",
                      "his", "her", "their", "its", "will", "gonna", "not", "very", "really", "um", "uh", "like", "than",
                      "as", "so", "about", "these", "those", "each", "every"})
HANGING = frozenset({"of", "to", "with", "than", "into", "onto", "per"})
JOINED_BEFORE = frozenset({"i", "we", "he", "she", "they", "and", "or", "have", "has", "had", "get", "got", "was", "were",
                           "is", "are", "be", "been", "being", "the", "a", "my", "just", "never", "already", "not",
                           "then", "also", "to", "who", "that", "which", "all", "both", "those", "these", "it's",
                           "that's", "i've", "we've", "they're", "he's", "she's", "finally", "me", "him"})
TIMES = frozenset({"today", "yesterday", "tonight", "tomorrow", "morning", "afternoon", "evening", "night", "weekend", "week",
                   "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "day", "month", "time",
                   "first", "then", "ago", "later", "finally"})
PREPOSITIONS = frozenset({"of", "to", "with", "for", "from", "into", "onto", "by", "at", "about", "in", "on", "before", "after"})
# What takes up a thing named before its clause, or gives the clause an object of its own.
RESUMING = frozenset({"it", "them", "that", "those", "these", "one", "the", "some", "a", "my", "both", "all"})
OBJECTS = frozenset({"it", "them", "that", "those", "the", "my", "both", "all", "these", "another", "one", "in", "on", "up",
                     "off", "out"})
QUESTION = frozenset({"did", "have", "has", "was", "were", "do", "does", "is", "are"})
ASKED_OF = SUBJECTS | frozenset({"it", "the", "that", "this", "those", "these", "my", "any", "anybody"})


@functools.cache
def _pasts() -> frozenset[str]:
    known = built_in()
    forms = {form for one in known.verbs for form in (*inflections(one.lemma.split()[-1]),
                                                      *known.irregular.get(one.lemma, ()))}
    return frozenset(form for form in forms if form.endswith("ed")) | {
        "bent", "cut", "took", "put", "hung", "laid", "ran", "went", "got", "pulled", "made", "shot", "drove", "built"}


def with_stops(texts: Sequence[str]) -> list[str]:
    """The texts of the cues with full stops and capitals put in; cues stay cues."""
    words = [(number, word) for number, text in enumerate(texts) for word in text.split()]
    plain = [word.lower().strip(",") for _, word in words]
    borders = _borders([number for number, _ in words], plain)
    pieces: list[list[str]] = [[] for _ in texts]
    start = 0
    for at, (number, word) in enumerate(words):
        if borders.get(at) == ".":
            start, word = at, word[:1].upper() + word[1:]
        sign = borders.get(at + 1, "" if at + 1 < len(words) else ".")
        if sign and word[-1] not in ".?!,":
            word += "?" if sign == "." and _asks(plain[start:start + 2]) else sign
        pieces[number].append(word)
    return [" ".join(piece) for piece in pieces]


def _asks(words: list[str]) -> bool:
    return words[0] in QUESTION and words[-1] in ASKED_OF


def _borders(cue: list[int], words: list[str]) -> dict[int, str]:
    """The numbers of the words that begin a sentence or, after a condition, its main clause, with the sign before."""
    found = {0: "."}
    start = 0
    for at in range(1, len(words)):
        new_cue = cue[at] != cue[at - 1] and words[at - 1] not in DANGLING and words[at] not in HANGING
        begins = _begins(words, at, start)
        if _follows_topic(words, at, start):
            found[at] = ","
            continue
        if begins and not new_cue and words[start] in SUBORDINATORS and words[at] not in OPENERS:
            found[at] = ","
        elif new_cue or words[at - 1][-1:] in ".?!" or begins:
            bare_past = begins and not new_cue and words[at] in _pasts()
            found[at] = "," if bare_past else "."  # the same speaker goes on, at the same time
            start = at
    return found


def _begins(words: list[str], at: int, start: int) -> bool:
    word, before = words[at], words[at - 1]
    after = words[at + 1] if at + 1 < len(words) else ""
    if (at - start < 2 and word not in OPENERS) or (at - start < 3 and not before.endswith("ed") and word in SUBJECTS):
        return False
    if word in OPENERS and after in (AFTER_AND if word == "and" else AFTER_OPENER):
        if word == "so" and words[at + 2:at + 3] and words[at + 2] in ("could", "can", "would", "wouldn't", "don't"):
            return False
        return at - start > 0 and before not in OPENERS | {"right"} and not (word in ("so", "no") and before in (
            "or", "just", "there's", "and", "got"))
    if word in SUBJECTS and before not in CONNECTIVES and before not in OPENERS:
        return _tells_already(words[start:at]) and (
            before in CLOSING or before.endswith("ed") or _goes_on(words[at:at + 6]))
    if word == "it" and after in ("was", "is", "went", "came", "took", "fits", "looks", "needs", "works", "doesn't", "ain't",
                                  "isn't", "hasn't", "wasn't", "won't", "don't", "fit", "all", "just", "still"):
        return before not in CONNECTIVES and before not in OPENERS and _tells_already(words[start:at])
    return (word in _pasts() and after in OBJECTS and before in CLOSING and before not in JOINED_BEFORE
            and _tells_already(words[start:at]))


def _follows_topic(words: list[str], at: int, start: int) -> bool:
    """ "The scratch on the skin | i sanded that out": a noun phrase, then a clause that has its own object."""
    lead = words[start:at]
    if words[at] not in SUBJECTS - {"you", "that's", "there's", "here's"} or not 1 <= len(lead) <= 7:
        return False
    if lead[-1] in CONNECTIVES | PREPOSITIONS | TIMES or lead[0] in SUBORDINATORS or _tells_already(lead) or (
            set(lead) & (QUESTION | {"what", "who", "how", "where", "that", "think", "know"})):
        return False
    return any(word in RESUMING for word in words[at + 1:at + 7]) or words[at] in ("it's", "he's", "she's", "they're")


def _tells_already(clause: list[str]) -> bool:
    return len(clause) > 1 and any(word in _pasts() or word in SUBJECTS or word.endswith(("ing", "n't"))
                                   or word in QUESTION for word in clause)


def _goes_on(words: list[str]) -> bool:
    """ "I still need to ream it": a clause with its own object, unlike the relative of "the hole i marked"."""
    return any(word in OBJECTS or word in ("a", "some", "to", "not", "going", "gonna") for word in words[2:])
