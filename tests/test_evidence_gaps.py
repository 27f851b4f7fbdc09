"""Gaps: what the journal does not show, and nothing where it does. And how soon each file was registered."""
from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import evidence_journal
import made_journals
import pytest

from witnessmark.evidence import gaps, payload, timeliness
from witnessmark.evidence.choice import Choice
from witnessmark.model import Capture
from witnessmark.store import open_to_read

CLOSING = {"task": "rivet", "part": "flap skin", "assembly": "flap", "side": "left", "date": "2025-04-20"}


def found_in(place: Path, told: list[made_journals.Told], pictures: list[Capture] = [],  # noqa: B006 (never changed)
             ) -> dict[str, list[gaps.Gap]]:
    journal = made_journals.database(place, told, pictures)
    db = open_to_read(journal.database)
    missing = payload.prepare(journal, db, Choice())[3]
    db.close()
    grouped: dict[str, list[gaps.Gap]] = {}
    for gap in missing:
        grouped.setdefault(gap.kind, []).append(gap)
    return grouped


def told(recorded: str, *acts: dict[str, Any], video: bool = False, **records: Any) -> made_journals.Told:
    return made_journals.Told(recorded, [(0.0, 5.0, f"words of {recorded}")],
                              {"acts": [{"cue": 0, **act} for act in acts], **records}, video=video)


CLOSED_SESSION = told("2025-04-20T18:00:00-06:00", CLOSING)


def tagged(place: Path, day: str) -> tuple[Path, Capture]:
    """A journal's folder with a photo whose caption says that it shows the flap."""
    made_journals.folder(place)
    return place, evidence_journal.photo(place, f"{day}.jpg", f"{day}T12:00:00-06:00", "Flap rib, inside")


def test_a_closed_assembly_without_a_picture_before_is_a_gap(tmp_path: Path) -> None:
    closed = found_in(tmp_path / "j", [CLOSED_SESSION])[gaps.CLOSED]
    assert [gap.what for gap in closed] == ["Left flap: skin riveted on"] and "20 April 2025" in closed[0].detail


@pytest.mark.parametrize(("day", "is_gap"), [("2025-04-10", False), ("2025-04-20", False), ("2025-04-25", True),
                                             ("2025-01-10", True)])
def test_a_picture_counts_in_the_weeks_before(tmp_path: Path, day: str, is_gap: bool) -> None:
    """The photo carries its own tag, as the indexing of pictures would write it."""
    import sqlite3

    place, picture = tagged(tmp_path / "j", day)
    journal = made_journals.database(place, [CLOSED_SESSION], [picture])
    with sqlite3.connect(journal.database) as db:
        db.execute("""INSERT INTO photo_tags (source_id, rank, assembly, part, basis, confidence)
            VALUES (?, 0, 'flap', 'flap rib', 'caption', 0.9)""", [picture.sha256[:16]])
    opened = open_to_read(journal.database)
    missing = payload.prepare(journal, opened, Choice())[3]
    opened.close()
    assert any(gap.kind == gaps.CLOSED for gap in missing) is is_gap


def test_a_film_of_work_on_it_before_counts_too(tmp_path: Path) -> None:
    filmed = told("2025-04-12T18:00:00-06:00", {"task": "prime", "part": "flap rib", "assembly": "flap",
                                                "date": "2025-04-12"}, video=True)
    assert gaps.CLOSED not in found_in(tmp_path / "one", [CLOSED_SESSION, filmed])
    planned = told("2025-04-12T18:00:00-06:00", {"task": "prime", "part": "flap rib", "assembly": "flap",
                                                 "status": "planned"}, video=True)
    assert gaps.CLOSED in found_in(tmp_path / "two", [CLOSED_SESSION, planned])


@pytest.mark.parametrize("act", [
    {"task": "cover", "part": "wing", "assembly": "wing"},
    {"task": "bond", "part": "fuselage shell", "assembly": "fuselage"},
    {"task": "seal", "part": "rear baffle", "assembly": "fuel-system"}])
def test_fabric_shells_and_tanks_close_as_well(tmp_path: Path, act: dict[str, Any]) -> None:
    assert gaps.CLOSED in found_in(tmp_path / "j", [told("2025-04-20T18:00:00-06:00", {**act, "date": "2025-04-20"})])


