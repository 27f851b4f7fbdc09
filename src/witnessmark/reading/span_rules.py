"""The named rules for spans, for days counted from another day, for holidays and for what is only known as past."""
from __future__ import annotations

import datetime as dt
import re

from witnessmark import edtf_days
from witnessmark.edtf_days import of_days
from witnessmark.reading import calendar_days as cal
from witnessmark.reading.calendar_days import ONE
from witnessmark.reading.date_rules import BACK, NUMBER, PART, WD, Context, Found, Kind, Rule, rule

UNIT = "(?:day|night|evening|morning|afternoon|weekend|week|fortnight|month|year)s?"
_SHORT = ("day", "night", "evening", "morning", "afternoon")


# ---- "three days ago", "a couple of weeks back" -----------------------------------------------

def _ago(match: re.Match[str], context: Context) -> Found | None:
    """Days are exact where a plain number of them was said; weeks, months and years are round figures."""
    unit = match["unit"].rstrip("s")
    number = context.folded.number(match["n"]) if match["n"] else None
    count = (number.low + number.high) / 2 if number else 1.0
    count += 0.5 if "and a half" in match[0] else 0
    if count > 200:
        return None
    rough = bool(number and (number.approx or number.low != number.high)) or bool(match["rough"]) or count % 1 != 0
    if unit in _SHORT:
        day = context.day - ONE * round(count)
        return Found(edtf_days.about(day) if rough else of_days(day))
    if unit == "weekend":
        return Found(of_days(*cal.weekend_before(context.day, round(count) - 1)))
    if unit in ("week", "fortnight"):
        days = round(count * (14 if unit == "fortnight" else 7))
        exact = match["today"] and not rough
        day = context.day - ONE * days
        return Found(of_days(day) if exact else edtf_days.about(day))
    if unit == "month":
        return Found(edtf_days.of_month(*edtf_days.add_months(context.day.year, context.day.month, -round(count))))
    return Found(str(context.day.year - round(count)))


def _other_day(_: re.Match[str], context: Context) -> Found:
    return Found(edtf_days.about(context.day - ONE * 3))


# ---- "over the past three evenings" -----------------------------------------------------------

def _past_span(match: re.Match[str], context: Context) -> Found | None:
    unit = match["unit"].rstrip("s")
    number = context.folded.number(match["n"]) if match["n"] else None
    count = round((number.low + number.high) / 2) if number else 1
    if not 1 <= count <= 60:
        return None
    if unit in _SHORT:
        return Found(of_days(context.day - ONE * count, context.day - ONE))
    if unit == "weekend":
        return Found(of_days(cal.weekend_before(context.day, count - 1)[0], cal.weekend_before(context.day)[1]))
    if unit in ("week", "fortnight"):
        days = count * (14 if unit == "fortnight" else 7)
        return Found(of_days(context.day - ONE * days, context.day))
    if unit == "month":
        first = edtf_days.of_month(*edtf_days.add_months(context.day.year, context.day.month, -count))
        return Found(f"{first}/{edtf_days.of_month(context.day.year, context.day.month)}")
    return Found(f"{context.day.year - count}/{context.day.year}")


def _evenings_this_week(match: re.Match[str], context: Context) -> Found:
    last_week = "last week" in match[0]
    monday, sunday = cal.week_of(context.day, 1 if last_week else 0)
    last = sunday if last_week else max(monday, context.day - ONE)
    return Found(of_days(monday, last))


def _same_span(match: re.Match[str], context: Context) -> Found | None:
    """ "Over the two nights", "those three days": the latest days spoken of that are as many."""
    sign = match["n"] or match["m"]
    count = round(context.folded.value(sign)) if sign else 2
    if not 2 <= count <= 31:
        return None
    windows = [edtf_days.day_window(found.edtf) for found in reversed(context.history)]
    nights = re.search("nights|evenings", match[0])
    for first, last in windows:
        weekend = first is not None and first.weekday() == cal.SATURDAY and count == 2
        if first and last and (last - first).days + 1 == count and not (nights and weekend):
            return Found(of_days(first, last), relative=True)
    days: list[dt.date] = []
    for first, last in windows:
        if first and first == last and first not in days:
            days.append(first)
        if len(days) == count:
            return Found(of_days(min(days), max(days)), relative=True)
    return None


