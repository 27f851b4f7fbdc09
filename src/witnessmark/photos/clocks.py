"""Cameras whose clock was wrong by a constant: found by lining their pictures up with what has a right clock.

For every picture and every recording there is a span of offsets that would put the picture inside the recording.
The offset that lies in most of those spans explains most pictures; it is proposed only where it explains most of the
camera's pictures on several days, and clearly more than any other offset and than the clock as it stands.
Nothing is applied here: the builder accepts a proposal, or writes `[[camera]]` into `journal.toml`.
"""
from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from witnessmark.media.moments import signed
from witnessmark.model import Capture

HOUR, DAY = 3_600.0, 86_400.0
# Pictures of a second camera count as a session from two minutes before to two minutes after.
BESIDE = 120.0
# Pictures further apart than this are of different days' work.
DAYS_WORK_GAP = 4 * HOUR
FEWEST_PICTURES, FEWEST_SESSIONS = 5, 3
LEAST_SHARE, LEAST_SPREAD = 0.5, 0.5
# The second-best offset (elsewhere by more than `APART`) may explain this share of what the best explains: less
# where the clock as it stands is possible, more where its dates lie outside the journal altogether.
RIVAL, RIVAL_IMPOSSIBLE = 0.75, 0.97
APART = 1_800.0
# Offsets smaller than this are no fault worth a proposal; a clock that explains this share itself is right.
NEGLIGIBLE, RIGHT_ALREADY = 90.0, 0.8
# Somebody who always takes his pictures an hour before he talks has a right clock: an offset within half a day is
# believed only where the recordings are short beside it.
HALF_DAY, SHORT_BESIDE = 43_200.0, 0.25
# Whole hours are taken where the evidence leaves less than this open; in a wider span one fits by accident.
NARROW = 1_800.0
# A file is written within a minute of being taken; differences up to those of time zones have other causes.
FILE_SLACK, MOST_BY_ZONE = 60.0, 14 * HOUR
MOST_PICTURES = 1_500
Spans = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Proposal:
    """`offset` is to be added to what the camera's clock says (on top of a correction already set).

    `low` to `high` is the span in which the evidence allows it; `evidence` are sentences for the builder.
    """

    model: str
    offset: dt.timedelta
    evidence: tuple[str, ...]
    low: dt.timedelta
    high: dt.timedelta


@dataclass(frozen=True, slots=True)
class _Peak:
    low: float
    high: float
    pictures: int
    sessions: int
    rival: int


def propose_offsets(photos: Sequence[Capture], recordings: Sequence[Capture],
                    file_times: Mapping[str, dt.datetime] | None = None) -> tuple[Proposal, ...]:
    """A proposal for every camera that needs one; the pictures of the other cameras serve as witnesses.

    `file_times` maps paths to the times at which the files were last written, in the journal's zone, where known.
    """
    models = sorted({photo.camera for photo in photos if photo.camera})
    found = [propose_offset([photo for photo in photos if photo.camera == model], recordings,
                            [photo for photo in photos if photo.camera != model], file_times) for model in models]
    return tuple(proposal for proposal in found if proposal)


def propose_offset(photos: Sequence[Capture], recordings: Sequence[Capture],
                   witnesses: Sequence[Capture] = (),
                   file_times: Mapping[str, dt.datetime] | None = None) -> Proposal | None:
    """The constant by which one camera's clock was wrong; None without evidence.

    `photos` are of one camera, `recordings` have a right clock (those that the same camera made are left out),
    `witnesses` are pictures of other cameras, `file_times` the times at which files were last written, by path,
    in the journal's zone.
    """
    clocks = _camera_seconds(photos)
    if len(clocks) < FEWEST_PICTURES:
        return None
    model = next((photo.camera for photo in photos if photo.camera), "")
    spoken = _recorded(recording for recording in recordings if recording.camera != model)
    for spans, what in ((spoken, "recordings"), (_joined([*spoken, *_sessions_of(witnesses)]), "recordings and "
                                                 "pictures of other cameras")):
        proposal = _propose(model, clocks, spans, what)
        if proposal:
            return proposal
    return _by_file_times(model, photos, file_times or {})


def _by_file_times(model: str, photos: Sequence[Capture], file_times: Mapping[str, dt.datetime]) -> Proposal | None:
    """The offset to the files' own times, where it is one and the same for pictures of several days.

    Pictures sent over as they are taken have such times. A copied card has not: its files are of one hour, or carry
    the camera's own wrong clock, which differs from its tags by hours of a zone at most.
    """
    pairs = sorted((_wall(photo.moment.at), _wall(file_times[photo.path]))
                   for photo in photos if photo.moment.at is not None and photo.path in file_times
                   and photo.moment.precision == "second" and photo.moment.basis in ("exif", "xmp"))
    if len(pairs) < FEWEST_PICTURES:
        return None
    clocks, written = np.array(pairs).T
    apart = written - clocks
    offset = float(np.median(apart))
    agreeing = np.abs(apart - offset) <= FILE_SLACK
    days = _count_groups(clocks[agreeing])
    if abs(offset) <= MOST_BY_ZONE or agreeing.mean() < RIGHT_ALREADY or days < FEWEST_SESSIONS:
        return None
    return Proposal(model, dt.timedelta(seconds=round(offset)), (
        f"{agreeing.sum()} of {len(pairs)} pictures on {days} days were written to disk "
        f"{signed(dt.timedelta(seconds=offset))} after what their clock says, give or take a minute",),
        dt.timedelta(seconds=float(apart[agreeing].min())), dt.timedelta(seconds=float(apart[agreeing].max())))


