"""Noun phrases of the shop: what a phrase names, and the side, count and owner that it states.

A phrase is taken from the syntax around its head and widened by the vocabulary's terms, because the parser does
not know "cleco pliers" or "nose bowl". Nothing here looks beyond the phrase and its owner; what a pronoun stands
for is decided by `discourse`.
"""
from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass

from spacy.tokens import Token

from witnessmark.reading import reference_words as words
from witnessmark.reading.people import is_trade_word, table
from witnessmark.reading.sides import NOMINAL, side_of, sides_after, stands_alone, stated_side
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon, Term
from witnessmark.trade.inflect import singular

MODIFIER_DEPS = frozenset({"compound", "amod", "nummod", "det", "poss", "nmod", "predet", "quantmod", "nounmod",
                           "advmod", "case", "punct", "appos", "npadvmod"})
NUMBERS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
           "ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16,
           "seventeen": 17, "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50,
           "sixty": 60, "couple": 2, "dozen": 12, "hundred": 100}
OWNING = ("of", "in", "on", "for", "from", "through", "inside", "into", "onto", "to", "around", "over", "at", "along")


@dataclass(frozen=True, slots=True)
class Phrase:
    """One noun phrase: tokens `start` up to `end`, the head among them.

    `words` name the thing (singular, without article, count and side); empty if the phrase only points at one.
    `kind` is "thing", "pointer" (pronoun, "the other one"), "region" ("the inside"), "feature" ("holes"),
    "coating" ("two coats"), "tool" or "none" (people, time, money, abstractions). `owner` is the head token of the
    phrase that it is of, in or on; `owner_word` that preposition, or "'s".
    """

    head: int
    start: int
    end: int
    kind: str
    words: tuple[str, ...]
    side: str | None = None
    count: int | None = None
    plural: bool = False
    owner: int | None = None
    owner_word: str = ""
    assembly: str | None = None
    known: bool = False
    other: bool = False
    place: tuple[str, ...] = ()
    text: str = ""

    @property
    def demonstrative(self) -> bool:
        """True after "this", "that", "these", "those"."""
        return self.text.split(" ", 1)[0] in ("this", "that", "these", "those")

    @property
    def definite(self) -> bool:
        """True after "the", a demonstrative or a possessive."""
        return self.demonstrative or self.text.split(" ", 1)[0] in ("the", "my", "our", "its", "their", "his", "her")

    @property
    def name(self) -> str | None:
        return " ".join(self.words) or None


@dataclass(frozen=True)
class Terms:
    """The vocabulary's terms of one text, by the token that they cover."""

    things: dict[int, Term]
    assemblies: dict[int, Term]

    @classmethod
    def of(cls, passage: Passage, lexicon: Lexicon) -> Terms:
        things: dict[int, Term] = {}
        assemblies: dict[int, Term] = {}
        for term in passage.terms(lexicon):
            table = assemblies if term.kind == "assembly" else things
            if term.kind != "task":
                table.update((at, term) for at in range(term.start, term.end))
        return cls(things, assemblies)


def phrases(passage: Passage, lexicon: Lexicon) -> dict[int, Phrase]:
    """All noun phrases of a text by the token of their head, in text order."""
    terms = Terms.of(passage, lexicon)
    found: dict[int, Phrase] = {}
    taken: set[int] = set()
    for token in passage.doc:
        if token.i not in taken and is_head(token, terms, lexicon):
            found[token.i] = phrase_at(token, terms)
            taken.update(at for at, _ in sides_after(token))
    return found


def is_head(token: Token, terms: Terms, lexicon: Lexicon) -> bool:
    """True for a token that a noun phrase ends at: a noun, a pronoun, a number or a side that stands for a noun."""
    term = terms.things.get(token.i)
    if _is_end_to_end(token) or (token.lower_ == "top" and token.i and token.nbor(-1).lower_ in ("up", "on", "over")):
        return False
    if term is not None:
        return token.i == term.end - 1
    if token.i + 1 in terms.things and (token.pos_ not in NOMINAL or side_of(token)) and (
            terms.things[token.i + 1].start == token.i + 1):
        return False
    if side_of(token) and stands_alone(token):
        return True
    if token.lower_ in words.QUANTITIES or token.lower_ in words.PLACEHOLDERS:
        return stands_alone(token)
    if token.pos_ in NOMINAL:
        return not _modifies_next(token) and not lexicon.verb_of(token) and not _begins_verb(token, lexicon)
    if token.lower_ in words.POSSESSIVE_PRONOUNS:
        return True
    if token.lower_ in words.PLURAL_PRONOUNS | words.SINGULAR_PRONOUNS:
        object_that = token.lower_ == "that" and token.dep_ == "dobj"  # "I drilled that for the mount"
        return token.dep_ not in ("det", "mark", "expl") and (object_that or token.tag_ not in ("WDT", "IN"))
    if token.pos_ == "NUM":
        modifies = token.dep_ in ("nummod", "quantmod", "compound", "npadvmod")
        return not _is_label(token) and not modifies and stands_alone(token)
    return False


