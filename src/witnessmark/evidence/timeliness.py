"""Made at the time: how long after the recording each source was first registered, and what the chain proves.

The delay is the registered moment minus the captured one. The registered moment is this computer's clock on that day;
what fixes it for others is the chain's head, once it was printed, mailed or signed.
"""
from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

DAY = dt.timedelta(days=1)
CLASSES = (("within a day", DAY), ("within a week", 7 * DAY), ("within a month", 31 * DAY),
           ("within a year", 366 * DAY))
LATER, UNKNOWN, BEFORE = "more than a year later", "time of recording not known", "registered before it was recorded"
ORDER = (*(name for name, _ in CLASSES), LATER, BEFORE, UNKNOWN)


def delay(source: Mapping[str, Any]) -> dt.timedelta | None:
    """From recording to first registration; None where the moment of recording is not known.

    Where only the day is known it is counted from that day's begin, so that the delay is never said too short.
    """
    if not source["captured_utc"] or source["captured_precision"] not in ("second", "minute", "day"):
        return None
    return _moment(source["registered"]) - _moment(source["captured_utc"])


def _moment(text: str) -> dt.datetime:
    at = dt.datetime.fromisoformat(text)
    return at if at.tzinfo else at.replace(tzinfo=dt.UTC)


def class_of(late: dt.timedelta | None) -> str:
    """The delay's class. A source "recorded" a minute or more after its registration has a wrong clock."""
    if late is None:
        return UNKNOWN
    if late < -dt.timedelta(minutes=1):
        return BEFORE
    return next((name for name, limit in CLASSES if late <= limit), LATER)


def classes(sources: Iterable[Mapping[str, Any]]) -> list[tuple[str, int]]:
    """Every class that occurs, with its number of sources."""
    counted = Counter(class_of(delay(source)) for source in sources)
    return [(name, counted[name]) for name in ORDER if counted[name]]


def in_words(late: dt.timedelta | None) -> str:
    """A delay as people say it: "3 hours", "12 days"."""
    if late is None:
        return "not known"
    if late < dt.timedelta(0):
        return BEFORE if late < -dt.timedelta(minutes=1) else "at once"
    for unit, length in (("day", DAY), ("hour", dt.timedelta(hours=1)), ("minute", dt.timedelta(minutes=1))):
        if late >= length:
            count = late // length
            return f"{count:,} {unit}{'s' if count != 1 else ''}"
    return "at once"
