"""Sound to words: Whisper by faster-whisper on the CPU, in batches, with the time and probability of every word."""
from __future__ import annotations

import functools
import os
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from witnessmark.errors import NoWeights
from witnessmark.model import Word
from witnessmark.speech import windows
from witnessmark.speech.sound import RATE, Block
from witnessmark.speech.weights import INSTALL, Weights

if TYPE_CHECKING:
    from faster_whisper import WhisperModel

ENGLISH = "en"
BATCH = 8
MOST_THREADS = 8
SEED = 7  # any fixed number: sampling must not make two hearings of one recording differ


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was recognised in one window: its words in the recording's time and how the recogniser rates it.

    `score` is the mean log probability of its tokens, `silence` the probability that nobody speaks in it, `squeeze`
    how far its text can be compressed (a loop compresses well).
    """

    words: tuple[Word, ...]
    score: float
    silence: float
    squeeze: float


@functools.lru_cache(maxsize=2)
def load(weights: Weights) -> WhisperModel:
    """The loaded weights, int8 on the CPU; kept, since loading costs as much as a minute of sound."""
    try:
        import ctranslate2
        from faster_whisper import WhisperModel
    except ImportError:
        raise NoWeights("Recordings cannot be transcribed because faster-whisper is not installed; "
                        f"install it with: {INSTALL}") from None
    ctranslate2.set_random_seed(SEED)
    try:
        return WhisperModel(str(weights.path), device="cpu", compute_type="int8", cpu_threads=_threads(),
                            local_files_only=True)
    except (RuntimeError, ValueError) as error:
        raise NoWeights(f"The speech weights in {weights.path} cannot be loaded ({error}); "
                        f"set [speech] model to other weights, or reinstall with: {INSTALL}") from error


def _threads() -> int:
    """As many threads as there are processors to run on; 0 leaves OMP_NUM_THREADS to decide."""
    if os.environ.get("OMP_NUM_THREADS"):
        return 0
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(usable, MOST_THREADS)


def recognise(model: WhisperModel, block: Block, language: str | None,
              hotwords: str | None) -> tuple[list[Stretch], str]:
    """The words of a block, window by window, and their language; found out where `language` is None.

    Hotwords are English and left out in any other language.
    """
    from witnessmark.speech.engine import OtherLanguage
    packed = windows.pack(block.samples, windows.speech_spans(block.samples), block.start)
    try:
        spoken = language or ENGLISH
        return _heard(model, packed, spoken, hotwords if spoken == ENGLISH else None, check=language is None), spoken
    except OtherLanguage as other:
        return _heard(model, packed, other.language, None), other.language


def again(model: WhisperModel, block: Block, spans: Sequence[tuple[float, float]], language: str,
          hotwords: str | None) -> list[Word]:
    """The words of some spans (seconds of the recording) without what lies between them, decoded with a wide beam.

    As many spans share a window as fit in it: a window costs the same whether it is full or not.
    """
    clips = [(max(round((start - block.start) * RATE), 0), min(round((end - block.start) * RATE), len(block.samples)))
             for start, end in spans]
    packed = windows.pack(block.samples, clips, block.start)
    return [word for stretch in _heard(model, packed, language, hotwords, wide=True) for word in stretch.words]


def _heard(model: WhisperModel, packed: windows.Packed, language: str, hotwords: str | None,
           check: bool = False, wide: bool = False) -> list[Stretch]:
    from witnessmark.speech.engine import TwoPass, Wide
    if not packed.windows:
        return []
    segments, _ = (Wide if wide else TwoPass)(model, check).transcribe(
        packed.samples, language=language, batch_size=BATCH, word_timestamps=True, hotwords=hotwords,
        clip_timestamps=[{"start": start, "end": end} for start, end in packed.windows])
    return [Stretch(tuple(Word(word.word, round(packed.original(word.start), 2), round(packed.original(word.end), 2),
                               round(float(word.probability), 3)) for word in segment.words or ()),
                    segment.avg_logprob, segment.no_speech_prob, segment.compression_ratio)
            for segment in segments]


def tokens_of(model: WhisperModel, text: str) -> int:
    """How many of the model's tokens a text takes."""
    return len(model.hf_tokenizer.encode(" " + text, add_special_tokens=False).ids)