def _is_end_to_end(token: Token) -> bool:
    """True for the nouns of "end to end", "side by side"."""
    after = [t.lower_ for t in token.doc[token.i + 1:token.i + 3]]
    before = [t.lower_ for t in token.doc[max(token.i - 2, 0):token.i]]
    word = token.lower_
    return after in (["to", word], ["by", word]) or before in ([word, "to"], [word, "by"])


def _begins_verb(token: Token, lexicon: Lexicon) -> bool:
    """True for "match" of "match drilled"."""
    lemma = lexicon.verb_of(token.nbor(1)) if token.i + 1 < len(token.doc) else None
    return lemma is not None and lemma.startswith(token.lower_ + " ")


def _is_label(number: Token) -> bool:
    """True for the number of "item two", "number five": it counts nothing."""
    return number.i > 0 and number.nbor(-1).pos_ in NOMINAL


def _modifies_next(token: Token) -> bool:
    follows = token.i + 1 < len(token.doc) and token.nbor(1).pos_ in NOMINAL
    return token.dep_ in ("compound", "nmod", "amod", "poss") and token.head.i > token.i and (
        follows or token.dep_ != "poss") and token.dep_ != "poss"


def phrase_at(token: Token, terms: Terms) -> Phrase:
    """The phrase whose head is this token."""
    start = _start(token, terms)
    inside = list(token.doc[start:token.i + 1])
    owner, owner_word = owner_of(token)
    kind = _kind(token, inside, terms)
    if owner is None and kind in ("feature", "coating"):
        owner, owner_word = _next_place(token)
    if owner is not None and kind == "coating" and token.doc[owner].lower_ in words.COLORS:
        owner, owner_word = owner_of(token.doc[owner])  # "two coats of white on the fin" are the fin's
    named = tuple(_naming_words(token, inside, terms)) if kind not in ("pointer", "none") else ()
    return Phrase(
        head=token.i, start=start, end=token.i + 1, kind=kind, words=named, side=stated_side(token, inside),
        count=_count(token, inside), plural=_is_plural(token, inside), owner=owner, owner_word=owner_word,
        assembly=_own_assembly(token, start, terms), known=token.i in terms.things,
        place=tuple(_telling(inside, kind)),
        other=any(t.lower_ in ("other", "others", "opposite") or t.lower_ in words.OPPOSITES for t in inside),
        text=token.doc[start:token.i + 1].text.lower())


def _start(token: Token, terms: Terms) -> int:
    """The first token of the phrase: contiguous modifiers, and the whole of a term that ends here."""
    term = terms.things.get(token.i)
    start = term.start if term else token.i
    while start > 0:
        before = token.doc[start - 1]
        inside = before.head.i >= start - 1 and before.head.i <= token.i and before.dep_ in MODIFIER_DEPS
        joins = before.text == "-" or (before.pos_ in ("DET", "NUM", "ADJ") and before.dep_ != "mark")
        if not (inside or joins) or (before.is_punct and before.text != "-") or before.is_sent_start is None:
            break
        if before.dep_ in ("poss", "case"):
            break
        start -= 1
    return start


# --- what kind of phrase ---------------------------------------------------------------------------------

TERM_KIND = {"tool": "tool", "material": "supply", "consumable": "supply", "designation": "supply"}


