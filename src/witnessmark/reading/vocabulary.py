"""The trade's terms of one text by token, and the small classes of words that clauses need."""
from __future__ import annotations

import functools
import tomllib
from collections.abc import Collection
from importlib import resources

from spacy.tokens import Token

from witnessmark.reading.text import Passage
from witnessmark.trade.lexicon import Lexicon
from witnessmark.trade.terms import Term

TIME_NOUNS = frozenset({"hour", "minute", "day", "night", "evening", "morning", "afternoon", "weekend", "week",
                        "month", "year", "today", "yesterday", "tomorrow", "tonight", "monday", "tuesday",
                        "wednesday", "thursday", "friday", "saturday", "sunday", "time", "way", "lot", "bit", "while",
                        "summer", "winter", "spring"})


class Vocabulary:
    """The trade's terms of one text, by token."""

    def __init__(self, passage: Passage, lexicon: Lexicon, times: Collection[int] = ()) -> None:
        """`times` are the tokens of expressions of time, which are never things or places."""
        self.lexicon, self.doc, self.times = lexicon, passage.doc, frozenset(times)
        self.things: dict[int, Term] = {}
        self.tasks: list[Term] = []
        self.assemblies: dict[int, Term] = {}
        for term in passage.terms(lexicon):
            if term.kind == "task":
                self.tasks.append(term)
                continue
            named = self.assemblies if term.kind == "assembly" else self.things
            named.update(dict.fromkeys(range(term.start, term.end), term))
        self.assembly_words = frozenset(word for _, words in lexicon.assemblies.values() for word in words)

    def thing(self, token: Token) -> Term | None:
        """The thing or assembly that this token's phrase names."""
        return self.things.get(token.i) or self.assemblies.get(token.i)


@functools.cache
def words(name: str) -> frozenset[str]:
    """One list of data/verbs.toml."""
    text = resources.files("witnessmark.reading").joinpath("data", "verbs.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)[name])


def is_time(token: Token) -> bool:
    return token.lemma_.lower() in TIME_NOUNS


def in_time(token: Token, vocabulary: Vocabulary) -> bool:
    return token.i in vocabulary.times or is_time(token) or token.ent_type_ in ("DATE", "TIME", "ORDINAL")


def is_part(noun: Token, vocabulary: Vocabulary) -> bool:
    term = vocabulary.thing(noun)
    return term is not None and term.kind in ("part", "assembly")


def is_placeholder(token: Token) -> bool:
    if token.lower_ in ("half", "all") and not any(c.dep_ == "det" for c in token.children):
        return False
    if token.pos_ == "NUM" and token.i and token.nbor(-1).lower_ in ("half", "past", "quarter", "at"):
        return False
    if token.lower_ in ("thing", "things"):
        return token.i > 0 and token.nbor(-1).lower_ in ("that", "this", "those", "these", "whole")
    return token.lower_ in ("one", "ones", "other", "others", "half", "those", "them", "these", "lot", "rest", "pair",
                            "set",
                            "both", "all") or (token.pos_ == "NUM" and (
        token.dep_ in ("dobj", "nsubjpass", "nsubj", "npadvmod") or token.head.lower_.endswith("self")))
