"""Lengths of time in a narration: with a unit ("two hours forty"), between clock times, or bare in a tally.

Everything works on the folded line of `numbers`, where days named by `dates` are masked with `~`, so that a
pattern may say "~ was #": "Saturday was six". What each length is worth is decided by `hours`.
"""
from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from spacy.tokens import Doc

from witnessmark.reading.clock_spans import find_clock_spans
from witnessmark.reading.dates import TimeMention
from witnessmark.reading.numbers import APPROX_AFTER, APPROX_BEFORE, Folded

N = r"#\d+"
HOURS = r"(?:hours?|hrs?|h)"
MINUTES = r"(?:minutes?|mins?)"
_ADJ = (r"(?: (?:good|long|solid|full|more|whole|actual|straight|extra|man|shop|build|building|working|honest|happy|fun|person|labor"
        r"|labour|further|easy|hard|cold|hot|quiet|glorious|miserable|productive|short|real|other|additional|happy|careful|fiddly|sweaty|odd))*")
_RANGE = rf"(?:(?: or| to| -|(?: ,)? (?:or )?(?:maybe|perhaps|possibly|call it|could be)| ,| and maybe) (?P<n2>{N})| (?P<n3>{N}))?"
_LATER = (rf"(?:(?: for (?:it|that|them|those))?(?: ,)? (?:(?:or|or maybe|maybe|perhaps|possibly|could be|to|call it) )(?P<m2>{N}|half an hour)"
          rf"(?! ?{MINUTES})(?= [,.;]| if\b| or so| hours?| and| but|$)|(?: for (?:it|that|them|those))?(?: ,)? (?P<m3>{N})(?= if\b))?")
_WITH_HOURS = re.compile(
    rf"(?<![\w#@$£€%.])(?P<n>{N}){_RANGE}{_ADJ} (?P<unit>{HOURS})(?![\w'-])"
    rf"(?P<rest>(?:(?: ,)? and)? (?P<min>{N})(?: {MINUTES})?(?![\w'%]| \w*(?:s|inch|coat|percent)\b)|(?:(?: ,)? and)? (?P<half>a half|a quarter|three quarters|#\d+/\d+|(?:half|quarter)(?! (?:past|to|the|of|an|a(?! (?:night|evening|day|go|session|week|weekend)))\b)))?"
    + _LATER)
_HOUR_AND = re.compile(
    rf"(?<![\w#@$£€%.])(?:(?:about|just|only|over|under|good|solid|full|whole|another|one|the|each|every|a|an|that|last|first|extra) )*"
    rf"(?P<unit>hour)(?:'s)?(?![\w'-])(?:(?: ,)? and (?P<half>a half|a quarter|#\d+ quarters|(?:half|quarter)(?! (?:past|to|the|of|an|a(?! (?:night|evening|day|go|session|week|weekend)))\b))|(?: and)? (?P<min>{N})(?: {MINUTES})?(?![\w'%]))?"
    rf"(?P<two> or (?:two|(?P<n2>{N})))?" + _LATER)
_PART_HOUR = re.compile(
    r"(?<![\w#@$£€%.])(?:(?:an?|the|another|about|good|solid|last) )*(?P<part>half(?: of)?(?: an?)? hour|half[ -]hour|three quarters? (?:of )?(?:an )?hour"
    r"|(?:#\d+ )?quarters? of an hour|quarter hour)(?:'s)?(?![\w'-])" + _LATER.replace("half an hour", "an hour|#\\d+"))
# "Half a day" is half of a working day of eight hours: common practice, no source.
_HALF_DAY = re.compile(r"(?<![\w#])(?:(?:about|a good|the best part of|the better part of|another|nearly|almost|only|just) )*(?:half a day|a half day|half days?)(?= ?[,.;!?]|$| (?:on|for|to|it|of|that|out|in|at|doing|getting|and|was|went|gone|spent|lost|just|all)\b)")
HALF_DAY = 4.0
_WITH_MINUTES = re.compile(
    rf"(?<![\w#@$£€%.])(?P<n>{N})(?:(?: or| to| -|(?: ,)? maybe| ,) (?P<n2>{N}))?{_ADJ} (?P<unit>{MINUTES})(?![\w'-])")
