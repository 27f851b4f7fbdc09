"""The log: its sections as plain values, put into volumes, set one after another.

A volume holds so many records that it can be set in a few hundred megabytes; a long log has several, numbered
through, each a PDF of its own. The order: a summary of two pages, how the log was made, the work day by day, the
chapters by assembly, the work that is not the builder's, the index by part, the worksheet, the gaps, how soon each
file was registered, the page to sign.
"""
from __future__ import annotations

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from witnessmark.evidence import chapters, entries, front, typeset
from witnessmark.evidence.gaps import Gap
from witnessmark.evidence.gather import Collected
from witnessmark.evidence.worksheet import Worksheet
from witnessmark.pipeline.progress import Progress, Silent

RECORDS_A_VOLUME = 1000  # about 90 pages; memory is measured in tests/bench/evidence.py
ROWS_A_RECORD = 4  # lines of a table that weigh as much as one record with its words and picture
PARTED = {"days": "days", "table": "rows"}
"""Kinds of section that may go on in the next volume, and what they are parted by."""
Section = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Log:
    """What was written: the files, in order, and the number of records in them."""

    files: tuple[Path, ...]
    records: int


def write(found: Collected, worksheet: Worksheet, gaps: list[Gap], thumbnails: Path, place: Path,
          progress: Progress | None = None) -> Log:
    """Write `log.pdf`, or `log-1-of-3.pdf` and so on, into `place`. Raises WitnessmarkError where typst refuses."""
    watched = progress or Silent()
    days = entries.days(found)
    volumes = list(into_volumes(sections(found, days, worksheet, gaps)))
    watched.stage("Setting the log", len(volumes))
    files = []
    for number, volume in enumerate(volumes, 1):
        name = "log.pdf" if len(volumes) == 1 else f"log-{number}-of-{len(volumes)}.pdf"
        watched.step(name)
        typeset.volume(_document(found, volume, number, len(volumes)), thumbnails, place / name, moment(found))
        files.append(place / name)
    return Log(tuple(files), sum(len(day.entries) for day in days))


def moment(found: Collected) -> dt.datetime:
    """The moment to write into files: the day that was asked for, else that of the last registration.

    The present moment never goes into the bag, so that two runs on the same journal make the same files.
    """
    if found.choice.made:
        return dt.datetime.combine(found.choice.made, dt.time(), dt.UTC)
    latest = max((str(line["registered"]) for line in found.register.known.values()), default="1970-01-01T00:00:00Z")
    try:
        return dt.datetime.fromisoformat(latest)
    except ValueError:
        return dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


def sections(found: Collected, days: list[entries.Day], worksheet: Worksheet, gaps: list[Gap]) -> list[Section]:
    """The whole log in order."""
    return [front.title(found), *front.summary(found, worksheet, gaps), *front.how_made(found),
            *chapters.daily(days), *chapters.by_assembly(days), *chapters.not_the_builders(days, found.choice.is_whole),
            *chapters.by_part(days), *chapters.worksheet(worksheet), *chapters.gaps(gaps),
            *chapters.made_at_the_time(found), front.signature(found)]


def into_volumes(found: Iterable[Section], most: float = RECORDS_A_VOLUME) -> Iterator[list[Section]]:
    """The sections in volumes that weigh at most so many records; what goes on in the next one is marked so."""
    volume: list[Section] = []
    weight = 0.0
    for section in found:
        name = PARTED.get(section["kind"])
        piece, begun = None, False
        for item, heavy in _items(section, name, most):
            if volume and weight + heavy > most:
                yield volume
                volume, weight, piece = [], 0.0, None
            if piece is None:
                piece, begun = _piece(section, name, begun), True
                volume.append(piece)
            if name and item is not None:
                piece[name].append(item)
            weight += heavy
    if volume:
        yield volume


def _items(section: Section, name: str | None, most: float) -> Iterator[tuple[Any, float]]:
    """What a section can be parted into, with its weight: days, of which a very long one is parted itself, or rows."""
    if not name or not section[name]:
        yield None, 1.0
    elif name == "rows":
        yield from ((row, 1 / ROWS_A_RECORD) for row in section["rows"])
    else:
        for day in section["days"]:
            for start in range(0, len(day["entries"]), int(most)):
                entries = day["entries"][start:start + int(most)]
                yield {**day, "entries": entries}, float(len(entries))


def _piece(section: Section, name: str | None, begun: bool) -> Section:
    if not name:
        return section
    if not begun:
        return {**section, name: []}
    return {**section, name: [], "intro": [], "heading": f"{section['heading']} (continued)", "new_page": True,
            "level": 1}


def _document(found: Collected, volume: list[Section], number: int, count: int) -> Section:
    settings = found.journal
    title = settings.get("title") or "Build log"
    of = f"volume {number} of {count}" if count > 1 else ""
    authors = settings.get("builders") or []
    head = found.register.head
    return {"title": title, "authors": authors, "paper": "a4", "running": ", ".join(filter(None, ("build log", of))),
            "foot": f"register {head[:16]}…, {len(found.register.known)} files; made by {found.made_by}",
            "sections": json.loads(json.dumps(volume))}
