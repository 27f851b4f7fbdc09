"""What a designation says, and how its sizes are written."""
from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Family = Literal["rivet", "bolt", "nut", "washer", "pin", "screw", "hardware", "alloy", "drill", "thickness",
                 "thread", "wire", "dash"]


@dataclass(frozen=True, slots=True)
class Designation:
    """A standard designation found in a text, from character `start` up to, not including, `end`.

    `text` is how it is written ("AN470AD4-6"), `standard` the document or table it comes from ("AN470",
    "number drill"), `thing` the plain name of what it is ("universal head rivet"; None where the words do not
    say), `description` one phrase for a person. Sizes are in inches.
    """

    text: str
    family: Family
    standard: str
    thing: str | None
    description: str
    diameter: float | None = None
    length: float | None = None
    grip: float | None = None
    thickness: float | None = None
    material: str | None = None
    start: int = 0
    end: int = 0


def fraction(inches: float | Fraction) -> str:
    """Inches as a person writes them in a shop: "1/8", "1 1/4", "3"; sixty-fourths at the finest."""
    value = Fraction(inches).limit_denominator(64)
    whole, rest = divmod(value, 1)
    if not rest:
        return str(whole)
    part = f"{rest.numerator}/{rest.denominator}"
    return f"{whole} {part}" if whole else part


def thousandths(inches: float) -> str:
    """Inches as a decimal with at least three places: "0.063", "0.0980"."""
    text = f"{inches:.4f}"
    return text[:-1] if text.endswith("0") and len(text) > 5 else text
