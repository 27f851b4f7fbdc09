"""The spine: index, again, after changes, after faults; each time the same as from scratch."""
from __future__ import annotations

import errno
import json
import os
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import made_journals
import pytest
from made_journals import say

from witnessmark import builtin
from witnessmark.errors import JournalError, NoWeights
from witnessmark.journal import open_journal, register
from witnessmark.model import Capture, Moment, Reading, Transcript
from witnessmark.pipeline import Summary, index
from witnessmark.store import open_to_read, query

Content = dict[str, list[dict[str, Any]]]
MARCH, APRIL, MAY = "2025-03-09T16:40:00-06:00", "2025-04-12T10:00:00-06:00", "2025-05-03T18:30:00-06:00"


def run(folder: Path, **options: Any) -> Summary:
    return index(open_journal(folder), **options)


def content(folder: Path, without: tuple[str, ...] = ()) -> Content:
    """Everything in the database but for what the disk decides (times of files) and the moment of registration."""
    db = open_to_read(folder / ".witnessmark" / "journal.db")
    left_out = {"mtime_ns", "beside", "registered", *without}
    tables = {name: sorted(({key: value for key, value in row.items() if key not in left_out} for row in
                            db.query(f"SELECT * FROM {name}")), key=lambda row: json.dumps(row, default=str))
              for name in db.table_names() if "_fts" not in name}
    assert db.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    db.close()
    return tables


def from_scratch(folder: Path) -> Content:
    """The same folder, indexed with nothing kept."""
    other = folder.with_name("from-scratch")
    shutil.rmtree(other, ignore_errors=True)
    shutil.copytree(folder, other, ignore=shutil.ignore_patterns(".witnessmark", "register.jsonl"))
    run(other)
    return content(other)


@pytest.fixture
def told(journal_folder: Path) -> Path:
    """A journal with three sessions and a note."""
    say(journal_folder, MARCH, "This is the left elevator.", "I deburred the ribs and primed the spar this morning.")
    say(journal_folder, APRIL, "I riveted the spar today.", "It took me three hours.")
    say(journal_folder, MAY, "I still need to prime the rudder skin.", "I bought a rivet gun for ninety dollars.")
    (journal_folder / "2025-05-04 note.md").write_text("Painted the elevator yesterday.\n")
    return journal_folder


def test_a_folder_becomes_a_dated_journal(told: Path) -> None:
    summary = run(told)
    assert (summary.new, summary.read, summary.unreadable) == (4, 4, {})
    acts = content(told)["acts"]
    assert {(act["task"], act["first_day"]) for act in acts} >= {("deburr", "2025-03-09"), ("rivet", "2025-04-12")}


def test_a_second_run_changes_nothing(told: Path) -> None:
    run(told)
    before = (told / ".witnessmark" / "journal.db").read_bytes(), (told / "register.jsonl").read_bytes()
    summary = run(told)
    assert summary.nothing_new
    assert before == ((told / ".witnessmark" / "journal.db").read_bytes(), (told / "register.jsonl").read_bytes())


def test_the_builders_files_are_left_as_they_are(told: Path) -> None:
    def state() -> dict[str, tuple[bytes, int]]:
        return {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in told.iterdir()
                if path.is_file() and path.name != "register.jsonl"}

    before = state()
    run(told)
    assert state() == before


def test_a_session_put_in_between_gives_the_same_as_from_scratch(told: Path) -> None:
    run(told)
    say(told, "2025-03-20T20:00:00-06:00", "Now the right wing.", "I drilled the spar and the ribs.")
    run(told)
    assert content(told) == from_scratch(told)


@pytest.mark.parametrize("change", ["edit", "move", "copy", "delete", "touch", "settings", "beside"])
def test_after_any_change_the_same_as_from_scratch(told: Path, change: str) -> None:
    run(told)
    first = told / "20250309_164000.vtt"
    if change == "edit":
        first.write_text(first.read_text().replace("primed", "painted"))
    elif change == "move":
        (told / "old").mkdir()
        first.rename(told / "old" / first.name)
    elif change == "copy":
        shutil.copy(first, told / "a copy.vtt")
    elif change == "delete":
        first.unlink()
    elif change == "touch":
        os.utime(first, ns=(10**18, 10**18))
    elif change == "settings":
        (told / "journal.toml").write_text((told / "journal.toml").read_text().replace("America/Denver", "Asia/Tokyo"))
    elif change == "beside":
        (told / "20250309_164000.mp4").write_bytes(b"no film at all")
    summary = run(told)
    if change == "delete":
        assert summary.gone == 1
        kept = [row for row in content(told)["sources"] if row["state"] == "gone"]
        assert [row["path"] for row in kept] == ["20250309_164000.vtt"]
        assert any(act["source_id"] == kept[0]["id"] for act in content(told)["acts"])
    else:
        assert content(told) == from_scratch(told)
    assert run(told).nothing_new
    assert register.load(told / "register.jsonl").faults == []


