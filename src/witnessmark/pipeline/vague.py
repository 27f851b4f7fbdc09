"""No date of a record may be more exact than what is known of the recording's own day. Pure functions."""
from __future__ import annotations

import calendar
import dataclasses
import datetime as dt
from typing import TypeVar

from witnessmark import edtf_days
from witnessmark.model import Act, Hours, Moment, Purchase, Reading

Dated = TypeVar("Dated", Act, Hours, Purchase)
DOUBT = "When was this recorded? Only the file's own time is known."


def as_vague_as(moment: Moment, day: dt.date, reading: Reading) -> Reading:
    """The reading with its dates as rough as the moment of recording.

    Dates counted from a recording known to the month or the year only become that month or year; those counted from
    a file's own time, which any copying changes, or from nothing but the day of indexing, become "about".
    """
    if moment.precision in ("second", "minute", "day") and moment.basis != "file-time":
        return reading
    return dataclasses.replace(reading, acts=tuple(_vague(act, moment, day) for act in reading.acts),
                               hours=tuple(_vague(hours, moment, day) for hours in reading.hours),
                               purchases=tuple(_vague(bought, moment, day) for bought in reading.purchases))


def _vague(record: Dated, moment: Moment, day: dt.date) -> Dated:
    if not record.date:
        return record
    return dataclasses.replace(record, date=_rough(record.date, moment, day), doubts=(*record.doubts, DOUBT))


def _rough(date: str, moment: Moment, day: dt.date) -> str:
    first, last = edtf_days.day_window(date)
    if moment.precision == "month" and last:
        end = dt.date(day.year, day.month, calendar.monthrange(day.year, day.month)[1])
        return f"{day:%Y-%m}" if first == last == day else f"../{end}"
    if moment.precision == "year" and last:
        return f"{day:%Y}" if first == last == day else f"../{day.year}-12-31"
    if edtf_days.is_exact(date):
        return edtf_days.about(dt.date.fromisoformat(date))
    return date
