"""Days and EDTF (ISO 8601-2:2019, Extended Date/Time Format): what a date string covers, and strings from days.

Level 0 dates and intervals, and of level 1 the parts that a builder's talk needs: seasons (21 spring, 22 summer,
23 autumn, 24 winter), `~` for "about", open intervals. A season is placed as in the northern half of the year
unless the caller says otherwise; the code itself only carries the season's name.
"""
from __future__ import annotations

import calendar
import datetime as dt
import functools
import re
from collections.abc import Iterable

from edtf import parse_edtf
from edtf.parser.edtf_exceptions import EDTFParseException

SPRING, SUMMER, AUTUMN, WINTER = 21, 22, 23, 24
FIRST_MONTH = {SPRING: 3, SUMMER: 6, AUTUMN: 9, WINTER: 12}
SOUTHERN_FIRST_MONTH = {SPRING: 9, SUMMER: 12, AUTUMN: 3, WINTER: 6}
ABOUT_DAYS = 3  # how far "about" a day may be off, to each side
_SIMPLE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?(~)?")

Window = tuple[dt.date | None, dt.date | None]


def day_window(edtf: str | None, southern: bool = False) -> Window:
    """The first and last day that a date covers; None at an open end, (None, None) for no date.

    "About" a day is that day (sorting and comparing go by the best day; see `loose_window` for the slack).
    """
    if not edtf:
        return None, None
    if "/" in edtf:
        first, last = edtf.split("/", 1)
        return (None if first in ("", "..") else day_window(first, southern)[0],
                None if last in ("", "..") else day_window(last, southern)[1])
    return _simple_window(edtf, southern)


def _simple_window(edtf: str, southern: bool) -> tuple[dt.date, dt.date]:
    match = _SIMPLE.fullmatch(edtf)
    if not match:
        raise ValueError(f"{edtf!r} is no date that a journal uses")
    year, month, day = int(match[1]), match[2] and int(match[2]), match[3] and int(match[3])
    if not month:
        return dt.date(year, 1, 1), dt.date(year, 12, 31)
    if day:
        exact = dt.date(year, month, day)
        return exact, exact
    if month in FIRST_MONTH:
        first = (SOUTHERN_FIRST_MONTH if southern else FIRST_MONTH)[month]
        return dt.date(year, first, 1), month_end(*add_months(year, first, 2))
    return dt.date(year, month, 1), month_end(year, month)


def loose_window(edtf: str | None, southern: bool = False) -> Window:
    """Like `day_window`, with the slack that "about" a day allows to each side."""
    first, last = day_window(edtf, southern)
    slack = dt.timedelta(days=ABOUT_DAYS)
    halves = (edtf or "").split("/")
    return (first - slack if first and halves[0].endswith("~") else first,
            last + slack if last and halves[-1].endswith("~") else last)


def is_exact(edtf: str | None) -> bool:
    """True for one exact day."""
    return bool(edtf and re.fullmatch(r"\d{4}-(?:0\d|1[0-2])-\d{2}", edtf))


def is_valid(edtf: str) -> bool:
    """True where the `edtf` library reads the string and its days exist."""
    try:
        parse_edtf(edtf)
        day_window(edtf)
    except (EDTFParseException, ValueError):
        return False
    return True


def of_days(first: dt.date, last: dt.date | None = None) -> str:
    """EDTF of one day, or of an interval of days."""
    return first.isoformat() if last is None or last == first else f"{first.isoformat()}/{last.isoformat()}"


def about(day: dt.date) -> str:
    """EDTF of "about this day"."""
    return f"{day.isoformat()}~"


def before(day: dt.date) -> str:
    """EDTF of "at some time before this day": open, up to the day before."""
    return f"../{(day - dt.timedelta(days=1)).isoformat()}"


def of_month(year: int, month: int) -> str:
    return f"{year:04}-{month:02}"


def add_months(year: int, month: int, count: int) -> tuple[int, int]:
    """The (year, month) that lies `count` months later, or earlier where it is negative."""
    years, zero_based = divmod(month - 1 + count, 12)
    return year + years, zero_based + 1


def month_end(year: int, month: int) -> dt.date:
    return dt.date(year, month, calendar.monthrange(year, month)[1])


def combine(edtfs: Iterable[str | None]) -> str | None:
    """One EDTF that covers all dates given: the date itself if all are equal, else the interval over them.

    Missing dates are left out; None if none is left. An open start stays open.
    """
    dates = sorted({edtf for edtf in edtfs if edtf})
    if len(dates) < 2:
        return dates[0] if dates else None
    windows = [day_window(edtf) for edtf in dates]
    first = functools.reduce(_earlier, (window[0] for window in windows))
    last = functools.reduce(_later, (window[1] for window in windows))
    if first and last:
        return of_days(first, last)
    return f"{first.isoformat() if first else '..'}/{last.isoformat() if last else '..'}"


def _earlier(one: dt.date | None, other: dt.date | None) -> dt.date | None:
    return min(one, other) if one and other else None


def _later(one: dt.date | None, other: dt.date | None) -> dt.date | None:
    return max(one, other) if one and other else None


def covers(wide: str | None, narrow: str | None) -> bool:
    """True where every day of `narrow` lies in `wide`."""
    if not wide or not narrow:
        return False
    outer, inner = loose_window(wide), day_window(narrow)
    starts = outer[0] is None or (inner[0] is not None and outer[0] <= inner[0])
    ends = outer[1] is None or (inner[1] is not None and inner[1] <= outer[1])
    return starts and ends


def overlaps(one: str | None, other: str | None) -> bool:
    """True where the two dates share a day."""
    if not one or not other:
        return False
    a, b = day_window(one), day_window(other)
    return not ((a[1] and b[0] and a[1] < b[0]) or (b[1] and a[0] and b[1] < a[0]))
