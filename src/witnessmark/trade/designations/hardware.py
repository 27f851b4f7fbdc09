"""AN, MS and NAS part numbers: what their dash numbers say.

Rivets: AC 43.13-1B, figure 4-4 (diameter in 32nds, length in 16ths, half sizes as ".5") and table of head codes,
paragraph 7-1; alloy codes A 1100, B 5056, AD 2117, D 2017, DD 2024 (same place, table 4-8).
Bolts AN3 to AN20: FAA-H-8083-30, "Aircraft Hardware" (diameter in 16ths, C stainless, DD 2024 aluminum, H drilled
head, A undrilled shank); the length code counts inches and eighths ("12" is 1 2/8). Grip lengths: the table of the
AN3-20 standard as reprinted for pilots and mechanics, from which the thread length of each diameter is constant.
Washers: NAS1149 gives diameter in 16ths (N and the number of a screw size below that) and thickness in thousandths;
AN960 gives the screw size or thread. Pins: AN380 diameter in 32nds, length in quarters.
"""
from __future__ import annotations

import functools
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction

from witnessmark.trade.designations.designation import Designation, Family, fraction, thousandths
from witnessmark.trade.designations.scan import Piece, letters, number, readings
from witnessmark.trade.vocabulary import rows

RIVET_ALLOYS = {"A": "1100 aluminum", "B": "5056 aluminum", "AD": "2117 aluminum", "D": "2017 aluminum",
                "DD": "2024 aluminum", "E": "7050 aluminum", "M": "nickel-copper"}
RIVET_DIAMETERS = frozenset(map(str, range(2, 13)))
LENGTH_CODES = frozenset(str(code) for code in range(1, 97) if code % 10 < 8)
BOLT_METALS = {"C": "stainless steel", "DD": "2024 aluminum"}
BOLT_SIZES = frozenset(str(size) for size in (*range(3, 11), 12, 14, 16, 18, 20))
# Threaded length in inches, and what is added to the nominal length; the AN3-20 table, AN3 to AN6 only.
BOLT_THREAD = {3: Fraction(13, 32), 4: Fraction(15, 32), 5: Fraction(17, 32), 6: Fraction(41, 64)}
BOLT_EXTRA = {3: Fraction(1, 32), 4: Fraction(1, 32), 5: Fraction(3, 32), 6: Fraction(5, 64)}
# The shortest bolts of the table stand outside the rule: (size, code) to length and grip.
SHORTEST_BOLTS = {(3, 3): (Fraction(15, 32), Fraction(1, 16)), (4, 3): (Fraction(15, 32), Fraction(1, 16))}
FINE_THREADS = {3: "10-32", 4: "1/4-28", 5: "5/16-24", 6: "3/8-24", 7: "7/16-20", 8: "1/2-20", 9: "9/16-18",
                10: "5/8-18", 12: "3/4-16"}
# Screw number to major diameter in inches: 0.060 + 0.013 × number (ASME B1.1).
SCREW_SIZES = {size: round(0.060 + 0.013 * size, 3) for size in (2, 3, 4, 5, 6, 8, 10)}
THREAD_CODES = {"440": ("4-40", SCREW_SIZES[4]), "632": ("6-32", SCREW_SIZES[6]), "832": ("8-32", SCREW_SIZES[8]),
                "1032": ("10-32", SCREW_SIZES[10]), "428": ("1/4-28", 0.25), "524": ("5/16-24", 0.3125),
                "624": ("3/8-24", 0.375), "720": ("7/16-20", 0.4375), "820": ("1/2-20", 0.5)}
PIN_TABLE = {"132": ("1/16", "1/2"), "353": ("1/8", "1")}  # MS24665 dash numbers equal to AN380-2-2 and AN380-4-4
ARTICLE_NUMBERS = frozenset({"8", "18"})  # "an eight", "an eighteen": in speech "an" may be the article


@dataclass(frozen=True, slots=True)
class Standard:
    """One row of designations.csv."""

    name: str
    thing: str
    description: str
    rule: str
    superseded_by: str


Row = tuple[Piece, ...]
Parsed = tuple[Designation, int]


@functools.cache
def standards() -> dict[str, Standard]:
    """The known standards by name."""
    return {row["standard"]: Standard(row["standard"], row["thing"], row["description"], row["rule"],
                                      row["superseded_by"]) for row in rows("designations")}


@functools.cache
def _numbers(prefix: str) -> frozenset[str]:
    known = {name[len(prefix):] for name in standards() if name.startswith(prefix) and name[len(prefix):].isdigit()}
    return frozenset(known | (set(BOLT_SIZES) if prefix == "AN" else set()))