SHORTEST = 0.04  # hours; "a minute" and "two minutes" are figures of speech
_STINT = re.compile(r" (?:(?:round|road|work|building|shop) )?(?:trip|drive|flight|session|stint|shift|hike|commute)\b")
_FRACTIONS = {"a half": 0.5, "half": 0.5, "quarter": 0.25, "a quarter": 0.25, "three quarters": 0.75}


@dataclass(frozen=True, slots=True)
class Amount:
    """A length of time at characters `start` to `end` of the folded line: `low` to `high` hours.

    `form` is how it was said: "hours", "minutes", "clock" or "bare"; `rule` names the pattern.
    """

    start: int
    end: int
    low: float
    high: float
    approx: bool
    form: str
    rule: str


def masked(folded: Folded, spans: Iterable[tuple[int, int]], sign: str, line: str | None = None) -> str:
    """The folded line with each span of characters written as a sign and underscores, of the same length."""
    text = folded.text if line is None else line
    for start, end in spans:
        text = text[:start] + sign + "_" * (end - start - 1) + text[end:]
    return text


def day_spans(folded: Folded, times: Sequence[TimeMention]) -> list[tuple[int, int]]:
    """Where on the folded line the days named stand (clock times are left as they are)."""
    spans = []
    for time in times:
        if time.kind == "clock" or time.edtf is None:
            continue
        start, last = folded.offset_of(time.start), folded.offset_of(time.end - 1)
        start += len("since ") if folded.text.startswith("since ", start) else 0
        word_end = folded.text.find(" ", last)
        spans.append((start, len(folded.text) if word_end < 0 else word_end))
    return spans


def find_amounts(doc: Doc, folded: Folded, times: Sequence[TimeMention]) -> tuple[list[Amount], list[tuple[int, int]]]:
    """Every length of time in the text, in order, and where those stand that are a rate, an age or a point in time."""
    line = masked(folded, day_spans(folded, times), "~")
    clocks = [Amount(span.start, span.end, span.hours, span.hours, False, "clock", "clock range")
              for span in find_clock_spans(folded, line)]
    rest = masked(folded, ((span.start, span.end) for span in clocks), "%", line)
    said = [amount for amount in _with_units(folded, rest) if amount.high > SHORTEST]
    no_length = [amount for amount in said if _is_no_length(rest, amount)]
    return (sorted([*clocks, *(amount for amount in said if amount not in no_length)], key=lambda amount: amount.start),
            [(amount.start, amount.end) for amount in no_length])


def _with_units(folded: Folded, line: str) -> list[Amount]:
    found: list[Amount] = []
    taken: list[tuple[int, int]] = []
    for pattern, reader in ((_WITH_HOURS, _hours), (_PART_HOUR, _part_hour), (_HOUR_AND, _hour_and),
                            (_WITH_MINUTES, _minutes), (_HALF_DAY, _half_day)):
        for match in pattern.finditer(line):
            if any(start < match.end() and match.start() < end for start, end in taken):
                continue
            amount = reader(folded, match)
            if amount:
                taken.append((match.start(), match.end()))
                found.append(replace(_up_to(folded, line, amount), approx=amount.approx or _is_rough(line, amount)))
    return found


_MAYBE_MORE = re.compile(rf"^(?: ~_*)?(?: (?:to|for|of|on|in)(?: [a-z']+){{1,6}})? , (?:(?:maybe|or maybe|perhaps|possibly|could be|might be) (?P<n>{N})"
                         rf"(?! (?:minutes|days|weeks|more))|(?P<m>{N})(?= if\b))")


