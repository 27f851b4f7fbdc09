"""A question in plain words, taken apart: which work, on which thing, on which side, by whom.

In: the words ("when did the left flap skin get primed?", or only "left flap skin primed"). Out: a `Question`.
Never: an answer, or a record.
"""

from __future__ import annotations

from dataclasses import dataclass

from spacy.tokens import Doc, Token

from witnessmark.reading.text import language
from witnessmark.trade import Lexicon, Term
from witnessmark.trade.inflect import normal

SIDES = {"left": "left", "port": "left", "right": "right", "starboard": "right", "both": "both"}
AUXILIARIES = frozenset(
    [
        "be",
        "do",
        "have",
        "get",
        "was",
        "were",
        "did",
        "is",
        "are",
        "has",
        "had",
        "got",
        "when",
        "which",
        "what",
        "on",
        "in",
        "day",
        "days",
        "date",
        "dates",
        "yet",
        "already",
    ]
)
GENERAL = frozenset({"do", "get", "have", "go", "put", "be", "finish", "make", "start", "complete"})
PLACED_BY = frozenset({"on", "of", "in", "to", "at", "for", "from", "onto", "inside", "behind"})
PERSONS = frozenset(
    {
        "wife",
        "husband",
        "son",
        "daughter",
        "brother",
        "sister",
        "father",
        "mother",
        "dad",
        "mum",
        "mom",
        "friend",
        "neighbor",
        "neighbour",
        "grandson",
        "granddaughter",
        "shop",
        "mechanic",
        "painter",
        "welder",
        "inspector",
    }
)
THINGS = ("part", "tool", "material", "consumable", "assembly")
LONGEST = 3  # words of the longest name of a work ("double flare the")


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked. `tasks` are the ids that its verb may mean, the likeliest first (empty: any work).

    `part` is the thing as named, singular, without the words of its side; `assembly` an id, told or known from the
    thing; `around` the words of the places named beside it ("on the front spar"); `person` a helper's name as asked.
    """

    text: str
    tasks: tuple[str, ...] = ()
    part: str | None = None
    assembly: str | None = None
    side: str | None = None
    person: str | None = None
    around: frozenset[str] = frozenset()


def parse_question(text: str, lexicon: Lexicon) -> Question:
    """Take a question apart; what it does not name is empty or None, and nothing is an error."""
    doc = language()(text.strip().rstrip("?!. "))
    terms = [term for term in lexicon.terms(doc) if term.kind in THINGS]
    tasks, used = _tasks(doc, lexicon, terms)
    person = _person(doc, used, lexicon)
    taken = used | ({person.i} if person else set())
    things = [term for term in terms if not taken & set(range(term.start, term.end))]
    main = _main(doc, things)
    part = name_of(doc, main, used) if main else _unknown_part(doc, used, lexicon)
    return Question(
        text,
        tasks,
        part,
        _assembly(doc, main, things),
        _side(doc),
        person.text if person else None,
        _around(doc, main, things),
    )


def _tasks(doc: Doc, lexicon: Lexicon, things: list[Term]) -> tuple[tuple[str, ...], set[int]]:
    """The tasks that the question's verb or noun of work may mean, and its tokens; special words come first."""
    found = [*_verbs(doc, lexicon), *_nouns(doc, lexicon)] or _plain_words(doc, lexicon, things)
    special = [item for item in found if item[2] not in GENERAL]
    # The verb of a question comes last ("was the drilled rib primed"); of two, the longer name is the safer.
    for start, end, _, tasks in sorted(special or found, key=lambda item: (item[1], item[1] - item[0]), reverse=True):
        return tasks, set(range(start, end))
    return (), set()


def _verbs(doc: Doc, lexicon: Lexicon) -> list[tuple[int, int, str, tuple[str, ...]]]:
    found = []
    for token in doc:
        verb = lexicon.verb_of(token)
        if verb is None or verb in AUXILIARIES:
            continue
        after = doc[token.i + 1].lower_ if token.i + 1 < len(doc) else ""
        tasks = lexicon.task_question_words.get(f"{verb} {after}") or lexicon.task_question_words.get(verb)
        if tasks:
            with_particle = f"{verb} {after}" in lexicon.task_question_words
            found.append((_verb_start(doc, token, verb), token.i + 1 + with_particle, verb, tasks))
    return found


def _plain_words(doc: Doc, lexicon: Lexicon, things: list[Term]) -> list[tuple[int, int, str, tuple[str, ...]]]:
    """The last word that may be a verb of work, whatever the tagger made of it ("was the left skin cut").

    A word in the name of a thing is none: who asks for "the left skin" does not ask when it was skinned.
    """
    names = {at for term in things for at in range(term.start, term.end)}
    found = []
    for token in doc:
        forms = lexicon.task_forms(token.lower_) if token.lower_ not in AUXILIARIES and token.i not in names else ()
        if forms:
            found.append((token.i, token.i + 1, token.lower_, tuple(dict.fromkeys(form.task for form in forms))))
    return found[-1:]


