"""The files of the bag's payload, written into an empty folder: the same bytes for the same journal and choice."""
from __future__ import annotations

import hashlib
import json
import shutil
from pathlib import Path, PurePosixPath
from typing import Any

from sqlite_utils import Database

from witnessmark.errors import WitnessmarkError
from witnessmark.evidence import checklist, entries, gaps, gather, log, tables, worksheet
from witnessmark.evidence.choice import Choice
from witnessmark.evidence.gather import Collected, Row
from witnessmark.evidence.names import Mask
from witnessmark.journal import Journal, lines, scan
from witnessmark.journal import settings as settings_file
from witnessmark.media import sha256_of
from witnessmark.model import Cue, Transcript
from witnessmark.pipeline.progress import Progress
from witnessmark.plugins import kind_of
from witnessmark.speech import subtitles
from witnessmark.store.loading import known_files, query

ABOUT, ORIGINALS, WORKSHEET = "about.json", "originals.csv", "worksheet.csv"
ORIGINAL_COLUMNS = ("path", "sha256", "size", "bag_path")
README = """Evidence of a build: what is in this bag

log.pdf (or log-1-of-N.pdf ...)   the build log to print and sign
worksheet.csv                     the major-portion worksheet; fill in maker, commercial, assembly, fabrication
gaps.csv                          what the journal does not show
records/                          every record as CSV (for a spreadsheet) and JSON Lines (exact)
transcripts/                      what was said, as WebVTT
register.jsonl                    one line for each file when it was first seen, each with the hash of the line before
corrections.jsonl                 what the builder corrected or confirmed
journal.toml                      the journal's settings
originals.csv                     every file of the journal with its SHA-256; originals/ holds the files if asked for
about.json                        what was chosen, counts, the register's last hash

In CSV files an apostrophe stands in front of texts that a spreadsheet would take for a formula.

To check by hand, in the folder above this one:   sha512sum -c manifest-sha512.txt
To check with the program:                        witnessmark evidence JOURNAL --check BAG

No airworthiness finding and no legal advice. Local rules hold, and only the inspector or the authority decides.
"""


def write(journal: Journal, db: Database, choice: Choice, place: Path, progress: Progress,
          own_worksheet: Path | None = None, own_checklist: Path | None = None) -> dict[str, Any]:
    """Write everything into `place` and return what is told of it. Raises WitnessmarkError."""
    found, days, sheet, missing = prepare(journal, db, choice, own_worksheet, own_checklist)
    numbers = {entry.row["id"]: entry.number for day in days for entry in day.entries}
    (place / "README.txt").write_text(README, encoding="utf-8", newline="\n")
    (place / "records").mkdir()
    tables.records(found, numbers, place / "records")
    tables.sources(found, place / "records")
    tables.worksheet(sheet, place / WORKSHEET)
    tables.gaps(missing, place / "gaps.csv")
    _transcripts(db, found, place / "transcripts")
    own = _own_files(journal, found.mask, place)
    files = _originals(journal, db, choice, place, progress)
    written = log.write(found, sheet, missing, journal.program / "thumbnails", place, progress)
    about = {"made_by": found.made_by, "day": log.moment(found).date().isoformat(),
             "title": found.journal.get("title"), "choice": choice.as_row(),
             "register": {"head": found.register.head, "files": len(found.register.known),
                          "faults": found.register.faults}, **own,
             "records": {kind: len(rows) for kind, rows in found.records.items()}, "left_out": found.left_out,
             "records_in_the_log": written.records, "log": [file.name for file in written.files],
             "originals": len(files), "worksheet": tables.totals(sheet), "gaps": gaps.counted(missing)}
    (place / ABOUT).write_text(json.dumps(about, ensure_ascii=False, indent=1) + "\n", encoding="utf-8", newline="\n")
    return about


def info(about: dict[str, Any], choice: Choice) -> dict[str, str]:
    """What stands in `bag-info.txt`; the day is the one that was asked for, else that of the last registration."""
    title = " ".join(str(about["title"] or "").split())
    return {"Bagging-Date": str(about["day"]), "External-Description": f"Evidence of a build: {title}",
            "Internal-Sender-Description": "Made by a program; no airworthiness finding, no legal advice."
            + ("" if choice.is_whole else " An extract: see about.json.")}


