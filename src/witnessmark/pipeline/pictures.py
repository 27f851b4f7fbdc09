"""Last stages: pictures get thumbnails, the words in them are read, receipts found and matched, and all are tagged."""
from __future__ import annotations

import datetime as dt
import hashlib
import json
from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from witnessmark.errors import UnreadableFile
from witnessmark.faults import concerns_own_files, log_fault
from witnessmark.journal import Journal
from witnessmark.model import Act, Capture, Settings
from witnessmark.pipeline import clocks, keys
from witnessmark.pipeline.progress import Progress, Summary
from witnessmark.store import loading, writing
from witnessmark.store.rows import record_of

THUMBNAILS = "thumbnails"
PICTURES = """SELECT s.*, p.source_id AS known, p.thumbnail, p.text_seen, p.is_receipt, p.look, p.tags_key, p.sharpness,
    p.leader_id FROM sources AS s LEFT JOIN photos AS p ON p.source_id = s.id
    WHERE s.kind IN ('photo', 'document') AND {where} ORDER BY s.captured_utc, s.id"""


@dataclass
class Pictures:
    """One pass over the pictures of a journal; each step does what the database lacks."""

    journal: Journal
    db: Database
    settings: Settings
    summary: Summary
    progress: Progress

    @property
    def folder(self) -> Path:
        return self.journal.program / THUMBNAILS

    def prepare(self) -> None:
        """Thumbnails of new pictures, stills of new acts."""
        self._each("thumbnails", "s.kind = 'photo' AND s.state = 'present' AND p.source_id IS NULL", self._thumbnail)
        self._stills()

    def read_texts(self) -> None:
        """The words in new pictures, and the receipts among them and the documents: the slowest stage."""
        from witnessmark.photos import ocr

        what = "s.kind = 'photo' AND p.text_seen IS NULL AND p.thumbnail IS NOT NULL" if ocr.available() else "0"
        self._each("texts", f"s.state = 'present' AND (({what}) OR (s.kind = 'document' AND p.source_id IS NULL))",
                   self._text)

    def tag(self, links_key: str, done: str | None) -> str:
        """Group and tag; `done` is the fingerprint that the last run returned, of what all that was made from."""
        state = hashlib.sha256(json.dumps([list(row.values()) for row in self.db.query(
            "SELECT s.sha256, s.path, s.captured, s.caption, s.keywords, s.state, p.text_seen, p.is_receipt "
            "FROM sources AS s JOIN photos AS p ON p.source_id = s.id ORDER BY s.id")]).encode()).hexdigest()
        key = keys.digest(keys.tags_key(self.settings), links_key, state)
        if key != done:
            self._group()
            self._tag()
            self._propose_clocks()
        return key

    def _each(self, name: str, where: str, work: Callable[[Capture, dict[str, Any]], None]) -> None:
        """Do something for every picture of a kind; one that fails stops no other."""
        rows = loading.query(self.db, PICTURES.format(where=where))
        self.progress.stage(name, len(rows))
        for row in rows:
            capture = loading.load_capture(row)
            self.progress.step(capture.path)
            try:
                work(capture, row)
            except UnreadableFile as error:
                self._failed(capture, str(error))
            except OSError as error:
                if concerns_own_files(error, self.journal):
                    raise
                self.summary.unreadable[capture.path] = f"it cannot be read ({error.strerror}): it is tried again"
            except Exception as error:  # decoders of damaged pictures raise anything
                self._failed(capture, log_fault(self.journal, error, capture.path))

    def _failed(self, capture: Capture, problem: str) -> None:
        """A damaged picture stays a source, without a thumbnail; it is not tried again until it changes."""
        self.summary.unreadable[capture.path] = problem
        writing.write_photo(self.db, capture.sha256, {"text_seen": "", "is_receipt": 0})
        writing.add_problem(self.db, capture.sha256, problem)

    # ---- thumbnails and looks

    def _thumbnail(self, capture: Capture, row: dict[str, Any]) -> None:
        from witnessmark.photos import groups, thumbnail

        made = thumbnail(self.journal.root, capture, self.folder)
        look = groups.look(made)
        writing.write_photo(self.db, capture.sha256, {
            "thumbnail": made.name, "look": f"{look.bits:032x}", "sharpness": look.sharpness})

    def _group(self) -> None:
        """Bursts and doubles: each picture's leader."""
        from witnessmark.photos.groups import Look, groups

        rows = loading.query(self.db, PICTURES.format(where="p.look IS NOT NULL"))
        looks = {row["sha256"]: Look(int(row["look"], 16), row["sharpness"]) for row in rows}
        leaders = groups([loading.load_capture(row) for row in rows], looks)
        for row in rows:
            leader = writing.source_id(leaders[row["sha256"]])
            if row["leader_id"] != leader:
                writing.write_photo(self.db, row["sha256"], {"leader_id": leader})

    # ---- words in pictures, receipts

    def _text(self, capture: Capture, row: dict[str, Any]) -> None:
        from witnessmark.photos import ocr, receipts

        text = ""
        if capture.kind == "photo":
            seen = ocr.read(ocr.upright(self.journal.root / capture.path, ocr.SIZE))
            text = "\n".join(" ".join(piece.text for piece in line) for line in ocr.rows(seen))
        worth = receipts.is_filed_as_receipt(capture) or (
            bool(row["thumbnail"]) and receipts.might_be_one(self.folder / row["thumbnail"]))
        found = receipts.read_receipt(self.journal.root, capture, self.settings) if worth else None
        with self.db.atomic():
            writing.write_photo(self.db, capture.sha256, {"text_seen": text, "is_receipt": int(found is not None)})
            if found:
                writing.write_receipt(self.db, capture.sha256, {
                    "vendor": found.vendor, "date": found.date.isoformat() if found.date else None,
                    "total": found.total, "tax": found.tax, "problems": found.problems, "confidence": found.confidence,
                    "lines": [{name: getattr(line, name) for name in line.__slots__} for line in found.lines]})

    # ---- stills

    def _stills(self) -> None:
        """A still from the moment of every act that was filmed."""
        from witnessmark.photos import still

        wanted = [row for row in loading.query(self.db, """SELECT DISTINCT r.picture, r.start, s.* FROM acts AS r
            JOIN sources AS s ON s.id = r.source_id WHERE r.picture IS NOT NULL AND s.state = 'present'
            ORDER BY s.captured_utc, s.id, r.start""") if not (self.folder / row["picture"]).exists()]
        self.progress.stage("stills", len(wanted))
        broken: set[str] = set()
        for row in wanted:
            self.progress.step(row["path"])
            try:
                if row["id"] not in broken:
                    still(self.journal.root, loading.load_capture(row), row["start"], self.folder / row["picture"])
            except UnreadableFile:
                broken.add(row["id"])
            except OSError as error:
                if concerns_own_files(error, self.journal):
                    raise
                broken.add(row["id"])

    # ---- tags

    def _tag(self) -> None:
        """Tags for every picture whose own data, or whose days' talk, differ from what its tags were made from."""
        from witnessmark.photos import tag
        from witnessmark.trade.lexicon import Lexicon

        days = self._talk()
        general = keys.tags_key(self.settings)
        stale = []
        for row in loading.query(self.db, PICTURES.format(where="p.source_id IS NOT NULL")):
            near = [days[day][0] for day in around(row["day"]) if day in days]
            wanted = keys.digest(general, row["path"], row["captured"], row["caption"], row["keywords"],
                                 row["text_seen"], row["is_receipt"], near)
            if row["tags_key"] != wanted:
                stale.append((row, wanted))
        if not stale:
            return
        lexicon = Lexicon.load(self.settings.vocabulary)
        told = _Told(self.db, self.settings)
        self.progress.stage("pictures", len(stale))
        for row, wanted in stale:
            self.progress.step(row["path"])
            spoken = told.of(identity for day in around(row["day"]) if day in days for identity in days[day][1])
            # A receipt proves a purchase; it shows no work, though it was taken on some day of work.
            shown = [] if row["is_receipt"] else [loading.load_capture(row)]
            lines = {row["sha256"]: (row["text_seen"] or "").splitlines()}
            tags = tag(shown, [item[0] for item in spoken], self.settings, lexicon, lines)
            acts = {item[0].session.source: item[1] for item in spoken}
            with self.db.atomic():
                writing.write_tags(self.db, row["sha256"], [
                    {"rank": rank, "assembly": found.assembly, "part": found.part, "side": found.side,
                     "task": found.task, "basis": found.basis, "confidence": found.confidence, "note": found.note,
                     "act_id": acts[found.source][found.act] if found.source and found.act is not None else None}
                    for rank, found in enumerate(tags)])
                writing.write_photo(self.db, row["sha256"], {"tags_key": wanted})

    def _talk(self) -> dict[str, tuple[str, list[str]]]:
        """Local day → (fingerprint of all that was told on it, ids of its sources)."""
        days: dict[str, tuple[str, list[str]]] = {}
        acts: dict[str, list[Any]] = defaultdict(list)
        for row in self.db.query("SELECT source_id, id, task, part, assembly, side, status, who, date, start FROM acts "
                                 "ORDER BY source_id, cue, id"):
            acts[row["source_id"]].append(list(row.values()))
        for row in self.db.query("""SELECT s.id, s.day, s.captured, s.path, r.after FROM readings AS r
                JOIN sources AS s ON s.id = r.source_id WHERE s.day IS NOT NULL ORDER BY r.recorded, s.id"""):
            before, sources = days.get(row["day"], ("", []))
            days[row["day"]] = (keys.digest(before, row["captured"], row["path"], acts[row["id"]]),
                                [*sources, row["id"]])
        return days

    def _propose_clocks(self) -> None:
        """Cameras whose clock seems to have been wrong: proposed with the evidence, applied by the builder only."""
        self.summary.notes += [clocks.as_sentence(proposal) for proposal in clocks.proposals(self.db, self.settings)]


