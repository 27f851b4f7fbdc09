"""Everything that the journal has on a part or an assembly, in order. Read-only.

Two names are one part where they are the same words without those of their assembly: "rudder rib" and the "rib" of the
rudder. A part that was made again keeps one history; where an act may have begun a new piece, it says so.
"""
from __future__ import annotations

import functools
import re
from collections import defaultdict
from typing import Any

from sqlite_utils import Database

from witnessmark.answers.open_jobs import MADE_AGAIN
from witnessmark.answers.page_days import acts as acts_where
from witnessmark.store.loading import query
from witnessmark.trade.inflect import normal
from witnessmark.trade.vocabulary import built_in

Row = dict[str, Any]
PERFORMED = ("done", "doing")
LEFT_OUT = frozenset({"the", "a", "an", "of", "new", "old", "left", "right"})
MOST_PICTURES = 60
MOST_LINES = 400  # of one page; the rest is a search or a table away


def key(name: str | None, assembly: str | None) -> str:
    """What a part is called within its assembly: singular, without article, side and the assembly's own words."""
    said = [normal(word) for word in (name or "").replace("-", " ").split()]
    plain = [word for word in said if word not in LEFT_OUT] or said
    kept = [word for word in plain if word not in _words_of(assembly)]
    # The last word says what a thing is; "fuel tank" in the fuel system stays a tank, and the "flap" a flap.
    return " ".join(kept if kept and kept[-1] == plain[-1] else plain)


@functools.lru_cache(maxsize=128)
def _words_of(assembly: str | None) -> frozenset[str]:
    known = built_in().assemblies.get(assembly or "")
    return frozenset(normal(word) for name in known.synonyms for word in name.split()) if known else frozenset()


def index(db: Database) -> list[Row]:
    """Every assembly with its parts: `assembly`, `acts`, `open`, `parts` of `name`, `label`, `acts`, `open`."""
    found: dict[str | None, dict[str, Row]] = defaultdict(dict)
    for table, column, where in (("acts", "acts", "status IN ('done', 'doing')"), ("acts", "talk", "1"),
                                 ("open_items", "open", "closed_by IS NULL AND same_as IS NULL")):
        for row in db.query(f"SELECT assembly, part, count(*) AS count FROM {table} WHERE {where} GROUP BY 1, 2"):
            name = key(row["part"], row["assembly"])
            part = found[row["assembly"]].setdefault(name, {"name": name, "label": label(name, row["part"]), "acts": 0,
                                                            "open": 0, "talk": 0})
            part[column] += row["count"]
    return [{"assembly": assembly, "acts": sum(part["acts"] for part in parts.values()),
             "open": sum(part["open"] for part in parts.values()),
             "parts": sorted((part for name, part in parts.items() if name), key=lambda part: part["name"])}
            for assembly, parts in sorted(found.items(), key=lambda item: (item[0] is None, item[0] or ""))]


def most_told(parts: list[Row], count: int) -> list[Row]:
    """The parts of which the most is done or open, by name."""
    return sorted(sorted(parts, key=lambda part: -part["acts"] - part["open"])[:count], key=lambda part: part["name"])


def label(name: str, told: str | None) -> str:
    """What a part is called on a page: its plain name, a designation ("AN3-5A") as it was told."""
    return told if told and re.search(r"\d", name) else name


def pictures_of_assemblies(db: Database) -> dict[str | None, Row]:
    """For each assembly a picture that shows it the most surely."""
    return {row["assembly"]: row for row in query(db, """SELECT r.assembly, s.id, s.day, s.caption, r.part,
            max(r.confidence) FROM photo_tags AS r JOIN sources AS s ON s.id = r.source_id
        WHERE r.rank = 0 AND r.confidence >= 0.5 AND s.state = 'present' GROUP BY r.assembly""")}


def is_told_of(db: Database, name: str, assembly: str | None) -> bool:
    """True where the journal has a page for this part."""
    return bool(_names(db, key(name, assembly), assembly))


def part(db: Database, name: str, assembly: str | None) -> Row | None:
    """A part's `history` (acts in order), `open` and `closed` items, `pictures`, `purchases`; None for no such part."""
    wanted = key(name, assembly)
    names = _names(db, wanted, assembly)
    if not names:
        return None
    marks = ", ".join("?" * len(names))
    where, values = f"part IN ({marks})", list(names)
    if assembly:
        where, values = where + " AND assembly = ?", [*values, assembly]
    return {"name": wanted, "label": label(wanted, names[0]), "assembly": assembly, **_all(db, where, values, names),
            "elsewhere": _elsewhere(db, wanted, assembly)}


