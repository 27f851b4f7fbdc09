"""Pictures: size, camera, captions and the times they carry, from JPEG, HEIC, PNG, TIFF, WebP and AVIF.

Only headers and metadata are read; the picture itself is never decoded here.
"""
from __future__ import annotations

import functools
import os
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from PIL import Image, UnidentifiedImageError

from witnessmark.errors import UnreadableFile
from witnessmark.media import captions, exif, jpeg
from witnessmark.media.captions import Labels
from witnessmark.media.exif import Exif

FORMATS = ("JPEG", "PNG", "TIFF", "WEBP", "HEIF", "AVIF")
# EXIF orientations 5 to 8 lie on their side (CIPA DC-008, Orientation).
TURNED = range(5, 9)
# Pillow opens the others upright: TIFF by its own tag, HEIC by its own properties (ISO/IEC 23008-12, 6.5.10).
UNTURNED = ("JPEG", "MPO", "PNG", "WEBP", "AVIF")
BLOCK = 1 << 20
END_MARKS = {"JPEG": b"\xff\xd9", "MPO": b"\xff\xd9", "PNG": b"IEND"}
TOO_LARGE = "has so many pixels that opening it could exhaust the memory: save a smaller copy beside it"


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
    with path.open("rb") as handle:
        found = jpeg.read(handle)
        if found:
            return _plain_jpeg(found, handle)
        handle.seek(0)
        return _by_pillow(path, handle)


def _plain_jpeg(found: jpeg.Header, handle: BinaryIO) -> Picture:
    tags = exif.read(found.exif, lambda: _pillow_tags(found.exif)) if found.exif else Exif()
    if found.width * found.height > 2 * (Image.MAX_IMAGE_PIXELS or 0):  # where Pillow would refuse to open it
        return Picture(tags, _labels(tags, found.xmp), problems=(TOO_LARGE,))
    return _picture(tags, _labels(tags, found.xmp), found.width, found.height, tags.orientation in TURNED,
                    _cut_short(b"\xff\xd9", handle))


def _pillow_tags(block: bytes) -> Image.Exif:
    tags = Image.Exif()
    tags.load(exif.MARK + block)
    return tags


def _by_pillow(path: Path, handle: BinaryIO) -> Picture:
    prepare()
    try:
        image = Image.open(handle, formats=FORMATS)
    except Image.DecompressionBombError:
        return Picture(exif.read(handle), Labels(), problems=(TOO_LARGE,))
    except UnidentifiedImageError:
        raise UnreadableFile(f"{path.name} is no picture that can be read, or is cut short: "
                             "copy it again from the camera") from None
    except Exception as error:  # Pillow's readers raise many kinds of errors on damaged headers
        raise UnreadableFile(f"{path.name} is damaged ({type(error).__name__}): "
                             "copy it again from the camera") from None
    return _describe(image, handle)


def _describe(image: Image.Image, handle: BinaryIO) -> Picture:
    coded_from = handle.tell()
    tags = _read_exif(image, handle)
    more = []
    if image.format in ("JPEG", "MPO", "TIFF"):
        more.append(captions.from_iptc(image))
    if image.format == "PNG":
        more.append(Labels(tuple(str(image.info[key]) for key in ("Description", "Title", "Comment")
                                 if isinstance(image.info.get(key), str))))
    labels = _labels(tags, image.info.get("xmp") or b"", *more)
    turned = tags.orientation in TURNED and image.format in UNTURNED
    mark = END_MARKS.get(image.format or "")
    handle.seek(coded_from)
    return _picture(tags, labels, *image.size, turned, _cut_short(mark, handle) if mark else ())


def _labels(tags: Exif, packet: bytes | str, *more: Labels) -> Labels:
    """Captions and keywords: XMP before the others, EXIF's own comments last."""
    if not (packet or more or tags.comments or tags.keywords):
        return Labels()
    xmp = (captions.from_xmp(packet),) if packet else ()
    return captions.merge(*xmp, *more, Labels(tags.comments, tags.keywords))


def _picture(tags: Exif, labels: Labels, width: int, height: int, turned: bool, problems: tuple[str, ...]) -> Picture:
    if turned:
        width, height = height, width
    return Picture(tags, labels, width, height, tags.problems + labels.problems + problems)


def _cut_short(mark: bytes, handle: BinaryIO) -> tuple[str, ...]:
    """A sentence where the end of a JPEG or PNG is missing; the handle stands where the coded picture begins.

    A JPEG ends with its EOI marker (ITU-T T.81, B.1.1.3), which cannot occur inside the coded picture; what phones
    put behind it (short films, maps of depth) does not matter. A PNG ends with the chunk IEND (ISO/IEC 15948, 5.6).
    """
    coded_from = handle.tell()
    handle.seek(max(handle.seek(0, os.SEEK_END) - 12, 0))
    if mark in handle.read():
        return ()
    handle.seek(coded_from)
    rest = b""
    while block := handle.read(BLOCK):
        if mark in rest + block:
            return ()
        rest = block[-len(mark):]
    return ("is cut short, the end of the picture is missing: copy it again from the camera",)


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
