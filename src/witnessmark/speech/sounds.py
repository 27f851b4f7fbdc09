"""How words sound, roughly: letters to sounds, and how far two sounds are apart.

A recogniser that does not know a trade word writes down what it heard by the spelling habits of English, so a small
set of those habits is enough to hear "klekkled" as "clecoed". The sounds are one character each: consonants as
written, with T (thin), S (ship), C (chip), N (sing); vowels i (beet), I (bit), e (bet), a (bat, father, bought),
u (but, and the unstressed vowel), U (boot, put), A (bait), Y (bite), O (boat), W (bout), R (bird).
"""
from __future__ import annotations

import functools
import re

# Habits of English spelling, longest first at each place; (letters, sounds). A "^" or "$" ties to the word's edge.
# Common practice of letter-to-sound rules (Elovitz et al., 1976, NRL report 7948), much shortened.
HABITS: tuple[tuple[str, str], ...] = (
    ("^kn", "n"), ("^wr", "r"), ("^ps", "s"), ("^x", "z"), ("mb$", "m"), ("tion", "Sun"), ("sion", "Zun"),
    ("ture$", "CR"), ("tch", "C"), ("ch", "C"), ("sch", "sk"), ("sh", "S"), ("ph", "f"), ("th", "T"), ("wh", "w"),
    ("ck", "k"), ("dge", "j"), ("dg", "j"), ("ght", "t"), ("gh$", ""), ("gn$", "n"), ("gu(?=[eiy])", "g"),
    ("qu", "kw"), ("ng(?=$|s$|ed$|er|ing)", "N"), ("nk", "Nk"), ("c(?=[eiy])", "s"), ("g(?=[ey])", "j"), ("x", "ks"),
    ("eigh", "A"), ("igh", "Y"), ("augh", "a"), ("ough", "O"), ("ere$", "ir"), ("eer", "ir"), ("ear", "ir"),
    ("air", "er"), ("are$", "er"), ("our", "Wr"), ("oor", "Or"), ("ore", "Or"), ("oar", "Or"), ("or", "Or"),
    ("ar", "ar"), ("er", "R"), ("ir", "R"), ("ur", "R"), ("ee", "i"), ("ea", "i"), ("ey$", "i"), ("ei", "A"),
    ("ie(?=[a-z])", "i"), ("ie$", "Y"), ("ai", "A"), ("ay", "A"), ("oa", "O"), ("oe", "O"), ("oo", "U"), ("ou", "W"),
    ("ol(?=[dt])", "Ol"), ("ow$", "O"), ("ow", "W"), ("oi", "YI"), ("oy", "YI"), ("au", "a"), ("aw", "a"), ("ew", "U"),
    ("ue$", "U"), ("ui", "U"), ("y$", "i"), ("y(?=[aeiou])", "y"), ("y", "I"),
    ("ine$", "in"), ("a(?=[bcdfgklmnprstvz]e(?:s|d|r|rs)?$)", "A"), ("i(?=[bcdfgklmnprstvz]e(?:s|d|r|rs)?$)", "Y"),
    ("o(?=[bcdfgklmnprstvz]e(?:s|d|r|rs)?$)", "O"), ("u(?=[bcdfgklmnprstvz]e(?:s|d|r|rs)?$)", "U"),
    ("a(?=[bcdfgklmnprstvz]ing$)", "A"), ("i(?=[bcdfgklmnprstvz]ing$)", "Y"),
    ("(?<=[td])ed$", "Id"), ("(?<=[pkfsxch])ed$", "t"), ("ed$", "d"), ("es$", "z"), ("e$", ""), ("le$", "ul"),
    ("o$", "O"), ("a", "a"), ("e", "e"), ("i", "I"), ("o", "a"), ("u", "u"), ("j", "j"),
)
_RULES = tuple((re.compile(letters.removeprefix("^")), letters.startswith("^"), sounds) for letters, sounds in HABITS)

