"""The pages in a real browser: every page wide and narrow, light and dark; the player; corrections; accessibility."""
from __future__ import annotations

import shutil
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pages_journal
import pytest
from pages_journal import CLIP, HOSTILE, LINES, START, Running, one, watched

from witnessmark.answers import ledgers

sync_api = pytest.importorskip("playwright.sync_api")
VIEWS = [(1280, 900, "light"), (390, 800, "dark"), (1280, 900, "dark"), (390, 800, "light")]
EXPECT = sync_api.expect


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    with pages_journal.serving(pages_journal.made(tmp_path_factory.mktemp("pages") / "journal")) as found:
        yield found


def clip_id(running: Running) -> str:
    return str(one(running, "SELECT id FROM sources WHERE path = ?", CLIP))


def primed(running: Running) -> str:
    """The id of the act of the second line."""
    return str(one(running, "SELECT id FROM acts WHERE quote = ? AND task = 'prime'", LINES[1]))


def addresses(running: Running) -> list[str]:
    """Every kind of page once."""
    photo = one(running, "SELECT id FROM sources WHERE path = ?", f"photos/{HOSTILE}")
    return ["/", "/days/2025", "/days/2025-03", "/days/2025-03-08", "/days/not-exact", f"/clip/{clip_id(running)}?t=4",
            f"/picture/{photo}", "/parts", "/part?name=rib&assembly=elevator", "/assembly/elevator", "/ask",
            "/ask?q=" + quote("when were the left elevator ribs primed?"), "/open", "/hours", "/money", "/check",
            *(f"/hours?by={by}" for by in ledgers.HOURS_BY), *(f"/money?by={by}" for by in ledgers.SPEND_BY),
            *(f"/open?by={by}" for by in ledgers.OPEN_BY), f"/why/{primed(running)}", "/corrections"]


@pytest.mark.parametrize(("width", "height", "scheme"), VIEWS)
def test_every_page_fits_and_is_silent(running: Running, browser: Any, width: int, height: int, scheme: str) -> None:
    context = browser.new_context(viewport={"width": width, "height": height}, color_scheme=scheme)
    page = context.new_page()
    complaints = watched(page)
    for address in addresses(running):
        page.goto(running.url + address)
        assert page.locator("h1").count() == 1, address
        beyond = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert beyond <= 0, f"{address} is {beyond} px wider than the screen"
        letters = page.evaluate("""Math.min(...[...document.querySelectorAll('p, li, td, a, button, dd')]
            .filter(one => one.offsetParent && one.innerText.trim())
            .map(one => parseFloat(getComputedStyle(one).fontSize)))""")
        assert letters >= 18, f"{address} has letters of {letters} px"
    assert complaints == []
    context.close()


def test_timeline_leads_to_the_day_and_its_player_to_the_second(running: Running, page: Any) -> None:
    page.goto(running.url + "/")
    assert page.locator("svg.strip path.own").count() == 1
    page.locator("svg.strip a[href='/days/2025-03-08'] rect").click()
    page.wait_for_url("**/days/2025-03-08")
    EXPECT(page.locator(".act", has_text="left elevator rib").first).to_contain_text("Primed")
    page.locator(".acts .play", has_text="0:04").first.click()
    player = page.locator("video.player")
    page.wait_for_function("() => document.querySelector('video.player').currentTime >= 4")
    assert START <= player.evaluate("one => one.currentTime") < START + 3
    assert page.url.endswith("/days/2025-03-08"), "the player on the page is used"
    assert page.complaints == []


def test_clip_page_starts_at_its_second_with_captions(running: Running, page: Any) -> None:
    page.goto(f"{running.url}/clip/{clip_id(running)}?t={START}")
    page.wait_for_function("() => { const film = document.querySelector('video'); "
                           "return film.readyState > 0 && !film.seeking }")
    assert abs(page.locator("video").evaluate("one => one.currentTime") - START) < 0.1
    page.wait_for_function("() => document.querySelector('video').textTracks[0].cues?.length > 0")
    said = page.locator("video").evaluate("one => [...one.textTracks[0].cues].map(cue => cue.text)")
    assert said == LINES
    assert page.locator("video").evaluate("one => one.textTracks[0].mode") == "showing"
    assert page.locator(".words .now").inner_text().endswith(LINES[1])