def _up_to(folded: Folded, line: str, amount: Amount) -> Amount:
    """ "Twenty hours to get it skinned, maybe twenty-five": a second figure after the job widens the first."""
    match = _MAYBE_MORE.match(line[amount.end:])
    more = folded.value(match["n"] or match["m"]) if match else 0
    if not match or amount.form != "hours" or not amount.high < more <= 2 * amount.high:
        return amount
    return replace(amount, end=amount.end + match.end(), high=more)


def _is_rough(line: str, amount: Amount) -> bool:
    return bool(APPROX_BEFORE.search(line[:amount.start]) or APPROX_AFTER.match(line[amount.end:]))


def _value(folded: Folded, sign: str | None) -> float | None:
    return folded.value(sign) if sign else None


def _hours(folded: Folded, match: re.Match[str]) -> Amount | None:
    number = folded.number(match["n"])
    low, high, approx = number.low, number.high, number.approx
    start = match.start()
    upper = match["n2"] or match["n3"]
    if upper:
        more = folded.number(upper)
        if match["n3"]:
            low, high, start = _two_numbers(low, more.low, start, match)
        elif more.low > low and not _two_lengths(match, low, more.low):
            high, approx = more.high, approx or more.approx
        else:
            low, high, start, approx = more.low, more.high, match.start("n2"), more.approx
    of_trip = _STINT.match(match.string[match.end():])
    if match["unit"] == "hour" and high > 1 and not match["half"] and not of_trip:
        return None
    added = _FRACTIONS.get(match["half"] or "", 0) + (_value(folded, match["min"]) or 0) / 60
    if (_value(folded, match["min"]) or 0) >= 60:
        return None
    low, high = low + added, high + added
    later = match["m2"] or match["m3"]
    if later and later.startswith("#") and folded.value(later) > low:
        high = folded.number(later).high
    return _amount(start, match.end(), low, high, approx, "hours", "hours said")


def _two_lengths(match: re.Match[str], low: float, more: float) -> bool:
    """ "Gwen did two, 88 hours on the kit": figures with only a comma between are one range if they are near."""
    bare = match.string[match.end("n"):match.start("n2")].strip() == ","
    return bare and more > low * 2 + 1


def _two_numbers(low: float, more: float, start: int, match: re.Match[str]) -> tuple[float, float, int]:
    """ "Four sixty-eight hours" is 468; "two three hours" two to three; else the second figure stands alone."""
    if low < 10 <= more < 100:
        return low * 100 + more, low * 100 + more, start
    if low < more <= low * 2 + 1:
        return low, more, start
    return more, more, match.start("n3")


def _hour_and(folded: Folded, match: re.Match[str]) -> Amount | None:
    minutes = _value(folded, match["min"]) or 0
    if minutes >= 60:
        return None
    low = 1 + (0.75 if (match["half"] or "").endswith("quarters") else _FRACTIONS.get(match["half"] or "", 0)) + minutes / 60
    high = low
    if match["two"]:
        high = folded.number(match["n2"]).high if match["n2"] else 2.0
    later = match["m2"] or match["m3"]
    if later and later.startswith("#") and folded.value(later) > low:
        high = folded.number(later).high
    return _amount(match.start(), match.end(), low, max(low, high), bool(match["two"]), "hours", "an hour")


def _part_hour(folded: Folded, match: re.Match[str]) -> Amount:
    part = match["part"]
    low = 0.5 if part.startswith("half") else 0.75 if "three" in part or "#" in part else 0.25
    later = match["m2"] or match["m3"]
    high = 1.0 if later == "an hour" else low
    return _amount(match.start(), match.end(), low, high, False, "hours", "part of an hour")


def _minutes(folded: Folded, match: re.Match[str]) -> Amount:
    number = folded.number(match["n"])
    high = folded.number(match["n2"]).high if match["n2"] else number.high
    low = number.low if high >= number.low else high
    return _amount(match.start(), match.end(), low / 60, high / 60, number.approx, "minutes", "minutes said")


