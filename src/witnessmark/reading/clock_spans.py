"""Clock times and the stretches between two of them: "nine to half past one" is four and a half hours.

Works on the folded line of `numbers`. A twelve-hour clock is read forwards: an end that is not later than its
start lies after the next noon or midnight.
"""
from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from witnessmark.reading.numbers import Folded

N = r"#\d+"
_OF_DAY = r"(?: ~_*| (?:in the|this|that|the same|yesterday|at|on the) ?(?:morning|afternoon|evening|night|arvo))?"
CLOCK = (rf"(?:(?:an? )?(?:half|quarter|{N})(?: minutes?)? (?:past|to|till?|after|of|gone) (?:{N}|noon|midnight|midday)"
         rf"|half {N}|{N} {N}|{N} oh {N}|\d{{1,2}}:\d\d|{N}|noon|midday|midnight|lunch ?time|lunch)"
         rf"(?: o'clock)?(?: ?(?:am|pm|ish))?")
_SPAN = re.compile(
    rf"(?<![\w#@:.$£€])(?P<lead>from |between )?(?:(?:like|about|around|just after|just before|maybe) )?(?P<first>{CLOCK})(?P<day1>{_OF_DAY})"
    rf"(?P<link> (?:to|till?|until|through|thru|-|and|up to|right through to) )"
    rf"(?:(?:like|about|around|nearly|almost|just after|just before|gone|maybe) )?(?P<last>{CLOCK})(?P<day2>{_OF_DAY})(?![\w#:%])")
_HOURS_OF_DAY = re.compile(
    rf"(?<![\w#@:.$£€])(?:from )?(?P<first>{N} hours(?: {N})?)(?P<day1>{_OF_DAY}) (?:to|till?|until|-) (?P<last>{N} hours(?: {N})?)(?P<day2>{_OF_DAY})(?![\w#:%])")
_STARTED = re.compile(
    rf"(?:clocked (?:in|on)|started|start(?:ed)? (?:up|in|off)|came (?:out|in|down)|began|got (?:out|in|down|here|going|started|to it)"
    rf"|kicked off|opened up|at it|here|since|went (?:out|in)|arrived)(?:[^.?!#%]{{0,40}}? (?:at|since|around|about))? (?:about )?(?P<first>{CLOCK})"
    rf"(?P<day1>{_OF_DAY})(?P<link>[^?!#]{{1,60}}?)"
    rf"(?:it's|it is|it was|came (?:back )?in(?:side)?|went (?:in(?:side)?|home)|downed tools|locked up|pulled (?:the pin|up stumps)|finished|stopped|quit|knocked off|clocked (?:out|off)|wrapped up|packed (?:it )?(?:in|up)|done|called it(?: a day| quits)?"
    rf"|left|shut (?:up|down)|turned the lights? (?:off|out)|closed up|(?:went|worked|carried on|kept (?:at it|going)|was (?:at it|here)) (?:on )?(?:till?|until|to))(?: now)?(?: (?:up|it|about|around|just|at|by|gone|coming up on|nearly|almost))* "
    rf"(?P<last>{CLOCK})(?P<day2>{_OF_DAY})(?![\w#:%])")
_OPENERS = re.compile(
    r"(?:^|[,.;:(?!]|\b(?:was|were|been|for|worked|went|did|is|it|in|and|so|that's|then|today|tonight|yesterday|down|me|here|ran|day|on|"
    r"morning|afternoon|evening|night|weekend|shop|hangar|garage|time|hours|again|also|about|around|roughly|like|say|just|there|yourself|started|guess|spent|hour)) ?$")
_MASKED_DAY = re.compile(r"~_*[ ,]*$")


@dataclass(frozen=True, slots=True)
class ClockSpan:
    """A stretch between two clock times, characters `start` to `end` of the folded line, `hours` long."""

    start: int
    end: int
    hours: float


