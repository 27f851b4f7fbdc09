"""Which open items were closed later, by what, and which are the same job told again."""
from __future__ import annotations

from typing import Any

from sqlite_utils import Database

from witnessmark.model import Act, OpenItem, Purchase
from witnessmark.store.rows import LISTS, record_of


def closings(db: Database) -> tuple[dict[str, tuple[str, str | None]], dict[str, str]]:
    """Item id → (id of the act or purchase that closed it, its day); item id → id of the job's first telling."""
    from witnessmark.answers.open_jobs import At, closed_by, last_word

    order = {row["source_id"]: number for number, row in enumerate(
        db.query("SELECT source_id FROM readings ORDER BY recorded, source_id"))}
    rows: dict[int, dict[str, Any]] = {}

    def placed(kind: str, thing: str, things: set[str | None] | None = None) -> list[At]:
        """The records of a table in order, of these things only; a journal has many more acts than open items."""
        places = []
        told = [row for row in db.query(f"SELECT * FROM {kind} ORDER BY cue, id")
                if things is None or last_word(row[thing]) in things]
        for row in sorted(told, key=lambda row: order[row["source_id"]]):
            record = record_of(kind, {name: value for name, value in row.items() if name not in LISTS})
            assert isinstance(record, Act | Purchase | OpenItem)
            rows[id(record)] = row
            places.append(At(order[row["source_id"]], row["source_id"], record))
        return places

    items = placed("open_items", "part")
    things = {last_word(place.record.part) for place in items if isinstance(place.record, OpenItem)} - {None}
    records = sorted([*placed("acts", "part", things), *placed("purchases", "item", things)],
                     key=lambda place: (place.order, place.record.cue))
    closed: dict[str, tuple[str, str | None]] = {}
    same: dict[str, str] = {}
    for job in closed_by(items, records):
        tellings = [rows[id(place.record)] for place in (job.item, *job.again)]
        same.update({row["id"]: tellings[0]["id"] for row in tellings[1:]})
        if job.closed_by:
            by = rows[id(job.closed_by.record)]
            closed.update({row["id"]: (by["id"], by["last_day"]) for row in tellings})
    return closed, same
