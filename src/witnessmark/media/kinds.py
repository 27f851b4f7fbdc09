"""What a file is: by its name first, by its first bytes where the name does not tell the truth."""
from __future__ import annotations

import os

from witnessmark.model import Kind

MEDIA_TYPES: dict[str, tuple[Kind, str]] = {
    ".mp4": ("recording", "video/mp4"), ".m4v": ("recording", "video/mp4"), ".mov": ("recording", "video/quicktime"),
    ".mkv": ("recording", "video/x-matroska"), ".webm": ("recording", "video/webm"),
    ".avi": ("recording", "video/x-msvideo"), ".mts": ("recording", "video/mp2t"), ".m2ts": ("recording", "video/mp2t"),
    ".3gp": ("recording", "video/3gpp"), ".3g2": ("recording", "video/3gpp2"), ".mpg": ("recording", "video/mpeg"),
    ".mpeg": ("recording", "video/mpeg"), ".wmv": ("recording", "video/x-ms-wmv"), ".ogv": ("recording", "video/ogg"),
    ".m4a": ("recording", "audio/mp4"), ".mp3": ("recording", "audio/mpeg"), ".wav": ("recording", "audio/wav"),
    ".flac": ("recording", "audio/flac"), ".ogg": ("recording", "audio/ogg"), ".oga": ("recording", "audio/ogg"),
    ".opus": ("recording", "audio/ogg"), ".aac": ("recording", "audio/aac"), ".amr": ("recording", "audio/amr"),
    ".aif": ("recording", "audio/aiff"), ".aiff": ("recording", "audio/aiff"), ".wma": ("recording", "audio/x-ms-wma"),
    ".caf": ("recording", "audio/x-caf"),
    ".jpg": ("photo", "image/jpeg"), ".jpeg": ("photo", "image/jpeg"), ".png": ("photo", "image/png"),
    ".heic": ("photo", "image/heic"), ".heif": ("photo", "image/heif"), ".avif": ("photo", "image/avif"),
    ".tif": ("photo", "image/tiff"), ".tiff": ("photo", "image/tiff"), ".webp": ("photo", "image/webp"),
    ".vtt": ("transcript", "text/vtt"), ".srt": ("transcript", "application/x-subrip"),
    ".txt": ("note", "text/plain"), ".md": ("note", "text/markdown"), ".markdown": ("note", "text/markdown"),
    ".pdf": ("document", "application/pdf"),
}

# The brands of an ISO base media file ("ftyp" box) that are pictures: ISO/IEC 23008-12 and the AVIF specification.
PICTURE_BRANDS = {b"heic": "image/heic", b"heix": "image/heic", b"heim": "image/heic", b"heis": "image/heic",
                  b"hevc": "image/heic", b"hevx": "image/heic", b"mif1": "image/heif", b"msf1": "image/heif",
                  b"avif": "image/avif", b"avis": "image/avif"}
HEAD_BYTES = 64


def kind_of(path: str | os.PathLike[str]) -> Kind | None:
    """The kind that a file's name promises; None for files that no journal reads (settings, sidecars, anything)."""
    found = MEDIA_TYPES.get(os.path.splitext(path)[1].lower())  # noqa: PTH122 (faster than a Path)
    return found[0] if found else None


def media_type_of(path: str | os.PathLike[str]) -> str:
    """The media type that a file's name promises (RFC 2046 names)."""
    found = MEDIA_TYPES.get(os.path.splitext(path)[1].lower())  # noqa: PTH122 (faster than a Path)
    return found[1] if found else "application/octet-stream"


def sniff(head: bytes) -> tuple[Kind, str] | None:
    """Kind and media type by a file's first bytes; None where they do not tell (text, raw sound)."""
    for magic, media_type in ((b"\xff\xd8\xff", "image/jpeg"), (b"\x89PNG\r\n\x1a\n", "image/png"),
                              (b"II*\0", "image/tiff"), (b"MM\0*", "image/tiff")):
        if head.startswith(magic):
            return "photo", media_type
    if head.startswith(b"%PDF-"):
        return "document", "application/pdf"
    if head[4:8] == b"ftyp":
        picture = PICTURE_BRANDS.get(head[8:12])
        if picture:
            return "photo", picture
        return "recording", "video/quicktime" if head[8:12] == b"qt  " else "video/mp4"
    if head.startswith(b"RIFF"):
        return {b"WEBP": ("photo", "image/webp"), b"WAVE": ("recording", "audio/wav"),
                b"AVI ": ("recording", "video/x-msvideo")}.get(head[8:12])  # type: ignore[return-value]
    return _sniff_streams(head)


def _sniff_streams(head: bytes) -> tuple[Kind, str] | None:
    for magic, media_type in ((b"\x1aE\xdf\xa3", "video/x-matroska"), (b"OggS", "audio/ogg"),
                              (b"fLaC", "audio/flac"), (b"ID3", "audio/mpeg")):
        if head.startswith(magic):
            return "recording", media_type
    return None
