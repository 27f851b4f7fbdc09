"""What counts as a source, and what counts as changed."""
from __future__ import annotations

import os
from pathlib import Path

import pytest

from witnessmark.errors import JournalError
from witnessmark.journal import open_journal, scan
from witnessmark.journal.folder import Known
from witnessmark.plugins import kind_of


def put(root: Path, *paths: str) -> None:
    for path in paths:
        (root / path).parent.mkdir(parents=True, exist_ok=True)
        (root / path).write_text(path)


def known_of(root: Path) -> dict[str, Known]:
    found = scan.sources(scan.walk(root, kind_of).files, kind_of)
    return {source.path: Known("ab" * 32, source.seen.size, source.seen.mtime_ns, source.beside) for source in found}


def changes(root: Path, known: dict[str, Known]) -> scan.Changes:
    return scan.changes(known, scan.walk(root, kind_of), kind_of)


def test_the_programs_files_hidden_files_and_bags_are_no_sources(journal_folder: Path) -> None:
    put(journal_folder, "a.vtt", "register.jsonl", "corrections.jsonl", ".witnessmark/x.vtt", ".trash/b.vtt", "._a.vtt",
        "deep/er/c.md", "bag/bagit.txt", "bag/data/d.vtt", "e.exe", "f.mp4.part")
    assert [source.path for source in scan.sources(scan.walk(journal_folder, kind_of).files, kind_of)] == [
        "a.vtt", "deep/er/c.md"]


def test_links_are_not_followed(journal_folder: Path, tmp_path: Path) -> None:
    put(tmp_path, "outside/secret.md")
    (journal_folder / "in.md").symlink_to(tmp_path / "outside/secret.md")
    (journal_folder / "in").symlink_to(tmp_path / "outside")
    (journal_folder / "round").symlink_to(journal_folder)
    folder = scan.walk(journal_folder, kind_of)
    assert folder.files == []
    assert set(folder.passed_over) == {"in.md", "in", "round"}


def test_a_name_that_is_no_text_is_passed_over(journal_folder: Path) -> None:
    try:
        Path(os.fsdecode(os.fsencode(journal_folder) + b"/bad\xff.md")).write_text("x")
    except OSError:
        pytest.skip("this file system takes only names that are text")
    put(journal_folder, "good.md")
    folder = scan.walk(journal_folder, kind_of)
    assert [seen.path for seen in folder.files] == ["good.md"]
    assert len(folder.passed_over) == 1


@pytest.mark.parametrize(("files", "sources", "subtitle"), [
    (("a.mp4", "a.vtt"), ["a.mp4"], "a.vtt"),
    (("a.MP4", "A.srt"), ["a.MP4"], "A.srt"),
    (("a.mp4", "a.srt", "a.vtt"), ["a.mp4"], "a.vtt"),
    (("a.mp4", "a.mp4.vtt"), ["a.mp4"], "a.mp4.vtt"),
    (("a.mp4", "b.vtt"), ["a.mp4", "b.vtt"], None),
    (("a.mp4", "sub/a.vtt"), ["a.mp4", "sub/a.vtt"], None),
    (("a.mp4", "a.xmp"), ["a.mp4"], None),
    (("a.jpg", "a.vtt"), ["a.jpg", "a.vtt"], None),
    (("a.jpg", "a.mov", "a.vtt"), ["a.jpg", "a.mov"], "a.vtt"),
    (("a.mp4", "a.txt"), ["a.mp4", "a.txt"], None),
])
def test_a_subtitle_beside_a_recording_is_its_transcript(journal_folder: Path, files: tuple[str, ...],
                                                          sources: list[str], subtitle: str | None) -> None:
    put(journal_folder, *files)
    found = scan.sources(scan.walk(journal_folder, kind_of).files, kind_of)
    assert [source.path for source in found] == sources
    assert next((source.subtitle for source in found if source.subtitle), None) == subtitle


def test_nothing_changed_nothing_fresh(journal_folder: Path) -> None:
    put(journal_folder, "a.mp4", "a.vtt", "b.md")
    found = changes(journal_folder, known_of(journal_folder))
    assert found.fresh == () and found.gone == ()


def test_new_changed_touched_and_gone(journal_folder: Path) -> None:
    put(journal_folder, "same.md", "changed.md", "touched.md", "gone.md")
    known = known_of(journal_folder)
    put(journal_folder, "new.md")
    (journal_folder / "changed.md").write_text("quite another text")
    os.utime(journal_folder / "touched.md", ns=(1, 1))
    (journal_folder / "gone.md").unlink()
    found = changes(journal_folder, known)
    assert {source.path: sha256 for source, sha256 in found.fresh} == {
        "changed.md": None, "new.md": None, "touched.md": None}
    assert found.gone == ("gone.md",)


def test_a_changed_subtitle_renews_its_recording_without_hashing_it_again(journal_folder: Path) -> None:
    put(journal_folder, "a.mp4", "a.vtt")
    known = known_of(journal_folder)
    (journal_folder / "a.vtt").write_text("other words")
    (found,) = changes(journal_folder, known).fresh
    assert (found[0].path, found[1]) == ("a.mp4", known["a.mp4"].sha256)


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="needs a folder that cannot be opened")
def test_what_is_in_a_closed_folder_is_not_gone(journal_folder: Path) -> None:
    put(journal_folder, "shut/a.md")
    known = known_of(journal_folder)
    (journal_folder / "shut").chmod(0)
    try:
        assert changes(journal_folder, known).gone == ()
    finally:
        (journal_folder / "shut").chmod(0o755)


def test_what_is_in_a_folder_that_fails_is_not_gone(journal_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(journal_folder, "shut/a.md", "open.md")
    known = known_of(journal_folder)
    real = os.scandir

    def failing(place):
        if str(place).endswith("shut"):
            raise OSError(5, "Input/output error")
        return real(place)

    monkeypatch.setattr(scan.os, "scandir", failing)
    found = changes(journal_folder, known)
    assert found.gone == () and found.fresh == ()


def test_a_folder_without_settings_is_no_journal(tmp_path: Path) -> None:
    with pytest.raises(JournalError, match="witnessmark new"):
        open_journal(tmp_path)
    with pytest.raises(JournalError, match="not a folder"):
        open_journal(tmp_path / "nowhere")


def test_one_writer_at_a_time(journal_folder: Path) -> None:
    journal = open_journal(journal_folder)
    with journal.lock(), pytest.raises(JournalError, match="another program"), journal.lock():
        pass
    with journal.lock():
        pass
