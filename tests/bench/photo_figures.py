"""Figures of the photo rooms: `python tests/bench/photo_figures.py [pictures [receipts]]`.

Speed, as pictures a second against bare ExifRead over the same generated folder, by turns in one run:

- bare: `exifread.process_file(handle)`, its own defaults, the tags thrown away;
- reading: `media.ingest`, which is all that tells when, with what, where and of what a picture was taken (with ExifRead
  for the EXIF part), its hash given as the journal hands it over;
- hash included: the same with the SHA-256 of the file, which the register needs;
- taken in: the whole first stage of `index`: looking at the folder, hashing, reading, register, database.

The folder is a builder's mix: three of five from a phone (GPS, a third with XMP, a maker's note of 120 bytes), three of
ten from a camera (a maker's note of 1500 bytes), one of ten saved by an editor with six tags. Each sort is timed alone,
too. Then the peak of memory over a quarter, a half and all of it; receipts read right at three qualities of print, and
wrong ones that carry no flag. Thumbnails and texts in pictures are other stages and have no part in this.
"""
from __future__ import annotations

import datetime as dt
import random
import statistics
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import exifread
import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))
import receipt_drawings

from witnessmark.journal import Journal, register
from witnessmark.media import ingest
from witnessmark.model import Capture, Moment, Settings
from witnessmark.photos import ocr, receipts
from witnessmark.pipeline.intake import Intake
from witnessmark.pipeline.progress import Silent, Summary
from witnessmark.store import open_to_write

EXIF_IFD, GPS_IFD = 0x8769, 0x8825
TURNS = 3
XMP = ('<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
       '<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:description><rdf:Alt>'
       '<rdf:li xml:lang="x-default">Spar {}</rdf:li></rdf:Alt></dc:description></rdf:Description></rdf:RDF>'
       '</x:xmpmeta>')
PHONE = {0x829A: 0.01, 0x829D: 1.8, 0x8827: 100, 0x9000: b"0232", 0x920A: 5.5, 0xA000: b"0100", 0xA002: 640,
         0xA003: 480, 0xA402: 0, 0xA403: 0, 0xA405: 26, 0xA434: "5.5 mm", 0x9201: 6.6, 0x9202: 1.7, 0x9203: 3.1,
         0x9204: 0.0, 0x9207: 5, 0x9209: 16, 0xA217: 2, 0xA001: 1, 0x8822: 2, 0x9101: b"\1\2\3\0", 0xA406: 0}
PLACE = {1: "N", 2: (44.0, 12.0, 3.5), 3: "W", 4: (103.0, 1.0, 2.5), 7: (16.0, 0.0, 0.0), 29: "2024:05:01"}
SORTS = ("few tags", "phone", "camera")
MIX = ("phone",) * 6 + ("camera",) * 3 + ("few tags",)
NOTES = {"phone": 120, "camera": 1500}


def make_folder(folder: Path, count: int, sort: str) -> None:
    """Pictures of 200 kB with the tags of one sort, or of the mix."""
    chance = random.Random(7)
    noise = np.random.default_rng(7).integers(0, 255, (480, 640, 3), dtype=np.uint8)
    image = Image.fromarray(noise)
    for number in range(count):
        _make(folder / f"IMG_{number:05}.jpg", number, MIX[number % len(MIX)] if sort == "mix" else sort, image, chance)


def _make(path: Path, number: int, sort: str, image: Image.Image, chance: random.Random) -> None:
    tags = Image.Exif()
    tags[0x010F], tags[0x0110], tags[0x0112] = "Invented", "Phone 4", chance.choice((1, 3, 6, 8))
    detail = tags.get_ifd(EXIF_IFD)
    when = dt.datetime(2024, 5, 1) + dt.timedelta(seconds=chance.randrange(20_000_000))
    detail |= {0x9003: f"{when:%Y:%m:%d %H:%M:%S}", 0x9011: "-06:00"}
    packet = b""
    if sort != "few tags":
        tags[0x0131], tags[0x0132] = "1.2.3", "2024:05:01 10:00:00"
        detail |= {0x9004: f"{when:%Y:%m:%d %H:%M:%S}", 0x9291: "123", **PHONE}
        tags.get_ifd(GPS_IFD).update(PLACE)
        packet = XMP.format(number).encode() if number % 3 == 0 else b""
        detail[0x927C] = bytes(chance.randrange(256) for _ in range(NOTES[sort]))
    image.save(path, quality=80, exif=tags, xmp=packet)


