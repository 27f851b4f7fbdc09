"""Lengths that are told in steps: "nine to one, less half an hour, so three and a half" is one length.

A stretch between clock times, a length for each evening, or pieces of a day are drawn together with the sum that
the speaker gives; a break taken out is subtracted.
"""
from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from witnessmark.reading.hour_amounts import Amount
from witnessmark.reading.numbers import Folded

_LESS = re.compile(
    r"(?:\b(?:less|minus|take out|take away|take off|taking out|taking off|knock off|subtract|lose|leave out|leaving out|not counting|deduct|call off|allow|off)\b[^.]{0,12}"
    r"|\bwith (?:about )?)$")
_MINUTES_OFF = re.compile(r"^[ ,]*(?:less|minus|take out|take off|knock off|with) (?:about )?(?:(?P<half>half)|(?P<n>#\d+))(?: (?:off|out))? (?=(?:for|off)\b)|"
                          r"^[ ,]*with (?P<half2>half) off\b")
_OFF = re.compile(r"^ (?:(?:off )?for (?:lunch|a sandwich|dinner|supper|tea|coffee|a break|breaks)|off\b|out\b|break\b|lunch)")
_BREAK = re.compile(r"^ (?:(?:lunch|tea|coffee|smoko) )?breaks?\b|^ (?:off )?for (?:my |our |the )?(?:lunch|dinner|supper|tea|a sandwich|a nap|church|the match|the game)(?= ?[,.;]|$| (?:so|and|which|in))")
_LINK = re.compile(
    r"^[ ,.]*(?:[a-z' ,]{0,30}?\b)?(?:so|that's|that is|which is|which makes(?: it)?|makes(?: it)?|call it|or|equals|is|in all|for|of it|was|so that's|comes to|it's)?(?: (?:about|just|a total of|a full|"
    r"what|around|roughly|,|then|another))* ?$")
_SO = re.compile(r"\b(?:so|that's|that is|that's what|which is|which makes|makes|makes it|call it|equals|in all|comes to|or|for|all told)\b")
_THEIRS = re.compile(r"^ (?:hours )?(?:of|from|for) (?:them|theirs|the #\d+ of them|other people|helpers?|help|labou?r|the (?:pair|both|lot) of them|man)\b|^ man hours")
_PER = re.compile(r"^ (?:an?|each|every|per|a) (?:evening|night|day|morning|afternoon|session|go|time)\b|^ (?:each|apiece|a head)\b")

PERSON_HOURS = "person-hours"
SUMMED = "summed up"  # ends the rule of a length that stands for several told together


def told_together(folded: Folded, line: str, amounts: Sequence[Amount]) -> list[Amount]:
    """The lengths with their sums drawn together and breaks taken out, in order."""
    kept = _breaks_out(folded, line, list(amounts))
    kept = [amount for amount in kept if amount.form == "clock" or not _BREAK.match(line[amount.end:])]
    result: list[Amount] = []
    at = 0
    while at < len(kept):
        merged, used = _sum_from(line, kept, at)
        result.append(merged)
        at += used
    return result


def _breaks_out(folded: Folded, line: str, amounts: list[Amount]) -> list[Amount]:
    """A break after a clock range, subtracted: "seven to four, take out half an hour"."""
    kept: list[Amount] = []
    for amount in amounts:
        if amount.form == "clock":
            amount = _without_minutes(folded, line, amount)
        last = kept[-1] if kept else None
        if last and last.form == "clock" and amount.form != "clock" and amount.high < last.low:
            gap, after = line[last.end:amount.start], line[amount.end:]
            told = _LESS.search(gap) or (_OFF.match(after) and re.fullmatch(r"[ ,]*(?:with|and|but)?[ a-z]{0,15}", gap))
            if told and len(gap.split()) <= 9 and "^" not in gap:
                kept[-1] = replace(last, end=amount.end, low=round(last.low - amount.high, 2),
                                   high=round(last.high - amount.low, 2), rule="clock range less a break")
                continue
        kept.append(amount)
    return kept


def _without_minutes(folded: Folded, line: str, clock: Amount) -> Amount:
    """ "Less forty-five for lunch", "with half off": a break whose unit is left out is of minutes, "half" of an hour."""
    match = _MINUTES_OFF.match(line[clock.end:])
    if not match:
        return clock
    off = folded.value(match["n"]) / 60 if match["n"] else 0.5
    if not 0 < off < min(1.5, clock.low):
        return clock
    return replace(clock, end=clock.end + match.end(), low=round(clock.low - off, 2), high=round(clock.high - off, 2),
                   rule="clock range less a break")


def _sum_from(line: str, amounts: Sequence[Amount], at: int) -> tuple[Amount, int]:
    """The length at `at` with those that follow and say the same, and how many were used."""
    first = amounts[at]
    total, last = first.low, first
    for used in range(1, min(5, len(amounts) - at)):
        following = amounts[at + used]
        gap = line[last.end:following.start]
        if len(gap) > 70 or "?" in gap:
            break
        if used == 1 and _is_range(gap, first, following):
            return replace(first, end=following.end, high=following.high, approx=True, rule=f"{first.rule}, range"), 2
        persons = _person_hours(line, gap, first, following)
        if persons or _says_sum(gap, first, last, following, total):
            form = first.form if first.form == "clock" else following.form
            return replace(following, start=first.start, approx=following.approx or first.approx, form=form,
                           rule=f"{first.rule}, {PERSON_HOURS if persons else SUMMED}"), used + 1
        if following.form == "clock" and first.form != "clock" and len(gap.split()) <= 3 \
                and abs(following.low - first.low) <= max(0.26, 0.12 * first.low):
            return replace(first, end=following.end, form="clock", rule=f"{first.rule}, {SUMMED}"), used + 1
        if following.form != "clock" or first.form != "clock":
            break
        total, last = total + following.low, following
    return first, 1


def _is_range(gap: str, first: Amount, following: Amount) -> bool:
    """ "An hour, hour and a half", "two hours or two and a half hours"."""
    units = {first.form, following.form} <= {"hours", "minutes"}
    return units and first.high < following.low <= 2 * first.high and bool(
        re.fullmatch(r" (?:,|or|, or|, maybe|maybe|to|, call it|or maybe) ", gap))


def _person_hours(line: str, gap: str, first: Amount, following: Amount) -> bool:
    """ "Three hours each, so six hours of them": the later length is the first for several people."""
    if first.form == "clock" or following.form == "clock" or not re.search(r"\b(?:so|that's|makes|which is)\b", gap):
        return False
    count = following.low / first.low if first.low else 0
    several = 1.9 < count < 8.1 and abs(count - round(count)) < 0.02
    return several and bool(_PER.match(gap) or _THEIRS.match(line[following.end:]))


def _says_sum(gap: str, first: Amount, last: Amount, following: Amount, total: float) -> bool:
    """True where the later length is the sum or the worth of what stands before it."""
    if following.form == "clock":
        return False
    if first.form == "clock":
        near = abs(following.low - total) <= max(0.26, 0.12 * total)
        return near and (len(gap.split()) <= 3 or bool(_SO.search(gap)) or len(gap.split()) <= 8)
    per = _PER.match(gap)
    if per and _SO.search(gap) and first.low <= following.low <= 14 * first.low:
        return following.low % first.low < 0.02 or following.low % first.low > first.low - 0.02
    same = abs(following.low - first.low) < 0.02 and abs(following.high - first.high) < 0.02
    return same and bool(re.search(r"\b(?:so that's|so|that's)\b", gap)) and len(gap.split()) <= 5 and following.form == "hours"
