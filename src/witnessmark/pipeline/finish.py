"""Last stage: what concerns several sources at once: corrections, repeated and closed records, pictures."""
from __future__ import annotations

from sqlite_utils import Database

from witnessmark.answers import repeats
from witnessmark.journal import Journal
from witnessmark.journal.corrections import Corrections
from witnessmark.model import Settings
from witnessmark.pipeline import keys
from witnessmark.store import loading, writing
from witnessmark.store.corrected import Outcome


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
    """Write down what became of each correction, which purchases were told twice, and which open items are closed."""
    with db.atomic():
        outcomes = _corrected(db, corrections, {line.sha256 for line in corrections.lines})
        writing.write_corrections(db, corrections, outcomes)
        closed = {outcome.record_id: (outcome.correction.id, outcome.correction.when[:10])
                  for outcome in outcomes if outcome.record_id and outcome.correction.do == "close"}
        purchases = loading.query(db, """SELECT r.*, s.captured_utc FROM purchases AS r
            JOIN sources AS s ON s.id = r.source_id ORDER BY s.captured_utc, r.source_id, r.cue, r.id""")
        writing.write_links(db, repeats.told_again(purchases), closed)


def tag_pictures(journal: Journal, db: Database, settings: Settings, done: str | None, said: str,
                 corrections: Corrections) -> str:
    """Tag the pictures unless that was `done` from the same pictures and words; the fingerprint is returned."""
    pictures = [row["fields"] for row in db.query(
        "SELECT json_array(sha256, path, captured, caption, keywords, state) AS fields FROM sources "
        "WHERE kind = 'photo' ORDER BY id")]
    return keys.pictures_key(said, corrections.key, "\n".join(pictures), settings)


def settle(db: Database, settings: Settings, before: dict[str, object], fingerprints: dict[str, str]) -> None:
    """The journal's own row, unless it is as it was."""
    wanted = writing.journal_row(settings, fingerprints)
    if {name: before.get(name) for name in wanted} != wanted:
        writing.write_journal(db, wanted)