def part_number(row: Row, at: int) -> Parsed | None:
    """The AN, MS or NAS designation that begins at piece `at`, and the piece after it."""
    for prefix in ("NAS", "AN", "MS"):
        after = letters(row, at, prefix)
        found = number(row, after, _numbers(prefix)) if after is not None else None
        if found is None:
            continue
        digits, end = found
        if prefix == "AN" and digits in BOLT_SIZES:
            return _bolt(row, at, digits, end)
        standard = standards()[prefix + digits]
        designation, end = RULES[standard.rule](standard, row, end)
        return replace(designation, standard=standard.name), end
    return None


def _dash(row: Row, at: int) -> int | None:
    """The piece after a dash, written or spoken; None if there is none."""
    return at + 1 if at < len(row) and row[at].is_dash else None


def _letter(row: Row, at: int, allowed: tuple[str, ...]) -> tuple[str, int]:
    """The longest of the allowed letter codes that stands here, else an empty one."""
    for code in sorted(allowed, key=len, reverse=True):
        after = letters(row, at, code)
        if after is not None and not _is_article(row, at, after):
            return code, after
    return "", at


def _is_article(row: Row, at: int, after: int) -> bool:
    """True for a lone lower-case letter with white space before it that no number or dash follows: "… a bag"."""
    alone = after == at + 1 and len(row[at].raw) == 1 and row[at].raw.islower() and row[at].spaced
    return alone and not (after < len(row) and (row[after].is_number or row[after].is_dash))


def _half(row: Row, at: int) -> tuple[float, int]:
    """ "point five", "and a half" after a rivet's length."""
    if at < len(row) and row[at].text in (".5", "point") and (row[at].text == ".5" or _is(row, at + 1, "five", "5")):
        return 0.5, at + (1 if row[at].text == ".5" else 2)
    if _is(row, at, "and") and _is(row, at + 1, "a") and _is(row, at + 2, "half"):
        return 0.5, at + 3
    return 0.0, at


def _is(row: Row, at: int, *texts: str) -> bool:
    return at < len(row) and row[at].text in texts


def _rivet(standard: Standard, row: Row, at: int) -> Parsed:
    alloy, after = _letter(row, at, tuple(RIVET_ALLOYS))
    plain = Designation(standard.name, "rivet", standard.name, standard.thing, standard.description)
    if not alloy:
        return plain, at
    name, metal = standard.name + alloy, RIVET_ALLOYS[alloy]
    plain = replace(plain, text=name, material=metal, description=f"{standard.description}, {metal}")
    size = number(row, after, RIVET_DIAMETERS)
    if size is None:
        return _run_together(plain, row, after)
    diameter = Fraction(int(size[0]), 32)
    sized = replace(plain, text=name + size[0], diameter=float(diameter),
                    description=f"{standard.description}, {metal}, {fraction(diameter)} inch diameter")
    length = _rivet_length(row, size[1])
    if length is None:
        return sized, size[1]
    count, end = length
    sixteenths = Fraction(count) / 16
    written = f"{count:g}"
    return replace(sized, text=f"{name}{size[0]}-{written}", length=float(sixteenths),
                   description=f"{sized.description}, {fraction(sixteenths)} inch long"), end


def _run_together(plain: Designation, row: Row, at: int) -> Parsed:
    """ "AD45", as a recogniser writes "AD 4-5": one digit of diameter, the rest length."""
    piece = row[at] if at < len(row) else None
    if piece is None or not re.fullmatch(r"[3-8]\d{1,2}", piece.text):
        return plain, at
    diameter, length = Fraction(int(piece.text[0]), 32), Fraction(int(piece.text[1:]), 16)
    return replace(plain, text=f"{plain.text}{piece.text[0]}-{int(piece.text[1:])}", diameter=float(diameter),
                   length=float(length), description=f"{plain.description}, {fraction(diameter)} inch diameter, "
                                                     f"{fraction(length)} inch long"), at + 1


def _rivet_length(row: Row, at: int) -> tuple[float, int] | None:
    """The length in 16ths after a dash, or right after the diameter as in "four five" and "4.5"."""
    after = _dash(row, at)
    begin = at if after is None else after
    if begin < len(row) and row[begin].kind == "number" and row[begin].text.endswith(".5"):
        return (float(row[begin].text), begin + 1) if after is not None else None
    if after is None and not (begin < len(row) and row[begin].is_number):
        return None
    found = number(row, begin, frozenset(map(str, range(2, 33))))
    if found is None:
        return None
    half, end = _half(row, found[1])
    return int(found[0]) + half, end


