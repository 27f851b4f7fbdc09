"""Where a file's time comes from: names, zones, clock changes, containers, notes."""
from __future__ import annotations

import datetime as dt
import os
from pathlib import Path
from zoneinfo import ZoneInfo

import made_media
import pytest

from witnessmark.media import ingest
from witnessmark.media.moments import localize
from witnessmark.media.names import from_name
from witnessmark.media.recordings import settle
from witnessmark.media.texts import first_date, transcript_length
from witnessmark.model import Camera, Settings

DENVER = Settings(timezone="America/Denver")
ZONE = ZoneInfo("America/Denver")


@pytest.mark.parametrize(("name", "expected"), [
    ("VID_20250208_153000.mp4", "2025-02-08T15:30:00 second"),
    ("clip 20240309_164000~2.mp4", "2024-03-09T16:40:00 second"),
    ("2024-03-09 16.40.00.jpg", "2024-03-09T16:40:00 second"),
    ("Screenshot_20240309-164000.png", "2024-03-09T16:40:00 second"),
    ("Clip 2024-03-09 at 4.40.05 PM.jpeg", "2024-03-09T16:40:05 second"),
    ("Clip 2024-03-09 at 12.05.00 AM.jpeg", "2024-03-09T00:05:00 second"),
    ("CAM_20240309164000_0001_D.MP4", "2024-03-09T16:40:00 second"),
    ("WIN_20240309_16_40_00_Pro.mp4", "2024-03-09T16:40:00 second"),
    ("2024-03-09T16-40-00.wav", "2024-03-09T16:40:00 second"),
    ("20240309T164000Z.wav", "2024-03-09T16:40:00+00:00 second"),
    ("PXL_20240309_234000123.jpg", "2024-03-09T23:40:00.123000+00:00 second"),
    ("2024-03-09 16h40.m4a", "2024-03-09T16:40:00 minute"),
    ("IMG-20240309-WA0001.jpg", "2024-03-09T12:00:00 day"),
    ("note 2025-02-16.m4a", "2025-02-16T12:00:00 day"),
    ("20240309_1640.m4a", "2024-03-09T12:00:00 day"),  # 1640 may be a running number
    ("2024-03-09 spar/DSC_0007.jpg", "2024-03-09T12:00:00 day"),
    ("IMG_1234.jpg", None), ("2024-13-09.jpg", None), ("DSC_20240230.jpg", None), ("1710027600000.jpg", None),
    ("part 12024-03-091.jpg", None), ("09-03-2024.jpg", None), ("240309_164000.mp3", None),
])
def test_times_in_names(name: str, expected: str | None) -> None:
    found = from_name(name)
    assert (found and f"{found.when.isoformat()} {found.precision}") == expected


# In the United States clocks change at two in the morning of the second Sunday of March and the first Sunday of
# November (15 U.S.C. 260a): 10 March and 3 November 2024.
@pytest.mark.parametrize(("wall", "offset", "remark"), [
    ("2024-03-10T01:59:59", -7, ""), ("2024-03-10T03:00:00", -6, ""),
    ("2024-03-10T02:30:00", -6, "did not exist"),
    ("2024-11-03T00:59:59", -6, ""), ("2024-11-03T02:00:00", -7, ""),
    ("2024-11-03T01:30:00", -6, "happened twice"),
])
def test_both_sides_of_a_clock_change(wall: str, offset: int, remark: str) -> None:
    moment, note = localize(dt.datetime.fromisoformat(wall), ZONE)
    assert moment.utcoffset() == dt.timedelta(hours=offset)
    assert remark in note and bool(remark) == bool(note)
    if remark == "did not exist":
        assert moment.strftime("%H:%M") == "03:30"


def test_a_doubtful_hour_is_said_so(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "a.jpg", DateTimeOriginal="2024:11:03 01:30:00")
    moment = ingest(tmp_path, "a.jpg", DENVER).moment
    assert moment.zone_basis == "journal" and "twice" in moment.note


