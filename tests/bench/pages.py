"""A ten-year journal, and how its pages compare with Datasette's own page for a table of that size.

    python tests/bench/pages.py [--years 10]

prints for each page its size and the ratio of its median time to that of a bare Datasette's page of the table that the
page is made of, measured by turns in one run in this process; ends with 1 where a ratio is beyond 2 or a page beyond
500 kB.
Ratios only: no time limit depends on the computer.
"""
from __future__ import annotations

import argparse
import asyncio
import datetime as dt
import hashlib
import random
import statistics
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

import httpx
import made_journals
from datasette.app import Datasette
from made_journals import Told
from sqlite_utils import Database

from witnessmark import serving
from witnessmark.journal import Journal, corrections
from witnessmark.journal.corrections import Correction
from witnessmark.model import Capture, Moment
from witnessmark.pipeline import correct
from witnessmark.store import open_to_write
from witnessmark.store.corrected import identity_of
from witnessmark.trade.vocabulary import built_in

RECORDINGS, PICTURES, YEARS = 2000, 20_000, 10
CUES, WORDS, ACTS = 100, 15, 10
LONG_CUES, CORRECTIONS = 3000, 1000
MOST_RATIO, MOST_BYTES, ROUNDS = 2.0, 500_000, 9
SAID = """so the then this here we clamp and look it over again with some light on it before going on to
another one while the kettle boils outside rain falls on a tin roof nothing much happens for quite
some time today"""
TALK = SAID.split()
NAMES = ("rib", "spar", "skin", "stringer", "bracket", "doubler", "hinge", "bulkhead", "longeron", "fairing")
PLACES = ("front", "rear", "tip", "root", "upper", "lower", "inner", "outer")


