"""Typed notes: a line, or a sentence of a long line, is a cue; there are no times, so cues stand at 0."""
from __future__ import annotations

import re
from pathlib import Path

from witnessmark.errors import UnreadableFile
from witnessmark.model import Cue, Transcript
from witnessmark.speech.subtitles import decoded

ORIGIN = "note"
LONGEST_LINE = 240  # characters; a longer paragraph is cut into its sentences
SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[A-Z\"'(])")
LINE_MARKS = re.compile(r"^\s*(?:#{1,6}\s+|>\s?|[-*+•]\s+(?:\[[ xX]\]\s+)?|\d{1,3}[.)]\s+)+")
OPEN_BOX = re.compile(r"^\s*[-*+]\s+\[ \]\s+\S")  # an unticked box must not read as work that was done
RULE = re.compile(r"^\s*(?:[-*_=]\s*){3,}$")
LINK = re.compile(r"!?\[([^\]]*)\]\([^)]*\)")
EMPHASIS = re.compile(r"(\*{1,3}|_{1,3}|~~|`+)(?=\S)(.+?)(?<=\S)\1(?!\w)")
FRONT_MATTER = re.compile(r"\A---\n.*?\n---\n", re.DOTALL)


def read(path: Path) -> Transcript:
    """The lines of a .txt or .md file. Lines of one paragraph belong together, as in Markdown and in e-mail.

    Raises UnreadableFile where it is no text.
    """
    cues = tuple(Cue(0.0, 0.0, sentence) for paragraph in paragraphs(decoded(path)) for sentence in _cut(paragraph))
    if not cues:
        raise UnreadableFile(f"{path.name} holds no words; write the note into it or remove it.")
    return Transcript(cues, ORIGIN)


def paragraphs(text: str) -> list[str]:
    """Paragraphs and list items without their marks, each on one line."""
    text = FRONT_MATTER.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
    found: list[str] = []
    fresh = True
    for line in text.split("\n"):
        if not line.strip() or RULE.match(line):
            fresh = True
            continue
        marked = LINE_MARKS.match(line)
        plain = _plain(line)
        if not plain:
            continue
        if fresh or marked or not _goes_on(found[-1], plain):
            found.append(plain)
        else:
            found[-1] += " " + plain
        fresh = bool(marked) and line.lstrip().startswith("#")
    return found


def _goes_on(before: str, line: str) -> bool:
    """Whether a line goes on with the sentence of the line before: that one is open, or this one starts small."""
    return (not before.endswith((".", "!", "?", ":")) and len(before) > 50) or line[:1].islower()


def _plain(line: str) -> str:
    line = LINK.sub(r"\1", LINE_MARKS.sub("To do: " if OPEN_BOX.match(line) else "", line))
    previous = None
    while previous != line:
        previous, line = line, EMPHASIS.sub(r"\2", line)
    return " ".join(line.strip().strip("|").split())


def _cut(paragraph: str) -> list[str]:
    return [paragraph] if len(paragraph) <= LONGEST_LINE else SENTENCES.split(paragraph)
