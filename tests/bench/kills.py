"""Kills `witnessmark index` on copies of the example journal at random moments, and compares what the next run makes.

    python tests/bench/kills.py [--kills 100] [--in-a-row 4] [--unheard 10] [--seed 1]

Each journal is indexed by the real command in a process of its own, which is killed (SIGKILL, with all its children)
after a random time, started again and killed again, so many times in a row, a few seconds apart; then it is left to
finish. The state must be that of an undisturbed run: every row of every table, a valid chain in the register, a clean
integrity check, and not a byte or time of an original changed; a run after that finds nothing to do. Of every
`--unheard` journals one begins with no recording heard; the others find what was heard in the cache, as most kills of a
long run would, so that all stages are hit. Ends with 1 at the first difference.
"""
from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from test_pipeline_index import content

from witnessmark.journal import register

EXAMPLE = Path(__file__).parents[2] / "example_journal"
HEARD = Path(".witnessmark") / "transcripts"


def copy(place: Path, heard: Path | None = None) -> Path:
    shutil.copytree(EXAMPLE, place, ignore=shutil.ignore_patterns(".witnessmark", "*.jsonl"))
    if heard:
        shutil.copytree(heard, place / HEARD)
    return place


def start(folder: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-m", "witnessmark", "index", str(folder)], stdout=subprocess.PIPE,
                            stderr=subprocess.DEVNULL, start_new_session=True)


def finished(folder: Path) -> tuple[float, bytes]:
    """Index to the end: how many seconds it took, and what it said."""
    begun = time.monotonic()
    process = start(folder)
    said, _ = process.communicate()
    if process.returncode:
        raise SystemExit(f"an index that was left alone ended with {process.returncode}: {said.decode()}")
    return time.monotonic() - begun, said


def killed(folder: Path, seconds: float) -> bool:
    """Index, and kill it and its children after so long; False if it had ended by then."""
    process = start(folder)
    time.sleep(seconds)
    ended = process.poll() is not None
    if not ended:
        os.killpg(process.pid, signal.SIGKILL)
    process.communicate()
    return not ended


def originals(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {str(path.relative_to(folder)): (path.read_bytes(), path.stat().st_mtime_ns)
            for path in sorted(folder.rglob("*")) if path.is_file() and ".witnessmark" not in path.parts
            and path.suffix != ".jsonl"}


def differences(folder: Path, wanted: dict[str, object], before: dict[str, tuple[bytes, int]]) -> list[str]:
    """What is not as after an undisturbed run, one word each."""
    found, known = content(folder), register.load(folder / "register.jsonl")
    wrong = [f"table {name}" for name in wanted if found[name] != wanted[name]]
    wrong += known.faults + (["register"] if len(known.known) != len(found["sources"]) else [])
    return wrong + [f"original {name}" for name, state in originals(folder).items() if before.get(name) != state]


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--kills", type=int, default=100)
    options.add_argument("--in-a-row", type=int, default=4)
    options.add_argument("--unheard", type=int, default=10)
    options.add_argument("--seed", type=int, default=1)
    chosen = options.parse_args()
    dice, hits, number = random.Random(chosen.seed), 0, 0
    with tempfile.TemporaryDirectory() as name:
        place = Path(name)
        whole = copy(place / "undisturbed")
        before = originals(whole)
        unheard_time, _ = finished(whole)
        wanted, heard = content(whole), whole / HEARD
        heard_time, _ = finished(copy(place / "heard", heard))
        print(f"undisturbed: {unheard_time:.0f} s with everything to hear, {heard_time:.0f} s without", flush=True)
        while hits < chosen.kills:
            unheard = number % chosen.unheard == chosen.unheard - 1
            folder, seconds = place / f"killed-{number}", unheard_time if unheard else heard_time
            copy(folder, None if unheard else heard)
            moments = [dice.uniform(0, seconds / chosen.in_a_row * 1.2)
                       for _ in range(min(chosen.in_a_row, chosen.kills - hits))]
            hits += sum(killed(folder, moment) for moment in moments)
            finished(folder)
            wrong = differences(folder, wanted, before)
            again = finished(folder)[1] if number % 5 == 0 else b"Nothing new."
            print(f"{hits:4} kills; killed after {', '.join(f'{moment:.1f}' for moment in moments)} s: "
                  f"{'; '.join(wrong) or 'identical'}", flush=True)
            if wrong or b"Nothing new." not in again:
                return 1
            shutil.rmtree(folder)
            number += 1
    print(f"{hits} kills in {number} journals: every journal ended as the undisturbed one")
    return 0


if __name__ == "__main__":
    sys.exit(main())
