"""The bag: whole by the library and by coreutils, the same twice, and every change in it or in the folder named."""
from __future__ import annotations

import csv
import json
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import bagit
import evidence_journal
import pytest
from click.testing import CliRunner

from witnessmark.cli import main
from witnessmark.evidence import bag
from witnessmark.evidence.check import Finding, check

Run = Callable[..., Any]


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return evidence_journal.make(tmp_path_factory.mktemp("evidence") / "journal").root


@pytest.fixture(scope="module")
def made(root: Path) -> Path:
    """A bag with everything in it, originals too."""
    out = root.parent / "bag"
    result = CliRunner().invoke(main, ["evidence", str(root), "--out", str(out), "--originals", "--money", "--names"])
    assert result.exit_code == 0, result.output
    return out


@pytest.fixture
def folder(root: Path, tmp_path: Path) -> Path:
    """A copy of the journal to be tampered with."""
    return Path(shutil.copytree(root, tmp_path / "journal"))


def originals(root: Path) -> list[Path]:
    """The builder's own files."""
    return sorted(path for path in root.rglob("*") if path.suffix in (".vtt", ".mp4", ".jpg")
                  and ".witnessmark" not in path.parts)


def faults(place: Path, folder: Path | None = None) -> list[Finding]:
    return [finding for finding in check(place, folder).findings if finding.is_fault]


def test_it_is_valid_by_the_library_and_by_coreutils(made: Path) -> None:
    assert bagit.Bag(str(made)).validate()
    # RFC 8493, 2.1.1
    assert (made / "bagit.txt").read_bytes() == b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
    if not shutil.which("sha512sum"):
        pytest.skip("coreutils are not installed")
    for manifest in (bag.MANIFEST, bag.TAG_MANIFEST):
        done = subprocess.run(["sha512sum", "--strict", "-c", manifest], cwd=made, capture_output=True, text=True)
        assert done.returncode == 0, done.stdout + done.stderr
        listed = [line for line in done.stdout.splitlines() if line.endswith(": OK")]
        assert len(listed) == len((made / manifest).read_text().splitlines()) >= 3


def test_every_payload_file_is_listed_once(made: Path) -> None:
    listed = [line.split("  ", 1)[1] for line in (made / bag.MANIFEST).read_text().splitlines()]
    there = sorted(path.relative_to(made).as_posix() for path in (made / "data").rglob("*") if path.is_file())
    assert sorted(listed) == there and len(set(listed)) == len(listed)
    assert not any("%" in name for name in listed)  # RFC 8493 2.1.3 wants it encoded, programs differ in that


def test_the_payload_has_what_it_promises(made: Path, root: Path) -> None:
    data = made / "data"
    for name in ("log.pdf", "worksheet.csv", "gaps.csv", "register.jsonl", "journal.toml", "about.json",
                 "records/acts.csv", "records/acts.jsonl", "records/hours.jsonl", "records/purchases.csv",
                 "records/open_items.csv", "records/sources.csv", "corrections.jsonl", "README.txt"):
        assert (data / name).is_file(), name
    assert (data / "register.jsonl").read_bytes() == (root / "register.jsonl").read_bytes()
    rows = list(csv.DictReader((data / "originals.csv").open(encoding="utf-8", newline="")))
    assert {row["path"] for row in rows} == {path.relative_to(root).as_posix() for path in originals(root)}
    for row in rows:
        assert (data / row["bag_path"]).read_bytes() == (root / row["path"]).read_bytes()
    about = json.loads((data / "about.json").read_text(encoding="utf-8"))
    last = (root / "register.jsonl").read_bytes().splitlines()[-1]
    done = subprocess.run(["sha256sum"], input=last, capture_output=True, check=True)
    assert about["register"]["head"] == done.stdout.split()[0].decode()


def test_it_agrees_with_the_folder(made: Path, root: Path, run: Run) -> None:
    assert check(made, root).findings == () and check(made, root).compared
    result = run("evidence", root, "--check", made)
    assert result.exit_code == 0 and "whole and agrees" in result.output
    assert run("evidence", made, "--check", made).exit_code == 0