# Words whose spelling says little of their sound.
IRREGULAR = {
    "one": "wun", "once": "wuns", "two": "tU", "eight": "At", "the": "Tu", "a": "u", "of": "uv", "to": "tU", "do": "dU",
    "was": "wuz", "are": "ar", "break": "brAk", "steak": "stAk", "great": "grAt", "said": "sed", "some": "sum",
    "come": "kum", "by": "bY", "buy": "bY", "my": "mY", "try": "trY", "dry": "drY", "fly": "flY", "bowl": "bOl",
    "bowls": "bOlz", "who": "hU",
    "done": "dun", "give": "gIv", "have": "hav", "live": "lIv", "gauge": "gAj", "gage": "gAj",
    "buoy": "bUi", "bearing": "berIN", "aileron": "AlRan", "ailerons": "AlRanz", "longeron": "lanjRan",
    "longerons": "lanjRanz", "alodine": "alOdYn", "alodined": "alOdYnd", "cleco": "klikO", "clecos": "klikOz",
    "clecoed": "klikOd", "clecoing": "klikOIN", "deburr": "dibR", "deburred": "dibRd", "deburring": "dibRIN",
    "fuselage": "fyUsulaj", "empennage": "empenaj", "micro": "mYkrO", "epoxy": "epaksi", "rivet": "rIvIt",
    "rivets": "rIvIts", "riveted": "rIvItId", "riveting": "rIvItIN", "ream": "rim", "chromate": "krOmAt",
    "lightening": "lYtnIN", "lightning": "lYtnIN", "pitot": "pitO", "dural": "dUral", "an": "an",
    "torque": "tOrk", "torques": "tOrks", "torqued": "tOrkt", "torquing": "tOrkIN",
    "ache": "Ak", "aching": "AkIN", "aches": "Aks", "eighteen": "Atin", "eighty": "Ati",
}

# A stop between two consonants is hardly heard: "bolts", "bandsaw".
_SWALLOWED = re.compile(r"(?<=[nlsfk])[td](?=[bdfgkmnpsvzS])")

_VOWELS = frozenset("iIeauUAYOWR")
# Consonants that noise, or a microphone far away, mixes up: the same place or the same manner of articulation.
_NEAR_GROUPS = ("bp", "td", "kg", "fv", "szSZ", "CjS", "mnN", "lr", "fT", "wv", "ptk", "bdg", "Td", "hf", "pf", "dj",
                "tC")
_NEAR = frozenset(pair for group in _NEAR_GROUPS for x in group for y in group for pair in [(x, y)])
NEAR_CONSONANT, FAR = 0.45, 1.0
VOWEL_SHIFT, VOWEL_LOST, CONSONANT_LOST = 0.35, 0.45, 0.8
SYLLABIC = 0.2  # r and the vowel that is made of it
WEAK_LOST = 0.4  # h, y, w and r are easily lost or added
_WEAK = frozenset("hywr")


@functools.lru_cache(maxsize=20000)
def sounds(text: str) -> str:
    """The sounds of a word or of several words said together."""
    return "".join(_word(word) for word in re.findall(r"[a-z]+", text.lower().replace("'", "")))


def _word(word: str) -> str:
    if word in IRREGULAR:
        return IRREGULAR[word]
    out, at = "", 0
    while at < len(word):
        for pattern, initial, sound in _RULES:
            if initial and at:
                continue
            found = pattern.match(word, at)
            if found and found.end() > at:
                out, at = out + sound, found.end()
                break
        else:
            out, at = out + {"c": "k", "q": "k"}.get(word[at], word[at]), at + 1
    return _SWALLOWED.sub("", re.sub(r"(.)\1", r"\1", out))


@functools.lru_cache(maxsize=50000)
def distance(one: str, other: str) -> float:
    """The least cost of turning one row of sounds into the other."""
    row = [0.0]
    for sound in other:
        row.append(row[-1] + _lost(sound))
    for x in one:
        before, row = row, [row[0] + _lost(x)]
        for column, y in enumerate(other, 1):
            row.append(min(before[column] + _lost(x), row[-1] + _lost(y), before[column - 1] + _changed(x, y)))
    return row[-1]


def likeness(one: str, other: str) -> float:
    """How alike two rows of sounds are: 1 for the same, 0 for nothing in common."""
    longest = max(len(one), len(other))
    return max(1.0 - distance(one, other) / longest, 0.0) if longest else 1.0


def _lost(sound: str) -> float:
    return VOWEL_LOST if sound in _VOWELS else WEAK_LOST if sound in _WEAK else CONSONANT_LOST


def _changed(x: str, y: str) -> float:
    if x == y:
        return 0.0
    if {x, y} == {"r", "R"}:
        return SYLLABIC
    if x in _VOWELS and y in _VOWELS:
        return VOWEL_SHIFT
    return NEAR_CONSONANT if (x, y) in _NEAR else FAR
