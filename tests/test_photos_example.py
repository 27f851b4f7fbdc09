"""The example journal's pictures, whose subjects are known by construction, without its talk and with it."""
from __future__ import annotations

from collections import defaultdict
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from witnessmark.media import ingest
from witnessmark.model import Settings
from witnessmark.photos import ocr, tag
from witnessmark.photos.tags import alike
from witnessmark.store import open_to_read, query
from witnessmark.trade import Lexicon

story = pytest.importorskip("example.story")
JOURNAL = Path(__file__).parents[1] / "example_journal"
HIGH = 0.8


def same_thing(found: str | None, true: str, lexicon: Lexicon) -> bool:
    thing = lexicon.thing(found) if found else None
    return alike(found, true) or (thing is not None and thing == lexicon.thing(true))


def judge(tags: dict[str, list[dict[str, Any]]], lexicon: Lexicon) -> None:
    """Enough right, best first, and nothing wrong that is asserted with high confidence."""
    places = parts = 0
    for photo in story.PHOTOS:
        place, part = photo.subject
        mine = tags.get(photo.path, [])
        places += bool(mine) and mine[0]["assembly"] == place
        parts += bool(mine) and same_thing(mine[0]["part"], part, lexicon)
        assert not photo.side or all(item["side"] in (None, photo.side) for item in mine[:1]), photo.path
        wrong = [item for item in mine if item["confidence"] >= HIGH and (
            item["assembly"] != place or (item["part"] and not same_thing(item["part"], part, lexicon)))]
        assert not wrong, (photo.path, wrong)
    assert len(story.PHOTOS) >= 24
    assert places >= 0.9 * len(story.PHOTOS)
    assert parts >= 0.8 * len(story.PHOTOS)


@pytest.mark.skipif(not ocr.available(), reason="the extra 'ocr' is not installed")
def test_pictures_get_their_assembly_and_part_without_any_talk() -> None:
    lexicon = Lexicon.load()
    photos = {photo.path: ingest(JOURNAL, photo.path, Settings(timezone="America/Denver")) for photo in story.PHOTOS}
    seen = {photos[photo.path].sha256: ocr.words_in(JOURNAL / photo.path) for photo in story.PHOTOS if photo.chalk}
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for item in tag(list(photos.values()), (), Settings(timezone="America/Denver"), lexicon, seen):
        found[item.path].append({"assembly": item.assembly, "part": item.part, "side": item.side,
                                 "confidence": item.confidence})
    judge(found, lexicon)


@pytest.mark.skipif(not ocr.available(), reason="the extra 'ocr' is not installed")
def test_pictures_get_their_assembly_and_part_in_the_indexed_journal(indexed_example: Path) -> None:
    db = open_to_read(indexed_example / ".witnessmark" / "journal.db")
    found: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for row in query(db, """SELECT s.path, t.* FROM photo_tags AS t JOIN sources AS s ON s.id = t.source_id
            ORDER BY s.path, t.rank"""):
        found[row["path"]].append(row)
    judge(found, Lexicon.load(Settings(vocabulary={"parts": {"tail fairing": ("tailcone cap",)}}).vocabulary))
    before = [row for row in found["photos/rudder/spar-before-primer.jpg"] if row["task"] == "prime"]
    assert before == []  # the work of that day was done after the picture
    stills = query(db, """SELECT a.picture FROM acts AS a JOIN sources AS s ON s.id = a.source_id WHERE s.has_video""")
    assert len(stills) > 20
    for row in stills:
        with Image.open(indexed_example / ".witnessmark" / "thumbnails" / row["picture"]) as shown:
            assert max(shown.size) <= 640
    db.close()


@pytest.mark.skipif(not ocr.available(), reason="the extra 'ocr' is not installed")
def test_receipts_of_the_example_are_read_and_prove_what_was_said(indexed_example: Path) -> None:
    db = open_to_read(indexed_example / ".witnessmark" / "journal.db")
    read = {row["path"]: row for row in query(db, """SELECT s.path, r.* FROM receipts AS r
        JOIN sources AS s ON s.id = r.source_id""")}
    assert set(read) == {receipt.path for receipt in story.RECEIPTS}
    for receipt in story.RECEIPTS:
        found = read[receipt.path]
        assert (found["total"], found["date"], found["problems"]) == (receipt.total, receipt.at[:10], []), receipt.path
        # Blanks can be lost between slanting capitals that are set tightly.
        assert found["vendor"].replace(" ", "") == receipt.vendor.replace(" ", "")
    proved = {row["path"] for row in db.query("""SELECT s.path FROM purchases AS p
        JOIN sources AS s ON s.id = p.receipt_id""")}
    assert proved == set(read)  # each was spoken of, and is one row with both proofs
    db.close()