def test_two_runs_make_the_same_bytes(root: Path, tmp_path: Path) -> None:
    bags = []
    for name in ("one", "two"):
        assert CliRunner().invoke(main, ["evidence", str(root), "--out", str(tmp_path / name)]).exit_code == 0
        bags.append({path.relative_to(tmp_path / name).as_posix(): path.read_bytes()
                     for path in (tmp_path / name).rglob("*") if path.is_file()})
    assert bags[0].keys() == bags[1].keys()
    assert [name for name in bags[0] if bags[0][name] != bags[1][name]] == []


def flips(place: Path) -> Iterator[tuple[Path, int, int]]:
    """Bytes to be changed: three of each file, many of those that hold the bag together, each bit of some."""
    for path in sorted(place.rglob("*")):
        if path.is_file():
            size = path.stat().st_size
            tag = path.parent == place
            for at in {*range(0, size, 41 if tag else max(size, 1)), size // 2, size - 1}:
                if 0 <= at < size:
                    yield path, at, 1 << (at % 8)
                    if tag:
                        yield path, at, 0x20  # a capital for a small letter


def test_one_flipped_byte_anywhere_in_the_bag_is_found_and_named(made: Path, tmp_path: Path) -> None:
    place = Path(shutil.copytree(made, tmp_path / "bag"))
    tried = 0
    for path, at, bit in flips(place):
        content = path.read_bytes()
        path.write_bytes(content[:at] + bytes([content[at] ^ bit]) + content[at + 1:])
        name = path.relative_to(place).as_posix()
        named = [finding.path.split(",")[0] for finding in faults(place)]
        assert name in named, (name, at, bit, named)
        path.write_bytes(content)
        tried += 1
    assert tried > 100
    assert faults(place) == []


@pytest.mark.parametrize("name", ["data/log.pdf", "data/register.jsonl", "manifest-sha512.txt", "bag-info.txt",
                                  "bagit.txt", "tagmanifest-sha512.txt"])
def test_a_file_that_is_gone_from_the_bag_is_named(made: Path, tmp_path: Path, name: str) -> None:
    place = Path(shutil.copytree(made, tmp_path / "bag"))
    (place / name).unlink()
    assert name in [finding.path for finding in faults(place)]


def test_a_file_that_was_put_into_the_bag_is_named(made: Path, tmp_path: Path) -> None:
    place = Path(shutil.copytree(made, tmp_path / "bag"))
    (place / "data" / "more.txt").write_text("more")
    assert ("added", "data/more.txt") in [(finding.what, finding.path) for finding in faults(place)]


def test_a_bag_of_another_program_is_checked_too(tmp_path: Path) -> None:
    (tmp_path / "foreign").mkdir()
    (tmp_path / "foreign" / "a.txt").write_text("a")
    bagit.make_bag(str(tmp_path / "foreign"), checksums=["md5", "sha256"])
    assert check(tmp_path / "foreign").is_good
    (tmp_path / "foreign" / "data" / "a.txt").write_text("b")
    assert [finding.path for finding in faults(tmp_path / "foreign")] == ["data/a.txt"]


def test_a_flipped_byte_in_an_original_is_named_though_size_and_time_are_the_same(made: Path, folder: Path) -> None:
    import os

    for path in originals(folder):
        content, state = path.read_bytes(), path.stat()
        path.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
        os.utime(path, ns=(state.st_atime_ns, state.st_mtime_ns))
        name = path.relative_to(folder).as_posix()
        assert [(finding.what, finding.where, finding.path) for finding in faults(made, folder)] == [
            ("changed", "folder", name)]
        path.write_bytes(content)


def test_lost_moved_and_added_originals_are_told_apart(made: Path, folder: Path) -> None:
    (folder / "20250320_200000.vtt").unlink()
    (folder / "photos" / "rudder spar 50%.jpg").rename(folder / "photos" / "renamed.jpg")
    (folder / "new note.txt").write_text("something new")
    found = {(finding.what, finding.path): finding for finding in check(made, folder).findings}
    assert set(found) == {("lost", "20250320_200000.vtt"), ("moved", "photos/rudder spar 50%.jpg"),
                          ("added", "new note.txt")}
    assert [finding.path for finding in found.values() if finding.is_fault] == ["20250320_200000.vtt"]


def test_every_removed_line_of_the_register_is_found_and_named(made: Path, folder: Path, run: Run) -> None:
    register = folder / "register.jsonl"
    whole = register.read_bytes().splitlines(keepends=True)
    for number, line in enumerate(whole, 1):
        register.write_bytes(b"".join(whole[:number - 1] + whole[number:]))
        found = faults(made, folder)
        lost = [finding for finding in found if finding.path == f"register.jsonl, line {number}"]
        assert any(json.loads(line)["path"] in finding.detail for finding in lost), found
        if number < len(whole):  # the chain shows it, too, without any bag
            assert any(finding.what == "broken" for finding in found)
    result = run("evidence", folder, "--check", made)
    assert result.exit_code == 1 and "register.jsonl" in result.output and "Traceback" not in result.output


def test_a_printed_hash_tells_which_lines_it_stands_for(folder: Path, run: Run) -> None:
    """Hashed here by coreutils' sha256sum over the line's bytes, as the register's description says."""
    register = folder / "register.jsonl"
    whole = register.read_bytes().splitlines(keepends=True)
    done = subprocess.run(["sha256sum"], input=whole[1].rstrip(b"\n"), capture_output=True, check=True)
    head = done.stdout.split()[0].decode()
    value = json.loads(run("evidence", folder, "--head", head[:16] + "…", "--json").stdout)
    assert value == {"lines": 2, "registered": json.loads(whole[1])["registered"], "faults": []}
    assert run("evidence", folder, "--head", head[:15]).exit_code == 1  # too short to mean one line
    register.write_bytes(b"".join(whole[1:]))
    assert run("evidence", folder, "--head", head).exit_code == 1  # its line is there, the one before is not
    register.write_bytes(b"".join(whole[:1] + whole[2:]))
    result = run("evidence", folder, "--head", head)
    assert result.exit_code == 1 and "no hash of this register" in result.stderr


def test_changed_settings_are_named_and_no_fault(made: Path, folder: Path) -> None:
    settings = folder / "journal.toml"
    settings.write_text(settings.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
    report = check(made, folder)
    assert [finding.path for finding in report.findings] == ["journal.toml"] and report.is_good


def test_exchanged_lines_of_the_register_are_found(made: Path, folder: Path) -> None:
    register = folder / "register.jsonl"
    first, second, *rest = register.read_bytes().splitlines(keepends=True)
    register.write_bytes(b"".join([second, first, *rest]))
    assert any("another order" in finding.detail for finding in faults(made, folder))


def test_corrections_that_were_added_are_no_fault_and_changed_ones_are(folder: Path, tmp_path: Path, run: Run) -> None:
    line = '{"id":"a1","do":"confirm","kind":"acts","sha256":"0","path":"x","start":0.0,"cue":0,"from":{},"to":{},' \
           '"why":"Hanna saw it","when":"2025-04-01T00:00:00Z"}\n'
    (folder / "corrections.jsonl").write_text(line)
    assert run("evidence", folder, "--out", tmp_path / "bag").exit_code == 0
    assert "Hanna" not in (tmp_path / "bag/data/corrections.jsonl").read_text(encoding="utf-8")
    (folder / "corrections.jsonl").write_text(line + line.replace("a1", "a2"))
    assert faults(tmp_path / "bag", folder) == []
    (folder / "corrections.jsonl").write_text(line.replace("saw", "was"))
    assert [finding.path for finding in faults(tmp_path / "bag", folder)] == ["corrections.jsonl"]
    (folder / "corrections.jsonl").unlink()
    assert [finding.what for finding in faults(tmp_path / "bag", folder)] == ["lost"]


def test_the_journal_is_left_as_it_was(root: Path, tmp_path: Path) -> None:
    before = {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in root.rglob("*") if path.is_file()}
    CliRunner().invoke(main, ["evidence", str(root), "--out", str(tmp_path / "bag")])
    assert {path: (path.read_bytes(), path.stat().st_mtime_ns) for path in root.rglob("*") if path.is_file()} == before


def test_a_place_that_is_taken_is_refused_in_one_sentence(root: Path, made: Path, tmp_path: Path, run: Run) -> None:
    result = run("evidence", root, "--out", made)
    assert result.exit_code == 1 and result.stderr.count("\n") == 1 and "there already" in result.stderr
    assert run("evidence", root).exit_code == 2
    missing = run("evidence", root, "--check", tmp_path)
    assert missing.exit_code == 1 and "is no bag" in missing.stderr
    assert not list(made.parent.glob(".bag-*"))
