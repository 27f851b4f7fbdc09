"""Standard designations that a recogniser breaks up: "and 470 add 4-5", "MS 210 44N3", "2020-4T3", "AN-6s"; and prices.

The grammar of the numbers is that of the standards (AC 43.13-1B, chapter 7; see `trade.designations`): a rivet is
AN470 or AN426 (or MS20470, MS20426) with a head code, an alloy code, a diameter in 32nds and a length in 16ths.
"""
from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from witnessmark.model import Word
from witnessmark.speech.rewording import replaced
from witnessmark.trade.designations.hardware import standards
from witnessmark.trade.designations.stock import alloys

PREFIX = r"(?:(?P<prefix>a\.?\s?n\.?|and|in|m\.?\s?s\.?|n\.?\s?a\.?\s?s\.?)[\s-]*)?"
# "AD" is a letter pair that no language model expects
AD = r"(?P<alloy>a\.?\s?d\.?|add|ads|ad's|80|eighty|8d|ed|aid|a\s?d's|d|b|a)"
RIVET = re.compile(
    rf"(?<![\w-]){PREFIX}(?P<head>(?:20?[\s,-]*)?4[\s-]?(?:70|26))[\s-]*{AD}"
    r"[\s-]*(?P<diameter>[2-9])(?:\s*(?:-|dash|\s)\s*(?P<length>\d{1,2}(?:\.5)?))?(?![\w.]*\d)", re.IGNORECASE)
BROKEN = re.compile(r"(?<![\w-])(?P<prefix>MS|NAS|AN)[\s-]*(?P<number>\d[\d\s,]*\d)(?P<rest>[A-Z]?\d*)(?![\w-]*\w)")
SPELT = re.compile(r"(?<![\w-])(?P<prefix>MS|NAS|AN)-(?P<rest>\d+(?:[A-Z]+)?(?:-\d+[A-Z]?)?)(?P<plural>s?)(?!\w)")
BOLT = re.compile(r"(?<![\w-])(?:and|in|a\.?n\.?)[\s-]+(?P<size>[3-9]|1[0-2])-(?P<length>\d{1,2})(?P<suffix>A|H)"
                  r"(?![\w-])")
# "the AN6s" runs together; "N6" alone may be the beginning of a registration.
CLIPPED = re.compile(r"(?<![\w-])[Nn]-?(?P<size>[3-9]|1\d|20)(?:(?P<plural>s)(?![\w-])|(?=\s+bolts?\b))")
TEMPER = re.compile(r"(?P<number>\d{2}[\d\s-]{2,5}?)[\s-]*T[\s-]?(?P<temper>[3-8]\d{0,3})(?![\w]*\d)", re.IGNORECASE)
# "2020-43": "twenty twenty-four T three" with the T lost
BARE_TEMPER = re.compile(r"(?<![\w$.-])(?P<number>\d{4}-\d)(?P<temper>3|4|6|351|651)(?![\w.-]*\d)")
DRILL = re.compile(r"(?<=\bnumber )(?P<ten>[1-6])[Ee](?!\w)")  # "number 4E": forty
NUMBERED = re.compile(r"(?<![\w-])(?P<number>\d{2}[\s-]\d{2})"
                      r"(?=[\s-]+(?:chromoly|steel|tub\w+|aluminum|alclad|sheet)\b)")

# Nobody says a price with one decimal digit: "thirty-nine dollars" was taken for "three point nine".
PRICE = re.compile(r"(?P<sign>[$£€])(?P<ten>[2-9])\.(?P<unit>[1-9])(?![\d,.]*\d)(?!\s*(?:k|grand|thousand|million)\b)")

BOLTS = frozenset(f"AN{size}" for size in range(3, 21))  # AN3 to AN20, FAA-H-8083-30


@dataclass(frozen=True, slots=True)
class Span:
    """Characters `start` to `end` of a line are to be read as `text`."""

    start: int
    end: int
    text: str
    confidence: float


def designations(words: Sequence[Word]) -> list[Word]:
    """The words with broken designations put together."""
    out: list[Word] = []
    line, starts = _joined(words)
    at = 0
    for span in _spans(line):
        first = max(n for n, start in enumerate(starts) if start <= span.start)
        last = next((n for n, start in enumerate(starts) if start >= span.end), len(words))
        if first < at:
            continue
        out += words[at:first]
        raw = line[starts[first]:span.start].strip(" \"'(")
        if raw or line[span.start:span.end] == span.text:
            out += words[first:last]
        else:
            out.append(replaced(words[first:last], span.text, "designation", span.confidence))
        at = last
    return [*out, *words[at:]]


