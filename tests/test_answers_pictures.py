"""Answers come with their pictures: acts, a day's hours, money, hits of a search; and no place leaves unasked."""
from __future__ import annotations

import datetime as dt
import hashlib
import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click.testing
import made_journals
import pytest
from made_journals import Told

from witnessmark.model import Capture, Moment
from witnessmark.store import open_to_write, writing

Run = Callable[..., click.testing.Result]
DAY = "2025-03-09"
TOLD = Told(f"{DAY}T16:40:00-06:00", [(0, 5, "I primed the left flap rib."), (5, 9, "Next I paint the flap skin."),
                                      (10, 15, "Three hours. A rivet gun, ninety dollars.")], {
    "acts": [{"cue": 0, "task": "prime", "part": "flap rib", "side": "left", "assembly": "flap", "date": DAY},
             {"cue": 1, "task": "paint", "part": "flap skin", "assembly": "flap", "status": "planned"}],
    "hours": [{"cue": 2, "low": 3, "high": 3, "scope": "session", "who": "builder", "date": DAY, "counted": True,
               "assembly": "flap"}],
    "purchases": [{"cue": 2, "item": "rivet gun", "category": "tool", "status": "bought", "amount_low": 90,
                   "amount_high": 90, "date": DAY}]}, video=True)


def picture(name: str, hour: int = 16, **more: Any) -> Capture:
    moment = Moment(dt.datetime(2025, 3, 9, hour, 41, tzinfo=dt.timezone(dt.timedelta(hours=-6))), "second", "exif")
    return Capture(f"photos/{name}.jpg", hashlib.sha256(name.encode()).hexdigest(), 9, "photo", "image/jpeg", moment,
                   **more)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """An act with a picture and its blurred double, pictures of the same day, a receipt that was told of, one not."""
    shown = {"primed rib": ("flap", "rib", 0.9), "blurred": ("flap", "rib", 0.8), "rudder": ("rudder", "spar", 0.9),
             "flap skin": ("flap", "skin", 0.7), "perhaps": ("flap", None, 0.3)}
    slips = ("slip", "other slip")
    pictures = [picture(name) for name in (*shown, *slips)]
    pictures[0] = picture("primed rib", gps=(44.5, -103.25))
    journal = made_journals.database(tmp_path / "journal", [TOLD], pictures)
    db, _ = open_to_write(journal.database)
    primed = next(iter(db.query("SELECT id FROM acts WHERE task = 'prime'")))["id"]
    for name, (assembly, part, sure) in shown.items():
        leader = "primed rib" if name == "blurred" else name
        writing.write_photo(db, picture(name).sha256, {
            "thumbnail": "x.jpg", "is_receipt": 0, "leader_id": writing.source_id(picture(leader).sha256)})
        writing.write_tags(db, picture(name).sha256, [
            {"rank": 0, "assembly": assembly, "part": part, "basis": "caption", "confidence": sure,
             "act_id": primed if part == "rib" else None}])
    for name in slips:
        writing.write_photo(db, picture(name).sha256, {"thumbnail": "x.jpg", "is_receipt": 1})
        writing.write_receipt(db, picture(name).sha256, {
            "vendor": "Tarn Hardware", "date": DAY, "total": 90.0, "lines": [], "problems": [], "confidence": 0.9})
    bought = next(iter(db.query("SELECT id FROM purchases")))["id"]
    writing.write_receipt_matches(db, {bought: (picture("slip").sha256, ["said 90.00, printed 80.00"])})
    db.close()
    return journal.root


def answer(run: Run, *words: Any) -> Any:
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_when_shows_the_picture_that_was_taken_with_the_act(run: Run, folder: Path) -> None:
    found = answer(run, "when", folder, "when was the flap rib primed")
    line = found["answers"][0]
    assert line["pictures"] == ["photos/primed rib.jpg"]  # of a burst the best alone
    assert line["still"].startswith(".witnessmark/thumbnails/") and line["still"].endswith(".jpg")
    assert "photos/primed rib.jpg" in run("when", folder, "when was the flap rib primed").output


