"""How well the reference tracker names things: reference_figures.py GOLD_DIR a,b,e,f [--misses JOURNALS] [--each]

For each labelled act, the verb of its task is looked for in its cue, the verb's object is taken from the syntax, and
the tracker is asked which thing that is. So the figures contain the parser's errors, but not those of the reading of
verbs. Acts whose verb is not found are counted apart, and not scored.
"""
from __future__ import annotations

import argparse
import collections
import json
import pathlib
from types import ModuleType

from reading_figures import scorer, session_of
from spacy.tokens import Token

from witnessmark.model import Act, Reading
from witnessmark.reading.memory import Memory
from witnessmark.reading.reference import Thing, Tracker
from witnessmark.reading.text import Passage, parse
from witnessmark.trade import Lexicon

FIELDS = ("part", "part same words", "assembly", "side")


def verbs(passage: Passage, cue: int, task: str, lexicon: Lexicon) -> list[Token]:
    """The tokens of a cue that may say the task."""
    found = []
    for token in passage.doc:
        lemma = lexicon.verb_of(token) if passage.cue_of(token) == cue else None
        if lemma and any(form.task == task for form in lexicon.task_forms(lemma)):
            found.append(token)
    for term in lexicon.terms(passage.doc):
        if term.kind == "task" and term.id == task and passage.cue_of(passage.doc[term.start]) == cue:
            found.append(passage.doc[term.end - 1])
    return found


def objects(verb: Token) -> list[Token | None]:
    """The tokens that may be the object of the work, by plain syntax."""
    found = [c for c in verb.children if c.dep_ in ("dobj", "nsubjpass")]
    if not found and verb.dep_ in ("relcl", "acl"):
        found = [verb.head]
    if not found and verb.dep_ in ("conj", "xcomp", "ccomp", "acomp") and verb.head.pos_ in ("VERB", "AUX"):
        found = [t for t in objects(verb.head) if t is not None]
    if (not found and verb.dep_ in ("acomp", "ROOT")) or (not found and verb.tag_ == "VBN"):
        found = [c for c in (*verb.children, *verb.head.children) if c.dep_ == "nsubj" and c.pos_ != "PRON"]
    found += [c for f in found for c in f.conjuncts if c.i > f.i]
    return list(found) or [None]


def answer(tracker: Tracker, passage: Passage, act: dict, lexicon: Lexicon,
           score: ModuleType) -> tuple[Thing, str] | None:
    """The tracker's best answer for a labelled act, and the words that it was asked about."""
    best = None
    for verb in verbs(passage, act["cue"], act["task"], lexicon):
        for head in objects(verb):
            thing = tracker.resolve(head, verb, act["task"])
            value = score.same_thing(act["part"], thing.part) + 0.01 * (thing.side == act["side"])
            if best is None or value > best[0]:
                best = (value, thing, f"{head} @ {verb}")
    return best[1:] if best else None


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("gold_dir", type=pathlib.Path)
    parser.add_argument("journals")
    parser.add_argument("--misses", default="", help="journals whose misses are printed")
    parser.add_argument("--field", help="only the misses of this field")
    options = parser.parse_args()
    score, lexicon = scorer(options.gold_dir), Lexicon.load()
    total: collections.Counter = collections.Counter()
    for name in options.journals.split(","):
        tally, lines = score_journal(options.gold_dir / f"dev-{name}.json", score, lexicon, options.field)
        total += tally
        print(name, figures(tally))
        if name in options.misses.split(","):
            print("\n".join(lines))
    print("all", figures(total))


def score_journal(path: pathlib.Path, score: ModuleType, lexicon: Lexicon,
                  only: str | None) -> tuple[collections.Counter, list[str]]:
    journal, memory = json.loads(path.read_text()), Memory()
    tally: collections.Counter = collections.Counter()
    lines: list[str] = []
    for labelled in journal["sessions"]:
        session = session_of(labelled)
        passage = parse(session.transcript)
        tracker = Tracker(passage, lexicon, memory)
        acts = []
        for act in labelled["acts"]:
            found = answer(tracker, passage, act, lexicon, score)
            if found is None:
                tally["no verb"] += 1
                continue
            thing, asked = found
            acts.append(Act(cue=act["cue"], start=0, end=0, quote="", task=act["task"], part=thing.part,
                            assembly=thing.assembly, side=thing.side))
            tally["acts"] += 1
            right = {"part": score.same_thing(act["part"], thing.part) > 0,
                     "part same words": score.words(act["part"]) == score.words(thing.part),
                     "assembly": act["assembly"] == thing.assembly, "side": act["side"] == thing.side}
            tally.update({field: int(value) for field, value in right.items()})
            wrong = [field for field in FIELDS if not right[field] and (only is None or field == only)]
            if wrong:
                lines.append(f"{labelled['id']}/{act['cue']} {', '.join(wrong)}: {act['task']} gold {act['part']}|"
                             f"{act['assembly']}|{act['side']} found {thing.part}|{thing.assembly}|{thing.side} "
                             f"({asked}) {thing.rules}\n      “{labelled['cues'][act['cue']]['text']}”")
        memory = memory.after(Reading(acts=tuple(acts)))
    return tally, lines


def figures(tally: collections.Counter) -> str:
    shares = [f"{field} {tally[field] / max(tally['acts'], 1):.3f}" for field in FIELDS]
    return f"acts {tally['acts']} without a verb {tally['no verb']}: " + ", ".join(shares)


if __name__ == "__main__":
    main()
