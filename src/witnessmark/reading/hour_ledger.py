"""Which hours count: each hour once, and why. A pure function over the records of a session and of earlier ones."""
from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import replace

from witnessmark.edtf_days import covers, day_window
from witnessmark.model import Hours
from witnessmark.reading.memory import Memory

HOURS_A_DAY = 24
SAME = 0.02  # hours; two tellings of one length
AGAIN = re.compile(r"\b(?:like i said|as i said|i said|said already|told you|as i mentioned|mentioned|so again|twice|goes? in the book|didn't i"
                   r"|write (?:it|that) down|written (?:it|that)?|as (?:you|i) (?:heard|know))\b", re.IGNORECASE)
NEVER = {"total": "a running total, not the work of a day", "planned": "an estimate of work to come",
         "other": "no build labour"}


def count_once(records: Sequence[Hours], memory: Memory) -> tuple[Hours, ...]:
    """The records with `counted` and `why` filled in."""
    told = _together(records)
    earlier = [hours for hours in memory.hours if hours.counted]
    sessions = [hours for hours in told if hours.scope == "session"]
    counted: list[Hours] = []
    for index, hours in enumerate(told):
        counted.append(_judged(hours, counted, told[index + 1:], sessions, earlier))
    return tuple(counted)


def _together(records: Sequence[Hours]) -> list[Hours]:
    """Two helpers told in one breath are one record of person-hours: one record for each kind of person."""
    merged: list[Hours] = []
    for hours in records:
        last = merged[-1] if merged else None
        if last and hours.who == "helper" == last.who and last.scope == hours.scope == "session" \
                and last.date == hours.date and last.cue == hours.cue and last.person != hours.person:
            merged[-1] = replace(last, low=round(last.low + hours.low, 2), high=round(last.high + hours.high, 2),
                                 person=None, rules=(*last.rules, "person-hours of several helpers"))
            continue
        merged.append(hours)
    return merged


def _judged(hours: Hours, before: Sequence[Hours], after: Sequence[Hours], sessions: Sequence[Hours],
            earlier: Sequence[Hours]) -> Hours:
    if hours.scope in NEVER:
        return replace(hours, counted=False, why=NEVER[hours.scope])
    if _impossible(hours):
        return replace(hours, counted=False, why="more hours than those days have: is it a running total?",
                       doubts=(*hours.doubts, f"{hours.high:g} hours of work, or a running total?"))
    for other in (*earlier, *before):
        if other.counted and _same_telling(hours, other):
            return replace(hours, counted=False, why="told before; it counts once")
    if hours.scope == "task":
        cover = next((s for s in (*sessions, *(e for e in earlier if e.scope == "session"))
                      if s is not hours and _same_person(s, hours) and covers(s.date, hours.date)), None)
        if cover:
            return replace(hours, counted=False, why="part of that day's hours, which count")
        return replace(hours, counted=True, why="the only hours told for this job and day")
    if _made_of_pieces(hours, before, after, earlier):
        return replace(hours, counted=False, why="the sum of days that are counted one by one")
    if _part_of_day(hours, after):
        return replace(hours, counted=False, why="so far; the day's hours are told later")
    return replace(hours, counted=True, why="hours of that day")


def _impossible(hours: Hours) -> bool:
    """True where one person would have worked for more than the days of the record hold."""
    window = _window(hours)
    if hours.who != "builder" or not window:
        return False
    return hours.high > HOURS_A_DAY * ((window[1] - window[0]).days + 1)


def _same_person(one: Hours, other: Hours) -> bool:
    """True for the same kind of person, unless two different names were said."""
    return one.who == other.who and (one.person is None or other.person is None or one.person == other.person)


def _same_telling(hours: Hours, other: Hours) -> bool:
    """The same length of the same person and days: a second telling, unless it is another job of that day."""
    same = (hours.who == other.who and hours.date == other.date and hours.date is not None
            and abs(hours.low - other.low) < SAME and abs(hours.high - other.high) < SAME)
    if not same:
        return False
    if hours.scope == "session" and other.scope == "session":
        return True
    return bool(AGAIN.search(hours.quote)) or (hours.task == other.task and hours.scope == other.scope and hours.quote != other.quote)


def _window(hours: Hours) -> tuple[dt.date, dt.date] | None:
    first, last = day_window(hours.date)
    return (first, last) if first and last else None


def _made_of_pieces(hours: Hours, before: Sequence[Hours], after: Sequence[Hours], earlier: Sequence[Hours]) -> bool:
    """True for the hours of several days where those days have hours of their own."""
    window = _window(hours)
    if not window or window[0] == window[1]:
        return False
    pieces = [other for other in (*earlier, *before, *after) if other.scope == "session" and other.who == hours.who
              and other.date != hours.date and covers(hours.date, other.date)]
    return bool(pieces)


def _part_of_day(hours: Hours, after: Sequence[Hours]) -> bool:
    """True for "three hours so far" where the whole day is told later."""
    if "so far" not in hours.quote:
        return False
    return any(other.scope == "session" and other.who == hours.who and other.date == hours.date and other.low >= hours.low
               for other in after)
