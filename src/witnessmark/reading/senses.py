"""Which sense of a trade verb is meant: by its particle, its object, or what its pronoun stands for."""
from __future__ import annotations

from collections.abc import Mapping

from spacy.tokens import Token

from witnessmark.reading.grammar import verb_group
from witnessmark.reading.objects import fronted
from witnessmark.reading.vocabulary import Vocabulary, in_time, is_placeholder, words
from witnessmark.trade.inflect import american
from witnessmark.trade.terms import TaskForm

PARTICLES = frozenset({"on", "off", "in", "out", "up", "down", "together", "back", "over", "through", "apart", "into",
                       "onto", "around", "away", "home", "along", "from", "with", "to", "for", "tight", "smooth"})
FILLERS = frozenset({"right", "straight", "all", "just", "um", "uh", "both", "again", "clean", "it", "them", "those",
                     "that", "these", "this", "one"})


def particle_of(verb: Token, vocabulary: Vocabulary) -> str | None:
    """The particle of a phrasal verb: "drill out", "take back off"; None without one."""
    inside = {t.i for c in verb.children if c.dep_ in ("dobj", "nsubjpass", "dative") and c.i > verb.i
              for t in c.subtree}
    found: list[Token] = []
    for token in verb.doc[verb.i + 1:min(verb.i + 14, len(verb.doc))]:
        if token.lower_ in PARTICLES and token.dep_ != "aux" and _is_particle(token, verb, vocabulary, bool(found)):
            found.append(token)
        elif found or not (token.i in inside or token.lower_ in FILLERS
                           or (token.tag_ == "RB" and token.i < verb.i + 4)):
            break
    return " ".join(token.lower_ for token in found[:2]) or None


def _is_particle(token: Token, verb: Token, vocabulary: Vocabulary, second: bool) -> bool:
    """True for an adverb of direction; of a preposition only where its noun is a place on the airplane."""
    if token.head != verb and token.head.head != verb and (token.dep_ != "prt" or _of_another(token, verb)):
        return False
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    if after is not None and after.lower_ == "of" and token.lower_ == "out":
        return False
    nouns = [c for c in token.children if c.dep_ in ("pobj", "pcomp")]
    if not nouns or _place_particle(token, vocabulary):
        return True
    return not second and _before_time(token, verb, nouns[0], vocabulary)


def _of_another(particle: Token, verb: Token) -> bool:
    """ "Got the ribs primed before the heater went out": the particle of a later verb."""
    return particle.head.i > verb.i and particle.head.pos_ == "VERB"


def _before_time(token: Token, verb: Token, noun: Token, vocabulary: Vocabulary) -> bool:
    """ "Put the fasteners in today", "the plies went on Wednesday": a particle, and then a time."""
    if not in_time(noun, vocabulary):
        return False
    if noun.lower_ in ("today", "yesterday", "tonight",
                       "tomorrow") or (noun.left_edge.lower_ in ("last", "this", "that")):
        return True
    if token.lower_ in ("in", "off", "up", "out", "down") and noun.lower_.endswith("day"):
        return True  # nobody says "in Monday"
    subject = verb_group(verb).subject
    return (token.lower_ == "on" and verb.lemma_ == "go" and subject is not None
            and vocabulary.thing(subject) is not None)


def _place_particle(prep: Token, vocabulary: Vocabulary) -> bool:
    """True for "on the wing", "in it"; not for "on Monday", "in the scrap bin", "in an hour"."""
    if prep.lower_ not in ("on", "in", "off", "into", "onto", "over", "through"):
        return False
    nouns = [c for c in prep.children if c.dep_ == "pobj"]
    return bool(nouns) and not any(in_time(n, vocabulary) for n in nouns)


def choose_sense(verb: Token, lemma: str, particle: str | None, objects: tuple[Token, ...], vocabulary: Vocabulary,
                 names: Mapping[int, str | None] | None = None) -> TaskForm | None:
    """The sense that fits particle and object best; None where every sense wants another object.

    `names` are the things that pronouns stand for, by token; without it a pronoun may stand for any.
    """
    best: tuple[int, TaskForm] | None = None
    options = particle_options(particle)
    for form in vocabulary.lexicon.task_forms(lemma):
        if form.particle is not None and (form.particle not in options or _only_a_place(form, verb, vocabulary)):
            continue
        if f"{lemma} {form.particle or particle} {form.task}" in words("never"):
            continue
        if lemma == "get" and form.task == "remove" and _from_somebody(verb, vocabulary):
            continue
        if form.objects and (not _fits(form, verb, objects, vocabulary, names) or _other_particle(form, verb, particle)):
            continue
        if form.light and not _is_work(verb, form, objects, vocabulary):
            continue
        named = bool(form.objects) and any(_is_one_of(o, form.objects, vocabulary, names)
                                           and (o.pos_ != "PRON" or names)
                                             for o in objects)
        value = 2 * bool(form.objects) + 2 * named + 2 * len((form.particle or "").split()) - form.light
        value -= 6 * (f"{lemma} {form.particle} {form.task}" in words("unusual"))
        if best is None or value > best[0]:
            best = (value, form)
    return best[1] if best else None


