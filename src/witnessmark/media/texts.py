"""Transcripts and notes: the length of the one, the date that the other names."""
from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

from witnessmark.media.moments import Found, plausible

HEAD_LINES = 8
READ_AT_MOST = 4_000_000
_CUE_END = re.compile(r"-->\s*(?:(\d+):)?(\d{1,2}):(\d{2})[.,](\d{3})")
_MONTHS = ["jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"]
_MONTH = (r"(?P<month>jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?"
          r"|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.?")
_DATES = tuple(re.compile(pattern, re.IGNORECASE) for pattern in (
    r"\b(?P<year>(?:19|20)\d\d)[-/.](?P<m>\d{1,2})[-/.](?P<day>\d{1,2})\b",
    _MONTH + r"\s+(?P<day>\d{1,2})(?:st|nd|rd|th)?,?\s+(?P<year>(?:19|20)\d\d)\b",
    r"\b(?P<day>\d{1,2})(?:st|nd|rd|th)?\.?\s+(?:of\s+)?" + _MONTH + r",?\s+(?P<year>(?:19|20)\d\d)\b",
    r"\b(?P<day>\d{1,2})\.(?P<m>\d{1,2})\.(?P<year>(?:19|20)\d\d)\b",
    r"\b(?P<a>\d{1,2})/(?P<b>\d{1,2})/(?P<year>(?:19|20)\d\d)\b"))


def read_text(path: Path) -> str:
    """A text file in UTF-8 (with or without its mark), UTF-16 with its mark, or Windows-1252."""
    with path.open("rb") as handle:
        raw = handle.read(READ_AT_MOST)
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", "replace")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")


def transcript_length(text: str) -> float | None:
    """The end of the last cue of a WebVTT or SubRip text, in seconds."""
    ends = [int(h or 0) * 3600 + int(m) * 60 + int(s) + int(ms) / 1000 for h, m, s, ms in _CUE_END.findall(text)]
    return max(ends, default=None)


def first_date(text: str) -> Found | None:
    """The first date in a note's first lines; 3/4/2024 could be two days and counts as none."""
    for line in text.splitlines()[:HEAD_LINES]:
        for pattern in _DATES:
            for match in pattern.finditer(line):
                day = _day(match.groupdict())
                if day:
                    return Found(day, "day", "file-name", note="date in the first lines of the text")
    return None


def _day(parts: dict[str, str]) -> dt.datetime | None:
    if "a" in parts:
        first, second = int(parts["a"]), int(parts["b"])
        if (first > 12) == (second > 12) and first != second:
            return None
        month, day = (second, first) if first > 12 else (first, second)
    else:
        month = int(parts["m"]) if "m" in parts else _MONTHS.index(parts["month"][:3].lower()) + 1
        day = int(parts["day"])
    try:
        when = dt.datetime(int(parts["year"]), month, day, 12)
    except ValueError:
        return None
    return when if plausible(when) else None
