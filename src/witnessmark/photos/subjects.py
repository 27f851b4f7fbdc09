"""Captions, keywords, folder and file names, chalk marks: the part, assembly, side and task that they name.

Two ways of reading: a caption is a sentence whose first noun phrase is what the picture shows; a label (folder,
file name, chalk mark) is a few words without grammar.
"""
from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from spacy.tokens import Doc, Span, Token

from witnessmark.reading.text import language
from witnessmark.trade.inflect import normal
from witnessmark.trade.lexicon import Lexicon
from witnessmark.trade.terms import Term

# How far a wording is believed: common sense, checked on the example journal; no published figure.
SURE, COMPOUND, ASIDE, AMONG_SEVERAL, TASK_ALONE = 0.9, 0.6, 0.5, 0.55, 0.4
WHERE_ALL_IS_DONE = "shop"  # the assembly id of benches and jigs; as a label it mostly says where the picture was taken
SIDE_LETTERS = frozenset({"l", "r", "lh", "rh"})
LEFT_WORDS = frozenset({"left", "lh", "l/h", "l.h.", "lhs", "port"})
RIGHT_WORDS = frozenset({"right", "rh", "r/h", "r.h.", "rhs", "starboard"})
# "right" is a side only where a thing follows or ends the phrase: not "right here", "right after", "right now".
NOT_A_SIDE_BEFORE = frozenset({"here", "there", "now", "after", "before", "at", "away", "where", "on", "in", "next"})
# What follows these words is when the picture was taken, not what it shows.
TIME_WORDS = frozenset({"before", "after", "until", "till", "while", "during", "prior", "without"})
# A verb behind one of these was not done when the picture was taken.
NOT_DONE_WORDS = frozenset({"before", "until", "till", "prior", "ready", "need", "needs", "to", "will", "not", "no",
                            "never", "next", "should", "must", "if", "without", "wants", "yet", "going", "n't"})
PICTURE_WORDS = frozenset({"photo", "picture", "pic", "view", "detail", "close", "closeup", "inside", "outside", "side",
                           "work", "stuff", "session", "day", "progress", "build", "area", "thing", "end", "part"})
SPOKEN_TAGS = frozenset({"VBN", "VBD", "VBG"})
_CAMERA_NAME = re.compile(r"^(img|dsc[nf]?|dscf|pict|p|mvimg|pxl|vid|image|photo|pic|screenshot)?"
                          r"[\W\d_]*(wa\d+|mp|hdr|edited|copy)?[\W\d_]*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Subject:
    """What a text names; any field may be None."""

    assembly: str | None
    part: str | None
    side: str | None
    task: str | None
    confidence: float


def of_label(text: str, lexicon: Lexicon) -> tuple[Subject, ...]:
    """The things that a folder, file name, keyword or chalk mark names; nothing for names that cameras give."""
    if _CAMERA_NAME.match(text):
        return ()
    words = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)
    words = re.sub(r"[_\-.,;:#()\[\]\d]+", " ", words).lower().strip()
    if not words:
        return ()
    doc = language()(words)
    terms = lexicon.terms(doc)
    side, task = side_of(doc, alone=True), _task(doc, terms, lexicon)
    parts = [term for term in _distinct(terms, "part") if not _is_whole(term.id, WHERE_ALL_IS_DONE)]
    assemblies = _distinct(terms, "assembly")
    if not parts and not assemblies:
        return (Subject(None, None, None, task, TASK_ALONE),) if task else ()
    place = assemblies[0].id if len(assemblies) == 1 else None
    if not parts:
        sure = SURE if place else AMONG_SEVERAL
        return tuple(Subject(term.id, None, side, task, ASIDE if term.id == WHERE_ALL_IS_DONE else sure)
                     for term in assemblies)
    return tuple(Subject(part.assembly or place, part.id, side, task, SURE if len(parts) == 1 else AMONG_SEVERAL)
                 for part in parts)


def of_mark(text: str, lexicon: Lexicon) -> tuple[Subject, ...]:
    """What a chalk mark or tag in the picture names; recognisers lose the blanks ("FLAPSPARL")."""
    return of_label(" ".join(_respaced(word, lexicon) for word in re.findall(r"[A-Za-z]+", text)), lexicon)