def test_the_same_file_under_two_names_is_one_source(told: Path) -> None:
    shutil.copy(told / "20250309_164000.vtt", told / "zz.vtt")
    run(told)
    assert len(content(told)["sources"]) == 4
    (told / "20250309_164000.vtt").unlink()
    run(told)
    assert [row["path"] for row in content(told)["sources"] if row["state"] == "present"].count("zz.vtt") == 1


def test_what_comes_back_is_present_again(told: Path) -> None:
    run(told)
    before = content(told)
    (told / "20250309_164000.vtt").rename(told.parent / "aside.vtt")
    run(told)
    (told.parent / "aside.vtt").rename(told / "20250309_164000.vtt")
    run(told)
    assert content(told) == before


def test_an_older_database_is_made_again_and_a_newer_one_refused(told: Path) -> None:
    run(told)
    before = content(told)
    path = told / ".witnessmark" / "journal.db"
    for version in (0, 999):
        conn = sqlite3.connect(path)
        conn.execute(f"PRAGMA user_version = {version}")
        conn.close()
        if version:
            with pytest.raises(JournalError, match="newer"):
                run(told)
        else:
            assert any("older" in note for note in run(told).notes)
            assert content(told) == before


def test_what_is_gone_is_kept_when_the_database_is_made_again(told: Path) -> None:
    run(told)
    (told / "20250309_164000.vtt").unlink()
    run(told)
    shutil.rmtree(told / ".witnessmark")
    run(told)
    assert [row["path"] for row in content(told)["sources"] if row["state"] == "gone"] == ["20250309_164000.vtt"]


@pytest.mark.parametrize("damage", [b"", b"not a database at all" * 400, None])
def test_a_damaged_database_is_made_again(told: Path, damage: bytes | None) -> None:
    run(told)
    before = content(told)
    path = told / ".witnessmark" / "journal.db"
    if damage is None:
        whole = bytearray(path.read_bytes())
        whole[4096:len(whole) // 2] = bytes(len(whole) // 2 - 4096)
        path.write_bytes(whole)
    else:
        path.write_bytes(damage)
    run(told)
    assert content(told) == before


def test_an_unreadable_file_costs_one_line(told: Path) -> None:
    (told / "broken.vtt").write_bytes(b"\x00\x01\x02\xff" * 50)
    (told / "empty.jpg").write_bytes(b"")
    (told / "half.mp4").write_bytes(b"\x00\x00\x00\x18ftypmp42" + bytes(100))
    summary = run(told)
    assert set(summary.unreadable) == {"broken.vtt", "empty.jpg", "half.mp4"}
    assert all("\n" not in cause and "Traceback" not in cause for cause in summary.unreadable.values())
    assert summary.read >= 4
    assert run(told).nothing_new


def test_a_file_that_is_being_copied_leaves_no_half_behind(told: Path) -> None:
    path = told / "20250601_120000.vtt"
    whole = made_journals.as_vtt([(0, 5, "I primed the ribs."), (5, 10, "I painted the skins.")])
    path.write_text(whole[:50])
    run(told)
    path.write_text(whole)
    run(told)
    assert content(told) == from_scratch(told)


def test_without_weights_everything_else_is_indexed(told: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with_recording(monkeypatch, fail=NoWeights("no weights: install some"))
    (told / "20250401_090000.wav").write_bytes(b"sound")
    summary = run(told)
    assert summary.notes == ["no weights: install some"]
    assert summary.read == 4
    with_recording(monkeypatch)
    assert run(told).transcribed == 1
    assert run(told).nothing_new


def with_recording(monkeypatch: pytest.MonkeyPatch, fail: Exception | None = None,
                   words: Callable[[Capture], Transcript] | None = None) -> None:
    """Recordings that need no decoder: any `.wav` is one, and is heard as `words` says, or not at all."""
    from witnessmark import media, speech

    def ingest(root: Path, path: str, settings: Any, sha256: str | None = None) -> Capture:
        found = original(root, path, settings, sha256)
        if not path.endswith(".wav"):
            return found
        import datetime as dt
        moment = Moment(dt.datetime.fromisoformat("2025-04-01T09:00:00-06:00"), "second", "file-name", "journal")
        return Capture(path, found.sha256, found.size, "recording", "audio/wav", moment, 5.0, has_sound=True)

    def transcribe(root: Path, capture: Capture, *rest: Any) -> Transcript:
        if fail:
            raise fail
        return words(capture) if words else Transcript((), "tiny")

    original = getattr(media.ingest, "real", media.ingest)
    ingest.real = original  # type: ignore[attr-defined]
    monkeypatch.setattr(media, "ingest", ingest)
    monkeypatch.setattr(speech, "transcribe", transcribe)


@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EDQUOT])
def test_a_full_disk_stops_the_run_and_the_next_completes_it(told: Path, monkeypatch: pytest.MonkeyPatch,
                                                             code: int) -> None:
    (told / "20250401_090000.wav").write_bytes(b"sound")
    with monkeypatch.context() as full:
        with_recording(full, fail=OSError(code, os.strerror(code)))
        with pytest.raises(OSError, match=os.strerror(code)):
            run(told)
    with_recording(monkeypatch)
    run(told)
    kept = content(told)
    assert kept == from_scratch(told)


