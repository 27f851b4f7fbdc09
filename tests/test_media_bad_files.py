"""Files that are not what they should be: one sentence each, nothing raised, nothing changed, no memory filled."""
from __future__ import annotations

import struct
import tracemalloc
import zlib
from pathlib import Path

import made_media
import pytest
from PIL import Image

from witnessmark.errors import UnreadableFile
from witnessmark.media import ingest, kind_of, sha256_of
from witnessmark.model import Capture, Settings
from witnessmark.photos import thumbnail


def read(folder: Path, name: str) -> Capture:
    before = (folder / name).read_bytes()
    capture = ingest(folder, name, Settings())
    assert (folder / name).read_bytes() == before
    assert all("\n" not in problem and len(problem) < 200 for problem in capture.problems)
    return capture


def bomb(path: Path, side: int) -> None:
    """A small PNG of side × side pixels (ISO/IEC 15948: IHDR, IDAT, IEND)."""
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    packer = zlib.compressobj(9)
    row = bytes(1 + side // 8)
    rows = b"".join([*(packer.compress(row) for _ in range(side)), packer.flush()])
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0))
                     + chunk(b"IDAT", rows) + chunk(b"IEND", b""))


def test_empty_files_of_every_kind(tmp_path: Path) -> None:
    for name in ("a.jpg", "a.mp4", "a.vtt", "a.pdf", "a.md"):
        (tmp_path / name).write_bytes(b"")
        capture = read(tmp_path, name)
        assert capture.kind == "unreadable" and len(capture.problems) == 1 and "empty" in capture.problems[0]


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.heic", "a.tif"])
@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.95])
def test_pictures_cut_short_anywhere(tmp_path: Path, name: str, share: float) -> None:
    image = Image.effect_noise((320, 240), 60).convert("RGB")
    made_media.photo(tmp_path / name, image, Model="P7")
    whole = (tmp_path / name).read_bytes()
    (tmp_path / name).write_bytes(whole[:int(len(whole) * share)])
    capture = read(tmp_path, name)
    if capture.kind == "unreadable" or name in ("a.jpg", "a.png"):
        assert len(capture.problems) == 1 and "copy it again" in capture.problems[0]
    if capture.kind == "photo":
        with pytest.raises(UnreadableFile, match="cut short"):
            thumbnail(tmp_path, capture, tmp_path / "out")


def test_a_short_film_behind_the_picture_is_no_damage(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "a.jpg", Model="P7")
    with (tmp_path / "a.jpg").open("ab") as handle:
        handle.write(b"\0\0\0\x18ftypmp42" + bytes(5_000))
    assert read(tmp_path, "a.jpg").problems == ()


@pytest.mark.parametrize(("real", "named", "kind", "media_type"), [
    ("a.png", "b.jpg", "photo", "image/png"), ("a.heic", "b.jpg", "photo", "image/heic"),
    ("a.mp4", "b.jpg", "recording", "video/mp4"), ("a.jpg", "b.mp4", "photo", "image/jpeg")])
def test_mislabelled_files_are_read_as_what_they_are(tmp_path: Path, real: str, named: str, kind: str,
                                                     media_type: str) -> None:
    (made_media.recording if real.endswith("mp4") else made_media.photo)(tmp_path / real)
    (tmp_path / real).rename(tmp_path / named)
    capture = read(tmp_path, named)
    assert (capture.kind, capture.media_type) == (kind, media_type)
    assert len(capture.problems) == 1 and "is named" in capture.problems[0]


@pytest.mark.parametrize("name", ["a.jpg", "a.heic", "a.mp4", "a.mov", "a.m4a", "a.wav"])
def test_words_under_a_media_name(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("this is a shopping list, no picture and no sound\n" * 40)
    capture = read(tmp_path, name)
    assert capture.kind == "unreadable" and len(capture.problems) == 1


def test_recordings_cut_short(tmp_path: Path) -> None:
    made_media.recording(tmp_path / "a.mp4")
    whole = (tmp_path / "a.mp4").read_bytes()
    for share in (0.1, 0.5, 0.9):
        (tmp_path / "a.mp4").write_bytes(whole[:int(len(whole) * share)])
        capture = read(tmp_path, "a.mp4")
        assert capture.kind == "unreadable" and len(capture.problems) == 1


def test_bombs_and_huge_pictures_fill_no_memory(tmp_path: Path) -> None:
    bomb(tmp_path / "bomb.png", 20_000)
    assert (tmp_path / "bomb.png").stat().st_size < 100_000
    huge = bytearray(made_media.photo(tmp_path / "huge.jpg", Model="P7", DateTimeOriginal="2024:03:09 16:40:00")
                     .read_bytes())
    frame = huge.index(b"\xff\xc0")
    huge[frame + 5:frame + 9] = struct.pack(">HH", 20_000, 20_000)
    (tmp_path / "huge.jpg").write_bytes(huge)
    tracemalloc.start()
    for name in ("bomb.png", "huge.jpg"):
        capture = read(tmp_path, name)
        assert capture.kind == "photo" and len(capture.problems) == 1 and "pixels" in capture.problems[0]
        with pytest.raises(UnreadableFile, match="pixels"):
            thumbnail(tmp_path, capture, tmp_path / "out")
    assert tracemalloc.get_traced_memory()[1] < 20e6
    tracemalloc.stop()
    assert ingest(tmp_path, "huge.jpg", Settings()).moment.precision == "second"


def test_a_file_that_is_gone_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="cannot be opened"):
        ingest(tmp_path, "gone.jpg", Settings())


def test_kinds_and_hashes(tmp_path: Path) -> None:
    assert [kind_of(name) for name in ("a.MOV", "b.Heic", "c.srt", "d.md", "e.pdf", "f.toml", "g.xmp")] == [
        "recording", "photo", "transcript", "note", "document", None, None]
    (tmp_path / "a.txt").write_bytes(b"abc")
    # FIPS 180-2, appendix B.1.
    assert sha256_of(tmp_path / "a.txt") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
