"""After all are read: what concerns several sources at once: corrections, repeated and closed records."""
from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass

from sqlite_utils import Database

from witnessmark.answers import closing, repeats
from witnessmark.journal.corrections import Corrections
from witnessmark.model import Purchase, Settings
from witnessmark.store import loading, writing
from witnessmark.store.corrected import Outcome
from witnessmark.store.rows import record_of, source_id
from witnessmark.store.taught import words


@dataclass(frozen=True, slots=True)
class Corrected:
    """The sources whose records were laid anew under their corrections, and what became of those."""

    sources: frozenset[str]
    outcomes: tuple[Outcome, ...]


def correct_again(db: Database, corrections: Corrections) -> Corrected:
    """Lay the corrections over the records of every source for which they are others than in the database."""
    written = {row["id"]: row for row in db.query("SELECT * FROM corrections")}
    changed = [line for line in corrections.lines if line.id not in written
               or (written[line.id]["state"] == "undone") != (line.id in corrections.undone)]
    hashes = {line.sha256 for line in changed if line.sha256}
    known = {line.id for line in corrections.lines}
    hashes |= {row["sha256"] for identity, row in written.items() if identity not in known}
    sources = {source_id(sha256) for sha256 in hashes}
    for line in changed:
        if line.do == "word":
            sources |= _telling_of(db, str(line.from_.get("word", "")))
    return _corrected(db, corrections, sources)


def _telling_of(db: Database, name: str) -> set[str]:
    """The sources in whose records a name may stand."""
    last = next(iter(words(name)[-1:]), "")
    return {row["source_id"] for row in db.query("SELECT source_id FROM readings WHERE reading LIKE ? ESCAPE '!'",
                                                 ["%" + re.sub(r"([%_!])", r"!\1", last) + "%"])} if last else set()


def _corrected(db: Database, corrections: Corrections, sources: set[str]) -> Corrected:
    known = {row["id"] for row in db.query("SELECT id FROM sources")} & sources
    outcomes = [outcome for source in sorted(known)
                for outcome in writing.rewrite_records(db, source, corrections.standing)]
    return Corrected(frozenset(known), tuple(outcomes))


def connect(db: Database, corrections: Corrections, corrected: Corrected | None = None) -> None:
    """Write down what became of each correction, what was told twice, and which open items are closed.

    `corrected` is what has just been laid anew; what became of all other corrections is then as it was. Without it
    the corrections of all sources are laid again.
    """
    with db.atomic():
        if corrected is None:
            every = {source_id(line.sha256) for line in corrections.lines}
            outcomes = list(_corrected(db, corrections, every).outcomes)
        else:
            outcomes = [*corrected.outcomes, *_as_they_were(db, corrections, corrected.sources)]
        writing.write_corrections(db, corrections, outcomes)
        purchases = loading.query(db, """SELECT r.*, s.captured_utc FROM purchases AS r
            JOIN sources AS s ON s.id = r.source_id ORDER BY s.captured_utc, r.source_id, r.cue, r.id""")
        closed, same_job = closing.closings(db)
        closed.update({outcome.record_id: (outcome.correction.id, outcome.correction.when[:10])
                       for outcome in outcomes if outcome.record_id and outcome.correction.do == "close"})
        writing.write_links(db, repeats.told_again(purchases), same_job, closed)
        match_receipts(db)


def _as_they_were(db: Database, corrections: Corrections, but: frozenset[str]) -> list[Outcome]:
    """What became of the standing corrections of all sources but these."""
    found = {row["id"]: row["record_id"] for row in db.query("SELECT id, record_id FROM corrections")}
    return [Outcome(line, found.get(line.id)) for line in corrections.standing if source_id(line.sha256) not in but]


def match_receipts(db: Database) -> None:
    """Each purchase that was spoken of with the receipt that proves it."""
    from witnessmark.photos.receipts import Line, Receipt
    from witnessmark.photos.receipts import match_receipts as matches

    receipts = [Receipt(row["sha256"], row["path"], row["vendor"],
                        dt.date.fromisoformat(row["date"]) if row["date"] else None, row["total"], row["tax"],
                        tuple(Line(**line) for line in row["lines"]), tuple(row["problems"]), row["confidence"])
                for row in loading.query(db, """SELECT r.*, s.sha256, s.path FROM receipts AS r
                    JOIN sources AS s ON s.id = r.source_id ORDER BY s.captured_utc, s.id""")]
    purchases: dict[str, Purchase] = {}
    days: dict[str, dt.date] = {}
    for row in loading.query(db, """SELECT r.*, s.day FROM purchases AS r JOIN sources AS s
            ON s.id = r.source_id WHERE r.same_as IS NULL ORDER BY s.captured_utc, r.source_id, r.cue, r.id"""):
        record = record_of("purchases", row)
        assert isinstance(record, Purchase)
        purchases[row["id"]] = record
        day = row["last_day"] or row["day"]
        if day:
            days[row["id"]] = dt.date.fromisoformat(day)
    writing.write_receipt_matches(db, {
        match.purchase: (match.receipt.sha256, match.problems)
        for match in matches(receipts, purchases, days)})


def settle(db: Database, settings: Settings, fingerprints: dict[str, str]) -> None:
    """The journal's own row, unless it is as it was."""
    before = loading.journal_row(db)
    wanted = writing.journal_row(settings, fingerprints)
    if {name: before.get(name) for name in wanted} != wanted:
        writing.write_journal(db, wanted)