def _bolt(row: Row, start: int, size: str, at: int) -> Parsed | None:
    metal, at_head = _letter(row, at, tuple(BOLT_METALS))
    head, at_dash = _letter(row, at_head, ("H",))
    after = _dash(row, at_dash)
    coded = after is not None or metal or head or _spoken_length(row, at_dash)
    code = number(row, at_dash if after is None else after, LENGTH_CODES) if coded else None
    if not _surely_a_bolt(row, start, size, code[1] if code else at_dash, coded=code is not None):
        return None
    sixteenths = int(size)
    diameter = Fraction(sixteenths, 16)
    text = f"AN{size}{metal}{head}"
    words = [f"{fraction(diameter)} inch bolt", BOLT_METALS.get(metal, ""), "head drilled for safety wire" * bool(head)]
    base = Designation(text, "bolt", "AN3-20", "bolt", ", ".join(filter(None, words)), diameter=float(diameter),
                       material=BOLT_METALS.get(metal, "steel"))
    return _bolt_length(base, row, sixteenths, code) if code else (base, at_dash)


def _bolt_length(base: Designation, row: Row, sixteenths: int, code: tuple[str, int]) -> Parsed:
    shank, end = _undrilled(row, code[1])
    inches, eighths = divmod(int(code[0]), 10)
    nominal = inches + Fraction(eighths, 8)
    length = nominal + BOLT_EXTRA.get(sixteenths, Fraction(0))
    grip = length - BOLT_THREAD[sixteenths] if sixteenths in BOLT_THREAD else None
    length, grip = SHORTEST_BOLTS.get((sixteenths, int(code[0])), (length, grip))
    joint = "" if base.text[-1].isalpha() and not base.text.endswith("H") else "-"
    words = [base.description, f"{fraction(nominal)} inch nominal length",
             f"grip {fraction(grip)} inch" if grip is not None and grip > 0 else "",
             "shank not drilled" if shank else "shank drilled for a cotter pin"]
    return replace(base, text=f"{base.text}{joint}{code[0]}{shank}", length=float(length),
                   grip=float(grip) if grip is not None and grip > 0 else None,
                   description=", ".join(filter(None, words))), end


def _undrilled(row: Row, at: int) -> tuple[str, int]:
    """The suffix A; a lone lower-case "a" with space before it is an article unless it ends the phrase."""
    if not _is(row, at, "a", "a's", "as"):
        return "", at
    piece = row[at]
    follows = row[at + 1] if at + 1 < len(row) else None
    article = piece.raw == "a" and piece.spaced and follows is not None and follows.kind == "word" and \
        follows.text not in ("bolt", "bolts", "and", "with", "in", "for", "through", "on", "to", "s")
    return ("", at) if article else ("A", at + 1)


def _spoken_length(row: Row, at: int) -> bool:
    """ "A N three five A": a number straight after the diameter, closed by the suffix A."""
    found = number(row, at, LENGTH_CODES)
    return found is not None and _is(row, found[1], "a") and row[at].kind != "sign"


def _surely_a_bolt(row: Row, start: int, size: str, end: int, *, coded: bool) -> bool:
    """False for "an 8 foot brake", "an 8-10 hour day", "an eighteen inch ruler": there "an" is an article."""
    if row[start].raw[0].isupper() and row[start].raw != "An":
        return True
    if size in ARTICLE_NUMBERS:
        return _is(row, end, "bolt", "bolts") or (coded and _is(row, end, "a"))
    return coded or not row[start + 1].spaced or _is(row, end, "bolt", "bolts")


def _threadnut(standard: Standard, row: Row, at: int) -> Parsed:
    after = _dash(row, at)
    base = Designation(standard.name, "nut", standard.name, standard.thing, standard.description, material="steel")
    found = number(row, after if after is not None else at, frozenset(THREAD_CODES))
    if found is None:
        return base, at
    thread, diameter = THREAD_CODES[found[0]]
    suffix, end = _letter(row, found[1], ("A", "C", "D"))
    return replace(base, text=f"{standard.name}-{found[0]}{suffix}", diameter=diameter,
                   description=f"{standard.description}, {thread} thread"), end


