"""Pictures: size, camera, captions and the times they carry, from JPEG, HEIC, PNG, TIFF, WebP and AVIF.

Only headers and metadata are read; the picture itself is never decoded here.
"""
from __future__ import annotations

import functools
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from PIL import Image, UnidentifiedImageError

from witnessmark.errors import UnreadableFile
from witnessmark.media import captions, exif
from witnessmark.media.captions import Labels
from witnessmark.media.exif import Exif

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "HEIF", "AVIF")
# EXIF orientations 5 to 8 lie on their side (CIPA DC-008, Orientation).
TURNED = range(5, 9)


@dataclass(frozen=True, slots=True)
class Picture:
    """What a picture's header says; width and height as it is looked at, upright."""

    exif: Exif
    labels: Labels
    width: int | None = None
    height: int | None = None
    problems: tuple[str, ...] = ()


@functools.cache
def prepare() -> None:
    """Teach Pillow HEIC, and keep its warning about large pictures for our own sentence."""
    import pillow_heif

    pillow_heif.register_heif_opener()
    warnings.filterwarnings("ignore", category=Image.DecompressionBombWarning)


def read(path: Path) -> Picture:
    """Read a picture's header; UnreadableFile with one sentence where it is none."""
    prepare()
    with path.open("rb") as handle:
        try:
            image = Image.open(handle, formats=FORMATS)
        except Image.DecompressionBombError:
            return Picture(exif.read(handle), Labels(), problems=(
                "has so many pixels that opening it could exhaust the memory: save a smaller copy beside it",))
        except UnidentifiedImageError:
            raise UnreadableFile(f"{path.name} is no picture that can be read, or is cut short: "
                                 "copy it again from the camera") from None
        except Exception as error:  # Pillow's readers raise many kinds of errors on damaged headers
            raise UnreadableFile(f"{path.name} is damaged ({type(error).__name__}): "
                                 "copy it again from the camera") from None
        return _describe(image, handle)


def _describe(image: Image.Image, handle: BinaryIO) -> Picture:
    tags = _read_exif(image, handle)
    packet = image.info.get("xmp")
    labels = [captions.from_xmp(packet)] if packet else []
    if image.format in ("JPEG", "MPO", "TIFF"):
        labels.append(captions.from_iptc(image))
    labels.append(Labels(tags.comments, tags.keywords))
    if image.format == "PNG":
        labels.append(Labels(tuple(str(image.info[key]) for key in ("Description", "Title", "Comment")
                                   if isinstance(image.info.get(key), str))))
    width, height = image.size
    if tags.orientation in TURNED and image.format in ("JPEG", "MPO", "PNG", "WEBP"):  # the others come upright
        width, height = height, width
    merged = captions.merge(*labels)
    return Picture(tags, merged, width, height, tags.problems + merged.problems)


def _read_exif(image: Image.Image, handle: BinaryIO) -> Exif:
    """The EXIF block that Pillow found, or the tags of the TIFF file itself."""
    try:
        block = image.info.get("exif")
        if block:
            return exif.read(block, image.getexif)
        if image.format == "TIFF":
            return exif.read(handle, image.getexif)
        if "Raw profile type exif" in image.info:
            return exif.read(image.getexif().tobytes(), image.getexif)
    except Exception as error:  # a damaged block; Pillow's second reader may raise anything as well
        return Exif(problems=(f"EXIF is damaged ({type(error).__name__}): it cannot be read",))
    return Exif()