def test_words_of_strangers_stay_words(running: Running, page: Any) -> None:
    photo = one(running, "SELECT id FROM sources WHERE path = ?", f"photos/{HOSTILE}")
    page.on("dialog", lambda dialog: pytest.fail("a caption was run"))
    page.goto(f"{running.url}/picture/{photo}")
    EXPECT(page.locator("h1")).to_have_text(pages_journal.CAPTION)
    assert page.locator("main script").count() == 0


def test_question_is_answered_in_a_sentence_with_its_clip(running: Running, page: Any) -> None:
    page.goto(running.url + "/ask")
    page.get_by_role("searchbox").fill("when were the left elevator ribs primed?")
    page.keyboard.press("Enter")
    EXPECT(page.locator(".answer")).to_contain_text("primed on 8 March 2025, by the builder")
    page.get_by_role("link", name="Hear it").click()
    page.wait_for_function("() => document.querySelector('video').currentTime >= 4")
    page.goto(running.url + "/ask?q=" + quote("when were the right elevator ribs primed?"))
    EXPECT(page.locator(".answer")).to_contain_text("Nothing in this journal says that this was ever done")
    EXPECT(page.locator(".act.undone").first).to_contain_text("said not to be done")


def test_checking_goes_by_keys(running: Running, page: Any) -> None:
    record = primed(running)
    db = sqlite3.connect(running.journal / ".witnessmark" / "journal.db")
    db.execute("UPDATE acts SET confidence = 0.1 WHERE id = ?", [record])
    db.commit()
    db.close()
    page.goto(running.url + "/check")
    EXPECT(page.locator("blockquote")).to_have_text(LINES[1])
    page.wait_for_function("() => document.querySelector('video').currentTime >= 4")
    page.keyboard.press("1")
    EXPECT(page.get_by_role("status")).to_contain_text("Saved as correction")
    assert one(running, "SELECT status FROM acts WHERE id = ?", record) == "planned"
    page.keyboard.press("z")
    page.wait_for_url("**said=*")
    EXPECT(page.get_by_role("status")).to_be_visible()
    assert one(running, "SELECT status FROM acts WHERE id = ?", record) == "done"


def test_open_job_is_closed(running: Running, page: Any) -> None:
    page.goto(running.url + "/open")
    before = page.locator(".lines > li").count()
    assert before >= 1
    page.get_by_role("button", name="Close it").first.click()
    EXPECT(page.locator(".lines > li")).to_have_count(before - 1)
    page.get_by_role("button", name="Take it back").click()
    EXPECT(page.locator("main .lines > li")).to_have_count(before)


def test_bar_leads_to_its_lines(running: Running, page: Any) -> None:
    page.goto(running.url + "/hours")
    assert page.locator("svg.chart title").first.text_content() == "Hours worked by month"
    page.locator("svg.wide-only a").first.click()
    page.wait_for_url("**only=2025-03**")
    EXPECT(page.locator("#lines")).to_contain_text("March 2025 (1)")
    EXPECT(page.locator(".lines li")).to_contain_text("3 hours")


def test_first_tab_leads_to_the_content(running: Running, page: Any) -> None:
    page.goto(running.url + "/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the content"
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineStyle") != "none"


@pytest.fixture(scope="module")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The source of axe-core, from npm."""
    npm = shutil.which("npm")
    place = tmp_path_factory.mktemp("axe")
    if npm is None or subprocess.run([npm, "install", "--prefix", str(place), "--no-audit", "--no-fund", "axe-core@4"],
                                     capture_output=True).returncode:
        pytest.skip("axe-core cannot be installed here")
    return Path(place, "node_modules", "axe-core", "axe.min.js").read_text(encoding="utf-8")


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_serious_barriers(running: Running, browser: Any, axe: str, scheme: str) -> None:
    context = browser.new_context(viewport={"width": 390, "height": 800}, color_scheme=scheme)
    page = context.new_page()
    found = []
    for address in addresses(running):
        page.goto(running.url + address)
        page.evaluate(axe)
        for broken in page.evaluate("axe.run({resultTypes: ['violations']}).then(result => result.violations)"):
            if broken["impact"] in ("serious", "critical"):
                found.append((address, broken["id"], broken["nodes"][0]["html"][:200]))
    context.close()
    assert found == []
