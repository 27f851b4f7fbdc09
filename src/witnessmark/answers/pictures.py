"""The pictures that belong to an answer: those taken with an act, those of a day's work, the receipt of a purchase.

In: lines of an answer. Out: the same lines, those that have any with `pictures` (paths in the journal, the surest
first), `still` (a frame of the film at that moment) or `receipt`. Of a burst only the best picture is named.
"""
from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from sqlite_utils import Database

from witnessmark.journal.folder import PROGRAM_FOLDER
from witnessmark.store.loading import query

Row = dict[str, Any]
MOST = 6
STILLS = f"{PROGRAM_FOLDER}/thumbnails"
# A picture that only shares the day with an act is no picture of it.
LEAST_SURE = 0.5
WITH_ACTS = """SELECT t.act_id AS record, s.path FROM photo_tags AS t JOIN sources AS s ON s.id = t.source_id
    JOIN photos AS p ON p.source_id = s.id
    WHERE {acts} AND s.state = 'present' AND coalesce(p.leader_id, s.id) = s.id
    GROUP BY t.act_id, s.path ORDER BY max(t.confidence) DESC, s.path"""
OF_DAYS = """SELECT s.day, s.path, t.assembly, t.confidence FROM sources AS s JOIN photos AS p ON p.source_id = s.id
    LEFT JOIN photo_tags AS t ON t.source_id = s.id AND t.rank = 0
    WHERE s.day IN ({days}) AND s.kind = 'photo' AND s.state = 'present' AND p.is_receipt IS NOT 1
    AND coalesce(p.leader_id, s.id) = s.id ORDER BY s.captured_utc, s.path"""
AT_ONCE = 500  # SQLite takes a limited number of values in one query


def with_acts(db: Database, lines: Sequence[Row]) -> list[Row]:
    """Lines about acts (`source`, `start`, `task`, `part`), with the pictures that were taken with them."""
    acts = _acts(db, {line["source"] for line in lines})
    found: dict[int, Row] = {}
    for number, line in enumerate(lines):
        act = next((row for row in acts.get((line["source"], line["start"]), ())
                    if (row["task"], row["part"]) == (line.get("task"), line.get("part"))), None)
        if act is not None:
            found[number] = act
    taken = of_acts(db, [act["id"] for act in found.values()])
    return [{**line, **_shown(found[number], taken)} if number in found else line for number, line in enumerate(lines)]


def with_hits(db: Database, hits: Sequence[Row]) -> list[Row]:
    """Hits of a search, those in talk with the pictures that were taken with the acts told there."""
    acts = _acts(db, {hit["source"] for hit in hits if hit["start"] is not None})
    told = {number: acts.get((hit["source"], hit["start"]), []) for number, hit in enumerate(hits)}
    taken = of_acts(db, [act["id"] for rows in told.values() for act in rows])
    result = []
    for number, hit in enumerate(hits):
        shown = [_shown(act, taken) for act in told[number]]
        paths = dict.fromkeys(path for row in shown for path in row.get("pictures", ()))
        still = next((row["still"] for row in shown if "still" in row), None)
        result.append({**hit, **({"pictures": list(paths)[:MOST]} if paths else {}), **({"still": still} if still
                                                                                        else {})})
    return result


def _acts(db: Database, sources: Iterable[str]) -> dict[tuple[str, float], list[Row]]:
    """The acts told in these sources, by path and second."""
    acts: dict[tuple[str, float], list[Row]] = defaultdict(list)
    for part in _parts(sources):
        for row in db.query(f"""SELECT a.id, s.path, a.start, a.task, a.part, a.picture FROM acts AS a
                JOIN sources AS s ON s.id = a.source_id WHERE s.path IN ({_marks(part)})""", part):
            acts[row["path"], row["start"]].append(row)
    return acts


def _shown(act: Row, taken: Mapping[str, list[str]]) -> Row:
    shown: Row = {"pictures": taken[act["id"]]} if act["id"] in taken else {}
    return {**shown, **({"still": f"{STILLS}/{act['picture']}"} if act["picture"] else {})}


def of_acts(db: Database, acts: Iterable[str]) -> dict[str, list[str]]:
    """Id of an act → paths of the pictures that were taken with it, the surest first, so many as are shown."""
    taken: dict[str, list[str]] = defaultdict(list)
    for part in _parts(acts):
        for row in db.query(WITH_ACTS.format(acts=f"t.act_id IN ({_marks(part)})"), part):
            if len(taken[row["record"]]) < MOST:
                taken[row["record"]].append(row["path"])
    return taken


def of_every_act(db: Database) -> dict[str, list[str]]:
    """The same for all acts of the journal, with every picture."""
    taken: dict[str, list[str]] = defaultdict(list)
    for row in db.query(WITH_ACTS.format(acts="t.act_id IS NOT NULL")):
        taken[row["record"]].append(row["path"])
    return taken


def with_days(db: Database, lines: Sequence[Row]) -> list[Row]:
    """Lines about one day's work (`first_day`, `last_day`, `assembly`), with that day's pictures of that assembly."""
    days = {line["first_day"] for line in lines if line["first_day"] and line["first_day"] == line["last_day"]}
    photos: dict[str, list[Row]] = defaultdict(list)
    for part in _parts(days):
        for row in db.query(OF_DAYS.format(days=_marks(part)), part):
            photos[row["day"]].append(row)
    result = []
    for line in lines:
        exact = line["first_day"] == line["last_day"]
        shown = [photo["path"] for photo in photos.get(line["first_day"], ()) if exact and _of(photo, line["assembly"])]
        result.append({**line, "pictures": shown[:MOST]} if shown else line)
    return result


def _of(photo: Row, assembly: str | None) -> bool:
    return assembly is None or (photo["assembly"] == assembly and photo["confidence"] >= LEAST_SURE)


def with_receipts(db: Database, lines: Sequence[Row]) -> list[Row]:
    """Lines of money (`id`), with the path of the receipt that proves each, and what differs from the words."""
    proofs = {row["id"]: {"receipt": row["path"], "receipt_problems": row["receipt_problems"]}
              for row in query(db, """SELECT p.id, s.path, p.receipt_problems FROM purchases AS p
              JOIN sources AS s ON s.id = p.receipt_id""")}
    return [{**line, **proofs.get(line["id"], {})} for line in lines]


def _parts(values: Iterable[Any]) -> Iterable[list[Any]]:
    ordered = sorted(values)
    return (ordered[start:start + AT_ONCE] for start in range(0, len(ordered), AT_ONCE))


def _marks(values: Sequence[Any]) -> str:
    return ", ".join("?" * len(values))