def test_quicktime_date_with_its_zone_comes_before_the_container_clock(tmp_path: Path) -> None:
    made_media.recording(tmp_path / "a.mov", tags={
        "com.apple.quicktime.creationdate": "2025-03-15T18:20:00-0600", "creation_time": "2025-03-16T09:00:00Z"})
    capture = ingest(tmp_path, "a.mov", DENVER)
    assert capture.moment.at == dt.datetime(2025, 3, 15, 18, 20, tzinfo=dt.timezone(dt.timedelta(hours=-6)))
    assert (capture.moment.basis, capture.moment.zone_basis) == ("container", "offset")
    assert capture.has_video and capture.has_sound and capture.duration == pytest.approx(2.0, abs=0.1)


@pytest.mark.parametrize("name", ["a.mp4", "b.m4a", "c.mkv"])
def test_container_time_counts_in_utc(tmp_path: Path, name: str) -> None:
    made_media.recording(tmp_path / name, video=not name.endswith("m4a"),
                         tags={"creation_time": "2025-02-09T02:30:00.000000Z"})
    moment = ingest(tmp_path, name, DENVER).moment
    assert moment.at is not None
    assert (moment.at.isoformat(), moment.basis, moment.zone_basis) == ("2025-02-08T19:30:00-07:00", "container", "utc")


@pytest.mark.parametrize("default", ["1904-01-01T00:00:00Z", "1970-01-01T00:00:00Z"])
def test_a_clock_that_was_never_set_is_no_time(tmp_path: Path, default: str) -> None:
    made_media.recording(tmp_path / "20250208_153000.mp4", tags={"creation_time": default})
    moment = ingest(tmp_path, "20250208_153000.mp4", DENVER).moment
    assert moment.basis == "file-name"
    assert moment.at is not None and moment.at.isoformat() == "2025-02-08T15:30:00-07:00"


@pytest.mark.parametrize(("container", "name", "start"), [
    ("2025-02-08T22:30:00Z", "VID_20250208_153000.mp4", "2025-02-08T22:30:00"),  # start
    ("2025-02-08T22:40:00Z", "VID_20250208_153000.mp4", "2025-02-08T22:30:00"),  # end of ten minutes
    ("2025-02-08T15:30:01Z", "VID_20250208_153000.mp4", "2025-02-08T22:30:00"),  # local time written as UTC
    ("2025-02-08T15:40:00Z", "VID_20250208_153000.mp4", "2025-02-08T22:30:00"),  # the same, at the end
    ("2025-02-08T18:00:00Z", "VID_20250208_153000.mp4", "2025-02-08T18:00:00"),  # no relation: the container
])
def test_the_name_shows_what_a_container_time_means(container: str, name: str, start: str) -> None:
    from witnessmark.media.moments import Found, moment_of

    found = Found(dt.datetime.fromisoformat(container), "second", "container", "utc")
    settled = settle(found, from_name(name), 600.0, ZONE)
    assert settled is not None
    moment = moment_of(settled, DENVER)
    assert moment.at is not None and moment.at.astimezone(dt.UTC).replace(tzinfo=None).isoformat() == start


def test_a_phone_that_writes_the_end_of_the_recording(tmp_path: Path) -> None:
    made_media.recording(tmp_path / "a.mp4", seconds=3.0, tags={
        "creation_time": "2025-02-08T22:30:03Z", "com.android.version": "14"})
    moment = ingest(tmp_path, "a.mp4", DENVER).moment
    start = dt.datetime(2025, 2, 8, 22, 30, tzinfo=dt.UTC)
    assert moment.at is not None and abs((moment.at - start).total_seconds()) < 0.3
    assert "end" in moment.note


def test_sound_files_and_their_dates(tmp_path: Path) -> None:
    made_media.recording(tmp_path / "a.mp3", video=False, tags={"date": "2025-02-08"})
    made_media.recording(tmp_path / "b.flac", video=False, tags={"date": "2025-02-08"})
    made_media.recording(tmp_path / "c 2025-02-08 10.11.12.wav", video=False)
    for name, precision, basis in (("a.mp3", "day", "container"), ("b.flac", "day", "container"),
                                   ("c 2025-02-08 10.11.12.wav", "second", "file-name")):
        capture = ingest(tmp_path, name, DENVER)
        assert (capture.kind, capture.has_video, capture.has_sound) == ("recording", False, True)
        assert (capture.moment.precision, capture.moment.basis) == (precision, basis)
        assert capture.moment.at is not None and capture.moment.at.date() == dt.date(2025, 2, 8)


