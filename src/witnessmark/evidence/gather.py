"""Everything that one evidence run shows, taken from the database once: records, sources, pictures, the register."""
from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from sqlite_utils import Database

from witnessmark import __version__
from witnessmark.evidence.choice import Choice
from witnessmark.evidence.names import Mask
from witnessmark.journal import Journal, register
from witnessmark.journal.register import Register
from witnessmark.store.loading import journal_row, query
from witnessmark.store.schema import RECORD_TABLES

Row = dict[str, Any]
PERFORMED = ("done", "doing")
SOURCES = """SELECT s.*, p.latitude, p.longitude FROM sources AS s LEFT JOIN places AS p ON p.source_id = s.id
    ORDER BY s.captured_utc, s.path"""
FREE_TEXT = frozenset({"quote", "part", "person", "item", "vendor", "caption", "keywords", "note", "doubts", "why",
                       "receipt_problems", "text", "heard", "captured_note", "from", "to"})
"""The columns in which names can stand; paths lead to files and stay as they are."""


@dataclass
class Collected:
    """The journal's row, its records by kind in order of time, sources by id, pictures by act, the register.

    `records` are those of the choice, `everything` those of the whole journal: the worksheet and the gaps are made of
    these, since an extract without the work of others would make work look like the builder's alone.

    Pictures are `{"path", "thumbnail", "caption", "basis", "confidence", "sha256"}`, the surest first. Every text is
    masked already where names are to be left out; paths never are, since they lead to the files.
    """

    journal: Row
    choice: Choice
    mask: Mask
    sources: dict[str, Row]
    records: dict[str, list[Row]]
    everything: dict[str, list[Row]]
    pictures: dict[str, list[Row]]
    tags: list[Row]
    corrections: dict[str, Row]
    register: Register
    left_out: dict[str, int] = field(default_factory=dict)
    made_by: str = f"witnessmark {__version__}"

    @property
    def performed(self) -> list[Row]:
        return [act for act in self.records["acts"] if act["status"] in PERFORMED]

    @property
    def all_performed(self) -> list[Row]:
        """The same of the whole journal."""
        return [act for act in self.everything["acts"] if act["status"] in PERFORMED]

    @property
    def shown_sources(self) -> list[Row]:
        """The sources to list: all of a whole journal; of an extract those of which a record is shown, and, where only
        a period was chosen, those of its days."""
        if self.choice.is_whole:
            return list(self.sources.values())
        shown = {row["source_id"] for rows in self.records.values() for row in rows}
        shown |= {tag["source_id"] for row in self.performed for tag in self.pictures.get(row["id"], ())}
        by_day = not (self.choice.assembly or self.choice.person)
        return [row for row in self.sources.values() if row["id"] in shown
                or (by_day and row["day"] and self.choice.takes({}, row["day"]))]

    @property
    def builders(self) -> list[Row]:
        """The acts that the log says the builder did."""
        return [act for act in self.performed if act["who"] == "builder"]


def collect(journal: Journal, db: Database, choice: Choice) -> Collected:
    """Read all that the choice takes."""
    mask = _mask(journal, db, choice)
    sources = {row["id"]: _masked(row, mask) for row in query(db, SOURCES)}
    records, everything, left_out = {}, {}, {}
    for kind in RECORD_TABLES:
        # Whose work it is must be asked before names are left out.
        rows = sorted(query(db, f"SELECT * FROM {kind}"), key=lambda row: when(row, sources))
        taken = [not (kind == "purchases" and not choice.money)
                 and choice.takes(row, sources[row["source_id"]]["day"], journal.settings.builders) for row in rows]
        everything[kind] = [_masked(row, mask) for row in rows]
        records[kind] = [row for row, chosen in zip(everything[kind], taken, strict=True) if chosen]
        left_out[kind] = len(rows) - len(records[kind])
    tags = [_masked(row, mask) for row in query(db, """SELECT t.*, s.path, s.sha256, s.caption, s.keywords, s.day,
        s.captured, s.state, p.thumbnail, p.is_receipt FROM photo_tags AS t JOIN sources AS s ON s.id = t.source_id
        LEFT JOIN photos AS p ON p.source_id = s.id ORDER BY t.confidence DESC, s.path, t.rank""")]
    corrections = {row["id"]: row for row in query(db, 'SELECT id, "do", "when", why, state FROM corrections')}
    return Collected(journal_row(db), choice, mask, sources, records, everything, _by_act(tags), tags, corrections,
                     register.load(journal.register), left_out)


def _masked(row: Row, mask: Mask) -> Row:
    return {name: mask.value(value) if name in FREE_TEXT else value for name, value in row.items()}


def _mask(journal: Journal, db: Database, choice: Choice) -> Mask:
    if choice.names:
        return Mask()
    settings = journal.settings
    people = [("helper", name) for name in settings.helpers] + [("paid", name) for name in settings.hired]
    for table in ("acts", "hours"):
        people += [(row["who"] or "helper", row["person"]) for row in db.query(
            f"SELECT DISTINCT who, person FROM {table} WHERE person IS NOT NULL ORDER BY person, who")]
    people += [("vendor", row["vendor"]) for row in db.query(
        "SELECT DISTINCT vendor FROM purchases WHERE vendor IS NOT NULL ORDER BY vendor")]
    kept = (*settings.builders, choice.person or "")
    return Mask([(kind, name) for kind, name in people if kind != "builder"], kept)


def _by_act(tags: list[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = defaultdict(list)
    for tag in tags:
        if tag["act_id"] and tag["state"] == "present" and not tag["is_receipt"]:
            found[tag["act_id"]].append(tag)
    return dict(found)


def when(row: Row, sources: dict[str, Row]) -> tuple[str, str, str, float, int, str]:
    """The place of a record in time: by the last day that it may stand for, then by when it was told."""
    source = sources[row["source_id"]]
    day = row.get("last_day") or row.get("first_day") or row.get("day") or source["day"] or ""
    return day, source["captured_utc"] or "", row["source_id"], row["start"] or 0.0, row["cue"] or 0, row["id"]
