"""Speech as edited text: what recognisers and dialects write otherwise, put into the spelling that the parser knows.

In: the texts of the cues. Out: as many texts, in standard spelling, with full stops where nobody wrote any. The
cues themselves keep their words; only the reading works on this text. Never: a word of the trade changed.
"""
from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Iterable, Sequence
from importlib import resources

from spacy.lang.en.stop_words import STOP_WORDS

from witnessmark.reading.people import first_names
from witnessmark.reading.stops import with_stops
from witnessmark.trade.inflect import inflections, plural
from witnessmark.trade.vocabulary import built_in

TOKENS_PER_STOP = 60  # a text with fewer full stops than one in so many words is taken as unpunctuated
WORD = re.compile(r"['’]?[^\W_]+(?:['’][^\W_]*)*")
# Words that tell "it's" from "its", "we're" from "were", "I'll" from "ill" where a text has no apostrophe.
AFTER_IS = frozenset({"not", "been", "a", "an", "the", "all", "just", "still", "really", "only", "on", "in", "off", "out",
                      "done", "gonna", "going", "gon", "probably", "already", "finally", "my", "so", "too", "pretty",
                      "now", "never", "about", "up", "back", "like", "ready", "time", "got", "nice", "good", "dry",
                      "what", "where", "how", "supposed", "because", "at", "for", "right", "here", "hot", "cold", "late", "gotta", "black",
                      "white", "red", "square", "straight", "tight", "bent", "almost"})
