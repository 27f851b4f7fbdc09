"""Blanks that a recogniser of text loses, put back where the picture shows them.

The recogniser is trained mostly on a script without blanks and joins words ("PIPERLANE"). Where it saw each letter is
known; a blank is where two neighbouring letters stand further apart than the others do, with bare paper between them.
"""
from __future__ import annotations

import re
import statistics
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

# A blank is as wide as so many median gaps between letters of its line, and more; all as shares of the line's height.
# That letters stand further apart than usual counts, too, but less: where they stand is known by an eighth of a letter.
# Chosen on drawn receipts (eight ways of setting, three qualities); no published figure.
LEAST, MORE, MEDIANS, PITCH = 0.26, 0.15, 1.4, 0.3
INK = 0.4  # of the darkest strokes of the line
SHORTEST = 4
Box = Sequence[Sequence[float]]


def restored(image: Image.Image, box: Box, text: str, letters: Sequence[str], places: Sequence[Box]) -> str:
    """The text of a line with the blanks that were lost in it.

    `box` are the four corners of the line in `image`, from the upper left one clockwise; `letters` the characters that
    the recogniser saw in it, and `places` the corners of each.
    """
    if len(letters) < SHORTEST or len(letters) != len(places) or "".join(letters) != text:
        return text
    (left, top), (right, _), _, (_, bottom) = box
    along = np.array([right - left, box[1][1] - top], dtype=float)
    length, height = float(np.hypot(*along)), float(np.hypot(box[3][0] - left, bottom - top))
    if length < 2 or height < 2:
        return text
    middles = [float((np.mean(place, axis=0) - (left, top)) @ along / length) for place in places]
    ink = _ink(image, box, round(length), round(height))
    pitches = [(after - before) / height for before, after in pairwise(middles)]
    gaps = [_longest_bare(ink[max(int(before), 0):int(after) + 1]) / height
            for before, after in pairwise(middles)]
    inside = [number for number in range(len(gaps)) if letters[number] != " " != letters[number + 1]]
    if len(inside) < SHORTEST - 1:
        return text
    pitch = statistics.median(pitches[number] for number in inside)
    wide = max(LEAST, MORE + MEDIANS * statistics.median(gaps[number] for number in inside))
    lost = {number for number in inside if gaps[number] + PITCH * (pitches[number] - pitch) >= wide
            and not _in_a_figure(letters, number)}
    return "".join(letter + " " * (number in lost) for number, letter in enumerate(letters))


def _in_a_figure(letters: Sequence[str], number: int) -> bool:
    """Whether the place after this letter is at the point of "7.25"."""
    around = "".join(letters[max(number - 1, 0):number + 3])
    return re.search(r"\d[.,]\d", around) is not None and (letters[number] in ".," or letters[number + 1] in ".,")


def _ink(image: Image.Image, box: Box, length: int, height: int) -> NDArray[np.bool_]:
    """For each column of a line, laid level, whether there is ink in it."""
    corners = [*box[0], *box[3], *box[2], *box[1]]  # Pillow asks for upper left, lower left, lower right, upper right
    line = image.convert("L").transform((length, height), Image.Transform.QUAD, corners, Image.Resampling.BILINEAR)
    pixels = np.asarray(line, dtype=np.float32)
    depth = pixels.max(axis=0) - pixels.min(axis=0)
    return depth > INK * float(np.percentile(depth, 90))


def _longest_bare(ink: NDArray[np.bool_]) -> int:
    longest = run = 0
    for there in ink.tolist():
        run = 0 if there else run + 1
        longest = max(longest, run)
    return longest


def of(image: Image.Image, found: Any) -> str:
    """The text of what the recogniser found (corners, text, score, corners of letters, letters), blanks restored."""
    box, text = found[:2]
    if len(found) < 5 or not found[3]:
        return str(text)
    return restored(image, box, str(text), found[4], found[3])
