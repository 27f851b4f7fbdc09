"""The named rules that read one expression of time: a pattern over the folded text and the days that it means.

Each rule stands alone: it knows the recording's day, the last day spoken of (`anchor`) and whether the clause
looks ahead. What several expressions mean together (apposition, self-correction) is `dates`' business.
"""
from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from witnessmark import edtf_days
from witnessmark.edtf_days import of_days
from witnessmark.reading import calendar_days as cal
from witnessmark.reading.calendar_days import MONTHS, ONE, SEASONS, SHORT_MONTHS, WEEKDAYS
from witnessmark.reading.numbers import Folded

Kind = Literal["past", "present", "future", "recurring", "clock"]

WD = "(?:" + "|".join(WEEKDAYS) + ")"
PART = "(?:mornings?|mornin|afternoons?|arvos?|evenings?|evenin|nights?|lunch ?times?|dinner ?times?|tea ?times?)"
MONTH = "(?:" + "|".join([*MONTHS, *SHORT_MONTHS]) + ")"
SEASON = "(?:" + "|".join(SEASONS) + ")"
NUMBER = r"#\d+"
ORDINAL = r"@\d+"
BACK = "(?:ago|back)"
LATE = "(?:early|late|mid|middle of|beginning of|start of|end of|first half of|second half of)"


@dataclass(frozen=True, slots=True)
class Found:
    """What an expression means: EDTF (None where it names no day) and its kind.

    `weekday`, `number` (day of the month) and `relative` (counted from the day last spoken of) let two
    expressions for one day be read together.
    """

    edtf: str | None
    kind: Kind = "past"
    weekday: int | None = None
    number: int | None = None
    relative: bool = False
    month_said: bool = False


@dataclass(frozen=True, slots=True)
class Context:
    """What a rule may know. `history` holds the past days spoken of, `ahead` is True in a clause about the future.

    `opening` is True in the first words of a recording, where a weekday names the day itself.
    """

    folded: Folded
    day: dt.date
    now: dt.datetime
    history: tuple[Found, ...] = ()
    previous: dt.date | None = None
    ahead: bool = False
    opening: bool = False
    southern: bool = False

    @property
    def anchor(self) -> str | None:
        """The day last spoken of."""
        return self.history[-1].edtf if self.history else None


