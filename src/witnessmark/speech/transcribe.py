"""A recording to its transcript: kept words if there are any, else weights, blocks, words, and then the repairs."""
from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.model import Capture, Settings, Transcript, Word
from witnessmark.speech import bias, cues, doubt, recognise, repair, second, sound, weights
from witnessmark.speech.cache import Cache, Heard, after

if TYPE_CHECKING:
    from witnessmark.trade import Lexicon

Progress = Callable[[float], None]


def transcribe(root: Path, capture: Capture, settings: Settings, lexicon: Lexicon | None = None,
               progress: Progress | None = None, hints: Sequence[str] = (), again: bool = False) -> Transcript:
    """What is said in a recording of the journal at `root`.

    `progress` is called with the share (0 to 1) that is done. `hints` are words that this file probably holds (its
    folder, the parts of its neighbours). A recording is transcribed once; `again` asks for it anew, for other weights.

    Raises NoWeights where there is nothing to transcribe with, UnreadableFile where the sound cannot be decoded.
    """
    if not capture.has_sound:
        return Transcript((), "none", problems=(f"{capture.path} has no sound track.",))
    cache = Cache(root)
    heard = None if again else cache.whole(capture.sha256)
    if heard is None:
        heard = _hear(root, capture, settings, hints, progress, cache)
        cache.keep(capture.sha256, heard)
    transcript = _read(heard, settings)
    cache.show(capture.sha256, transcript)
    return transcript


def remembered(root: Path, capture: Capture, settings: Settings) -> Transcript | None:
    """The transcript of a recording that was heard before, with its word times; None if it has to be heard first."""
    heard = Cache(root).whole(capture.sha256)
    return _read(heard, settings) if heard else None


def _hear(root: Path, capture: Capture, settings: Settings, hints: Sequence[str], progress: Progress | None,
          cache: Cache) -> Heard:
    """Recognise block by block; each finished block is kept, so that interrupted work goes on from there."""
    found = weights.find(settings, root / ".witnessmark")
    model, wider = recognise.load(found), weights.larger(found, root / ".witnessmark") or found
    heard = cache.part(capture.sha256, _mark(found))
    words = bias.hotwords(settings, capture, hints, lambda text: recognise.tokens_of(model, text))
    for block in sound.blocks(root / capture.path, after=heard.until):
        known = heard.language if heard.words else None
        stretches, language = recognise.recognise(model, block, known, words)
        said: Sequence[Word] = _words(doubt.said(stretches, words))
        heard = replace(heard, language=language)
        said = second.look(lambda: recognise.load(wider), block, said, language, words, settings)
        heard = after(heard, said, block.end)
        if not block.last:
            cache.keep_part(capture.sha256, heard)
        if progress and capture.duration:
            progress(min(block.end / capture.duration, 1.0))
    if progress:
        progress(1.0)
    return heard


def _mark(found: weights.Weights) -> str:
    """Name and hash of the weights, as a transcript's origin."""
    return f"{found.name} {found.sha256[:12]}"


def _words(stretches: Iterable[recognise.Stretch]) -> list[Word]:
    return [word for stretch in stretches for word in stretch.words]


def _read(heard: Heard, settings: Settings) -> Transcript:
    """The kept words as cues, repaired where they are English."""
    problems: tuple[str, ...] = ()
    if heard.language != "en":
        problems = (f"The speech is in another language ({heard.language}): it can be searched, "
                    "but only English is read for records.",)
    words = repair.repaired(heard.words, settings) if heard.language == "en" else heard.words
    return Transcript(cues.cues_from(words), heard.weights, heard.language, problems)
