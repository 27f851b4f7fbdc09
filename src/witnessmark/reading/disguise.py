"""Parsing with the trade's verbs in disguise.

A small general model takes "to safety wire the plug" for a prepositional phrase and "match drilled" for two verbs,
because it never met them. The parser is therefore shown a common verb of the same form in their place ("quickly
fixed"), word for word, and its analysis is put on the words that were spoken. Nothing else of the text changes.
"""
from __future__ import annotations

import functools
from collections.abc import Iterator

from spacy.language import Language
from spacy.tokens import Doc, Token

from witnessmark.reading.left_out import subjects_left_out
from witnessmark.reading.plain_nouns import is_part_word, plain_nouns
from witnessmark.reading.word_order import spoken_order
from witnessmark.trade.inflect import american, inflections, singular
from witnessmark.trade.vocabulary import built_in

# Stand-ins: common transitive verbs that the model knows in every form, and an adverb for a verb's first word.
STAND_IN = {"base": "fix", "s": "fixes", "ed": "fixed", "ing": "fixing"}
ADVERB = "carefully"
# Single-word verbs that the model does not know or takes for something else in every form.
STRANGE = frozenset({"cleco", "deburr", "alodine", "dimple", "countersink", "prime", "rivet", "ream", "torque",
                     "cotter", "flute", "flox", "swage", "nicopress", "joggle", "dope", "epoxy", "reprime", "rerivet",
                     "chromate", "reinstall", "recrimp", "reflare", "retorque", "rerig", "redrill", "reweld",
                     "resand", "reseal", "debur", "recleco", "uncleco", "csink", "anodize", "flange", "flare",
                     "crimp", "safety", "lockwire", "normalize", "varnish", "degrease", "scuff", "fishmouth", "tack",
                     "rig", "glass", "bondo", "micro", "predrill", "updrill", "stitch", "lace", "refit", "rehang",
                     "rewire", "reroute", "shim"})
# Verbs spelled like nouns: disguised in the base form where "going to", "need to" and the like stand before.
NOUN_LIKE = frozenset({"bolt", "glue", "tape", "wire", "seal", "sand", "drill", "paint", "file", "weld", "bond",
                       "plumb", "patch", "cement", "test", "route", "bend", "screw", "clamp", "trim", "notch",
                       "fabric", "primer", "jig", "bevel", "scarf", "plane", "hinge", "hook", "mask", "mount", "fit",
                       "cover", "buck"})
TO_BEFORE = frozenset({"going", "want", "wants", "wanted", "need", "needs", "needed", "have", "has", "had", "got",
                       "plan", "planned", "planning", "meant", "set", "able", "ready", "about", "hoping", "hoped",
                       "hope", "time", "left", "trying", "tried", "try", "started", "supposed", "still", "yet",
                       "forgot", "managed", "decided", "promised", "intend", "intended", "like", "used", "wanting",
                       "looking", "due", "how", "remember", "begin", "began", "helped", "way", "it", "him", "her",
                       "them", "me", "us"})
VERB_BEFORE = frozenset({"to", "i", "we", "you", "they", "he", "she", "can", "will", "would", "should", "could",
                         "must", "'ll", "’ll", "did", "didn't", "n't", "not", "gonna", "na", "wanna", "then",
                         "please", "always", "never", "ca", "do", "let", "'d", "gotta", "ta", "help", "helped",
                         "just", "may", "might", "also", "and", "or", "it"})
LEFT_BEFORE = frozenset({"the", "this", "that", "my", "front", "rear", "top", "bottom", "upper", "lower", "outboard",
                         "inboard", "same", "other", "whole", "each", "our", "aft", "forward", "main", "your"})
LEFT_AS_VERB = frozenset({"it", "the", "that", "a", "them", "him", "her", "me", "my", "for", "those", "this", "early",
                          "in", "over", "is", "was", "to", "and", "about", "."})
IS_AFTER = frozenset({"back", "not", "all", "already", "still", "on", "in", "off", "up", "finally", "done", "now",
                      "n't", "a", "an", "the"})