def test_what_was_only_planned_is_shown_without_a_picture(run: Run, folder: Path) -> None:
    assert "pictures" not in answer(run, "when", folder, "when was the flap skin painted")["only_planned"][0]
    assert "thumbnails" not in run("when", folder, "when was the flap skin painted").output


def test_find_finds_pictures_by_what_they_show(run: Run, folder: Path) -> None:
    hits = answer(run, "find", folder, "rudder spar")["hits"]
    assert [(hit["kind"], hit["source"]) for hit in hits] == [("picture", "photos/rudder.jpg")]
    told = next(hit for hit in answer(run, "find", folder, "primed flap rib")["hits"] if hit["kind"] == "words")
    assert told["pictures"] == ["photos/primed rib.jpg"]
    assert "perhaps" not in json.dumps(answer(run, "find", folder, "flap"))  # too unsure to be an answer


def test_hours_show_the_pictures_of_their_day_and_assembly(run: Run, folder: Path) -> None:
    line = answer(run, "hours", folder)["lines"][0]
    assert line["pictures"] == ["photos/flap skin.jpg", "photos/primed rib.jpg"]
    assert "photos/flap skin.jpg and 1" in run("hours", folder, "--lines").output.replace("\n", " ")


def test_spend_shows_the_receipt_what_differs_and_what_nobody_spoke_of(run: Run, folder: Path) -> None:
    found = answer(run, "spend", folder)
    assert found["lines"][0]["receipt"] == "photos/slip.jpg"
    assert found["lines"][0]["receipt_problems"] == ["said 90.00, printed 80.00"]
    assert [(line["source"], line["total"]) for line in found["receipts_alone"]] == [("photos/other slip.jpg", 90.0)]
    assert found["low"] == 90  # a receipt that nobody spoke of adds nothing
    shown = run("spend", folder, "--lines").output
    assert "photos/slip.jpg" in shown and "not counted above" in shown


def test_records_carry_pictures_and_receipts(run: Run, folder: Path) -> None:
    session = answer(run, "records", folder)["sessions"][0]
    assert session["acts"][0]["pictures"] == ["photos/primed rib.jpg"] and session["acts"][0]["still"]
    assert session["purchases"][0]["receipt"] == ["photos/slip.jpg"]
    assert "pictures" not in session["acts"][1]


@pytest.mark.parametrize("words", [("records",), ("when", "flap rib primed"), ("find", "flap rib"), ("hours",),
                                   ("spend",)])
def test_places_are_in_no_answer(run: Run, folder: Path, words: tuple[str, ...]) -> None:
    assert "44.5" not in run(words[0], folder, *words[1:], "--json").output


def test_places_are_kept_and_shown_when_asked_for(run: Run, folder: Path, tmp_path: Path) -> None:
    db = sqlite3.connect(folder / ".witnessmark" / "journal.db")
    assert db.execute("SELECT latitude, longitude FROM places").fetchall() == [(44.5, -103.25)]
    columns = {row[1] for table in ("sources", "photos", "timeline")
               for row in db.execute(f"PRAGMA table_info({table})")}
    db.close()
    assert not {"latitude", "longitude"} & columns
    for asked in (False, True):
        out = tmp_path / f"out-{asked}"
        assert run("evidence", folder, "--out", out, *(["--places"] if asked else [])).exit_code == 0
        told = "".join(path.read_text() for path in out.rglob("sources.*") if path.suffix in (".csv", ".jsonl"))
        assert ("-103.25" in told) == asked and "primed rib" in told


def test_pages_list_no_places(folder: Path) -> None:
    pytest.importorskip("datasette")
    import asyncio

    import httpx

    from witnessmark import serving
    from witnessmark.journal import open_journal

    async def pages() -> list[str]:
        app = serving.application(open_journal(folder)).app()
        way = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=way, base_url="http://127.0.0.1:8017") as client:
            return [(await client.get(path)).text for path in (
                "/journal/sources", "/journal/sources.json?_shape=array", "/journal", "/journal/places")]

    sources, raw, tables, places = asyncio.run(pages())
    assert "-103.25" not in sources + raw
    assert "-103.25" in places  # by its name
    assert 'href="/journal/places"' not in tables.partition("hidden table")[0]
