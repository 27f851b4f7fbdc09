"""Names that the next recording is likely to hold, for the recogniser to expect."""
from __future__ import annotations

from sqlite_utils import Database

MOST_VENDORS, MOST_PARTS = 8, 6
# A vendor that was only heard once may have been misheard, and a recogniser believes what it is told to expect.
VENDORS = """SELECT vendor FROM receipts WHERE vendor IS NOT NULL UNION
    SELECT p.vendor FROM purchases AS p JOIN sources AS s ON s.id = p.source_id WHERE p.vendor IS NOT NULL
    GROUP BY p.vendor HAVING max(s.transcript IN ('subtitle', 'note')) OR count(DISTINCT p.source_id) > 1"""
PARTS = """SELECT a.part FROM acts AS a JOIN sources AS s ON s.id = a.source_id WHERE a.part IS NOT NULL
    GROUP BY a.part ORDER BY max(s.captured_utc) DESC, count(*) DESC LIMIT ?"""


def likely_names(db: Database) -> tuple[str, ...]:
    """The vendors that are sure to be known, then the parts that were last worked on."""
    vendors = [row["vendor"] for row in db.query(VENDORS)][:MOST_VENDORS]
    return (*vendors, *(row["part"] for row in db.query(PARTS, [MOST_PARTS])))
