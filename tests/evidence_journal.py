"""A journal made for the tests of the evidence: work of all kinds of people, plans, pictures, money, hostile words."""
from __future__ import annotations

import hashlib
from pathlib import Path

import made_journals
from PIL import Image

from witnessmark.journal import Journal
from witnessmark.model import Capture, Moment

HOSTILE = ('#panic("x") *bold* _it_ `raw` $x^2$ <b>&amp;</b> \\ @ref "q" =cmd|\' /C calc\'!A0 #eval("1")',
           "=cmd()", "שלום עולם", "😀 riveted 👩‍🔧", "abc\u202egnp.exe", "a" * 300, "bell\x07 nul\x00 end")


def told() -> list[made_journals.Told]:
    """Four sessions."""
    first = made_journals.Told("2025-03-08T16:40:00-07:00", [
        (0.0, 4.0, "Today I bent the two spars of the rudder."), (4.0, 9.0, "The shop powder coated the pedals."),
        (9.0, 14.0, "The flap ribs came bent from the maker."), (14.0, 19.0, "Hanna deburred the rudder skin for me."),
        (19.0, 23.0, "I want to prime the rudder spar on Monday."), (23.0, 27.0, "That was four hours.")],
        {"acts": [
            {"cue": 0, "task": "bend", "part": "rudder spar", "assembly": "rudder", "date": "2025-03-08"},
            {"cue": 1, "task": "paint", "part": "rudder pedal", "assembly": "flight-controls", "who": "paid",
             "person": "Brindle Coatings", "date": "../2025-03-07"},
            {"cue": 2, "task": "bend", "part": "flap rib", "assembly": "flap", "who": "maker", "date": "../2025-03-07"},
            {"cue": 3, "task": "deburr", "part": "rudder skin", "assembly": "rudder", "who": "helper",
             "person": "Hanna", "date": "2025-03-08"},
            {"cue": 4, "task": "prime", "part": "rudder spar", "assembly": "rudder", "status": "planned"}],
         "hours": [{"cue": 5, "low": 4.0, "high": 4.0, "scope": "session", "who": "builder", "date": "2025-03-08",
                    "counted": True}],
         "open_items": [{"cue": 4, "kind": "to-do", "part": "rudder spar", "task": "prime", "assembly": "rudder"}]},
        video=True)
    second = made_journals.Told("2025-03-20T20:00:00-06:00", [
        (0.0, 4.0, "I cut the flap spar about a week ago."), (4.0, 8.0, "I riveted the left skin of the aileron."),
        (8.0, 12.0, "One should always prime the inside."), (12.0, 16.0, "I bought rivets for ten dollars."),
        (16.0, 20.0, "Maybe three hours, maybe eight.")],
        {"acts": [
            {"cue": 0, "task": "cut", "part": "flap spar", "assembly": "flap", "date": "2025-03-13~"},
            {"cue": 1, "task": "rivet", "part": "aileron skin", "assembly": "aileron", "side": "left",
             "date": "2025-03-20"},
            {"cue": 2, "task": "prime", "part": None, "status": "advice", "who": None}],
         "hours": [{"cue": 4, "low": 3.0, "high": 8.0, "scope": "session", "who": "builder", "date": "2025-03-20",
                    "counted": True, "confidence": 0.6, "doubts": ("3 or 8 hours?",)}],
         "purchases": [{"cue": 3, "item": "rivets", "category": "hardware", "status": "bought", "amount_low": 10.0,
                        "amount_high": 10.0, "vendor": "Quillmark Supply", "date": "2025-03-20"}]})
    hostile = made_journals.Told("2025-08-01T19:00:00-06:00",
                                 [(n * 5.0, n * 5.0 + 5, text) for n, text in enumerate(HOSTILE)],
                                 {"acts": [{"cue": n, "task": "rivet", "part": text[:60], "assembly": "wing",
                                            "date": "2025-08-01"} for n, text in enumerate(HOSTILE)]})
    plain = made_journals.Told("2025-08-02T19:00:00-06:00", [(0.0, 5.0, "Hanna and I cut the wing ribs.")],
                               {"acts": [{"cue": 0, "task": "cut", "part": "wing rib", "assembly": "wing",
                                          "date": "2025-08-02"}]})
    return [first, second, hostile, plain]


def photo(place: Path, path: str, moment: str, caption: str | None = None) -> Capture:
    """A photo in the folder, as it would be captured."""
    import datetime as dt

    file = place / path
    file.parent.mkdir(parents=True, exist_ok=True)
    shade = int(hashlib.sha256(path.encode()).hexdigest()[:2], 16)
    Image.new("RGB", (320, 240), (shade, 120, 90)).save(file, "JPEG")
    content = file.read_bytes()
    return Capture(path, hashlib.sha256(content).hexdigest(), len(content), "photo", "image/jpeg",
                   Moment(dt.datetime.fromisoformat(moment), "second", "exif", "offset"), width=320, height=240,
                   caption=caption, gps=(39.5, -105.25))


def make(place: Path) -> Journal:
    """The journal, indexed, with a photo that shows the rudder spar."""
    made_journals.folder(place, helpers=["Hanna"], title='Evidence #1 "test"')
    picture = photo(place, "photos/rudder spar 50%.jpg", "2025-03-08T15:00:00-07:00", "Rudder spar with Hanna")
    journal = made_journals.database(place, told(), [picture])
    _tag(journal, picture)
    return journal


def _tag(journal: Journal, picture: Capture) -> None:
    """As the indexing of pictures leaves it: a thumbnail, and a tag that ties the picture to the first act."""
    import sqlite3

    thumbnails = journal.program / "thumbnails"
    thumbnails.mkdir(exist_ok=True)
    (thumbnails / "spar.jpg").write_bytes((journal.root / picture.path).read_bytes())
    with sqlite3.connect(journal.database) as db:
        source = picture.sha256[:16]
        act = db.execute("SELECT id FROM acts WHERE part = 'rudder spar' AND status = 'done'").fetchone()[0]
        db.execute("INSERT OR REPLACE INTO photos (source_id, thumbnail, is_receipt, leader_id) VALUES (?, ?, 0, ?)",
                   [source, "spar.jpg", source])
        db.execute("DELETE FROM photo_tags WHERE source_id = ?", [source])
        db.execute("""INSERT INTO photo_tags (source_id, rank, assembly, part, task, act_id, basis, confidence, note)
            VALUES (?, 0, 'rudder', 'rudder spar', 'bend', ?, 'caption', 0.9, '')""", [source, act])