# -ing forms that name things; verbs after "am", "is" and the like.
THING_LIKE = frozenset({"fitting", "wiring", "covering", "cutting", "plating", "casting", "lining", "building",
                        "drawing", "marking", "planking", "taping", "stringing", "routing", "turning", "opening",
                        "sealing"})
BE = frozenset({"'m", "’m", "am", "'re", "’re", "are", "is", "'s", "was", "were", "been", "be", "m", "re"})
# "Drilled those last weekend": before a time the model takes "those" for its determiner, but not "them".
OBJECT_FORM = {"those": "them", "these": "them", "that": "it"}
TIME_AFTER = frozenset({"last", "yesterday", "today", "tonight", "monday", "tuesday", "wednesday", "thursday", "friday",
                        "saturday", "sunday", "first"})
VERBS_BEFORE_TIME = frozenset({"did", "bent", "cut", "hung", "built", "made", "laid", "on", "in", "off", "out", "up",
                               "ground", "shot", "put", "took", "countersunk", "clecoed"})
# "Right. Now the rudder.", "right here": no side; "Right one hasn't been" is one.
AFTER_RIGHT = frozenset({"so", "then", "now", "okay", "well", "here", "there", "away", "i", "we", "it", "that", "this", "the",
                         "after", "before", "at", "on", "off", "up", "back", "let", "you", "he", "she", "they", "what", "in",
                         "anyway", "next", "to", "where", "those", "these", "my", "and", "but", "about", "through", "down"})
PARTICIPLES = frozenset({"cut", "bent", "hung", "built", "made", "shot", "laid", "ground", "sewn", "wound", "torn", "done",
                         "gone", "broken", "stuck", "put", "set", "countersunk", "swung", "drawn", "worn", "sunk"})
ENDS_STATE = frozenset({".", ",", "!", "?", ";", "and", "but", "to", "out", "in", "up", "too", "now", "on", "already", "again",
                        "or", "off", "so", "down", "back", "though", "from"})
NUMBER_WORDS = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "zero", "point"})
HAS_AFTER = frozenset({"been", "had", "got", "gone", "come"})
PERSONS = frozenset({"he", "she", "who", "somebody", "someone", "nobody", "everybody"})
NOUN_BEFORE = frozenset({"the", "a", "an", "my", "your", "his", "her", "its", "our", "their", "this", "that", "some",
                         "of", "no", "more", "any", "with", "by", "for"})


@functools.cache
def _forms() -> dict[tuple[str, ...], tuple[str, str]]:
    """Words of a form → its lemma's last word and the stand-in of the same form."""
    found: dict[tuple[str, ...], tuple[str, str]] = {}
    vocabulary = built_in()
    for lemma in {form.lemma for form in vocabulary.verbs}:
        words = lemma.split()
        if len(words) == 1 and lemma not in STRANGE:
            for form in inflections(lemma):
                if form.endswith("ed") and len(form) > 4:
                    found.setdefault((form,), (lemma, STAND_IN["ed"]))
                if form in THING_LIKE:
                    found.setdefault((form,), (lemma, STAND_IN["ing"]))
            if lemma not in NOUN_LIKE:
                continue
            found.setdefault((lemma,), (lemma, STAND_IN["base"]))
            continue
        for form in (*inflections(lemma), *vocabulary.irregular.get(lemma, ())):
            spoken = tuple(form.replace("-", " ").split())
            found.setdefault(spoken, (words[-1], STAND_IN[_ending(spoken[-1], words[-1])]))
    return found


def _ending(form: str, base: str) -> str:
    if form == base:
        return "base"
    if form.endswith("ing") and not base.endswith("ing"):
        return "ing"
    return "s" if form.endswith("s") and not base.endswith("s") else "ed"


@functools.cache
def _bases() -> frozenset[str]:
    """Base forms that tell "ill" from "I'll" where a recogniser writes no apostrophe."""
    return frozenset(form.lemma.split()[0] for form in built_in().verbs) | {"do", "have", "be", "just", "probably", "need"}


@functools.cache
def _longest() -> int:
    return max(len(words) for words in _forms())