def _verb_start(doc: Doc, token: Token, verb: str) -> int:
    """The first token of a verb of several words ("safety wire", "match-drilled")."""
    start, left = token.i, len(verb.split()) - 1
    while left > 0 and start > 0:
        start -= 1
        left -= doc[start].text != "-"
    return start


def _nouns(doc: Doc, lexicon: Lexicon) -> list[tuple[int, int, str, tuple[str, ...]]]:
    return [(term.start, term.end, term.text.lower(), (term.id,)) for term in lexicon.terms(doc) if term.kind == "task"]


def _main(doc: Doc, things: list[Term]) -> Term | None:
    """The thing asked about: the first that stands in no phrase of place; an assembly only if nothing else is named."""
    free = [term for term in things if not _is_placed(doc, term)]
    for group in ([t for t in free if t.kind != "assembly"], free, [t for t in things if t.kind != "assembly"], things):
        if group:
            return max((term for term in group if term.start == group[0].start), key=lambda term: term.end)
    return None


def _is_placed(doc: Doc, term: Term) -> bool:
    at = term.start - 1
    while at >= 0 and (doc[at].pos_ in ("DET", "ADJ", "PRON") or doc[at].lower_ in SIDES):
        at -= 1
    return at >= 0 and doc[at].lower_ in PLACED_BY


def name_of(doc: Doc, term: Term, used: set[int]) -> str:
    """A thing's words with the nouns that stand before it and tell it apart, singular, without side and article."""
    start = term.start
    while (
        start > 0
        and start - 1 not in used
        and doc[start - 1].pos_ in ("NOUN", "PROPN", "ADJ")
        and doc[start - 1].lower_ not in SIDES
        and doc[start - 1].lower_ not in AUXILIARIES
    ):
        start -= 1
    kept = [
        normal(token.lower_)
        for token in doc[start : term.end]
        if token.lower_ not in SIDES and not token.is_punct and token.tag_ != "POS" and token.pos_ != "DET"
    ]
    return " ".join(kept)


def _unknown_part(doc: Doc, used: set[int], lexicon: Lexicon) -> str | None:
    """The noun that a question is about where the vocabulary does not have it."""
    for chunk in doc.noun_chunks:
        if set(range(chunk.start, chunk.end)) & used or chunk.root.pos_ not in ("NOUN", "PROPN"):
            continue
        kept = [
            normal(token.lower_)
            for token in chunk
            if token.pos_ in ("NOUN", "PROPN", "ADJ") and token.lower_ not in SIDES and token.lower_ not in AUXILIARIES
        ]
        if kept and chunk.root.ent_type_ != "PERSON":
            return " ".join(kept)
    return None


def _assembly(doc: Doc, main: Term | None, things: list[Term]) -> str | None:
    """The assembly told beside the thing or in its name, else the one that such a thing always belongs to."""
    named = [
        term
        for term in things
        if term.kind == "assembly"
        and (main is None or term.start != main.start or term.end < main.end or main.kind == "assembly")
    ]
    inside = [term for term in named if main and main.start <= term.start and term.end <= main.end]
    before = [term for term in named if main and term.end <= main.start]
    for group in (inside, [] if main and main.assembly else before):
        if group:
            return group[0].id
    if main and main.assembly:
        return main.assembly
    placed = [term.assembly or (term.id if term.kind == "assembly" else None) for term in things if term is not main]
    return next((assembly for assembly in placed if assembly), None)


def _side(doc: Doc) -> str | None:
    return next((SIDES[token.lower_] for token in doc if token.lower_ in SIDES and not _is_just(token)), None)


def _is_just(token: Token) -> bool:
    """ "Right now", "all right", "right after": no side."""
    after = token.nbor(1).lower_ if token.i + 1 < len(token.doc) else ""
    return token.lower_ == "right" and after in ("now", "after", "away", "before", "then")


def _person(doc: Doc, used: set[int], lexicon: Lexicon) -> Token | None:
    """The helper or shop whose work is asked for: the subject of "did", or after "by"."""
    for token in doc:
        if token.i in used or lexicon.verb_of(token):
            continue
        subject = (token.i > 0 and doc[token.i - 1].lower_ in ("did", "by", "has", "have")) or (
            token.i > 1
            and doc[token.i - 1].lower_ in ("my", "the", "our")
            and doc[token.i - 2].lower_ in ("did", "by", "has")
        )
        if subject and (token.lower_ in PERSONS or token.pos_ == "PROPN"):
            return token
    return None


def _around(doc: Doc, main: Term | None, things: list[Term]) -> frozenset[str]:
    return frozenset(
        normal(doc[at].lower_)
        for term in things
        if term is not main
        for at in range(term.start, term.end)
        if main is None or not main.start <= at < main.end
    )
