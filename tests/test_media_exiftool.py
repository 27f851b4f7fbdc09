"""Dates, zones, orientation, places and labels agree with exiftool, an independent reader and writer of the same files.

Where the two differ on purpose, the difference is one of those named in `Difference`, and each of those is met with.
"""
from __future__ import annotations

import datetime as dt
import enum
import itertools
import json
import re
import shutil
import subprocess
from collections import Counter
from pathlib import Path
from typing import Any

import made_media
import pytest
from PIL import Image

from witnessmark.media import ingest, pictures
from witnessmark.media.exif import Exif
from witnessmark.model import Settings
from witnessmark.photos.showing import upright

EXIFTOOL = shutil.which("exiftool")
pytestmark = pytest.mark.skipif(EXIFTOOL is None, reason="exiftool is not installed")
DENVER = Settings(timezone="America/Denver")
OTHER_FORMATS = ("png", "webp", "tif", "heic", "avif")
EVERY = 16
ORIGINAL, DIGITIZED, CHANGED = "2024:03:09 10:30:00", "2024:03:09 10:31:07", "2024:05:01 08:00:00"
PLACE = {"GPSLatitudeRef": "N", "GPSLatitude": (44.0, 30.0, 0.0), "GPSLongitudeRef": "W",
         "GPSLongitude": (103.0, 15.0, 0.0), "GPSDateStamp": "2024:03:09", "GPSTimeStamp": (17.0, 30.0, 20.0)}
# Each of these alone or with any others: all combinations.
CHOICES: tuple[dict[str, Any], ...] = (
    {"DateTimeOriginal": ORIGINAL}, {"DateTimeDigitized": DIGITIZED}, {"DateTime": CHANGED},
    {"OffsetTimeOriginal": "-05:00"}, {"OffsetTimeDigitized": "+05:45"}, {"OffsetTime": "-07:00"},
    {"SubSecTimeOriginal": "05"}, {"SubSecTimeDigitized": "250"}, {"SubSecTime": "9"}, PLACE)


class Difference(enum.Enum):
    """Why we say something else than exiftool prints."""

    ZONE_BY_GPS = "it prints the tags; we work out the zone of a wall time from GPS time, which counts in UTC"
    ZONE_OF_CHANGE = "it prints OffsetTime with DateTime only; we take it for DateTimeOriginal of the same second, too"
    TURNED_BY_CONTAINER = ("it prints the tag; HEIC and AVIF are turned by properties of the container (ISO/IEC "
                           "23008-12, 6.5.10), which the decoder has applied already or hands over in place of the tag")


def written(folder: Path) -> None:
    """A JPEG of every combination, and every sixteenth of them in each other format."""
    for number, picked in enumerate(itertools.product((False, True), repeat=len(CHOICES))):
        tags = {name: value for there, choice in zip(picked, CHOICES, strict=True) if there
                for name, value in choice.items()}
        if number % 2 and "DateTime" in tags:  # a picture that nobody has edited
            tags["DateTime"] = ORIGINAL
        tags |= {"Model": "P7", "Orientation": number % 8 + 1}
        made_media.photo(folder / f"{number:04}.jpg", **tags)
        for shift, suffix in enumerate(OTHER_FORMATS):
            if number % EVERY == shift:
                made_media.photo(folder / f"{number:04}.{suffix}", **tags)


def read_by_exiftool(folder: Path) -> list[dict[str, Any]]:
    told = subprocess.run([EXIFTOOL or "", "-json", "-n", "-q", "-r", "."], cwd=folder, capture_output=True, text=True,
                          check=True).stdout
    return json.loads(told, parse_int=str, parse_float=str)


def moment(theirs: dict[str, Any], name: str) -> tuple[dt.datetime, bool] | None:
    """A time as exiftool puts it together from date, fraction and offset; its wall time, zone included."""
    text = theirs.get(f"SubSec{name}") or theirs.get(name)
    if text is None:
        return None
    found = re.fullmatch(r"(\d{4}):(\d\d):(\d\d) (\d\d:\d\d:\d\d)(\.\d+)?([+-]\d\d:\d\d)?", text)
    assert found, text
    year, month, day, clock, fraction, zone = found.groups()
    fraction = f".{(fraction or '.0')[1:]:0<6}"
    return dt.datetime.fromisoformat(f"{year}-{month}-{day}T{clock}{fraction}{zone or ''}"), zone is not None