def parse_disguised(nlp: Language, text: str) -> Doc:
    """The text parsed; tokens, spaces and offsets are those of the text, tags and dependencies of the disguise."""
    plain = nlp.make_doc(text)
    words, lemmas = [token.text for token in plain], {}
    changed = _settle(words)
    pasts: set[int] = set()
    for at, length, lemma, stand_in in _disguises([american(token.lower_) for token in plain]):
        for i in range(at, at + length - 1):
            if words[i] not in ("-", "‑"):
                words[i] = ADVERB
        words[at + length - 1] = _cased(stand_in, plain[at].text, length)
        lemmas[at + length - 1] = lemma
        if stand_in == STAND_IN["ed"]:
            pasts.add(at)
    taken = frozenset(i for i, token in enumerate(plain) if words[i] != token.text)
    for at, word in plain_nouns([token.text for token in plain], taken):
        words[at], lemmas[at] = _cased(word, plain[at].text, 1), singular(plain[at].lower_)
    subjects = dict(subjects_left_out(words, pasts.__contains__, lambda at: plain[at].lower_ in _bases()))
    order = spoken_order([token.lower_ for token in plain], lambda at: words[at] == STAND_IN["ed"] or words[at] in PARTICIPLES,
                         lambda at: plain[at].lower_ in _bases())
    if not lemmas and not changed and not subjects and order == sorted(order):
        return nlp(text)
    shown = [one for i in order for one in _shown(plain[i], words[i], subjects.get(i))]
    seen = nlp(Doc(nlp.vocab, words=[word for word, _, _ in shown], spaces=[space for _, space, _ in shown]))
    return _put_on(plain, seen, [source for _, _, source in shown], lemmas)


def _is_told_of_heading(words: list[str], at: int) -> bool:
    """ "Wheel box: made, glued and painted.": a short noun phrase, a colon, and what was done to it."""
    after = words[at + 1].lower() if at + 1 < len(words) else ""
    starts = [i for i in range(max(0, at - 6), at) if words[i] in (".", "!", "?")]
    lead = words[starts[-1] + 1 if starts else max(0, at - 6):at]
    done = after.endswith("ed") or (after in PARTICIPLES - {"put", "set"})
    return done and 0 < len(lead) < 6 and all(word.isalpha() for word in lead) and len(starts) + (at < 7) > 0


def _shown(token: Token, word: str, subject: str | None) -> Iterator[tuple[str, bool, int | None]]:
    """(word, whether a space follows, number of the token or None) for a token and what it was spoken without."""
    if subject is None:
        yield word, bool(token.whitespace_), token.i
        return
    for said in subject.split():
        yield said, True, None
    yield word[:1].lower() + word[1:], bool(token.whitespace_), token.i


def _settle(words: list[str]) -> bool:
    """Put words that the model takes for something else in a plain form: "the left one", "the tank's back in"."""
    changed = False
    if words[:1] == ["Right"] and len(words) > 1 and words[1].isalpha() and words[1].lower() not in AFTER_RIGHT:
        words[0], changed = "Upper", True
    if words[:1] == ["Left"] and len(words) > 1 and words[1].lower() not in LEFT_AS_VERB:
        words[0], changed = "Lower", True
    for at in range(1, len(words)):
        before, here = words[at - 1].lower(), words[at].lower()
        after = words[at + 1].lower() if at + 1 < len(words) else ""
        if here == "ill" and before not in BE and after in _bases():
            words[at], changed = "will", True
        elif here == "right" and before in (".", "!", "?") and after.isalpha() and after not in AFTER_RIGHT:
            words[at], changed = "upper", True
        elif here == ":" and _is_told_of_heading(words, at):
            words[at], changed = "was", True
        elif here == "oh" and before in NUMBER_WORDS and (after in NUMBER_WORDS or after == "oh"):
            words[at], changed = "zero", True
        elif here in OBJECT_FORM and after in TIME_AFTER and before not in NOUN_BEFORE and (
                before.endswith("ed") or before in VERBS_BEFORE_TIME):
            words[at], changed = OBJECT_FORM[here], True
        elif here == "left" and (before in LEFT_BEFORE or (
                (before in VERBS_BEFORE_TIME or before.endswith("ed")) and is_part_word(after)) or (before in (".", "!", "?", ",") and after not in LEFT_AS_VERB)):
            words[at], changed = "lower", True
        elif here in ("'s", "’s") and (after in IS_AFTER or after in HAS_AFTER or after.endswith("ed") or (
                after in PARTICIPLES and (words[at + 2:at + 3] or ["."])[0].lower() in ENDS_STATE)):
            person = before in PERSONS or (words[at - 1][:1].isupper() and at > 1 and words[at - 2].isalpha())
            words[at], changed = ("has" if after in HAS_AFTER or (person and after.endswith("ed")) else "is"), True
    return changed


