"""Which day a calendar word means: weekdays, days of the month, weekends, seasons, holidays. Arithmetic only."""
from __future__ import annotations

import csv
import datetime as dt
import functools
import importlib.resources
import re
from dataclasses import dataclass

from dateutil.easter import easter
from dateutil.relativedelta import MO, relativedelta, weekday

from witnessmark.edtf_days import (
    AUTUMN,
    FIRST_MONTH,
    SOUTHERN_FIRST_MONTH,
    SPRING,
    SUMMER,
    WINTER,
    add_months,
    of_days,
    of_month,
)

WEEKDAYS = {name: number for number, name in enumerate(
    ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"])}
MONTHS = {name: number for number, name in enumerate(
    ["january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"], start=1)}
SHORT_MONTHS = {"jan": 1, "feb": 2, "apr": 4, "aug": 8, "sept": 9, "sep": 9, "oct": 10, "nov": 11, "dec": 12}
SEASONS = {"spring": SPRING, "summer": SUMMER, "autumn": AUTUMN, "fall": AUTUMN, "winter": WINTER}
ONE = dt.timedelta(days=1)
SATURDAY = 5


def weekday_before(day: dt.date, number: int, weeks: int = 0) -> dt.date:
    """The latest such weekday before a day (never the day itself), or that many weeks earlier."""
    return day - ONE * ((day.weekday() - number - 1) % 7 + 1 + 7 * weeks)


def weekday_after(day: dt.date, number: int) -> dt.date:
    """The next such weekday after a day, never the day itself."""
    return day + ONE * ((number - day.weekday() - 1) % 7 + 1)


def weekday_within(first: dt.date, last: dt.date, number: int) -> dt.date | None:
    """The first such weekday of a span of days, or None."""
    found = weekday_after(first - ONE, number)
    return found if found <= last else None


def week_of(day: dt.date, back: int = 0) -> tuple[dt.date, dt.date]:
    """Monday and Sunday of the week (ISO 8601: it starts on Monday) `back` weeks before the day's own."""
    monday = day + relativedelta(weekday=MO(-1)) - ONE * 7 * back
    return monday, monday + ONE * 6


def weekend_before(day: dt.date, back: int = 0) -> tuple[dt.date, dt.date]:
    """Saturday and Sunday of the latest weekend that was over before this day, or `back` weekends earlier."""
    sunday = weekday_before(day, 6) - ONE * 7 * back
    return sunday - ONE, sunday


def weekend_of(day: dt.date) -> tuple[dt.date, dt.date] | None:
    """Saturday and Sunday where the day is one of them."""
    return (day - ONE * (day.weekday() - SATURDAY), day + ONE * (6 - day.weekday())) if day.weekday() >= 5 else None


def day_of_month_before(day: dt.date, number: int) -> dt.date | None:
    """The latest day of that number up to and with this day: "the fourth"."""
    for back in range(12):
        year, month = add_months(day.year, day.month, -back)
        found = day_in(year, month, number)
        if found and found <= day:
            return found
    return None


def day_of_month_after(day: dt.date, number: int) -> dt.date | None:
    """The next day of that number after this day."""
    for ahead in range(12):
        year, month = add_months(day.year, day.month, ahead)
        found = day_in(year, month, number)
        if found and found > day:
            return found
    return None


def day_in(year: int, month: int, number: int) -> dt.date | None:
    """The day of a month, or None where that month has no such day."""
    try:
        return dt.date(year, month, number)
    except ValueError:
        return None


def month_day_before(day: dt.date, month: int, number: int) -> dt.date | None:
    """The latest such day of the year up to and with this day: "the twenty-fourth of March"."""
    for year in range(day.year, day.year - 9, -1):
        found = day_in(year, month, number)
        if found and found <= day:
            return found
    return None


def month_before(day: dt.date, month: int) -> str:
    """EDTF of the latest such month that has begun by this day."""
    return of_month(day.year if month <= day.month else day.year - 1, month)


def season_before(day: dt.date, season: int, southern: bool = False, over: bool = False) -> str:
    """EDTF of the latest such season that has begun by this day; with `over`, that has ended before it.

    A winter (or southern summer) that runs over New Year carries the year in which it began.
    """
    first = (SOUTHERN_FIRST_MONTH if southern else FIRST_MONTH)[season]
    year = day.year if dt.date(day.year, first, 1) <= day else day.year - 1
    end_year, end_month = add_months(year, first, 3)
    if over and dt.date(end_year, end_month, 1) > day:
        year -= 1
    return of_month(year, season)


@dataclass(frozen=True, slots=True)
class Holiday:
    """One named day of the year and the rule that gives it: the columns of data/holidays.csv."""

    names: tuple[str, ...]
    rule: str
    month: int
    a: int
    b: int

    def in_year(self, year: int) -> dt.date | None:
        """Its day in a year; None where that depends on the region."""
        if self.rule == "fixed":
            return dt.date(year, self.month, self.a)
        if self.rule == "easter":
            return easter(year) + ONE * self.a
        if self.rule.startswith("nth"):
            start = dt.date(year, self.month, 1) if self.b > 0 else dt.date(year, self.month, 28) + relativedelta(day=31)
            return start + relativedelta(weekday=weekday(self.a)(self.b)) + ONE * (self.rule == "nth+1")
        return None

    def before(self, day: dt.date) -> str:
        """EDTF of the latest one up to and with this day: a day, or the month where it depends on the region."""
        if self.rule == "rough":
            return month_before(day, self.month)
        return of_days(next(found for year in (day.year, day.year - 1, day.year - 2)
                            if (found := self.in_year(year)) and found <= day))

    def after(self, day: dt.date) -> str:
        """EDTF of the next one after this day."""
        if self.rule == "rough":
            return of_month(day.year if self.month > day.month else day.year + 1, self.month)
        return of_days(next(found for year in (day.year, day.year + 1, day.year + 2)
                            if (found := self.in_year(year)) and found > day))


@functools.cache
def holidays() -> dict[str, Holiday]:
    """Every name of a holiday, in lower case, with its rule."""
    text = importlib.resources.files("witnessmark").joinpath("reading/data/holidays.csv").read_text("utf-8")
    known: dict[str, Holiday] = {}
    for row in csv.DictReader(text.splitlines()):
        names = tuple(row["name"].split("|"))
        holiday = Holiday(names, row["rule"], int(row["month"] or 0), int(row["a"] or 0), int(row["b"] or 0))
        known |= dict.fromkeys(names, holiday)
    return known


def holiday_pattern() -> str:
    """A pattern of all holiday names, the longest first."""
    return "|".join(re.escape(name) for name in sorted(holidays(), key=len, reverse=True))