def assembly(db: Database, identity: str) -> Row | None:
    """The same for an assembly, its parts included; None for what is no assembly."""
    if identity not in built_in().assemblies:
        return None
    found = _all(db, "assembly = ?", [identity], ())
    parts: list[Row] = next((row["parts"] for row in index(db) if row["assembly"] == identity), [])
    return {"name": None, "label": None, "assembly": identity, **found, "parts": parts}


def _names(db: Database, wanted: str, assembly: str | None) -> tuple[str, ...]:
    """The names as told that mean this part."""
    where, values = ("WHERE assembly = ?", [assembly]) if assembly else ("", [])
    rows = db.query(f"""SELECT part, assembly FROM acts {where} UNION SELECT part, assembly FROM open_items {where}
        UNION SELECT part, assembly FROM photo_tags {where}""", values * 3)
    return tuple(sorted({row["part"] for row in rows if row["part"]
                         and wanted in (key(row["part"], row["assembly"]), key(row["part"], None))}))


def _all(db: Database, where: str, values: list[Any], names: tuple[str, ...]) -> Row:
    places = where.replace("part IN", "r.part IN").replace("assembly =", "r.assembly =")
    history = acts_where(db, where.replace("part IN", "a.part IN").replace("assembly =", "a.assembly ="), values,
                         "coalesce(a.last_day, s.day), s.captured_utc, a.start, a.cue")
    items = query(db, f"""SELECT r.*, s.path AS source, s.kind AS source_kind
        FROM open_items AS r JOIN sources AS s ON s.id = r.source_id
        WHERE {places} AND r.same_as IS NULL ORDER BY r.day, r.start""", values)
    _mark_made_again(history, {item["closed_by"] for item in items if item["kind"] == "to-fix"})
    return {"history": history[-MOST_LINES:], "left_out": max(len(history) - MOST_LINES, 0),
            "summary": _summary(history), "open": [item for item in items if not item["closed_by"]],
            "closed": [item for item in items if item["closed_by"]],
            "pictures": _pictures(db, places, values), "purchases": _purchases(db, where, values, names)}


def _mark_made_again(history: list[Row], remedies: set[str | None]) -> None:
    """`again` on acts that begin, or may begin, a new piece: the remedy of a defect, or a making told once more."""
    made: dict[tuple[str, str | None], str | None] = {}
    for act in history:
        act["again"] = ""
        if act["status"] not in PERFORMED or act["task"] not in MADE_AGAIN:
            continue
        before = made.setdefault((act["task"], act["side"]), act["last_day"])
        if act["id"] in remedies:
            act["again"] = "made after a defect: a new piece from here on"
        elif before != act["last_day"]:
            act["again"] = "made before, too: perhaps a new piece from here on"


def _summary(history: list[Row]) -> list[Row]:
    """For each task that was performed its last time and how often: `task`, `date`, `count`, `who` of the last."""
    found: dict[str, Row] = {}
    for act in history:
        if act["status"] in PERFORMED:
            earlier = found.get(act["task"])
            found[act["task"]] = {**act, "times": (earlier["times"] if earlier else 0) + 1}
    return list(found.values())


def _pictures(db: Database, where: str, values: list[Any]) -> list[Row]:
    return query(db, f"""SELECT DISTINCT s.id, s.day, s.caption, s.captured_utc, r.part, r.assembly, r.side
        FROM photo_tags AS r JOIN sources AS s ON s.id = r.source_id
        WHERE {where} AND r.confidence >= 0.5 AND s.state = 'present'
        GROUP BY s.id ORDER BY s.captured_utc LIMIT {MOST_PICTURES}""", values)


def _purchases(db: Database, where: str, values: list[Any], names: tuple[str, ...]) -> list[Row]:
    """What was bought by this part's name; of an assembly, what was said to be for it."""
    if names:
        where, values = where.replace("part IN", "r.item IN").replace(" AND assembly = ?", ""), list(names)
    return query(db, f"""SELECT r.*, s.path AS source, s.kind AS source_kind, s.day AS told
        FROM purchases AS r
        JOIN sources AS s ON s.id = r.source_id WHERE {where.replace("assembly =", "r.assembly =")}
        AND r.same_as IS NULL ORDER BY s.captured_utc LIMIT {MOST_LINES}""", values)


def _elsewhere(db: Database, wanted: str, assembly: str | None) -> list[Row]:
    """Parts of the same name in other assemblies."""
    return [{"assembly": group["assembly"], "name": wanted} for group in index(db)
            if group["assembly"] != assembly and any(part["name"] == wanted for part in group["parts"])]
