"""Where speech is in a block of sound, packed into windows of the length that Whisper takes at once.

Whisper works on 30 seconds whether they are full or not, so short utterances are packed together and long pauses
left out; every window keeps the way back to the recording's own time.
"""
from __future__ import annotations

import bisect
from dataclasses import dataclass

import numpy as np

from witnessmark.speech.sound import RATE, Samples

WINDOW_SECONDS = 29.0  # under Whisper's 30, so that nothing is cut off at the end
PAUSE_KEPT = 0.1  # seconds of a pause that stay in a window beside the padding, so that sentences stay apart
SPEECH_THRESHOLD = 0.5  # silero's own default
PAD_MS = 250
MIN_SILENCE_MS = 300


@dataclass(frozen=True, slots=True)
class Piece:
    """`length` seconds that stand at `packed` in the packed sound and at `start` in the recording."""

    packed: float
    start: float
    length: float


@dataclass(frozen=True, slots=True, eq=False)
class Packed:
    """Packed sound: `windows` are (start, end) in its own seconds, `pieces` lead back to the recording."""

    samples: Samples
    windows: tuple[tuple[float, float], ...]
    pieces: tuple[Piece, ...]

    def original(self, second: float) -> float:
        """The moment of the recording that stands at `second` of the packed sound."""
        number = max(bisect.bisect_right([piece.packed for piece in self.pieces], second + 1e-6) - 1, 0)
        piece = self.pieces[number]
        return piece.start + min(max(second - piece.packed, 0.0), piece.length)


def speech_spans(samples: Samples) -> list[tuple[int, int]]:
    """Spans of samples in which somebody speaks (silero VAD, which comes inside faster-whisper)."""
    from faster_whisper.vad import VadOptions, get_speech_timestamps
    options = VadOptions(threshold=SPEECH_THRESHOLD, min_silence_duration_ms=MIN_SILENCE_MS, speech_pad_ms=PAD_MS,
                         max_speech_duration_s=WINDOW_SECONDS)
    return [(span["start"], span["end"]) for span in get_speech_timestamps(samples, options)]


def pack(samples: Samples, spans: list[tuple[int, int]], start: float = 0.0) -> Packed:
    """The spans packed into windows of at most WINDOW_SECONDS; `start` is the block's second in the recording."""
    limit, pause = int(WINDOW_SECONDS * RATE), int(PAUSE_KEPT * RATE)
    sounds: list[Samples] = []
    windows: list[tuple[float, float]] = []
    pieces: list[Piece] = []
    at = opened = 0
    for number, (first, last) in enumerate(spans):
        last = min(last, first + limit)
        if at + last - first - opened > limit:
            windows.append((opened / RATE, at / RATE))
            opened = at
        following = spans[number + 1][0] if number + 1 < len(spans) else last
        kept = min(last + pause, following, first + limit)  # a pause that is there anyway keeps sentences apart
        kept = max(last, min(kept, first + limit - (at - opened)))
        pieces.append(Piece(at / RATE, start + first / RATE, (kept - first) / RATE))
        sounds.append(samples[first:kept])
        at += kept - first
    if at > opened:
        windows.append((opened / RATE, at / RATE))
    whole = np.concatenate(sounds) if sounds else np.zeros(0, np.float32)
    return Packed(whole, tuple(windows), tuple(pieces))
