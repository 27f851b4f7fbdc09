"""What witnessmark reads and writes by itself, through its own extension points."""
from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from witnessmark.hookspecs import Export, hookimpl
from witnessmark.model import Capture, Kind, Reading, Session, Settings, Transcript

if TYPE_CHECKING:
    from sqlite_utils import Database

    from witnessmark.journal import Journal
    from witnessmark.reading.memory import Memory
    from witnessmark.trade.lexicon import Lexicon


@hookimpl
def file_kinds() -> Mapping[str, tuple[Kind, str]]:
    from witnessmark.media.kinds import MEDIA_TYPES

    return MEDIA_TYPES


@hookimpl(trylast=True)
def ingest_file(root: Path, path: str, settings: Settings, sha256: str) -> Capture:
    from witnessmark.media import ingest

    return ingest(root, path, settings, sha256)


@hookimpl(trylast=True)
def transcribe_source(root: Path, capture: Capture, subtitle: str | None, settings: Settings, lexicon: Lexicon,
                      progress: Callable[[float], None], hints: Sequence[str]) -> Transcript | None:
    from witnessmark.speech import notes, subtitles, transcribe

    if subtitle:
        return subtitles.read(root / subtitle)
    if capture.kind == "transcript":
        return subtitles.read(root / capture.path)
    if capture.kind == "note":
        return notes.read(root / capture.path)
    if capture.kind == "recording":
        return transcribe(root, capture, settings, lexicon, progress, hints)
    return None


@hookimpl
def extract_records(session: Session, lexicon: Lexicon, memory: Memory) -> Reading:
    from witnessmark import reading

    return reading.read(session, lexicon, memory)[0]


@hookimpl
def exports() -> Mapping[str, Export]:
    return {"records": Export("every record as JSON, as `records --json` prints it", _write_records)}


def _write_records(journal: Journal, db: Database, out: Path) -> None:
    from witnessmark.answers.records import sessions

    out.write_text(json.dumps({"sessions": sessions(db)}, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