def _cased(stand_in: str, spoken: str, length: int) -> str:
    return stand_in.capitalize() if length == 1 and spoken[:1].isupper() else stand_in


def _disguises(words: list[str]) -> Iterator[tuple[int, int, str, str]]:
    """(first token, how many, lemma, stand-in) of each form to be disguised, longest first, left to right."""
    at = 0
    while at < len(words):
        for length in range(min(_longest() + 1, len(words) - at), 0, -1):
            spoken = tuple(word for word in words[at:at + length] if word not in ("-", "‑"))
            found = _forms().get(spoken)
            if found and _is_verb(words, at, length, found[1]):
                yield at, length, *found
                at += length - 1
                break
        at += 1


def _is_verb(words: list[str], at: int, length: int, stand_in: str) -> bool:
    """A past or -ing form unless a noun's company says otherwise; a base form only after a verb's company."""
    before = words[at - 1] if at else ""
    if stand_in == STAND_IN["ed"]:
        return True
    if words[at] in THING_LIKE:
        return before in BE
    if stand_in == STAND_IN["ing"]:
        return before not in NOUN_BEFORE or before in ("of", "with", "by", "for")
    after = words[at + length] if at + length < len(words) else ""
    if stand_in == STAND_IN["s"]:
        return False
    if before == "to" and length == 1 and words[at] not in STRANGE:
        return at > 1 and words[at - 2] in TO_BEFORE
    return before in VERB_BEFORE - {"and", "or", "it"} or (
        (at == 0 or before in (".", ",", "and", "or", "?", "!")) and after in
        ("the", "it", "them", "those", "these", "that", "this", "your", "my", "a", "all", "both", "every", "each"))


def _put_on(plain: Doc, seen: Doc, sources: list[int | None], lemmas: dict[int, str]) -> Doc:
    """The analysis of `seen` on the words of `plain`; a word that was not spoken hands its own down to its head."""
    place = {at: source for at, source in enumerate(sources) if source is not None}
    kept = [seen[at] for at, _ in sorted(place.items(), key=lambda pair: pair[1])]
    first_of = {min(place[t.i] for t in sentence if t.i in place) for sentence in seen.sents
                if any(t.i in place for t in sentence)}
    heads: list[int] = []
    starts: list[bool | int | None] = []
    for number, token in enumerate(kept):
        head = _spoken(token, place)
        heads.append(place[head.i] if head is not None else number)
        starts.append(number in first_of)
    return Doc(plain.vocab, words=[token.text for token in plain], spaces=[bool(token.whitespace_) for token in plain],
               tags=[token.tag_ for token in kept], pos=[token.pos_ for token in kept],
               morphs=[str(token.morph) for token in kept],
               lemmas=[lemmas.get(number, token.lemma_) for number, token in enumerate(kept)],
               heads=heads, deps=[token.dep_ for token in kept], sent_starts=starts,
               ents=[f"{token.ent_iob_}-{token.ent_type_}" if token.ent_type_ else "O" for token in kept])


def _spoken(token: Token, place: dict[int, int]) -> Token | None:
    """The head of a token that was spoken: its own, or the nearest above; None for the root of a sentence."""
    at = token
    while at.head != at:
        at = at.head
        if at.i in place:
            return at
    return None
