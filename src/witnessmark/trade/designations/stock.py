"""Sizes and materials that are named by number: drills, alloys with temper, thicknesses, threads, wire.

Number and letter drills: ANSI B94.11M (the table of every drill index). Alloys: Aluminum Association and SAE numbers;
temper letters as in AC 43.13-1B, chapter 4. A bare number is never taken where talk has other uses for it: "2024" is
also a year, "forty-one thirty" a price, "number six" a screw or the sixth rib.
"""
from __future__ import annotations

import functools
import re
from fractions import Fraction

from witnessmark.trade.designations.designation import Designation, thousandths
from witnessmark.trade.designations.scan import Piece, number, plain_number
from witnessmark.trade.vocabulary import rows

Row = tuple[Piece, ...]
Parsed = tuple[Designation, int]

DRILL_WORDS = frozenset({"drill", "drills", "drilled", "drilling", "bit", "bits", "hole", "holes", "ream", "reamed",
                         "reamer", "pilot", "size", "redrill", "updrill"})
BIT_WORDS = frozenset({"drill", "drills", "bit", "bits", "reamer", "reamers"})
METAL_WORDS = frozenset({"aluminum", "aluminium", "alclad", "sheet", "angle", "tube", "tubing", "steel", "plate", "bar",
                         "extrusion", "channel", "rod", "alloy", "chromoly", "stock", "skin", "strip", "wall"})
TEMPER = re.compile(r"(t\d{1,4}|h\d{2,3}|o|f|w)$")
FRACTION_WORDS = {"half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16,
                  "sixteenths": 16, "thirty-second": 32, "sixty-fourth": 64}
THREADS = {("4", "40"): 0.112, ("6", "32"): 0.138, ("8", "32"): 0.164, ("8", "36"): 0.164, ("10", "32"): 0.190,
           ("10", "24"): 0.190}
THREAD_WORDS = frozenset({"screw", "screws", "bolt", "bolts", "nut", "nuts", "machine", "tap", "thread", "threads",
                          "nutplate", "nutplates", "stud", "threaded"})
NEAR = 6  # pieces on either side in which a drilling word makes "number thirty" a drill


@functools.cache
def number_drills() -> dict[int, float]:
    """Number drills 1 to 80, diameter in inches."""
    return {int(row["number"]): float(row["inches"]) for row in rows("number_drills")}


@functools.cache
def letter_drills() -> dict[str, float]:
    """Letter drills A to Z, diameter in inches."""
    return {row["letter"]: float(row["inches"]) for row in rows("letter_drills")}


@functools.cache
def alloys() -> dict[str, tuple[str, str]]:
    """Alloy number to its metal and a description."""
    return {row["alloy"]: (row["material"], row["description"]) for row in rows("alloys")}


def _is(row: Row, at: int, *texts: str) -> bool:
    return 0 <= at < len(row) and row[at].text in texts


def drill(row: Row, at: int) -> Parsed | None:
    """ "#40", "number forty drill", "letter F bit", "3/16 bit", "an eighth inch drill"."""
    return _number_drill(row, at) or _letter_drill(row, at) or _fraction_drill(row, at)


def _number_drill(row: Row, at: int) -> Parsed | None:
    begin = at + 1
    if _is(row, at, "no") and _is(row, at + 1, "."):
        begin = at + 2
    elif not _is(row, at, "#", "number"):
        return None
    found = plain_number(row, begin)
    if found is None or int(found[0]) not in number_drills() or not _drilling_near(row, at, found[1]):
        return None
    size = int(found[0])
    inches = number_drills()[size]
    return Designation(f"#{size}", "drill", "number drill", "drill bit",
                       f"number {size} drill, {inches:.4f} inch", diameter=inches), found[1]


def _drilling_near(row: Row, at: int, end: int) -> bool:
    """True where a word of drilling stands near, and no screw: "number 8 screws" are no drill."""
    if _is(row, end, "screw", "screws"):
        return False
    return any(piece.text in DRILL_WORDS for piece in row[max(at - NEAR, 0):end + NEAR])


