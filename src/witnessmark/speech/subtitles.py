"""Subtitle files in and out: WebVTT (W3C) and SubRip, as tolerant as the files in the wild need it."""
from __future__ import annotations

import codecs
import html
import re
from pathlib import Path

import webvtt

from witnessmark.errors import UnreadableFile
from witnessmark.model import Cue, Transcript
from witnessmark.speech.files import write_text

ORIGIN = "subtitle"
ARROW = "-->"
# hours may be missing; SubRip has a decimal comma, WebVTT a point; editors drop leading zeros
TIME = r"(?:(\d+):)?(\d{1,2}):(\d{1,2})(?:[.,](\d{1,3}))?\d*"
TIMING = re.compile(rf"^\s*{TIME}\s*--+>\s*{TIME}")
TAG = re.compile(r"</?[a-zA-Z][^<>\n]*>|</?\d[\d:.]*>|\{\\[^}\n]*\}")
VOICE = re.compile(r"<v(?:\.[^\s>]*)?\s+([^>]+)>")


def read(path: Path) -> Transcript:
    """The cues of a .vtt or .srt file in order of time.

    Raises UnreadableFile where there is no single cue in it or it is no text.
    """
    text = decoded(path)
    cues = []
    for caption in webvtt.from_string(_normalised(text)).captions:
        line = _plain(caption.raw_text)
        start, end = _seconds(caption.start), _seconds(caption.end)
        if line:
            cues.append(Cue(start, max(start, end), line))
    if not cues:
        raise UnreadableFile(f"{path.name} holds no subtitle line with a time; "
                             "export it again as WebVTT or SubRip, or remove it to have the recording transcribed.")
    cues.sort(key=lambda cue: (cue.start, cue.end))
    return Transcript(_without_rolling(cues), ORIGIN)


def as_vtt(transcript: Transcript) -> str:
    """A transcript as WebVTT text."""
    captions = []
    for cue in transcript.cues:
        captions.append(webvtt.Caption(_timestamp(cue.start), _timestamp(max(cue.end, cue.start + 0.001)),
                                       html.escape(cue.text, quote=False)))
    return webvtt.WebVTT(captions=captions).content.rstrip() + "\n"


def write_vtt(transcript: Transcript, path: Path) -> None:
    """Write a transcript as a WebVTT file."""
    write_text(path, as_vtt(transcript))


def decoded(path: Path) -> str:
    """The text of a file: UTF-8 or UTF-16 by its mark, else UTF-8, else Windows-1252 as old editors write.

    Raises UnreadableFile where it cannot be read or is no text.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(f"{path.name} cannot be read ({error.strerror}); check its rights.") from error
    if raw.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return raw.decode("utf-16", errors="replace")
    if b"\0" in raw:
        raise UnreadableFile(f"{path.name} is not a text file; remove it or give it the ending of what it is.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", errors="replace")


def _normalised(text: str) -> str:
    """Either format as plain WebVTT: a header, one blank line before each cue, times with hours and a point."""
    lines = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    out = ["WEBVTT", ""]
    header = bool(lines) and lines[0].startswith("WEBVTT")
    for line in lines:
        timing = TIMING.match(line)
        if timing:
            header = False
            if out[-1].strip().isdigit():  # the cue's number
                out.pop()
            start, end = (_clock(*timing.groups()[n:n + 4]) for n in (0, 4))
            out += ["", f"{start} {ARROW} {end}"]
        elif not header and (line.strip() or ARROW not in out[-1]):  # some put a blank line after the times
            out.append(line.replace(ARROW, "->"))
        elif not line.strip():
            header = False
    return "\n".join(out) + "\n"


def _clock(hours: str | None, minutes: str, seconds: str, fraction: str | None) -> str:
    return f"{int(hours or 0):02}:{int(minutes):02}:{int(seconds):02}.{(fraction or '0').ljust(3, '0')}"


def _seconds(clock: str) -> float:
    hours, minutes, seconds = clock.split(":")
    return int(hours) * 3600 + int(minutes) * 60 + float(seconds)


def _timestamp(seconds: float) -> str:
    whole, milli = divmod(round(max(seconds, 0) * 1000), 1000)
    return f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}.{milli:03}"


def _plain(text: str) -> str:
    """A cue's text without tags and entities, as one line."""
    return " ".join(html.unescape(TAG.sub("", VOICE.sub("", text))).split())


def _without_rolling(cues: list[Cue]) -> tuple[Cue, ...]:
    """Captions that roll (each cue repeats the line before it, as live captions do) without the repetition."""
    kept: list[Cue] = []
    shown = ""
    for cue in cues:
        text = cue.text
        near = kept and cue.start - kept[-1].end < 0.5
        if near and text == shown:
            continue
        if near and len(shown.split()) > 2 and text.startswith(shown + " "):
            text = text[len(shown):].strip()
        shown = cue.text
        kept.append(Cue(cue.start, cue.end, text))
    return tuple(kept)
