"""The things that a verb is done to, wherever English puts them.

After the verb, as the subject of a passive, before the verb ("the ribs I did yesterday"), as the noun of a relative
clause, shared with a coordinated verb, in "had it welded", or behind a preposition ("a coat of primer on the ribs").
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator

from spacy.tokens import Token

from witnessmark.reading.grammar import PAST_ONLY, controller, is_conjunct, opens_as_verb, verb_group
from witnessmark.reading.reference_words import COLORS
from witnessmark.reading.vocabulary import Vocabulary, is_part, is_placeholder, is_time
from witnessmark.trade.terms import TaskForm

MOVING = frozenset({"go", "come"})
PLACE_PREPOSITIONS = ("on", "onto", "over", "to", "around", "along", "in", "into", "through", "across", "inside", "for",
                      "of", "at", "under", "between")
NOUNS = frozenset({"NOUN", "PROPN", "PRON", "NUM", "ADJ", "X", "DET"})
TAKES = frozenset({"take", "pull", "get", "remove", "unbolt", "unscrew", "lift", "drop", "slide"})
RESIDUE = frozenset({"burr", "residue", "squeeze", "flash", "slag", "overspray", "drip"})
RESULTS = COLORS | frozenset({"flat", "smooth", "flush", "square", "shut", "clean", "tight", "open", "straight", "solid"})
PIECES = frozenset({"piece", "bit", "strip", "length", "block", "wedge", "sliver", "plug", "section", "layer", "scrap"})
SPREAD = frozenset({"coat", "pass", "fillet", "layer", "lick", "dab", "skim", "smear", "squirt", "spray", "bead"})
COATING_KINDS = frozenset({"material", "consumable"})


def objects_of(verb: Token, vocabulary: Vocabulary) -> tuple[Token, ...]:
    """The heads of the things that a verb is done to, in order; a list counts each."""
    if any(is_time(c) or c.i in vocabulary.times for c in _direct(verb)):  # "the ribs I dimpled that Saturday"
        headed = fronted_object(verb) or ([verb.head] if verb.dep_ == "acl" and verb.tag_ == "VBN" else [])
        return tuple(one for head in headed for one in _conjuncts(head))
    for found in (_direct(verb), _passive(verb), _causee(verb), _antecedent(verb), _opened(verb),
                  _reduced(verb, vocabulary), fronted(verb), _shared(verb), _depictive(verb, vocabulary), _prepositional(verb, vocabulary)):
        things = tuple(one for head in found if not is_time(head) for one in _conjuncts(head)
                       if not is_time(one) and one.i not in vocabulary.times)
        if things:
            return _taken_up(verb, things, vocabulary)
    return ()


def _taken_up(verb: Token, things: tuple[Token, ...], vocabulary: Vocabulary) -> tuple[Token, ...]:
    """ "The primer, I sprayed it on the ribs": the pronoun's noun, where the same clause has it before its subject."""
    if len(things) != 1 or things[0].lower_ not in ("it", "them") or things[0].i < verb.i:
        return things
    named = [n for n in fronted(verb) if n.pos_ == "NOUN" and not is_time(n) and n.i not in vocabulary.times]
    return tuple(one for head in named for one in _conjuncts(head)) or things


def is_borrowed(verb: Token, objects: tuple[Token, ...]) -> bool:
    """True where the objects are those of a coordinated verb: "I bolted it on, dressed as a nurse"."""
    own = {c.i for c in verb.children} | {head.i for head in (*_passive(verb), *_causee(verb), *_antecedent(verb),
                                                              *fronted(verb))}
    return bool(objects) and objects[0].i not in own and any(head.i == objects[0].i for head in _shared(verb))


def _conjuncts(head: Token) -> Iterator[Token]:
    yield head
    for child in head.children:
        if child.dep_ == "conj" and child.pos_ in NOUNS and (child.pos_ != "ADJ" or is_placeholder(child)
                                                             or child.lower_ in ("left", "right", "other")):
            yield from _conjuncts(child)


def _direct(verb: Token) -> list[Token]:
    found = [c for child in verb.children for c in _with_colour(child) if c.dep_ in (
        "dobj", "obj", "nsubj") and (c.dep_ != "nsubj" or c.head != verb) and c.lower_ not in ("what", "which", "who", "that_")
             and (c.pos_ in NOUNS or c.lower_ == "that") and not (c.lower_ in ("that", "which") and verb.dep_ == "relcl" and c.i < verb.i)]
    things = [_counted(c) if c.lower_.endswith(("self", "selves")) else c for c in found]
    kept = [c for c in things if c is not None]
    return [_before_comma(c) for c in kept if c.i > verb.i][:1] or kept


def _with_colour(child: Token) -> list[Token]:
    """ "Painted the legs yellow": the legs, which the parser may take for the subject of the colour."""
    if child.dep_ in ("ccomp", "xcomp") and child.lower_ in RESULTS:
        return [c for c in child.children if c.dep_ == "nsubj"]
    return [child]