def _respaced(word: str, lexicon: Lexicon) -> str:
    """A run of letters as the trade words that it is made of, a letter for the side at its end; else as it is."""
    letters = word.lower()
    if _known(letters, lexicon):
        return word
    best: dict[int, list[str]] = {0: []}  # the fewest words that make up the first so many letters
    for end in range(1, len(letters) + 1):
        for start in range(end):
            piece = letters[start:end]
            side = start > 0 and end == len(letters) and piece in SIDE_LETTERS
            if start in best and (side or (len(piece) > 2 and _known(piece, lexicon))) \
                    and (end not in best or len(best[start]) + 1 < len(best[end])):
                best[end] = [*best[start], piece]
    return " ".join(best.get(len(letters), [word]))


def _known(word: str, lexicon: Lexicon) -> bool:
    return word in lexicon.words or normal(word) in lexicon.words


def of_folders(path: str, lexicon: Lexicon) -> tuple[Subject, ...]:
    """What a picture's folders ("left wing/flap") name: the innermost that names anything, its side from any.

    A folder gathers pictures of an assembly: its own name is no part ("rudder" holds pictures of its ribs, too).
    """
    names = path.split("/")
    for name in reversed(names):
        found = [subject for subject in of_label(name, lexicon) if subject.assembly or subject.part]
        if not found:
            continue
        side = next((side for folder in reversed(names) if (side := _side_of_name(folder))), None)
        return tuple(replace(subject, side=subject.side or side,
                             part=None if _is_whole(subject.part, subject.assembly) else subject.part)
                     for subject in found)
    return ()


def _side_of_name(name: str) -> str | None:
    return side_of(language().make_doc(re.sub(r"[\W_]+", " ", name.lower()).strip()), alone=True)


def _is_whole(part: str | None, assembly: str | None) -> bool:
    """Whether a part is the assembly itself under its own name."""
    return part is not None and assembly is not None and part.replace(" ", "-") == assembly


def of_caption(text: str, lexicon: Lexicon) -> tuple[Subject, ...]:
    """What a caption says the picture shows, first its subject, then what else it names."""
    if _CAMERA_NAME.match(text):
        return ()
    doc = language()(text.lower() if text.isupper() else text)
    terms = lexicon.terms(doc)
    task = _task(doc, terms, lexicon)
    limit = next((token.i for token in doc if token.i and token.lower_ in TIME_WORDS), len(doc))
    found: list[Subject] = []
    for phrase in _phrases(doc, limit):
        subject = _subject(phrase, terms, lexicon, task if not found else None)
        if subject:
            found.append(subject if not found else
                         replace(subject, task=None, confidence=ASIDE))
    if found and not found[0].assembly:
        found[0] = _placed(found[0], [term for term in terms if term.kind == "assembly" and term.start < limit],
                           side_of(doc[:limit], alone=False))
    return tuple(found) or ((Subject(None, None, None, task, TASK_ALONE),) if task else ())


def _placed(subject: Subject, assemblies: Sequence[Term], side: str | None) -> Subject:
    """The subject with the assembly and side that another phrase names ("rear spar of the left wing")."""
    names = {term.id for term in assemblies}
    if len(names) != 1:
        return subject
    return replace(subject, assembly=names.pop(), side=subject.side or side)


def _phrases(doc: Doc, limit: int) -> list[Span]:
    """The text up to `limit` cut at commas, prepositions, verbs and "and": one phrase names one thing."""
    phrases, start = [], 0
    for token in doc[:limit]:
        cut = (token.is_punct and token.text not in "-/") or token.pos_ in ("ADP", "CCONJ") or token.lower_ == "with"
        if cut:
            if token.i > start:
                phrases.append(doc[start:token.i])
            start = token.i + 1
    if limit > start:
        phrases.append(doc[start:limit])
    return phrases


