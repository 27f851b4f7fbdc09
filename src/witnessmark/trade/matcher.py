"""The vocabulary's phrases in a parsed text: a trie over normalised words, longest match first.

Names of things may be put together: "aileron hinge bracket" is a bracket, and belongs to the aileron, although no
table has it. Such a chain takes words of position ("front", "lower"), materials and things, up to its last thing.
"""
from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from spacy.tokens import Doc, Token

from witnessmark.trade.inflect import normal
from witnessmark.trade.terms import Term, TermKind
from witnessmark.trade.verbs import HYPHENS, VerbForms

END = ""  # the key of a trie node under which the entries that end there are kept
NOMINAL = frozenset({"NOUN", "PROPN", "ADJ", "X", "NUM", "ADV", "ADP", "INTJ"})


WINDOW = 12  # tokens on either side that tell the sense of a word
SIDES = frozenset({"left", "right", "port", "starboard"})
NUMBERED = frozenset({"frame", "bulkhead", "former", "station", "bay"})  # things that are known by number


@dataclass(frozen=True, slots=True)
class Entry:
    """What a phrase means: a kind of term, its id, its assembly. `kind` None: it looks like a term and is none."""

    kind: TermKind | None
    id: str
    assembly: str | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """One phrase found: tokens `start` to `end`, what it means (None for a word of position or side)."""

    start: int
    end: int
    entry: Entry | None

    @property
    def is_term(self) -> bool:
        return self.entry is not None and self.entry.kind is not None


@dataclass(frozen=True, slots=True)
class Sense:
    """Another meaning of a word where one of the words `near` stands near it (or, if `absent`, where none does)."""

    near: frozenset[str]
    absent: bool
    entry: Entry

    def holds(self, token: Token) -> bool:
        if self.absent and token.is_upper and len(token) > 1:
            return False
        around = token.doc[max(token.i - WINDOW, 0):token.i + WINDOW]
        found = any(other.i != token.i and not self.near.isdisjoint((other.lower_, other.lemma_.lower()))
                    for other in around)
        return found is not self.absent


class Trie:
    """Phrases by their normalised words. The first entry given for a phrase stays."""

    def __init__(self) -> None:
        self._root: dict[str, Any] = {}

    def add_all(self, phrases: Iterable[str], entry: Entry) -> None:
        for phrase in phrases:
            self.add(phrase, entry)

    def add(self, phrase: str, entry: Entry) -> None:
        """Add a phrase; a hyphen in it stands for one word, two words or a hyphen."""
        words = phrase.lower().split()
        self._insert([part for word in words for part in word.split("-") if part], entry)
        if any("-" in word for word in words):
            self._insert([word.replace("-", "") for word in words], entry)
        if len(words) == 2 and min(map(len, words)) > 2:
            self._insert(["".join(words)], entry)

    def _insert(self, words: list[str], entry: Entry) -> None:
        node = self._root
        for word in words:
            node = node.setdefault(normal(word), {})
        node.setdefault(END, entry)

    def longest(self, doc: Doc, start: int) -> tuple[int, Entry] | None:
        """The end and the entry of the longest phrase that begins at token `start`."""
        node, at, found = self._root, start, None
        while at < len(doc):
            if at > start and doc[at].text in HYPHENS:
                at += 1
                continue
            node = _step(node, doc[at])
            if node is None:
                break
            at += 1
            if END in node:
                found = (at, node[END])
        return found


def _step(node: dict[str, Any], token: Token) -> Any:
    following = node.get(normal(token.lower_))
    if following is None and token.pos_ in ("NOUN", "PROPN"):
        following = node.get(normal(token.lemma_))
    return following


@dataclass(frozen=True, slots=True)
class Words:
    """Single words with a part in names: words of position, and words with more than one sense."""

    modifiers: frozenset[str]
    senses: Mapping[str, tuple[Sense, ...]]