def _before_comma(noun: Token) -> Token:
    """ "I trimmed all four, shears and file": the number before the comma, though the parser made one phrase of it."""
    left = noun.doc[noun.left_edge.i:noun.i]
    comma = next((t.i for t in left if t.text == ","), None)
    numbers = [t for t in left if comma is not None and t.i < comma and t.pos_ in ("NUM", "PRON")]
    return numbers[-1] if numbers else noun


def _opened(verb: Token) -> Iterable[Token]:
    """ "Dimpled starboard skin." """
    return [verb.head] if opens_as_verb(verb) else []


def _reduced(verb: Token, vocabulary: Vocabulary) -> Iterable[Token]:
    """ "Ribs deburred.", "skin drilled Thursday": a passive without its auxiliary, on a thing without an article."""
    past = verb.tag_ in ("VBN", "VBD") and not any(c.dep_ in ("aux", "auxpass", "dobj", "obj") for c in verb.children)
    subject = next((c for c in verb.children if c.dep_ in ("nsubj", "nsubjpass") and c.i < verb.i), None)
    if not past or subject is None or not is_part(subject, vocabulary):
        return []
    if opens_with(verb):
        return [subject]
    return [] if any(c.dep_ in ("det", "poss") for c in subject.children) else [subject]


def opens_with(verb: Token) -> bool:
    """ "With the tank sealed, I …": a participle and its thing under "with", a passive without its auxiliary."""
    return verb.tag_ in ("VBN", "VBD") and any(c.lower_ == "with" and c.dep_ in ("mark", "prep") and c.i < verb.i
                                               for c in verb.children)


def _counted(reflexive: Token) -> Token | None:
    """The number of "built two myself"; None for "myself" alone, which is no thing worked on."""
    return next((c for c in reflexive.children if c.dep_ == "nummod"), None)


def _passive(verb: Token) -> Iterable[Token]:
    group = verb_group(verb)
    subject = group.subject or controller(verb)
    if not (group.passive or verb.lemma_ in MOVING) or subject is None or subject.lower_ in ("i", "we", "you", "he",
                                                                                             "she"):
        return []
    if subject.lower_ in ("that", "which", "who") and verb.dep_ == "relcl":
        return [verb.head]
    return [subject]


def _causee(verb: Token) -> Iterable[Token]:
    """ "Had the seats covered", "got it primed", "needs priming"."""
    governor = verb.head
    if governor == verb or verb.dep_ not in ("ccomp", "xcomp", "acl", "oprd", "advcl"):
        return []
    participle = verb.tag_ in ("VBN", "VBD") or verb.lower_.endswith("ed")
    if governor.lemma_ in ("have", "get", "want", "need", "see") and participle:
        own = [c for c in verb.children if c.dep_ in ("nsubj", "nsubjpass")]
        return own or [c for c in governor.children if c.dep_ == "dobj" and c.i < verb.i]
    if verb.lower_.endswith("ing") and governor.lemma_ in ("need", "want", "require", "take"):
        return [c for c in governor.children if c.dep_ == "nsubj"]
    if participle and governor.lemma_ in ("come", "arrive", "be", "need", "leave"):
        return [c for c in governor.children if c.dep_ in ("nsubj", "nsubjpass")]
    return []


def _antecedent(verb: Token) -> Iterable[Token]:
    """The noun of "the skin that I primed", "the skin primed last week"; of an embedded verb as well."""
    at = verb
    while at.dep_ in ("xcomp", "ccomp", "conj") and at.head.pos_ in ("VERB", "AUX") and at.head != at:
        at = at.head
    if at.dep_ == "relcl":
        return [at.head]
    if at.dep_ in ("advcl", "xcomp", "acl") and at.head.lower_ == "left" and at.head.dep_ == "acl":
        return [at.head.head]
    if at == verb and verb.dep_ == "acl" and (verb.tag_ == "VBN" or verb.lower_.endswith("ed") or verb.lower_ in PAST_ONLY):
        return [verb.head]
    return []


def _depictive(verb: Token, vocabulary: Vocabulary) -> Iterable[Token]:
    """ "The right one's lying there, all cut and dry fitted": a participle said of another verb's subject."""
    participle = verb.tag_ in ("VBN", "VBD") or verb.lower_.endswith("ed")
    if not participle or verb.dep_ not in ("advcl", "conj", "dep", "xcomp", "oprd", "acomp") or any(
            c.dep_ in ("aux", "auxpass", "nsubj", "nsubjpass") for c in verb.children):
        return []
    at = verb
    while at.dep_ == "conj" and at.head.pos_ in ("VERB", "ADJ") and not verb_group(at.head).subject and at.head != at:
        at = at.head
    subject = verb_group(at.head).subject if at.head != at else None
    if subject is None or subject.lower_ in ("i", "we", "you", "he", "she", "they"):
        return []
    return [subject] if vocabulary.thing(subject) is not None or is_placeholder(subject) else []


def fronted_object(verb: Token) -> list[Token]:
    """The noun that a clause with its own subject has before it: "the ribs I dimpled", "the ribs, I dimpled"."""
    if verb_group(verb).subject is None:
        return []
    return list(fronted(verb)) or [noun for noun in _antecedent(verb) if noun.pos_ in NOUNS and not is_time(noun)]