def _half_day(_: Folded, match: re.Match[str]) -> Amount:
    return _amount(match.start(), match.end(), HALF_DAY, HALF_DAY, True, "hours", "half a day")


def _amount(start: int, end: int, low: float, high: float, approx: bool, form: str, rule: str) -> Amount:
    return Amount(start, end, round(low, 2), round(high, 2), approx, form, rule)


_NO_LENGTH_AFTER = re.compile(
    r" ?(?:ago|later|earlier|old|from now|away|meters?|metres?|epoxy|glue|cure|set|window|"
    r"in advance|ahead of|at a time|inspections?|overhaul|tbo|photo|processing|store|(?:of|into) (?:the )?(?:video|footage|tape|daylight|sun(?:shine|light)?|sleep))\b")
_NO_LENGTH_BEFORE = re.compile(
    r"(?:\b(?:dollars|bucks|pounds|quid|euros|cents|gallons|litres|liters|miles|knots|kilometers|kilometres|per|every|revs|\$ ?#\d+|"
    r"#\d+|times|parts|rate of|cfm|mph|amp|amps) (?:an?|the|per|each|every) |\bper |\bevery |\bat an? #?\d*|"
    r"\b(?:in|within|after|at|past|over|under|beyond|before|by|for) (?:about |the next |the first |another |just |less than )*)$")
_POINT = re.compile(r"\b(?:back in|be back in|in) (?:about )?$")
_RATE = re.compile(r"(?:dollars|bucks|pounds|quid|euros|gallons|litres|liters|miles|knots|kilometers|kilometres|times|#\d+|revs|mph) an? $")


def _is_no_length(line: str, amount: Amount) -> bool:
    """True for "an hour ago", "sixty dollars an hour", "a 24-hour epoxy", "cracks at a hundred hours"."""
    before, after = line[:amount.start], line[amount.end:]
    text = line[amount.start:amount.end]
    point = re.match(r" (?:before|after) (?:the|we|i|my|that)\b", after) and not re.search(
        r"\b(?:then|spent|did|took|was|were|for|of|in|another|put|it|them|that|waited|sat|(?:ran|run|running|heated|baked|soaked|cooked|cured|dried)(?: (?:the|my|a) [a-z]+){0,2}) "
        r"(?:another |about |a good |for )*$", before)
    bare = text == "hour" and not re.search(
        r"(?:^|[,.;]|\b(?:was|were|took|about|spent|for|just|only|near|it|good|roughly|in|him|her|me|us|them|of|did|put|and|or|be)) $", before)
    if bare or re.search(r"\b(?:lost|gained|lose|gain|save[sd]?|saving) (?:me |us |about )*$", before):
        return True
    if (point and not text.startswith("another")) or _NO_LENGTH_AFTER.match(after) or re.search(r"\b(?:per|every) $", before):
        return True
    lead = re.match(r"(?:(?:another|about|just|only|over|under) )*(?:an?|the|each|every|that|last|first) ", text)
    if amount.form == "hours" and lead and re.search(
            r"(?:dollars|bucks|pounds|quid|euros|gallons|litres|liters|miles|knots|kilometers|kilometres|times|mph|figure|#\d+|[$£€] ?#\d+"
            r"|\bpound|\beach|\bper|\bpercent|\blabou?r at .*) ,?$|^$", before) and before:
        return True
    if re.search(r"\b(?:at|past|over|under|beyond|within|exceed\w*|than|after) (?:an? )?$", before) and not re.search(
            r"\b(?:just|well|a (?:bit|little|touch|hair)|little|for|took|spent|was|put in|did|been|of) (?:over|under|past)? ?$", before):
        if re.search(r"\b(?:st(?:and|ood|ands)|sits?|is|are|am|now|up|still|[a-z]+'(?:s|m|re)|it|us|me|[a-z]+'s [a-z]+) at $", before):
            return False
        return bool(re.search(r"\b(?:at|beyond|within|exceed\w*|no \w+ \w+ (?:over|under)|after) (?:an? )?$", before))
    return False
