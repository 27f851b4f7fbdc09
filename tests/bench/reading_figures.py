"""Score the reading in one process, without files: reading_figures.py GOLD_DIR a,b,e,f [--misses] [--kind acts]

Uses the labels' own scorer (GOLD_DIR/score.py) on the values that `witnessmark.reading` returns, so that a
rule can be measured in seconds. The figures that count are those of the scorer itself, over the commands.
"""
from __future__ import annotations

import argparse
import datetime as dt
import importlib.util
import json
import pathlib
from types import ModuleType

from witnessmark.model import Cue, Session, Transcript, as_dict
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.trade import Lexicon

KINDS = ("acts", "hours", "purchases", "open_items")


def scorer(gold_dir: pathlib.Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location("score", gold_dir / "score.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def session_of(labelled: dict) -> Session:
    cues = tuple(Cue(c["start"], c["end"], c["text"]) for c in labelled["cues"])
    return Session(labelled["id"], dt.datetime.fromisoformat(labelled["recorded"]), Transcript(cues, "subtitle"))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("gold_dir", type=pathlib.Path)
    parser.add_argument("journals")
    parser.add_argument("--misses", action="store_true")
    parser.add_argument("--kind")
    parser.add_argument("--each", action="store_true", help="a table for each journal too")
    options = parser.parse_args()
    score = scorer(options.gold_dir)
    lexicon = Lexicon.load()
    total, misses = score.Tally(), []
    for name in options.journals.split(","):
        journal = json.loads((options.gold_dir / f"dev-{name}.json").read_text())
        memory, tally = Memory(), score.Tally()
        for labelled in journal["sessions"]:
            reading, memory = read(session_of(labelled), lexicon, memory)
            found = {kind: [as_dict(r) for r in getattr(reading, kind)] for kind in KINDS}
            found["cues"] = labelled["cues"]
            mine: list = []
            score.score_session(labelled, found, tally, mine)
            misses += [(f"{name}:{m[0]}", *m[1:]) for m in mine]
        total.update(tally)
        if options.each:
            show(name, score.report(tally))
    show(options.journals, score.report(total))
    if options.misses:
        for where, kind, what, record, text in misses:
            if not options.kind or kind == options.kind:
                left_out = ("quote", "rules", "doubts", "end")
                kept = {k: v for k, v in record.items() if v is not None and k not in left_out}
                print(f"{where:6} {kind:10} {what}\n       {kept}\n       “{text}”")


def show(title: str, figures: dict) -> None:
    print(f"== {title}")
    for name, value in figures.items():
        print(f"{name:36} {'-' if value is None else f'{value:.3f}'}")


if __name__ == "__main__":
    main()