# ---- days counted from the day last spoken of -------------------------------------------------

def _anchor_window(context: Context) -> tuple[dt.date, dt.date] | None:
    """The days last spoken of; the session before where only the recording's own day was."""
    if context.previous and context.anchor in (None, of_days(context.day)):
        return context.previous, context.previous
    first, last = edtf_days.day_window(context.anchor)
    return (first, last) if first and last else None


def _same_day(match: re.Match[str], context: Context) -> Found | None:
    if context.anchor is None:
        return Found(of_days(context.day), "present", relative=True) if "same" in match[0] else None
    if edtf_days.is_exact(context.anchor) or match["unit"] in ("time", "day"):
        return Found(context.anchor, relative=True)
    window = _anchor_window(context)
    return Found(context.anchor, relative=True) if window else None


def _shifted(match: re.Match[str], context: Context) -> Found | None:
    """ "The next morning", "the day before that", "two days later", "the week after": from the day spoken of."""
    window = _anchor_window(context)
    if not window:
        return None
    words = match[0]
    count = round(context.folded.value(match["n"])) if match["n"] else 1
    unit = (match["unit"] or match["units"]).rstrip("s")
    back = re.search(r"before|earlier|previous|prior|preceding", words)
    days = count * {"week": 7, "fortnight": 14}.get(unit, 1)
    day = window[0] - ONE * days if back else window[1] + ONE * days
    if unit in ("week", "fortnight") and re.search("next|following|after", words) and not match["n"]:
        return _whole_week(window, context)
    if day > context.day:
        return Found(of_days(day), "future", relative=True)
    if unit in ("week", "fortnight"):
        return Found(edtf_days.about(day), relative=True)
    return Found(of_days(day), "present" if day == context.day else "past", relative=True)


def _whole_week(window: tuple[dt.date, dt.date], context: Context) -> Found:
    monday, sunday = cal.week_of(window[1], -1)
    return Found(of_days(monday, min(sunday, context.day)) if monday <= context.day else of_days(monday, sunday),
                 "past" if monday <= context.day else "future", relative=True)


def _weekend_after(match: re.Match[str], context: Context) -> Found | None:
    window = _anchor_window(context)
    if not window:
        return None
    if re.search("before|previous", match[0]):
        return Found(of_days(*cal.weekend_before(window[0])), relative=True)
    saturday = cal.weekday_after(window[1], cal.SATURDAY)
    return Found(of_days(saturday, saturday + ONE), "past" if saturday <= context.day else "future", relative=True)


def _about_previous(match: re.Match[str], context: Context) -> Found | None:
    """ "The day after the last video", "the same evening as last time": counted from the session before."""
    if not context.previous:
        return None
    words = match[0]
    count = round(context.folded.value(match["n"])) if match["n"] else 1
    days = count * (7 if "week" in words.split(" after ")[0].split(" before ")[0] else 1)
    if "before" in words:
        days = -days
    elif "same" in words or words.startswith(("right after", "straight after", "just after")):
        days = 0
    day = context.previous + ONE * days
    return Found(of_days(day)) if day <= context.day else None


# ---- holidays ---------------------------------------------------------------------------------

def _holiday(match: re.Match[str], context: Context) -> Found | None:
    if match["name"] == "new year" and not match["lead"]:
        return None
    holiday = cal.holidays()[match["name"]]
    said = context.folded.said_at(match.start("name"))
    if match["name"] in ("may day", "cup day") and said.islower():
        return None
    year = match.groupdict().get("year")
    if year or "last year" in match[0]:
        number = int(context.folded.value(year)) if year else context.day.year - 1
        day = holiday.in_year(number) if 1950 <= number <= 2100 else None
        return Found(of_days(day)) if day else None
    ahead = context.ahead and "last" not in match[0]
    edtf = holiday.after(context.day) if ahead else holiday.before(context.day)
    if not edtf_days.is_exact(edtf):
        return Found(edtf, "future" if ahead else "past")
    return _about_holiday(match, context, dt.date.fromisoformat(edtf))


