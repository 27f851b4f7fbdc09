"""Bursts and doubles: pictures that show the same, of which the sharpest leads.

The likeness of two pictures is the number of differing bits of their difference hashes (N. Krawetz, "Kind of Like
That", 2013), over rows and columns; sharpness is the variance of the Laplacian (Pech-Pacheco et al., 2000).
"""
from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from witnessmark.model import Capture

CELLS = 8
# Of 128 bits. A burst's pictures move a little; a double is the same picture, saved again or made smaller.
BURST_BITS, DOUBLE_BITS = 24, 6
BURST_GAP = dt.timedelta(seconds=10)
DOUBLE_GAP = dt.timedelta(seconds=2)


@dataclass(frozen=True, slots=True)
class Look:
    """A picture's fingerprint of 128 bits, and how sharp it is (higher is sharper)."""

    bits: int
    sharpness: float


def look(thumbnail: Path) -> Look:
    """The look of a picture, taken from its thumbnail so that all are judged at one size."""
    with Image.open(thumbnail) as image:
        grey = image.convert("L")
        rows = np.asarray(grey.resize((CELLS + 1, CELLS), Image.Resampling.LANCZOS), dtype=np.int16)
        columns = np.asarray(grey.resize((CELLS, CELLS + 1), Image.Resampling.LANCZOS), dtype=np.int16)
        pixels = np.asarray(grey, dtype=np.float32)
    signs = np.concatenate([(np.diff(rows, axis=1) > 0).ravel(), (np.diff(columns, axis=0) > 0).ravel()])
    bits = int.from_bytes(np.packbits(signs).tobytes(), "big")
    if min(pixels.shape) < 3:
        return Look(bits, 0.0)
    laplacian = (pixels[:-2, 1:-1] + pixels[2:, 1:-1] + pixels[1:-1, :-2] + pixels[1:-1, 2:]
                 - 4 * pixels[1:-1, 1:-1])
    return Look(bits, round(float(laplacian.var()), 3))


def distance(one: Look, other: Look) -> int:
    """How many of the 128 bits differ."""
    return (one.bits ^ other.bits).bit_count()


def groups(photos: Sequence[Capture], looks: Mapping[str, Look]) -> dict[str, str]:
    """SHA-256 of each picture → SHA-256 of the picture that leads its group (itself where it stands alone).

    Pictures without a look stand alone. A picture joins a group by its likeness to the picture before it in time.
    """
    timed = sorted((photo for photo in photos if photo.sha256 in looks and photo.moment.at is not None
                    and photo.moment.precision == "second" and photo.moment.basis != "file-time"),
                   key=lambda photo: (photo.moment.at, photo.path))  # type: ignore[arg-type, return-value]
    leaders = {photo.sha256: photo.sha256 for photo in photos}
    group: list[Capture] = []
    for photo in timed:
        if group and not any(_belongs(member, photo, looks) for member in group[-4:]):
            _crown(group, looks, leaders)
            group = []
        group.append(photo)
    _crown(group, looks, leaders)
    return leaders


def _belongs(earlier: Capture, later: Capture, looks: Mapping[str, Look]) -> bool:
    assert earlier.moment.at is not None and later.moment.at is not None
    gap = later.moment.at - earlier.moment.at
    apart = distance(looks[earlier.sha256], looks[later.sha256])
    if gap <= DOUBLE_GAP and apart <= DOUBLE_BITS:
        return True
    return earlier.camera == later.camera and gap <= BURST_GAP and apart <= BURST_BITS


def _crown(group: Sequence[Capture], looks: Mapping[str, Look], leaders: dict[str, str]) -> None:
    """The sharpest leads; copies made much smaller, which look sharper than they are, do not."""
    if not group:
        return
    largest = max(_pixels(photo) for photo in group)
    best = max((photo for photo in group if _pixels(photo) >= largest / 2),
               key=lambda photo: (looks[photo.sha256].sharpness, _pixels(photo)))
    leaders.update({photo.sha256: best.sha256 for photo in group})


def _pixels(photo: Capture) -> int:
    return (photo.width or 0) * (photo.height or 0)
