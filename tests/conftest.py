"""Fixtures that tests of all rooms share."""
from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import click.testing
import hypothesis
import made_journals
import pages_journal
import pytest

# A slow disk or a busy computer is no fault of what is tested.
hypothesis.settings.register_profile("any-computer", deadline=None)
hypothesis.settings.load_profile("any-computer")


@pytest.fixture
def journal_folder(tmp_path: Path) -> Path:
    """An empty journal's folder."""
    return made_journals.folder(tmp_path / "journal")


@pytest.fixture
def run() -> Callable[..., click.testing.Result]:
    """Run a command of witnessmark in this process: run("index", folder) → click's result."""
    from witnessmark.cli import main

    def call(*words: Any, **options: Any) -> click.testing.Result:
        return click.testing.CliRunner().invoke(main, [str(word) for word in words], **options)

    return call


@pytest.fixture(scope="session")
def indexed_example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of `example_journal/`, indexed by the real command with real speech weights, once for all tests."""
    original = Path(__file__).parents[1] / "example_journal"
    copy = tmp_path_factory.mktemp("example") / "example_journal"
    shutil.copytree(original, copy, ignore=shutil.ignore_patterns(".witnessmark", "*.jsonl"))
    subprocess.run([sys.executable, "-m", "witnessmark", "index", str(copy)], check=True, capture_output=True)
    return copy


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """Debian's Chromium, driven by Playwright; skips where either is missing.

    No longer than a module, since its event loop is in the way of every other.
    """
    sync_api = pytest.importorskip("playwright.sync_api")
    chromium = next((found for name in ("chromium", "chromium-browser", "google-chrome")
                     if (found := shutil.which(name))), None)
    if chromium is None:
        pytest.skip("no chromium on this computer")
    quiet = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync")
    with sync_api.sync_playwright() as play:
        running = play.chromium.launch(executable_path=chromium, args=list(quiet))
        yield running
        running.close()


@pytest.fixture
def page(browser: Any) -> Iterator[Any]:
    """A page on a large screen; `complaints` collects what it complains of."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    shown = context.new_page()
    shown.complaints = pages_journal.watched(shown)
    yield shown
    context.close()
