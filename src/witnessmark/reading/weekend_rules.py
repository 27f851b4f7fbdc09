"""The named rules for weekends and weeks told by a day in them, for holidays as spans, and for "before Christmas"."""
from __future__ import annotations

import datetime as dt
import re

from witnessmark import edtf_days
from witnessmark.edtf_days import of_days
from witnessmark.reading import calendar_days as cal
from witnessmark.reading.calendar_days import ONE
from witnessmark.reading.date_rules import MONTH, ORDINAL, WD, Context, Found, Rule, month_number, rule
from witnessmark.reading.span_rules import TALKED

RANK = rf"(?:last|{ORDINAL})"


def _weekend_with(match: re.Match[str], context: Context) -> Found | None:
    """ "The weekend of the fourteenth", "of the eighth and ninth of June": Saturday and Sunday about that day."""
    number = int(context.folded.value(match["n"]))
    if not 1 <= number <= 31:
        return None
    if match["month"] or match["month2"]:
        day = cal.month_day_before(context.day, month_number(match["month"] or match["month2"]), number)
    else:
        day = cal.day_of_month_before(context.day, number)
    if day is None:
        return None
    saturday, sunday = cal.weekend_of(day) or _nearest_weekend(day)
    return Found(of_days(saturday, sunday))


def _nearest_weekend(day: dt.date) -> tuple[dt.date, dt.date]:
    saturday = cal.weekday_after(day - ONE * 4, cal.SATURDAY)
    return saturday, saturday + ONE


def _rank(said: str, context: Context) -> int:
    return -1 if said == "last" else int(context.folded.value(said)) - 1


def _month_of(match: re.Match[str], context: Context) -> tuple[int, int]:
    year, month = (int(part) for part in cal.month_before(context.day, month_number(match["month"])).split("-"))
    return year, month


def _ranked_weekend(match: re.Match[str], context: Context) -> Found | None:
    """ "The first weekend in May", "the last weekend of June"."""
    year, month = _month_of(match, context)
    last_day = edtf_days.month_end(year, month)
    saturdays = [day for n in range(last_day.day) if (day := dt.date(year, month, n + 1)).weekday() == cal.SATURDAY]
    rank = _rank(match["rank"], context)
    if not -1 <= rank < len(saturdays):
        return None
    return Found(of_days(saturdays[rank], saturdays[rank] + ONE))


def _ranked_week(match: re.Match[str], context: Context) -> Found | None:
    """ "The first week of July": its first seven days; "the last week of November": its last seven."""
    year, month = _month_of(match, context)
    last_day = edtf_days.month_end(year, month)
    rank = _rank(match["rank"], context)
    if rank > 3:
        return None
    first = last_day - ONE * 6 if rank < 0 else dt.date(year, month, 1 + 7 * rank)
    return Found(of_days(first, min(first + ONE * 6, last_day, context.day))) if first <= context.day else None


def _ranked_weekday(match: re.Match[str], context: Context) -> Found | None:
    """ "The second Tuesday of March"."""
    year, month = _month_of(match, context)
    number = cal.WEEKDAYS[match["wd"]]
    days = [day for n in range(edtf_days.month_end(year, month).day)
            if (day := dt.date(year, month, n + 1)).weekday() == number]
    rank = _rank(match["rank"], context)
    return Found(of_days(days[rank]), "past", number) if -1 <= rank < len(days) and days[rank] <= context.day else None


def _long_weekend(match: re.Match[str], context: Context) -> Found | None:
    """ "The Australia Day long weekend": from the Saturday (or the holiday) to the holiday kept on a weekday."""
    day = _latest(match["name"], context)
    if day is None:
        return None
    if day.weekday() in (5, 6):  # kept on the Monday after
        saturday = day - ONE * (day.weekday() - 5)
        return Found(of_days(saturday, saturday + ONE * 2))
    saturday, sunday = _nearest_weekend(day)
    return Found(of_days(min(day, saturday), max(day, sunday)))


