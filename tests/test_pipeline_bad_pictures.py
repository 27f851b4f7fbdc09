"""Pictures that are cut short, mislabelled, empty or far too large: one line each, the rest indexed, memory bounded."""
from __future__ import annotations

import resource
import struct
import sys
from pathlib import Path

import made_media
import pytest
from PIL import Image
from test_media_bad_files import bomb
from test_pipeline_index import content, run

from witnessmark import doctor
from witnessmark.journal import open_journal

SIDE = 20_000
MUCH_MEMORY = 300_000_000  # bytes: a picture of 20,000 x 20,000 pixels takes 1.2 thousand million


def bad_ones(folder: Path) -> set[str]:
    """One of each kind; the names of those that cannot be shown."""
    image = Image.effect_noise((320, 240), 60).convert("RGB")
    for suffix in ("jpg", "png", "tif", "webp", "heic"):
        whole = made_media.photo(folder / f"cut.{suffix}", image, Model="P7").read_bytes()
        (folder / f"cut.{suffix}").write_bytes(whole[:len(whole) // 2])
    (folder / "empty.jpg").write_bytes(b"")
    (folder / "list.jpg").write_text("milk, eggs and a shopping list\n" * 20)
    bomb(folder / "bomb.png", SIDE)
    huge = bytearray(made_media.photo(folder / "huge.jpg", Model="P7").read_bytes())
    frame = huge.index(b"\xff\xc0")
    huge[frame + 5:frame + 9] = struct.pack(">HH", SIDE, SIDE)
    (folder / "huge.jpg").write_bytes(huge)
    return {path.name for path in folder.iterdir() if path.is_file() and path.name != "journal.toml"}


@pytest.fixture
def mixed(journal_folder: Path) -> tuple[Path, set[str]]:
    bad = bad_ones(journal_folder)
    for number in range(3):
        image = Image.effect_noise((200, 150), 20 + number).convert("RGB")
        taken = f"2025:03:0{number + 1} 12:00:00"
        made_media.photo(journal_folder / f"good{number}.jpg", image, DateTimeOriginal=taken)
    made_media.photo(journal_folder / "scan.png", Model="P7", DateTimeOriginal="2025:03:09 12:00:00")
    (journal_folder / "scan.png").rename(journal_folder / "mislabelled.jpg")
    return journal_folder, bad


def test_each_costs_one_line_and_the_rest_is_indexed(mixed: tuple[Path, set[str]]) -> None:
    folder, bad = mixed
    before = {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}
    summary = run(folder)
    assert set(summary.unreadable) == bad
    assert all(cause and "\n" not in cause and len(cause) < 200 for cause in summary.unreadable.values())
    assert "pixels" in summary.unreadable["huge.jpg"] and "pixels" in summary.unreadable["bomb.png"]
    shown = {row["path"] for row in query_shown(folder)}
    assert shown == {"good0.jpg", "good1.jpg", "good2.jpg", "mislabelled.jpg"}
    told = next(row for row in content(folder)["sources"] if row["path"] == "mislabelled.jpg")
    assert (told["media_type"], told["day"]) == ("image/png", "2025-03-09") and "holds image/png" in told["problems"]
    assert run(folder).nothing_new
    assert {name: (folder / name).read_bytes() for name in before} == before


def query_shown(folder: Path) -> list[dict[str, str]]:
    sources = {row["id"]: row for row in content(folder)["sources"]}
    return [sources[row["source_id"]] for row in content(folder)["photos"] if row["thumbnail"]]


def test_doctor_lists_them_all_with_their_cause(mixed: tuple[Path, set[str]]) -> None:
    folder, bad = mixed
    run(folder)
    found = doctor.problems(open_journal(folder))
    assert bad | {"mislabelled.jpg"} <= set(found)
    text = (folder / "journal.toml").read_text()
    (folder / "journal.toml").write_text(text.replace("America/Denver", "Europe/Oslo"))
    run(folder)  # every file is looked into again
    assert doctor.problems(open_journal(folder)) == found


@pytest.mark.skipif(sys.platform != "linux", reason="limits of memory are those of Linux")
def test_no_picture_takes_the_memory_of_its_pixels(journal_folder: Path) -> None:
    bad_ones(journal_folder)
    run(journal_folder)  # what is loaded once is loaded now
    for path in journal_folder.glob("*.[jp]*g"):
        path.write_bytes(path.read_bytes() + b"again")  # other bytes: read anew
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    run(journal_folder)
    assert (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024 < MUCH_MEMORY