def _joined(words: Sequence[Word]) -> tuple[str, list[int]]:
    """The words as one line, and the character at which each begins (without its leading space)."""
    line, starts = "", []
    for word in words:
        bare = word.text.lstrip()
        line += " " if len(bare) < len(word.text) and line else ""
        starts.append(len(line))
        line += bare
    return line, starts


def _spans(line: str) -> list[Span]:
    found: list[Span] = []
    for pattern, read in READERS:
        for match in pattern.finditer(line):
            text = read(match)
            if text and not any(span.start < match.end() and match.start() < span.end for span in found):
                found.append(Span(match.start(), match.end(), *text))
    return sorted(found, key=lambda span: span.start)


Read = tuple[str, float] | None


def _rivet(match: re.Match[str]) -> Read:
    """A rivet: sure with its alloy code and both dash numbers, else as sure as the prefix."""
    digits = re.sub(r"\D", "", match["head"])
    spoken = re.sub(r"\W", "", match["prefix"] or "").upper()
    military = spoken == "MS" or digits.startswith("2")
    head = f"MS20{digits[-3:]}" if military else f"AN{digits[-3:]}"
    alloy = match["alloy"].upper()
    alloy = alloy if alloy in ("D", "B", "A") else "AD"
    if alloy != "AD" and not match["length"]:
        return None
    length = f"-{match['length']}" if match["length"] else ""
    return f"{head}{alloy}{match['diameter']}{length}", 0.93 if length else 0.85


def _broken(match: re.Match[str]) -> Read:
    """A number in pieces that is a known standard when put together."""
    digits = re.sub(r"\D", "", match["number"])
    name = f"{match['prefix']}{digits}"
    if name not in standards() or match.group() == name + match["rest"]:
        return None
    return f"{name}{match['rest']}", 0.9


def _spelt(match: re.Match[str]) -> Read:
    """A hyphen after the letters, which no standard has."""
    number = re.match(r"\d+", match["rest"])
    known = f"{match['prefix']}{number.group()}" if number else ""
    if known not in standards() and known not in BOLTS:
        return None
    return f"{match['prefix']}{match['rest']}{match['plural']}", 0.98


def _bolt(match: re.Match[str]) -> Read:
    return f"AN{match['size']}-{match['length']}{match['suffix']}", 0.9


def _clipped(match: re.Match[str]) -> Read:
    return f"AN{match['size']}{match['plural'] or ''}", 0.85


def _temper(match: re.Match[str]) -> Read:
    """An alloy with its temper: "20-24 T3", "2020-4T3" ("twenty" and "twenty-four" written one after the other)."""
    alloy = _alloy(match["number"])
    text = f"{alloy}-T{match['temper']}"
    return (text, 0.9) if alloy and text != match.group() else None


def _bare_temper(match: re.Match[str]) -> Read:
    alloy = _alloy(match["number"])
    return (f"{alloy}-T{match['temper']}", 0.8) if alloy else None


def _drill(match: re.Match[str]) -> Read:
    return f"{match['ten']}0", 0.85


def _numbered(match: re.Match[str]) -> Read:
    alloy = _alloy(match["number"])
    return (alloy, 0.85) if alloy else None


def _alloy(heard: str) -> str | None:
    digits = re.sub(r"\D", "", heard)
    spoken = {name[:2] + "0" + name[2:]: name for name in alloys()} | {
        name[:2] + name[2] + "0" + name[3:]: name for name in alloys()}
    return digits if digits in alloys() else spoken.get(digits)


def _price(match: re.Match[str]) -> Read:
    return f"{match['sign']}{match['ten']}{match['unit']}", 0.5


READERS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], Read]], ...] = (
    (RIVET, _rivet), (BROKEN, _broken), (BOLT, _bolt), (CLIPPED, _clipped), (SPELT, _spelt), (TEMPER, _temper),
    (BARE_TEMPER, _bare_temper), (DRILL, _drill), (NUMBERED, _numbered), (PRICE, _price))