def _kind(token: Token, inside: list[Token], terms: Terms) -> str:
    word = singular(token.lower_)
    term = terms.things.get(token.i)
    named = any(t.i in terms.things or (t.pos_ in NOMINAL and t.dep_ == "compound") for t in inside[:-1])
    long = term is not None and term.kind == "part" and term.end - term.start > 1
    if long and (token.pos_ == "NUM" or word in ("side", "half", "end")):
        return "thing"  # "bulkhead four", "the fuselage sides"
    if _is_pointer(token, word, named):
        return "pointer"
    if word in words.UNNAMED_REGIONS | words.NAMED_REGIONS and not (term and term.end - term.start > 1) and (
            not named or word in ("end", "side")):
        return "region"
    if (word == "line" and _is_drawn_line(inside)) or "squeeze" in token.doc[max(token.i - 2, 0):token.i].text:
        return "feature"
    if word == "hole" and not _is_named_hole(inside):
        return "feature"
    if word in words.FEATURES and not (term and term.end - term.start > 1) and (
            not _is_named_hole(inside)):
        return "feature"
    if word in words.COATINGS and not (term and term.kind == "part" and term.end - term.start > 1):
        return "coating"
    if term is not None and (term.assembly == "shop" or word in words.TOOL_HINTS):
        return "tool" if term.kind != "part" or term.assembly == "shop" else "thing"
    if term is not None:
        return TERM_KIND.get(term.kind, "thing")
    if {word, token.lemma_.lower()} & (words.NON_THINGS | words.MEASURES) or token.pos_ not in NOMINAL:
        return "none"
    if LATER_ORDINAL.fullmatch(token.lower_):
        return "none"
    if {word, token.lemma_.lower()} & _persons() and not named:
        return "none"
    if token.ent_type_ in ("PERSON", "DATE", "TIME", "MONEY", "GPE", "PERCENT", "ORDINAL"):
        return "none"
    does = token.dep_ == "nsubj" and token.head.pos_ == "VERB" and len(inside) == 1 and not is_trade_word(token)
    if token.pos_ == "PROPN" and token.is_title and (does or not token.is_sent_start):
        return "none"
    return "tool" if word in words.TOOL_HINTS else "unknown"


@functools.cache
def _persons() -> frozenset[str]:
    """Nouns for people, who are no things worked on."""
    return table()["helper"]["heads"] | table()["helper"]["pronouns"]


def _is_pointer(token: Token, word: str, named: bool) -> bool:
    lower = token.lower_
    if lower in ("thing", "things"):
        return token.i > 0 and token.nbor(-1).lower_ in words.BEFORE_THING and token.dep_ not in ("attr", "nsubj")
    if lower in ORDINALS:
        return _is_pointing_ordinal(token)
    if token.pos_ == "NUM" or lower in NUMBERS or lower in words.POINTING:
        return True
    if lower in words.PLACEHOLDERS or word in words.PLACEHOLDERS:
        return not (named and word in words.NAMED_WITH_MODIFIER)
    return side_of(token) is not None


LATER_ORDINAL = re.compile(r"(?:.*-)?(?:four|fif|six|seven|eigh|nin|ten|eleven|twelf|\w+teen|\w+tie|\d+)(?:th|st|nd|rd)"
                           r"|.*-(?:first|second|third)")
ORDINALS = frozenset({"first", "second", "third", "last"})


def _is_pointing_ordinal(token: Token) -> bool:
    """False for a date: "on the second", "the third of May"."""
    before = [t.lower_ for t in token.doc[max(token.i - 2, 0):token.i]]
    after = token.doc[token.i + 1:token.i + 2].text.lower()
    if token.dep_ == "attr" and any(t.lower_ in ("that", "it", "today") for t in token.head.children):
        return False
    return before[-1:] == ["the"] and before[:1] != ["on"] and after != "of" and token.ent_type_ != "DATE"


def _is_drawn_line(inside: list[Token]) -> bool:
    """True for a rivet line or a fold line, which is drawn, unlike a brake line."""
    return len(inside) > 1 and inside[-2].lower_ in words.DRAWN_LINES


def _is_named_hole(inside: list[Token]) -> bool:
    return any(t.lower_ in words.NAMED_HOLE_MODIFIERS for t in inside[:-1])


# --- the name --------------------------------------------------------------------------------------------

def _naming_words(head: Token, inside: list[Token], terms: Terms) -> Iterator[str]:
    """The words of the phrase that tell which kind of thing it is."""
    term = terms.things.get(head.i)
    for token in inside:
        if token.i == head.i:
            yield _head_word(token, term)
        elif token.text == "-" or _drops(token, term):
            continue
        else:
            yield token.lower_ if term is None or token.i < term.start else singular(token.lower_)


def _telling(inside: list[Token], kind: str) -> Iterator[str]:
    """What tells a pointer's thing from another: "the rear one", "the rudder ones"."""
    if inside[-1].lower_ in ("pair", "set", "bank", "lot", "bunch", "batch"):
        return
    for token in inside[:-1]:
        named = kind == "pointer" and token.pos_ in NOMINAL and not side_of(token) and token.lower_ not in NUMBERS
        if token.lower_ in words.PLACE_ADJECTIVES or (named and token.lower_ not in words.NON_THINGS):
            yield token.lower_


def _head_word(token: Token, term: Term | None) -> str:
    """The singular noun; a clipped one in full ("prop" is a propeller, but a "cowl" is no clipped cowling)."""
    word = singular(token.lower_)
    full = term.id.split()[-1] if term is not None else word
    clipped = len(full) > len(word) and full.startswith(word) and full != f"{word}ing"
    return full if clipped else word