def _msnut(standard: Standard, row: Row, at: int) -> Parsed:
    kind, after_letter = _letter(row, at, ("N", "L", "C", "D", "B"))
    after = _dash(row, after_letter)
    base = Designation(standard.name, "nut", standard.name, standard.thing, standard.description)
    if after is None and not kind:
        return base, at
    found = number(row, after if after is not None else after_letter, frozenset(
        {"02", "04", "06", "08", "3", "4", "5", "6", "7", "8", "9", "10", "12"}))
    if found is None:
        return base, at
    thread, diameter = _ms_thread(found[0])
    joint = "" if kind else "-"
    return replace(base, text=f"{standard.name}{kind}{joint}{found[0]}", diameter=diameter,
                   description=f"{standard.description}, {thread} thread"), found[1]


def _ms_thread(code: str) -> tuple[str, float]:
    """ "08" is a number 8 screw thread, "3" is 3/16 inch, which is 10-32."""
    coarse = {"02": "2-56", "04": "4-40", "06": "6-32", "08": "8-32"}
    if code in coarse:
        return coarse[code], SCREW_SIZES[int(code)]
    return FINE_THREADS[int(code)], SCREW_SIZES[10] if code == "3" else int(code) / 16


def _castle(standard: Standard, row: Row, at: int) -> Parsed:
    """AN310, AN315, AN316, AN320, AN970: the dash number is the bolt's diameter in 16ths."""
    family: Family = "washer" if standard.name == "AN970" else "nut"
    base = Designation(standard.name, family, standard.name, standard.thing, standard.description, material="steel")
    after = _dash(row, at)
    found = number(row, after, BOLT_SIZES) if after is not None else None
    if found is None:
        return base, at
    diameter = int(found[0]) / 16
    return replace(base, text=f"{standard.name}-{found[0]}", diameter=diameter,
                   description=f"{standard.description}, for {fraction(diameter)} inch bolts"), found[1]


def _an960(standard: Standard, row: Row, at: int) -> Parsed:
    metal, at_dash = _letter(row, at, ("PD", "JD", "D", "C"))
    after = _dash(row, at_dash)
    base = Designation(standard.name + metal, "washer", standard.name, standard.thing, standard.description,
                       material={"C": "stainless steel", "": "steel"}.get(metal, "aluminum"))
    sizes = {str(n): SCREW_SIZES[n] for n in (4, 6, 8, 10)} | {f"{n}16": n / 16 for n in range(4, 17)}
    found = number(row, after if after is not None else at_dash, frozenset(sizes))
    if found is None:
        return base, at_dash
    thin, end = _letter(row, found[1], ("L",))
    size = f"number {found[0]} screws" if len(found[0]) < 3 and found[0] in ("4", "6", "8", "10") else \
        f"{fraction(sizes[found[0]])} inch bolts"
    thickness = (0.032 if found[0] in ("4", "6", "8") else 0.063) / (2 if thin else 1)
    return replace(base, text=f"{standard.name}{metal}-{found[0]}{thin}", diameter=sizes[found[0]],
                   thickness=round(thickness, 3), description=(
                       f"{'thin ' if thin else ''}{standard.description}, for {size}")), end


def _nas1149(standard: Standard, row: Row, at: int) -> Parsed:
    code, at_size = _letter(row, at, ("F", "D", "C", "B", "FN", "DN", "CN", "BN"))
    metal, screw = code[:1], code[1:]
    base = Designation(standard.name + metal, "washer", standard.name, standard.thing, standard.description,
                       material={"F": "steel", "D": "aluminum", "C": "stainless steel", "B": "brass"}.get(metal))
    if metal and not screw:
        screw, at_size = _letter(row, at_size, ("N",))
    codes = [found for found in readings(row, at_size, most=4) if len(found[0]) == (3 if screw else 4)] if metal else []
    if not codes:
        return base, at_size
    digits, after = codes[-1]
    finish, end = _letter(row, after, ("P", "J", "K", "H", "R", "N", "B"))
    size, thickness = int(digits[:-2]), int(digits[-2:]) / 1000
    diameter = SCREW_SIZES.get(size) if screw else size / 16
    fits = f"number {size} screws" if screw else f"{fraction(size / 16)} inch bolts"
    described = f"{standard.description}, {base.material}, for {fits}, {thousandths(thickness)} inch thick"
    return replace(base, text=f"{standard.name}{metal}{screw}{digits}{finish}", diameter=diameter,
                   thickness=thickness, description=described), end