AFTER_RE = frozenset({"gonna", "going", "not", "all", "just", "still", "almost", "about", "finally", "ready", "done"})
PARTICIPLES = frozenset({"cut", "bent", "hung", "built", "made", "shot", "gone", "come", "taken", "stuck", "torn", "broken",
                         "ground", "laid", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"})
NOT_BEFORE_ILL = frozenset({"an", "the", "was", "is", "felt", "my", "feel", "so", "pretty", "real", "got"})
COUNTING = frozenset({"last", "first", "two", "three", "four", "five", "six", "eight", "ten", "little", "old", "new", "other",
                      "big", "crooked", "bad", "left", "right", "damn", "darn"})
ADVERBS = frozenset({"even", "yet", "really", "quite", "actually", "ever", "been", "got", "had", "done", "a", "the"})
TITLES = frozenset({"mister", "missus", "uncle", "aunt", "auntie", "mr", "mrs"})
BEFORE_NO = frozenset({"i've", "we've", "they've", "he's", "she's", "it's", "that's", "i'm", "they're", "we're", "is",
                       "was", "are", "were", "have", "has", "had", "am"})


@functools.cache
def _table() -> dict[str, dict[str, str]]:
    text = resources.files("witnessmark.reading").joinpath("data", "spelling.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@functools.cache
def _phrases() -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(map(re.escape, _table()['phrases']))})\b", re.IGNORECASE)


@functools.cache
def _verbs() -> frozenset[str]:
    """All forms of the trade's verbs, to know "drillin" and "it's drilled" by."""
    known = built_in()
    lemmas = {form.lemma.split()[-1] for form in known.verbs}
    forms = {form for lemma in lemmas for form in (*inflections(lemma), *known.irregular.get(lemma, ()))}
    return frozenset(forms | {"sitting", "going", "getting", "doing", "hanging", "waiting", "working", "looking", "coming",
                              "running", "holding", "lying", "standing", "trying", "being", "having", "taking",
                              "making", "talking", "calling", "leaking", "happening", "starting", "nothing", "something"})


@functools.cache
def _dropped() -> frozenset[str]:
    """ "Drillin", "mornin", "tubin": -ing forms without their g, where that is no other word."""
    named = {word for thing in built_in().things for name in (thing.name, *thing.synonyms) for word in name.split()}
    known = _verbs() | named | {"morning", "evening"}
    return frozenset(word[:-1] for word in known if word.endswith("ing") and len(word) > 5) - {"cabin", "begin"}


def restored(texts: Sequence[str], names: Iterable[str] = ()) -> tuple[str, ...]:
    """The texts of the cues in standard spelling, one for each cue; `names` are persons known from before."""
    words = sum(len(text.split()) for text in texts)
    stops = sum(len(re.findall(r"[.!?…]+(?=\s|$)", text)) for text in texts)
    bare = not any("'" in text or "’" in text for text in texts)
    unstopped = stops * TOKENS_PER_STOP < words
    known = first_names() | {word.lower() for name in names for word in name.split() if word[:1].isupper()}
    spelled = [_spelled(text, bare, known if unstopped else frozenset()) for text in texts]
    return tuple(with_stops(spelled)) if unstopped else tuple(spelled)


def _spelled(text: str, bare: bool, names: frozenset[str]) -> str:
    found = list(WORD.finditer(text))
    lower = [match[0].lower().replace("’", "'") for match in found]
    pieces, at = [], 0
    for number, match in enumerate(found):
        new = _word(number, lower, bare) or (match[0].capitalize() if _is_name(number, lower, names) else None)
        if new is not None:
            pieces += [text[at:match.start()], _like(match[0], new)]
            at = match.end()
    text = "".join([*pieces, text[at:]])
    return _phrases().sub(lambda match: _like(match[0], _table()["phrases"][match[0].lower()]), text)


def _is_name(number: int, lower: list[str], names: frozenset[str]) -> bool:
    """A first name, or what follows "mister"; a known name with an apostrophe is the owner or "is"."""
    word = lower[number].removesuffix("'s")
    if not names or word in names:
        return bool(names)
    titled = number > 0 and lower[number - 1] in TITLES
    return titled and word not in STOP_WORDS and word not in _verbs() and word not in TITLES


def _word(number: int, lower: list[str], bare: bool) -> str | None:
    """The standard spelling of a word among its neighbours; None where it is standard already."""
    word = lower[number]
    before = lower[number - 1] if number else ""
    after = lower[number + 1] if number + 1 < len(lower) else ""
    if word == "i":
        return "I"
    if word in ("ain't", "aint"):
        return _aint(before, after)
    if bare:
        full = "it's" if word == "its" and "who" in lower[number + 2:number + 6] else _unmarked(word, before, after)
        if full is not None:
            return full
    if word in _table()["words"]:
        return _table()["words"][word]
    if word == "no" and before in BEFORE_NO and (after in ADVERBS or (after in _verbs() and after.endswith("ed"))):
        return "not"
    if word == "them" and (after in _plurals() or (after in COUNTING and number + 2 < len(lower)
                                                   and set(lower[number + 2:number + 4]) & _plurals())):
        return "those"
    bare_form = word.removesuffix("'")
    return f"{bare_form}g" if bare_form in _dropped() or (word.endswith("in'") and len(word) > 5) else None


def _unmarked(word: str, before: str, after: str) -> str | None:
    """The word with its apostrophe, in a text that has none."""
    if word == "its" and (after in AFTER_IS or after in PARTICIPLES or (after.removesuffix("'") in _verbs() | _dropped()
                          and after.endswith(("ed", "ing", "in")))):
        return "it's"
    if word == "were" and after in AFTER_RE and before not in ("they", "you", "we", "those", "these", "that", "there"):
        return "we're"
    if word in ("ill", "id") and after not in ("", "the", "of") and before not in NOT_BEFORE_ILL:
        return f"I'{word[1:]}"
    return _table()["apostrophes"].get(word)


def _aint(before: str, after: str) -> str:
    """ "Ain't" is "haven't" of a person that has done something, else "isn't"."""
    done = (after in _verbs() and not after.endswith("ing")) or after in ADVERBS - {"a", "the"}
    if done and before in ("i", "we", "you", "they", "y'all", ""):
        return "haven't" if before != "they" else "aren't"
    if done and before in ("he", "she"):
        return "hasn't"
    return "aren't" if before in ("they", "we", "you", "those", "these") else "am not" if before == "i" else "isn't"


@functools.cache
def _plurals() -> frozenset[str]:
    """Plurals of the trade's things: "them ribs" are "those ribs"."""
    names = {word for thing in built_in().things for name in (thing.name, *thing.synonyms) for word in name.split()}
    return frozenset(plural(name) for name in names)


def _like(said: str, new: str) -> str:
    """The new word with the first letter as large as that of the old one."""
    return new[:1].upper() + new[1:] if said[:1].isupper() else new