def _letter_drill(row: Row, at: int) -> Parsed | None:
    if _is(row, at, "letter") and at + 1 < len(row) and row[at + 1].raw.upper() in letter_drills():
        letter, end = row[at + 1].raw.upper(), at + 2
    elif row[at].raw in letter_drills() and row[at].raw not in "AI" and at + 1 < len(row) \
            and row[at + 1].text in BIT_WORDS:
        letter, end = row[at].raw, at + 1
    else:
        return None
    if not _drilling_near(row, at, end):
        return None
    inches = letter_drills()[letter]
    return Designation(f"letter {letter}", "drill", "letter drill", "drill bit",
                       f"letter {letter} drill, {inches:.4f} inch", diameter=inches), end


def _fraction_drill(row: Row, at: int) -> Parsed | None:
    size = _typed_fraction(row, at) or _spoken_fraction(row, at)
    if size is None:
        return None
    value, end = size
    after = end + 1 if _is(row, end, "inch", '"') else end
    if not (after < len(row) and row[after].text in BIT_WORDS) or not 0 < value <= 1:
        return None
    return Designation(f"{value} drill", "drill", "fractional drill", "drill bit",
                       f"{value} inch drill, {float(value):.4f} inch", diameter=float(value)), after


def _typed_fraction(row: Row, at: int) -> tuple[Fraction, int] | None:
    if at + 2 < len(row) and row[at].kind == row[at + 2].kind == "number" and _is(row, at + 1, "/") \
            and row[at].text.isdigit() and row[at + 2].text in ("2", "4", "8", "16", "32", "64"):
        return Fraction(int(row[at].text), int(row[at + 2].text)), at + 3
    return None


def _spoken_fraction(row: Row, at: int) -> tuple[Fraction, int] | None:
    """ "three sixteenths", "five-thirty-seconds", "an eighth", "quarter"."""
    count, after = 1, at
    found = plain_number(row, at)
    if found is not None:
        count, after = int(found[0]), found[1]
    after = after + 1 if _is(row, after, "-") else after
    if after < len(row) and row[after].text in FRACTION_WORDS:
        return Fraction(count, FRACTION_WORDS[row[after].text]), after + 1
    for tens, unit, below in (("thirty", "second", 32), ("sixty", "fourth", 64)):
        last = after + 2 if _is(row, after + 1, "-") else after + 1
        if _is(row, after, tens) and _is(row, last, unit, unit + "s"):
            return Fraction(count, below), last + 1
    return None


def alloy(row: Row, at: int) -> Parsed | None:
    """ "2024-T3", "6061 T6", "twenty twenty-four T3", "4130 tube"."""
    found = number(row, at, frozenset(alloys()))
    if found is None or (at and row[at - 1].raw == "$"):
        return None
    name, after = found
    material, described = alloys()[name]
    temper = _temper(row, after) if material == "aluminum" else None
    if temper:
        return Designation(f"{name}-{temper[0]}", "alloy", name, material, f"{name} {described}, temper {temper[0]}",
                           material=material), temper[1]
    if name == "4130" and row[at].kind == "number" and _is(row, after, "n"):
        return Designation("4130N", "alloy", name, material, f"{described}, normalized", material=material), after + 1
    if not any(piece.text in METAL_WORDS for piece in row[after:after + 2]):
        return None
    return Designation(name, "alloy", name, material, f"{name} {described}", material=material), after


def _temper(row: Row, at: int) -> tuple[str, int] | None:
    """ "-T3", " T6", "-H32", "dash O", "T three fifty one"; a lone letter O needs its dash."""
    dashed = at < len(row) and row[at].is_dash
    begin = at + 1 if dashed else at
    if begin >= len(row):
        return None
    letter = row[begin].text
    if letter in ("t", "h"):
        digits = number(row, begin + 1)
        if digits and TEMPER.match(letter + digits[0]):
            return f"{letter.upper()}{digits[0]}", digits[1]
    return (letter.upper(), begin + 1) if dashed and letter in ("o", "f", "w") else None


