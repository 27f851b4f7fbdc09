"""The example journal's pictures, whose subjects are known by construction, without any of its talk."""
from __future__ import annotations

from pathlib import Path

import pytest

from witnessmark.media import ingest
from witnessmark.model import Settings
from witnessmark.photos import ocr, tag
from witnessmark.photos.tags import alike
from witnessmark.trade import Lexicon

story = pytest.importorskip("example.story")
JOURNAL = Path(__file__).parents[1] / "example_journal"
HIGH = 0.8


@pytest.mark.skipif(not ocr.available(), reason="the extra 'ocr' is not installed")
def test_pictures_get_their_assembly_and_part() -> None:
    lexicon = Lexicon.load()
    photos = {photo.path: ingest(JOURNAL, photo.path, Settings(timezone="America/Denver")) for photo in story.PHOTOS}
    seen = {photos[photo.path].sha256: ocr.words_in(JOURNAL / photo.path) for photo in story.PHOTOS if photo.chalk}
    tags = tag(list(photos.values()), (), Settings(timezone="America/Denver"), lexicon, seen)

    def same(found: str | None, true: str) -> bool:
        thing = lexicon.thing(found) if found else None
        return alike(found, true) or (thing is not None and thing == lexicon.thing(true))

    places = parts = 0
    for photo in story.PHOTOS:
        place, part = photo.subject
        mine = [item for item in tags if item.path == photo.path]
        places += bool(mine) and mine[0].assembly == place
        parts += bool(mine) and same(mine[0].part, part)
        wrong = [item for item in mine if item.confidence >= HIGH
                 and (item.assembly != place or (item.part and not same(item.part, part)))]
        assert not wrong, (photo.path, wrong)
        assert not photo.side or all(item.side in (None, photo.side) for item in mine[:1]), photo.path
    assert len(story.PHOTOS) >= 24
    assert places >= 0.9 * len(story.PHOTOS)
    assert parts >= 0.8 * len(story.PHOTOS)
