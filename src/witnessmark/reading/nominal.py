"""Work told by a noun: "did the layup", "the ribs got two coats of primer", "it needs a pressure test".

The noun names the task, the verb above it ("did", "got", "needs") has the standing, and the thing is the subject of
"got" or "needs", the noun behind "of" or "on", or the word before ("harness test").
"""
from __future__ import annotations

from collections.abc import Iterator

from spacy.tokens import Token

from witnessmark.reading.clauses import Clause
from witnessmark.reading.grammar import is_none_of, verb_group
from witnessmark.reading.vocabulary import Vocabulary
from witnessmark.trade.terms import TaskForm

# Verbs that carry a noun of work: with a person as subject, or with the thing itself as subject.
DOING = frozenset({"do", "finish", "start", "complete", "redo", "begin", "perform", "run", "skip", "knock", "wrap",
                   "make", "tackle", "conduct", "go", "pass", "repeat", "freeze", "schedule", "plan", "book", "owe",
                   "carry", "need", "want", "get", "have", "be", "happen", "attempt", "try", "fail", "hold"})
HAVING = frozenset({"get", "have", "need", "want", "require", "lack", "receive", "miss", "await", "deserve", "take"})
# Hardware and stuff that, had by a thing, tells the work: "the doubler got its rivets".
WORK_OF_STUFF = {"rivet": "rivet", "primer": "prime", "paint": "paint", "varnish": "seal", "sealant": "seal",
                 "sealer": "seal", "dope": "seal", "patch": "cover", "tape": "cover", "wire": "safety-wire",
                 "epoxy": "bond", "glue": "bond", "flox": "bond", "micro": "fill", "filler": "fill", "fabric": "cover",
                 "silver": "paint", "color": "paint", "colour": "paint", "alodine": "conversion-coat",
                 "topcoat": "paint", "cotter": "safety-wire", "torque": "torque", "bolts": "bolt"}
# What is made in a thing: "put a bend in the flange", "made the holes", "put the flares on".
WORK_OF_FEATURE = {"flare": "flare", "bend": "bend", "joggle": "bend", "flute": "bend", "crease": "bend", "dimple": "dimple",
                   "countersink": "countersink", "crimp": "crimp", "weld": "weld", "tack": "weld", "hole": "drill",
                   "notch": "cut", "slot": "cut", "scarf": "cut", "cutout": "cut", "chamfer": "deburr", "taper": "cut"}
# Verbs used as nouns after an article: "the rib got a sand", "gave the skin a good scuff".
WORK_OF_VERB = {"sand": "sand", "scuff": "sand", "rub": "sand", "buff": "sand", "polish": "sand", "trim": "cut", "wipe": "clean",
                "clean": "clean", "scrub": "clean", "degrease": "clean", "deburr": "deburr", "prime": "prime",
                "ream": "ream", "fill": "fill"}
ARTICLES = frozenset({"a", "an", "another", "its", "their", "one"})
MAKING = frozenset({"put", "make", "do", "add"})
COATS = frozenset({"coat", "layer", "pass", "skim", "lick", "dab", "smear"})
PLACES = ("on", "of", "to", "for", "onto", "over", "in", "around", "along", "between")


def find_nominal(vocabulary: Vocabulary, verbs: frozenset[int]) -> Iterator[Clause]:
    """The clauses of work told by nouns; `verbs` are the tokens that are predicates already."""
    seen: set[int] = set()
    for term in vocabulary.tasks:
        head = _head(vocabulary.doc[term.start:term.end].root)
        if vocabulary.things.get(head.i) is not None and vocabulary.things[head.i].kind == "part":
            continue
        if head.i in verbs or head.i in seen or any(i in verbs for i in range(term.start, term.end)):
            continue
        seen.add(head.i)
        yield from _clause(head, term.id, vocabulary)
    for token in vocabulary.doc:
        if token.i in seen or token.i in verbs:
            continue
        if token.lemma_.lower() in WORK_OF_STUFF:
            yield from _stuff(token, vocabulary)
        if token.lemma_.lower() in WORK_OF_FEATURE:
            yield from _feature(token, vocabulary, verbs)
        if token.lower_ in WORK_OF_VERB:
            yield from _turn(token, vocabulary)


def _head(noun: Token) -> Token:
    """The noun that stands for the whole phrase: "coats" of "coats of primer"."""
    at = noun
    for _ in range(3):
        if at.dep_ == "compound" and at.head.i > at.i:
            at = at.head
        elif at.dep_ == "pobj" and at.head.lower_ == "of" and at.head.head.lemma_.lower() in COATS | {"round", "bit",
                                                                                                      "lot"}:
            at = at.head.head
    return at


def _clause(noun: Token, task: str, vocabulary: Vocabulary) -> Iterator[Clause]:
    yield from _absent(noun, task, vocabulary)
    verb = _carrier(noun)
    if verb is None:
        if noun.dep_ == "ROOT" and noun.lemma_.lower() in COATS:
            yield Clause(noun, noun.lemma_, TaskForm(noun.lemma_, task), tuple(_places(noun, vocabulary)),
                         verb_group(noun),
                         "fragment")
        return
    lemma = verb.lemma_.lower()
    owner = _owner(verb, noun, vocabulary)
    if lemma in HAVING and owner is not None:
        yield _made(noun, task, (owner,), verb)
    elif lemma in DOING and _person_or_none(verb, noun):
        yield _made(noun, task, tuple(_places(noun, vocabulary)) or _modifier(noun, vocabulary), verb)


