"""A parsed text as lower-case words, free of the tokeniser's habits and of fillers, that still know their tokens.

The tokeniser splits "half-past" and keeps "9am-12pm" whole; a recogniser writes "3 1/2" or "three and a half".
Rules about figures and times are written over these words instead: hyphens between letters are gone, units
stand apart from digits ("4hrs" is "4", "hrs"), part numbers ("AN470AD4-5") are one word.
"""
from __future__ import annotations

import re
from dataclasses import dataclass

from spacy.tokens import Doc

FILLERS = frozenset(["um", "umm", "uh", "uhm", "er", "erm", "hm", "hmm", "mm", "ah"])
FRACTION_SIGNS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
# What a recogniser writes without its apostrophe, where that is no other word ("its", "were", "well" are).
UNMARKED = {"ive": "i've", "im": "i'm", "thats": "that's", "hes": "he's", "shes": "she's", "weve": "we've", "theyve": "they've",
            "theres": "there's", "theyre": "they're", "itll": "it'll", "thatll": "that'll", "oclock": "o'clock"}
_WORD = re.compile(r"""
    \d+(?:st|nd|rd|th)\b                                # 21st
  | \d{4}-\d{2}-\d{2}\b                                 # 2024-03-24
  | [ap]\.\s?m\b\.?                                     # a.m.
  | \d+(?=h\d{2}\b)                                     # 1h30
  | [A-Za-z]+\d[\w/.-]*\w | \d+-[A-Za-z]\w* \d\w* | \d+-T\d+   # AN470AD4-5, 2024-T3
  | \d+(?:,\d{3})+(?:\.\d+)? | \d+:\d{2} | \d+/\d+ | \d*\.\d+ | \d+
  | [½¼¾⅓⅔⅛⅜⅝⅞]
  | [^\W\d_]+(?:['’][^\W\d_]*)*
  | \S
""", re.VERBOSE | re.IGNORECASE)

_HALF_DAY = re.compile(r"[ap]\.\s?m\.?")


@dataclass(frozen=True, slots=True)
class Lexeme:
    """One word or sign: tokens `start` up to, not including, `end`; `text` in lower case, `said` as it stands."""

    text: str
    start: int
    end: int
    said: str


def lexemes_of(doc: Doc) -> tuple[Lexeme, ...]:
    """The words and signs of a text in order, without fillers ("um") and without hyphens inside compounds."""
    token_at = _token_of_characters(doc)
    words: list[Lexeme] = []
    line = doc.text  # spaCy builds it anew at each access
    for match in _WORD.finditer(line):
        said = match[0].replace("’", "'")
        text = FRACTION_SIGNS.get(said, said.lower())
        if _HALF_DAY.fullmatch(text):
            text = text[0] + "m"
        if text in FILLERS or _joins_letters(text, line, match.start()):
            continue
        if text in ("—", "–", "‑") and not _between_digits(line, match.start()):
            text = ","
        elif text in ("–", "‑"):
            text = "-"
        text = UNMARKED.get(text, text)
        if text == "," and words and words[-1].text == ",":
            continue
        words.append(Lexeme(text, token_at[match.start()], token_at[match.end() - 1] + 1, said))
    return tuple(words)


def _token_of_characters(doc: Doc) -> list[int]:
    """For every character the token that it belongs to (a space belongs to the token before it)."""
    owner = [0] * len(doc.text)
    for token in doc:
        for at in range(token.idx, min(token.idx + len(token.text_with_ws), len(owner))):
            owner[at] = token.i
    return owner


def _joins_letters(text: str, whole: str, at: int) -> bool:
    """True for the hyphen of "forty-one" or "9-to-four": it binds words, it does not part two figures."""
    if text not in ("-", "‑") or not 0 < at < len(whole) - 1:
        return False
    before, after = whole[at - 1], whole[at + 1]
    return before.isalnum() and after.isalnum() and (before.isalpha() or after.isalpha())


def _between_digits(whole: str, at: int) -> bool:
    around = whole[:at].rstrip()[-1:], whole[at + 1:].lstrip()[:1]
    return all(sign.isdigit() for sign in around)