Resolver = Callable[[re.Match[str], Context], Found | None]


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: its name, the pattern over the folded text, and what the match means (None: nothing after all)."""

    name: str
    pattern: re.Pattern[str]
    resolve: Resolver


def rule(name: str, pattern: str, resolve: Resolver) -> Rule:
    return Rule(name, re.compile(rf"(?<![\w'#@-])(?:{pattern})(?![\w'-])"), resolve)


def past(days: str | None) -> Found | None:
    return Found(days) if days else None


# ---- the recording's own day and the days next to it ------------------------------------------

def _today(_: re.Match[str], context: Context) -> Found:
    return Found(of_days(context.day), "present")


def _days_back(count: int) -> Resolver:
    return lambda _, context: Found(of_days(context.day - ONE * count))


def _minutes_ago(match: re.Match[str], context: Context) -> Found | None:
    amount = context.folded.number(match["n"]).high if match["n"] else 1.0
    hours = amount / 60 if match["unit"].startswith(("min", "sec", "mom")) else amount
    then = context.now - dt.timedelta(hours=min(hours, 240))
    return Found(of_days(then.date()), "present" if then.date() == context.day else "past")


def _tomorrow(count: int) -> Resolver:
    return lambda _, context: Found(of_days(context.day + ONE * count), "future")


def _recurring(_: re.Match[str], __: Context) -> Found:
    return Found(None, "recurring")


# ---- days of the month, months, seasons, years ------------------------------------------------

def month_number(name: str) -> int:
    return MONTHS.get(name) or SHORT_MONTHS[name]


def _month_days(match: re.Match[str], context: Context) -> Found | None:
    """ "The twenty-fourth of March", "March 24", "the sixth and seventh of August", with or without a year."""
    month = month_number(match["month"])
    named = match.groupdict().get("year")
    said = context.folded.value(named) if named else 0
    year = int(said) if 1990 <= said <= 2100 else None
    numbers = [context.folded.value(sign) for sign in re.findall(r"[#@]\d+", match[0]) if sign != named]
    days = [int(n) for n in numbers if 1 <= n <= 31 and n == int(n)]
    if not days:
        return None
    found = [_month_day(context, month, number, year) for number in (days[0], days[-1])]
    if not found[0] or not found[1] or found[0] > found[1]:
        return None
    kind: Kind = "future" if found[0] > context.day else "present" if found[0] == context.day else "past"
    return Found(of_days(found[0], found[1]), kind, number=days[0] if len(days) == 1 else None, month_said=True)


def _month_day(context: Context, month: int, number: int, year: int | None) -> dt.date | None:
    if year:
        return cal.day_in(year, month, number)
    before = cal.month_day_before(context.day, month, number)
    if context.ahead and before and before < context.day:
        return cal.day_in(before.year + 1, month, number)
    return before


_WEEKDAY_NEXT = re.compile(f" , (?:the |a )?{WD}")
_NOT_BEFORE_DATE = re.compile(
    r"(?:^|[,.;:(—-]|\b(?:on|by|from|since|until|till|to|of|for|was|is|be|were|so|or|and|no|it's|that's|start|about"
    r"|around|before|after|through|say|between|think|called|also|both|as))$")


def _day_of_month(match: re.Match[str], context: Context) -> Found | None:
    """ "On the ninth", "the fourteenth and fifteenth": the latest; a number that counts things is no date."""
    before = context.folded.text[:match.start()].rstrip()
    lead = match["lead"] or ""
    numbers = [int(context.folded.value(sign)) for sign in re.findall(ORDINAL, match[0])]
    small = numbers[0] < 4 and len(numbers) == 1
    after_weekday = bool(re.search(f"{WD}(?: {PART})?(?: ,)?$", before))
    apposed = before.endswith(",") or after_weekday
    if not match["the"] and not (after_weekday or lead.strip() in ("on", "since", "that's", "it's") or _WEEKDAY_NEXT.match(
            context.folded.text[match.end():]) or re.search(r"month ,$", before)):
        return None
    if not lead and not apposed and (small or not _NOT_BEFORE_DATE.search(before)):
        return None
    if any(not 1 <= number <= 31 for number in numbers):
        return None
    if context.ahead:
        day = cal.day_of_month_after(context.day, numbers[0])
        return Found(of_days(day), "future", number=numbers[0]) if day else None
    last = _same_month(context, numbers[-1]) or cal.day_of_month_before(context.day, numbers[-1])
    first = cal.day_of_month_before(last, numbers[0]) if last else None
    if not first or not last:
        return None
    kind: Kind = "present" if first == context.day else "past"
    return Found(of_days(first, last), kind, number=numbers[0] if len(numbers) == 1 else None)


def _same_month(context: Context, number: int) -> dt.date | None:
    """A later day of the month that was named with the day last spoken of: "the eleventh of May ... the thirteenth"."""
    if not context.history or not context.history[-1].month_said or not edtf_days.is_exact(context.anchor):
        return None
    anchor = dt.date.fromisoformat(context.anchor or "")
    found = cal.day_in(anchor.year, anchor.month, number)
    return found if found and anchor < found <= context.day else None


def _corrected_days(match: re.Match[str], context: Context) -> Found | None:
    """ "Fifth and sixth, sorry": the days of the month just named."""
    first, _ = edtf_days.day_window(context.anchor)
    numbers = [int(context.folded.value(sign)) for sign in re.findall(ORDINAL, match[0])]
    days = [cal.day_in(first.year, first.month, number) for number in numbers] if first else []
    if not days or not days[0] or not days[-1] or days[0] > days[-1]:
        return None
    return Found(of_days(days[0], days[-1]), number=numbers[0] if len(numbers) == 1 else None, month_said=True)


def _edge_of_month(match: re.Match[str], context: Context) -> Found:
    """ "The last day of January"."""
    year, month = (int(part) for part in cal.month_before(context.day, month_number(match["month"])).split("-"))
    day = dt.date(year, month, 1) if match["which"] == "first" else edtf_days.month_end(year, month)
    if day > context.day:
        day = cal.month_day_before(context.day, month, 1 if match["which"] == "first" else 28) or day
        day = day if match["which"] == "first" else edtf_days.month_end(day.year, month)
    return Found(of_days(day), number=day.day, month_said=True)


def _day_of_last_month(match: re.Match[str], context: Context) -> Found | None:
    year, month = edtf_days.add_months(context.day.year, context.day.month, -1 if "last" in match[0] else 0)
    day = cal.day_in(year, month, int(context.folded.value(match["n"])))
    return Found(of_days(day), number=day.day) if day else None


def _month(match: re.Match[str], context: Context) -> Found | None:
    month = month_number(match["month"])
    if "next" in match[0] or (context.ahead and not re.search("last|back|since", match[0])):
        year = context.day.year + (month <= context.day.month)
        return Found(edtf_days.of_month(year, month), "future")
    year_sign = match.groupdict().get("year")
    if year_sign and 1990 <= context.folded.value(year_sign) <= 2100:
        return Found(edtf_days.of_month(int(context.folded.value(year_sign)), month))
    found = cal.month_before(context.day, month)
    if "last year" in match[0] and found.startswith(str(context.day.year)):
        found = edtf_days.of_month(context.day.year - 1, month)
    return Found(found)


def _this_or_last_month(match: re.Match[str], context: Context) -> Found:
    if "next" in match[0]:
        return Found(edtf_days.of_month(*edtf_days.add_months(context.day.year, context.day.month, 1)), "future")
    back = 2 if "before last" in match[0] else 0 if "this" in match[0] else 1
    kind: Kind = "future" if context.ahead and back == 0 else "past"
    return Found(edtf_days.of_month(*edtf_days.add_months(context.day.year, context.day.month, -back)), kind)


def _season(match: re.Match[str], context: Context) -> Found | None:
    season = SEASONS[match["season"]]
    words = match[0]
    running = cal.season_before(context.day, season, context.southern)
    first, last = edtf_days.day_window(running, context.southern)
    now = bool(first and last and first <= context.day <= last)
    if "next" in words or (context.ahead and not re.search("last|back|past", words) and not now):
        return Found(edtf_days.of_month(int(running[:4]) + 1, season), "future")
    over = bool(re.search("last|past|back", words)) and now
    return Found(cal.season_before(context.day, season, context.southern, over), "present" if now and not over else "past")


def _last_year(match: re.Match[str], context: Context) -> Found:
    if "next" in match[0]:
        return Found(str(context.day.year + 1), "future")
    if "this" in match[0]:
        return Found(str(context.day.year), "future" if context.ahead else "past")
    return Found(str(context.day.year - (2 if "before last" in match[0] else 1)))


def _in_year(match: re.Match[str], context: Context) -> Found | None:
    year = int(context.folded.value(match["year"]))
    return Found(str(year)) if 1950 <= year <= context.day.year else None


def _written_date(match: re.Match[str], context: Context) -> Found | None:
    try:
        day = dt.date.fromisoformat(match[0].strip())
    except ValueError:
        return None
    return Found(of_days(day), "past" if day < context.day else "present" if day == context.day else "future")


THE_DAYS = rf"(?:the )?(?P<n>{ORDINAL})(?:(?: and| to| through| or| ,)+ (?:the )?{ORDINAL})*"
DAY_RULES: tuple[Rule, ...] = (
    rule("today", rf"(?:earlier |later |as of |here )?today(?:'s)?|this (?:very |same )?{PART}(?:'s)?|(?:as of |earlier )?tonight(?:'s)?"
         r"|just now|this minute|a (?:minute|moment|second) ago", _today),
    rule("minutes or hours ago",
         rf"(?:(?:about|around|maybe|roughly|like|just|half) )*(?:an?|(?P<n>{NUMBER})(?: or {NUMBER})?)"
         rf" (?P<unit>minute|hour|min)s?(?: or (?:so|two))? (?:ago|back)", _minutes_ago),
    rule("the day before yesterday", "(?:the )?(?:day|night|evening) before (?:yesterday|last)", _days_back(2)),
    rule("yesterday", rf"yesterday(?: {PART}|'s)?|last (?:night|evening)(?:'s)?", _days_back(1)),
    rule("tomorrow", rf"tomorrow(?: {PART}|'s)?", _tomorrow(1)),
    rule("the day after tomorrow", "(?:the )?day after tomorrow", _tomorrow(2)),
    rule("recurring", rf"(?:every|each|most) (?:single |other )?(?:day|{PART}|weekend|week|{WD})s?(?: {PART})?"
         rf"|(?:on )?(?:weekends|weeknights|weekdays)|(?:on )?(?:{WD})s(?: {PART})?", _recurring),
    rule("month and days", rf"(?:on )?{THE_DAYS} (?:day )?(?:of )?(?P<month>{MONTH})"
         rf"(?:(?: ,)? (?:of )?(?P<year>{NUMBER}))?", _month_days),
    rule("month and days (2)", rf"(?:on )?(?P<month>{MONTH}) (?:the )?(?P<n>{ORDINAL})"
         rf"(?:(?: and| to| through| or| ,)+ (?:the )?{ORDINAL}(?! (?:and|to|of)))*(?:(?: ,)? (?P<year>{NUMBER}))?", _month_days),
    rule("month and number", rf"(?:on )?(?P<month>{MONTH.replace('|may', '').replace('|march', '')}) (?P<n>{NUMBER})"
         rf"(?:(?: ,)? (?P<year>{NUMBER}))?(?! (?:times|hours|minutes|of|percent|inch|inches|thou|dollars|bucks))", _month_days),
    rule("month and number (2)", rf"(?:on|by|since|until|till) (?P<month>may|march) (?P<n>{NUMBER})", _month_days),
    rule("the number of a month", rf"(?:on |since |until |till |from )?the (?P<n>{NUMBER})(?:(?: and| to| or| ,)+ (?:the )?{NUMBER})*"
         rf"(?: of)? (?P<month>{MONTH})(?:(?: ,)? (?P<year>{NUMBER}))?", _month_days),
    rule("number and month", rf"(?:on )?(?P<n>{NUMBER}) (?P<month>{MONTH})(?: (?P<year>{NUMBER}))?", _month_days),
    rule("day of last month", rf"(?:on )?(?:the )?(?P<n>{ORDINAL}) of (?:last|this|the) month", _day_of_last_month),
    rule("last day of a month", rf"(?:on )?(?:the )?(?P<which>last|first|very last) day of (?P<month>{MONTH})", _edge_of_month),
    rule("day of the month", rf"(?P<lead>(?:on|since|until|till|that's|it's) )?(?P<the>the )?(?P<n>{ORDINAL})"
         rf"(?:(?: and| to| through| ,)+ (?:the )?{ORDINAL})*", _day_of_month),
    rule("corrected days", rf"(?<=[.,] )(?:the )?{ORDINAL}(?:(?: ,)? and (?:the )?{ORDINAL})?(?= ,? ?(?:sorry|rather|i mean)\b)",
         _corrected_days),
    rule("month", rf"(?:back |sometime |some time |again |all )*(?:in|since|during|last|this|next|from|until|till|by|through"
         rf"|throughout|of)(?: {LATE})* (?P<month>{MONTH})(?:(?: ,)? (?:of )?(?P<year>{NUMBER})| (?:of )?last year)?", _month),
    rule("part of a month", rf"(?:back )?(?:in )?(?:the )?{LATE} (?P<month>{MONTH})(?:(?: ,)? (?P<year>{NUMBER}))?", _month),
    rule("this or last month", rf"(?:in |over |during |earlier |sometime |back |the |{LATE} |of )*(?:this|last|next|this past)"
         r" month|the month before last", _this_or_last_month),
    rule("season", rf"(?:(?:back|in|over|since|during|sometime|all|through|until) )*(?:{LATE} |the |last |this |next |past"
         rf"|this past |this last )*(?P<season>{SEASON})(?: just gone| gone)?", _season),
    rule("year", r"(?:back |in |sometime |earlier |this time )*(?:last|this|next) year|the year before last", _last_year),
    rule("year in figures", rf"(?:back )?in (?P<year>{NUMBER})", _in_year),
    rule("written date", r"\d{4}-\d{2}-\d{2}", _written_date),
)