class Matcher:
    """Finds things, assemblies and nouns of work."""

    def __init__(self, things: Trie, assemblies: Trie, nominals: Trie, words: Words, verbs: VerbForms) -> None:
        self._things, self._assemblies, self._nominals = things, assemblies, nominals
        self._words, self._verbs = words, verbs

    def things(self, doc: Doc) -> Iterator[tuple[Term, bool]]:
        """Parts, tools, materials and consumables, chained into the longest names, left to right.

        The flag says that the name is one of the table's, of several words, not put together here.
        """
        at = 0
        while at < len(doc):
            chain = self._chain(doc, at)
            if chain and chain[-1].is_term:
                whole = len(chain) == 1 and chain[0].end - chain[0].start > 1
                yield _term(doc, chain), whole
            at = chain[-1].end if chain else at + 1

    def assemblies(self, doc: Doc) -> Iterator[Term]:
        yield from self._plain(doc, self._assemblies)

    def nominals(self, doc: Doc) -> Iterator[Term]:
        yield from self._plain(doc, self._nominals)

    def _plain(self, doc: Doc, trie: Trie) -> Iterator[Term]:
        at = 0
        while at < len(doc):
            piece = self._piece(doc, at, trie)
            if piece and piece.is_term:
                yield _term(doc, [piece])
            at = piece.end if piece else at + 1

    def _piece(self, doc: Doc, at: int, trie: Trie) -> Piece | None:
        found = trie.longest(doc, at)
        if found is None or (found[0] == at + 1 and not self._is_name(doc[at])):
            return None
        if found[0] > at + 1 and self._is_verb_phrase(doc, at, found[0], found[1]):
            return None
        if found[0] > at + 1 or found[1].kind == "task":
            return Piece(at, found[0], found[1])
        other = self._other_sense(doc[at])
        if other is None:
            return Piece(at, found[0], found[1])
        return Piece(at, found[0], Entry(None, "") if found[1].kind == "assembly" else other)

    def _is_verb_phrase(self, doc: Doc, start: int, end: int, entry: Entry) -> bool:
        """True for "pop rivet the floor", and for "cut out the hole", which is no noun of work there."""
        if self._verbs.is_phrase(doc, start, end):
            return True
        first = doc[start]
        return entry.kind == "task" and not first.lower_.endswith("ing") and self._verbs.verb_of(first) is not None

    def _other_sense(self, token: Token) -> Entry | None:
        """What the word means here if its neighbours say that it has another sense."""
        senses = self._words.senses.get(normal(token.lower_), ())
        return next((sense.entry for sense in senses if sense.holds(token)), None)

    def begins_name(self, token: Token) -> bool:
        """True if a thing's name of several words begins here: "bucking" of "bucking bar"."""
        found = self._things.longest(token.doc, token.i)
        return found is not None and found[0] > token.i + 1 and found[1].kind is not None

    def _is_name(self, token: Token) -> bool:
        """False where a single word is a verb here ("drill the ribs"), an auxiliary ("can"), a pronoun."""
        if token.pos_ not in NOMINAL and token.pos_ != "VERB":
            return False
        if self._verbs.verb_of(token) or self._verbs.belongs_to_verb(token):
            return False
        return not _is_prefix(token)

    def _chain(self, doc: Doc, start: int) -> list[Piece]:
        """The pieces of the longest name that begins at `start`; empty if none does."""
        pieces: list[Piece] = []
        at = start
        while at < len(doc):
            if pieces and doc[at].text in HYPHENS:
                at += 1
                continue
            piece = self._next(doc, at, first=not pieces)
            if piece is None or (pieces and piece.entry and not piece.is_term):
                break
            pieces.append(piece)
            at = piece.end
            if piece.entry and not piece.is_term:
                break
        while pieces and pieces[-1].entry is None:
            pieces.pop()
        return _numbered(doc, pieces)

    def _next(self, doc: Doc, at: int, *, first: bool) -> Piece | None:
        """The thing, or word of position, or (inside a name) of side, that begins here."""
        piece = self._piece(doc, at, self._things)
        if piece is None and (doc[at].lower_ in self._words.modifiers or (doc[at].lower_ in SIDES and not first)):
            return Piece(at, at + 1, None)
        return piece


def _is_prefix(token: Token) -> bool:
    """True for "post" of "post-cured", "hand" of "hand-formed": a word tied by a hyphen to a participle."""
    if token.i + 2 >= len(token.doc) or token.nbor(1).text not in HYPHENS or token.whitespace_:
        return False
    return token.nbor(2).lower_.endswith("ed")


def _numbered(doc: Doc, pieces: list[Piece]) -> list[Piece]:
    """ "frame three": the number belongs to the name where no noun follows that it could count."""
    last = pieces[-1] if pieces else None
    if last is None or not last.entry or not last.entry.kind or last.end >= len(doc):
        return pieces
    if last.entry.id.split()[-1] not in NUMBERED:
        return pieces
    number, after = doc[last.end], doc[last.end + 1] if last.end + 1 < len(doc) else None
    counts = after is not None and after.pos_ in ("NOUN", "ADJ", "NUM", "PROPN")
    if not number.like_num or counts:
        return pieces
    named = Entry(last.entry.kind, f"{last.entry.id} {number.lower_}", last.entry.assembly)
    return [*pieces[:-1], Piece(last.start, last.end + 1, named)]


def _term(doc: Doc, chain: list[Piece]) -> Term:
    head = chain[-1].entry
    assert head is not None and head.kind is not None
    names = [piece.entry.id if piece.entry else doc[piece.start].lower_ for piece in chain
             if piece.entry or doc[piece.start].lower_ not in SIDES]
    belongs = next((piece.entry.assembly for piece in chain if piece.entry and piece.entry.assembly), None)
    return Term(chain[0].start, chain[-1].end, head.kind, " ".join(names),
                doc[chain[0].start:chain[-1].end].text, belongs)
