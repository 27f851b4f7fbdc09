"""What is still open: items of all sessions with what closed them, and remade parts as one history.

In: open items, acts and purchases of a journal in the order of their days. Out: the same items with whatever closed
each of them. An item is closed by later work on the same part and task (and side), by a received or bought thing,
by a part made anew; an item said again later is one job, first told at its first telling.
"""

from __future__ import annotations

import functools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from witnessmark.model import Act, OpenItem, Purchase
from witnessmark.trade.inflect import normal

PUT_RIGHT = frozenset(
    {
        "fabricate",
        "weld",
        "bond",
        "fill",
        "sand",
        "seal",
        "layup",
        "cover",
        "paint",
        "drill",
        "rivet",
        "install",
        "crimp",
        "flare",
        "route",
        "wire",
        "bend",
        "remove",
    }
)
MADE_AGAIN = frozenset({"fabricate", "cut", "bend", "layup"})


@dataclass(frozen=True, slots=True)
class At:
    """A record of a journal in its place: `order` is the number of its session, the oldest first."""

    order: int
    source: str
    record: Act | Purchase | OpenItem


@dataclass(frozen=True, slots=True)
class Job:
    """An open item with the record that closed it (None: still open) and the tellings of the same job after it."""

    item: At
    closed_by: At | None = None
    again: tuple[At, ...] = ()


def closed_by(items: Sequence[At], records: Sequence[At]) -> tuple[Job, ...]:
    """Every job once, oldest first, with what closed it. `records` are the acts and purchases of the journal."""
    jobs: list[Job] = []
    alike: dict[str | None, list[int]] = defaultdict(list)
    later = by_thing(records)
    for place in items:
        item = place.record
        assert isinstance(item, OpenItem)
        mine = alike[_thing(item)]
        earlier = next(
            (number for number in mine if jobs[number].closed_by is None and _same_job(jobs[number].item.record, item)),
            None,
        )
        if earlier is not None and not _closing(jobs[earlier].item, later, before=place.order):
            jobs[earlier] = Job(jobs[earlier].item, None, (*jobs[earlier].again, place))
            continue
        mine.append(len(jobs))
        jobs.append(Job(place))
    return tuple(Job(job.item, _closing(_last_telling(job), later), job.again) for job in jobs)


def by_thing(records: Sequence[At]) -> dict[str | None, list[At]]:
    """The records by the last word of their things, without which two names are never one thing; in their order."""
    found: dict[str | None, list[At]] = defaultdict(list)
    for place in records:
        found[_thing(place.record)].append(place)
    return found


def _thing(record: Act | Purchase | OpenItem) -> str | None:
    return last_word(record.item if isinstance(record, Purchase) else record.part)


def last_word(name: str | None) -> str | None:
    """The word of a name that says what the thing is, singular; None for no name."""
    words = _words(name or "")
    return words[-1] if words else None


def _last_telling(job: Job) -> At:
    return job.again[-1] if job.again else job.item


def _same_job(one: Act | Purchase | OpenItem, other: OpenItem) -> bool:
    return (
        isinstance(one, OpenItem)
        and one.kind == other.kind
        and one.task == other.task
        and same_thing(one.part, other.part)
        and _sides_meet(one.side, other.side)
        and _same_place(one.assembly, other.assembly)
    )


def _closing(place: At, records: Mapping[str | None, Sequence[At]], before: int | None = None) -> At | None:
    """The first record after an item (and before a session) that closes it."""
    item = place.record
    assert isinstance(item, OpenItem)
    for later in records.get(_thing(item), ()):
        after = later.order > place.order or (later.order == place.order and later.record.cue > item.cue)
        if after and (before is None or later.order < before) and _closes(later.record, item):
            return later
    return None


def _closes(record: Act | Purchase | OpenItem, item: OpenItem) -> bool:
    if isinstance(record, Purchase):
        return _purchase_closes(record, item)
    if not isinstance(record, Act) or not record.performed or not same_thing(record.part, item.part):
        return False
    if not _sides_meet(record.side, item.side) or not _same_place(record.assembly, item.assembly):
        return False
    if item.kind == "to-do":
        return record.task == item.task
    if item.kind == "to-fix":
        return (
            record.task == item.task or (item.task is None and record.task in PUT_RIGHT) or record.task == "fabricate"
        )
    return item.kind == "waiting" and item.task is not None and record.task == item.task


def _purchase_closes(purchase: Purchase, item: OpenItem) -> bool:
    arrived = purchase.status == "received" or (item.kind == "to-buy" and purchase.status in ("bought", "ordered"))
    return item.kind in ("to-buy", "waiting") and arrived and same_thing(purchase.item, item.part)


def histories(acts: Sequence[At]) -> tuple[tuple[At, ...], ...]:
    """Parts made more than once, each with all its makings in order: a remade part is one history with its first."""
    made: list[list[At]] = []
    for place in acts:
        act = place.record
        if not isinstance(act, Act) or not act.performed or act.task not in MADE_AGAIN or not act.part:
            continue
        for group in made:
            first = group[0].record
            assert isinstance(first, Act)
            if (
                first.task == act.task
                and first.part
                and same_thing(first.part, act.part)
                and first.side == act.side
                and first.assembly == act.assembly
            ):
                group.append(place)
                break
        else:
            made.append([place])
    return tuple(tuple(group) for group in made if len(group) > 1)


def same_thing(one: str | None, other: str | None) -> bool:
    """True where two names may be one thing: the same last word, and one has all words of the other."""
    if one is None or other is None:
        return False
    mine, theirs = _words(one), _words(other)
    return bool(mine and theirs) and mine[-1] == theirs[-1] and (set(mine) <= set(theirs) or set(theirs) <= set(mine))


@functools.lru_cache(maxsize=20_000)
def _words(name: str) -> tuple[str, ...]:
    return tuple(normal(word) for word in name.replace("-", " ").split())


def _sides_meet(one: str | None, other: str | None) -> bool:
    return one == other or None in (one, other) or "both" in (one, other)


def _same_place(one: str | None, other: str | None) -> bool:
    return one is None or other is None or one == other
