"""Times as they were found, and the moment that is made of the best of them.

A time found in a file is local wall time without a zone, or an aware time. A wall time gets its zone from an
offset written beside it, from GPS time, or from the journal; both sides of a daylight-saving change come out
right, and the hour that happens twice or never is said so.
"""
from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from witnessmark.model import Basis, Moment, Precision, Settings, ZoneBasis

# No consumer camera or phone recorded before these years; container and camera clocks that were never set begin
# at 1904 (ISO/IEC 14496-12, 8.2.2), 1970 (POSIX) or 1980 (FAT).
FIRST_YEAR = 1985
LAST_YEAR = 2199
UNKNOWN = Moment(None, "none", "none")


@dataclass(frozen=True, slots=True)
class Found:
    """One time that a file carries: `when` naive (wall time) or aware, and where it stood."""

    when: dt.datetime
    precision: Precision
    basis: Basis
    zone_basis: ZoneBasis = "none"
    note: str = ""


def plausible(when: dt.datetime) -> bool:
    """False for the defaults of clocks that were never set, and for nonsense."""
    return FIRST_YEAR <= when.year <= LAST_YEAR


def default_note(when: dt.datetime) -> str:
    """A warning where a time looks like a camera's factory default (the first hours of 1 January, years 1985-2020)."""
    if when.month == 1 and when.day == 1 and when.hour == 0 and when.year <= 2020:
        return "looks like a clock that was never set"
    return ""


@functools.lru_cache(maxsize=16)
def zone_of(name: str) -> ZoneInfo:
    """The journal's zone (IANA name)."""
    return ZoneInfo(name)


def localize(wall: dt.datetime, zone: ZoneInfo) -> tuple[dt.datetime, str]:
    """A wall time in a zone, and a note if a clock change made it doubtful (PEP 495).

    An hour that happened twice is read as its first; an hour that never happened as the same instant after the
    change (02:30 becomes 03:30).
    """
    first = wall.replace(tzinfo=zone, fold=0)
    second = wall.replace(tzinfo=zone, fold=1)
    if first.utcoffset() == second.utcoffset():
        return first, ""
    there_and_back = first.astimezone(dt.UTC).astimezone(zone)
    if there_and_back.replace(tzinfo=None) != wall:
        return there_and_back, f"{wall:%H:%M} did not exist that night (clock change); read as {there_and_back:%H:%M}"
    return first, f"{wall:%H:%M} happened twice that night (clock change); the first is taken"


def moment_of(found: Found, settings: Settings, shift: dt.timedelta = dt.timedelta(0)) -> Moment:
    """The moment that a found time means in this journal; `shift` corrects the camera's clock."""
    zone = zone_of(settings.timezone)
    when, zone_basis = found.when, found.zone_basis
    notes = [found.note] if found.note else []
    try:
        when += shift
    except OverflowError:
        return UNKNOWN
    if shift:
        notes.append(f"clock corrected by {signed(shift)}")
    if when.tzinfo is None:
        when, doubt = localize(when, zone)
        zone_basis = "journal"
        if doubt and found.precision in ("second", "minute"):
            notes.append(doubt)
    elif zone_basis == "utc":
        when = when.astimezone(zone)
    return Moment(when, found.precision, found.basis, zone_basis, "; ".join(notes))


def add_note(moment: Moment, note: str) -> Moment:
    """The same moment with one more remark."""
    return replace(moment, note="; ".join(filter(None, (moment.note, note)))) if note else moment


def signed(span: dt.timedelta) -> str:
    """A time difference as people write it: "+366 d 7 h 0 min 12 s"."""
    seconds = round(abs(span.total_seconds()))
    days, rest = divmod(seconds, 86_400)
    hours, rest = divmod(rest, 3_600)
    minutes, seconds = divmod(rest, 60)
    units = ((days, "d"), (hours, "h"), (minutes, "min"), (seconds, "s"))
    parts = [f"{value} {unit}" for value, unit in units if value]
    return ("-" if span < dt.timedelta(0) else "+") + (" ".join(parts) or "0 s")
