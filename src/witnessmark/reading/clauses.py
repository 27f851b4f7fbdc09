"""Clauses of work: a predicate of the trade with its particle, its sense and the things that it is done to.

Objects are found wherever English puts them: after the verb, as the subject of a passive, before the verb ("the
ribs I did yesterday"), as the noun of a relative clause, shared with a coordinated verb, in "had it welded", or
behind a preposition ("a coat of primer on the ribs").
"""
from __future__ import annotations

import functools
import tomllib
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib import resources

from spacy.tokens import Doc, Token

from witnessmark.reading.grammar import VerbGroup, controller, verb_group
from witnessmark.trade.lexicon import Lexicon
from witnessmark.trade.terms import TaskForm, Term

PARTICLES = frozenset({"on", "off", "in", "out", "up", "down", "together", "back", "over", "through", "apart", "into",
                       "onto", "around", "away", "home", "along", "from", "with", "to", "for", "tight", "smooth"})
# Verbs whose subject is the thing worked on: "the skin went on", "the tank came out".
FILLERS = frozenset({"right", "straight", "all", "just", "um", "uh", "both", "again", "clean", "it", "them", "those", "that",
                     "these", "this", "one"})
MOVING = frozenset({"go", "come"})
PLACE_PREPOSITIONS = ("on", "onto", "over", "to", "around", "along", "in", "into", "through", "across", "inside", "for",
                      "of", "at", "under", "between")
NOUNS = frozenset({"NOUN", "PROPN", "PRON", "NUM", "ADJ", "X", "DET"})
TIME_NOUNS = frozenset({"hour", "minute", "day", "night", "evening", "morning", "afternoon", "weekend", "week", "month",
                        "year", "today", "yesterday", "tomorrow", "tonight", "monday", "tuesday", "wednesday", "thursday",
                        "friday", "saturday", "sunday", "time", "way", "lot", "bit", "while", "summer", "winter", "spring"})
COATING_KINDS = frozenset({"material", "consumable"})


@dataclass(frozen=True)
class Clause:
    """One predicate of work. `objects` are the head tokens of the things worked on, none where elided.

    `kind` is verb or nominal ("two coats of primer"); `sense` tells the task; `particle` as spoken.
    """

    verb: Token
    lemma: str
    sense: TaskForm
    objects: tuple[Token, ...]
    group: VerbGroup
    kind: str = "verb"
    particle: str | None = None

    @property
    def task(self) -> str:
        return self.sense.task


class Vocabulary:
    """The trade's terms of one text, by token."""

    def __init__(self, doc: Doc, lexicon: Lexicon, times: Collection[int] = ()) -> None:
        """`times` are the tokens of expressions of time, which are never things or places."""
        self.lexicon, self.doc, self.times = lexicon, doc, frozenset(times)
        self.things: dict[int, Term] = {}
        self.tasks: list[Term] = []
        for term in lexicon.terms(doc):
            if term.kind == "task":
                self.tasks.append(term)
            elif term.kind != "assembly":
                self.things.update(dict.fromkeys(range(term.start, term.end), term))
        self.assemblies = {at: term for term in lexicon.terms(doc) if term.kind == "assembly"
                           for at in range(term.start, term.end)}
        self.assembly_words = frozenset(word for _, words in lexicon.assemblies.values() for word in words)

    def thing(self, token: Token) -> Term | None:
        """The thing or assembly that this token's phrase names."""
        return self.things.get(token.i) or self.assemblies.get(token.i)