def fronted(verb: Token) -> Iterable[Token]:
    """ "The left leg I welded on Sunday", "the nine I finished cleaning": a noun before the subject."""
    while verb.dep_ == "xcomp" and verb_group(verb).subject is None and verb.head != verb and verb.head.pos_ == "VERB":
        verb = verb.head
    group = verb_group(verb)
    if group.subject is None:
        return []
    before = [c for c in verb.children if c.i < group.subject.i and c.pos_ in ("NOUN", "PROPN", "PRON", "NUM")
              and c.dep_ in ("dep", "nsubj", "nsubjpass", "dobj", "ccomp", "npadvmod", "attr", "appos", "oprd")
              and c != group.subject and c.lower_ not in ("what", "who", "which")]
    return before[-1:]


def _shared(verb: Token) -> Iterable[Token]:
    """The object of a coordinated verb: "cut, drilled and deburred the brackets"."""
    for other in _coordinated_after(verb):
        found = list(_direct(other))
        if found:
            return found
    if is_conjunct(verb):
        first = verb.head
        return _direct(first) or [*_passive(first), *_causee(first), *fronted(first), *_antecedent(first)] or list(_shared_up(first))
    return []


def _shared_up(verb: Token) -> Iterable[Token]:
    return _shared(verb) if verb.dep_ == "conj" else []


def _coordinated_after(verb: Token) -> Iterator[Token]:
    for child in verb.children:
        if child.i > verb.i and is_conjunct(child):
            if any(c.dep_ in ("nsubj", "nsubjpass") for c in child.children):
                continue
            yield child
            yield from _coordinated_after(child)


def _prepositional(verb: Token, vocabulary: Vocabulary) -> Iterable[Token]:
    """ "Drilled through the spar", "the riveting of the skins": a thing of the trade behind a preposition."""
    nouns = [noun for prep in verb.children if prep.dep_ == "prep" and prep.lower_ in PLACE_PREPOSITIONS
             for noun in prep.children if noun.dep_ == "pobj"]
    named = [noun for noun in nouns if is_part(noun, vocabulary)]
    return named[:1]


def cleaned_of(verb: Token, objects: tuple[Token, ...], vocabulary: Vocabulary) -> tuple[Token, ...]:
    """ "Wiped the grease off the flange", "ground the paint off it": the thing is behind "off"."""
    if any(is_part(o, vocabulary) for o in objects):
        return objects
    if verb.lemma_ in TAKES and any(o.pos_ == "NOUN" and o.lemma_.lower() not in RESIDUE for o in objects):
        return objects  # "took the bowl off the carburetor"
    found = [noun for at in (verb, *objects) for prep in at.children
             if prep.dep_ == "prep" and prep.lower_ in ("off", "from") for noun in prep.children if noun.dep_ == "pobj" and (is_part(noun, vocabulary) or is_placeholder(noun))]
    if found and any(t.lower_ == "squeeze" for o in objects for t in o.children):
        return tuple(found[:1])
    residue = bool(objects) and all(o.lemma_.lower() in RESIDUE or any(t.lower_ == "squeeze" for t in o.children)
                                    for o in objects)
    if not found and residue:
        return tuple(list(fronted(verb))[:1])
    return tuple(found[:1]) or objects


def _is_piece(noun: Token, vocabulary: Vocabulary) -> bool:
    """ "A wedge of spruce", "a new piece of ply": what is let into a thing, and no part by itself."""
    stuff = [n for prep in noun.children if prep.lower_ == "of" for n in prep.children]
    return noun.lemma_ in PIECES and any((term := vocabulary.things.get(n.i)) is not None and term.kind in COATING_KINDS
                                         for n in stuff)


def beneath_material(verb: Token, sense: TaskForm, objects: tuple[Token, ...],
                      vocabulary: Vocabulary) -> tuple[Token, ...]:
    """ "Shot primer on the ribs", "gave the ribs two coats": the thing is the ribs, not the primer."""
    kinds = [term.kind if (term := vocabulary.things.get(o.i)) else "" for o in objects]
    if not objects or not (set(kinds) <= COATING_KINDS or objects[0].lemma_ in SPREAD
                           or (sense.task in ("bond", "layup") and _is_piece(objects[0], vocabulary))):
        return objects
    if not sense.objects and sense.task not in ("paint", "prime", "seal", "fill", "cover", "bond", "layup"):
        return objects
    places = [noun for at in (verb, *objects) for prep in at.children if prep.dep_ == "prep"
              and prep.lower_ in PLACE_PREPOSITIONS and prep.lower_ != "of" for noun in prep.children
              if noun.dep_ == "pobj" and not is_time(noun)]
    datives = [c for c in verb.children if c.dep_ == "dative" and c.pos_ in NOUNS]
    parts = [p for p in (*datives, *places) if p in datives or is_part(p, vocabulary) or p.pos_ == "PRON"
             or (is_placeholder(p) and p.pos_ == "NUM")]
    return tuple(parts[:1]) or objects
