"""EXIF (CIPA DC-008): the tags that say when, with which camera and how upright a picture was taken.

ExifRead reads them; Pillow is the second reader where a damaged block makes ExifRead give up.
"""
from __future__ import annotations

import datetime as dt
import functools
import io
import logging
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, BinaryIO

import exifread

from witnessmark.media.moments import Found, default_note, plausible

# Tag numbers of CIPA DC-008 (Exif 3.0), sections 4.6.5 to 4.6.7; XP tags as Windows writes them. Names are ExifRead's.
IMAGE_TAGS = {"ImageDescription": 0x010E, "Make": 0x010F, "Model": 0x0110, "Orientation": 0x0112, "DateTime": 0x0132,
              "XPTitle": 0x9C9B, "XPComment": 0x9C9C, "XPKeywords": 0x9C9E, "XPSubject": 0x9C9F}
EXIF_TAGS = {"DateTimeOriginal": 0x9003, "DateTimeDigitized": 0x9004, "OffsetTime": 0x9010,
             "OffsetTimeOriginal": 0x9011, "OffsetTimeDigitized": 0x9012, "UserComment": 0x9286, "SubSecTime": 0x9290,
             "SubSecTimeOriginal": 0x9291, "SubSecTimeDigitized": 0x9292}
GPS_TAGS = {"GPSLatitudeRef": 1, "GPSLatitude": 2, "GPSLongitudeRef": 3, "GPSLongitude": 4, "GPSTimeStamp": 7,
            "GPSDate": 29}
# ExifRead's keys ("EXIF DateTimeOriginal") → the bare tag names.
NAMES = {f"{group} {name}": name for group, names in (("Image", IMAGE_TAGS), ("EXIF", EXIF_TAGS), ("GPS", GPS_TAGS))
         for name in names}
EXIF_IFD, GPS_IFD = 0x8769, 0x8825
# Tags stand in the order of their numbers; nothing that is used here comes after this one, which is mandatory.
LAST_TAG = "FlashPixVersion"
MARK = b"Exif\0\0"  # before the block in JPEG, and in some other files
USER_COMMENT_MARKS = (b"\x92\x86", b"\x86\x92")  # the tag number in either byte order
# GPS time goes with the picture: a zone is read off only where clock and GPS differ by whole quarters of an hour,
# give or take this (the clock's own error and the age of the fix).
GPS_SLACK = dt.timedelta(minutes=3)
QUARTER = dt.timedelta(minutes=15)
# Zones in use run from UTC-12 to UTC+14 (IANA time zone database).
EARLIEST_ZONE, LATEST_ZONE = dt.timedelta(hours=-12), dt.timedelta(hours=14)

_WHEN = re.compile(r"\s*(\d{4})[:./-](\d{1,2})[:./-](\d{1,2})(?:[ T]+(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,](\d+))?)?)?"
                   r"\s*(Z|[+-]\d{2}:?\d{2})?")
_STOCK_WORDS = re.compile(r"digital (still )?camera|^(dsc|dcim|img|untitled)\W*\d*$")
_OFFSET = re.compile(r"\s*([+-])(\d{2}):?(\d{2})\s*$")

logging.getLogger("exifread").setLevel(logging.CRITICAL)


@dataclass(frozen=True, slots=True)
class Exif:
    """What the tags say. `orientation` is 1 to 8 (1 is upright); `comments` in order of worth."""

    taken: Found | None = None
    changed: Found | None = None
    gps_time: dt.datetime | None = None
    gps: tuple[float, float] | None = None
    orientation: int = 1
    camera: str | None = None
    comments: tuple[str, ...] = ()
    keywords: tuple[str, ...] = ()
    problems: tuple[str, ...] = ()


def read(source: BinaryIO | bytes, second_reader: Callable[[], Any] = dict) -> Exif:
    """Read the tags of an open file, or of the bytes of an EXIF block ("Exif\\0\\0" before it or not).

    `second_reader` gives Pillow's view of the same tags. It is asked where ExifRead gives up, and for the user
    comment, which ExifRead reads only together with the makers' own notes (slow, and of no use here).
    """
    handle = io.BytesIO(source.removeprefix(MARK)) if isinstance(source, bytes) else source
    problems: tuple[str, ...] = ()
    try:
        raw = exifread.process_file(handle, details=False, extract_thumbnail=False, truncate_tags=False,
                                    stop_tag=LAST_TAG)
        values = {NAMES[key]: tag.values for key, tag in raw.items() if key in NAMES}
        if not isinstance(source, bytes) or any(mark in source for mark in USER_COMMENT_MARKS):
            values |= _from_pillow(second_reader, {"UserComment": EXIF_TAGS["UserComment"]})
    except Exception as error:  # ExifRead raises whatever a damaged block leads it to
        problems = (f"EXIF is damaged ({type(error).__name__}): some tags may be missing",)
        values = _from_pillow(second_reader, IMAGE_TAGS | EXIF_TAGS | GPS_TAGS)
    return interpret(values, problems)


