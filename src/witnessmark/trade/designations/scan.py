"""Text as a row of letters, numbers and signs, whether typed ("AN470AD4-6") or spoken ("A N four seventy").

A typed number is one piece, a number word too; what a run of number words may mean ("four seventy" is 470,
"twenty four" 24 or 20 and 4) is listed by `readings`, and the grammar above takes the one it knows.
"""
from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

UNITS = {"zero": 0, "oh": 0, "o": 0, "ought": 0, "aught": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5,
         "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13,
         "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19}
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80,
        "ninety": 90}
PIECE = re.compile(r"\d+(?:,\d{3})+(?!\d)|\d*\.\d+|\d+|[A-Za-z]+(?:['’][a-z]+)?|[-–‑/#.\"$]")
HYPHENS = frozenset("-–‑")
LONGEST_FIGURE = 12  # characters; longer rows of digits are a recogniser's loop or a serial number, and no designation


@dataclass(frozen=True, slots=True)
class Piece:
    """One stretch of text of one kind; `text` is lower case, `raw` as it stands."""

    kind: Literal["word", "number", "sign"]
    text: str
    raw: str
    start: int
    end: int
    spaced: bool

    @property
    def is_number(self) -> bool:
        return self.kind == "number" or self.text in UNITS or self.text in TENS

    @property
    def is_dash(self) -> bool:
        return self.raw in HYPHENS or self.text == "dash"


def pieces(text: str) -> tuple[Piece, ...]:
    """The pieces of a text in order; `spaced` says that white space stood before."""
    found, last = [], 0
    for match in PIECE.finditer(text):
        raw = match.group()
        kind: Literal["word", "number", "sign"] = (
            "number" if raw[-1].isdigit() and len(raw) <= LONGEST_FIGURE else "word" if raw[0].isalpha() else "sign")
        found.append(Piece(kind, raw.lower().replace("’", "'"), raw, match.start(), match.end(),
                           match.start() > last or match.start() == 0))
        last = match.end()
    return tuple(found)


def readings(row: tuple[Piece, ...], at: int, most: int = 6) -> Iterator[tuple[str, int]]:
    """Each digit string that the number pieces from `at` may stand for, and where it ends; shortest first.

    "four seventy" gives ("4", …), ("470", …); "twenty four twenty six" gives "20", "24", "204", "2024", "2420",
    "20426", "2426" and so on. Typed numbers stand alone: what follows "AN3-5" is another number. Single hyphens
    between number words ("sixty-three") are passed over.
    """
    yield from _extend(row, at, "", most)


def _extend(row: tuple[Piece, ...], at: int, digits: str, most: int) -> Iterator[tuple[str, int]]:
    for text, after in _one(row, at):
        if len(digits + text) <= most:
            yield digits + text, after
            following = _past_hyphen(row, after)
            if row[at].kind == "word" and following < len(row) and row[following].kind == "word":
                yield from _extend(row, following, digits + text, most)


def _one(row: tuple[Piece, ...], at: int) -> Iterator[tuple[str, int]]:
    """The readings of one number: itself, tens with a unit ("sixty three"), hundreds ("four hundred")."""
    if at >= len(row) or not row[at].is_number:
        return
    piece = row[at]
    if piece.kind == "number":
        if piece.text.isdigit():
            yield piece.text, at + 1
        return
    value = UNITS.get(piece.text, TENS.get(piece.text, 0))
    yield str(value), at + 1
    after = _past_hyphen(row, at + 1)
    if after >= len(row):
        return
    unit = UNITS.get(row[after].text, 0)
    if piece.text in TENS and 0 < unit < 10:
        yield str(value + unit), after + 1
    if row[after].text == "hundred" and 0 < value < 10:
        yield str(value * 100), after + 1


def _past_hyphen(row: tuple[Piece, ...], at: int) -> int:
    """Past a hyphen that only joins number words; a hyphen before typed digits is a dash and stays."""
    if at + 1 < len(row) and row[at].raw in HYPHENS and not row[at].spaced and row[at + 1].text in UNITS | TENS:
        return at + 1
    return at


def number(row: tuple[Piece, ...], at: int, allowed: frozenset[str] | None = None) -> tuple[str, int] | None:
    """The longest number from `at` that is `allowed`, as digits, and where it ends."""
    found = None
    for digits, after in readings(row, at):
        known = allowed is None or digits in allowed
        if known and (found is None or (after, len(digits)) > (found[1], len(found[0]))):
            found = (digits, after)
    return found


def plain_number(row: tuple[Piece, ...], at: int) -> tuple[str, int] | None:
    """One number as it would be said alone: "forty", "sixty three", "12"; nothing is strung together."""
    return max(_one(row, at), key=lambda reading: reading[1], default=None)


def letters(row: tuple[Piece, ...], at: int, spelled: str) -> int | None:
    """Where the letters end if they stand at `at`, run together or spelled out ("AD", "A D", "a. d."); else None."""
    rest = spelled.lower()
    while rest and at < len(row):
        text = row[at].text
        if row[at].raw == "." and rest != spelled.lower():
            at += 1
            continue
        if row[at].kind != "word" or not rest.startswith(text) or (len(text) > 1 and text != rest):
            return None
        rest, at = rest[len(text):], at + 1
    return None if rest else at
