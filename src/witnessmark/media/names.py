"""The time in a file's name, as phones, cameras, recorders and people write it.

Only four-figure years count: a two-figure year cannot be told from a running number. Names that begin PXL_ count
in UTC (seen on many such files; no published specification), all others in local time.
"""
from __future__ import annotations

import datetime as dt
import re
from pathlib import PurePosixPath

from witnessmark.media.moments import Found, plausible
from witnessmark.model import Precision

_DAY = r"(?<!\d)(?P<y>(?:19|20)\d\d)(?P<s>[-_. ]?)(?P<m>0[1-9]|1[0-2])(?P=s)(?P<d>0[1-9]|[12]\d|3[01])"
_TIME = (r"(?:[-_ T,]|\s*at\s+|\s-\s|_at_)*(?P<H>\d{1,2})(?P<t>[-_.:h ]?)(?P<M>[0-5]\d)"
         r"(?:(?P=t)m?(?P<S>[0-5]\d)(?P<f>\d{3})?)?s?(?!\d)[\s_]*(?P<half>[AaPp][Mm](?![A-Za-z]))?")
_DAY_AND_TIME = re.compile(_DAY + _TIME)
_DAY_ALONE = re.compile(_DAY + r"(?!\d)")
# Pictures and clips that came through a messenger carry the day they were sent and a running number.
_MESSENGER = re.compile(r"(?:IMG|VID|AUD|PTT|DOC)-\d{8}-WA\d+", re.IGNORECASE)


def from_name(path: str) -> Found | None:
    """The time that a file's own name gives, or the day that one of its folders' names gives."""
    place = PurePosixPath(path)
    found = _from_text(place.stem)
    if found:
        return found
    for folder in place.parents:
        day = _day(folder.name)
        if day:
            return Found(day, "day", "file-name", note=f"day of the folder {folder.name!r}")
    return None


def _from_text(stem: str) -> Found | None:
    if _MESSENGER.match(stem):
        day = _day(stem)
        return Found(day, "day", "file-name", note="day on which a messenger passed it on") if day else None
    for match in _DAY_AND_TIME.finditer(stem):
        when, precision = _when(match)
        if when is None:
            continue
        if stem.startswith("PXL_") or stem[match.end():match.end() + 1] == "Z":
            return Found(when.replace(tzinfo=dt.UTC), precision, "file-name", "utc")
        return Found(when, precision, "file-name")
    day = _day(stem)
    return Found(day, "day", "file-name") if day else None


def _when(match: re.Match[str]) -> tuple[dt.datetime | None, Precision]:
    """Date and time of a match; None where the figures need not be a time of day."""
    hour, minute, second = int(match["H"]), int(match["M"]), int(match["S"] or 0)
    if len(match["H"]) == 1 and not match["t"]:
        return None, "none"
    if match["S"] is None and not match["t"]:
        return None, "none"  # "20240309_1640" could be a running number
    if match["half"]:
        if not 1 <= hour <= 12:
            return None, "none"
        hour = hour % 12 + (12 if match["half"].lower() == "pm" else 0)
    micro = int(match["f"] or 0) * 1000
    try:
        when = dt.datetime(int(match["y"]), int(match["m"]), int(match["d"]), hour, minute, second, micro)
    except ValueError:
        return None, "none"
    return (when, "second" if match["S"] else "minute") if plausible(when) else (None, "none")


def _day(text: str) -> dt.datetime | None:
    for match in _DAY_ALONE.finditer(text):
        try:
            day = dt.datetime(int(match["y"]), int(match["m"]), int(match["d"]), 12)
        except ValueError:
            continue
        if plausible(day):
            return day
    return None
