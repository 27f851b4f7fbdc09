"""How sure a finding is beyond the sureness of its words, and what the builder is asked where it is doubtful."""
from __future__ import annotations

from spacy.tokens import Token

from witnessmark.reading.clauses import Clause
from witnessmark.reading.objects import MOVING
from witnessmark.reading.reference import Thing
from witnessmark.reading.standing import Standing
from witnessmark.reading.vocabulary import Vocabulary

NAMED_SURE = 0.9  # least confidence in a thing that is named beside the verb
UNKNOWN_SURE = 0.8  # of a thing that no table has, named as the object of a verb of the trade
COMPOUND_SURE = 0.9  # a compound ("airbrake box") is likelier a part than a bare noun
ASKED_BELOW = 0.7  # a record less sure than this carries a question
# What one does to a tool without building the airplane; making, assembling and mounting shop gear are work.
TO_TOOLS = frozenset({"install", "remove", "test", "clean", "inspect", "rig", "cut", "sand", "bend", "layout", "weld",
                      "torque", "wire", "paint", "prime", "deburr", "fit", "rivet", "drill"})
TAKEN_BACK = frozenset({"no", "nope", "wait", "scratch", "sorry"})


def sureness(clause: Clause, thing: Thing, vocabulary: Vocabulary) -> float:
    """0 to 1: how sure it is that this clause tells of work on this thing."""
    sure = _named_sure(clause, thing)
    if clause.task in TO_TOOLS and _is_tool(thing, vocabulary):
        sure *= 0.4
    elif not _is_of_trade(thing, vocabulary):
        said = any(o.pos_ in ("NOUN", "PROPN") for o in clause.objects)
        pointed = "part-by-pointer" in thing.rules and "antecedent-worked" not in thing.rules
        guessed = clause.sense.light or pointed or (clause.sense.objects and not said)
        sure *= 0.4 if guessed else COMPOUND_SURE if " " in (thing.part or "") else UNKNOWN_SURE
    again = any(t.lower_ in ("again", "back") for t in clause.verb.doc[clause.verb.i + 1:clause.verb.i + 5])
    if not again and clause.verb.lemma_ in MOVING and clause.sense.particle in ("off", "out") and "part-by-pointer" in thing.rules:
        sure *= 0.75  # "it came out well", "it came off": seldom told of taking it off
    if _since(clause.verb) or _begins_again(clause):
        sure *= 0.6
    return sure


def questions(sure: float, judged: Standing, thing: Thing, verb: Token) -> tuple[str, ...]:
    """What to ask the builder about a record that is not sure enough; nothing where it is."""
    if sure >= ASKED_BELOW:
        return ()
    asked = []
    if thing.part and thing.confidence < NAMED_SURE and "part-named" not in thing.rules[:1]:
        asked.append(f"Is “{verb.text}” said of the {thing.part}?")
    if judged.status == "done" and judged.sure < NAMED_SURE:
        asked.append("Was it done, and by you?")
    return tuple(asked)


def _since(verb: Token) -> bool:
    """ "A year since the engine went up": told as something's time, not as news."""
    return verb.dep_ in ("advcl", "pcomp") and (
        any(c.lower_ == "since" for c in verb.children if c.dep_ == "mark") or verb.head.lower_ == "since")


def _begins_again(clause: Clause) -> bool:
    """ "I'm flaring, er, wait, I'm not": begun without its thing and taken back in the same breath."""
    after = clause.verb.doc[clause.verb.i + 1:min(clause.verb.i + 7, clause.verb.sent.end)]
    return not clause.objects and clause.group.progressive and any(t.lower_ in TAKEN_BACK for t in after)


def _named_sure(clause: Clause, thing: Thing) -> float:
    """How sure the thing is; a noun that stands beside the verb and in the part's name leaves little doubt."""
    nouns = {head.lemma_.lower() for head in clause.objects if head.pos_ in ("NOUN", "PROPN")}
    return max(thing.confidence, NAMED_SURE) if nouns & set((thing.part or "").split()) else thing.confidence


def _is_tool(thing: Thing, vocabulary: Vocabulary) -> bool:
    known = vocabulary.lexicon.thing(thing.part) if thing.part else None
    return known is not None and known.kind == "tool"


def _is_of_trade(thing: Thing, vocabulary: Vocabulary) -> bool:
    if thing.part is None:
        return False
    numbered = thing.part.rpartition(" ")[0]  # "bulkhead four"
    known = vocabulary.lexicon.thing(thing.part) or (numbered and vocabulary.lexicon.thing(numbered))
    return bool(known) or thing.part in vocabulary.assembly_words
