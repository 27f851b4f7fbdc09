"""What the pages of days show: the whole build in bars, a year, a month, a day. Read-only.

Work stands on a day where its date is that day, or about that day; work whose day is not known so exactly stands on
the day on which it was told, with its date in words.
"""
from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from sqlite_utils import Database

from witnessmark.store.loading import query

Row = dict[str, Any]
PERFORMED = "a.status IN ('done', 'doing')"
ON_ONE_DAY = f"{PERFORMED} AND a.first_day = a.last_day"
MOST_CUES = 600  # of a page, about an hour and a half of talk
MOST_ACTS = 15  # of a day in its month's list
MOST_PICTURES = 5  # of a day in its month's list; the day's own page has all
CLIP = "s.path AS source, s.kind AS source_kind, s.has_video, s.has_sound, s.media_type, s.day AS told"
TOLD_KINDS = "('recording', 'transcript', 'note')"
SEEN_KINDS = "('photo', 'recording', 'transcript', 'note')"
SHOWN_PICTURES = """FROM sources AS s JOIN photos AS p ON p.source_id = s.id
    WHERE s.state = 'present' AND coalesce(p.is_receipt, 0) = 0 AND coalesce(p.leader_id, s.id) = s.id"""
NOTHING: Row = {"own": 0, "others": 0, "low": 0.0, "high": 0.0, "pictures": 0, "clips": 0}


def bars(db: Database) -> list[Row]:
    """Every day on which something happened: `day`, `own` and `others` (acts), hours from `low` to `high`, `pictures`,
    `clips`."""
    days: dict[str, Row] = defaultdict(lambda: dict(NOTHING))
    for row in db.query(f"""SELECT a.first_day AS day, sum(a.who = 'builder') AS own, count(*) AS every
            FROM acts AS a WHERE {ON_ONE_DAY} GROUP BY 1"""):
        days[row["day"]].update(own=row["own"] or 0, others=row["every"] - (row["own"] or 0))
    for row in db.query("""SELECT first_day AS day, sum(low) AS low, sum(high) AS high FROM hours
            WHERE counted = 1 AND first_day = last_day GROUP BY 1"""):
        days[row["day"]].update(low=row["low"], high=row["high"])
    for row in db.query(f"""SELECT day, sum(kind = 'photo') AS pictures, sum(kind IN {TOLD_KINDS}) AS clips
            FROM sources WHERE day IS NOT NULL AND kind IN {SEEN_KINDS} GROUP BY 1"""):
        days[row["day"]].update(pictures=row["pictures"], clips=row["clips"])
    return [{"day": day, **days[day]} for day in sorted(days)]


def months(days: Iterable[Row]) -> list[Row]:
    """The bars summed up by month: `month`, `days`, and the sums."""
    found: dict[str, Row] = {}
    for row in days:
        month = found.setdefault(row["day"][:7], {"month": row["day"][:7], "days": 0, **NOTHING})
        month["days"] += 1
        for name in NOTHING:
            month[name] += row[name]
    return list(found.values())


def pictures_of_months(db: Database, year: str = "") -> dict[str, list[Row]]:
    """For each month up to MOST_PICTURES pictures to show for it: one of each day, spread, else more of a day."""
    found: dict[str, list[Row]] = defaultdict(list)
    for row in db.query(f"""SELECT s.id, s.day, s.caption, 1 AS nth, min(s.captured_utc) {SHOWN_PICTURES}
            AND s.day >= ? AND s.day < ? GROUP BY s.day ORDER BY s.day""", [year or "0", f"{year}~"]):
        found[row["day"][:7]].append(row)
    for month, rows in found.items():
        if len(rows) < MOST_PICTURES:
            found[month] = list(db.query(f"""SELECT s.id, s.day, s.caption,
                row_number() OVER (PARTITION BY s.day ORDER BY s.captured_utc, s.path) AS nth {SHOWN_PICTURES}
                AND s.day BETWEEN ? AND ?""", [f"{month}-01", f"{month}-31"]))
    return {month: chosen(rows, MOST_PICTURES) for month, rows in found.items()}


def chosen(rows: list[Row], count: int) -> list[Row]:
    """At most so many rows, in their order: the first of every day before the second of any (`nth`)."""
    picked: list[Row] = []
    for nth in range(1, count + 1):
        picked += spread([row for row in rows if row["nth"] == nth], count - len(picked))
    return sorted(picked, key=lambda row: (row["day"], row["nth"]))


def spread(rows: list[Row], count: int) -> list[Row]:
    """At most so many of the rows, evenly."""
    if len(rows) <= count:
        return rows
    if count < 2:
        return rows[:count]
    return [rows[round(at * (len(rows) - 1) / (count - 1))] for at in range(count)]