def _wall(moment: dt.datetime) -> float:
    """Seconds of the wall clock, so that daylight saving does not enter: a camera shows wall time."""
    return moment.replace(tzinfo=dt.UTC).timestamp()


def _camera_seconds(photos: Iterable[Capture]) -> Spans:
    """The camera's own clock at each picture, in order."""
    times = sorted(_wall(photo.moment.at) for photo in photos if photo.moment.at is not None
                   and photo.moment.precision == "second" and photo.moment.basis in ("exif", "xmp"))
    step = max(1, len(times) // MOST_PICTURES)
    return np.array(times[::step])


def _recorded(recordings: Iterable[Capture]) -> list[tuple[float, float]]:
    return sorted((_wall(found.moment.at), _wall(found.moment.at) + found.duration) for found in recordings
                  if found.moment.at is not None and found.duration and found.moment.precision == "second"
                  and found.moment.basis != "file-time")


def _sessions_of(witnesses: Iterable[Capture]) -> list[tuple[float, float]]:
    return [(time - BESIDE, time + BESIDE) for time in _camera_seconds(witnesses).tolist()]


def _joined(spans: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Spans in order, those that overlap as one."""
    joined: list[tuple[float, float]] = []
    for begin, end in sorted(spans):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((begin, end))
    return joined


def _propose(model: str, clocks: Spans, spans: list[tuple[float, float]], what: str) -> Proposal | None:
    if len(spans) < FEWEST_SESSIONS:
        return None
    begins, ends = np.array(_joined(spans)).T
    peak = _peak(clocks, begins, ends)
    days = _count_groups(clocks)
    as_it_stands = int(_inside(clocks, 0.0, begins, ends).sum())
    impossible = bool(clocks[-1] < begins[0] - DAY or clocks[0] > ends[-1] + DAY)
    if peak.pictures < max(FEWEST_PICTURES, LEAST_SHARE * len(clocks)) \
            or peak.sessions < max(FEWEST_SESSIONS, LEAST_SPREAD * days) \
            or peak.rival > (RIVAL_IMPOSSIBLE if impossible else RIVAL) * peak.pictures \
            or as_it_stands >= RIGHT_ALREADY * peak.pictures:
        return None
    offset = _round_value(peak.low, peak.high)
    habit = abs(offset) < HALF_DAY and float(np.median(ends - begins)) > SHORT_BESIDE * abs(offset)
    if habit or abs(offset) < NEGLIGIBLE:
        return None
    return Proposal(model, dt.timedelta(seconds=round(offset)),
                    _evidence(clocks, peak, offset, what, as_it_stands, impossible),
                    dt.timedelta(seconds=round(peak.low)), dt.timedelta(seconds=round(peak.high)))


def _peak(clocks: Spans, begins: Spans, ends: Spans) -> _Peak:
    """The stretch of offsets that puts most pictures into recordings, by a sweep over all spans' edges."""
    opening = (begins[:, None] - clocks[None, :]).ravel()
    closing = (ends[:, None] - clocks[None, :]).ravel()
    edges = np.concatenate([opening, closing])
    steps = np.concatenate([np.ones_like(opening, dtype=np.int32), -np.ones_like(closing, dtype=np.int32)])
    order = np.lexsort((-steps, edges))  # at one offset spans open before they close
    edges, depth = edges[order], np.cumsum(steps[order])
    best = int(depth.max())
    at = int(np.argmax(depth))
    low, high = float(edges[at]), float(edges[min(at + 1, len(edges) - 1)])
    elsewhere = (edges < low - APART) | (edges > high + APART)
    rival = int(depth[elsewhere].max()) if elsewhere.any() else 0
    middle = (low + high) / 2
    hit = _inside(clocks, middle, begins, ends)
    sessions = len(np.unique(np.searchsorted(begins, clocks[hit] + middle, side="right")))
    return _Peak(low, high, best, sessions, rival)


def _inside(clocks: Spans, offset: float, begins: Spans, ends: Spans) -> NDArray[np.bool_]:
    """Which pictures lie in a recording, once `offset` is added."""
    moved = clocks + offset
    place = np.searchsorted(begins, moved, side="right") - 1
    return (place >= 0) & (moved <= ends[np.maximum(place, 0)])


def _count_groups(clocks: Spans) -> int:
    """How many days' work the pictures are of."""
    return 1 + int((np.diff(clocks) > DAYS_WORK_GAP).sum())


def _round_value(low: float, high: float) -> float:
    """Whole hours where one fits (a clock set to a wrong hour, day or year keeps its minutes), else the middle."""
    middle = (low + high) / 2
    whole = round(middle / HOUR) * HOUR
    return whole if low <= whole <= high and high - low <= NARROW else middle


def _evidence(clocks: Spans, peak: _Peak, offset: float, what: str, as_it_stands: int,
              impossible: bool) -> tuple[str, ...]:
    change = signed(dt.timedelta(seconds=offset))
    sentences = [f"{peak.pictures} of {len(clocks)} pictures fall into {peak.sessions} {what} if {change} is added, "
                 f"{as_it_stands} as the clock stands, {peak.rival} with the next best offset",
                 f"the pictures allow {signed(dt.timedelta(seconds=peak.low))} to "
                 f"{signed(dt.timedelta(seconds=peak.high))}"]
    if offset % HOUR == 0 and peak.high - peak.low > 60:
        sentences.append("a whole number of hours fits, and is taken")
    if impossible:
        sentences.append("the camera's dates lie outside the time of the recordings")
    first = dt.datetime.fromtimestamp(float(clocks[0]), dt.UTC)
    if first.month == 1 and first.day == 1 and first.year <= 2020:
        sentences.append(f"its first picture is dated {first:%Y-%m-%d}, as by a clock that was never set")
    return tuple(sentences)