def thickness(row: Row, at: int) -> Parsed | None:
    """ "forty thou", "ninety thousandths", ".040", "0.032", "oh six three", "oh-twenty-five"."""
    inches, end = _decimal(row, at) or _thou(row, at) or _oh(row, at) or (None, at)
    if inches is None or not 0.003 <= inches <= 0.5:
        return None
    text = thousandths(inches)
    return Designation(text, "thickness", "inch", None, f"{text} inch", thickness=inches), end


def _decimal(row: Row, at: int) -> tuple[float, int] | None:
    text = row[at].text
    return (float(text), at + 1) if re.fullmatch(r"0?\.[01]\d{2}\d?", text) else None


def _thou(row: Row, at: int) -> tuple[float, int] | None:
    found = plain_number(row, at)
    if found is None or int(found[0]) > 500:
        return None
    end = found[1] + 1 if _is(row, found[1], "-") else found[1]
    return (int(found[0]) / 1000, end + 1) if _is(row, end, "thou", "thousandth", "thousandths") else None


def _oh(row: Row, at: int) -> tuple[float, int] | None:
    """Sheet gauges as they are read out: "oh" and two digits."""
    if not _is(row, at, "oh", "o") or at + 1 >= len(row):
        return None
    begin = at + 2 if _is(row, at + 1, "-") else at + 1
    found = number(row, begin, frozenset(f"{n:02d}" for n in range(10, 100)))
    return (int(found[0]) / 1000, found[1]) if found else None


def thread(row: Row, at: int) -> Parsed | None:
    """ "10-32", "eight thirty-two screw", "6-32"; spoken ones only before a threaded thing."""
    first = plain_number(row, at)
    if first is None or (at and row[at - 1].raw in ("$", "-", "#") and not row[at].spaced):
        return None
    typed = row[at].kind == "number"
    if typed and not _is(row, first[1], "-"):
        return None
    second = plain_number(row, first[1] + 1 if _is(row, first[1], "-") else first[1])
    size = (first[0], second[0]) if second else None
    if second is None or size not in THREADS:
        return None
    if not any(piece.text in THREAD_WORDS for piece in row[second[1]:second[1] + 2]):
        return None
    return Designation("-".join(size), "thread", "unified thread", None, f"{size[0]}-{size[1]} thread",
                       diameter=THREADS[size]), second[1]


def wire(row: Row, at: int) -> Parsed | None:
    """ "22 gauge", "twenty-two gauge wire", "AWG 18": American wire gauge."""
    begin = at + 1 if _is(row, at, "awg") else at
    found = plain_number(row, begin)
    if found is None or not 0 < int(found[0]) <= 30:
        return None
    end = found[1] + 1 if _is(row, found[1], "-") else found[1]
    if begin == at and not _is(row, end, "gauge", "gage", "awg", "guage"):
        return None
    end = end + 1 if begin == at else found[1]
    return Designation(f"{found[0]} AWG", "wire", "AWG", "wire", f"{found[0]} gauge wire"), end


def dash(row: Row, at: int) -> Parsed | None:
    """ "dash fives", "dash 6": a size of something named before; spoken only, a written "-5" may be anything."""
    if not _is(row, at, "dash") or at + 1 >= len(row):
        return None
    word = row[at + 1].text
    single = word[:-2] if word == "sixes" else word.removesuffix("s")
    piece = row[at + 1] if single == word else Piece("word", single, single, row[at + 1].start, row[at + 1].end, True)
    found = plain_number((*row[:at + 1], piece, *row[at + 2:]), at + 1)
    if found is None:
        return None
    return Designation(f"-{found[0]}", "dash", "dash number", None, f"dash {found[0]}"), found[1]
