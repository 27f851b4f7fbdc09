"""The screenshots of the README, taken anew of the example journal.

    python tests/screenshots/take.py JOURNAL

JOURNAL is an indexed copy of `example_journal/`. Needs Playwright and a Chromium. The pictures are written beside this
file with few colours, so that all three together stay small.
"""
from __future__ import annotations

import argparse
import io
import shutil
import sys
from pathlib import Path
from typing import Any
from urllib.parse import quote

sys.path.insert(0, str(Path(__file__).parents[1]))

import pages_journal
from PIL import Image
from playwright.sync_api import sync_playwright

COLOURS = 192
DESK, PHONE = {"width": 1280, "height": 1000}, {"width": 390, "height": 1120}
SHOTS = (("day.png", "/days/2025-03-01", DESK, "light"), ("hours.png", "/hours", DESK, "dark"),
         ("ask-phone.png", "/ask?q=" + quote("when were the left flap ribs primed?"), PHONE, "light"))
LOADED = "() => [...document.images].filter(one => one.loading !== 'lazy').every(one => one.complete)"

SETTLE = """one => new Promise(done => { one.preload = 'auto'; one.muted = true; const at = one.currentTime;
    one.play().then(() => { one.pause(); one.currentTime = at; setTimeout(done, 1200); }) })"""


def take(browser: Any, url: str, view: dict[str, int], scheme: str) -> Image.Image:
    """One page as it first meets the eye, with its pictures loaded and no player still waiting."""
    context = browser.new_context(viewport=view, color_scheme=scheme)
    page = context.new_page()
    page.goto(url, wait_until="networkidle")
    page.wait_for_function(LOADED)
    for player in page.locator("video").all():
        # Chromium draws a turning ring over a film of which it has only read the head.
        player.evaluate(SETTLE)
    shot = Image.open(io.BytesIO(page.screenshot()))
    context.close()
    return shot.convert("RGB")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("journal", type=Path)
    journal = options.parse_args().journal
    chromium = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    with pages_journal.serving(journal) as running, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        for name, address, view, scheme in SHOTS:
            shot = take(browser, running.url + address, view, scheme)
            shot.quantize(COLOURS).save(Path(__file__).parent / name, optimize=True)
        browser.close()


if __name__ == "__main__":
    main()