def month(db: Database, name: str) -> list[Row]:
    """The days of a month, in order: each with `acts`, `more_acts`, `pictures`, `more_pictures`, `hours`, `money`,
    `clips`."""
    first, last = f"{name}-01", f"{name}-31"
    days: dict[str, Row] = defaultdict(
        lambda: {"acts": [], "pictures": [], "more_pictures": 0, "hours": [], "money": [], "clips": []})
    for act in acts(db, f"{ON_ONE_DAY} AND a.first_day BETWEEN ? AND ?", [first, last]):
        days[act["first_day"]]["acts"].append(act)
    for picture in _pictures(db, first, last):
        days[picture["day"]]["pictures"].append(picture)
    for line in _hours(db, first, last):
        days[line["first_day"]]["hours"].append(line)
    for line in _money(db, first, last):
        days[line["told"]]["money"].append(line)
    for clip in _clips(db, first, last):
        days[clip["day"]]["clips"].append(clip)
    for row in days.values():
        row["more_acts"] = max(len(row["acts"]) - MOST_ACTS, 0)
        row["acts"] = row["acts"][:MOST_ACTS]
        row["more_pictures"] = max(len(row["pictures"]) - MOST_PICTURES, 0)
        row["pictures"] = row["pictures"][:MOST_PICTURES]
    return [{"day": day, **days[day]} for day in sorted(days)]


def day(db: Database, name: str) -> Row | None:
    """All of one day: `done`, `told` (work of other days), `not_done`, `hours`, `money`, `receipts`, `open`, `clips`
    with their words, `pictures`. None where the journal has nothing of it."""
    found: Row = {
        "done": acts(db, f"{ON_ONE_DAY} AND a.first_day = ?", [name]),
        "told": acts(db, f"{PERFORMED} AND s.day = ? AND NOT (a.first_day IS ? AND a.last_day IS ?)", [name] * 3),
        "not_done": acts(db, f"NOT {PERFORMED} AND s.day = ?", [name]),
        "hours": _hours(db, name, name), "money": _money(db, name, name), "pictures": _pictures(db, name, name),
        "receipts": query(db, """SELECT r.*, s.path, s.id FROM receipts AS r JOIN sources AS s ON s.id = r.source_id
            WHERE s.day = ? OR r.date = ? ORDER BY s.path""", [name, name]),
        "open": query(db, """SELECT r.* FROM open_items AS r WHERE r.day = ? AND r.same_as IS NULL
            ORDER BY r.start""", [name]),
        "clips": _clips(db, name, name)}
    if not any(found.values()):
        return None
    words = defaultdict(list)
    for cue in query(db, f"""SELECT c.* FROM cues AS c JOIN sources AS s ON s.id = c.source_id
            WHERE s.day = ? AND s.kind IN {TOLD_KINDS} ORDER BY s.captured_utc, s.path, c.number LIMIT ?""",
                     [name, MOST_CUES + 1]):
        words[cue["source_id"]].append(cue)
    cut = sum(map(len, words.values())) > MOST_CUES
    for clip in found["clips"]:
        clip["cues"] = words[clip["id"]]
        clip["has_more"] = cut and (not clip["cues"] or clip is _last_told(found["clips"], words))
    return {"day": name, **found, **neighbours(db, name)}


def _last_told(clips: list[Row], words: dict[str, list[Row]]) -> Row:
    """The last clip whose words are shown."""
    return [clip for clip in clips if words[clip["id"]]][-1]


def neighbours(db: Database, name: str) -> Row:
    """`before` and `after`: the nearest days with anything."""
    both = f"""SELECT day FROM sources AS s WHERE day IS NOT NULL AND kind IN {SEEN_KINDS}
        UNION SELECT first_day FROM acts AS a WHERE {ON_ONE_DAY}"""
    return next(iter(db.query(f"""SELECT (SELECT max(day) FROM ({both}) WHERE day < :day) AS before,
        (SELECT min(day) FROM ({both}) WHERE day > :day) AS after""", {"day": name})))


def inexact(db: Database) -> list[Row]:
    """Work that was performed on no one day that is known, by the last day that it may have been."""
    return acts(db, f"{PERFORMED} AND a.first_day IS NOT a.last_day", [], "a.last_day, s.captured_utc, a.start")


def acts(db: Database, where: str, values: Iterable[Any] = (), order: str = "s.captured_utc, a.start, a.cue, a.id",
         ) -> list[Row]:
    """Acts with the clip that tells them."""
    return query(db, f"""SELECT a.*, {CLIP} FROM acts AS a JOIN sources AS s ON s.id = a.source_id
        WHERE {where} ORDER BY {order}""", values)


