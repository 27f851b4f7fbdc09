"""Each picture's tags: every basis is asked, agreement strengthens, contradiction is shown and weakens."""
from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import PurePosixPath
from typing import Any

from witnessmark.media.moments import zone_of
from witnessmark.model import Capture, Settings
from witnessmark.photos import said
from witnessmark.photos.subjects import of_caption, of_folders, of_label, of_mark, undone
from witnessmark.photos.values import PhotoTag, Spoken, TagBasis
from witnessmark.trade.lexicon import Lexicon

# How far each basis is believed where it names one thing; common sense, checked on the example journal.
BASIS_WEIGHT: dict[TagBasis, float] = {"caption": 1.0, "keyword": 0.9, "text": 0.85, "file-name": 0.9, "folder": 0.8,
                                       "recording": 1.0, "day": 1.0}
# "text" is read by machine off a picture; of the others a person meant this very picture, or this folder.
STATED: tuple[TagBasis, ...] = ("caption", "keyword", "file-name", "text", "folder", "recording")
OWN_WORDS: tuple[TagBasis, ...] = ("caption", "keyword", "file-name", "text")
CONTRADICTED, CONFIRMED, DAY_ELSEWHERE, MOST, SUPPORT = 0.8, 1.3, 0.4, 0.97, 0.3
CONSIDERABLE, MOST_BY_DAY = 0.52, 0.65
WORTH_SHOWING = 0.05
_Reader = Callable[[str, Lexicon], Any]


def tag(photos: Sequence[Capture], spoken: Sequence[Spoken], settings: Settings, lexicon: Lexicon,
        seen: Mapping[str, Sequence[str]] | None = None) -> tuple[PhotoTag, ...]:
    """What each picture shows, best answer first, picture by picture in the order given.

    `seen` maps a picture's SHA-256 to the lines of text read in it, where it was read.
    """
    read = _Remembered(lexicon)
    zone = zone_of(settings.timezone)
    tags: list[PhotoTag] = []
    for photo in photos:
        known = photo.moment.at is not None and photo.moment.precision in ("second", "minute", "day")
        day = photo.moment.at.astimezone(zone).date() if known and photo.moment.at else None
        tags += _of_one(photo, day, spoken, lexicon, read, (seen or {}).get(photo.sha256, ()))
    return tuple(tags)


class _Remembered:
    """Readings of texts that come back for every picture of a folder."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._lexicon = lexicon
        self._known: dict[tuple[_Reader, str], Any] = {}

    def __call__(self, reader: _Reader, text: str) -> Any:
        key = (reader, text)
        if key not in self._known:
            self._known[key] = reader(text, self._lexicon)
        return self._known[key]


def _of_one(photo: Capture, day: dt.date | None, spoken: Sequence[Spoken], lexicon: Lexicon, read: _Remembered,
            lines: Sequence[str]) -> list[PhotoTag]:
    texts = _texts(photo, lines)
    claims = said.while_recording(photo, spoken, lexicon)
    for basis, reader, text in texts:
        claims += [PhotoTag(photo.sha256, photo.path, subject.assembly, subject.part, subject.side, subject.task, basis,
                            round(subject.confidence * BASIS_WEIGHT[basis], 3), f"{basis}: {text!r}")
                   for subject in read(reader, text)]
    not_yet = frozenset[str]().union(*(read(undone, text) for _, _, text in texts))
    claims = _not_yet(claims + said.same_day(photo, day, spoken, not_yet), not_yet)
    claims = _supported(_merged(_completed(_beside_own_words(_weighed(claims)))))
    claims.sort(key=lambda claim: -claim.confidence)
    return [claim for claim in claims if claim.confidence >= WORTH_SHOWING]


def _not_yet(claims: list[PhotoTag], undone_work: frozenset[str]) -> list[PhotoTag]:
    """What was told of the day is not what the picture shows where its own words say that it came later."""
    return [replace(claim, task=None, source=None, act=None, note=f"{claim.note}; its own words: not done yet")
            if claim.task in undone_work and claim.basis in ("recording", "day") else claim for claim in claims]


def _texts(photo: Capture, lines: Sequence[str]) -> list[tuple[TagBasis, _Reader, str]]:
    """Every text that somebody put to the picture, with how it is to be read."""
    place = PurePosixPath(photo.path)
    texts: list[tuple[TagBasis, _Reader, str]] = []
    if photo.caption:
        texts.append(("caption", of_caption, photo.caption))
    texts += [("keyword", of_label, word) for word in photo.keywords]
    texts.append(("file-name", of_label, place.stem))
    folders = place.parts[:-1]
    if folders:
        texts.append(("folder", of_folders, "/".join(folders)))
    texts += [("text", of_mark, line) for line in lines]
    return texts


def _weighed(claims: list[PhotoTag]) -> list[PhotoTag]:
    """Contradictions between stated assemblies are noted and weaken both; the day's acts follow what is stated."""
    stated = [claim for claim in claims if claim.basis in STATED and claim.assembly]
    places = {claim.assembly for claim in stated if claim.confidence >= CONSIDERABLE}
    result = []
    for claim in claims:
        if claim.basis == "day" and places and claim.assembly:
            factor = CONFIRMED if claim.assembly in places else DAY_ELSEWHERE
            result.append(replace(claim, confidence=round(min(claim.confidence * factor, MOST_BY_DAY), 3)))
            continue
        others = [other for other in stated if claim.assembly and other.assembly != claim.assembly
                  and other.basis != claim.basis and other.confidence >= CONSIDERABLE]
        if not others or claim.basis == "day":
            result.append(claim)
            continue
        against = "; ".join(dict.fromkeys(f"contradicted by {other.note} ({other.assembly})" for other in others))
        result.append(replace(claim, confidence=round(claim.confidence * CONTRADICTED, 3),
                              note=f"{claim.note}; {against}"))
    return result


