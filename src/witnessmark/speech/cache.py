"""Transcripts that were made once, in `.witnessmark/transcripts/`: `<sha256>.vtt` to read, `<sha256>.words.json`.

The words are kept raw, as they were heard; repairs are made each time a transcript is asked for, so that a better
vocabulary needs no second transcription. While a long recording is being transcribed its finished blocks stand in
`<sha256>.part.json`.
"""
from __future__ import annotations

import contextlib
import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from witnessmark.model import Transcript, Word
from witnessmark.speech import subtitles
from witnessmark.speech.files import write_text

FORMAT = 1


@dataclass(frozen=True, slots=True)
class Heard:
    """The raw words of a recording up to second `until`, and the weights they were heard with."""

    words: tuple[Word, ...]
    weights: str
    language: str = "en"
    until: float = 0.0


class Cache:
    """The transcripts folder of one journal."""

    def __init__(self, root: Path) -> None:
        self.folder = root / ".witnessmark" / "transcripts"

    def whole(self, sha256: str) -> Heard | None:
        """What was heard in the file with this hash, if it was transcribed to its end."""
        return _read(self.folder / f"{sha256}.words.json")

    def part(self, sha256: str, weights: str) -> Heard:
        """What was heard with these weights before the work was interrupted, or nothing."""
        part = _read(self.folder / f"{sha256}.part.json")
        return part if part and part.weights == weights else Heard((), weights)

    def keep_part(self, sha256: str, heard: Heard) -> None:
        self._write(f"{sha256}.part.json", _as_json(heard))

    def keep(self, sha256: str, heard: Heard) -> None:
        """Keep a finished recording; its part file goes."""
        self._write(f"{sha256}.words.json", _as_json(heard))
        (self.folder / f"{sha256}.part.json").unlink(missing_ok=True)

    def show(self, sha256: str, transcript: Transcript) -> None:
        """Write the transcript as it is read now, for people and players, if it is not there already."""
        text = subtitles.as_vtt(transcript)
        file = self.folder / f"{sha256}.vtt"
        with contextlib.suppress(OSError):
            if file.read_text(encoding="utf-8") == text:
                return
        self._write(file.name, text)

    def _write(self, name: str, text: str) -> None:
        self.folder.mkdir(parents=True, exist_ok=True)
        write_text(self.folder / name, text)


def after(heard: Heard, words: Iterable[Word], until: float) -> Heard:
    """`heard` with the words of another block that ends at `until` seconds."""
    return replace(heard, words=heard.words + tuple(words), until=until)


def _as_json(heard: Heard) -> str:
    words = [[word.text, word.start, word.end, word.probability] for word in heard.words]
    return json.dumps({"format": FORMAT, "weights": heard.weights, "language": heard.language, "until": heard.until,
                       "words": words}, ensure_ascii=False)


def _read(file: Path) -> Heard | None:
    """The kept words, or None where there are none or the file is damaged or of another format."""
    try:
        kept = json.loads(file.read_text(encoding="utf-8"))
        if kept["format"] != FORMAT:
            return None
        words = tuple(Word(str(text), float(start), float(end), float(probability))
                      for text, start, end, probability in kept["words"])
        return Heard(words, kept["weights"], kept["language"], float(kept["until"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None