def _from_pillow(reader: Callable[[], Any], wanted: Mapping[str, int]) -> dict[str, Any]:
    """The same values by Pillow's reader; what it cannot read either is left out."""
    found: dict[str, Any] = {}
    try:
        tags = reader()
        blocks = [tags, tags.get_ifd(EXIF_IFD), tags.get_ifd(GPS_IFD)]
    except Exception:  # the block is known to be damaged, or has none of the rarer tags
        return found
    for block, names in zip(blocks, (IMAGE_TAGS, EXIF_TAGS, GPS_TAGS), strict=True):
        found |= {name: block[number] for name, number in names.items() if name in wanted and number in block}
    return found


def interpret(values: Mapping[str, Any], problems: tuple[str, ...] = ()) -> Exif:
    """Turn raw tag values into what they mean."""
    taken = None
    for tag, offset, fraction in (("DateTimeOriginal", "OffsetTimeOriginal", "SubSecTimeOriginal"),
                                  ("DateTimeDigitized", "OffsetTimeDigitized", "SubSecTimeDigitized")):
        taken = taken or _found(values, tag, offset, fraction)
    known = taken is not None and taken.when.tzinfo is not None
    changed = None if known else _found(values, "DateTime", "OffsetTime", "SubSecTime")
    if taken and changed and taken.when.tzinfo is None and changed.when.tzinfo is not None \
            and changed.when.replace(tzinfo=None, microsecond=0) == taken.when.replace(microsecond=0):
        taken = Found(taken.when.replace(tzinfo=changed.when.tzinfo), taken.precision, "exif", "offset", taken.note)
    gps_time = _gps_time(values)
    orientation = _first(values.get("Orientation"))
    return Exif(_zoned_by_gps(taken, gps_time), changed, gps_time, _gps(values),
                orientation if isinstance(orientation, int) and 1 <= orientation <= 8 else 1,
                _camera(text(values.get("Make")), text(values.get("Model"))), _comments(values),
                _split(utf16(values.get("XPKeywords"))), problems)


def parse_when(written: str) -> tuple[dt.datetime, str] | None:
    """An EXIF, XMP or ISO 8601 time and its precision ("second", "minute", "day"); aware where an offset follows."""
    match = _WHEN.match(written.replace("\0", " "))
    if not match:
        return None
    year, month, day, hour, minute, second, fraction, zone = match.groups()
    micro = int((fraction or "0")[:6].ljust(6, "0"))
    try:
        when = dt.datetime(int(year), int(month), int(day), int(hour or 12), int(minute or 0), int(second or 0), micro)
    except ValueError:
        return None
    if not plausible(when):
        return None
    precision = "second" if second else "minute" if hour else "day"
    return (when.replace(tzinfo=parse_offset(zone)) if zone else when), precision


@functools.lru_cache(maxsize=256)
def parse_offset(written: str) -> dt.timezone | None:
    """An offset tag ("+09:00"); None where it is blank or no zone in use."""
    match = _OFFSET.match(written)
    if written.strip() == "Z":
        return dt.UTC
    if not match:
        return None
    span = dt.timedelta(hours=int(match[2]), minutes=int(match[3])) * (-1 if match[1] == "-" else 1)
    return dt.timezone(span) if EARLIEST_ZONE <= span <= LATEST_ZONE else None


def _found(values: Mapping[str, Any], tag: str, offset_tag: str, fraction_tag: str) -> Found | None:
    parsed = parse_when(text(values[tag])) if tag in values else None
    if not parsed:
        return None
    when, precision = parsed
    fraction = text(values.get(fraction_tag)).strip()
    if fraction.isdigit() and precision == "second":
        when = when.replace(microsecond=int(fraction[:6].ljust(6, "0")))
    if when.tzinfo is None:
        when = when.replace(tzinfo=parse_offset(text(values.get(offset_tag))))
    return Found(when, precision, "exif", "offset" if when.tzinfo else "none",  # type: ignore[arg-type]
                 default_note(when))


def _zoned_by_gps(taken: Found | None, gps_time: dt.datetime | None) -> Found | None:
    """A wall time with the zone that GPS time gives it, where the two can belong together."""
    if taken is None or gps_time is None or taken.precision != "second":
        return taken
    if taken.when.tzinfo is not None:
        apart = abs(taken.when - gps_time)
        note = "" if apart <= QUARTER else "clock and GPS time differ"
        return Found(taken.when, "second", "exif", "offset", "; ".join(filter(None, (taken.note, note))))
    apart = taken.when - gps_time.replace(tzinfo=None)
    offset = round(apart / QUARTER) * QUARTER
    if abs(apart - offset) <= GPS_SLACK and EARLIEST_ZONE <= offset <= LATEST_ZONE:
        return Found(taken.when.replace(tzinfo=dt.timezone(offset)), "second", "exif", "gps", taken.note)
    return Found(taken.when, "second", "exif", "none",
                 "; ".join(filter(None, (taken.note, "clock and GPS time differ"))))


