"""The sound track of a recording as blocks of bounded length, cut where nobody speaks.

Whatever the length of the recording, no more than one block (and the decoder's own buffers) is in memory.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
from numpy.typing import NDArray

from witnessmark.errors import UnreadableFile

RATE = 16000  # Hz, what Whisper and the voice-activity model take
BLOCK_SECONDS = 600.0
CUT_WITHIN_SECONDS = 60.0  # a block may end this much early, to end in a pause
PAUSE_SECONDS = 0.4

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """Consecutive sound: `samples` are mono, -1 to 1, at RATE; `start` is in seconds of the recording."""

    start: float
    samples: Samples
    last: bool

    @property
    def end(self) -> float:
        return self.start + len(self.samples) / RATE


def blocks(path: Path, after: float = 0.0, seconds: float = BLOCK_SECONDS) -> Iterator[Block]:
    """Blocks of about `seconds`, beginning at `after` seconds of the recording.

    Raises UnreadableFile where the file cannot be decoded or has no sound track.
    """
    kept: list[Samples] = []
    length, start, limit = 0, max(after, 0.0), int(seconds * RATE)
    for samples in _from(_decoded(path), round(after * RATE)):
        kept.append(samples)
        length += len(samples)
        while length >= limit:
            whole = np.concatenate(kept)
            cut = quiet_place(whole[:limit])
            yield Block(start, whole[:cut], last=False)
            kept, length, start = [whole[cut:]], len(whole) - cut, start + cut / RATE
    whole = np.concatenate(kept) if kept else np.zeros(0, np.float32)
    yield Block(start, whole, last=True)


def quiet_place(samples: Samples) -> int:
    """The sample in the last minute around which it is quietest: the middle of the pause to cut in."""
    window = int(PAUSE_SECONDS * RATE)
    tail = samples[-int(CUT_WITHIN_SECONDS * RATE):]
    if len(tail) < 2 * window:
        return len(samples)
    steps = len(tail) // (window // 4)
    power = np.array([np.mean(tail[i * (window // 4):i * (window // 4) + window] ** 2)
                      for i in range(steps - 4)])
    if not len(power):
        return len(samples)
    quietest = len(power) - 1 - int(np.argmin(power[::-1]))
    return len(samples) - len(tail) + quietest * (window // 4) + window // 2


def _from(pieces: Iterator[Samples], first: int) -> Iterator[Samples]:
    """The sound from sample number `first` on."""
    at = 0
    for piece in pieces:
        if at + len(piece) > first:
            yield piece[max(first - at, 0):]
        at += len(piece)


def _decoded(path: Path) -> Iterator[Samples]:
    """The first sound track at RATE, mono, from the recording's own time zero, in pieces of about a second."""
    try:
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            if not container.streams.audio:
                raise UnreadableFile(f"{path.name} has no sound track, so there is nothing to transcribe.")
            stream = container.streams.audio[0]
            if delay := _delay(container, stream):
                yield np.zeros(round(delay * RATE), np.float32)
            for resampled in _resampled(_valid_frames(container.decode(stream))):
                yield resampled.to_ndarray()[0].astype(np.float32) / 32768
    except (av.FFmpegError, OSError) as error:
        raise UnreadableFile(f"The sound of {path.name} cannot be decoded ({error.strerror or error}); "
                             "copy the file from the camera again.") from error


def _resampled(frames: Iterator[av.AudioFrame]) -> Iterator[av.AudioFrame]:
    """The sound at `RATE` in one channel; a damaged file may change its own format between two frames."""
    resampler: av.AudioResampler | None = None
    told: tuple[str, str, int] | None = None
    for frame in frames:
        frame.pts = None  # gaps in the time stamps must not stop the resampler
        form = (frame.format.name, frame.layout.name, frame.sample_rate)
        if resampler is None or form != told:
            if resampler is not None:
                yield from resampler.resample(None)
            resampler, told = av.AudioResampler(format="s16", layout="mono", rate=RATE), form
        yield from resampler.resample(frame)
    if resampler is not None:
        yield from resampler.resample(None)


def _delay(container: av.container.InputContainer, stream: av.AudioStream) -> float:
    """Seconds by which the sound track begins after the picture, so that cue times fit the player's clock."""
    if stream.start_time is None or stream.time_base is None or container.start_time is None:
        return 0.0
    return max(float(stream.start_time * stream.time_base) - container.start_time / av.time_base, 0.0)


def _valid_frames(frames: Iterator[av.AudioFrame]) -> Iterator[av.AudioFrame]:
    """The frames that can be decoded; a damaged one is left out."""
    while True:
        try:
            yield next(frames)
        except StopIteration:
            return
        except av.error.InvalidDataError:
            continue
