"""What was being said when a picture was taken, and what was told of its day."""
from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Sequence

from witnessmark.model import Act, Capture
from witnessmark.photos.subjects import of_caption
from witnessmark.photos.values import PhotoTag, Spoken
from witnessmark.trade.lexicon import Lexicon

# How far each kind of nearness is believed; common sense, checked on the example journal; no published figure.
DURING_CLIP, NEAR_CLIP, IN_CUE, SHARED = 0.85, 0.7, 0.75, 0.35
ONE_PLACE, MOST_OF_DAY, ACT_OF_DAY = 0.6, 0.45, 0.5
# A phone's clock and a recorder's differ by this much at most, and people speak a little after they point.
SLACK, LISTEN = 3.0, 20.0
MOST_OF_A_DAY = 6
TRUSTED = ("exif", "xmp", "container", "file-name", "sidecar")


def while_recording(photo: Capture, spoken: Sequence[Spoken], lexicon: Lexicon) -> list[PhotoTag]:
    """Tags from the words at the very second of the picture."""
    moment = photo.moment
    if moment.at is None or moment.precision != "second" or moment.basis not in TRUSTED:
        return []
    tags = []
    for told in spoken:
        second = (moment.at - told.session.recorded).total_seconds()
        length = _length(told)
        if told.exact and length and -SLACK <= second <= length + SLACK:
            tags += _at_second(photo, told, second, lexicon)
    return tags


def _length(told: Spoken) -> float | None:
    cues = told.session.transcript.cues
    return told.session.duration or (cues[-1].end if cues else None)


def _at_second(photo: Capture, told: Spoken, second: float, lexicon: Lexicon) -> list[PhotoTag]:
    tags = []
    near = [(max(act.start - second, second - act.end, 0.0), number, act) for number, act in enumerate(told.acts)]
    things = {(act.part, act.assembly) for apart, _, act in near if act.part and apart == 0}
    certain = DURING_CLIP / (1 + SHARED * max(len(things) - 1, 0))  # one of several things that were named at once
    for apart, number, act in near:
        if act.part and apart <= LISTEN:
            confidence = certain if apart == 0 else min(certain, NEAR_CLIP) * (1 - apart / (2 * LISTEN))
            tags.append(_from_act(photo, told, number, act, "recording", confidence,
                                  f"taken while this was said, at second {second:.0f}"))
    if not tags:
        for cue in told.session.transcript.cues:
            if cue.start - SLACK <= second <= cue.end + SLACK:
                tags += [PhotoTag(photo.sha256, photo.path, subject.assembly, subject.part, subject.side, None,
                                  "recording", IN_CUE * subject.confidence, f"said at that second: {cue.text!r}",
                                  told.session.source)
                         for subject in of_caption(cue.text, lexicon) if subject.part or subject.assembly]
    return tags


def same_day(photo: Capture, day: dt.date | None, spoken: Sequence[Spoken],
             undone: frozenset[str] = frozenset()) -> list[PhotoTag]:
    """Tags from the work that was told of the picture's day, nearest first; tasks in `undone` after all others."""
    if day is None:
        return []
    weak = 0.5 if photo.moment.basis == "file-time" else 1.0
    told_acts = [(told, number, act) for told in spoken for number, act in enumerate(told.acts)
                 if act.performed and act.date == day.isoformat() and (act.part or act.assembly)]
    told_acts.sort(key=lambda item: (item[2].task in undone, _apart(photo, item[0], item[2])))
    different = len({(act.part, act.assembly) for _, _, act in told_acts})
    tags: dict[tuple[str | None, str | None, str | None], PhotoTag] = {}
    for told, number, act in told_acts:
        hours = _apart(photo, told, act) / 3600
        near = 1.0 if hours <= 1 else 0.9 if hours <= 4 else 0.8
        first = ACT_OF_DAY if different > 1 else ONE_PLACE
        confidence = weak * first * near / (1 + 0.15 * (different - 1 + len(tags)))
        tags.setdefault((act.assembly, act.part, act.side), _from_act(
            photo, told, number, act, "day", confidence, "told of the same day"))
    whole = _places(photo, [act for _, _, act in told_acts], weak) if different > 1 else []
    return whole + list(tags.values())[:MOST_OF_A_DAY]


def _apart(photo: Capture, told: Spoken, act: Act) -> float:
    """Seconds between the picture and the words; half a day where either is known to the day only."""
    if photo.moment.at is None or photo.moment.precision not in ("second", "minute") or not told.exact:
        return 43_200.0
    spoken_at = told.session.recorded + dt.timedelta(seconds=act.start)
    return abs((photo.moment.at - spoken_at).total_seconds())


def _places(photo: Capture, acts: Sequence[Act], weak: float) -> list[PhotoTag]:
    """The assembly that the day's work was on, where it was mostly one."""
    counts = Counter(act.assembly for act in acts if act.assembly)
    if not counts:
        return []
    assembly, count = counts.most_common(1)[0]
    share = count / counts.total()
    if share < 0.6:
        return []
    confidence = weak * (ONE_PLACE if share == 1 else MOST_OF_DAY * share)
    return [PhotoTag(photo.sha256, photo.path, assembly, None, None, None, "day", confidence,
                     "the work told of that day was on it" if share == 1 else "most of that day's work was on it")]


def _from_act(photo: Capture, told: Spoken, number: int, act: Act, basis: str, confidence: float,
              note: str) -> PhotoTag:
    task = act.task if act.performed else None
    return PhotoTag(photo.sha256, photo.path, act.assembly, act.part, act.side, task, basis,  # type: ignore[arg-type]
                    round(confidence, 3), note, told.session.source, number)