def differences(ours: Exif, theirs: dict[str, Any]) -> set[Difference]:
    """Every reason why our reading is not theirs; AssertionError where it is for none of the reasons known."""
    name = theirs["SourceFile"]
    found: set[Difference] = set()
    expected = moment(theirs, "DateTimeOriginal") or moment(theirs, "CreateDate")
    chosen = ours.taken
    if expected is None:
        expected, chosen = moment(theirs, "ModifyDate"), ours.taken or ours.changed
    assert (chosen is None) == (expected is None), name
    if chosen and expected:
        when, zoned = expected
        assert chosen.when.replace(tzinfo=None) == when.replace(tzinfo=None), name
        if zoned or chosen.when.tzinfo is None:
            assert chosen.when.utcoffset() == when.utcoffset(), name
        elif chosen.zone_basis == "gps":
            utc = dt.datetime.strptime(theirs["GPSDateTime"], "%Y:%m:%d %H:%M:%SZ")
            assert abs(when - utc - (chosen.when.utcoffset() or dt.timedelta(0))) < dt.timedelta(minutes=3), name
            found.add(Difference.ZONE_BY_GPS)
        else:
            changed = moment(theirs, "ModifyDate")
            assert changed and changed[0].replace(tzinfo=None, microsecond=0) == when.replace(microsecond=0), name
            assert chosen.when.utcoffset() == changed[0].utcoffset(), name
            found.add(Difference.ZONE_OF_CHANGE)
    assert ours.camera == theirs["Model"], name
    assert (ours.gps is None) == ("GPSLatitude" not in theirs), name
    if ours.gps:
        assert ours.gps == (pytest.approx(float(theirs["GPSLatitude"])), pytest.approx(float(theirs["GPSLongitude"])))
    if ours.orientation != int(theirs.get("Orientation", 0)):
        assert name.endswith((".heic", ".avif")), name
        found.add(Difference.TURNED_BY_CONTAINER)
    return found


def test_every_combination_of_tags_is_read_as_an_independent_reader_reads_it(tmp_path: Path) -> None:
    written(tmp_path)
    told = read_by_exiftool(tmp_path)
    assert len(told) == 2 ** len(CHOICES) * (1 + len(OTHER_FORMATS) / EVERY)
    met: Counter[Difference] = Counter()
    for theirs in told:
        met.update(differences(pictures.read(tmp_path / theirs["SourceFile"]).exif, theirs))
    assert set(met) == set(Difference), met


def test_tags_written_by_an_independent_writer(tmp_path: Path) -> None:
    """TIFF with EXIF inside, IPTC, XMP keywords and a GPS place, all written by exiftool."""
    for name in ("a.tif", "b.jpg", "c.png"):
        made_media.marked().save(tmp_path / name)
        subprocess.run([EXIFTOOL or "", "-q", "-overwrite_original", "-EXIF:DateTimeOriginal=2024:03:09 16:40:00",
                        "-EXIF:OffsetTimeOriginal=-07:00", "-EXIF:Orientation#=6", "-EXIF:UserComment=Rear spar",
                        "-XMP-dc:Subject=wing", "-XMP-dc:Subject=spar", "-XMP-dc:Description=Left wing",
                        "-GPSLatitude=44.5", "-GPSLatitudeRef=N", "-GPSLongitude=103.25", "-GPSLongitudeRef=W",
                        *(["-IPTC:Caption-Abstract=Höhe", "-IPTC:Keywords=flange", "-codedcharacterset=utf8"]
                          if name != "c.png" else []), name], cwd=tmp_path, check=True)
    for name in ("a.tif", "b.jpg", "c.png"):
        capture = ingest(tmp_path, name, DENVER)
        assert capture.moment.at is not None and capture.moment.at.isoformat() == "2024-03-09T16:40:00-07:00", name
        assert capture.gps == (pytest.approx(44.5), pytest.approx(-103.25)), name
        iptc = name != "c.png"
        assert capture.caption == ("Left wing; Höhe; Rear spar" if iptc else "Left wing; Rear spar"), name
        assert capture.keywords == (("wing", "spar", "flange") if iptc else ("wing", "spar")), name
        assert (capture.width, capture.height) == (64, 96), name
        with Image.open(tmp_path / name) as stored:
            assert upright(tmp_path / name, 640).size == (64, 96), (name, stored.size)
