"""The named rules for weekdays, weeks and weekends: "on Tuesday", "Friday last week", "the weekend just gone"."""
from __future__ import annotations

import datetime as dt
import re

from witnessmark import edtf_days
from witnessmark.edtf_days import of_days
from witnessmark.reading import calendar_days as cal
from witnessmark.reading.calendar_days import ONE, WEEKDAYS
from witnessmark.reading.date_rules import MONTH, NUMBER, PART, WD, Context, Found, Rule, rule

LEAD = r"(?P<lead>(?:on |of |by |since |until |till )?(?:this past|this coming|this last|last|next|this|that same" \
       r"|the same|that|the|on|it's|its|it is|today's|happy) )?"


def _weekday(match: re.Match[str], context: Context) -> Found | None:
    number = WEEKDAYS[match["wd"]]
    lead = (match["lead"] or "").strip()
    if lead.endswith("next") or lead == "this coming" or (context.ahead and not lead.endswith(("last", "past"))):
        return Found(of_days(cal.weekday_after(context.day, number)), "future", number)
    if lead in ("that", "that same", "the same", "the", "on the", "on that", "on that same", "on the same") and context.anchor:
        found = _near_anchor(number, context)
        if found:
            return Found(of_days(found), "past", number, relative=True)
    today = number == context.day.weekday()
    if today and (lead in ("it's", "its", "it is", "today's", "happy", "this") or (context.opening and not lead)):
        return Found(of_days(context.day), "present", number)
    if lead in ("it's", "it is", "today's"):
        return None
    return Found(of_days(cal.weekday_before(context.day, number)), "past", number)


def _weekday_and_number(match: re.Match[str], context: Context) -> Found | None:
    """ "Saturday the 19": the latest such day, a Saturday and a nineteenth, of the last year."""
    number, wd = round(context.folded.value(match["n"])), WEEKDAYS[match["wd"]]
    months = (edtf_days.add_months(context.day.year, context.day.month, -back) for back in range(12))
    days = (cal.day_in(year, month, number) for year, month in months)
    found = next((day for day in days if day and day <= context.day and day.weekday() == wd), None)
    return Found(of_days(found), "present" if found == context.day else "past", wd) if found and not context.ahead else None


def _near_anchor(number: int, context: Context) -> dt.date | None:
    """ "The Saturday" of the days spoken of; where they hold none, the next one after an old single day."""
    for found in reversed(context.history[-6:]):
        first, last = edtf_days.day_window(found.edtf)
        inside = cal.weekday_within(first, last, number) if first and last and (last - first).days < 14 else None
        if inside and found.kind == "past":
            return inside
    first, last = edtf_days.day_window(context.anchor)
    if first and first == last and (context.day - first).days > 7:
        return cal.weekday_after(first, number)
    return None


def _weekday_of_week(match: re.Match[str], context: Context) -> Found:
    """ "Friday last week", "Tuesday and Wednesday of last week", "last week Thursday"."""
    back = 2 if "before last" in match[0] else 0 if "this week" in match[0] else 1
    monday, _ = cal.week_of(context.day, back)
    numbers = [WEEKDAYS[wd] for wd in re.findall(WD, match[0])]
    return Found(of_days(monday + ONE * min(numbers), monday + ONE * max(numbers)), "past", _single(numbers))


def _single(numbers: list[int]) -> int | None:
    return numbers[0] if len(numbers) == 1 else None


def _weekdays(match: re.Match[str], context: Context) -> Found | None:
    """ "Saturday and Sunday", "Monday through Thursday": the latest such run of days; "Thursday, Friday" are two."""
    ones = [context.folded.value(sign) for sign in re.findall(NUMBER, match[0])]
    if (not re.search(r" (?:and|through|to|till|until) ", match[0]) and ones != [1.0]) or any(one != 1 for one in ones):
        return None
    numbers = [WEEKDAYS[wd] for wd in re.findall(WD, match[0])]
    if context.ahead:
        first = cal.weekday_after(context.day, numbers[0])
        return Found(of_days(first, cal.weekday_after(first, numbers[-1])), "future")
    near = _near_anchor(numbers[0], context) if re.match("(?:on )?the ", match[0]) else None
    last = near + ONE * ((numbers[-1] - numbers[0]) % 7) if near else None
    last = last or cal.weekday_before(context.day + ONE * (numbers[-1] == context.day.weekday() and context.opening),
                                      numbers[-1])
    first = last - ONE * ((numbers[-1] - numbers[0]) % 7)
    in_a_row = (numbers[-1] - numbers[0]) % 7 <= len(numbers) - 1 or re.search("through|to|till|until", match[0])
    return Found(of_days(first, last)) if in_a_row else None