def _subject(phrase: Span, terms: Sequence[Term], lexicon: Lexicon, task: str | None) -> Subject | None:
    inside = [term for term in terms if phrase.start <= term.start and term.end <= phrase.end]
    parts, places = _distinct(inside, "part"), _distinct(inside, "assembly")
    place = places[0].id if places else None
    side = side_of(phrase, alone=False)
    if not parts:
        return Subject(place, None, side, task, SURE) if place else None
    part = _without_work(parts[-1], inside)
    head = _head(phrase, part, inside, lexicon)
    if head:
        return Subject(part.assembly or place, f"{part.id} {head}", side, task, COMPOUND)
    return Subject(part.assembly or place, part.id, side, task, SURE)


def _without_work(part: Term, terms: Sequence[Term]) -> Term:
    """A part without the noun of work that ends its name ("fairing layup" shows the fairing)."""
    for work in terms:
        if work.kind == "task" and part.start < work.start and work.end == part.end:
            return replace(part, id=" ".join(part.id.split()[:work.start - work.end]), end=work.start)
    return part


def _head(phrase: Span, part: Term, terms: Sequence[Term], lexicon: Lexicon) -> str | None:
    """The noun that a known part only describes ("flap skeleton"), where the vocabulary does not know it."""
    if part.end >= phrase.end:
        return None
    token = phrase.doc[part.end]
    known = any(term.start <= token.i < term.end for term in terms) \
        or token.lower_ in lexicon.task_question_words
    if known or token.pos_ not in ("NOUN", "PROPN") or not token.is_alpha or len(token) < 3 or lexicon.verb_of(token) \
            or token.lemma_.lower() in PICTURE_WORDS:
        return None
    return token.lemma_.lower()


def side_of(words: Doc | Span, alone: bool) -> str | None:
    """left, right, both or None. `alone` accepts the single letters of chalk marks ("SPAR L")."""
    sides = set()
    for token in words:
        word = token.lower_
        if word in LEFT_WORDS or (alone and word == "l"):
            sides.add("left")
        elif word in RIGHT_WORDS or (alone and word == "r"):
            following: Token | None = token.nbor() if token.i + 1 < len(token.doc) else None
            if following is None or following.lower_ not in NOT_A_SIDE_BEFORE:
                sides.add("right")
        elif word == "both":
            return "both"
    return "both" if len(sides) == 2 else next(iter(sides), None)


def _task(doc: Doc, terms: Sequence[Term], lexicon: Lexicon) -> str | None:
    """The work that the words say was done or is being done; None where they say before, not, to be."""
    things = {index for term in terms if term.kind != "task" for index in range(term.start, term.end)}
    kinds = {term.kind for term in terms} | {token.lemma_.lower() for token in doc}
    for token in doc:
        earlier = {other.lower_ for other in doc[:token.i]}
        if token.i in things or earlier & NOT_DONE_WORDS:
            continue
        lemma = lexicon.verb_of(token)
        if lemma and (token.tag_ in SPOKEN_TAGS or token.lower_.endswith("ed")):  # "dimpled skin" is tagged JJ
            tasks = {form.task for form in lexicon.task_forms(lemma)
                     if not form.light and not form.particle and (not form.objects or form.objects & kinds)}
            if len(tasks) == 1:
                return tasks.pop()
        named = next((term for term in terms if term.kind == "task" and term.start == token.i), None)
        if named and not any(index in things for index in range(named.start, named.end)):
            return named.id
    return None


def undone(text: str, lexicon: Lexicon) -> frozenset[str]:
    """The work that a caption or a name says was not done yet when the picture was taken ("spar before primer")."""
    doc = language()(re.sub(r"[_\-.,;:#()\[\]\d]+", " ", text).lower().strip())
    first = next((token.i for token in doc if token.lower_ in NOT_DONE_WORDS), len(doc))
    named = {term.id for term in lexicon.terms(doc) if term.kind == "task" and term.start > first}
    return frozenset(named.union(form.task for token in doc[first + 1:] for form in lexicon.task_forms(token.lower_)
                                 if not form.light))


def _distinct(terms: Sequence[Term], kind: str) -> list[Term]:
    return list({term.id: term for term in terms if term.kind == kind}.values())