def _about_holiday(match: re.Match[str], context: Context, day: dt.date) -> Found | None:
    """The holiday, or "the day before", "the Sunday after", "the weekend of" it."""
    lead = match["lead"] or ""
    wd = re.search(WD, lead)
    if "weekend" in lead or match["weekend"]:
        return Found(of_days(*_holiday_weekend(day)), _kind(day, context))
    if wd and len(re.findall(WD, lead)) > 1:
        numbers = [cal.WEEKDAYS[name] for name in re.findall(WD, lead)]
        first = cal.weekday_before(day, numbers[0]) if "before" in lead else cal.weekday_after(day, numbers[0])
        return Found(of_days(first, first + ONE * ((numbers[-1] - numbers[0]) % 7)), _kind(first, context))
    if wd:
        number = cal.WEEKDAYS[wd[0]]
        found = cal.weekday_before(day, number) if "before" in lead else cal.weekday_after(day, number)
        return Found(of_days(found), _kind(found, context), number)
    if "week" in lead:
        start = day - ONE * 7 if "before" in lead else day + ONE * 7
        return Found(edtf_days.about(start), _kind(start, context))
    if "before" in lead or "after" in lead:
        count = round(context.folded.value(match["n"])) if match["n"] else 1
        day = day - ONE * count if "before" in lead else day + ONE * count
    return Found(of_days(day), _kind(day, context))


def _kind(day: dt.date, context: Context) -> Kind:
    return "future" if day > context.day else "present" if day == context.day else "past"


def _holiday_weekend(day: dt.date) -> tuple[dt.date, dt.date]:
    """The weekend with a Monday or Friday that is the holiday; else the Saturday and Sunday nearest to it."""
    if day.weekday() == 0:
        return day - ONE * 2, day
    if day.weekday() in (3, 4):
        return day, cal.weekday_after(day, 6)
    saturday = cal.weekday_after(day - ONE * 4, cal.SATURDAY)
    return saturday, saturday + ONE


# ---- only known to be past, or to come --------------------------------------------------------

def _long_ago(_: re.Match[str], context: Context) -> Found:
    return Found(edtf_days.before(context.day))


def _to_come(match: re.Match[str], context: Context) -> Found | None:
    """ "In two weeks", in a clause about the future; "glued it in one evening" is a length of time."""
    timed = match[0].startswith(("in ", "within ")) and not match[0].endswith("time")
    return None if timed and not context.ahead else Found(None, "future")


def _clock(_: re.Match[str], __: Context) -> Found:
    return Found(None, "clock")


ROUGH = r"(?P<rough>(?:about|around|maybe|roughly|almost|nearly|over|more than|less than|probably|like|say|some|it must be) )?"
VIDEO = r"(?:last|previous|other) (?:time|video|one|session|recording|entry|update|episode|clip|film|talk|post)"
TALKED = rf"(?:the |my |our |that )?(?:{VIDEO}|(?:we|i) (?:last )?(?:talked|spoke|filmed|recorded|met)(?: last)?)"

