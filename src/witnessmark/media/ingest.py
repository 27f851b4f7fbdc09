"""One file of the builder's → its `Capture`."""
from __future__ import annotations

import datetime as dt
import hashlib
import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from witnessmark.errors import UnreadableFile
from witnessmark.media import captions, kinds, moments, names, pictures, recordings, texts
from witnessmark.media.captions import Labels
from witnessmark.media.moments import Found
from witnessmark.model import Capture, Kind, Moment, Settings

SIDECAR_AT_MOST = 1_000_000


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file's bytes, in hexadecimal."""
    with path.open("rb") as handle:
        return hashlib.file_digest(handle, "sha256").hexdigest()


def ingest(root: Path, path: str, settings: Settings, sha256: str | None = None) -> Capture:
    """Read what one file is and when it was made.

    `path` is relative to `root`, with forward slashes; `sha256` saves hashing a file whose hash is known. A file
    that can be opened but not understood comes back with kind "unreadable" and one sentence in `problems`;
    UnreadableFile is raised only where it cannot be opened at all.
    """
    place = root / path
    try:
        state = place.stat()
        digest = sha256 or sha256_of(place)
        with place.open("rb") as handle:
            head = handle.read(kinds.HEAD_BYTES)
    except OSError as error:
        raise UnreadableFile(f"{path} cannot be opened ({error.strerror}): "
                             "check that it is there and may be read") from None
    kind, media_type, problem = _what(path, head)
    blank = Capture(path, digest, state.st_size, kind, media_type, moments.UNKNOWN)
    if not head:
        return _unreadable(blank, f"{place.name} is empty (0 bytes): copy it again")
    try:
        capture = _READERS[kind](place, blank, settings, state)
    except UnreadableFile as error:
        return _unreadable(blank, str(error))
    except Exception as error:  # no file may stop the others
        return _unreadable(blank, f"{place.name} cannot be read ({type(error).__name__}): copy it again")
    return replace(capture, problems=(problem, *capture.problems)) if problem else capture


def _what(path: str, head: bytes) -> tuple[Kind, str, str]:
    """Kind and media type, and a remark where the name says something else than the bytes do."""
    named, seen = kinds.kind_of(path), kinds.sniff(head)
    if named is None:
        return ("unreadable", "application/octet-stream", "") if seen is None else (*seen, "")
    if seen is None or seen[0] == named == "recording":
        return named, kinds.media_type_of(path), ""
    promised = kinds.media_type_of(path)
    if seen == (named, promised) or {seen[1], promised} <= {"image/heic", "image/heif"}:
        return named, seen[1], ""
    return *seen, f"is named {Path(path).suffix} but holds {seen[1]}"


def _unreadable(capture: Capture, problem: str) -> Capture:
    return replace(capture, kind="unreadable", problems=(problem,))


def _photo(place: Path, blank: Capture, settings: Settings, state: os.stat_result) -> Capture:
    picture = pictures.read(place)
    sidecar = _sidecar(place)
    labels = captions.merge(picture.labels, sidecar) if sidecar != Labels() else picture.labels
    chosen = picture.exif.taken or picture.labels.taken
    if chosen is None:
        name = names.from_name(blank.path)
        chosen = _first(_timed(name), sidecar.taken, picture.exif.changed, name)
    shift = _shift(picture.exif.camera, chosen, settings)
    moment = _moment(chosen, state, settings, shift)
    if chosen and chosen is picture.exif.changed:
        moment = moments.add_note(moment, "EXIF holds only the time of the last change")
    return replace(blank, moment=moment, width=picture.width, height=picture.height, camera=picture.exif.camera,
                   caption="; ".join(labels.captions) or None, keywords=labels.keywords, gps=picture.exif.gps,
                   problems=picture.problems + sidecar.problems)


def _shift(camera: str | None, chosen: Found | None, settings: Settings) -> dt.timedelta:
    """The builder's correction of this camera's clock; file names and file times have their own clocks."""
    if camera is None or chosen is None or chosen.basis not in ("exif", "xmp", "container"):
        return dt.timedelta(0)
    known = settings.camera(camera)
    return known.offset if known else dt.timedelta(0)


def _recording(place: Path, blank: Capture, settings: Settings, state: os.stat_result) -> Capture:
    found = recordings.read(place)
    sidecar = _sidecar(place)
    name = names.from_name(blank.path)
    started = recordings.settle(found.started, name, found.duration, moments.zone_of(settings.timezone))
    exact = started if started and started.precision == "second" else None
    chosen = _first(exact, _timed(name), sidecar.taken, started, name)
    moment = _moment(chosen, state, settings, _shift(found.camera, chosen, settings))
    return replace(blank, moment=moment, duration=found.duration, has_video=found.has_video, has_sound=found.has_sound,
                   width=found.width, height=found.height, camera=found.camera, gps=found.gps,
                   caption="; ".join(captions.distinct((*sidecar.captions, found.title or ""))) or None,
                   keywords=sidecar.keywords, problems=found.problems + sidecar.problems)


def _transcript(place: Path, blank: Capture, settings: Settings, state: os.stat_result) -> Capture:
    moment = _moment(names.from_name(blank.path), state, settings)
    return replace(blank, moment=moment, duration=texts.transcript_length(texts.read_text(place)))


def _note(place: Path, blank: Capture, settings: Settings, state: os.stat_result) -> Capture:
    name = names.from_name(blank.path)
    chosen = _first(_timed(name), texts.first_date(texts.read_text(place)), name)
    return replace(blank, moment=_moment(chosen, state, settings))


def _document(place: Path, blank: Capture, settings: Settings, state: os.stat_result) -> Capture:
    return replace(blank, moment=_moment(names.from_name(blank.path), state, settings))


def _nothing(place: Path, blank: Capture, settings: Settings, state: os.stat_result) -> Capture:
    raise UnreadableFile(f"{place.name} is no kind of file that a journal reads: leave it, or convert it")


def _first(*candidates: Found | None) -> Found | None:
    return next((found for found in candidates if found), None)


def _timed(found: Found | None) -> Found | None:
    return found if found and found.precision in ("second", "minute") else None


def _moment(chosen: Found | None, state: os.stat_result, settings: Settings,
            shift: dt.timedelta = dt.timedelta(0)) -> Moment:
    """The moment of the best time found; without any, the file's own time, as the weak thing it is."""
    if chosen:
        return moments.moment_of(chosen, settings, shift)
    written = dt.datetime.fromtimestamp(state.st_mtime, dt.UTC)
    return moments.moment_of(Found(written, "day", "file-time", "utc",
                                   "only the file's own time: copying may have changed it"), settings)


def _sidecar(place: Path) -> Labels:
    """The XMP sidecar: "IMG_1.jpg.xmp" or "IMG_1.xmp"."""
    for beside in (f"{place}.xmp", f"{os.path.splitext(place)[0]}.xmp"):  # noqa: PTH122 (faster than a Path)
        if not os.path.exists(beside):  # noqa: PTH110 (faster than a Path, and than an error)
            continue
        try:
            with open(beside, "rb") as handle:  # noqa: PTH123 (faster than a Path)
                packet = handle.read(SIDECAR_AT_MOST)
        except OSError:
            return Labels(problems=(f"{Path(beside).name} cannot be opened",))
        return captions.from_xmp(packet, "sidecar")
    return Labels()


_READERS: dict[Kind, Callable[[Path, Capture, Settings, os.stat_result], Capture]] = {
    "photo": _photo, "recording": _recording, "transcript": _transcript, "note": _note, "document": _document,
    "unreadable": _nothing}