def _beside_own_words(claims: list[PhotoTag]) -> list[PhotoTag]:
    """Where a picture's own words name a part, another part of which was spoken at that second is less sure."""
    own = [claim.part for claim in claims if claim.part and claim.basis in OWN_WORDS
           and claim.confidence >= CONSIDERABLE]
    if not own:
        return claims
    return [replace(claim, confidence=round(claim.confidence * CONTRADICTED, 3),
                    note=f"{claim.note}; its own words name {own[0]}")
            if claim.basis == "recording" and claim.part and not any(alike(claim.part, part) for part in own) else claim
            for claim in claims]


def _completed(claims: list[PhotoTag]) -> list[PhotoTag]:
    """Fill in what one basis leaves open (the rib of which assembly?) from what the others say."""
    result = []
    for claim in claims:
        if claim.part and not claim.assembly:
            donor = _donor(claim, claims, "assembly")
            if donor:
                claim = replace(claim, assembly=donor.assembly,
                                confidence=round(claim.confidence * (0.9 if donor.basis == "day" else 0.97), 3),
                                note=f"{claim.note}; assembly by {donor.basis}")
        if not claim.side and claim.assembly:
            donor = _donor(claim, claims, "side")
            if donor:
                claim = replace(claim, side=donor.side, note=f"{claim.note}; side by {donor.basis}")
        if not claim.task and claim.basis in STATED:
            donor = next((other for other in claims if other.task and not other.part and not other.assembly), None)
            if donor:
                claim = replace(claim, task=donor.task, note=f"{claim.note}; task by {donor.basis}")
        result.append(claim)
    return [claim for claim in result if claim.part or claim.assembly]


def _donor(claim: PhotoTag, claims: list[PhotoTag], wanted: str) -> PhotoTag | None:
    """The most believable claim that has what is wanted and is about the same thing."""
    same_part = [other for other in claims if getattr(other, wanted) and alike(claim.part, other.part)
                 and other.part and _agree(claim, other)]
    same_place = [other for other in claims if getattr(other, wanted) and other.basis in STATED and not other.part
                  and _agree(claim, other)]
    if wanted == "assembly":
        same_place += [other for other in claims if other.assembly and other.basis in (*STATED, "day")
                       and not other.part]
    pool = same_part + same_place
    values = {getattr(other, wanted) for other in same_part}
    if wanted == "side" and len(values) > 1:
        return None
    return max(pool, key=lambda other: other.confidence, default=None)


def _agree(claim: PhotoTag, other: PhotoTag) -> bool:
    return not claim.assembly or not other.assembly or claim.assembly == other.assembly


def alike(part: str | None, other: str | None) -> bool:
    """Whether two names can stand for one part: the same, or one the other with a word before it."""
    if part is None or other is None:
        return part is other
    return part == other or part.endswith(" " + other) or other.endswith(" " + part)


def _merged(claims: list[PhotoTag]) -> list[PhotoTag]:
    """Claims that say the same become one, the more believable for it; vaguer ones that agree support it."""
    result: list[PhotoTag] = []
    for claim in sorted(claims, key=lambda item: -item.confidence):
        twin = next((number for number, kept in enumerate(result) if _same(kept, claim)), None)
        if twin is None:
            result.append(claim)
            continue
        kept = result[twin]
        # What was said at that second and what was told of that day are one telling, not two.
        apart = kept.basis != claim.basis and {kept.basis, claim.basis} != {"recording", "day"}
        together = 1 - (1 - kept.confidence) * (1 - claim.confidence) if apart else kept.confidence
        result[twin] = replace(kept, confidence=round(min(MOST, together), 3), side=kept.side or claim.side,
                               task=kept.task or claim.task, source=kept.source or claim.source,
                               act=kept.act if kept.source else claim.act,
                               note=kept.note if claim.note in kept.note else f"{kept.note}; also {claim.note}")
    return result


def _same(kept: PhotoTag, claim: PhotoTag) -> bool:
    return kept.assembly == claim.assembly and kept.part is not None and claim.part is not None \
        and alike(kept.part, claim.part) and not (kept.side and claim.side and kept.side != claim.side) \
        and not (kept.task and claim.task and kept.task != claim.task)


def _supported(claims: list[PhotoTag]) -> list[PhotoTag]:
    """An assembly without a part goes into the stated part that agrees with it, which it supports."""
    exact = [claim for claim in claims if claim.part and claim.basis in STATED]
    vague = [claim for claim in claims if not claim.part]
    for whole in vague:
        best = max((claim for claim in exact if claim.assembly == whole.assembly),
                   key=lambda claim: claim.confidence, default=None)
        if best is None:
            continue
        claims.remove(whole)
        claims[claims.index(best)] = firmer = replace(
            best, confidence=round(min(MOST, best.confidence + (1 - best.confidence) * SUPPORT), 3),
            note=best.note if whole.note in best.note else f"{best.note}; also {whole.note}")
        exact[exact.index(best)] = firmer
    return claims
