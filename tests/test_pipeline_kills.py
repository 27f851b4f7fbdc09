"""Killed at any moment, the next run ends in the state of an undisturbed one, and no file of the builder's is touched.

The number of kills is set by WITNESSMARK_KILLS (default 4; 100 is what the project promises).
"""
from __future__ import annotations

import os
import random
import shutil
import signal
import time
from pathlib import Path

import pytest
from made_journals import say
from PIL import Image
from test_pipeline_index import content, run

from witnessmark.journal import register

KILLS = int(os.environ.get("WITNESSMARK_KILLS", "4"))
TASKS = ("drilled", "deburred", "dimpled", "primed", "riveted", "painted")
PARTS = ("ribs", "rear spar", "skins", "stiffeners", "hinge brackets", "doublers")


@pytest.fixture
def season(journal_folder: Path) -> Path:
    """A journal of some sessions, notes and pictures."""
    dice = random.Random(7)
    for number in range(10):
        lines = [f"I {dice.choice(TASKS)} the {dice.choice(PARTS)} of the {dice.choice(('left', 'right'))} elevator."
                 for _ in range(4)]
        say(journal_folder, f"2025-0{number % 6 + 1}-{number + 10}T18:00:00-06:00", *lines, "I worked for two hours.",
            "I bought some rivets for twelve dollars.")
    for number in range(4):
        picture = Image.effect_noise((320, 240), 40 + 10 * number)
        picture.save(journal_folder / f"IMG_2025010{number + 1}_120000.jpg")
    (journal_folder / "2025-04-20.md").write_text("Primed the rudder spar.\n")
    return journal_folder


def originals(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in folder.iterdir()
            if path.is_file() and path.suffix != ".jsonl"}


def killed_after(folder: Path, seconds: float) -> bool:
    """Index in a child process and kill it after so many seconds; False if it had ended by then."""
    child = os.fork()
    if child == 0:
        try:
            run(folder)
        finally:
            os._exit(0)
    time.sleep(seconds)
    ended = os.waitpid(child, os.WNOHANG)[0] == child
    if not ended:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    return not ended


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_kills_at_random_moments(season: Path, tmp_path: Path) -> None:
    undisturbed = tmp_path / "undisturbed"
    shutil.copytree(season, tmp_path / "first")
    run(tmp_path / "first")  # loads what the children then have from the start
    shutil.copytree(season, undisturbed)
    begun = time.monotonic()
    run(undisturbed)
    whole = time.monotonic() - begun
    wanted, before = content(undisturbed), originals(season)
    dice, hits = random.Random(11), 0
    for number in range(KILLS):
        folder = tmp_path / f"killed-{number}"
        shutil.copytree(season, folder)
        hits += killed_after(folder, dice.uniform(0, whole))
        if number % 3 == 0:  # killed again while it was making good
            hits += killed_after(folder, dice.uniform(0, whole / 2))
        run(folder)
        assert content(folder) == wanted
        known = register.load(folder / "register.jsonl")
        assert known.faults == [] and len(known.known) == len(wanted["sources"])
        assert originals(folder) == before
        assert run(folder).nothing_new
        shutil.rmtree(folder)
    assert hits, "no kill came before the end"
