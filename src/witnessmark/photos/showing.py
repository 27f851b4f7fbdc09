"""What pages show of a picture or a film: small upright JPEGs without metadata, made once and kept by content.

The only files written here are those in the folder that the caller names (`.witnessmark/thumbnails/`).
"""
from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

import av
from PIL import Image, ImageOps

from witnessmark.errors import UnreadableFile
from witnessmark.media import pictures
from witnessmark.model import Capture

LONGEST_SIDE = 640
QUALITY = 82


def thumbnail(root: Path, capture: Capture, out_dir: Path) -> Path:
    """The upright thumbnail of a picture, at most 640 pixels long; made only if it is not there yet.

    Carries no metadata, so that no place leaves with it. UnreadableFile where the picture is damaged or too large.
    """
    out = out_dir / f"{capture.sha256}.jpg"
    if not out.exists():
        _write(upright(root / capture.path, LONGEST_SIDE), out)
    return out


def upright(path: Path, longest_side: int) -> Image.Image:
    """A picture turned upright, in colour, no side longer than asked; memory stays small for large JPEGs."""
    pictures.prepare()
    try:
        with Image.open(path, formats=pictures.FORMATS) as image:
            image.draft("RGB", (longest_side * 2, longest_side * 2))
            image.thumbnail((longest_side * 2, longest_side * 2), reducing_gap=2.0)
            turned = _in_colour(ImageOps.exif_transpose(image))
    except Image.DecompressionBombError:
        raise UnreadableFile(f"{path.name} has too many pixels to be shown: save a smaller copy beside it") from None
    except Exception as error:  # Pillow's decoders raise many kinds of errors on damaged pictures
        raise UnreadableFile(f"{path.name} is damaged or cut short ({type(error).__name__}): "
                             "copy it again from the camera") from None
    turned.thumbnail((longest_side, longest_side))
    return turned


def _in_colour(image: Image.Image) -> Image.Image:
    """RGB on white; deep greys are scaled, not clipped."""
    if image.mode.startswith("I") or image.mode == "F":
        low, high = image.getextrema()
        spread = max(float(high) - float(low), 1.0)  # type: ignore[arg-type]
        image = image.convert("F").point(lambda value: (value - float(low)) * (255 / spread)).convert("L")  # type: ignore[arg-type]
    if "A" in image.getbands() or "transparency" in image.info:
        coloured = image.convert("RGBA")
        ground = Image.new("RGB", coloured.size, "white")
        ground.paste(coloured, mask=coloured.getchannel("A"))
        return ground
    return image.convert("RGB")


def still(root: Path, capture: Capture, second: float, out: Path) -> Path:
    """The frame of a film at `second`, upright, at most 640 pixels long, as a JPEG at `out`.

    UnreadableFile where the recording has no picture or cannot be played.
    """
    if not capture.has_video:
        raise UnreadableFile(f"{capture.path} has no picture to take a still from")
    try:
        with av.open(str(root / capture.path)) as container:
            frame = _frame_at(container, max(second, 0.0))
            image = frame.to_image()
            turn = getattr(frame, "rotation", 0)
    except Exception as error:  # PyAV passes on FFmpeg's many errors
        raise UnreadableFile(f"{capture.path} shows nothing at second {second:.0f} "
                             f"({type(error).__name__}): copy it again from the camera") from None
    if turn:
        image = image.rotate(turn, expand=True)
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    _write(image, out)
    return out


def _frame_at(container: av.container.InputContainer, second: float) -> av.VideoFrame:
    """The last frame that is shown by `second`; the first frame where that is earlier than all of them."""
    stream = container.streams.video[0]
    stream.thread_type = "AUTO"
    begin = float((stream.start_time or 0) * stream.time_base) if stream.time_base else 0.0
    if stream.time_base:
        container.seek(int((begin + second) / stream.time_base), stream=stream, backward=True)
    shown = None
    for frame in container.decode(stream):
        if shown is not None and frame.time is not None and frame.time - begin > second:
            break
        shown = frame
    if shown is None:
        raise EOFError
    return shown


def _write(image: Image.Image, out: Path) -> None:
    """Write a JPEG whole or not at all."""
    out.parent.mkdir(parents=True, exist_ok=True)
    part = out.with_name(f"{out.name}.{os.getpid()}.part")
    try:
        image.save(part, "JPEG", quality=QUALITY, optimize=True)
        part.replace(out)
    finally:
        with suppress(FileNotFoundError):
            part.unlink()
