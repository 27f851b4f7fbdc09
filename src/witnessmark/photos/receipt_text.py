"""The text of a receipt → vendor, date, total, tax and lines, with what does not add up.

Keywords are those of tills and invoices in English; amounts have two decimals. Nothing is guessed silently: a total
that cannot be checked against the lines, or a date that can be read two ways, is a problem for the builder to see.
"""
from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from rapidfuzz import fuzz

CENT = 0.005
# A receipt is photographed or filed within weeks of the purchase, and never before it.
FILED_WITHIN, FRESH = dt.timedelta(days=120), dt.timedelta(days=3)
# Currencies of places that write the month first; elsewhere the day comes first.
MONTH_FIRST = frozenset({"USD", "PHP"})
_AMOUNT = re.compile(r"(?<![\d.,:/-])(?P<minus>-\s?)?(?:[$€£]\s?|USD\s?)?(?P<minus2>-\s?)?"
                     r"(?P<whole>\d{1,3}(?:,\d{3})+|\d{1,6})\s?[.,]\s?(?P<cents>\d{2})(?P<after>-)?(?![\d.,:/]|-\d)")
_QUANTITY = re.compile(r"^\s*(?P<n>\d{1,3})\s*(?:[x×@]|ea\b|pcs?\b)|\b(?P<m>\d{1,3})\s*[x×@]\s*\$?\d", re.IGNORECASE)
# The time of day, which recognisers join to the year before it ("08/31/2415:44").
_CLOCK = re.compile(r"(?:[01]\d|2[0-3]|\d)\s?:\s?[0-5]\d(?:\s?:\s?[0-5]\d)?\s*(?:[ap]\.?m\.?)?", re.IGNORECASE)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED = r"(?P<month>jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*"
_YEAR = r"(?P<year>(?:19|20)\d\d|\d\d)(?!\d)"
_DATES = tuple(re.compile(pattern, re.IGNORECASE) for pattern in (
    r"(?<!\d)(?P<year>20\d\d)[-/.](?P<b>\d{1,2})[-/.](?P<c>\d{1,2})(?!\d)",
    r"(?<!\d)(?P<b>\d{1,2})\s?[-/.]\s?(?P<c>\d{1,2})\s?[-/.]\s?" + _YEAR,
    r"(?<!\d)(?P<day>\d{1,2})[-\s.,/]*" + _NAMED + r"[-\s.,/]*" + _YEAR,
    _NAMED + r"[-\s.,/]*(?P<day>\d{1,2})(?:st|nd|rd|th)?[-\s.,/]+" + _YEAR))

_TOTALS = ("total", "grand total", "total due", "amount due", "balance due", "total usd", "total amount",
           "invoice total", "order total", "balance", "you paid", "amount")
_SUBTOTALS = ("subtotal", "sub total", "sub-total", "merchandise", "net", "net total", "goods total", "items total")
_TAXES = ("tax", "sales tax", "total tax", "vat", "gst", "hst", "pst", "qst", "state tax", "county tax", "local tax")
_PAYMENTS = ("cash", "change", "change due", "visa", "mastercard", "debit", "credit", "card", "tendered", "paid",
             "tender", "cash tendered", "card payment", "payment", "approved", "auth", "you saved", "savings",
             "total savings", "rounding", "amount tendered", "total items", "items sold", "points", "debit card",
             "credit card")
