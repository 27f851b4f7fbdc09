"""Clauses of work: a predicate of the trade with its particle, its sense and the things that it is done to."""
from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from spacy.tokens import Doc, Token

from witnessmark.reading.grammar import VerbGroup, opens_as_verb, verb_group
from witnessmark.reading.objects import MOVING, beneath_material, cleaned_of, is_borrowed, objects_of, opens_with
from witnessmark.reading.reference_words import FEATURES, NAMED_REGIONS, UNNAMED_REGIONS
from witnessmark.reading.senses import PARTICLES, choose_sense, is_named, particle_of
from witnessmark.reading.vocabulary import Vocabulary, in_time, is_part, is_placeholder, words
from witnessmark.trade.inflect import singular
from witnessmark.trade.terms import TaskForm


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


def find_clauses(doc: Doc, vocabulary: Vocabulary) -> Iterator[Clause]:
    """All clauses of work in order of their predicate."""
    for token in doc:
        lemma = vocabulary.lexicon.verb_of(token)
        if lemma is None or _is_no_clause(token, lemma):
            continue
        said = cleaned_of(token, objects_of(token, vocabulary), vocabulary)
        if said and all(o.lower_ in words("no_objects") for o in said):
            continue
        particle = particle_of(token, vocabulary)
        sense = choose_sense(token, lemma, particle, said, vocabulary)
        if sense is None or not _strong_enough(token, sense, said, vocabulary):
            continue
        if sense.task == "cover" and _is_hidden(token, vocabulary):
            continue
        if lemma == "make" and _is_made_so(token, said, vocabulary):
            continue
        if sense.task == "layout" and any(o.lemma_.lower() in DEFECTS for o in said):
            continue
        if lemma in words("weak") and is_borrowed(token, said):
            continue
        objects = beneath_material(token, sense, said, vocabulary)
        objects = tuple(o for o in objects if not _is_tool(o, sense, vocabulary)) or objects[:0]
        group = verb_group(token)
        if not _happens_by_itself(token, group, said) and not _put_away(token, sense, vocabulary):
            yield Clause(token, lemma, sense, objects, group, "verb", particle)


def refined(clause: Clause, names: Mapping[int, str | None], vocabulary: Vocabulary) -> Clause | None:
    """The clause with its sense chosen again, now that it is known what its pronouns stand for ("ran those")."""
    if clause.kind != "verb" or not any(f.objects for f in vocabulary.lexicon.task_forms(clause.lemma)):
        return clause
    sense = choose_sense(clause.verb, clause.lemma, clause.particle, clause.objects, vocabulary, names)
    return replace(clause, sense=sense) if sense is not None else None


REGIONS = NAMED_REGIONS | UNNAMED_REGIONS  # "the bottom side" is of the thing under discussion, like "it"
STORAGE = frozenset({"wall", "hook", "rafter", "ceiling", "shelf", "nail", "peg", "rack", "stand", "floor"})
DEFECTS = frozenset({"knot", "crack", "shake", "dent", "ding", "nick", "scratch", "void", "blemish", "defect", "spot",
                     "leak", "run", "sag"})  # marked, they are found and not laid out


def _is_hidden(verb: Token, vocabulary: Vocabulary) -> bool:
    """ "The jig is covered in dust", "covered with boxes": what lies on it is no covering."""
    nouns = [noun for prep in verb.children if prep.lower_ in ("in", "with", "by") for noun in prep.children
             if noun.dep_ == "pobj"]
    active = any(c.dep_ in ("dobj", "obj") for c in verb.children)
    return verb.lemma_ == "cover" and not active and any(
        (term := vocabulary.things.get(noun.i)) is None or term.kind not in ("material", "consumable") for noun in nouns
        if noun.pos_ == "NOUN")


def _is_made_so(verb: Token, objects: tuple[Token, ...], vocabulary: Vocabulary) -> bool:
    """ "It was made for carpet", "they're made of brass": what a thing is, and not who made it when."""
    if not verb_group(verb).passive or any(c.dep_ == "agent" for c in verb.children) or any(
            t.i in vocabulary.times for t in verb.sent):
        return False
    preps = {c.lower_ for c in verb.children if c.dep_ == "prep" and not any(
        n.lower_ in ("me", "us") or n.i in vocabulary.times for n in c.children)}
    pointed = all(o.pos_ in ("PRON", "DET") or _is_bought(o, vocabulary) for o in objects)
    return bool(preps & {"of", "from"}) or ("for" in preps and pointed)


def _is_bought(noun: Token, vocabulary: Vocabulary) -> bool:
    term = vocabulary.things.get(noun.i)
    return term is not None and term.kind == "tool"


def _is_no_clause(token: Token, lemma: str) -> bool:
    """True where a word spelled like a trade verb is a noun, a modifier, or tells of having or of a result."""
    return (_is_plural(token, lemma) or _is_possession(token) or _is_modifier(token) or _is_noun(token)
            or _tells_a_result(token))


def _is_tool(token: Token, sense: TaskForm, vocabulary: Vocabulary) -> bool:
    """A tool beside the things worked on ("trimmed all four, shears and file") is no thing worked on."""
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
    if any(is_part(o, vocabulary) for o in objects):
        return True
    if sense.objects and any(is_named(o, sense, vocabulary) for o in objects):
        return True
    if lemma in words("named"):
        return False
    if any(is_placeholder(o) for o in objects):
        return True
    if any(vocabulary.things.get(o.i) is not None and any(c.dep_ == "det" for c in o.children) for o in objects):
        return True
    if not objects and lemma in words("pronoun") and _under_heading(verb, group, vocabulary):
        return True
    phrasal = sense.particle is not None and lemma not in ("set", "pull", "run", "drive", "hit", "check")
    return ((lemma in words("pronoun") or phrasal) and any(
        (o.pos_ in ("PRON", "DET") and o.lower_ not in ("this", "what")) or singular(o.lower_) in REGIONS
        for o in objects)) or any(singular(o.lower_) in FEATURES | {"weld", "joint", "seam"} for o in objects)