def _drops(token: Token, term: Term | None) -> bool:
    """True for an article, count, side, judgement or measure before the noun."""
    if side_of(token) or token.pos_ in ("DET", "NUM", "PRON", "PART", "PUNCT", "SYM", "ADV", "ADP", "CCONJ", "INTJ"):
        return not (token.lower_ in words.POSITION_ADJECTIVES and not side_of(token))
    word = token.lower_
    if word in ("port", "starboard", "left", "right", "other", "same", "new", "old"):
        return True
    if word in words.POSITION_ADJECTIVES:
        return False
    in_term = term is not None and term.start <= token.i < term.end
    if token.like_num or word in NUMBERS or word in words.MEASURES or (word in words.NON_THINGS and not in_term):
        return True
    if token.pos_ in NOMINAL:
        return False
    return not (word in words.POSITION_ADJECTIVES or (in_term and word not in NOT_IDENTIFYING) or _is_relational(word))


NOT_IDENTIFYING = frozenset({"new", "old", "little", "big", "small", "spare", "first", "second", "third", "fourth",
                             "fifth", "last", "long", "short", "sixth", "good", "bad"})


def _is_relational(word: str) -> bool:
    return word.endswith(words.RELATIONAL_ENDINGS) and word not in words.NOT_RELATIONAL


# --- side, count, number ---------------------------------------------------------------------------------

def _count(head: Token, inside: list[Token]) -> int | None:
    for token in reversed(inside):
        value = _number(token)
        if value is not None and (token.dep_ == "nummod" or token is head or token.lower_ in ("couple", "dozen")):
            return value
    following = [t for t in head.doc[head.i + 1:head.i + 5] if not t.is_punct]
    if len(following) >= 2 and following[0].lower_ == "all" and not following[1].is_sent_start:
        return _number(following[1])
    return None


def _number(token: Token) -> int | None:
    if token.lower_ in NUMBERS:
        return NUMBERS[token.lower_]
    return int(token.text) if token.text.isdigit() and len(token.text) < 4 else None


def _is_plural(token: Token, inside: list[Token]) -> bool:
    if token.lower_ in words.PLURAL_PRONOUNS or token.tag_ in ("NNS", "NNPS"):
        return True
    if any(t.lower_ in ("these", "those", "both", "several", "few") for t in inside):
        return True
    counts = [number for t in inside if (number := _number(t)) is not None and t.dep_ == "nummod"]
    return any(number > 1 for number in counts) or (token.pos_ == "NUM" and (_number(token) or 2) > 1) or (
        token.lower_ in ("all", "both", "some", "most", "others", "pair", "few", "several"))


# --- owner -----------------------------------------------------------------------------------------------

def owner_of(token: Token) -> tuple[int | None, str]:
    """The head of what the phrase is of: possessive first, then "of", then the places that it is in or on."""
    for child in token.children:
        if child.dep_ == "poss" and (child.pos_ in NOMINAL or child.lower_ in words.OWNER_PRONOUNS
                                     or side_of(child) or child.lower_ in ("other", "one")):
            return child.i, "'s"
    before = token.doc[max(token.left_edge.i - 2, 0):token.i]
    for t in before:
        if t.lower_ in words.OWNER_PRONOUNS and t.head == token:
            return t.i, "'s"
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    preps = [c for c in token.children if c.dep_ == "prep" and c.i > token.i]
    if after is not None and after.lower_ == "of" and after not in preps:
        preps.insert(0, after)
    for prep in sorted(preps, key=lambda p: (p.lower_ != "of", p.i)):
        if prep.lower_ in OWNING:
            for child in prep.children:
                if child.dep_ == "pobj":
                    return child.i, prep.lower_
    return None, ""


def _next_place(token: Token) -> tuple[int | None, str]:
    """The place right behind the noun, although the parser gave it to the verb: "drilled the holes in the rib"."""
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    if after is None or after.lower_ not in OWNING:
        return None, ""
    return next(((child.i, after.lower_) for child in after.children if child.dep_ == "pobj"), (None, ""))


def _own_assembly(token: Token, start: int, terms: Terms) -> str | None:
    """The assembly that the phrase's own words say ("elevator skin"), or that such a thing always belongs to.

    "Panel" as the last word of a longer name is a panel of any kind, and not the instrument panel.
    """
    term = terms.things.get(token.i)
    first = min(start, term.start) if term else start
    named = [terms.assemblies[at] for at in range(first, token.i + 1) if at in terms.assemblies]
    named = [found for found in named if not (found.end == token.i + 1 and found.end - found.start == 1
                                              and found.start > first and found.text.lower().startswith("panel"))]
    if term is not None and term.assembly and not (term.id.endswith(" panel") and not named):
        return term.assembly
    return named[0].id if named else None