def find_clock_spans(folded: Folded, line: str) -> list[ClockSpan]:
    """The stretches of a narration; `line` is the folded text in which the days named are masked with `~`."""
    by_hours = (ClockSpan(match.start(), match.end(), hours) for match in _HOURS_OF_DAY.finditer(line)
                if (hours := _between(folded, match)))
    found = sorted([*by_hours, *_started(folded, line), *_from_to(folded, line)], key=lambda span: (span.start, -span.end))
    kept: list[ClockSpan] = []
    for span in found:
        if not kept or span.start >= kept[-1].end:
            kept.append(span)
    return kept


def _started(folded: Folded, line: str) -> Iterator[ClockSpan]:
    for match in _STARTED.finditer(line):
        if re.search(r"\b(?:till?|until|to)\b", line[match.start():match.start("first")]) or " ." in match["link"]:
            continue
        hours = _between(folded, match)
        if hours:
            yield ClockSpan(match.start("first"), match.end(), hours)


def _from_to(folded: Folded, line: str) -> Iterator[ClockSpan]:
    at, last = 0, -1  # `last`: where the stretch before ended
    while match := _SPAN.search(line, at):
        at = match.start() + 1
        lead = match["lead"] or ""
        both = match["link"].strip() == "and"
        before = line[:match.start()]
        strong = match["link"].strip() in ("till", "til", "until", "through", "thru")
        if both != (lead == "between ") or not (lead or strong or _OPENERS.search(before) or _MASKED_DAY.search(before)):
            continue
        if not lead and (_is_single_time(match) or _counts_things(line, match) or not (
                _is_surely_time(line, match) or _goes_on(line, last, match.start()) or _is_written(folded, match))):
            continue
        hours = _between(folded, match) if _has_digits(folded, match) else None
        if hours:
            at = last = match.end()
            yield ClockSpan(match.start(), match.end(), hours)


def _has_digits(folded: Folded, match: re.Match[str]) -> bool:
    """False for "three hundred to three fifty": hundreds are times of day only where they are written in digits."""
    ends = [(folded.value(match[end]), folded.said_at(match.start(end))) for end in ("first", "last")
            if re.fullmatch(N, match[end])]
    return all(value < 100 or re.fullmatch(r"\d{3,4}", said) for value, said in ends)


def _is_written(folded: Folded, match: re.Match[str]) -> bool:
    """True for "0830 to 1145": four digits of which one time begins with a zero."""
    said = [folded.said_at(match.start(end)) for end in ("first", "last")]
    return all(re.fullmatch(r"\d{4}", word) for word in said) and any(word.startswith("0") for word in said)


def _goes_on(line: str, last: int, start: int) -> bool:
    """True for a stretch listed right behind another: "eight to twelve, one to four"."""
    return last >= 0 and bool(re.fullmatch(r"[ ,]*(?:(?:and|then|again|plus)[ ,]*)*", line[last:start]))


def _is_single_time(match: re.Match[str]) -> bool:
    """ "At ten to five" is one time of day; "ten to five, seven hours" is told apart by what follows."""
    return bool(re.search(r"\b(?:at|by|about|around|until|till) $", match.string[:match.start()]))


_WORK_TALK = re.compile(r"\b(?:hours?|hrs|worked|here|at it|shift|day|session|lunch|smoko|straight|went|clocked|time|on deck|in the (?:shop|shed|hangar|garage|barn))\b|~|\^")


def _is_surely_time(line: str, match: re.Match[str]) -> bool:
    """Plain "twelve to one" is a stretch of the day only where the sentence speaks of days or hours; it may be a ratio."""
    if match["link"].strip() not in ("to", "-") or re.search(r"past|quarter|half|noon|midday|midnight|o'clock|:|\bam\b|\bpm\b|~| #\d+ #", match[0]):
        return True
    start = max(line.rfind(sign, 0, match.start()) for sign in (".", "?", "!")) + 1
    header = line[max(0, start - 16):start]
    if re.search(r"\b(?:time|hours|clock|book|log) [.!?]$", header):
        return True
    ends = [at for at in (line.find(sign, match.end()) for sign in (".", "?", "!")) if at >= 0]
    return bool(_WORK_TALK.search(line[start:min(ends, default=len(line))]))