def _under_heading(verb: Token, group: VerbGroup, vocabulary: Vocabulary) -> bool:
    """ "Left tank. Sealed last night.": a past form that opens its sentence, after a heading that names a part."""
    sentence = verb.sent
    if group.form != "participle" or verb.i != sentence.start or not sentence.start:
        return False
    heading = verb.doc[sentence.start - 1].sent
    return not any(t.pos_ in ("VERB", "AUX") for t in heading) and len(heading) < 9 and any(
        is_part(t, vocabulary) for t in heading)


def _happens_by_itself(verb: Token, group: VerbGroup, objects: tuple[Token, ...]) -> bool:
    """ "The gasket folded over", "it fit", "the pipe rolled off": nobody did it. "The skin went on" is told of work."""
    subject = group.subject
    if verb.lemma_ in words("intransitive") and group.form == "participle" and verb.dep_ in ("acl", "ROOT"):
        return not any(c.dep_ in ("dobj", "obj") for c in verb.children)
    if opens_with(verb) or group.passive or verb.lemma_ in MOVING or subject is None or group.form not in ("finite", "gerund"):
        return False
    if verb.lemma_ == "turn" and verb.i + 1 < len(verb.doc) and verb.nbor(1).lower_ == "up" and subject is not None:
        return not any(c.dep_ in ("dobj", "obj") for c in verb.children)  # "the tube turned up on Thursday"
    if any(c.dep_ in ("dobj", "obj") for c in verb.children) or _under_causative(verb):
        return False
    if subject.lower_ in ("it", "that", "this", "these", "those", "which", "they", "everything"):
        return True
    return subject.pos_ == "NOUN" and subject.ent_type_ != "PERSON" and any(
        c.dep_ in ("det", "poss") and c.lower_ not in ("my",) for c in subject.children) and not _may_be_person(subject)


def _under_causative(verb: Token) -> bool:
    """ "Had it welded", "the plans want the axles welded": the subject is the thing worked on."""
    return verb.dep_ in ("ccomp", "xcomp") and verb.head.lemma_ in ("have", "get", "want", "need", "see", "like",
                                                                    "call")


def _may_be_person(noun: Token) -> bool:
    return any(c.dep_ == "conj" for c in noun.children) or noun.head.lemma_ == "be"


def _put_away(verb: Token, sense: TaskForm, vocabulary: Vocabulary) -> bool:
    """ "Went in the scrap bin", "hung on the wall", "dropped it at the shop": moved, not installed or removed."""
    if sense.task not in ("install", "remove") or not (sense.light
                                                       or verb.lemma_ in ("hang", "drop", "mount", "set", "pull")):
        return False
    preps = [p for c in verb.children if c.dep_ not in ("advcl", "conj", "ccomp", "xcomp", "relcl")
             for p in (c, *c.children) if p.i > verb.i]
    if sense.task == "remove" and sense.particle:  # "pulled the engine off the mount": off is where it was
        preps = [p for p in preps if p.lower_ not in ("off", "of", "out", "from")]
    for prep in preps:
        if prep.dep_ == "prep" and prep.lower_ in ("in", "on", "at", "to", "into", "onto", "off", "of", "as", "from",
                                                   "out",
                                                   "for"):
            for noun in prep.children:
                kept = noun.lemma_.lower() in STORAGE or not is_part(noun, vocabulary)
                if noun.dep_ == "pobj" and not in_time(noun, vocabulary) and kept and noun.pos_ not in ("PRON", "NUM", "ADJ"):
                    return True
                if prep.lower_ in ("at", "as"):
                    return True
    return False


def _is_plural(token: Token, lemma: str) -> bool:
    """ "Glasses", "rivets": spelled like a verb's third person, but tagged as no verb."""
    if not token.lower_.endswith("s") or lemma.endswith("s") or token.tag_ in ("VBD", "VBN"):
        return False
    alone = verb_group(token).subject is None and not any(
        c.dep_ in ("dobj", "xcomp", "ccomp") for c in token.children)
    return token.tag_ != "VBZ" or alone


def _is_possession(token: Token) -> bool:
    """ "I've got the right one in the tool", "made him say it": having and causing, no work."""
    if token.lemma_ == "get" and token.lower_ == "got":
        return any(c.dep_ == "aux" and c.lemma_ == "have" for c in token.children)
    return token.lemma_ == "make" and any(c.dep_ in ("ccomp", "xcomp") and c.pos_ == "VERB" for c in token.children)


def _is_modifier(token: Token) -> bool:
    """ "The riveted skin", "drilled holes", "welding gloves": a participle before its noun is no clause."""
    if opens_as_verb(token):
        return False
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
    return not (before in ("to", "'ll", "will", "i", "we") and after is not None
                and after.pos_ in ("DET", "PRON", "NOUN"))


def _tells_a_result(token: Token) -> bool:
    """ "It came out dead straight", "that went well": how it turned out, not that it was taken out."""
    if token.lemma_ not in MOVING:
        return False
    following = [t for t in token.doc[token.i + 1:token.i + 5] if not t.is_punct]
    words = [t for t in following if t.lower_ not in PARTICLES]
    looks = bool(words) and (words[0].pos_ == "ADJ" or words[0].lower_ in (
        "well", "fine", "nice", "great", "good", "perfect", "dead", "real", "pretty", "really", "so", "very"))
    return (looks and following[0].lower_ == "out") or any(c.dep_ in ("acomp", "oprd") for c in token.children)
