"""English inflection by rule, for words that a general language model does not know ("clecos", "deburred").

The rules are the ordinary spelling rules of English: they may make forms that nobody says (both "rivetted" and
"riveted"), which does no harm in a matcher, and they never need the trade's words to be in a dictionary.
"""
from __future__ import annotations

import functools
import re

VOWELS = frozenset("aeiou")

# Endings in -s that are no plural.
NO_PLURAL = ("ss", "us", "is", "ous")
SINGULAR_IN_S = frozenset({"lens", "chassis", "canvas", "gas", "bias", "brass", "series", "avionics", "controls",
                           "electronics", "flox", "this", "its", "was", "has", "as", "is", "us", "yes", "plus"})
IRREGULAR_PLURALS = {"feet": "foot", "teeth": "tooth", "halves": "half", "knives": "knife", "shelves": "shelf",
                     "leaves": "leaf", "men": "man", "women": "woman", "plies": "ply", "axes": "axe", "dies": "die",
                     "ties": "tie", "pies": "pie", "lenses": "lens", "buses": "bus", "busses": "bus",
                     "gases": "gas", "chases": "chase", "apices": "apex"}

# British spellings met in shop talk, by the stretch of letters that differs.
BRITISH = {"aluminium": "aluminum", "stabilis": "stabiliz", "tyre": "tire", "centre": "center", "fibre": "fiber",
           "colour": "color", "mould": "mold", "grey": "gray", "anodis": "anodiz", "normalis": "normaliz",
           "galvanis": "galvaniz", "organis": "organiz", "magnetis": "magnetiz", "neutralis": "neutraliz",
           "pressuris": "pressuriz", "labell": "label", "armour": "armor", "vise": "vice", "plough": "plow",
           "chamfre": "chamfer", "metre": "meter"}
BRITISH_WORDS = re.compile("|".join(BRITISH))


def american(word: str) -> str:
    """The American spelling of a lower-case word; unchanged where there is no difference."""
    found = BRITISH_WORDS.search(word)
    return word.replace(found.group(), BRITISH[found.group()]) if found else word


def singular(word: str) -> str:
    """The singular of a lower-case noun; a word that is no plural comes back as it is."""
    if word in IRREGULAR_PLURALS:
        return IRREGULAR_PLURALS[word]
    if len(word) < 4 or not word.endswith("s") or word in SINGULAR_IN_S or word.endswith(NO_PLURAL):
        return word
    if word.endswith("ies"):
        return word[:-3] + "y" if len(word) > 4 else word[:-1]
    if word.endswith(("xes", "ches", "shes", "sses", "zzes")):
        return word[:-2]
    if word.endswith("oes"):
        return word[:-2]
    return word[:-1]


@functools.lru_cache(maxsize=20000)
def normal(word: str) -> str:
    """The form under which a word is looked up: lower case, American, singular."""
    return singular(american(word.lower().replace("’", "'")))


def plural(noun: str) -> str:
    """The regular plural of a lower-case noun."""
    if noun.endswith(("s", "x", "z", "ch", "sh")):
        return noun + "es"
    if noun.endswith("y") and noun[-2:-1] not in VOWELS:
        return noun[:-1] + "ies"
    return noun + "s"


def _stems(verb: str) -> tuple[str, ...]:
    """The stems to which -ed and -ing may be added; both where doubling the last letter depends on stress."""
    if verb.endswith("ee") or verb.endswith("oe"):
        return (verb,)
    if verb.endswith("e"):
        return (verb[:-1],)
    doubles = (len(verb) > 2 and verb[-1] not in VOWELS | set("wxyh") and verb[-2] in VOWELS
               and verb[-3] not in VOWELS)
    if not doubles:
        return (verb,)
    one_syllable = sum(letter in VOWELS for letter in verb) == 1
    return (verb + verb[-1],) if one_syllable else (verb, verb + verb[-1])


def inflections(verb: str) -> tuple[str, ...]:
    """All regular forms of a lower-case verb, itself first; of several words the last is inflected."""
    head, _, last = verb.rpartition(" ")
    prefix = head + " " if head else ""
    forms = [last, plural(last) if last[-1] not in "o" else last + "s"]
    if last.endswith("o"):
        forms += [last + "es", last + "'d", last + "'ed", last + "d"]
    if last.endswith("y") and last[-2:-1] not in VOWELS:
        forms.append(last[:-1] + "ied")
        forms.append(last + "ing")
    else:
        for stem in _stems(last):
            forms += [stem + "ed", stem + "ing"]
    if last.endswith("ee"):
        forms.append(last + "d")
    return tuple(dict.fromkeys(prefix + form for form in forms))
