"""The watcher: files are taken when they have stopped growing, each once, whatever happens to their names."""
from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from made_journals import as_vtt
from test_pipeline_index import content, run

from witnessmark.errors import JournalError
from witnessmark.journal import open_journal, register, scan
from witnessmark.pipeline import Summary
from witnessmark.pipeline.watch import Settling, watch

SETTLE = 0.4


@pytest.fixture
def watching(journal_folder: Path) -> Iterator[list[Summary | str]]:
    """A watcher in a thread of this process; gives the list of its reports."""
    reports: list[Summary | str] = []
    stop = threading.Event()
    thread = threading.Thread(target=watch, args=(open_journal(journal_folder), reports.append), daemon=True,
                              kwargs={"settle": SETTLE, "stop": stop})
    thread.start()
    deadline = time.monotonic() + 60
    while not (journal_folder / ".witnessmark" / "journal.db").exists() and time.monotonic() < deadline:
        time.sleep(0.02)
    yield reports
    stop.set()
    thread.join(60)
    assert not thread.is_alive()


def wait_for(folder: Path, sources: int) -> None:
    """Wait until so many sources have been read."""
    deadline = time.monotonic() + 120
    while time.monotonic() < deadline:
        try:
            if len(content(folder)["readings"]) >= sources:
                return
        except (JournalError, AssertionError):
            pass
        time.sleep(0.1)
    raise AssertionError(f"only {len(content(folder)['readings'])} of {sources} were read")


def text(number: int) -> str:
    return as_vtt([(0, 5, f"I primed rib number {number}."), (5, 10, "Then I painted it.")])


def test_files_that_arrive_in_pieces_and_are_renamed_are_taken_once(journal_folder: Path,
                                                                     watching: list[Summary | str]) -> None:
    count = 12
    for number in range(count):
        path = journal_folder / f"202501{number + 1:02}_120000.vtt"
        whole = text(number)
        for start in range(0, len(whole), 40):
            with path.open("a") as file:
                file.write(whole[start:start + 40])
            time.sleep(0.02)
        if number % 3 == 0:
            path = path.rename(path.with_name(f"renamed-{path.name}"))
        if number % 4 == 0:
            path.rename(path.with_name(f"again-{path.name}"))
    wait_for(journal_folder, count)
    time.sleep(SETTLE * 3)
    found = content(journal_folder)
    assert len(found["sources"]) == count and {row["state"] for row in found["sources"]} == {"present"}
    known = register.load(journal_folder / "register.jsonl")
    assert len(known.known) == count and known.faults == []
    assert len((journal_folder / "register.jsonl").read_text().splitlines()) == count


def test_one_watcher_or_indexer_at_a_time(journal_folder: Path, watching: list[Summary | str]) -> None:
    with pytest.raises(JournalError, match="another program"):
        run(journal_folder)
    with pytest.raises(JournalError, match="another program"):
        watch(open_journal(journal_folder), print, settle=SETTLE)


def test_broken_settings_are_reported_once_and_do_not_end_it(journal_folder: Path,
                                                             watching: list[Summary | str]) -> None:
    good = (journal_folder / "journal.toml").read_text()
    (journal_folder / "journal.toml").write_text("[journal]\ncurrency = 3\n")
    deadline = time.monotonic() + 60
    while not any(isinstance(report, str) for report in watching) and time.monotonic() < deadline:
        time.sleep(0.05)
    (journal_folder / "journal.toml").write_text(good)
    (journal_folder / "20250101_120000.vtt").write_text(text(1))
    wait_for(journal_folder, 1)
    assert [report for report in watching if isinstance(report, str)] == [
        'journal.toml, line 2: currency must be a text in quotes, such as currency = "3"']


def test_a_file_settles_when_it_has_been_the_same_for_long_enough() -> None:
    now = 0.0
    settling = Settling(5.0, lambda: now)
    small, large = scan.Seen("a.vtt", 1, 1), scan.Seen("a.vtt", 2, 2)
    settling.look([small])
    now = 4.9
    settling.look([small])
    assert not settling.settled(small) and settling.pending
    settling.look([large])
    now = 9.8
    settling.look([large])
    assert not settling.settled(large)
    now = 10.0
    assert settling.settled(large) and not settling.settled(small) and not settling.pending
    settling.look([])
    assert settling.seen == {}  # nothing is remembered of what is gone: it may run for years
