"""Recordings: length, sound, picture and the start time that the container carries, by PyAV (FFmpeg).

`com.apple.quicktime.creationdate` holds the start with its zone; `creation_time` counts in UTC (ISO/IEC 14496-12,
8.2.2; Matroska DateUTC), but some cameras write local time there, and phones that write the header when the
recording ends put the end there; where the file's name shows it, the start is worked out.
"""
from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

import av
from av.stream import Disposition

from witnessmark.errors import UnreadableFile
from witnessmark.media.exif import parse_when
from witnessmark.media.moments import Found, plausible

QUICKTIME_DATE = "com.apple.quicktime.creationdate"
# Container time and name are the same clock read twice; writing the file takes a moment.
SAME = dt.timedelta(seconds=3)
_PLACE = re.compile(r"([+-]\d+(?:\.\d+)?)([+-]\d+(?:\.\d+)?)")


@dataclass(frozen=True, slots=True)
class Recording:
    """What the container says; `duration` in seconds, None where it is not known."""

    duration: float | None
    has_video: bool
    has_sound: bool
    width: int | None = None
    height: int | None = None
    started: Found | None = None
    camera: str | None = None
    title: str | None = None
    gps: tuple[float, float] | None = None
    problems: tuple[str, ...] = ()


def read(path: Path) -> Recording:
    """Read a recording's header; UnreadableFile with one sentence where there is nothing to play."""
    try:
        with av.open(str(path), mode="r", metadata_errors="replace") as container:
            return _describe(container)
    except UnreadableFile:
        raise
    except Exception as error:  # PyAV passes on FFmpeg's many errors
        reason = getattr(error, "strerror", None) or type(error).__name__
        raise UnreadableFile(f"{path.name} cannot be played ({reason}): copy it again from the camera") from None


def _describe(container: av.container.InputContainer) -> Recording:
    films = [stream for stream in container.streams.video
             if not stream.disposition & Disposition.attached_pic and stream.codec_context]
    sounds = [stream for stream in container.streams.audio if stream.codec_context]
    if not films and not sounds:
        raise UnreadableFile(f"{Path(container.name).name} holds neither sound nor picture: copy it again")
    tags: dict[str, str] = {}
    for part in (*container.streams, container):
        tags |= {key.lower(): value for key, value in part.metadata.items()}
    duration = _duration(container)
    film = films[0].codec_context if films else None
    return Recording(duration, bool(films), bool(sounds), film.width if film else None, film.height if film else None,
                     _started(tags, duration), _camera(tags), tags.get("title"), _gps(tags),
                     () if duration else ("its length is not known",))


def _duration(container: av.container.InputContainer) -> float | None:
    if container.duration and container.duration > 0:
        return container.duration / av.time_base
    lengths = [float(stream.duration * stream.time_base) for stream in container.streams
               if stream.duration and stream.time_base]
    return max(lengths, default=0) or None


def _started(tags: Mapping[str, str], duration: float | None) -> Found | None:
    """The best time among the container's tags."""
    stated = parse_when(tags.get(QUICKTIME_DATE, ""))
    if stated and stated[0].tzinfo is not None:
        return Found(stated[0], "second", "container", "offset")
    counted = parse_when(tags.get("creation_time", ""))
    if counted and counted[1] == "second":
        when = counted[0].replace(tzinfo=dt.UTC)
        if duration and "com.android.version" in tags:
            return Found(when - dt.timedelta(seconds=duration), "second", "container", "utc",
                         "this maker's tag holds the end; its length is taken off")
        return Found(when, "second", "container", "utc")
    return _dated(tags)


def _dated(tags: Mapping[str, str]) -> Found | None:
    """"date" of WAV (bext), AVI (IDIT), ID3 and Vorbis comments: local wall time, often the day alone."""
    written = tags.get("date", "")
    if re.fullmatch(r"\d{1,2}:\d\d:\d\d", tags.get("creation_time", "")):
        written += " " + tags["creation_time"]
    parsed = parse_when(written)
    if parsed:
        when, precision = parsed
        return Found(when, precision, "container", "offset" if when.tzinfo else "none")  # type: ignore[arg-type]
    try:
        when = dt.datetime.strptime(written.strip(), "%a %b %d %H:%M:%S %Y")
    except ValueError:
        return None
    return Found(when, "second", "container") if plausible(when) else None


def settle(started: Found | None, name: Found | None, duration: float | None, zone: ZoneInfo) -> Found | None:
    """Check a container's UTC time against the file's name and make it the start.

    The name shows whether the "UTC" is really local time, and whether it is the end of the recording.
    """
    if started is None or name is None or started.zone_basis != "utc" or name.precision != "second":
        return started
    named = name.when if name.when.tzinfo else name.when.replace(tzinfo=zone)
    length = dt.timedelta(seconds=duration or 0)
    for taken_off, remark in ((dt.timedelta(0), ""), (length, "the container holds the end; the start is in the name")):
        if abs(started.when - taken_off - named) <= SAME:
            return Found(started.when - taken_off, "second", "container", "utc", remark or started.note)
    if name.when.tzinfo is None:
        wall = started.when.replace(tzinfo=None)
        if any(abs(wall - taken_off - name.when) <= SAME for taken_off in (dt.timedelta(0), length)):
            return Found(name.when, "second", "file-name", note="the container holds local time as if it were UTC")
    if abs(started.when - named) > dt.timedelta(days=1):
        return Found(started.when, "second", "container", "utc", f"the name says {name.when:%Y-%m-%d %H:%M:%S}")
    return started


def _camera(tags: Mapping[str, str]) -> str | None:
    prefix = "com.apple.quicktime."
    parts = [tags.get(prefix + key, tags.get(key, "")).strip() for key in ("make", "model")]
    return " ".join(filter(None, parts)) or None


def _gps(tags: Mapping[str, str]) -> tuple[float, float] | None:
    """ISO 6709 degrees ("+39.7392-104.9903+1609.3/")."""
    match = _PLACE.match(tags.get("com.apple.quicktime.location.iso6709", tags.get("location", "")))
    return (float(match[1]), float(match[2])) if match else None