def _weekday_weeks_ago(match: re.Match[str], context: Context) -> Found:
    weeks = int(context.folded.value(match["n"])) if match["n"] else 2 if "fortnight" in match[0] else 1
    day = cal.weekday_before(context.day, WEEKDAYS[match["wd"]], weeks)
    return Found(of_days(day), "past", WEEKDAYS[match["wd"]])


def _weekdays_ago(match: re.Match[str], context: Context) -> Found | None:
    """ "Two Sundays ago"."""
    number = context.folded.number(match["n"])
    back = round((number.low + number.high) / 2)
    if not 1 <= back <= 60:
        return None
    day = cal.weekday_before(context.day, WEEKDAYS[match["wd"]], back - 1)
    return Found(edtf_days.about(day) if number.approx else of_days(day), "past", WEEKDAYS[match["wd"]])


def _weekday_week(match: re.Match[str], context: Context) -> Found:
    """ "Monday week" (British): a week after the coming Monday."""
    number = WEEKDAYS[match["wd"]]
    return Found(of_days(cal.weekday_after(context.day, number) + ONE * 7), "future", number)


def _last_weekdays(match: re.Match[str], context: Context) -> Found | None:
    """ "The last three Saturdays": from the first of them to the last."""
    count = round(context.folded.value(match["n"]))
    last = cal.weekday_before(context.day, WEEKDAYS[match["wd"]])
    return Found(of_days(last - ONE * 7 * (count - 1), last)) if 1 <= count <= 60 else None


def _weekday_before_last(match: re.Match[str], context: Context) -> Found:
    number = WEEKDAYS[match["wd"]]
    return Found(of_days(cal.weekday_before(context.day, number, 1)), "past", number)


def _weekday_about_anchor(match: re.Match[str], context: Context) -> Found | None:
    """ "The following Saturday", "the Saturday after that", "the Sunday before"."""
    first, last = edtf_days.day_window(context.anchor or (of_days(context.previous) if context.previous else None))
    number = WEEKDAYS[match["wd"]]
    if not first or not last:
        return None
    back = re.search("before|previous|prior|preceding", match[0])
    found = cal.weekday_before(first, number) if back else cal.weekday_after(last, number)
    return Found(of_days(found), "past" if found <= context.day else "future", number, relative=True)


# ---- weeks and weekends -----------------------------------------------------------------------

def _weekend(match: re.Match[str], context: Context) -> Found | None:
    words = match[0]
    now = cal.weekend_of(context.day)
    if "next" in words or "coming" in words:
        return Found(of_days(*_coming_weekend(context.day + ONE * 2 if now else context.day)), "future")
    if re.search("that|same", words) and "last" not in words:
        return _anchor_weekend(context)
    if re.search("before last", words):
        return Found(of_days(*cal.weekend_before(context.day, 1)))
    if re.search("last|past|gone|previous", words):
        return Found(of_days(*cal.weekend_before(context.day)))
    if now and (re.search("this|for", words) or (context.day.weekday() == 6 and not context.ahead)):
        return Found(of_days(*now), "present")
    if context.ahead:
        return Found(of_days(*_coming_weekend(context.day)), "future")
    return Found(of_days(*cal.weekend_before(context.day)))


def _coming_weekend(day: dt.date) -> tuple[dt.date, dt.date]:
    saturday = cal.weekday_after(day, cal.SATURDAY)
    return saturday, saturday + ONE


def _anchor_weekend(context: Context) -> Found | None:
    first, _ = edtf_days.day_window(context.anchor)
    if not first:
        return Found(of_days(*cal.weekend_before(context.day)))
    weekend = cal.weekend_of(first) or _coming_weekend(first)
    return Found(of_days(*weekend), relative=True)