def _gps_time(values: Mapping[str, Any]) -> dt.datetime | None:
    """GPSDateStamp and GPSTimeStamp (UTC)."""
    day = parse_when(text(values.get("GPSDate")))
    clock = _numbers(values.get("GPSTimeStamp"))
    if not day or len(clock) != 3:
        return None
    try:
        return dt.datetime(day[0].year, day[0].month, day[0].day, tzinfo=dt.UTC) \
            + dt.timedelta(hours=clock[0], minutes=clock[1], seconds=clock[2])
    except (ValueError, OverflowError):
        return None


def _gps(values: Mapping[str, Any]) -> tuple[float, float] | None:
    """Latitude and longitude in degrees, south and west negative; 0, 0 is a receiver without a fix."""
    place = []
    for axis, negative, limit in (("GPSLatitude", "S", 90), ("GPSLongitude", "W", 180)):
        numbers = _numbers(values.get(axis))
        if len(numbers) != 3:
            return None
        degrees = numbers[0] + numbers[1] / 60 + numbers[2] / 3600
        if degrees > limit:
            return None
        place.append(-degrees if text(values.get(axis + "Ref")).strip().upper().startswith(negative) else degrees)
    return (place[0], place[1]) if any(place) else None


def _numbers(value: Any) -> list[float]:
    if not isinstance(value, list | tuple):
        return []
    try:
        return [item.numerator / item.denominator if isinstance(item, Fraction) else float(item) for item in value]
    except (TypeError, ValueError, ZeroDivisionError):
        return []


def _first(value: Any) -> Any:
    return value[0] if isinstance(value, list | tuple) and value else value


def text(value: Any) -> str:
    """A tag of type ASCII as text; blank where it is something else."""
    if isinstance(value, bytes):
        return decode(value)
    return value.split("\0")[0] if isinstance(value, str) else ""


def decode(raw: bytes) -> str:
    """Bytes as UTF-8, else as Windows-1252, which older programs wrote."""
    try:
        return raw.decode("utf-8").split("\0")[0]
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace").split("\0")[0]


def utf16(value: Any) -> str:
    """A Windows XP tag: UTF-16, little endian, as a list of bytes."""
    if not isinstance(value, bytes | list | tuple):
        return ""
    try:
        return bytes(value).decode("utf-16-le", "replace").rstrip("\0").strip()
    except (ValueError, TypeError):
        return ""


def user_comment(value: Any) -> str:
    """UserComment: eight bytes that name the character code, then the words (CIPA DC-008, UserComment)."""
    try:
        raw = bytes(value) if isinstance(value, bytes | list | tuple) else b""
    except (ValueError, TypeError):
        return ""
    code, words = raw[:8], raw[8:]
    if code.startswith(b"UNICODE"):
        big = words.startswith(b"\xfe\xff") or (not words.startswith(b"\xff\xfe") and words[:1] == b"\0")
        return words.decode("utf-16-be" if big else "utf-16-le", "replace").strip("\ufeff\0 ")
    if code.startswith(b"JIS"):
        return words.decode("iso2022_jp", "replace").strip("\0 ")
    if code.startswith(b"ASCII") or not code.strip(b"\0 "):
        return decode(words.strip(b"\0 ")).strip()
    return decode(raw.strip(b"\0 ")).strip() if raw.isascii() else ""


COMMENT_READERS: tuple[tuple[str, Callable[[Any], str]], ...] = (
    ("ImageDescription", text), ("UserComment", user_comment), ("XPComment", utf16), ("XPTitle", utf16),
    ("XPSubject", utf16))


def _camera(make: str, model: str) -> str | None:
    """The model, with the make before it unless it begins so itself."""
    make, model = make.strip(), model.strip()
    if not model:
        return make or None
    return model if not make or model.lower().startswith(make.split()[0].lower()) else f"{make} {model}"


def _comments(values: Mapping[str, Any]) -> tuple[str, ...]:
    """Descriptions that a person wrote; what cameras fill in by themselves is left out."""
    make = text(values.get("Make")).strip().lower().split(" ")[0]
    words = [reader(values[tag]) for tag, reader in COMMENT_READERS if tag in values]
    return tuple(line.strip() for line in words if line.strip() and not _filled_in(line.lower(), make))


def _filled_in(line: str, make: str) -> bool:
    return bool(make and make in line) or _STOCK_WORDS.search(line) is not None


def _split(words: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in words.split(";") if word.strip())