def _counts_things(line: str, match: re.Match[str]) -> bool:
    """ "Ten to twelve hours", "forty to fifty dollars": a range of something else than the clock."""
    after = line[match.end():]
    counted = re.match(r" (?:more |\w+ )?(?:hours?|hrs?|minutes?|mins?|dollars|bucks|pounds|quid|euros|inch(?:es)?|feet|foot|thou|"
                       r"rivets|pieces|days|weeks|months|percent|degrees|coats|per|a|an|of|more|each)\b", after)
    return bool(counted)


def _between(folded: Folded, match: re.Match[str]) -> float | None:
    first, last = clock_time(folded, match["first"]), clock_time(folded, match["last"])
    if first is None or last is None:
        return None
    early = _afternoon(match["first"] + (match["day1"] or ""), first)
    late = _afternoon(match["last"] + (match["day2"] or ""), last)
    if late == 12 and not early and first < last:
        early = 12
    first, last = first + early, last + late
    while last <= first:
        last += 12
    hours = round(last - first, 2)
    if hours > 12 and not re.search("am|pm|morning|evening|night", match[0]):
        hours -= 12
    return hours if 0 < hours <= 18 else None


def _afternoon(words: str, hour: float) -> float:
    if re.search(r"\bpm\b|afternoon|evening|arvo|night", words) and hour < 12:
        return 12
    return -12 if re.search(r"\bam\b|morning", words) and 12 <= hour < 13 else 0


def clock_time(folded: Folded, words: str) -> float | None:
    """The hour of the day, 0 to 24, that a clock expression says; None where it cannot be one."""
    words = re.sub(r" (?:o'clock|hours|am|pm|ish)\b", "", words).strip()
    words = re.sub(r"^an? ", "", words)
    if words in ("noon", "midday") or words.startswith("lunch"):
        return 12.0
    if words == "midnight":
        return 24.0
    written = re.fullmatch(r"(\d{1,2}):(\d\d)", words)
    if written:
        return _valid(int(written[1]), int(written[2]))
    signs = re.findall(N, words)
    values = [folded.value(sign) for sign in signs]
    parted = re.fullmatch(rf"(half|quarter|{N})(?: minutes?)? (past|to|till?|after|of|gone) (?:{N}|noon|midnight|midday)", words)
    if parted:
        hour = {"noon": 12.0, "midday": 12.0, "midnight": 24.0}.get(words.split()[-1]) or values[-1]
        minutes = {"half": 30.0, "quarter": 15.0}.get(parted[1]) or values[0]
        if not 1 <= hour <= 24 or hour % 1 or not 1 <= minutes < 60 or minutes % 1:
            return None
        return hour + minutes / 60 if parted[2] in ("past", "after", "gone") else hour - minutes / 60
    if words.startswith("half "):
        return _valid(values[0], 30)
    if len(values) == 2:
        small = "oh" in words
        return _valid(values[0], values[1]) if small or 10 <= values[1] < 60 else None
    if len(values) != 1:
        return None
    return _valid(*(divmod(values[0], 100) if values[0] >= 100 else _dotted(values[0])))


def _dotted(value: float) -> tuple[float, float]:
    """ "7.30" written with a point is half past seven; a plain hour stays one."""
    minutes = round((value % 1) * 100)
    return (value // 1, minutes) if minutes in (15, 30, 45, 10, 20, 40, 50, 5, 25, 35, 55) else (value, 0)


def _valid(hour: float, minutes: float) -> float | None:
    return hour + minutes / 60 if hour % 1 == 0 and 0 <= hour <= 24 and 0 <= minutes < 60 else None
