"""After all are read: what concerns several sources at once: corrections, repeated and closed records."""
from __future__ import annotations

import datetime as dt

from sqlite_utils import Database

from witnessmark.answers import closing, repeats
from witnessmark.journal.corrections import Corrections
from witnessmark.model import Purchase, Settings
from witnessmark.store import loading, writing
from witnessmark.store.corrected import Outcome
from witnessmark.store.rows import record_of


def correct_again(db: Database, corrections: Corrections) -> None:
    """Lay the corrections over the records of every source that has, or had, any."""
    concerned = {line.sha256 for line in corrections.lines} | {
        row["sha256"] for row in db.query("SELECT DISTINCT sha256 FROM corrections")}
    _corrected(db, corrections, concerned)


def _corrected(db: Database, corrections: Corrections, concerned: set[str]) -> list[Outcome]:
    outcomes = []
    for row in list(db.query("SELECT id, sha256 FROM sources")):
        if row["sha256"] in concerned:
            outcomes += writing.rewrite_records(db, row["id"], corrections.standing)
    return outcomes


def connect(db: Database, corrections: Corrections) -> None:
    """Write down what became of each correction, what was told twice, and which open items are closed."""
    with db.atomic():
        outcomes = _corrected(db, corrections, {line.sha256 for line in corrections.lines})
        writing.write_corrections(db, corrections, outcomes)
        purchases = loading.query(db, """SELECT r.*, s.captured_utc FROM purchases AS r
            JOIN sources AS s ON s.id = r.source_id ORDER BY s.captured_utc, r.source_id, r.cue, r.id""")
        closed, same_job = closing.closings(db)
        closed.update({outcome.record_id: (outcome.correction.id, outcome.correction.when[:10])
                       for outcome in outcomes if outcome.record_id and outcome.correction.do == "close"})
        writing.write_links(db, repeats.told_again(purchases), same_job, closed)
        match_receipts(db)


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
