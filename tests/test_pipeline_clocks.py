"""A camera's wrong clock, from the files to the proposal, its acceptance, and back."""
from __future__ import annotations

import datetime as dt
import os
import random
import re
from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import click.testing
import made_media
import pytest
from made_journals import say
from test_pipeline_index import content
from test_pipeline_index import run as run_index

from witnessmark.journal.settings import offset_text, parse_offset
from witnessmark.photos import ocr

ZONE = ZoneInfo("America/Denver")
WRONG_BY = dt.timedelta(days=365, hours=7)
MINUTE = dt.timedelta(minutes=1)
Run = Callable[..., click.testing.Result]


@pytest.fixture(autouse=True)
def without_texts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading texts in two hundred pictures takes minutes and has no part in this."""
    monkeypatch.setattr(ocr, "available", lambda: False)


def season(folder: Path, wrong_by: dt.timedelta, model: str = "C200", pictures: int = 200) -> None:
    """Twelve sessions, and pictures taken while they ran by a camera whose clock is behind."""
    chance = random.Random(3)
    starts = [dt.datetime(2024, 1, 6, 16, tzinfo=ZONE) + dt.timedelta(days=day, seconds=chance.randrange(14_000))
              for day in chance.sample(range(330), 12)]
    for start in starts:
        say(folder, start.isoformat(), f"This is day {start.day} of {start:%B}.", *["Rain on the roof."] * 11, each=8.0)
    for number in range(pictures):
        taken = chance.choice(starts) + dt.timedelta(seconds=chance.randrange(90))
        shown = (taken.replace(tzinfo=None) - wrong_by).strftime("%Y:%m:%d %H:%M:%S")
        made_media.photo(folder / "card" / f"DSC{number:05}.jpg", Make="Invented", Model=model, DateTimeOriginal=shown,
                         ImageDescription=f"number {number}")


def proposed(notes: list[str]) -> dt.timedelta | None:
    found = [re.search(r'--clock "([^"]+)"', note) for note in notes]
    offsets = [parse_offset(match[1]) for match in found if match]
    return offsets[0] if offsets else None


def test_a_proposal_is_made_applied_only_when_accepted_and_taken_back(journal_folder: Path, run: Run) -> None:
    season(journal_folder, WRONG_BY)
    before = {path: path.read_bytes() for path in (journal_folder / "card").iterdir()}
    offset = proposed(run_index(journal_folder).notes)
    assert offset is not None and abs(offset - WRONG_BY) <= MINUTE
    assert "pictures fall into 12 recordings" in run("doctor", journal_folder).output
    wrong = days(journal_folder)
    assert max(wrong) < "2024-01-06"
    taken = run("correct", journal_folder, "Invented C200", "--clock", offset_text(offset))
    assert taken.exit_code == 0 and days(journal_folder) == wrong  # the next index dates them
    assert proposed(run_index(journal_folder).notes) is None
    talks = {row["day"] for row in content(journal_folder)["sources"] if row["kind"] == "transcript"}
    assert set(days(journal_folder)) == talks
    assert run_index(journal_folder).nothing_new
    identity = re.search(r"correction (\w+)", taken.output)
    assert identity and run("correct", journal_folder, "--undo", identity[1]).exit_code == 0
    assert proposed(run_index(journal_folder).notes) == offset and days(journal_folder) == wrong
    assert {path: path.read_bytes() for path in before} == before


def days(folder: Path) -> list[str]:
    return sorted(str(row["day"]) for row in content(folder)["sources"] if row["kind"] == "photo")


def test_a_clock_that_the_builder_calls_right_is_left_in_peace(journal_folder: Path, run: Run) -> None:
    season(journal_folder, WRONG_BY, pictures=40)
    assert proposed(run_index(journal_folder).notes) is not None
    run("correct", journal_folder, "Invented C200", "--clock", "0s")
    assert proposed(run_index(journal_folder).notes) is None
    assert "camera" not in run("doctor", journal_folder).output
    assert max(days(journal_folder)) < "2024-01-06"


def test_times_of_the_files_are_evidence_where_there_is_no_talk(journal_folder: Path) -> None:
    """Sent from the camera as they were taken; the year 2000 is a camera's default."""
    first = dt.datetime(2024, 3, 1, 18, tzinfo=ZONE)
    for number in range(12):
        taken = first + dt.timedelta(days=3 * number, minutes=number)
        path = made_media.photo(journal_folder / f"{number}.jpg", Model="C200", ImageDescription=f"number {number}",
                                DateTimeOriginal=(dt.datetime(2000, 1, 1) + (taken - first)).strftime(
                                    "%Y:%m:%d %H:%M:%S"))
        os.utime(path, (taken.timestamp() + number, taken.timestamp() + number))
    notes = run_index(journal_folder).notes
    offset = proposed(notes)
    true = first.replace(tzinfo=None) - dt.datetime(2000, 1, 1)
    assert offset is not None and abs(offset - true) <= MINUTE  # daylight saving begins in between
    assert "written to disk" in " ".join(notes)


def test_a_card_copied_at_once_is_no_evidence(journal_folder: Path) -> None:
    for number in range(12):
        made_media.photo(journal_folder / f"{number}.jpg", Model="C200", ImageDescription=f"number {number}",
                         DateTimeOriginal=f"2000:01:{number + 1:02} 12:00:00")
    assert proposed(run_index(journal_folder).notes) is None


def test_films_of_the_same_camera_are_no_right_clock(journal_folder: Path) -> None:
    """A camera that films, too, is wrong in both; its own films would prove its pictures right."""
    from witnessmark.model import Capture, Moment
    from witnessmark.photos.clocks import propose_offset

    chance = random.Random(5)
    starts = [dt.datetime(2024, 1, 6, 16, tzinfo=ZONE) + dt.timedelta(days=9 * number, minutes=chance.randrange(200))
              for number in range(12)]

    def capture(name: str, at: dt.datetime, camera: str | None, seconds: float | None = None) -> Capture:
        return Capture(name, name, 1, "photo" if seconds is None else "recording", "", Moment(at, "second", "exif"),
                       seconds, camera=camera)

    talks = [capture(f"{start}.m4a", start, None, 90.0) for start in starts]
    films = [capture(f"{start}.mp4", start - WRONG_BY, "C200", 90.0) for start in starts]
    photos = [capture(f"{number}.jpg", chance.choice(starts) + dt.timedelta(seconds=chance.uniform(0, 90)) - WRONG_BY,
                      "C200") for number in range(100)]
    proposal = propose_offset(photos, talks + films)
    assert proposal is not None and abs(proposal.offset - WRONG_BY) <= MINUTE


@pytest.mark.parametrize("text", ["+365d 7h", "-1h", "+2m 30s", "+0s", "-8900d 3h 41m 9s"])
def test_offsets_are_written_as_they_are_read(text: str) -> None:
    length = parse_offset(text)
    assert length is not None and offset_text(length) == text


@pytest.mark.parametrize(("camera", "offset", "says"), [
    ("Invented C200", "a year", "+365d 7h"), ("Other 7", "+1h", "Invented C200")])
def test_what_is_no_clock_is_refused(journal_folder: Path, run: Run, camera: str, offset: str,
                                     says: str) -> None:
    season(journal_folder, WRONG_BY, pictures=1)
    run_index(journal_folder)
    result = run("correct", journal_folder, camera, "--clock", offset)
    assert result.exit_code == 1 and says in result.output
    assert not (journal_folder / "corrections.jsonl").exists()