def _week(match: re.Match[str], context: Context) -> Found | None:
    words = match[0]
    if "next" in words or "coming" in words:
        return Found(of_days(*cal.week_of(context.day, -1)), "future")
    if "that" in words or "same" in words:
        first, _ = edtf_days.day_window(context.anchor)
        return Found(of_days(*cal.week_of(first)), relative=True) if first else None
    if "this" in words or "all week" in words or words.endswith(" the week"):
        monday, _ = cal.week_of(context.day)
        end = context.day - ONE if "earlier" in words and monday < context.day else context.day
        return Found(of_days(monday, end), "future" if context.ahead else "past")
    return Found(of_days(*cal.week_of(context.day, 2 if "before last" in words else 1)))


WEEKDAY_RULES: tuple[Rule, ...] = (
    rule("weekday of a week", rf"(?:on |the )*{WD}(?: {PART})?(?:(?: ,| and| or| through| to)+ {WD})*(?: {PART})?"
         rf"(?: ,)? (?:of )?(?:last week|the week before last|this week|the previous week)"
         rf"|last week(?: ,)? (?:on )?{WD}(?: {PART})?", _weekday_of_week),
    rule("weekday weeks ago", rf"(?:(?P<n>{NUMBER}) weeks?|a week|a fortnight) (?:ago|back) (?:on |last )?(?P<wd>{WD})"
         rf"(?: {PART})?", _weekday_weeks_ago),
    rule("weekday a week ago", rf"(?:on )?(?P<wd>{WD})(?: {PART})?(?: ,)? (?:(?P<n>{NUMBER}) weeks?|a week|a fortnight|week)"
         rf" (?:ago|back)", _weekday_weeks_ago),
    rule("weekdays ago", rf"(?P<n>{NUMBER}) (?P<wd>{WD})s?(?: {PART})? (?:ago|back)", _weekdays_ago),
    rule("weekday week", rf"(?:on )?(?P<wd>{WD}) week", _weekday_week),
    rule("the last weekdays", rf"(?:(?:on|over|for) )?(?:the|these) (?:last|past) (?P<n>{NUMBER}) (?P<wd>{WD})s(?: {PART})?",
         _last_weekdays),
    rule("weekday before last", rf"(?:on )?(?:the )?(?P<wd>{WD})(?: {PART})? before last", _weekday_before_last),
    rule("weekday after or before that",
         rf"(?:on )?the (?:following|next|very next|previous|preceding) (?P<wd>{WD})(?: {PART})?",
         _weekday_about_anchor),
    rule("weekday after or before that (2)",
         rf"(?:on )?the (?P<wd>{WD})(?: {PART})? (?:after|before|following)(?: (?:that|it|them|this))?"
         rf"(?! (?:the|we|i|he|she|they|you|{WD}|\w+day|{MONTH})\b)", _weekday_about_anchor),
    rule("weekdays in a row", rf"(?:on |the )*{WD}(?: {PART})?(?:(?: ,| and| through| to| till| until| or)+ (?:the |{NUMBER} )?{WD})+"
         rf"(?: {PART})?", _weekdays),
    rule("weekday and number", rf"(?:on |since )?(?:the )?(?P<wd>{WD}) the (?P<n>{NUMBER})"
         r"(?= ?(?:[.,;]|$|(?:with|and|in|at|before|after|for|by|on|when|because|i|he|she|we|me|but|so)\b))",
         _weekday_and_number),
    rule("weekday", rf"{LEAD}(?P<wd>{WD})(?: (?P<part>{PART}))?(?: just gone| gone| past| last)?(?:'s)?", _weekday),
    rule("weekend", r"(?:(?:over|on|at|for|in|during|this|last|past|next|coming|the|that|same|whole|all|previous) )*"
         r"weekend(?: just gone| gone| past| before last|'s)?", _weekend),
    rule("week", r"(?:earlier |later |back )?(?:this past|this coming|this|last|next|that same|that|the same)"
         r" week(?: just gone| gone|'s)?|the week before last|all week(?: long)?|the past week|(?:for|over|in) the week(?! (?:of|after|before|that))", _week),
)