def _from_somebody(verb: Token, vocabulary: Vocabulary) -> bool:
    """ "The bolts I got off the same outfit" were bought; "got the bolts off the old wing" is work."""
    return any(noun.dep_ == "pobj" and noun.pos_ in ("NOUN", "PROPN") and vocabulary.thing(noun) is None
               for prep in verb.children if prep.lower_ == "off" for noun in prep.children)


PUT_ON = frozenset({"prime", "paint", "seal", "layup", "cover", "fill", "bond"})  # what goes on a thing


def _only_a_place(form: TaskForm, verb: Token, vocabulary: Vocabulary) -> bool:
    """ "Cut the holes in the spar" is no "cut in": before a noun, only installing and removing have a particle."""
    if form.task in ("install", "remove", "assemble", "fit") or form.light or (form.task in PUT_ON and form.particle != "in"):
        return False
    if form.particle not in ("in", "on", "off", "through", "over"):
        return False
    preps = [prep for at in (verb, *(c for c in verb.children if c.dep_ == "dobj")) for prep in at.children]
    return any(noun.dep_ == "pobj" and not in_time(noun, vocabulary) for prep in preps
               if prep.lower_ == form.particle and prep.dep_ == "prep" for noun in prep.children)


def _other_particle(form: TaskForm, verb: Token, particle: str | None) -> bool:
    """True where the verb has a particle of its own that this sense does not have: "turned off the light".

    The preposition of "shot the rivets on the skin" is none.
    """
    first = (particle or "").split()[:1]
    if form.particle is not None or first not in (["off"], ["on"], ["over"], ["around"], ["out"], ["away"]):
        return False
    word = next((t for t in verb.doc[verb.i + 1:verb.i + 14] if t.lower_ == first[0]), None)
    return word is None or not any(c.dep_ == "pobj" for c in word.children)


def particle_options(particle: str | None) -> frozenset[str]:
    if not particle:
        return frozenset()
    words = particle.split()
    return frozenset({particle, *words})


def _fits(form: TaskForm, verb: Token, objects: tuple[Token, ...], vocabulary: Vocabulary,
          names: Mapping[int, str | None] | None) -> bool:
    nouns = list(objects) + [noun for prep in verb.children if prep.dep_ == "prep"
                             and prep.lower_ in ("with", "of", "off", "from")
                             for noun in prep.children if noun.dep_ == "pobj"]
    direct = [c for c in verb.children if c.dep_ in ("dobj", "nsubjpass")]
    nouns += direct
    if any(c.lower_ in ("it", "them") for c in direct):
        nouns += fronted(verb)  # "the primer, I sprayed it on the ribs"
    nouns += _counted(verb, objects)
    return any(_is_one_of(noun, form.objects, vocabulary, names) for noun in nouns)


def _counted(verb: Token, objects: tuple[Token, ...]) -> list[Token]:
    """What the objects are amounts of: the primer of "put two coats of primer on the cowling"."""
    direct = [c for c in verb.children if c.dep_ in ("dobj", "nsubjpass")]
    return [noun for o in {*objects, *direct} for prep in o.children if prep.lower_ == "of" for noun in prep.children]


def is_named(noun: Token, form: TaskForm, vocabulary: Vocabulary) -> bool:
    """True where a sense names the very thing, not only its kind: "pulled peel ply"."""
    return noun.pos_ in ("NOUN", "PROPN") and _is_one_of(noun, form.objects - {"part", "tool", "material", "consumable"},
                                                          vocabulary)


def _is_one_of(noun: Token, wanted: frozenset[str], vocabulary: Vocabulary,
               names: Mapping[int, str | None] | None = None) -> bool:
    if {american(noun.lemma_.lower()), noun.lower_} & wanted:
        return True
    term = vocabulary.things.get(noun.i)
    if term is None:
        if noun.i in vocabulary.assemblies:
            return "part" in wanted
        stands = noun.lower_ in ("it", "them", "those", "these", "that", "this") or is_placeholder(noun)
        if not stands or names is None:
            return stands
        name = names.get(noun.i)
        return name is not None and ("part" in wanted or any(
            name == word or name.endswith(" " + word) for word in wanted))
    return term.kind in wanted or term.id in wanted or term.id.rpartition(" ")[2] in wanted


def _is_work(verb: Token, form: TaskForm, objects: tuple[Token, ...], vocabulary: Vocabulary) -> bool:
    """Everyday verbs are work only on a thing of the trade, on a pronoun, or with what the sense names."""
    if form.objects and any(_is_one_of(noun, form.objects, vocabulary) for noun in _counted(verb, objects)):
        return True
    if any(is_named(noun, form, vocabulary) for noun in objects):
        return True
    for noun in objects:
        if noun.lower_ in words("no_objects"):
            continue
        term = vocabulary.things.get(noun.i)
        if noun.i in vocabulary.assemblies or (term is not None and term.kind in ("part", "material")):
            return True
        if noun.pos_ in ("PRON", "DET") and noun.lower_ not in ("i", "we", "he", "she"):
            return True
        if is_placeholder(noun) and (noun.pos_ != "NUM" or noun.lower_ == "one" or form.task == "fabricate"):
            return True
    return False
