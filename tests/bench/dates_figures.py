"""Does a time expression near each dated act give its date? dates_figures.py GOLD_DIR a,b,e,f [--misses]

Counts the labelled acts and hours with a date other than the recording's own day for which a `TimeMention` of the
same cue, or of one of the two cues before it, carries that date.
"""
from __future__ import annotations

import argparse
import datetime as dt
import json
import pathlib

from reading_figures import scorer, session_of

from witnessmark.reading.dates import find_times
from witnessmark.reading.text import parse


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("gold_dir", type=pathlib.Path)
    parser.add_argument("journals")
    parser.add_argument("--misses", action="store_true")
    options = parser.parse_args()
    score = scorer(options.gold_dir)
    for name in options.journals.split(","):
        right = of = 0
        previous: dt.date | None = None
        for labelled in json.loads((options.gold_dir / f"dev-{name}.json").read_text())["sessions"]:
            session = session_of(labelled)
            passage = parse(session.transcript)
            times = find_times(passage, session.recorded, previous)
            previous = session.day
            for act in labelled["acts"] + labelled["hours"]:
                if act["date"] in (None, session.day.isoformat()):
                    continue
                near = [m for m in times if 0 <= act["cue"] - passage.cue_of(passage.doc[m.start]) <= 2]
                held = any(m.edtf and score.date_holds(act["date"], m.edtf) for m in near)
                of, right = of + 1, right + held
                if options.misses and not held:
                    said = [(passage.doc[m.start:m.end].text, m.edtf) for m in near]
                    print(f"{name}:{labelled['id']} [{act['cue']}] {act['date']} {said}\n"
                          f"      “{labelled['cues'][act['cue']]['text']}”")
        print(f"{name}: {right} of {of} = {right / of:.3f}")


if __name__ == "__main__":
    main()
