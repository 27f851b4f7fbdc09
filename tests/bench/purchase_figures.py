"""Score purchases, open items and questions alone, on the labelled acts: purchase_figures.py GOLD_DIR a,b [--misses]

So that these rules can be measured apart from the reading of acts. Same scorer, in one process, without files.
"""

from __future__ import annotations

import argparse
import dataclasses
import json
import pathlib
import sys

from witnessmark.answers.questions import parse_question
from witnessmark.answers.when import Told, answer
from witnessmark.model import Act, Reading, as_dict
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.reading.open_items import find_open_items
from witnessmark.reading.purchases import find_purchases
from witnessmark.reading.text import parse
from witnessmark.trade import Lexicon

sys.path.insert(0, str(pathlib.Path(__file__).parent))
from reading_figures import scorer, session_of, show


def labelled_acts(labelled: dict) -> tuple[Act, ...]:
    cues = labelled["cues"]
    return tuple(
        Act(
            **{"side": None, **record},
            start=cues[record["cue"]]["start"],
            end=cues[record["cue"]]["end"],
            quote=cues[record["cue"]]["text"],
        )
        for record in labelled["acts"]
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("gold_dir", type=pathlib.Path)
    parser.add_argument("journals")
    parser.add_argument("--misses", action="store_true")
    parser.add_argument("--kind")
    parser.add_argument("--read", action="store_true", help="on the acts that are read, not the labelled ones")
    parser.add_argument("--bare", action="store_true", help="lower case without punctuation, as some recognisers write")
    options = parser.parse_args()
    score, lexicon = scorer(options.gold_dir), Lexicon.load()
    tally, misses = score.Tally(), []
    for name in options.journals.split(","):
        journal = json.loads((options.gold_dir / f"dev-{name}.json").read_text())
        memory, told = Memory(), []
        for labelled in journal["sessions"]:
            if options.bare:
                for cue in labelled["cues"]:
                    cue["text"] = bare(cue["text"])
            passage = parse(session_of(labelled).transcript)
            acts = labelled_acts(labelled)
            if options.read:
                acts = read(session_of(labelled), lexicon, memory)[0].acts
            purchases = find_purchases(passage, lexicon, (), acts, memory)
            items = find_open_items(passage, lexicon, acts, purchases)
            reading = Reading(acts=acts, purchases=purchases, open_items=items)
            found = {
                "acts": labelled["acts"],
                "hours": labelled["hours"],
                "purchases": [as_dict(p) for p in purchases],
                "open_items": [as_dict(item) for item in items],
            }
            mine: list = []
            score.score_session(labelled, found, tally, mine)
            misses += [(f"{name}:{m[0]}", *m[1:]) for m in mine]
            memory = memory.after(reading)
            told += [Told(act, score.source_name(labelled)) for act in acts]
        mine = []
        for question in journal["questions"]:
            answers = answer(parse_question(question["ask"], lexicon), told, lexicon).answers
            score.score_question(journal, question, [dataclasses.asdict(line) for line in answers], tally, mine)
        misses += [(name, *m[1:]) for m in mine]
    show(
        options.journals,
        {
            key: value
            for key, value in score.report(tally).items()
            if key.startswith(("purchases", "open", "money", "questions"))
        },
    )
    if options.misses:
        for where, kind, what, record, text in misses:
            if kind == (options.kind or kind) and kind in ("purchases", "open_items", "questions"):
                kept = {
                    k: v for k, v in record.items() if v is not None and k not in ("quote", "doubts", "end", "start")
                }
                print(f"{where:6} {kind:10} {what}\n       {kept}\n       “{text}”")


def bare(text: str) -> str:
    kept = "".join(" " if c in ",;:!?—-" else c for c in text.lower())
    return " ".join(word.rstrip(".") for word in kept.replace("...", " ").split())


if __name__ == "__main__":
    main()