def _made(noun: Token, task: str, things: tuple[Token, ...], verb: Token) -> Clause:
    return Clause(verb, noun.lemma_, TaskForm(noun.lemma_, task), things, verb_group(verb), "nominal")


def _stuff(noun: Token, vocabulary: Vocabulary) -> Iterator[Clause]:
    """ "The doubler got its rivets", "has its safety wire": only where the thing itself has them."""
    top = _head(noun)
    yield from _absent(top, WORK_OF_STUFF[noun.lemma_.lower()], vocabulary)
    verb = _carrier(top)
    if verb is None or verb.lemma_.lower() not in HAVING:
        return
    owner = _owner(verb, top, vocabulary)
    if owner is not None and (verb.lemma_ in ("get", "have", "receive") or top.dep_ == "dobj"):
        yield _made(top, WORK_OF_STUFF[noun.lemma_.lower()], (owner,), verb)


def _turn(noun: Token, vocabulary: Vocabulary) -> Iterator[Clause]:
    """ "The left one got a sand", "gave the spar a quick wipe", "it could do with a scuff"."""
    verb = noun.head
    if noun.dep_ not in ("dobj", "obj") or not any(c.lower_ in ARTICLES for c in noun.children):
        return
    task = WORK_OF_VERB[noun.lower_]
    if verb.lemma_ == "give":
        things = [c for c in verb.children if c.dep_ == "dative" or (c.dep_ == "dobj" and c.i < noun.i)]
        if things:
            yield _made(noun, task, tuple(things[:1]), verb)
        return
    owner = _owner(verb, noun, vocabulary)
    if verb.lemma_ in HAVING and owner is not None:
        yield _made(noun, task, (owner,), verb)


def _feature(noun: Token, vocabulary: Vocabulary, verbs: frozenset[int]) -> Iterator[Clause]:
    """ "Put the flares on", "made a hole in the panel"."""
    verb = _carrier(noun)
    if verb is not None and verb.lemma_.lower() in MAKING and verb.i not in verbs and noun.pos_ == "NOUN":
        yield _made(noun, WORK_OF_FEATURE[noun.lemma_.lower()], tuple(_places(noun, vocabulary)), verb)


def _absent(noun: Token, task: str, vocabulary: Vocabulary) -> Iterator[Clause]:
    """ "It's still without its safety wire", "there's no sealant at all on that seam": not done."""
    while noun.dep_ == "pobj" and noun.head.lower_ == "of":
        noun = noun.head.head
    if noun.dep_ == "pobj" and noun.head.lower_ == "without" and noun.head.head.lemma_ in ("be", "'s"):
        subject = verb_group(noun.head.head).subject
        if subject is not None:
            yield _made(noun, task, (subject,), noun.head.head)
    elif noun.dep_ in ("attr", "nsubj", "dobj") and noun.head.lemma_ in ("be", "'s") and any(
            c.lower_ == "there" for c in noun.head.children):
        none = is_none_of(noun) or any(c.dep_ == "neg" for c in noun.head.children)
        things = tuple(_places(noun, vocabulary))
        if none and things:
            yield _made(noun, task, things, noun.head)


def _carrier(noun: Token) -> Token | None:
    """The verb that the noun is object of; or the subject of, in a passive or of "happen"."""
    if noun.dep_ in ("dobj", "obj", "nsubjpass") and noun.head.pos_ in ("VERB", "AUX"):
        return noun.head
    if noun.dep_ == "npadvmod" and noun.head.lemma_ == "do" and not any(c.dep_ == "dobj" for c in noun.head.children):
        return noun.head
    if noun.dep_ == "nsubj" and noun.head.lemma_.lower() in ("happen", "pass", "go", "freeze", "come"):
        return noun.head
    if noun.dep_ == "conj" and noun.head.pos_ in ("NOUN", "PROPN"):
        return _carrier(noun.head)
    return None


def _owner(verb: Token, noun: Token, vocabulary: Vocabulary) -> Token | None:
    """The thing that is subject of "got", "has" or "needs"; None for a person."""
    subject = verb_group(verb).subject
    if subject is None or subject == noun or subject.lower_ in ("i", "we", "you", "he", "she", "who", "they"):
        return None
    known = vocabulary.thing(subject) is not None or subject.pos_ in ("PRON", "DET") or subject.lower_ in ("one",
                                                                                                           "ones")
    return subject if known or any(vocabulary.thing(t) for t in subject.subtree if t.i <= subject.i) else None


def _person_or_none(verb: Token, noun: Token) -> bool:
    group = verb_group(verb)
    if group.passive or noun.dep_ in ("nsubj", "nsubjpass"):
        return True
    subject = group.subject
    if verb.lemma_ in ("have", "get", "be", "want", "make", "hold", "go"):
        return False
    return subject is None or subject.pos_ in ("PRON",
                                               "PROPN") or subject.ent_type_ == "PERSON" or verb.lemma_ in ("do",)


def _places(noun: Token, vocabulary: Vocabulary) -> Iterator[Token]:
    for at in (noun, noun.head):
        for prep in at.children:
            if prep.dep_ == "prep" and prep.lower_ in PLACES and prep.i > noun.i:
                for thing in prep.children:
                    if thing.dep_ == "pobj" and (vocabulary.thing(thing) is not None or thing.pos_ == "PRON"):
                        yield thing
                        return


def _modifier(noun: Token, vocabulary: Vocabulary) -> tuple[Token, ...]:
    """The part before the noun: "harness test", "rib deburring"."""
    found = [c for c in noun.children if c.dep_ in ("compound", "nmod", "poss") and vocabulary.thing(c) is not None]
    return tuple(found[-1:])