SPAN_RULES: tuple[Rule, ...] = (
    rule("counted back", rf"{ROUGH}(?:an?|(?P<n>{NUMBER}))(?: and a half)? (?:good |whole |solid |full )?(?P<unit>{UNIT})"
         rf"(?: and a half)?(?: or so)? {BACK}(?P<today> today| to the day)?", _ago),
    rule("the other day", rf"the other (?:day|{PART})", _other_day),
    rule("past span", rf"(?:(?:over|in|during|for|across|within|on) )*(?:the|these) (?:past|last)(?: (?P<n>{NUMBER}|few|several))?"
         .replace("|few|several", "") + rf" (?P<unit>{UNIT})", _past_span),
    rule("past span, few", rf"(?:(?:over|in|during|for|across) )*(?:the|these) (?:past|last) (?P<n>{NUMBER})"
         rf" (?P<unit>{UNIT})", _past_span),
    rule("evenings of a week", rf"(?:(?:most|all|every|each|{NUMBER}|of|in the) )*(?:{PART}|days?) (?:of )?(?:this|last) week",
         _evenings_this_week),
    rule("the days spoken of", rf"(?:(?:over|in|for|across) )?(?:the|those|these|them|all|both) (?P<n>{NUMBER})"
         r" (?:days|nights|evenings|mornings|afternoons)(?: together)?|(?:over |on |in )?both (?:days|nights|evenings|mornings|afternoons)"
         rf"|(?:over|across) (?P<m>{NUMBER}) (?:days|nights|evenings|mornings)",
         _same_span),
    rule("the same day", r"(?:on |at )?(?:that same|the very same|the same|that very|that)"
         r" (?P<unit>day|night|evening|morning|afternoon|arvo|lunchtime)", _same_day),
    rule("the day after", rf"(?:on |in )?(?:the )?(?:very )?(?:next|following) (?P<n>(?!))?(?P<unit>day|{PART})"
         rf"|(?:on |in )?the (?:very )?(?:next|following) (?P<units>week|fortnight)",
         _shifted),
    rule("counted from that day", rf"(?:(?:the |an? |(?P<n>{NUMBER}) )(?P<unit>{UNIT})|(?P<units>week|fortnight|day)) (?:after|before|later|earlier|prior|previous)"
         r"(?: (?:that|this|it|them|then))?(?! (?:the|my|our|we|i|he|she|they|you|christmas|easter|thanksgiving)\b)",
         _shifted),
    rule("the weekend after that", r"(?:on |over )?the (?:(?:following|next|previous) weekend|weekend (?:after|before)"
         r"(?: that)?)", _weekend_after),
    rule("counted from the last recording", rf"(?:the |an? |(?P<n>{NUMBER}) )(?:day|night|evening|morning|afternoon|week)s?"
         rf" (?:right |just )?(?:after|before) {TALKED}|(?:right|straight|just|soon) after {TALKED}"
         rf"|(?:the |that )(?:very )?same (?:day|night|evening|afternoon|morning) as {TALKED}", _about_previous),
    rule("holiday", rf"(?P<lead>(?:on |over |by )?(?:the |a |(?P<n>{NUMBER}) )?(?:{WD}(?:(?: and| ,| to)+ (?:the )?{WD})*|days?|night|morning|weekend|week|evening)"
         rf" (?:right |just )?(?:before|after|of|following) |(?:on |over |at |by |since |last |this |until |for )+)?(?:the )?"
         rf"(?P<name>{cal.holiday_pattern()})(?:'s)?(?P<weekend> weekend)?(?: {PART}(?!'))?(?:(?: ,)? (?P<year>{NUMBER})| last year)?",
         _holiday),
    rule("holiday weekend", r"(?P<lead>)(?P<n>)(?P<year>)(?:(?:over|on|at) )?(?:the )?(?P<name>memorial|labor|labour|easter)"
         r"(?P<weekend>(?: day)? weekend)",
         lambda m, c: _holiday_weekend_found(m, c)),
    rule("long ago", r"(?:(?:an?|quite an?|some|such an?) )?(?:(?:very |really |good |fair |long |little ) ?)*(?:time|while) (?:ago|back)"
         r"|(?:for )?(?:ages|years|yonks|donkey's years|weeks|months|forever)(?: and (?:ages|years))?(?: ago| back|(?= [,.]))"
         r"|long (?:ago|before|since)|way back (?:when|then)|(?:once upon a time|back in the day|eons ago|previously|in the past"
         r"|some time ago|at some point (?:back )?in the past|recently|for ages|for years)", _long_ago),
    rule("already", r"already|by now", _long_ago),
    rule("to come", rf"some ?day|one of these days|(?:in|within) (?:an?|{NUMBER}) (?:good )?(?:{UNIT})(?:' time|'s time)?(?! (?:ago|back)\b)"
         r"|later on|before long|any day now|soon", _to_come),
    rule("clock", rf"(?:at |by |around |about |till |until |from )?(?:{NUMBER}|\d+:\d\d|noon|midnight) ?(?:o'clock|am|pm)"
         rf"|\d+:\d\d|(?:half|quarter|{NUMBER}) (?:past|to|till|after) {NUMBER}(?: o'clock)?", _clock),
)


def _holiday_weekend_found(match: re.Match[str], context: Context) -> Found | None:
    name = {"memorial": "memorial day", "labor": "labor day", "labour": "labour day"}.get(match["name"], match["name"])
    holiday = cal.holidays()[name]
    edtf = holiday.after(context.day - ONE * 4) if context.day.weekday() >= 4 else holiday.before(context.day)
    day = dt.date.fromisoformat(edtf) if edtf_days.is_exact(edtf) else None
    if not day:
        return Found(edtf)
    weekend = _holiday_weekend(day)
    if weekend[0] > context.day:
        weekend = _holiday_weekend(dt.date.fromisoformat(holiday.before(context.day)))
    return Found(of_days(*weekend))