def test_a_card_that_is_pulled_out_is_read_the_next_time(told: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (told / "20250401_090000.wav").write_bytes(b"sound")
    with monkeypatch.context() as pulled:
        with_recording(pulled, fail=OSError(errno.EIO, "Input/output error"))
        assert "20250401_090000.wav" in run(told).unreadable
    with_recording(monkeypatch)
    assert run(told).transcribed == 1


def test_a_fault_of_the_reading_costs_that_session_only(told: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from witnessmark import reading

    real = reading.read

    def read(session: Any, lexicon: Any, memory: Any) -> tuple[Reading, Any]:
        if session.source == "20250412_100000.vtt":
            raise ZeroDivisionError
        return real(session, lexicon, memory)

    monkeypatch.setattr(reading, "read", read)
    summary = run(told)
    assert any("20250412_100000.vtt" in note and "faults.log" in note for note in summary.notes)
    assert summary.read == 4 and content(told)["acts"]
    assert "ZeroDivisionError" in (told / ".witnessmark" / "faults.log").read_text()


def test_records_from_another_plugin_join_the_built_in_ones(told: Path) -> None:
    from witnessmark.hookspecs import hookimpl
    from witnessmark.model import OpenItem
    from witnessmark.plugins import manager

    class Extra:
        @hookimpl
        def extract_records(self, session: Any) -> Reading:
            return Reading(open_items=(OpenItem(cue=0, start=0, end=5, quote="by a plugin", kind="to-buy", part=None),))

    plugin = manager().register(Extra())
    try:
        run(told)
    finally:
        manager().unregister(name=plugin)
    items = content(told)["open_items"]
    assert sum(item["quote"] == "by a plugin" for item in items) == 4
    assert len(items) > 4
    assert manager().has_plugin("built-in") and manager().get_plugin("built-in") is builtin


def test_the_memory_of_a_journal_is_the_records_of_its_sessions(told: Path) -> None:
    from witnessmark.reading.memory import Memory
    from witnessmark.store import load_memory, load_readings

    run(told)
    db = open_to_read(told / ".witnessmark" / "journal.db")
    memory = Memory()
    places = query(db, "SELECT recorded, source_id FROM readings ORDER BY recorded, source_id")
    for place, (identity, reading) in zip(places, load_readings(db), strict=True):
        assert identity == place["source_id"]
        assert load_memory(db, (place["recorded"], identity)) == memory
        memory = memory.after(reading)
    db.close()


def test_a_read_only_folder_is_refused_with_a_sentence_and_still_answers(told: Path) -> None:
    run(told)
    if os.name == "nt" or os.geteuid() == 0:
        pytest.skip("needs a user whom the file system can refuse")
    paths = [told / ".witnessmark", told]
    for path in paths:
        path.chmod(0o555)
    try:
        with pytest.raises(JournalError, match="cannot be written"):
            run(told)
        assert content(told)["acts"]
    finally:
        for path in paths:
            path.chmod(0o755)


def test_a_folder_that_cannot_be_written_is_refused(told: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import filelock

    def refuse(self: Any, *rest: Any, **options: Any) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(filelock.FileLock, "acquire", refuse)
    with pytest.raises(JournalError, match="Read-only file system"):
        run(told)
    assert not (told / "register.jsonl").exists()


def test_a_torn_register_is_mended_and_reported(told: Path) -> None:
    run(told)
    with (told / "register.jsonl").open("ab") as file:
        file.write(b'{"path":"half')
    say(told, "2025-06-01T12:00:00-06:00", "I painted the skins.")
    summary = run(told)
    assert any("set aside" in note for note in summary.notes)
    assert register.load(told / "register.jsonl").faults == []
    assert len((told / "register.jsonl").read_text().splitlines()) == 5


def test_weak_times_make_weak_dates(journal_folder: Path) -> None:
    (journal_folder / "scribble.md").write_text("I primed the elevator spar today.\n")
    os.utime(journal_folder / "scribble.md", (1_741_561_200, 1_741_561_200))
    run(journal_folder)
    dates = [act["date"] for act in content(journal_folder)["acts"]]
    assert dates and all(date is None or date.endswith("~") for date in dates)
