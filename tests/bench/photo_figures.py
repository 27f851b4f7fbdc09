"""Figures of the photo rooms: `python tests/bench/photo_figures.py [pictures]`.

Speed of `media.ingest` against bare ExifRead over the same folder of generated pictures, in turns in one run (ratio of
pictures a second; hash given, as the journal hands it over, and hash included), with the peak of memory; then receipts
read right at three qualities of print, and wrong ones that carry no flag.
"""
from __future__ import annotations

import datetime as dt
import random
import statistics
import sys
import tempfile
import time
import tracemalloc
from pathlib import Path

import exifread
import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[1]))
import receipt_drawings

from witnessmark.media import ingest
from witnessmark.model import Capture, Moment, Settings
from witnessmark.photos import ocr, receipts

EXIF_IFD, GPS_IFD = 0x8769, 0x8825
XMP = ('<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
       '<rdf:Description xmlns:dc="http://purl.org/dc/elements/1.1/"><dc:description><rdf:Alt>'
       '<rdf:li xml:lang="x-default">Spar {}</rdf:li></rdf:Alt></dc:description></rdf:Description></rdf:RDF>'
       '</x:xmpmeta>')
PHONE = {0x829A: 0.01, 0x829D: 1.8, 0x8827: 100, 0x9000: b"0232", 0x920A: 5.5, 0xA000: b"0100", 0xA002: 640,
         0xA003: 480, 0xA402: 0, 0xA403: 0, 0xA405: 26, 0xA434: "5.5 mm", 0x9201: 6.6, 0x9202: 1.7, 0x9203: 3.1,
         0x9204: 0.0, 0x9207: 5, 0x9209: 16, 0xA217: 2, 0xA001: 1, 0x8822: 2, 0x9101: b"\1\2\3\0", 0xA406: 0}
PLACE = {1: "N", 2: (44.0, 12.0, 3.5), 3: "W", 4: (103.0, 1.0, 2.5), 7: (16.0, 0.0, 0.0), 29: "2024:05:01"}
SORTS = ("few tags", "phone", "camera")


def make_folder(folder: Path, count: int, sort: str) -> None:
    """Pictures of 200 kB with the tags of one sort: six of them; a phone's, with GPS, a third with XMP; or those of a
    camera that adds maker's notes of 1500 bytes."""
    chance = random.Random(7)
    noise = np.random.default_rng(7).integers(0, 255, (480, 640, 3), dtype=np.uint8)
    image = Image.fromarray(noise)
    for number in range(count):
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
        if sort == "camera":
            detail[0x927C] = bytes(chance.randrange(256) for _ in range(1500))
        image.save(folder / f"IMG_{number:05}.jpg", quality=80, exif=tags, xmp=packet)


def _bare(paths: list[Path]) -> None:
    for path in paths:
        with path.open("rb") as handle:
            exifread.process_file(handle)


def _ours(paths: list[Path], hashed: bool) -> None:
    for path in paths:
        ingest(path.parent, path.name, Settings(timezone="America/Denver"), "0" * 64 if hashed else None)


def speed(count: int, sort: str) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        make_folder(folder, count, sort)
        paths = sorted(folder.iterdir())
        print(f"{count} pictures of {statistics.fmean(path.stat().st_size for path in paths) / 1000:.0f} kB, {sort}")
        works = {"bare": _bare, "hash given": lambda part: _ours(part, True),
                 "hash included": lambda part: _ours(part, False)}
        spent = dict.fromkeys(works, 0.0)
        _bare(paths[:50])
        _ours(paths[:50], True)
        for start in range(0, count, 100):  # in turns, so that other load falls on all alike
            for name, work in works.items():
                begun = time.process_time()
                work(paths[start:start + 100])
                spent[name] += time.process_time() - begun
        for name, seconds in spent.items():
            print(f"  {name:14} {count / seconds:7.0f} pictures/s   {spent['bare'] / seconds:.2f} of bare ExifRead")
        _memory(paths)


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
    for sort in SORTS:
        speed(int(sys.argv[1]) if len(sys.argv) > 1 else 2_000, sort)
    read_receipts(int(sys.argv[2]) if len(sys.argv) > 2 else 10)
