"""How fast the reading is beside bare spaCy, in one run: reading_speed.py GOLD_DIR a,b,e,f [--rounds N] [--profile]

Prints words a second of both on the same texts and their ratio; the best of several rounds counts, taken by turns, so
that another program on the machine slows both. The journals are those that `reading_figures.py` scores.
"""
from __future__ import annotations

import argparse
import cProfile
import json
import pathlib
import pstats
import time

from reading_figures import session_of

from witnessmark.model import Session
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.reading.text import language
from witnessmark.trade import Lexicon

ASKED = 0.5  # least share of spaCy's own words a second


def sessions_of(folder: pathlib.Path, names: list[str]) -> list[list[Session]]:
    """The sessions of each journal, in order of recording."""
    journals = (json.loads((folder / f"dev-{name}.json").read_text()) for name in names)
    return [[session_of(labelled) for labelled in journal["sessions"]] for journal in journals]


def bare(journals: list[list[Session]]) -> float:
    """Seconds that spaCy takes for the texts alone."""
    texts = [" ".join(cue.text for cue in session.transcript.cues) for sessions in journals for session in sessions]
    start = time.perf_counter()
    for text in texts:
        language()(text)
    return time.perf_counter() - start


def whole(journals: list[list[Session]], lexicon: Lexicon) -> float:
    """Seconds that the whole reading takes, spaCy within it."""
    start = time.perf_counter()
    for sessions in journals:
        memory = Memory()
        for session in sessions:
            _, memory = read(session, lexicon, memory)
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("gold_dir", type=pathlib.Path)
    parser.add_argument("journals")
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--profile", action="store_true", help="the functions that take most of the time")
    options = parser.parse_args()
    journals, lexicon = sessions_of(options.gold_dir, options.journals.split(",")), Lexicon.load()
    words = sum(len(cue.text.split()) for sessions in journals for session in sessions
                for cue in session.transcript.cues)
    bare(journals[:1])
    whole(journals[:1], lexicon)
    rounds = [(bare(journals), whole(journals, lexicon)) for _ in range(options.rounds)]
    alone, ours = min(first for first, _ in rounds), min(second for _, second in rounds)
    print(f"{words} words: spaCy {words / alone:.0f} a second, the reading {words / ours:.0f}; "
          f"ratio {alone / ours:.2f}, asked {ASKED}")
    if options.profile:
        profile = cProfile.Profile()
        profile.runcall(whole, journals[:2], lexicon)
        pstats.Stats(profile).sort_stats("cumulative").print_stats(45)


if __name__ == "__main__":
    main()
