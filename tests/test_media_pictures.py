"""What pictures say of themselves, against the EXIF standard's own examples (test_media_exiftool.py: a reader's)."""
from __future__ import annotations

import datetime as dt
import itertools
from pathlib import Path

import made_media
import pytest

from witnessmark.media import ingest
from witnessmark.model import Settings
from witnessmark.photos.showing import upright

DENVER = Settings(timezone="America/Denver")
FORMATS = ("jpg", "png", "webp", "heic", "avif")


def one(folder: Path, name: str = "a.jpg"):  # type: ignore[no-untyped-def]
    return ingest(folder, name, DENVER)


# CIPA DC-008, "Note - Recording subsecond data", examples 1 to 4: 130 thousandths, filled up with blanks; unknown.
@pytest.mark.parametrize(("fraction", "micro"), [("130", 130_000), ("130 ", 130_000), ("130     ", 130_000),
                                                 ("        ", 0)])
def test_fractions_of_seconds_as_the_standard_prints_them(tmp_path: Path, fraction: str, micro: int) -> None:
    made_media.photo(tmp_path / "a.jpg", DateTimeOriginal="1996:09:01 09:15:30", SubSecTimeOriginal=fraction)
    at = one(tmp_path).moment.at
    assert at is not None and at.replace(tzinfo=None) == dt.datetime(1996, 9, 1, 9, 15, 30, micro)


# CIPA DC-008, GPSLatitude: "dd/1,mm/1,ss/1", or with fractions of minutes "dd/1,mmmm/100,0/1".
@pytest.mark.parametrize(("written", "degrees"), [((39.0, 44.0, 21.0), 39 + 44 / 60 + 21 / 3600),
                                                  ((39.0, 44.35, 0.0), 39 + 44.35 / 60)])
def test_places_in_the_two_forms_of_the_standard(tmp_path: Path, written: tuple[float, ...], degrees: float) -> None:
    made_media.photo(tmp_path / "a.jpg", GPSLatitudeRef="S", GPSLatitude=written, GPSLongitudeRef="E",
                     GPSLongitude=(104.0, 30.0, 0.0))
    assert one(tmp_path).gps == (pytest.approx(-degrees), pytest.approx(104.5))


# CIPA DC-008, DateTimeOriginal: unknown figures, or the whole, may be filled with blanks; offset "+HH:MM" or "-HH:MM".
@pytest.mark.parametrize("blank", ["    :  :     :  :  ", " " * 19, "0000:00:00 00:00:00",
                                   "2024:02:30 10:00:00", "soon"])
def test_unknown_times_are_none(tmp_path: Path, blank: str) -> None:
    made_media.photo(tmp_path / "a.jpg", DateTimeOriginal=blank, OffsetTimeOriginal="   :  ")
    assert one(tmp_path).moment.basis == "file-time"


# CIPA DC-008, UserComment: eight bytes name the character code (ASCII, JIS X208-1990, Unicode, undefined).
@pytest.mark.parametrize("raw", [b"ASCII\0\0\0Rear spar", b"UNICODE\0" + "Rear spar".encode("utf-16-le"),
                                 b"UNICODE\0" + "Rear spar".encode("utf-16-be"), b"\0" * 8 + b"Rear spar\0\0",
                                 b"JIS\0\0\0\0\0" + "Rear spar".encode("iso2022_jp")])
def test_user_comments_in_every_character_code(tmp_path: Path, raw: bytes) -> None:
    made_media.photo(tmp_path / "a.jpg", UserComment=raw)
    assert one(tmp_path).caption == "Rear spar"


# CIPA DC-008, Orientation: 1 top left, 2 top right, 3 bottom right, 4 bottom left, 5 left top, 6 right top,
# 7 right bottom, 8 left bottom: where the first row and column of the stored picture lie when it is looked at.
@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.avif"])
@pytest.mark.parametrize(("orientation", "corner"), [(1, (0, 0)), (2, (1, 0)), (3, (1, 1)), (4, (0, 1)),
                                                     (5, (0, 0)), (6, (1, 0)), (7, (1, 1)), (8, (0, 1))])