def _hours(db: Database, first: str, last: str) -> list[Row]:
    return query(db, """SELECT r.*, s.path AS source, s.kind AS source_kind, s.day AS told FROM hours AS r
        JOIN sources AS s ON s.id = r.source_id WHERE r.counted = 1 AND r.first_day = r.last_day
        AND r.first_day BETWEEN ? AND ? ORDER BY r.first_day, r.who, r.start""", [first, last])


def _money(db: Database, first: str, last: str) -> list[Row]:
    """What was said of money on these days, by the day of the talk."""
    return query(db, """SELECT r.*, s.path AS source, s.kind AS source_kind, s.day AS told FROM purchases AS r
        JOIN sources AS s ON s.id = r.source_id WHERE s.day BETWEEN ? AND ? AND r.same_as IS NULL
        ORDER BY s.captured_utc, r.start""", [first, last])


def _pictures(db: Database, first: str, last: str) -> list[Row]:
    """Pictures with the best of their tags; of a burst the best one."""
    return query(db, """SELECT s.id, s.path, s.day, s.captured, s.captured_basis, s.caption, s.width, s.height,
            t.part, t.assembly, t.side, t.task, t.basis, t.confidence
        FROM sources AS s JOIN photos AS p ON p.source_id = s.id
        LEFT JOIN photo_tags AS t ON t.source_id = s.id AND t.rank = 0
        WHERE s.kind = 'photo' AND s.day BETWEEN ? AND ? AND s.state = 'present'
        AND coalesce(p.is_receipt, 0) = 0 AND coalesce(p.leader_id, s.id) = s.id
        ORDER BY s.captured_utc, s.path""", [first, last])


def _clips(db: Database, first: str, last: str) -> list[Row]:
    return query(db, f"""SELECT s.* FROM sources AS s WHERE s.kind IN {TOLD_KINDS} AND s.day BETWEEN ? AND ?
        ORDER BY s.captured_utc, s.path""", [first, last])


def clip(db: Database, identity: str, at: float = 0.0) -> Row | None:
    """One recording or note with everything that was read from it and its words; of a long one those around `at`."""
    source = next(iter(query(db, "SELECT * FROM sources WHERE id = ?", [identity])), None)
    if source is None:
        return None
    records = {kind: query(db, f"""SELECT r.*, s.path AS source, s.kind AS source_kind, s.day AS told
        FROM {kind} AS r JOIN sources AS s ON s.id = r.source_id WHERE s.id = ? ORDER BY r.start, r.cue, r.id""",
                           [identity]) for kind in ("hours", "purchases", "open_items")}
    return {"source": source, "acts": acts(db, "a.source_id = ?", [identity]), **records, **_words(db, identity, at)}


def _words(db: Database, identity: str, at: float) -> Row:
    """`cues` around a second, and the seconds at which the words `earlier` and `later` than those begin."""
    starts = [row["start"] for row in db.query("SELECT start FROM cues WHERE source_id = ? ORDER BY number",
                                               [identity])]
    now = max((number for number, start in enumerate(starts) if start <= at + 0.005), default=0)
    first = now // MOST_CUES * MOST_CUES
    cues = query(db, "SELECT * FROM cues WHERE source_id = ? ORDER BY number LIMIT ? OFFSET ?",
                 [identity, MOST_CUES, first])
    return {"cues": cues, "earlier": starts[first - MOST_CUES] if first else None,
            "later": starts[first + MOST_CUES] if first + MOST_CUES < len(starts) else None}


def picture(db: Database, identity: str) -> Row | None:
    """One picture: its source, tags, receipt, the others of its burst."""
    source = next(iter(query(db, """SELECT s.*, p.text_seen, p.is_receipt, p.leader_id FROM sources AS s
        LEFT JOIN photos AS p ON p.source_id = s.id WHERE s.id = ? AND s.kind IN ('photo', 'document')""",
                             [identity])), None)
    if source is None:
        return None
    return {"source": source,
            "tags": query(db, """SELECT t.*, a.source_id AS told_in, a.start FROM photo_tags AS t
                LEFT JOIN acts AS a ON a.id = t.act_id WHERE t.source_id = ? ORDER BY t.rank""", [identity]),
            "receipt": next(iter(query(db, "SELECT * FROM receipts WHERE source_id = ?", [identity])), None),
            "burst": query(db, """SELECT s.id, s.path FROM photos AS p JOIN sources AS s ON s.id = p.source_id
                WHERE p.leader_id = ? AND s.id <> ? ORDER BY s.captured_utc LIMIT 60""",
                           [source["leader_id"] or identity, identity])}
