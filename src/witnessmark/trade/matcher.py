"""The vocabulary's phrases in a parsed text: a trie over normalised words, longest match first.

Names of things may be put together: "aileron hinge bracket" is a bracket, and belongs to the aileron, although no
table has it. Such a chain takes words of position ("front", "lower"), materials and things, up to its last thing.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from spacy.tokens import Doc, Token

from witnessmark.trade.inflect import normal
from witnessmark.trade.terms import Term, TermKind
from witnessmark.trade.verbs import HYPHENS, VerbForms

END = ""  # the key of a trie node under which the entries that end there are kept
NOMINAL = frozenset({"NOUN", "PROPN", "ADJ", "X", "NUM", "ADV", "ADP", "INTJ"})


@dataclass(frozen=True, slots=True)
class Entry:
    """What a phrase means: a kind of term, its id, its assembly."""

    kind: TermKind
    id: str
    assembly: str | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """One phrase found: tokens `start` to `end`, what it means (None for a word of position)."""

    start: int
    end: int
    entry: Entry | None


class Trie:
    """Phrases by their normalised words. The first entry given for a phrase stays."""

    def __init__(self) -> None:
        self._root: dict[str, Any] = {}

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


class Matcher:
    """Finds things, assemblies and nouns of work."""

    def __init__(self, things: Trie, assemblies: Trie, nominals: Trie, modifiers: frozenset[str],
                 verbs: VerbForms) -> None:
        self._things, self._assemblies, self._nominals = things, assemblies, nominals
        self._modifiers, self._verbs = modifiers, verbs

    def things(self, doc: Doc) -> Iterator[Term]:
        """Parts, tools, materials and consumables, chained into the longest names, left to right."""
        at = 0
        while at < len(doc):
            chain = self._chain(doc, at)
            if chain:
                yield _term(doc, chain)
                at = chain[-1].end
            else:
                at += 1

    def assemblies(self, doc: Doc) -> Iterator[Term]:
        yield from self._plain(doc, self._assemblies)

    def nominals(self, doc: Doc) -> Iterator[Term]:
        yield from self._plain(doc, self._nominals)

    def _plain(self, doc: Doc, trie: Trie) -> Iterator[Term]:
        at = 0
        while at < len(doc):
            piece = self._piece(doc, at, trie)
            if piece:
                yield _term(doc, [piece])
                at = piece.end
            else:
                at += 1

    def _piece(self, doc: Doc, at: int, trie: Trie) -> Piece | None:
        found = trie.longest(doc, at)
        if found is None or (found[0] == at + 1 and not self._is_name(doc[at])):
            return None
        return Piece(at, found[0], found[1])

    def _is_name(self, token: Token) -> bool:
        """False where a single word is a verb here ("drill the ribs"), an auxiliary ("can"), a pronoun."""
        return (token.pos_ in NOMINAL or token.pos_ == "VERB") and not self._verbs.verb_of(token)

    def _chain(self, doc: Doc, start: int) -> list[Piece]:
        """The pieces of the longest name that begins at `start`; empty if none does."""
        pieces: list[Piece] = []
        at = start
        while at < len(doc):
            if pieces and doc[at].text in HYPHENS:
                at += 1
                continue
            piece = self._piece(doc, at, self._things)
            if piece is None and doc[at].lower_ in self._modifiers:
                piece = Piece(at, at + 1, None)
            if piece is None:
                break
            pieces.append(piece)
            at = piece.end
        while pieces and pieces[-1].entry is None:
            pieces.pop()
        return pieces


def _term(doc: Doc, chain: list[Piece]) -> Term:
    head = chain[-1].entry
    assert head is not None
    names = [piece.entry.id if piece.entry else doc[piece.start].lower_ for piece in chain]
    belongs = next((piece.entry.assembly for piece in chain if piece.entry and piece.entry.assembly), None)
    return Term(chain[0].start, chain[-1].end, head.kind, " ".join(names),
                doc[chain[0].start:chain[-1].end].text, belongs)
