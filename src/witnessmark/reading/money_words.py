"""Figures as people say prices: runs of number words and digits, with the readings that each may have.

"Nineteen fifty" is 19.50 or 1950, "two sixty-five" is 2.65 or 265, "three forty-five twenty" only 345.20, and
"six-zero" spells out a figure said before. Which reading holds is decided where the thing sold is known.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from spacy.tokens import Doc

UNITS = {
    word: value
    for value, word in enumerate(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"], start=1)
}
TEENS = {
    word: value
    for value, word in enumerate(
        ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"],
        start=10,
    )
}
TENS = {
    word: value
    for value, word in zip(
        range(20, 100, 10), ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], strict=True
    )
} | {"fourty": 40}
ZEROS = frozenset({"oh", "o", "zero", "nought", "naught"})
SCALES = {"hundred": 100, "hundy": 100, "thousand": 1000, "grand": 1000, "k": 1000}
DIGITS = re.compile(r"^(\d{1,3}(?:,\d{3})+|\d+)(\.\d+)?(k)?$", re.IGNORECASE)
HYPHENS = frozenset({"-", "‑", "–"})


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure, tokens `start` up to, not including, `end`; `value` in units of the currency.

    `other` is a second possible reading; `cents` tells that `value` has said or written cents; `spelled` that
    single digits were said one by one ("one, six, oh"); `digits` that it was written in digits; `scaled` that
    a "hundred" or "thousand" was said; `heard_as` is the teen or ten ("eighteen") that sound may confuse.
    """

    start: int
    end: int
    value: float
    other: float | None = None
    cents: bool = False
    spelled: bool = False
    digits: bool = False
    scaled: bool = False
    heard_as: str | None = None


@dataclass(frozen=True, slots=True)
class _Group:
    """A number said in one breath below a hundred, or with its scales: "sixty-eight", "eleven hundred and forty"."""

    start: int
    end: int
    value: float
    zero: bool = False
    scaled: bool = False
    digits: bool = False
    text: str = ""


def find_figures(doc: Doc) -> tuple[Figure, ...]:
    """All figures of a text, in order; a run of words that makes no single price is given in its pieces."""
    figures: list[Figure] = []
    at = 0
    while at < len(doc):
        groups, after = _run(doc, at)
        if not groups:
            at += 1
            continue
        figures += _figures(groups, doc)
        at = after
    return tuple(figures)


def figure_at(doc: Doc, at: int) -> Figure | None:
    """The figure that begins at a token, or None."""
    groups, _ = _run(doc, at) if at < len(doc) else ([], at)
    return next(_figures(groups, doc), None) if groups else None


def _run(doc: Doc, at: int) -> tuple[list[_Group], int]:
    """The number groups that follow one another from a token on, with nothing but hyphens between them."""
    groups: list[_Group] = []
    while True:
        skipped = at + 1 if groups and at < len(doc) and doc[at].text in HYPHENS else at
        group = _group(doc, skipped)
        if group is None or (group.zero and not groups and not _spells_on(doc, group.end)):
            return groups, at
        if groups and (groups[-1].digits or group.digits) and not group.text.isdigit():
            return groups, at
        groups.append(group)
        at = group.end


def _spells_on(doc: Doc, at: int) -> bool:
    """True where another digit word follows: a figure spelled out may begin with its zero."""
    at += at < len(doc) and doc[at].text in HYPHENS
    return at < len(doc) and (doc[at].lower_ in UNITS or doc[at].lower_ in ZEROS)


def _group(doc: Doc, at: int) -> _Group | None:
    """One group that begins at this token, or None."""
    if at >= len(doc):
        return None
    word = doc[at].lower_
    written = DIGITS.match(word)
    if written:
        value = float(written[1].replace(",", "") + (written[2] or "")) * (1000 if written[3] else 1)
        return _scaled(doc, _Group(at, at + 1, value, digits=True, text=word))
    if word in ZEROS:
        return _Group(at, at + 1, 0, zero=True, text=word)
    if word in ("a", "half") or word == "couple":
        return _article(doc, at)
    if word in ("hundred", "thousand"):
        return _scaled(doc, _Group(at, at, 1, text=word)) if _begins_a_sum(doc, at) else None
    small = _below_hundred(doc, at)
    return _scaled(doc, small) if small else None


def _begins_a_sum(doc: Doc, at: int) -> bool:
    """ "Hundred and twelve a sheet", as some speakers leave out the article; not "the hundred", a pack of so many."""
    before = doc[at - 1].lower_ if at else ""
    after = doc[at + 1].lower_ if at + 1 < len(doc) else ""
    sum_goes_on = after in ("and", "bucks", "dollars", "quid", "pounds", "euros", "each", "apiece") or _below_hundred(
        doc, at + 1
    )
    pack = before == "another" and after != "and"
    return before not in ("the", "per") and not pack and bool(sum_goes_on)


def _article(doc: Doc, at: int) -> _Group | None:
    """ "A hundred", "half a grand", "a couple of hundred"; a lone article is no number."""
    words = [doc[i].lower_ for i in range(at, min(at + 4, len(doc)))]
    skip, value = 0, 1.0
    if words[:2] == ["half", "a"]:
        skip, value = 2, 0.5
    elif "couple" in words[:2]:
        skip, value = words.index("couple") + 1, 2.0
        skip += words[skip : skip + 1] == ["of"]
    elif words[0] == "a":
        skip = 1
    if skip and words[skip : skip + 1] and words[skip] in SCALES and words[skip] != "k":
        return _scaled(doc, _Group(at, at + skip, value, text=words[skip]))
    return None


