"""Disks that fill up, become read-only or are pulled out while a journal is indexed: run by test_pipeline_disks.py.

    unshare --map-root-user --mount python tests/odd_disks.py JOURNAL PLACE

In a mount namespace of its own a small disk (tmpfs) is mounted at PLACE, the journal is copied onto it and indexed by
the real command. Prints what happened as JSON, one object a line.
"""
from __future__ import annotations

import contextlib
import io
import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent))

from test_pipeline_index import content

from witnessmark.cli import main
from witnessmark.journal import register

BLOCK = 1024
ROOM = [*range(8, 120, 16), *range(128, 1000, 64), 4000]
"""Kilobytes that are free when an index begins, from hardly any to nearly enough."""


def mount(place: Path, options: str) -> None:
    subprocess.run(["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)], check=True)


def remount(place: Path, options: str) -> None:
    subprocess.run(["mount", "-o", f"remount,{options}", str(place)], check=True)


def unmount(place: Path) -> None:
    subprocess.run(["umount", str(place)], check=True)


def run(*words: str) -> tuple[int, str]:
    """Exit code and standard error of a command."""
    said = io.StringIO()
    with contextlib.redirect_stderr(said), contextlib.redirect_stdout(io.StringIO()):
        try:
            main([*words], standalone_mode=True)
            code = 0
        except SystemExit as ended:
            code = int(ended.code or 0)
    return code, said.getvalue()


def state(folder: Path) -> dict[str, Any]:
    known = register.load(folder / "register.jsonl")
    return {"content": content(folder), "faults": known.faults, "known": sorted(known.known)}


def originals(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {path.name: (path.read_bytes(), path.stat().st_mtime_ns) for path in sorted(folder.rglob("*"))
            if path.is_file() and ".witnessmark" not in path.parts and path.suffix != ".jsonl"}


def undisturbed(journal: Path, place: Path) -> tuple[dict[str, Any], int]:
    """The state of a run that nothing disturbs, and the kilobytes that the journal takes before it."""
    mount(place, "size=64m")
    folder = place / "journal"
    shutil.copytree(journal, folder)
    used = sum(-(-path.stat().st_size // 4096) * 4 + 4 for path in [folder, *folder.rglob("*")])
    run("index", str(folder))
    found = state(folder)
    unmount(place)
    return found, used


def full(journal: Path, place: Path, wanted: dict[str, Any], used: int) -> None:
    """A disk that fills up at one moment after another; with room made, the next run completes the work."""
    for room in ROOM:
        mount(place, f"size={(used + room) * BLOCK}")
        folder = place / "journal"
        shutil.copytree(journal, folder)
        before = originals(folder)
        code, said = run("index", str(folder))
        remount(place, "size=64m")
        again, _ = run("index", str(folder))
        print(json.dumps({"what": "full", "room": room, "code": code, "said": said, "again": again,
                          "same": state(folder) == wanted, "untouched": originals(folder) == before}), flush=True)
        unmount(place)


def read_only(journal: Path, place: Path, wanted: dict[str, Any]) -> None:
    """A disk that becomes read-only before anything was indexed, and after half of it was."""
    for half in (False, True):
        mount(place, "size=64m")
        folder = place / "journal"
        shutil.copytree(journal, folder)
        later = [path for path in sorted(folder.iterdir()) if path.suffix == ".vtt"][::2] if half else []
        for path in later:
            path.rename(place / path.name)
        if half:
            run("index", str(folder))
            for path in later:
                (place / path.name).rename(path)
        remount(place, "ro")
        code, said = run("index", str(folder))
        answered, _ = run("hours", str(folder))
        remount(place, "rw")
        run("index", str(folder))
        print(json.dumps({"what": "read-only", "half": half, "code": code, "said": said, "answered": answered,
                          "same": state(folder)["content"] == wanted["content"]}), flush=True)
        unmount(place)


def pulled_out(journal: Path, place: Path, wanted: dict[str, Any]) -> None:
    """The pictures are on a card that is pulled out between two runs, and put in again."""
    mount(place, "size=64m")
    folder, card = place / "journal", place / "journal" / "card"
    shutil.copytree(journal, folder)
    card.mkdir()
    mount(card, "size=16m")
    pictures = sorted(folder.glob("*.jpg"))
    for path in pictures:
        shutil.copy2(path, card)
        path.unlink()
    run("index", str(folder))
    whole = content(folder)
    kept = place / "kept"
    shutil.copytree(card, kept)
    unmount(card)
    run("index", str(folder))
    away = [row for row in content(folder)["sources"] if row["state"] == "gone"]
    mount(card, "size=16m")
    shutil.copytree(kept, card, dirs_exist_ok=True)
    run("index", str(folder))
    print(json.dumps({"what": "pulled out", "away": len(away), "pictures": len(pictures),
                      "same": content(folder) == whole}), flush=True)
    unmount(card)
    unmount(place)


if __name__ == "__main__":
    source, where = Path(sys.argv[1]), Path(sys.argv[2])
    expected, size = undisturbed(source, where)
    full(source, where, expected, size)
    read_only(source, where, expected)
    pulled_out(source, where, expected)
