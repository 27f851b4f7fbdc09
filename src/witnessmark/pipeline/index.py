"""`index`: the whole pipeline over a journal, once."""
from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlite_utils import Database

from witnessmark.answers import ledgers
from witnessmark.journal import Journal, corrections, lines, register
from witnessmark.journal.corrections import Corrections
from witnessmark.pipeline import backlog, finish, keys
from witnessmark.pipeline.intake import Intake, Ready
from witnessmark.pipeline.pictures import Pictures
from witnessmark.pipeline.progress import Progress, Silent, Summary
from witnessmark.pipeline.sessions import Sessions
from witnessmark.store import database, loading


def index(journal: Journal, progress: Progress | None = None, wait: float = 0, ready: Ready | None = None) -> Summary:
    """Bring the journal's database up to its folder.

    Safe to stop at any moment and to repeat: a run on an unchanged folder changes nothing. `wait` is how many seconds
    to wait for another program that holds the journal; `ready` says whether a new file may be read yet. Raises
    JournalError where the journal is held or cannot be written.
    """
    with journal.lock(wait):
        return index_held(journal, progress, ready)


def index_held(journal: Journal, progress: Progress | None = None, ready: Ready | None = None) -> Summary:
    """`index` for a caller that holds the journal's lock already."""
    progress = progress or Silent()
    summary = Summary()
    known = _ledgers(journal, summary)
    corrected = corrections.load(journal.corrections)
    summary.notes += corrected.faults
    db, remade = database.open_to_write(journal.database)
    try:
        if remade:
            summary.notes.append(remade)
        _stages(journal, db, known, corrected, summary, progress, ready)
    finally:
        db.close()
    return summary


def _ledgers(journal: Journal, summary: Summary) -> register.Register:
    """The register, ready for its next line; torn ends are set aside, breaks in the chain reported."""
    for path in (journal.register, journal.corrections):
        torn = lines.mend(path, journal.program / "set-aside")
        if torn:
            summary.notes.append(torn)
    known = register.load(journal.register)
    summary.notes += known.faults
    return known


def _stages(journal: Journal, db: Database, known: register.Register, corrected: Corrections, summary: Summary,
            progress: Progress, ready: Ready | None) -> None:
    settings = corrections.in_force(journal.settings, corrected)
    before = loading.journal_row(db)
    capture_key = keys.capture_key(settings)
    intake = Intake(journal, db, known, summary, progress, settings, ready)
    again = bool(before) and before["capture_key"] != capture_key
    intake.run(again)
    if again and intake.waiting:
        capture_key = before["capture_key"]
    if not before:
        intake.restore_lost()
    unheard = backlog.hear(journal, db, settings, progress)
    Sessions(journal, db, settings, corrected, summary, progress, unheard).run()
    pictures = Pictures(journal, db, settings, summary, progress)
    pictures.prepare()
    done = _join(journal, db, pictures, loading.journal_row(db))
    pictures.read_texts()
    done = _join(journal, db, pictures, done)
    finish.settle(db, settings, {"capture_key": capture_key, **done})
    summary.totals = ledgers.totals(db)


def _join(journal: Journal, db: Database, pictures: Pictures, before: Mapping[str, Any]) -> dict[str, str]:
    """Bring together what concerns several sources, so far as it differs from what it was made from `before`; the
    fingerprints of what it is made from now are returned."""
    corrected = corrections.load(journal.corrections)  # anew: the builder may have added some in the meantime
    if before.get("corrections_key") != corrected.key:
        finish.correct_again(db, corrected)
    links_key = keys.links_key(db, corrected.key)
    if before.get("links_key") != links_key:
        finish.connect(db, corrected)
    return {"corrections_key": corrected.key, "links_key": links_key,
            "pictures_key": pictures.tag(links_key, before.get("pictures_key"))}
