"""The main job on real sound: `example_journal/` transcribed, read and asked; its truths: `example/story.py`."""
from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click.testing
import pytest
from example import story

EXAMPLE = Path(__file__).parents[1] / "example_journal"
LIMIT_MB = 15
Run = Callable[..., click.testing.Result]


def answer(run: Run, *words: Any) -> Any:
    result = run(*words, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def fingerprints(folder: Path) -> dict[str, tuple[str, int]]:
    """SHA-256 and modification time of everything but the program's own files."""
    return {str(path.relative_to(folder)): (hashlib.sha256(path.read_bytes()).hexdigest(), path.stat().st_mtime_ns)
            for path in folder.rglob("*")
            if path.is_file() and ".witnessmark" not in path.parts and path.suffix != ".jsonl"}


def test_the_example_is_small_and_as_told() -> None:
    made = {item.path for item in (*story.RECORDINGS, story.NOTE, *story.PHOTOS, *story.RECEIPTS)}
    found = fingerprints(EXAMPLE)
    assert set(found) == made | {"journal.toml"}
    assert sum((EXAMPLE / path).stat().st_size for path in found) < LIMIT_MB * 1_000_000


@pytest.mark.parametrize(("question", "days", "source"), [pytest.param(*truth, id=truth[0]) for truth in story.TRUTHS])
def test_when_gives_the_true_day_and_clip(indexed_example: Path, run: Run, question: str, days: tuple[str, ...],
                                          source: str) -> None:
    found = answer(run, "when", indexed_example, question)
    assert {a["date"] for a in found["answers"]} == set(days)
    if days:
        assert source in {a["source"] for a in found["answers"]}
    else:
        assert found["only_planned"], "that it was planned, or not done, has to be said"


def test_every_narration_was_really_transcribed(indexed_example: Path, run: Run) -> None:
    sessions = answer(run, "records", indexed_example)["sessions"]
    cues = {s["source"]: " ".join(c["text"] for c in s["cues"]) for s in sessions}
    for recording in story.RECORDINGS:
        spoken = set(re.findall(r"[a-z]{4,}", recording.words.lower()))
        heard = set(re.findall(r"[a-z]{4,}", cues.get(recording.path, "").lower()))
        assert len(spoken & heard) >= 0.65 * len(spoken), recording.path


def test_moments_are_those_of_the_story(indexed_example: Path, run: Run) -> None:
    recorded = {s["source"]: s["recorded"] for s in answer(run, "records", indexed_example)["sessions"]}
    for recording in (*story.RECORDINGS, story.NOTE):
        assert recorded[recording.path].startswith(recording.at), recording.path


def test_a_second_index_changes_nothing(indexed_example: Path, run: Run) -> None:
    before, register = fingerprints(indexed_example), (indexed_example / "register.jsonl").read_bytes()
    records = answer(run, "records", indexed_example)
    done = answer(run, "index", indexed_example)
    assert not done["transcribed"]
    assert fingerprints(indexed_example) == before
    assert (indexed_example / "register.jsonl").read_bytes() == register
    assert answer(run, "records", indexed_example) == records


def test_the_originals_are_untouched(indexed_example: Path) -> None:
    original, copy = fingerprints(EXAMPLE), fingerprints(indexed_example)
    assert {path: sha for path, (sha, _) in original.items()} == {path: sha for path, (sha, _) in copy.items()}


def test_no_shop_work_is_the_builders(indexed_example: Path, run: Run) -> None:
    """The shops anodized the brackets and covered the cushions; the factory pressed the ribs."""
    acts = [act for s in answer(run, "records", indexed_example)["sessions"] for act in s["acts"]]
    claimed = [act for act in acts if act["status"] in ("done", "doing") and act["who"] == "builder"]
    assert not [act for act in claimed if act["task"] == "conversion-coat"]
    assert not [act for act in claimed if act["task"] == "cover" and "cushion" in (act["part"] or "")]
    assert not [act for act in claimed if act["task"] == "bend" and "flap rib" in (act["part"] or "")]