def sessions(years: int, chance: random.Random) -> Iterator[Told]:
    """Recordings spread over the years, each with its words and records."""
    first = dt.datetime(2014, 1, 4, 18, tzinfo=dt.timezone(dt.timedelta(hours=-7)))
    count = RECORDINGS * years // YEARS
    for number in range(count):
        at = first + dt.timedelta(days=number * years * 365 // count, minutes=number % 300)
        lines = LONG_CUES if number == 0 else CUES
        cues = [(cue * 6.0, cue * 6.0 + 5.5, " ".join(chance.choices(TALK, k=WORDS))) for cue in range(lines)]
        yield Told(at.isoformat(), cues, records(at.date(), chance), name=f"{at.year}/{at:%Y%m%d_%H%M%S}_{number}.vtt")


def records(day: dt.date, chance: random.Random) -> dict[str, list[dict[str, Any]]]:
    """What one session tells: work, hours, a purchase, and now and then an open job."""
    tasks, assemblies = list(built_in().tasks), list(built_in().assemblies)
    acts = []
    for at in range(ACTS):
        done = chance.random() < 0.8
        date = day.isoformat() if chance.random() < 0.95 else f"{day:%Y-%m}"
        acts.append({"cue": at * 9, "task": chance.choice(tasks), "assembly": chance.choice(assemblies),
                     "part": f"{chance.choice(PLACES)} {chance.choice(NAMES)}", "confidence": chance.uniform(0.6, 1.0),
                     "status": "done" if done else "planned", "date": date if done else None,
                     "who": chance.choice(["builder"] * 8 + ["helper", "paid"])})
    length = chance.randint(1, 6)
    return {"acts": acts,
            "hours": [{"cue": 1, "low": length, "high": length, "scope": "session", "who": "builder",
                       "date": day.isoformat(), "counted": True, "assembly": chance.choice(assemblies)}],
            "purchases": [{"cue": 2, "item": f"{chance.choice(PLACES)} {chance.choice(NAMES)} {chance.random():.6f}",
                           "category": chance.choice(["tool", "consumable", "material"]), "status": "bought",
                           "vendor": f"Supplier {chance.randrange(80)}",
                           "amount_low": length * 7.5, "amount_high": length * 7.5}],
            "open_items": [{"cue": 3, "kind": "to-fix", "part": f"{chance.choice(PLACES)} clamp {chance.random():.6f}",
                            "assembly": chance.choice(assemblies)}] if chance.random() < 0.1 else []}


def pictures(years: int) -> Iterator[Capture]:
    first = dt.datetime(2014, 1, 4, 12, tzinfo=dt.UTC)
    count = PICTURES * years // YEARS
    for number in range(count):
        at = first + dt.timedelta(days=number * years * 365 // count, minutes=number % 400)
        sha256 = hashlib.sha256(str(number).encode()).hexdigest()
        yield Capture(f"photos/{number}.jpg", sha256, 3_000_000, "photo", "image/jpeg", Moment(at, "second", "exif"),
                      width=4000, height=3000)


def made(place: Path, years: int) -> Journal:
    """The journal's database, straight from records."""
    chance = random.Random(8)
    journal = made_journals.database(place, sessions(years, chance), pictures(years))
    db, _ = open_to_write(journal.database)
    photos = [(row["id"], row["sha256"]) for row in db.query("SELECT id, sha256 FROM sources WHERE kind = 'photo'")]
    assemblies = list(built_in().assemblies)
    with db.atomic():
        db.table("photos").insert_all({"source_id": identity, "thumbnail": f"{sha}.jpg", "is_receipt": 0,
                                       "leader_id": identity} for identity, sha in photos)
        db.table("photo_tags").insert_all({
            "source_id": identity, "rank": 0, "assembly": chance.choice(assemblies),
            "part": f"{chance.choice(PLACES)} {chance.choice(NAMES)}", "basis": "day", "confidence": 0.6}
            for identity, _ in photos)
    confirmed = list(db.query("""SELECT a.*, s.sha256, s.path FROM acts AS a JOIN sources AS s ON s.id = a.source_id
        ORDER BY a.id LIMIT ?""", [CORRECTIONS]))
    db.close()
    for row in confirmed:
        corrections.append(journal.corrections, Correction(
            "", "confirm", "acts", row["sha256"], row["path"], row["start"], row["cue"], identity_of("acts", row)))
    correct.apply(journal, corrections.load(journal.corrections))
    return journal


def compared(db: Database) -> list[tuple[str, str]]:
    """Each page with Datasette's page of the table that it is mostly made of."""
    busiest = next(db.query("SELECT day FROM sources GROUP BY day ORDER BY count(*) DESC LIMIT 1"))["day"]
    clip, film = (next(db.query(f"SELECT id FROM sources WHERE kind = 'transcript' ORDER BY words {way} LIMIT 1"))["id"]
                  for way in ("", "DESC"))
    photo = next(db.query("SELECT id FROM sources WHERE kind = 'photo' LIMIT 1"))["id"]
    act = next(db.query("SELECT id FROM acts LIMIT 1"))["id"]
    acts, sources = "/journal/acts", "/journal/sources"
    return [("/", acts), (f"/days/{busiest[:4]}", acts), (f"/days/{busiest[:7]}", acts), (f"/days/{busiest}", acts),
            (f"/clip/{clip}", "/journal/cues"), (f"/clip/{film}?t=9000", "/journal/cues"),
            (f"/picture/{photo}", sources), ("/parts", acts),
            ("/part?name=rear+spar&assembly=wing", acts), ("/assembly/wing", acts),
            ("/ask?q=when+was+the+rear+wing+spar+primed", acts), ("/ask?q=kettle+boils", "/journal/cues"),
            ("/open", "/journal/open_items"), ("/hours", "/journal/hours"), ("/hours?by=task", "/journal/hours"),
            ("/money", "/journal/purchases"), ("/money?by=vendor", "/journal/purchases"), ("/check", acts),
            (f"/why/{act}", acts), ("/corrections", "/journal/corrections"), ("/days/not-exact", acts)]


def client_of(app: Any) -> httpx.AsyncClient:
    return httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://127.0.0.1:8017")


async def measure(journal: Journal, pairs: list[tuple[str, str]]) -> AsyncIterator[tuple[str, float, float, int]]:
    """Page, its median and that of Datasette's page in seconds, its size in bytes; by turns, first visits left out."""
    ours, theirs = serving.application(journal).app(), Datasette([str(journal.database)]).app()
    async with client_of(ours) as own, client_of(theirs) as bare:
        for pair in pairs:
            times: tuple[list[float], list[float]] = ([], [])
            size = 0
            for turn in range(ROUNDS + 1):
                for which, client in enumerate((own, bare)):
                    start = time.perf_counter()
                    answer = await client.get(pair[which], timeout=60)
                    answer.raise_for_status()
                    if turn:
                        times[which].append(time.perf_counter() - start)
                    size = len(answer.content) if which == 0 else size
            yield pair[0], statistics.median(times[0]), statistics.median(times[1]), size


async def report(journal: Journal, pairs: list[tuple[str, str]]) -> int:
    """Print a line for each page; how many are beyond a limit."""
    bad = 0
    async for page, ours, theirs, size in measure(journal, pairs):
        beyond = ours / theirs > MOST_RATIO or size > MOST_BYTES
        bad += beyond
        note = "  beyond the limit" if beyond else ""
        print(f"{ours / theirs:6.2f}  {size / 1000:7.1f} kB  {page}{note}", flush=True)
    return bad


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--years", type=int, default=YEARS)
    options.add_argument("--journal", type=Path, help="keep the journal here, and use it again")
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        folder = chosen.journal or Path(place) / "journal"
        ready = (folder / ".witnessmark" / "journal.db").exists()
        journal = made_journals.open_journal(folder) if ready else made(folder, chosen.years)
        db = serving.open_to_read(journal.database)
        pairs = compared(db)
        db.close()
        bad = asyncio.run(report(journal, pairs))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
