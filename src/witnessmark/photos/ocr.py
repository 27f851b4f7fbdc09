"""Words seen in a picture: chalk marks, part tags, drawings, receipts. Needs the optional extra "ocr".

The recogniser and its models are loaded when the first picture is read, and not at all where they are not installed.
"""
from __future__ import annotations

import functools
import importlib.util
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageOps

from witnessmark.photos import blanks
from witnessmark.photos.showing import upright

SIZE = 1600  # the long side, in pixels, at which a picture is read
# A second look at a piece of text: its box alone, stretched in contrast and brought to this height in pixels, so that
# the two looks do not share their mistakes.
SECOND_HEIGHT, MARGIN = 60, 0.15
LEAST_SCORE = 0.6
SAME_ROW = 0.5


@dataclass(frozen=True, slots=True)
class Seen:
    """A piece of text: its box in pixels (after straightening), its score (0 to 1), and `found`, the upright box
    (left, top, right, bottom) around it in the picture that was read."""

    text: str
    left: float
    top: float
    right: float
    bottom: float
    score: float
    found: tuple[float, float, float, float] = (0, 0, 0, 0)

    @property
    def height(self) -> float:
        return self.bottom - self.top


def available() -> bool:
    """Whether text in pictures can be read here."""
    return importlib.util.find_spec("rapidocr_onnxruntime") is not None


@functools.cache
def _recogniser() -> Any:
    from rapidocr_onnxruntime import RapidOCR

    return RapidOCR()


def read(image: Image.Image) -> tuple[Seen, ...]:
    """All text in an upright picture, top to bottom; nothing where the recogniser is not installed."""
    if not available():
        return ()
    found, _ = _recogniser()(_pixels(image), return_word_box=True)
    return _straightened([(piece[0], blanks.of(image, piece), piece[2]) for piece in found or []])


def read_again(image: Image.Image, seen: Sequence[Seen]) -> tuple[Seen, ...]:
    """The same pieces with a second reading of those that hold figures."""
    return tuple(_second(image, piece) if any(map(str.isdigit, piece.text)) else piece for piece in seen)


def _second(image: Image.Image, piece: Seen) -> Seen:
    left, top, right, bottom = piece.found
    margin = MARGIN * (bottom - top)
    box = image.crop((round(left - margin), round(top - margin), round(right + margin), round(bottom + margin)))
    if box.height < 4 or box.width < 4:
        return piece
    grey = ImageOps.autocontrast(box.convert("L"), cutoff=2)
    size = (max(8, round(grey.width * SECOND_HEIGHT / grey.height)), SECOND_HEIGHT)
    again, _ = _recogniser()(_pixels(grey.resize(size, Image.Resampling.BICUBIC)), use_det=False, use_cls=False)
    text, score = again[0][:2] if again else ("", 0.0)
    text = text.strip()
    same = text.replace(" ", "") == piece.text.replace(" ", "")  # the first look knows where the blanks are
    return replace(piece, text=piece.text if same else text, score=float(score))


def _pixels(image: Image.Image) -> NDArray[np.uint8]:
    """The recogniser expects blue, green, red."""
    return np.ascontiguousarray(np.asarray(image.convert("RGB"))[:, :, ::-1])


def words_in(path: Path) -> tuple[str, ...]:
    """The lines of text in a picture that were read well enough to be looked up in the trade vocabulary.

    UnreadableFile where the picture cannot be opened.
    """
    if not available():
        return ()
    return tuple(seen.text for seen in read(upright(path, SIZE))
                 if seen.score >= LEAST_SCORE and any(map(str.isalpha, seen.text)))


def _straightened(found: Sequence[tuple[Any, str, float]]) -> tuple[Seen, ...]:
    """Boxes turned so that lines run level: a receipt is rarely photographed straight."""
    slopes = [(box[1][1] - box[0][1]) / (box[1][0] - box[0][0]) for box, text, _ in found
              if len(text) >= 4 and box[1][0] > box[0][0]]
    slope = statistics.median(slopes) if slopes else 0.0
    seen = []
    for box, text, score in found:
        rows = [y - slope * x for x, y in box]
        columns = [x + slope * y for x, y in box]
        seen.append(Seen(text.strip(), min(columns), statistics.fmean(rows[:2]), max(columns),
                         statistics.fmean(rows[2:]), float(score), _around(box)))
    return tuple(sorted(seen, key=lambda item: (item.top, item.left)))


def _around(box: Any) -> tuple[float, float, float, float]:
    across, down = [point[0] for point in box], [point[1] for point in box]
    return min(across), min(down), max(across), max(down)


def rows(seen: Sequence[Seen]) -> tuple[tuple[Seen, ...], ...]:
    """Pieces that stand in one line, as lines from top to bottom, each from left to right."""
    lines: list[list[Seen]] = []
    for piece in sorted(seen, key=lambda item: (item.top + item.bottom) / 2):
        middle = (piece.top + piece.bottom) / 2
        if lines:
            last = lines[-1]
            there = statistics.fmean((item.top + item.bottom) / 2 for item in last)
            if abs(middle - there) <= SAME_ROW * min(piece.height, statistics.fmean(item.height for item in last)):
                last.append(piece)
                continue
        lines.append([piece])
    return tuple(tuple(sorted(line, key=lambda item: item.left)) for line in lines)
