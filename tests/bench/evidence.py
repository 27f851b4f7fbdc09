"""A log of a thousand pages: how long, how much memory, how many records in each volume.

    python tests/bench/evidence.py [RECORDS] [PLACE]

Makes a journal with so many acts (9000 by default) straight in the database, every third with a picture, and sets its
log. Prints pages, seconds, and the largest memory of this process and of the ones that set the volumes.
"""
from __future__ import annotations

import resource
import sqlite3
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import made_journals
from PIL import Image, ImageDraw
from pypdf import PdfReader

from witnessmark.evidence import log, payload
from witnessmark.evidence.choice import Choice
from witnessmark.journal import Journal
from witnessmark.store import open_to_read

A_SESSION = 10  # acts
TASKS = ("cut", "drill", "deburr", "dimple", "prime", "rivet", "bolt", "install", "bond", "sand")
ASSEMBLIES = ("wing", "aileron", "flap", "rudder", "elevator", "fuselage", "fuel-system", "engine", "cowling")
WORDS = "So this evening I worked on the {part} again, number {number}, and it went together without any trouble."


def make(place: Path, records: int) -> Journal:
    """A journal with so many acts."""
    told = []
    for number in range(0, records, A_SESSION):
        day = f"20{10 + number // 1500:02}-{1 + number // 120 % 12:02}-{1 + number // 10 % 28:02}"
        lines = [(n * 8.0, n * 8.0 + 8, WORDS.format(part=f"rib {n}", number=number + n)) for n in range(A_SESSION)]
        acts = [{"cue": n, "task": TASKS[n], "part": f"rib {n}", "assembly": ASSEMBLIES[(number + n) % 9], "date": day,
                 "who": "paid" if (number + n) % 50 == 7 else "builder"} for n in range(A_SESSION)]
        told.append(made_journals.Told(f"{day}T20:00:00-06:00", lines, {"acts": acts},
                                       name=f"clips/{number:06}.vtt"))
    journal = made_journals.database(place, told)
    thumbnails = journal.program / "thumbnails"
    thumbnails.mkdir(exist_ok=True)
    with sqlite3.connect(journal.database) as db:
        for number, (identity,) in enumerate(db.execute("SELECT id FROM acts ORDER BY id").fetchall()):
            if number % 3 == 0:
                _picture(thumbnails / f"{number}.jpg", number)
                db.execute("UPDATE acts SET picture = ? WHERE id = ?", [f"{number}.jpg", identity])
    return journal


def _picture(path: Path, number: int) -> None:
    image = Image.effect_noise((640, 480), 40).convert("RGB")
    ImageDraw.Draw(image).text((20, 20), str(number), fill="white")
    image.save(path, "JPEG", quality=80)


class Told:
    """Progress as lines."""

    def stage(self, name: str, total: int) -> None:
        print(f"{name}: {total}", flush=True)

    def step(self, what: str) -> None:
        print(f"  {time.monotonic() - START:6.1f} s  {what}", flush=True)

    def share(self, done: float) -> None: ...


def main() -> None:
    records = int(sys.argv[1]) if len(sys.argv) > 1 else 9000
    with tempfile.TemporaryDirectory() as temporary:
        place = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(temporary)
        journal = make(place / "journal", records)
        print(f"made {time.monotonic() - START:.0f} s", flush=True)
        db = open_to_read(journal.database)
        found, _, sheet, gaps = payload.prepare(journal, db, Choice())
        written = log.write(found, sheet, gaps, journal.program / "thumbnails", place, Told())
        pages = [len(PdfReader(file).pages) for file in written.files]
        size = sum(file.stat().st_size for file in written.files)
        print(f"{written.records} records, {sum(pages)} pages ({pages}), {size / 1e6:.0f} MB, "
              f"{time.monotonic() - START:.0f} s; largest memory {_memory(resource.RUSAGE_SELF):.0f} MB here, "
              f"{_memory(resource.RUSAGE_CHILDREN):.0f} MB in a volume")


def _memory(of: int) -> float:
    return resource.getrusage(of).ru_maxrss / 1024


START = time.monotonic()

if __name__ == "__main__":
    main()