def _below_hundred(doc: Doc, at: int) -> _Group | None:
    if at >= len(doc):
        return None
    word = doc[at].lower_
    if word in UNITS or word in TEENS:
        return _Group(at, at + 1, UNITS.get(word) or TEENS[word], text=word)
    if word not in TENS:
        return None
    end, value = at + 1, TENS[word]
    after = end + (end < len(doc) and doc[end].text in HYPHENS)
    if after < len(doc) and doc[after].lower_ in UNITS:
        return _Group(at, after + 1, value + UNITS[doc[after].lower_], text=word)
    return _Group(at, end, value, text=word)


def _scaled(doc: Doc, small: _Group) -> _Group:
    """A group with the hundreds and thousands that follow it, and what is added to them."""
    value, end, scaled = small.value, small.end, False
    half = _and_a_half(doc, end)
    if half and half < len(doc) and doc[half].lower_ in SCALES:
        value, end = value + 0.5, half
    while end < len(doc):
        step = end + (doc[end].text in HYPHENS)
        if step >= len(doc) or doc[step].lower_ not in SCALES or (doc[step].lower_ == "k" and not small.digits):
            break
        value, end, scaled = value * SCALES[doc[step].lower_], step + 1, True
        rest = _rest(doc, end, smallest=value)
        if rest:
            value, end = value + rest.value, rest.end
            break
    if not scaled and (tail := _and_a_half(doc, end)):
        return _Group(small.start, tail, value + 0.5, digits=small.digits, text=small.text)
    return _Group(small.start, end, value, scaled=scaled, digits=small.digits, text=small.text)


def _and_a_half(doc: Doc, at: int) -> int | None:
    """The token after "and a half", or None."""
    words = [doc[i].lower_ for i in range(at, min(at + 3, len(doc)))]
    return at + 3 if words == ["and", "a", "half"] else None


def _rest(doc: Doc, at: int, smallest: float) -> _Group | None:
    """What is added after a scale: "and four", "eighty-nine", "two hundred and ten"."""
    linked = at < len(doc) and (doc[at].lower_ == "and" or doc[at].text in HYPHENS)
    start = at + 1 if linked else at
    if start >= len(doc):
        return None
    word = doc[start].lower_
    if word == "a":
        more = _article(doc, start)
    else:
        small = _below_hundred(doc, start)
        more = _scaled(doc, small) if small else None
    return more if more and more.value < smallest and _fits_scale(more.value, smallest) else None


def _fits_scale(value: float, scale: float) -> bool:
    """ "Two thousand four hundred" adds below the thousand, "a hundred and four" below the hundred."""
    return value < (100 if scale % 1000 else 1000)


def _figures(groups: list[_Group], doc: Doc) -> Iterator[Figure]:
    """The readings of one run: the whole run if it can be one price, else its pieces."""
    for size in range(len(groups), 0, -1):
        figure = _whole(groups[:size], doc)
        if figure:
            yield figure
            if groups[size:]:
                yield from _figures(groups[size:], doc)
            return


def _whole(groups: list[_Group], doc: Doc) -> Figure | None:
    """One price made of all these groups, or None where they cannot be one."""
    start, end = groups[0].start, groups[-1].end
    values = [group.value for group in groups]
    if len(groups) == 1:
        group = groups[0]
        return (
            None
            if group.zero
            else Figure(
                start,
                end,
                group.value,
                digits=group.digits,
                scaled=group.scaled,
                heard_as=_confusable(group),
                cents=group.digits and bool(re.search(r"\.\d\d$", doc[group.start].text)),
            )
        )
    if any(group.digits for group in groups):
        return None
    if all(group.zero or (group.value < 10 and not group.scaled) for group in groups):
        return _spelled(groups, start, end)
    zero_inside = len(groups) == 3 and groups[1].zero and not groups[0].zero and 0 < values[2] < 10
    if zero_inside:
        return _two_readings(start, end, values[0], values[2], groups[0])
    if any(group.zero for group in groups):
        return None
    if len(groups) == 2 and 10 <= values[1] < 100 and not groups[1].scaled:
        return _two_readings(start, end, values[0], values[1], groups[1])
    if len(groups) == 3 and values[0] < 10 and 10 <= values[1] < 100 and 10 <= values[2] < 100:
        return Figure(start, end, values[0] * 100 + values[1] + values[2] / 100, cents=True)
    return None


def _spelled(groups: list[_Group], start: int, end: int) -> Figure:
    """Digits said one by one; "one-oh-four" is a price of its own as well."""
    digits = "".join("0" if group.zero else str(int(group.value)) for group in groups)
    with_oh = len(groups) == 3 and groups[1].text in ("oh", "o") and not groups[2].zero
    return Figure(start, end, float(digits), other=int(digits) / 100 if with_oh else None, spelled=not with_oh)


def _two_readings(start: int, end: int, first: float, second: float, last: _Group) -> Figure:
    """ "Nine forty": 9.40 or 940; "nineteen fifty": 19.50, hardly 1950; "a hundred and two fifty": only 102.50."""
    with_cents = first + second / 100
    if first >= 100:
        return Figure(start, end, with_cents, cents=True, heard_as=_confusable(last))
    return Figure(start, end, with_cents, other=first * 100 + second, cents=True, heard_as=_confusable(last))


def _confusable(group: _Group) -> str | None:
    """The figure that sounds like its teen or its ten: "thirteen" and "thirty"; None for the rest."""
    if group.value in range(13, 20) or (group.value in range(30, 100, 10) and group.text in TENS):
        return group.text
    return None