def around(day: str | None) -> Iterable[str]:
    """The day itself and its neighbours, as ISO dates."""
    if not day:
        return ()
    middle = dt.date.fromisoformat(day)
    return [(middle + dt.timedelta(days=shift)).isoformat() for shift in (-1, 0, 1)]


class _Told:
    """Narrations with their acts after corrections, each loaded once; the most recent days are kept."""

    def __init__(self, db: Database, settings: Settings) -> None:
        self._db, self._settings = db, settings
        self._known: dict[str, tuple[Any, list[str]]] = {}

    def of(self, identities: Iterable[str]) -> list[tuple[Any, list[str]]]:
        wanted = list(identities)
        self._known = {identity: self._known.get(identity) or self._load(identity) for identity in wanted}
        return list(self._known.values())

    def _load(self, identity: str) -> tuple[Any, list[str]]:
        from witnessmark.photos import Spoken

        row = loading.query(self._db, "SELECT * FROM sources WHERE id = ?", [identity])[0]
        capture = loading.load_capture(row)
        session = loading.load_session(self._db, row, self._settings.timezone)
        rows = loading.query(self._db, "SELECT * FROM acts WHERE source_id = ? ORDER BY cue, id", [identity])
        acts = tuple(record for record in (record_of("acts", act) for act in rows) if isinstance(record, Act))
        assert session is not None, "whatever was read has words"
        exact = capture.moment.precision in ("second", "minute") and capture.moment.basis != "file-time"
        return Spoken(session, acts, exact), [act["id"] for act in rows]