def _bare(paths: list[Path]) -> None:
    for path in paths:
        with path.open("rb") as handle:
            exifread.process_file(handle)


def _ours(paths: list[Path], hashed: bool) -> None:
    for path in paths:
        ingest(path.parent, path.name, Settings(timezone="America/Denver"), "0" * 64 if hashed else None)


def _taken_in(folder: Path, place: Path) -> None:
    """The first stage of `index` over a folder of pictures, into a journal that was empty."""
    journal = Journal(folder, Settings(timezone="America/Denver"))
    db, _ = open_to_write(place / "journal.db")
    Intake(journal, db, register.load(place / "register.jsonl"), Summary(), Silent(), journal.settings).run()
    db.close()


def speed(count: int, sort: str) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "pictures"
        folder.mkdir()
        make_folder(folder, count, sort)
        paths = sorted(folder.iterdir())
        print(f"{count} pictures of {statistics.fmean(path.stat().st_size for path in paths) / 1000:.0f} kB, {sort}")
        works = {"bare": _bare, "reading": lambda part: _ours(part, True),
                 "hash included": lambda part: _ours(part, False)}
        spent = dict.fromkeys(works, 0.0)
        _bare(paths[:50])
        _ours(paths[:50], True)
        for start in range(0, count, 100):  # in turns, so that other load falls on all alike
            for name, work in works.items():
                spent[name] += _seconds(lambda work=work, start=start: work(paths[start:start + 100]))
        turns = []
        for turn in range(TURNS):
            (Path(place) / str(turn)).mkdir()
            bare = _seconds(lambda: _bare(paths))
            turns.append((bare, _seconds(lambda turn=turn: _taken_in(folder, Path(place) / str(turn)))))
        for name, seconds in spent.items():
            print(f"  {name:14} {count / seconds:7.0f} pictures/s   {spent['bare'] / seconds:.2f} of bare ExifRead")
        bare, taken = statistics.median(turns[index][0] for index in range(TURNS)), statistics.median(
            turns[index][1] for index in range(TURNS))
        print(f"  {'taken in':14} {count / taken:7.0f} pictures/s   {bare / taken:.2f} of bare ExifRead")
        _memory(paths)


def _seconds(work: Callable[[], None]) -> float:
    """Seconds of the clock on the wall."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def _memory(paths: list[Path]) -> None:
    tracemalloc.start()
    for share in (4, 2, 1):
        _ours(paths[:len(paths) // share], True)
        held, peak = tracemalloc.get_traced_memory()
        print(f"  after {len(paths) // share:5} pictures: {held / 1e6:.2f} MB held, {peak / 1e6:.2f} MB at most")
    tracemalloc.stop()


def read_receipts(count: int) -> None:
    if not ocr.available():
        print("receipts: the extra 'ocr' is not installed")
        return
    print("receipts")
    with tempfile.TemporaryDirectory() as place:
        for quality in receipt_drawings.QUALITIES:
            right = unflagged = needless = 0
            for seed in range(count):
                image, truth = receipt_drawings.draw(seed, quality)
                image.save(Path(place) / "slip.jpg", quality=receipt_drawings.JPEG_QUALITY[quality])
                taken = Moment(dt.datetime.combine(truth.date, dt.time(18), dt.UTC), "second", "exif")
                found = receipts.read_receipt(Path(place), Capture("slip.jpg", "0", 1, "photo", "image/jpeg", taken),
                                              Settings())
                good = found is not None and (found.total, found.date) == (truth.total, truth.date)
                right += good
                unflagged += not good and found is not None and not found.problems
                needless += good and bool(found and found.problems)
            print(f"  {quality:6} {right} of {count} with total and date right, wrong without a flag {unflagged}, "
                  f"right with a flag {needless}")


if __name__ == "__main__":
    for sort in ("mix", *SORTS):
        speed(int(sys.argv[1]) if len(sys.argv) > 1 else 2_000, sort)
    read_receipts(int(sys.argv[2]) if len(sys.argv) > 2 else 10)
