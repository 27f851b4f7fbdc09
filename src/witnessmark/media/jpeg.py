"""The segments before a JPEG's coded picture (ITU-T T.81, annex B): EXIF, XMP, size.

Pillow reads the same, and does where this finds anything unusual; but thousands of pictures are read at a time, and
Pillow's opening of a JPEG (tables, resolution, a second reading of EXIF) costs as much as all the rest together.
"""
from __future__ import annotations

from dataclasses import dataclass
from typing import BinaryIO

EXIF_MARK, XMP_MARK = b"Exif\0\0", b"http://ns.adobe.com/xap/1.0/\0"
APP1, APP13, SOS = 0xE1, 0xED, 0xDA
# Start of frame: C0 to CF, but for DHT (C4), JPG (C8) and DAC (CC); T.81, table B.1.
FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}


@dataclass(frozen=True, slots=True)
class Header:
    """What stands before the coded picture; the handle is left where the coded picture begins."""

    width: int
    height: int
    exif: bytes
    xmp: bytes


def read(handle: BinaryIO) -> Header | None:
    """Walk the segments from the start; None for anything but a plain JPEG without IPTC: Pillow is to read it."""
    if handle.read(2) != b"\xff\xd8":
        return None
    width = height = 0
    exif = xmp = b""
    while True:
        start = handle.read(4)
        if len(start) < 4 or start[0] != 0xFF or start[1] == 0xFF:
            return None
        marker, length = start[1], (start[2] << 8 | start[3]) - 2
        if marker == SOS:
            handle.seek(length, 1)
            return Header(width, height, exif, xmp) if width and height else None
        if marker == APP13 or length < 0:
            return None
        if marker == APP1 or marker in FRAMES:
            segment = handle.read(length)
            if marker in FRAMES and length >= 5:
                height, width = segment[1] << 8 | segment[2], segment[3] << 8 | segment[4]
            elif segment.startswith(EXIF_MARK):
                exif += segment[len(EXIF_MARK):]  # a block of more than one segment goes on in the next
            elif segment.startswith(XMP_MARK):
                xmp = segment[len(XMP_MARK):]
        else:
            handle.seek(length, 1)