def test_every_orientation_is_shown_upright(tmp_path: Path, name: str, orientation: int,
                                            corner: tuple[int, int]) -> None:
    made_media.photo(tmp_path / name, Orientation=orientation)
    capture = one(tmp_path, name)
    shown = upright(tmp_path / name, 640)
    assert shown.size == (capture.width, capture.height) == ((96, 64) if orientation < 5 else (64, 96))
    for column, row in itertools.product((0, 1), repeat=2):
        red, green, _ = shown.getpixel((column * (shown.width - 9) + 4, row * (shown.height - 9) + 4))  # type: ignore[misc]
        assert (red > 180 and green < 90) == ((column, row) == corner)


@pytest.mark.parametrize(("tags", "zone_basis", "hours"), [
    ({"OffsetTimeOriginal": "+09:30"}, "offset", 9.5), ({"OffsetTimeOriginal": "-03:00"}, "offset", -3),
    ({"GPSDateStamp": "2024:07:01", "GPSTimeStamp": (13.0, 0.0, 20.0)}, "gps", -5),
    ({"GPSDateStamp": "2024:06:30", "GPSTimeStamp": (22.0, 15.0, 0.0)}, "gps", 9.75),
    ({"GPSDateStamp": "2024:07:01", "GPSTimeStamp": (13.0, 7.0, 0.0)}, "journal", -6),  # seven minutes are no zone
    ({"GPSDateStamp": "2023:07:01", "GPSTimeStamp": (13.0, 0.0, 0.0)}, "journal", -6),  # a year is none either
    ({"DateTime": "2024:07:01 08:00:00", "OffsetTime": "-04:00"}, "offset", -4), ({}, "journal", -6)])
def test_zone_by_offset_tag_else_gps_else_journal(tmp_path: Path, tags: dict[str, object], zone_basis: str,
                                                  hours: float) -> None:
    made_media.photo(tmp_path / "a.jpg", DateTimeOriginal="2024:07:01 08:00:00", **tags)
    moment = one(tmp_path).moment
    assert moment.zone_basis == zone_basis
    assert moment.at is not None and moment.at.utcoffset() == dt.timedelta(hours=hours)
    differs = zone_basis == "journal" and "GPSDateStamp" in tags
    assert ("GPS time differ" in moment.note) == differs


def test_captions_of_every_kind_once_and_best_first(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "a.jpg", packet=made_media.xmp("Flap hinge", ("flap", "Hinge")), Make="Invented",
                     ImageDescription="INVENTED DIGITAL CAMERA", XPComment="flap hinge".encode("utf-16-le"),
                     UserComment=b"ASCII\0\0\0second try", XPKeywords="hinge;pin".encode("utf-16-le"))
    capture = one(tmp_path)
    assert capture.caption == "Flap hinge; second try"
    assert capture.keywords == ("flap", "Hinge", "pin")


@pytest.mark.parametrize("suffix", FORMATS)
def test_every_format_carries_time_camera_and_caption(tmp_path: Path, suffix: str) -> None:
    made_media.photo(tmp_path / f"a.{suffix}", ImageDescription="Rear spar", Make="Invented", Model="Invented P7",
                     DateTimeOriginal="2024:03:09 16:40:00", OffsetTimeOriginal="-07:00")
    capture = one(tmp_path, f"a.{suffix}")
    assert (capture.kind, capture.camera, capture.caption) == ("photo", "Invented P7", "Rear spar")
    assert capture.moment.at is not None and capture.moment.at.isoformat() == "2024-03-09T16:40:00-07:00"
    assert not capture.problems


def test_damaged_metadata_gives_what_can_be_read(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "a.jpg", packet=made_media.xmp("Rear spar").replace(b"</rdf:Bag>", b"<"),
                     ImageDescription="Rib", DateTimeOriginal="2024:03:09 16:40:00")
    capture = one(tmp_path)
    assert capture.kind == "photo" and capture.moment.precision == "second" and capture.caption == "Rib"
    assert len(capture.problems) == 1 and "XMP" in capture.problems[0]
    block = bytearray(made_media.exif(ImageDescription="Rib", Model="P7").tobytes())
    made_media.marked().save(tmp_path / "b.jpg", exif=bytes(block[:30]))
    assert one(tmp_path, "b.jpg").kind == "photo"


def test_entities_in_xmp_are_refused(tmp_path: Path) -> None:
    bomb = (b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;">]>'
            + made_media.xmp("&b;").replace(b"\n", b" "))
    made_media.photo(tmp_path / "a.jpg", packet=bomb)
    capture = one(tmp_path)
    assert capture.caption is None and "XMP" in capture.problems[0]