def _cotter(standard: Standard, row: Row, at: int) -> Parsed:
    base = Designation(standard.name, "pin", standard.name, standard.thing, standard.description)
    metal, at_dash = _letter(row, at, ("C",))
    first = _dash(row, at_dash)
    diameter = number(row, first, frozenset(map(str, range(1, 13)))) if first is not None else None
    second = _dash(row, diameter[1]) if diameter else None
    length = number(row, second, frozenset(map(str, range(1, 25)))) if second is not None else None
    if diameter is None or length is None:
        return base, at
    across, along = Fraction(int(diameter[0]), 32), Fraction(int(length[0]), 4)
    return replace(base, text=f"{standard.name}{metal}-{diameter[0]}-{length[0]}", diameter=float(across),
                   length=float(along), material="stainless steel" if metal else "steel", description=(
                       f"{standard.description}, {fraction(across)} by {fraction(along)} inch")), length[1]


def _ms24665(standard: Standard, row: Row, at: int) -> Parsed:
    base = Designation(standard.name, "pin", standard.name, standard.thing, standard.description)
    after = _dash(row, at)
    found = number(row, after) if after is not None else None
    if found is None:
        return base, at
    size = PIN_TABLE.get(found[0])
    described = f"{standard.description}, {size[0]} by {size[1]} inch" if size else \
        f"{standard.description}, size {found[0]} of the standard's table"
    return replace(base, text=f"{standard.name}-{found[0]}", description=described,
                   diameter=float(Fraction(size[0])) if size else None,
                   length=float(Fraction(size[1])) if size else None), found[1]


def _clevis(standard: Standard, row: Row, at: int) -> Parsed:
    diameters = {"AN21": SCREW_SIZES[6], "AN22": SCREW_SIZES[8], "AN23": 3 / 16, "AN24": 1 / 4, "AN25": 5 / 16,
                 "AN26": 3 / 8}
    base = Designation(standard.name, "bolt", standard.name, standard.thing, standard.description,
                       diameter=diameters[standard.name], material="steel")
    after = _dash(row, at)
    found = number(row, after, frozenset(map(str, range(4, 97)))) if after is not None else None
    if found is None:
        return base, at
    suffix, end = _undrilled(row, found[1])
    length = Fraction(int(found[0]), 16)
    return replace(base, text=f"{standard.name}-{found[0]}{suffix}", length=float(length),
                   description=f"{standard.description}, {fraction(length)} inch long"), end


def _nasbolt(standard: Standard, row: Row, at: int) -> Parsed:
    diameter = Fraction(int(standard.name[-2:]), 16)
    base = Designation(standard.name, "bolt", standard.name, standard.thing,
                       f"{standard.description}, {fraction(diameter)} inch", diameter=float(diameter), material="steel")
    after = _dash(row, at)
    found = number(row, after, frozenset(map(str, range(1, 97)))) if after is not None else None
    if found is None:
        return base, at
    grip = Fraction(int(found[0]), 16)
    return replace(base, text=f"{standard.name}-{found[0]}", grip=float(grip),
                   description=f"{base.description}, grip {fraction(grip)} inch"), found[1]


def _lockwire(standard: Standard, row: Row, at: int) -> Parsed:
    metal, after = _letter(row, at, ("C", "N"))
    found = number(row, after, frozenset({"20", "25", "32", "40", "41", "47", "51", "91"})) if metal else None
    base = Designation(standard.name, "hardware", standard.name, standard.thing, standard.description)
    if found is None:
        return base, at
    material = {"C": "stainless steel", "N": "nickel alloy"}[metal]
    return replace(base, text=f"{standard.name}{metal}{found[0]}", diameter=int(found[0]) / 1000, material=material,
                   description=f"{material} {standard.description}, {thousandths(int(found[0]) / 1000)} inch"), found[1]


def _plain(standard: Standard, row: Row, at: int) -> Parsed:
    """A part whose dash number is only carried along: letters and dashes typed without a space."""
    end, tail = at, ""
    while end < len(row) and not row[end].spaced and (row[end].kind == "number" or row[end].is_dash
                                                      or row[end].raw.isupper()):
        tail += "-" if row[end].is_dash else row[end].raw
        end += 1
    if tail.endswith("-"):
        tail, end = tail[:-1], end - 1
    family: Family = "screw" if "screw" in standard.thing else "hardware"
    return Designation(standard.name + tail, family, standard.name, standard.thing, standard.description), end


RULES: dict[str, Callable[[Standard, Row, int], Parsed]] = {
    "rivet": _rivet, "threadnut": _threadnut, "msnut": _msnut, "castle": _castle, "an960": _an960,
    "nas1149": _nas1149, "cotter": _cotter, "ms24665": _ms24665, "clevis": _clevis, "nasbolt": _nasbolt,
    "lockwire": _lockwire, "plain": _plain}
