"""Standard designations: rivets, bolts, nuts, washers, pins, alloys, drills, thicknesses, typed or spoken.

In: text ("an 470 ad 4 dash 5", "AN3-5A", "number forty drill"). Out: what each stands for, with its sizes in inches
and a phrase for a person. Never: a guess at a size that is not said.
"""
from __future__ import annotations

import functools
from dataclasses import replace

from spacy.tokens import Doc

from witnessmark.trade.designations import hardware, stock
from witnessmark.trade.designations.designation import Designation
from witnessmark.trade.designations.scan import Piece, pieces

__all__ = ["Designation", "find", "parse"]

READERS = (hardware.part_number, stock.drill, stock.alloy, stock.thread, stock.thickness, stock.wire, stock.dash)


def find(text: str | Doc) -> tuple[Designation, ...]:
    """All designations of a text, in order and without overlap; `start` and `end` are characters of it."""
    row = pieces(text if isinstance(text, str) else text.text)
    found, at = [], 0
    while at < len(row):
        result = _read(row, at)
        if result is None:
            at += 1
            continue
        designation, end = result
        found.append(replace(designation, start=row[at].start, end=row[end - 1].end))
        at = end
    return tuple(found)


# Words that may follow a designation without changing it, and those that a bare size ("#40", "4130") lacks.
NOUNS = {"", "s", "drill", "bit", "drill bit", "reamer", "screw", "machine screw", "bolt", "nut", "washer", "rivet",
         "nutplate", "sheet", "tube", "tubing", "steel", "aluminum", "wire", "hole"}
HINTS = ("", " drill", " tube")


@functools.lru_cache(maxsize=4096)
def parse(text: str) -> Designation | None:
    """The designation that this text is, as a whole; None if it is none or says more than one.

    A plural ("AN3-5s") and the plain noun after it ("number 40 drill") are allowed.
    """
    for hint in HINTS:
        found = find(text + hint)
        if len(found) == 1 and found[0].end <= len(text) and not text[:found[0].start].strip():
            rest = text[found[0].end:].strip(" '’.").lower()
            return found[0] if rest in NOUNS or rest.removesuffix("s") in NOUNS else None
    return None


def _read(row: tuple[Piece, ...], at: int) -> tuple[Designation, int] | None:
    for reader in READERS:
        result = reader(row, at)
        if result is not None:
            return result
    return None
