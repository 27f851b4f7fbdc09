"""What the program is unsure of, worst first. Read-only.

Worst is what would make the log say something false: an act of the builder's that may not have been done comes before
a plan that may have been carried out; a doubt that can be put into words before a mere low confidence.
"""
from __future__ import annotations

from typing import Any

from sqlite_utils import Database

from witnessmark.answers.page_why import record
from witnessmark.store.loading import query

Row = dict[str, Any]
UNSURE_BELOW = 0.8
NEXT = 8
# How much worse than its confidence alone a record stands; the pages' own weights.
WEIGHT_DOUBT, WEIGHT_CLAIM = 0.3, 0.25
CLAIMS = {"acts": "r.status IN ('done', 'doing') AND r.who = 'builder'", "hours": "r.counted = 1",
          "purchases": "r.status IN ('bought', 'ordered') AND r.same_as IS NULL", "open_items": "0"}
LEFT_OUT = {"open_items": "AND r.closed_by IS NULL AND r.same_as IS NULL", "purchases": "AND r.same_as IS NULL"}


def unsure(db: Database, skip: int = 0) -> Row:
    """`count` of what is to be checked, the record at place `skip` as `kind` and `record`, and a few after it."""
    parts = [f"""SELECT '{kind}' AS kind, r.id, (1 - r.confidence) + {WEIGHT_DOUBT} * (r.doubts <> '[]')
        + {WEIGHT_CLAIM} * ({claim}) AS risk FROM {kind} AS r
        WHERE r.correction IS NULL AND (r.confidence < {UNSURE_BELOW} OR r.doubts <> '[]') {LEFT_OUT.get(kind, '')}"""
             for kind, claim in CLAIMS.items()]
    union = " UNION ALL ".join(parts)
    count = next(db.query(f"SELECT count(*) AS count FROM ({union})"))["count"]
    at = min(max(skip, 0), max(count - 1, 0))
    chosen = list(db.query(f"SELECT * FROM ({union}) ORDER BY risk DESC, id LIMIT ? OFFSET ?", [NEXT, at]))
    found = [record(db, row["id"]) for row in chosen]
    rows = [{"kind": one[0], "record": one[1]} for one in found if one]
    return {"count": count, "at": at, "first": rows[0] if rows else None, "following": rows[1:]}


def source_of(db: Database, row: Row) -> Row:
    """The source of a record."""
    return query(db, "SELECT * FROM sources WHERE id = ?", [row["source_id"]])[0]


def last_correction(db: Database) -> Row | None:
    """The latest correction that still holds, to be taken back."""
    return next(iter(query(db, """SELECT id, "do", kind, path, start FROM corrections
        WHERE state <> 'undone' AND "do" <> 'undo' ORDER BY number DESC LIMIT 1""")), None)