def prepare(journal: Journal, db: Database, choice: Choice, own_worksheet: Path | None = None,
            own_checklist: Path | None = None) -> tuple[Collected, list[entries.Day], worksheet.Worksheet,
                                                        list[gaps.Gap]]:
    """What the log, the worksheet and the gaps are made of; files of the builder's are those of the journal's folder
    where none is given."""
    found = gather.collect(journal, db, choice)
    days = entries.days(found)
    numbers = {entry.row["id"]: entry.number for day in days for entry in day.entries}
    items = checklist.load(own_checklist or _there(journal.root / checklist.NAME))
    set_in = own_worksheet or _there(journal.root / worksheet.NAME)
    sheet = worksheet.build(found, items, worksheet.read_settings(set_in, items) if set_in else {}, numbers)
    return found, days, sheet, gaps.find(found, sheet)


def _there(path: Path) -> Path | None:
    return path if path.is_file() else None


def _transcripts(db: Database, found: Collected, place: Path) -> None:
    """A WebVTT file for each source that is shown and has words."""
    place.mkdir()
    taken: set[str] = set()
    for source in sorted(found.shown_sources, key=lambda row: (row["path"], row["sha256"])):
        if source["transcript"] is None:
            continue
        cues = tuple(Cue(row["start"], row["end"], found.mask.text(row["text"])) for row in query(
            db, 'SELECT start, "end", text FROM cues WHERE source_id = ? ORDER BY number', [source["id"]]))
        file = place / f"{inside(source['path'], taken)}.vtt"
        file.parent.mkdir(parents=True, exist_ok=True)
        subtitles.write_vtt(Transcript(cues, source["transcript"], source["language"] or "en"), file)


def inside(path: str, taken: set[str]) -> str:
    """A path as it is called in the bag. RFC 8493 wants line ends and "%" encoded, which programs do differently, and
    file systems differ in capitals: such names get a hash instead of what is odd."""
    plain = "".join("_" if character in "%\r\n\\:*?\"<>|" or not character.isprintable() else character
                    for character in path)
    if plain != path or plain.casefold() in taken:
        name = PurePosixPath(plain)
        plain = str(name.with_name(f"{name.stem}-{hashlib.sha256(path.encode()).hexdigest()[:8]}{name.suffix}"))
    taken.add(plain.casefold())
    return plain


def _own_files(journal: Journal, mask: Mask, place: Path) -> dict[str, Any]:
    """The register as it is; corrections and settings without the names that are left out, with the hash of the
    original by which they are compared with the folder."""
    shutil.copyfile(journal.register, place / "register.jsonl") if journal.register.exists() else (
        place / "register.jsonl").touch()
    kept = lines.read(journal.corrections)
    with (place / "corrections.jsonl").open("wb") as file:
        for line in kept:
            file.write((line.raw if line.value is None else lines.encode(mask.value(line.value))) + b"\n")
    settings = journal.root / settings_file.NAME
    text = settings.read_bytes().decode("utf-8-sig")
    (place / settings_file.NAME).write_text(mask.text(text), encoding="utf-8", newline="")
    return {"corrections": {"lines": len(kept), "sha256": hash_of_lines(kept)},
            "settings": {"sha256": sha256_of(settings)}}


def hash_of_lines(kept: list[lines.Line]) -> str:
    """SHA-256 over whole lines, each with one line end."""
    return hashlib.sha256(b"".join(line.raw + b"\n" for line in kept)).hexdigest()


def _originals(journal: Journal, db: Database, choice: Choice, place: Path, progress: Progress) -> list[Row]:
    """`originals.csv`, and copies of the files where they were asked for."""
    known = known_files(db)
    seen = scan.walk(journal.root, kind_of).files
    progress.stage("Copying originals" if choice.originals else "Looking at originals", len(seen))
    taken: set[str] = set()
    rows = []
    for file in seen:
        progress.step(file.path)
        old = known.get(file.path)
        same = old is not None and (old.size, old.mtime_ns) == (file.size, file.mtime_ns)
        sha256, bag_path = old.sha256 if old and same else None, None
        if choice.originals:
            bag_path = f"originals/{inside(file.path, taken)}"
            sha256 = _copied(journal.root / file.path, place / bag_path, sha256)
        rows.append({"path": file.path, "sha256": sha256 or sha256_of(journal.root / file.path), "size": file.size,
                     "bag_path": bag_path})
    tables.write_csv(place / ORIGINALS, ORIGINAL_COLUMNS, rows)
    tables.write_lines(place / "originals.jsonl", ORIGINAL_COLUMNS, rows)
    return rows


def _copied(source: Path, copy: Path, sha256: str | None) -> str:
    copy.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, copy)
    found = sha256_of(copy)
    if sha256 and found != sha256:
        raise WitnessmarkError(f"{source.name} is no longer as it was when it was indexed: look at it, then run "
                               "`witnessmark index` again before making evidence")
    return found
