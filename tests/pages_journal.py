"""A small journal with real media for the tests of pages, and the real server over it."""
from __future__ import annotations

import contextlib
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import made_journals
import made_media

CLIP, HOSTILE = "20250308_164000.mp4", '<script>alert("x")</script> \'"&.jpg'
LINES = ["It is Saturday.", "Today I primed the left elevator ribs.", "The right elevator ribs are not primed yet.",
         "I bought a hand seamer for eighteen dollars at Tarn Hardware.", "I worked three hours today."]
LATER = ["I painted the left elevator skin this morning.", "The hinge still needs to be bolted on.",
         "I worked two hours today."]
CAPTION = '<img src=x onerror=alert(1)> "ribs"'
START = 4.0
"""Seconds into CLIP at which its second line begins."""


@dataclass
class Running:
    """A server that is up, and its journal."""

    journal: Path
    port: int

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"


def made(place: Path) -> Path:
    """A journal of two recordings and three pictures, indexed by the real command."""
    made_journals.folder(place)
    made_media.recording(place / CLIP, seconds=20)
    subtitle(place, LINES)
    made_media.recording(place / "20250510_101500.mp4", seconds=12)
    write_vtt(place / "20250510_101500.vtt", LATER)
    made_media.photo(place / "photos" / "IMG_20250308_170000.jpg")
    made_media.photo(place / "photos" / HOSTILE, DateTimeOriginal="2025:03:08 17:05:00", ImageDescription=CAPTION)
    index(place)
    return place


def subtitle(place: Path, lines: list[str], each: float = START) -> None:
    """The words of CLIP, as heard by some recogniser."""
    write_vtt(place / CLIP.replace(".mp4", ".vtt"), lines, each)


def write_vtt(path: Path, lines: list[str], each: float = START) -> None:
    cues = [(at * each, (at + 1) * each, line) for at, line in enumerate(lines)]
    path.write_text(made_journals.as_vtt(cues), encoding="utf-8")


def index(place: Path) -> None:
    subprocess.run([sys.executable, "-m", "witnessmark", "index", str(place)], check=True, capture_output=True)


@contextlib.contextmanager
def serving(journal: Path, *options: str) -> Iterator[Running]:
    """The real command `serve` in a process of its own, at a free port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    process = subprocess.Popen([sys.executable, "-m", "witnessmark", "serve", str(journal), "--port", str(port),
                                *options], stderr=subprocess.DEVNULL)
    try:
        for _ in range(240):
            with contextlib.suppress(OSError), urllib.request.urlopen(f"http://127.0.0.1:{port}/look/log.css"):
                break
            assert process.poll() is None, "the server has ended"
            time.sleep(0.25)
        yield Running(journal, port)
    finally:
        process.terminate()
        process.wait(timeout=20)


def get(running: Running, path: str) -> str:
    with urllib.request.urlopen(running.url + path) as answer:
        return str(answer.read().decode())


def watched(page: Any) -> list[str]:
    """What a page complains of: errors of scripts, of the content policy, and answers that are no success."""
    complaints: list[str] = []
    page.on("console", lambda said: complaints.append(said.text) if said.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on("response",
            lambda answer: complaints.append(f"{answer.status} {answer.url}") if answer.status >= 400 else None)
    return complaints


def one(running: Running, sql: str, *values: Any) -> Any:
    """The first value of a query on the journal's database; None for no row."""
    db = sqlite3.connect(f"file:{running.journal}/.witnessmark/journal.db?mode=ro", uri=True)
    try:
        row = db.execute(sql, values).fetchone()
        return row and row[0]
    finally:
        db.close()
