"""Thumbnails, stills, bursts and doubles."""
from __future__ import annotations

import datetime as dt
from pathlib import Path

import made_media
import numpy as np
import pytest
from PIL import Image, ImageFilter

from witnessmark.errors import UnreadableFile
from witnessmark.media import ingest
from witnessmark.model import Capture, Moment, Settings
from witnessmark.photos import still, thumbnail
from witnessmark.photos.groups import distance, groups, look

NOON = dt.datetime(2024, 5, 4, 12, 0, tzinfo=dt.UTC)


def scene(seed: int, size: tuple[int, int] = (800, 600)) -> Image.Image:
    """A picture with large shapes and fine grain."""
    chance = np.random.default_rng(seed)
    coarse = Image.fromarray(chance.integers(0, 255, (6, 8, 3), dtype=np.uint8)).resize(size, Image.Resampling.BICUBIC)
    fine = Image.fromarray(chance.integers(0, 255, (size[1], size[0], 3), dtype=np.uint8))
    return Image.blend(coarse, fine, 0.15)


def test_thumbnails_are_small_upright_bare_and_made_once(tmp_path: Path) -> None:
    made_media.photo(tmp_path / "a.jpg", made_media.marked((1200, 800)), Orientation=6, GPSLatitudeRef="N",
                     GPSLatitude=(44.0, 1.0, 2.0), GPSLongitudeRef="W", GPSLongitude=(103.0, 1.0, 2.0))
    capture = ingest(tmp_path, "a.jpg", Settings())
    out = thumbnail(tmp_path, capture, tmp_path / "thumbnails")
    assert out == tmp_path / "thumbnails" / f"{capture.sha256}.jpg"
    with Image.open(out) as small:
        assert small.format == "JPEG" and small.size == (427, 640)
        assert not small.getexif() and capture.gps is not None
    written = out.stat().st_mtime_ns
    assert thumbnail(tmp_path, capture, tmp_path / "thumbnails").stat().st_mtime_ns == written
    assert [path.name for path in out.parent.iterdir()] == [out.name]


@pytest.mark.parametrize("mode", ["L", "LA", "P", "1", "I;16", "RGBA", "CMYK", "F"])
def test_pictures_of_every_mode_can_be_shown(tmp_path: Path, mode: str) -> None:
    suffix = "tif" if mode in ("CMYK", "F") else "png"
    image = Image.linear_gradient("L")
    image = image.convert("I").point(lambda value: value * 200).convert(mode) if mode == "I;16" else image.convert(mode)
    image.save(tmp_path / f"a.{suffix}")
    out = thumbnail(tmp_path, ingest(tmp_path, f"a.{suffix}", Settings()), tmp_path)
    with Image.open(out) as small:
        low, high = small.convert("L").getextrema()
        assert small.mode == "RGB" and high - low > 200  # type: ignore[operator]


@pytest.mark.parametrize(("second", "red"), [(0.0, False), (0.9, False), (1.5, True), (1.95, True), (60.0, True)])
def test_a_still_shows_its_second(tmp_path: Path, second: float, red: bool) -> None:
    made_media.recording(tmp_path / "a.mp4")
    capture = ingest(tmp_path, "a.mp4", Settings())
    with Image.open(still(tmp_path, capture, second, tmp_path / "out" / "still.jpg")) as image:
        colour = image.convert("RGB").getpixel((32, 24))
    assert (colour[0] > colour[2]) == red  # type: ignore[index]


def test_no_still_of_a_voice_note(tmp_path: Path) -> None:
    made_media.recording(tmp_path / "a.m4a", video=False)
    with pytest.raises(UnreadableFile, match="no picture"):
        still(tmp_path, ingest(tmp_path, "a.m4a", Settings()), 1.0, tmp_path / "out.jpg")
    assert not (tmp_path / "out.jpg").exists()


def shot(folder: Path, name: str, image: Image.Image, seconds: float, camera: str = "P7") -> Capture:
    image.save(folder / f"{name}.jpg", quality=90)
    return Capture(name, name, 1, "photo", "image/jpeg", Moment(NOON + dt.timedelta(seconds=seconds), "second", "exif"),
                   camera=camera, width=image.width, height=image.height)


def test_bursts_and_doubles(tmp_path: Path) -> None:
    base = scene(1)
    shaken = base.rotate(0.6, resample=Image.Resampling.BICUBIC).crop((6, 4, 800, 600))
    photos = [shot(tmp_path, "blurred", base.filter(ImageFilter.GaussianBlur(3)), 0),
              shot(tmp_path, "sharp", base, 3), shot(tmp_path, "shaken", shaken.filter(ImageFilter.GaussianBlur(2)), 6),
              shot(tmp_path, "other", scene(2), 8),
              shot(tmp_path, "small", base.resize((400, 300)), 3, "editor"),
              shot(tmp_path, "a year later", base, 31_000_000)]
    looks = {photo.sha256: look(tmp_path / f"{photo.path}.jpg") for photo in photos}
    leaders = groups(photos, looks)
    assert {leaders[name] for name in ("blurred", "sharp", "shaken", "small")} == {"sharp"}
    assert leaders["other"] == "other" and leaders["a year later"] == "a year later"
    assert looks["sharp"].sharpness > looks["shaken"].sharpness > looks["blurred"].sharpness


def test_different_pictures_of_one_minute_stay_apart(tmp_path: Path) -> None:
    photos = [shot(tmp_path, str(seed), scene(seed), seed) for seed in range(12)]
    looks = {photo.sha256: look(tmp_path / f"{photo.path}.jpg") for photo in photos}
    assert groups(photos, looks) == {photo.sha256: photo.sha256 for photo in photos}
    assert min(distance(looks["0"], looks[str(other)]) for other in range(1, 12)) > 24


def test_pictures_without_a_look_or_a_time_stand_alone() -> None:
    bare = Capture("x", "x", 1, "photo", "image/jpeg", Moment(None, "none", "none"))
    assert groups([bare], {}) == {"x": "x"}
