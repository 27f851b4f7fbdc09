"""Fingerprints of what results depend on besides the builder's files: where one changes, its results are made again.

They are taken of the program's own text, so that no rule can change without the journal being read again by it.
"""
from __future__ import annotations

import functools
import hashlib
from importlib import resources
from importlib.metadata import version
from importlib.resources.abc import Traversable

from sqlite_utils import Database

from witnessmark.model import Settings
from witnessmark.store import loading

READING_ROOMS = ("reading", "trade", "speech", "edtf_days.py", "model.py")
CAPTURE_ROOMS = ("media",)
LINK_ROOMS = ("answers", "store", "photos")
PICTURE_ROOMS = ("photos", "trade", "media")
TEXTS = (".py", ".csv", ".json", ".toml", ".txt")


def digest(*parts: object) -> str:
    """Sixteen hexadecimal digits that stand for these values."""
    return hashlib.sha256("\0".join(map(repr, parts)).encode()).hexdigest()[:16]


@functools.cache
def _text_of(rooms: tuple[str, ...]) -> str:
    """The hash of every file of code and data in these rooms of the package."""
    total = hashlib.sha256()
    for room in rooms:
        for file in _files(resources.files("witnessmark") / room):
            total.update(file.name.encode() + b"\0" + hashlib.sha256(file.read_bytes()).digest())
    return total.hexdigest()


def _files(place: Traversable) -> list[Traversable]:
    if place.is_file():
        return [place] if place.name.endswith(TEXTS) else []
    return [file for entry in sorted(place.iterdir(), key=lambda entry: entry.name) for file in _files(entry)]


def rules_key(settings: Settings) -> str:
    """Of everything that decides which records the same words give."""
    return digest(_text_of(READING_ROOMS), version("spacy"), settings.vocabulary, settings.builders, settings.helpers,
                   settings.hired, settings.currency)


def capture_key(settings: Settings) -> str:
    """Of everything that decides when the same file was made."""
    return digest(_text_of(CAPTURE_ROOMS), settings.timezone, settings.cameras)


def memory_after(before: str, source: str, recorded: str, reading: str) -> str:
    """The fingerprint of a memory with one more session (its id, its moment, its reading as JSON) in it."""
    return digest(before, source, recorded, reading)


def links_key(db: Database, corrections: str) -> str:
    """Of everything that decides which records and receipts belong together."""
    receipts = [list(row.values()) for row in
                db.query("SELECT source_id, date, total, vendor FROM receipts ORDER BY source_id")]
    return digest(_text_of(LINK_ROOMS), loading.memory_key(db), corrections, receipts)


def tags_key(settings: Settings) -> str:
    """Of the rules and words by which pictures are tagged."""
    return digest(_text_of(PICTURE_ROOMS), settings.vocabulary, settings.timezone)