@pytest.mark.parametrize("act", [
    {"task": "rivet", "part": "flap rib", "assembly": "flap", "date": "2025-04-20"},
    {"task": "rivet", "part": "flap skin", "assembly": "flap", "status": "planned"},
    {"task": "cleco", "part": "flap skin", "assembly": "flap", "date": "2025-04-20"}])
def test_what_closes_nothing_is_no_gap(tmp_path: Path, act: dict[str, Any]) -> None:
    assert gaps.CLOSED not in found_in(tmp_path / "j", [told("2025-04-20T18:00:00-06:00", act)])


def test_silences_vague_days_and_figures(tmp_path: Path) -> None:
    hours = {"cue": 0, "low": 3.0, "high": 8.0, "scope": "session", "who": "builder", "date": "2025-04-20",
             "counted": True, "doubts": ("3 or 8?",)}
    vague = {**CLOSING, "task": "prime", "date": "2025-04~"}
    found = found_in(tmp_path / "j", [told("2025-04-20T18:00:00-06:00", vague, {**vague, "who": "paid"}, hours=[hours]),
                                      told("2025-06-19T18:00:00-06:00"), told("2025-08-19T18:00:00-06:00")])
    assert [gap.what for gap in found[gaps.SILENCE]] == ["19 June 2025 to 19 August 2025"]  # 61 days, not 60
    assert len(found[gaps.VAGUE]) == 1 and "about April 2025" in found[gaps.VAGUE][0].detail
    assert [gap.detail for gap in found[gaps.FIGURE]] == ["3 or 8?"]


@pytest.mark.parametrize(("caption", "is_gap"), [("Flap rib", True), ("Wim at the flap", False),
                                                 ("At work on the flap", False)])
def test_a_picture_must_show_the_builder(tmp_path: Path, caption: str, is_gap: bool) -> None:
    place = made_journals.folder(tmp_path / "j")
    picture = evidence_journal.photo(place, "a.jpg", "2025-04-20T12:00:00-06:00", caption)
    assert (gaps.AT_WORK_MISSING in found_in(place, [CLOSED_SESSION], [picture])) is is_gap


def test_a_broken_register_is_the_first_gap(tmp_path: Path) -> None:
    journal = made_journals.database(tmp_path / "j", [CLOSED_SESSION, told("2025-04-21T18:00:00-06:00")])
    lines = journal.register.read_bytes().splitlines(keepends=True)
    journal.register.write_bytes(lines[1])
    db = open_to_read(journal.database)
    missing = payload.prepare(journal, db, Choice())[3]
    db.close()
    assert [gap.kind for gap in missing[:2]] == [gaps.REGISTER] * 2 and "not in the register" in missing[1].detail


def source(captured: str | None, registered: str, precision: str = "second") -> dict[str, Any]:
    return {"captured_utc": captured, "registered": registered, "captured_precision": precision}


@pytest.mark.parametrize(("captured", "registered", "precision", "named", "said"), [
    ("2025-03-08T23:40:00+00:00", "2025-03-09T01:40:00Z", "second", "within a day", "2 hours"),
    ("2025-03-08T23:40:00+00:00", "2025-03-14T01:40:00Z", "second", "within a week", "5 days"),
    ("2025-03-08T07:00:00+00:00", "2025-03-09T06:00:00Z", "day", "within a day", "23 hours"),
    ("2025-03-08T23:40:00+00:00", "2026-12-01T01:40:00Z", "second", "more than a year later", "632 days"),
    ("2025-03-08T23:40:00+00:00", "2025-03-08T23:00:00Z", "second", timeliness.BEFORE, timeliness.BEFORE),
    ("2025-01-01T00:00:00+00:00", "2025-03-08T23:00:00Z", "month", timeliness.UNKNOWN, "not known"),
    (None, "2025-03-08T23:00:00Z", "none", timeliness.UNKNOWN, "not known")])
def test_how_soon_a_file_was_registered(captured: str | None, registered: str, precision: str, named: str,
                                        said: str) -> None:
    late = timeliness.delay(source(captured, registered, precision))
    assert (timeliness.class_of(late), timeliness.in_words(late)) == (named, said)


def test_a_second_of_clock_difference_is_no_wrong_clock() -> None:
    assert timeliness.class_of(dt.timedelta(seconds=-30)) == "within a day"