@functools.cache
def words(name: str) -> frozenset[str]:
    """One list of data/verbs.toml."""
    text = resources.files("witnessmark.reading").joinpath("data", "verbs.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)[name])


def find_clauses(doc: Doc, vocabulary: Vocabulary) -> Iterator[Clause]:
    """All clauses of work in order of their predicate."""
    for token in doc:
        lemma = vocabulary.lexicon.verb_of(token)
        if lemma is None or _is_plural(token, lemma) or _is_possession(token) or _is_modifier(token) or _is_noun(token) or _tells_a_result(token):
            continue
        said = _cleaned_of(token, objects_of(token, vocabulary), vocabulary)
        if said and all(o.lower_ in words("no_objects") for o in said):
            continue
        particle = particle_of(token, vocabulary)
        sense = choose_sense(token, lemma, particle, said, vocabulary)
        if sense is None or not _strong_enough(token, sense, said, vocabulary):
            continue
        objects = _beneath_material(token, sense, said, vocabulary)
        objects = tuple(o for o in objects if not _is_tool(o, sense, vocabulary)) or objects[:0]
        group = verb_group(token)
        if not _happens_by_itself(token, group, said) and not _put_away(token, sense, vocabulary):
            yield Clause(token, lemma, sense, objects, group, "verb", particle)


def _is_tool(token: Token, sense: TaskForm, vocabulary: Vocabulary) -> bool:
    """A tool beside the things worked on ("bent all five, hammer and block") is no thing worked on."""
    term = vocabulary.things.get(token.i)
    return term is not None and term.kind == "tool" and sense.task not in (
        "fabricate", "clean", "install", "remove", "assemble", "test", "inspect", "inventory")


def _strong_enough(verb: Token, sense: TaskForm, objects: tuple[Token, ...], vocabulary: Vocabulary) -> bool:
    """Everyday verbs need a thing named outright; a pronoun will do for some of them."""
    lemma = sense.lemma
    if lemma not in words("weak"):
        return True
    group = verb_group(verb)
    if group.passive and group.tense == "present" and not any(a.lemma_ == "get" for a in group.auxiliaries):
        return lemma in words("pronoun")
    if any(_is_part(o, vocabulary) for o in objects):
        return True
    if lemma in words("named"):
        return False
    if any(_is_placeholder(o) for o in objects):
        return True
    if any(vocabulary.things.get(o.i) is not None and any(c.dep_ == "det" for c in o.children) for o in objects):
        return True
    phrasal = sense.particle is not None and lemma not in ("set", "pull", "run", "drive", "hit", "check")
    return (lemma in words("pronoun") or phrasal) and any(o.pos_ in ("PRON", "DET") and o.lower_ not in ("this", "what") for o in objects)


def _is_placeholder(token: Token) -> bool:
    if token.lower_ in ("half", "all") and not any(c.dep_ == "det" for c in token.children):
        return False
    return token.lower_ in ("one", "ones", "other", "others", "half", "those", "them", "these", "lot", "rest", "pair", "set",
                            "both", "all") or (token.pos_ == "NUM" and token.dep_ in ("dobj", "nsubjpass", "nsubj"))


def _happens_by_itself(verb: Token, group: VerbGroup, objects: tuple[Token, ...]) -> bool:
    """ "The gasket folded over", "it fit", "the pipe rolled off": nobody did it. "The skin went on" is told of work."""
    subject = group.subject
    if group.passive or verb.lemma_ in MOVING or subject is None or group.form not in ("finite", "gerund"):
        return False
    if any(c.dep_ in ("dobj", "obj") for c in verb.children) or _under_causative(verb):
        return False
    if subject.lower_ in ("it", "that", "this", "these", "those", "which", "they", "everything"):
        return True
    return subject.pos_ == "NOUN" and subject.ent_type_ != "PERSON" and any(
        c.dep_ in ("det", "poss") and c.lower_ not in ("my",) for c in subject.children) and not _may_be_person(subject)


def _under_causative(verb: Token) -> bool:
    """ "Had it welded", "the plans want the axles welded": the subject is the thing worked on."""
    return verb.dep_ in ("ccomp", "xcomp") and verb.head.lemma_ in ("have", "get", "want", "need", "see", "like", "call")


def _may_be_person(noun: Token) -> bool:
    return any(c.dep_ == "conj" for c in noun.children) or noun.head.lemma_ == "be"


def _put_away(verb: Token, sense: TaskForm, vocabulary: Vocabulary) -> bool:
    """ "Went in the scrap bin", "hung on the wall", "dropped it at the shop": moved, not installed or removed."""
    if sense.task not in ("install", "remove") or not (sense.light or verb.lemma_ in ("hang", "drop", "mount", "set", "pull")):
        return False
    preps = [p for c in verb.children for p in (c, *c.children) if p.i > verb.i]
    for prep in preps:
        if prep.dep_ == "prep" and prep.lower_ in ("in", "on", "at", "to", "into", "onto", "off", "of", "as", "from", "out",
                                                   "for"):
            for noun in prep.children:
                if noun.dep_ == "pobj" and not _in_time(noun, vocabulary) and not _is_part(noun, vocabulary) \
                        and noun.pos_ not in ("PRON", "NUM", "ADJ"):
                    return True
                if prep.lower_ in ("at", "as"):
                    return True
    return False


def _in_time(token: Token, vocabulary: Vocabulary) -> bool:
    return token.i in vocabulary.times or _is_time(token) or token.ent_type_ in ("DATE", "TIME", "ORDINAL")


def _is_plural(token: Token, lemma: str) -> bool:
    """ "Glasses", "rivets": spelled like a verb's third person, but tagged as no verb."""
    return token.lower_.endswith("s") and not lemma.endswith("s") and token.tag_ not in ("VBZ", "VBD", "VBN")


def _is_possession(token: Token) -> bool:
    """ "I've got the right one in the tool", "made him say it": having and causing, no work."""
    if token.lemma_ == "get" and token.lower_ == "got":
        return any(c.dep_ == "aux" and c.lemma_ == "have" for c in token.children)
    return token.lemma_ == "make" and any(c.dep_ in ("ccomp", "xcomp") and c.pos_ == "VERB" for c in token.children)


def _is_modifier(token: Token) -> bool:
    """ "The riveted skin", "drilled holes", "welding gloves": a participle before its noun is no clause."""
    if token.dep_ == "amod" and token.head.i > token.i and token.head.pos_ in ("NOUN", "PROPN"):
        return True
    return token.dep_ == "compound" and token.head.i > token.i


def _is_noun(token: Token) -> bool:
    """True for a word tagged and used as a noun ("went to bed", "a coat of paint"), unless "to" makes it a verb."""
    if token.tag_ not in ("NN", "NNS", "NNP", "NNPS") or token.lower_.endswith(("ing", "ed")):
        return False
    if token.dep_ not in ("pobj", "dobj", "nsubj", "nsubjpass", "attr", "conj", "appos", "npadvmod", "nmod", "poss"):
        return False
    before = token.nbor(-1).lower_ if token.i else ""
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    return not (before in ("to", "'ll", "will", "i", "we") and after is not None and after.pos_ in ("DET", "PRON", "NOUN"))


def _tells_a_result(token: Token) -> bool:
    """ "It came out dead straight", "that went well": how it turned out, not that it was taken out."""
    if token.lemma_ not in MOVING:
        return False
    following = [t for t in token.doc[token.i + 1:token.i + 5] if not t.is_punct]
    words = [t for t in following if t.lower_ not in PARTICLES]
    looks = bool(words) and (words[0].pos_ == "ADJ" or words[0].lower_ in (
        "well", "fine", "nice", "great", "good", "perfect", "dead", "real", "pretty", "really", "so", "very", "shining"))
    return looks and following[0].lower_ == "out" or any(c.dep_ in ("acomp", "oprd") for c in token.children)


# ---- objects -----------------------------------------------------------------

def objects_of(verb: Token, vocabulary: Vocabulary) -> tuple[Token, ...]:
    """The heads of the things that a verb is done to, in order; a list counts each."""
    if any(_is_time(c) or c.i in vocabulary.times for c in _direct(verb)):
        return ()
    for found in (_direct(verb), _passive(verb), _causee(verb), _antecedent(verb), _fronted(verb),
                  _shared(verb), _depictive(verb, vocabulary), _prepositional(verb, vocabulary)):
        things = tuple(one for head in found if not _is_time(head) for one in _conjuncts(head)
                       if not _is_time(one) and one.i not in vocabulary.times)
        if things:
            return things
    return ()


def _is_time(token: Token) -> bool:
    return token.lemma_.lower() in TIME_NOUNS


def _conjuncts(head: Token) -> Iterator[Token]:
    yield head
    for child in head.children:
        if child.dep_ == "conj" and child.pos_ in NOUNS:
            yield from _conjuncts(child)


def _direct(verb: Token) -> list[Token]:
    found = [c for c in verb.children if c.dep_ in ("dobj", "obj") and c.lower_ not in ("what", "which", "who", "that_")
             and c.pos_ in NOUNS and not (c.lower_ in ("that", "which") and verb.dep_ == "relcl" and c.i < verb.i)]
    found = [_counted(c) if c.lower_.endswith(("self", "selves")) else c for c in found]
    after = [c for c in found if c is not None and c.i > verb.i]
    return after[:1] or [c for c in found if c is not None]


def _counted(reflexive: Token) -> Token | None:
    """The number of "built two myself"; None for "myself" alone, which is no thing worked on."""
    return next((c for c in reflexive.children if c.dep_ == "nummod"), None)


def _passive(verb: Token) -> Iterable[Token]:
    group = verb_group(verb)
    subject = group.subject or controller(verb)
    if not (group.passive or verb.lemma_ in MOVING) or subject is None or subject.lower_ in ("i", "we", "you", "he", "she"):
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
    if at == verb and verb.dep_ == "acl" and (verb.tag_ == "VBN" or verb.lower_.endswith("ed")):
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
    return [subject] if vocabulary.thing(subject) is not None or _is_placeholder(subject) else []


def _fronted(verb: Token) -> Iterable[Token]:
    """ "The left leg I welded on Sunday", "the nine I finished cleaning": a noun before the subject."""
    while verb.dep_ == "xcomp" and verb_group(verb).subject is None and verb.head != verb and verb.head.pos_ == "VERB":
        verb = verb.head
    group = verb_group(verb)
    if group.subject is None:
        return []
    before = [c for c in verb.children if c.i < group.subject.i and c.pos_ in ("NOUN", "PROPN", "PRON")
              and c.dep_ in ("dep", "nsubj", "nsubjpass", "dobj", "ccomp", "npadvmod", "attr", "appos", "oprd")
              and c != group.subject and c.lower_ not in ("what", "who", "which")]
    return before[-1:]


def _shared(verb: Token) -> Iterable[Token]:
    """The object of a coordinated verb: "cut, drilled and deburred the brackets"."""
    for other in _coordinated_after(verb):
        found = list(_direct(other))
        if found:
            return found
    if verb.dep_ == "conj" and verb.head.pos_ in ("VERB", "AUX"):
        return list(_direct(verb.head)) or list(_passive(verb.head)) or list(_shared_up(verb.head))
    return []


def _shared_up(verb: Token) -> Iterable[Token]:
    return _shared(verb) if verb.dep_ == "conj" else []


def _coordinated_after(verb: Token) -> Iterator[Token]:
    for child in verb.children:
        if child.dep_ == "conj" and child.i > verb.i:
            if any(c.dep_ in ("nsubj", "nsubjpass") for c in child.children):
                continue
            yield child
            yield from _coordinated_after(child)


def _prepositional(verb: Token, vocabulary: Vocabulary) -> Iterable[Token]:
    """ "Drilled through the spar", "the riveting of the skins": a thing of the trade behind a preposition."""
    nouns = [noun for prep in verb.children if prep.dep_ == "prep" and prep.lower_ in PLACE_PREPOSITIONS
             for noun in prep.children if noun.dep_ == "pobj"]
    named = [noun for noun in nouns if _is_part(noun, vocabulary)]
    return named[:1]


def _cleaned_of(verb: Token, objects: tuple[Token, ...], vocabulary: Vocabulary) -> tuple[Token, ...]:
    """ "Wiped the grease off the flange", "ground the paint off it": the thing is behind "off"."""
    if any(_is_part(o, vocabulary) for o in objects):
        return objects
    found = [noun for prep in verb.children if prep.dep_ == "prep" and prep.lower_ in ("off", "from")
             for noun in prep.children if noun.dep_ == "pobj" and (_is_part(noun, vocabulary) or _is_placeholder(noun))]
    if not found and any(o.lemma_.lower() in ("burr", "residue", "squeeze", "flash") for o in objects):
        found = list(_fronted(verb))
    return tuple(found[:1]) or objects


def _is_part(noun: Token, vocabulary: Vocabulary) -> bool:
    term = vocabulary.thing(noun)
    return term is not None and term.kind in ("part", "assembly")


def _beneath_material(verb: Token, sense: TaskForm, objects: tuple[Token, ...],
                      vocabulary: Vocabulary) -> tuple[Token, ...]:
    """ "Shot primer on the ribs", "gave the ribs two coats": the thing is the ribs, not the primer."""
    kinds = [term.kind if (term := vocabulary.things.get(o.i)) else "" for o in objects]
    if not objects or not (set(kinds) <= COATING_KINDS or objects[0].lemma_ in ("coat", "pass", "fillet", "layer")):
        return objects
    if not sense.objects and sense.task not in ("paint", "prime", "seal", "fill", "cover", "bond", "layup"):
        return objects
    places = [noun for at in (verb, *objects) for prep in at.children if prep.dep_ == "prep"
              and prep.lower_ in PLACE_PREPOSITIONS and prep.lower_ != "of" for noun in prep.children
              if noun.dep_ == "pobj" and not _is_time(noun)]
    datives = [c for c in verb.children if c.dep_ == "dative" and c.pos_ in NOUNS]
    parts = [p for p in (*datives, *places) if p in datives or _is_part(p, vocabulary) or p.pos_ == "PRON"]
    return tuple(parts[:1]) or objects


# ---- particle and sense ------------------------------------------------------

def particle_of(verb: Token, vocabulary: Vocabulary) -> str | None:
    """The particle of a phrasal verb: "drill out", "take back off"; None without one."""
    inside = {t.i for c in verb.children if c.dep_ in ("dobj", "nsubjpass", "dative") and c.i > verb.i for t in c.subtree}
    found: list[Token] = []
    for token in verb.doc[verb.i + 1:min(verb.i + 14, len(verb.doc))]:
        if token.lower_ in PARTICLES and token.dep_ != "aux" and _is_particle(token, verb, vocabulary, bool(found)):
            found.append(token)
        elif found or not (token.i in inside or token.lower_ in FILLERS or token.tag_ == "RB" and token.i < verb.i + 4):
            break
    return " ".join(token.lower_ for token in found[:2]) or None


def _is_particle(token: Token, verb: Token, vocabulary: Vocabulary, second: bool) -> bool:
    """True for an adverb of direction; of a preposition only where its noun is a place on the airplane."""
    if token.head != verb and token.head.head != verb and token.dep_ != "prt":
        return False
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    if after is not None and after.lower_ == "of" and token.lower_ == "out":
        return False
    nouns = [c for c in token.children if c.dep_ in ("pobj", "pcomp")]
    if not nouns or _place_particle(token, vocabulary):
        return True
    return not second and _before_time(token, verb, nouns[0], vocabulary)


def _before_time(token: Token, verb: Token, noun: Token, vocabulary: Vocabulary) -> bool:
    """ "Put the fasteners in today", "the plies went on Wednesday": a particle, and then a time."""
    if not _in_time(noun, vocabulary):
        return False
    if noun.lower_ in ("today", "yesterday", "tonight", "tomorrow") or (noun.left_edge.lower_ in ("last", "this", "that")):
        return True
    subject = verb_group(verb).subject
    return token.lower_ == "on" and verb.lemma_ == "go" and subject is not None and vocabulary.thing(subject) is not None


def _place_particle(prep: Token, vocabulary: Vocabulary) -> bool:
    """True for "on the wing", "in it"; not for "on Monday", "in the scrap bin", "in an hour"."""
    if prep.lower_ not in ("on", "in", "off", "into", "onto", "over", "through"):
        return False
    nouns = [c for c in prep.children if c.dep_ == "pobj"]
    return bool(nouns) and not any(_in_time(n, vocabulary) for n in nouns)


def refined(clause: Clause, names: Mapping[int, str | None], vocabulary: Vocabulary) -> Clause | None:
    """The clause with its sense chosen again, now that it is known what its pronouns stand for ("ran those")."""
    if clause.kind != "verb" or not any(f.objects for f in vocabulary.lexicon.task_forms(clause.lemma)):
        return clause
    sense = choose_sense(clause.verb, clause.lemma, clause.particle, clause.objects, vocabulary, names)
    return replace(clause, sense=sense) if sense is not None else None


def choose_sense(verb: Token, lemma: str, particle: str | None, objects: tuple[Token, ...], vocabulary: Vocabulary,
                 names: Mapping[int, str | None] | None = None) -> TaskForm | None:
    """The sense that fits particle and object best; None where every sense wants another object.

    `names` are the things that pronouns stand for, by token; without it a pronoun may stand for any.
    """
    best: tuple[int, TaskForm] | None = None
    options = particle_options(particle)
    for form in vocabulary.lexicon.task_forms(lemma):
        if form.particle is not None and (form.particle not in options or _only_a_place(form, verb)):
            continue
        if f"{lemma} {form.particle or particle} {form.task}" in words("never"):
            continue
        if form.objects and (not _fits(form, verb, objects, vocabulary, names) or _other_particle(form, verb)):
            continue
        if form.light and not _is_work(verb, form, objects, vocabulary):
            continue
        named = bool(form.objects) and any(_is_one_of(o, form.objects, vocabulary, names) and (o.pos_ != "PRON" or names)
                                             for o in objects)
        value = 2 * bool(form.objects) + 2 * named + 2 * len((form.particle or "").split()) - form.light
        value -= 6 * (f"{lemma} {form.particle} {form.task}" in words("unusual"))
        if best is None or value > best[0]:
            best = (value, form)
    return best[1] if best else None


def _only_a_place(form: TaskForm, verb: Token) -> bool:
    """ "Cut the holes in the spar" is no "cut in": before a noun, only installing and removing have a particle."""
    if form.task in ("install", "remove", "assemble", "fit") or form.light:
        return False
    return any(c.lower_ == form.particle and c.dep_ == "prep" and any(g.dep_ == "pobj" for g in c.children)
               for c in verb.children) and form.particle in ("in", "on", "off", "through", "over")


def _other_particle(form: TaskForm, verb: Token) -> bool:
    """True where the verb has a particle of its own that this sense does not have: "turned off the light"."""
    own = [c.lower_ for c in verb.children if c.dep_ == "prt"]
    return form.particle is None and bool(own) and own[0] in ("off", "on", "over", "around", "out", "away")


def particle_options(particle: str | None) -> frozenset[str]:
    if not particle:
        return frozenset()
    words = particle.split()
    return frozenset({particle, *words})


def _fits(form: TaskForm, verb: Token, objects: tuple[Token, ...], vocabulary: Vocabulary,
          names: Mapping[int, str | None] | None) -> bool:
    nouns = list(objects) + [noun for prep in verb.children if prep.dep_ == "prep" and prep.lower_ in ("with", "of", "off", "from")
                             for noun in prep.children if noun.dep_ == "pobj"]
    nouns += [c for c in verb.children if c.dep_ in ("dobj", "nsubjpass")]
    nouns += [noun for o in objects for prep in o.children if prep.lower_ == "of" for noun in prep.children]
    return any(_is_one_of(noun, form.objects, vocabulary, names) for noun in nouns)


def _is_one_of(noun: Token, wanted: frozenset[str], vocabulary: Vocabulary,
               names: Mapping[int, str | None] | None = None) -> bool:
    if noun.lemma_.lower() in wanted or noun.lower_ in wanted:
        return True
    term = vocabulary.things.get(noun.i)
    if term is None:
        if noun.i in vocabulary.assemblies:
            return "part" in wanted
        stands = noun.lower_ in ("it", "them", "those", "these", "that", "this") or _is_placeholder(noun)
        if not stands or names is None:
            return stands
        name = names.get(noun.i)
        return name is not None and ("part" in wanted or any(
            name == word or name.endswith(" " + word) for word in wanted))
    return term.kind in wanted or term.id in wanted or term.id.rpartition(" ")[2] in wanted


def _is_work(verb: Token, form: TaskForm, objects: tuple[Token, ...], vocabulary: Vocabulary) -> bool:
    """Everyday verbs are work only on a thing of the trade, or on a pronoun."""
    for noun in objects:
        if noun.lower_ in words("no_objects"):
            continue
        term = vocabulary.things.get(noun.i)
        if noun.i in vocabulary.assemblies or (term is not None and term.kind in ("part", "material")):
            return True
        if noun.pos_ in ("PRON", "DET") and noun.lower_ not in ("i", "we", "he", "she"):
            return True
        if _is_placeholder(noun) and (noun.pos_ != "NUM" or noun.lower_ == "one" or form.task == "fabricate"):
            return True
    return False