def test_picture_without_sound(tmp_path: Path) -> None:
    made_media.recording(tmp_path / "a.avi", sound=False)
    capture = ingest(tmp_path, "a.avi", DENVER)
    assert (capture.has_video, capture.has_sound, capture.width, capture.height) == (True, False, 64, 48)


@pytest.mark.parametrize(("text", "expected"), [
    ("# Rudder, 2024-03-09\nmore", dt.date(2024, 3, 9)), ("Saturday, March 9, 2024", dt.date(2024, 3, 9)),
    ("9th of March 2024", dt.date(2024, 3, 9)), ("9.3.2024", dt.date(2024, 3, 9)),
    ("date: 3/19/2024", dt.date(2024, 3, 19)), ("19/3/2024", dt.date(2024, 3, 19)), ("3/4/2024", None),
    ("part 2024-99-12", None), ("no date here\n", None), ("\n" * 30 + "2024-03-09", None)])
def test_first_date_of_a_note(text: str, expected: dt.date | None) -> None:
    found = first_date(text)
    assert (found and found.when.date()) == expected


def test_transcripts_and_notes(tmp_path: Path) -> None:
    (tmp_path / "20240309_164000.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:04.500\nhello\n")
    (tmp_path / "note.txt").write_bytes("Saturday 9 March 2024 \x96 caf\xe9\n".encode("latin-1"))
    spoken = ingest(tmp_path, "20240309_164000.vtt", DENVER)
    assert (spoken.kind, spoken.duration) == ("transcript", 4.5)
    assert spoken.moment.at is not None and spoken.moment.at.isoformat() == "2024-03-09T16:40:00-07:00"
    note = ingest(tmp_path, "note.txt", DENVER)
    assert note.kind == "note" and note.moment.precision == "day"
    assert note.moment.at is not None and note.moment.at.date() == dt.date(2024, 3, 9)
    assert transcript_length("1\n00:00:01,000 --> 01:00:02,250\nhi\n") == 3602.25


def test_a_file_time_is_the_last_resort_and_says_so(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "a.jpg")
    os.utime(tmp_path / "a.jpg", (1_710_027_600, 1_710_027_600))
    moment = ingest(tmp_path, "a.jpg", DENVER).moment
    assert (moment.basis, moment.precision) == ("file-time", "day")
    assert "copying" in moment.note


def test_sidecar_time_and_captions(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "DSC_1.jpg", ImageDescription="Left wing rib")
    (tmp_path / "DSC_1.jpg.xmp").write_bytes(made_media.xmp(
        "Rear spar", ("wing",), 'photoshop:DateCreated="2024-03-09T16:40:00-07:00"'))
    capture = ingest(tmp_path, "DSC_1.jpg", DENVER)
    assert (capture.moment.basis, capture.moment.zone_basis) == ("sidecar", "offset")
    assert capture.caption == "Left wing rib; Rear spar" and capture.keywords == ("wing",)


def test_a_camera_offset_is_applied_to_its_own_clock_only(tmp_path: Path) -> None:
    wrong = Settings(timezone="America/Denver", cameras=(Camera("C200", dt.timedelta(days=366, hours=7)),))
    made_media.photo(tmp_path / "a.jpg", Make="Invented", Model="C200", DateTimeOriginal="2023:03:10 08:30:00")
    made_media.photo(tmp_path / "b.jpg", Make="Invented", Model="C2000", DateTimeOriginal="2023:03:10 08:30:00")
    made_media.photo(tmp_path / "20240310_153000.jpg", Make="Invented", Model="C200")
    before = (tmp_path / "a.jpg").read_bytes()
    corrected = ingest(tmp_path, "a.jpg", wrong).moment
    # The corrected wall time falls into daylight saving time, which the wrong one did not.
    assert corrected.at is not None and corrected.at.isoformat() == "2024-03-10T15:30:00-06:00"
    assert "clock corrected by +366 d 7 h" in corrected.note
    other = ingest(tmp_path, "b.jpg", wrong).moment
    assert other.at is not None and other.at.year == 2023
    named = ingest(tmp_path, "20240310_153000.jpg", wrong).moment
    assert named.at is not None and named.at.isoformat() == "2024-03-10T15:30:00-06:00"
    assert (tmp_path / "a.jpg").read_bytes() == before
