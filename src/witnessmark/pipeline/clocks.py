"""Cameras whose clock seems to have been wrong: proposed from what the database holds, set by the builder only."""
from __future__ import annotations

import datetime as dt

from sqlite_utils import Database

from witnessmark.journal.settings import offset_text
from witnessmark.media.moments import zone_of
from witnessmark.model import Settings
from witnessmark.photos.clocks import Proposal, propose_offsets
from witnessmark.store import loading

PHOTOS = "SELECT * FROM sources WHERE kind = 'photo' AND camera IS NOT NULL ORDER BY captured_utc, id"
RECORDINGS = "SELECT * FROM sources WHERE kind IN ('recording', 'transcript') ORDER BY captured_utc, id"
WRITTEN = """SELECT f.path, f.mtime_ns FROM files AS f JOIN sources AS s ON s.id = f.source_id
    WHERE s.kind = 'photo' AND s.path = f.path"""


def proposals(db: Database, settings: Settings) -> tuple[Proposal, ...]:
    """What the pictures, the recordings and the times of the files say of each camera's clock.

    `settings` are those in force: a camera whose clock the builder has set, be it to "0s", is left alone.
    """
    photos, recordings = ([loading.load_capture(row) for row in loading.query(db, sql)] for sql in (PHOTOS, RECORDINGS))
    zone = zone_of(settings.timezone)
    written = {row["path"]: dt.datetime.fromtimestamp(row["mtime_ns"] / 1e9, zone) for row in db.query(WRITTEN)}
    found = propose_offsets(photos, recordings, written)
    return tuple(proposal for proposal in found if settings.camera(proposal.model) is None)


def as_sentence(proposal: Proposal) -> str:
    """A proposal for the builder: the evidence, and what to type if he agrees."""
    offset = offset_text(proposal.offset)
    return (f"the clock of camera {proposal.model} seems to have been wrong ({'; '.join(proposal.evidence)}): if so, "
            f'run `witnessmark correct FOLDER "{proposal.model}" --clock "{offset}"`, or add [[camera]] with '
            f'model = "{proposal.model}" and offset = "{offset}" to journal.toml; if it was right, say --clock "0s"')