def _over_holiday(match: re.Match[str], context: Context) -> Found | None:
    """ "Over Easter": Good Friday to Easter Monday; "over Christmas": the eve to Boxing Day."""
    day = _latest(match["name"].replace("xmas", "christmas"), context)
    if day is None:
        return None
    before, after = (2, 1) if match["name"] == "easter" else (1, 1)
    return Found(of_days(day - ONE * before, min(day + ONE * after, context.day)))


def _latest(name: str, context: Context) -> dt.date | None:
    edtf = cal.holidays()[name].before(context.day)
    return dt.date.fromisoformat(edtf) if edtf_days.is_exact(edtf) else None


def _between_holidays(_: re.Match[str], context: Context) -> Found | None:
    """ "Between Christmas and New Year": the days after Boxing Day to New Year's Eve."""
    christmas = _latest("christmas", context)
    if christmas is None or christmas == context.day:
        return None
    return Found(of_days(christmas + ONE, min(dt.date(christmas.year, 12, 31), context.day)))


def _before_holiday(match: re.Match[str], context: Context) -> Found | None:
    """ "Before Christmas": known only to be earlier than that."""
    day = _latest(match["name"], context)
    return Found(edtf_days.before(day)) if day and not context.ahead else None


def _weekday_after_talk(match: re.Match[str], context: Context) -> Found | None:
    """ "The Tuesday after I saw you": counted from the session before."""
    if context.previous is None:
        return None
    number = cal.WEEKDAYS[match["wd"]]
    before = match["how"] == "before"
    day = cal.weekday_before(context.previous, number) if before else cal.weekday_after(context.previous, number)
    return Found(of_days(day), "past", number, relative=True) if day <= context.day else None


OF_MONTH = rf"(?: (?:of|in) (?P<month>{MONTH}))"
WEEKEND_RULES: tuple[Rule, ...] = (
    rule("weekend of a day", rf"(?:(?:over|on|at|for) )?(?:the )?weekend (?:of|starting|beginning)(?: (?P<month2>{MONTH}))?"
         rf" (?:the )?(?P<n>{ORDINAL})(?:(?: and| to| through| ,)+ (?:the )?{ORDINAL})*{OF_MONTH}?", _weekend_with),
    rule("weekend of a month", rf"(?:(?:over|on|at|for) )?(?:the )?(?:very )?(?P<rank>{RANK}) weekend{OF_MONTH}", _ranked_weekend),
    rule("week of a month", rf"(?:(?:over|in|during) )?(?:the )?(?:very )?(?P<rank>{RANK}) week{OF_MONTH}", _ranked_week),
    rule("weekday of a month", rf"(?:on )?(?:the )?(?P<rank>{RANK}) (?P<wd>{WD}){OF_MONTH}", _ranked_weekday),
    rule("long weekend", rf"(?:(?:over|on|at|for) )?(?:the )?(?P<name>{cal.holiday_pattern()})(?:'s)? long weekend", _long_weekend),
    rule("over a holiday", r"(?:over|across|throughout) (?:the )?(?P<name>easter|christmas|xmas)(?: (?:break|holidays?|weekend|period))?"
         r"(?! day\b| eve\b| monday\b| sunday\b)", _over_holiday),
    rule("between holidays", r"(?:in )?between christmas and (?:the )?new year(?:'?s)?(?: eve)?|(?:in )?twixmas", _between_holidays),
    rule("before a holiday", rf"(?:just |right |well |long )?before (?:the )?(?P<name>{cal.holiday_pattern()})", _before_holiday),
    rule("weekday after talking", rf"(?:on )?the (?P<wd>{WD}) (?P<how>after|before) (?:{TALKED}|(?:we|i) (?:last )?(?:saw|showed|told|left)"
         r" (?:you|y'all|you all|it|you guys|you lot)(?: all| last)?)", _weekday_after_talk),
)