_NO_VENDOR = re.compile(r"receipt|invoice|welcome|thank|store\s*#?\d|tel|phone|www\.|\.com|order|customer|copy|cashier|"
                        r"\b(st|street|ave|avenue|rd|road|blvd|hwy|suite)\b\.?|\d{5}", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing on a receipt: its name as printed, the amount of the line, how many."""

    item: str
    amount: float
    quantity: int | None = None


@dataclass(frozen=True, slots=True)
class ReceiptText:
    """What a receipt says; amounts in its own currency, `problems` one sentence each."""

    vendor: str | None = None
    date: dt.date | None = None
    total: float | None = None
    tax: float | None = None
    subtotal: float | None = None
    lines: tuple[Line, ...] = ()
    problems: tuple[str, ...] = ()


@dataclass
class _Draft:
    totals: list[float] = field(default_factory=list)
    subtotals: list[float] = field(default_factory=list)
    taxes: list[float] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    closed: bool = False


def parse(rows: Sequence[str], filed: dt.date | None = None, currency: str = "USD",
          heights: Sequence[float] = ()) -> ReceiptText:
    """Read the rows of a receipt, top to bottom.

    `filed` is the day of the picture or file, which decides between two readings of a date; `heights` of the rows
    (any unit) help to find the vendor, who prints his name large.
    """
    draft = _Draft()
    for row in rows:
        _take(row, draft)
    total = max(draft.totals, default=None)
    tax = round(sum(draft.taxes), 2) if draft.taxes else None
    subtotal = draft.subtotals[-1] if draft.subtotals else None
    date, date_problems = _date(rows, filed, currency)
    problems = (*date_problems, *_arithmetic(total, tax, subtotal, draft.lines))
    return ReceiptText(_vendor(rows, heights), date, total, tax, subtotal, tuple(draft.lines), problems)


def looks_like_one(rows: Sequence[str]) -> bool:
    """Whether a text is that of a receipt: a total, and amounts in several rows."""
    words = [_words(row) for row in rows]
    return any(_is(word, _TOTALS) for word in words) and sum(bool(_AMOUNT.search(row)) for row in rows) >= 2


def _take(row: str, draft: _Draft) -> None:
    amounts = [_value(match) for match in _AMOUNT.finditer(_repaired(row))]
    if not amounts:
        return
    words = _words(row)
    if _is(words, _SUBTOTALS):
        draft.subtotals.append(amounts[-1])
        draft.closed = True
    elif _is(words, _TAXES):
        draft.taxes.append(amounts[-1])
        draft.closed = True
    elif _is(words, _PAYMENTS):
        draft.closed = True
    elif _is(words, _TOTALS):
        draft.totals.append(amounts[-1])
        draft.closed = True
    elif words and not (draft.closed and draft.totals):
        quantity = _QUANTITY.search(row)
        number = int(quantity["n"] or quantity["m"]) if quantity else None
        draft.lines.append(Line(_item(row), amounts[-1], number))


def _repaired(row: str) -> str:
    """Letters that a recogniser takes for figures, put right where they stand among figures."""
    row = re.sub(r"(?<=[\d.,])[oO](?=[\d.,]|\b)|(?<=[$ ])[oO](?=[.,]\d)", "0", row)
    row = re.sub(r"(?<=[\d.,])[lI|](?=[\d.,]|\b)", "1", row)
    return re.sub(r"(?<=\d)[sS](?=\d|\b)|(?<=[.,])[sS](?=\d)", "5", row)


def _value(match: re.Match[str]) -> float:
    amount = int(match["whole"].replace(",", "")) + int(match["cents"]) / 100
    return -amount if match["minus"] or match["minus2"] or match["after"] else amount


def _words(row: str) -> str:
    """A row without its amounts, percentages and signs, small letters."""
    bare = re.sub(r"\d+(?:[.,]\d+)?\s*%", " ", _AMOUNT.sub(" ", _repaired(row)))
    return " ".join(re.sub(r"[^a-z\- ]", " ", bare.lower()).split()).strip("- ")


def _is(words: str, names: Sequence[str]) -> bool:
    """Whether a row is one of these keywords, a letter misread here or there."""
    for name in names:
        if words == name or (len(name) >= 5 and fuzz.ratio(words, name) >= 84):
            return True
    if len(words.split()) > 4:
        return False
    return any(words.startswith(name + " ") for name in names)


def _item(row: str) -> str:
    """The name of the thing on a line."""
    bare = _AMOUNT.sub(" ", row)
    bare = re.sub(r"^\s*\d{1,3}\s*[x×@]\s*|[x×@]\s*$|\b\d+\s*[x×@]\s*(?=$|\s)|[$€£*]", " ", bare)
    return " ".join(bare.split()).strip(" .-:")


def _arithmetic(total: float | None, tax: float | None, subtotal: float | None, lines: Sequence[Line]) -> list[str]:
    """Sentences on what does not add up, or cannot be added up."""
    if total is None:
        return ["no total could be read"]
    found = []
    if subtotal is not None and abs(subtotal + (tax or 0) - total) > CENT:
        found.append(f"subtotal {subtotal:.2f} and tax {tax or 0:.2f} do not make the total {total:.2f}")
    goods = round(sum(line.amount for line in lines), 2)
    expected = subtotal if subtotal is not None else round(total - (tax or 0), 2)
    if not lines:
        if subtotal is None:
            found.append("no lines could be read: the total could not be checked")
    elif abs(goods - expected) > CENT and abs(goods - total) > CENT:
        found.append(f"the lines add up to {goods:.2f}, but {expected:.2f} is printed")
    return found


def _date(rows: Sequence[str], filed: dt.date | None, currency: str) -> tuple[dt.date | None, list[str]]:
    for row in rows:
        for pattern in _DATES:
            match = pattern.search(_CLOCK.sub(" ", row))
            days = _readings(match.groupdict(), currency) if match else []
            if days:
                return _choose(days, filed)
    return None, ["no date could be read"]


def _readings(parts: dict[str, str], currency: str) -> list[dt.date]:
    """The days that a date may stand for, the usual reading of the currency's country first."""
    year = int(parts["year"]) + (2000 if len(parts["year"]) == 2 else 0)
    if "day" in parts:
        pairs = [(_MONTHS.index(parts["month"].lower()) + 1, int(parts["day"]))]
    else:
        first, second = int(parts["b"]), int(parts["c"])
        pairs = [(first, second), (second, first)]
        if currency not in MONTH_FIRST:
            pairs.reverse()
        if next(iter(parts)) == "year":  # ISO 8601: year, month, day
            pairs = [(first, second)]
    days = []
    for month, day in pairs:
        try:
            days.append(dt.date(year, month, day))
        except ValueError:
            continue
    return list(dict.fromkeys(days))


def _choose(days: list[dt.date], filed: dt.date | None) -> tuple[dt.date, list[str]]:
    """The reading that fits the day of the picture; a problem where none does, or two do and the usual one is not
    of the very days before the picture."""
    if filed is None:
        return days[0], ([f"the date could be {days[0]} or {days[1]}"] if len(days) > 1 else [])
    fitting = [day for day in days if dt.timedelta(days=-1) <= filed - day <= FILED_WITHIN]
    if not fitting:
        return days[0], [f"the date {days[0]} does not fit a picture of {filed}"]
    doubtful = len(fitting) > 1 and filed - fitting[0] > FRESH
    return fitting[0], ([f"the date could be {fitting[0]} or {fitting[1]}"] if doubtful else [])


def _vendor(rows: Sequence[str], heights: Sequence[float]) -> str | None:
    """Who sold it: the tallest of the first rows that is a name, else the first such row."""
    names: list[tuple[float, int, str]] = []
    for number, row in enumerate(rows[:8]):
        letters = sum(map(str.isalpha, row))
        if _AMOUNT.search(row) or any(pattern.search(row) for pattern in _DATES):
            if names:
                break
            continue
        if letters >= 3 and letters * 2 >= len(row.replace(" ", "")) and not _NO_VENDOR.search(row):
            names.append((-(heights[number] if number < len(heights) else 0.0), number, row))
    if not names:
        return None
    return " ".join((min(names) if heights else names[0])[2].split()).strip(" *-=")
