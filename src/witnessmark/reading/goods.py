"""Things that may be bought: their names in a passage, what they are counted in, and who sold them.

In: tokens of a passage and the trade's vocabulary. Out: `Mention` values. Never: money or a status.
"""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib import resources

from spacy.tokens import Doc, Token

from witnessmark.reading.money import Money
from witnessmark.reading.money_words import HYPHENS, Figure, find_figures
from witnessmark.reading.people import HELPER, MAKER, PAID
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon, Term
from witnessmark.trade.designations import parse
from witnessmark.trade.inflect import singular

LONGEST_SHORT = 4  # letters of a short form ("prop")
GOODS_KINDS = frozenset({"part", "tool", "material", "consumable", "designation"})
NUMBER_BEFORE_NAME = frozenset({"number", "no", "#", "size"})
SIZE_WORDS = frozenset(
    [
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "twelve",
        "sixteen",
        "twenty",
        "thirty",
        "forty",
    ]
)
POINTING = frozenset({"that", "this", "those", "these"})  # before a noun they point at it, alone they stand for it
STANDS_FOR = frozenset(
    ["it", "them", "those", "these", "that", "this", "they", "one", "ones", "some", "both", "any", "more", "another"]
)


@functools.cache
def words(name: str) -> frozenset[str]:
    """One list of data/goods.toml."""
    text = resources.files("witnessmark.reading").joinpath("data/goods.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)[name])


@functools.cache
def kind_of(word: str) -> str | None:
    """The purchase category of goods by the last word of their name, from data/goods.toml; None if it tells none."""
    text = resources.files("witnessmark.reading").joinpath("data/goods.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)["kind_of"]
    return next((kind for kind, words in table.items() if word in words), None)


@dataclass(frozen=True, slots=True)
class Mention:
    """A thing named at tokens `start` to `end`; `head` its last noun, `term` its entry in the vocabulary if known.

    `name` is as few words as name it, singular; `quantity` what is counted of it just before ("six rolls of").
    """

    start: int
    end: int
    head: int
    name: str
    term: Term | None
    quantity: float | None = None


class Goods:
    """The things named in one passage, found once and asked by token."""

    def __init__(self, passage: Passage, lexicon: Lexicon, money: tuple[Money, ...]) -> None:
        self.doc: Doc = passage.doc
        self.lexicon = lexicon
        self._people = passage.people()
        self._assemblies = {word for _, synonyms in lexicon.assemblies.values() for word in synonyms}
        self.sums = money
        self._money = {token for one in money if one.sure for token in range(one.start, one.end)}
        self._figures = {figure.end: figure for figure in find_figures(passage.doc)}
        self._sold_by = {one.per for one in money if one.per} - {"each", "hour", "day"}
        self._terms = {
            at: term
            for term in passage.terms(lexicon)
            if term.kind in GOODS_KINDS
            for at in range(term.start, term.end)
        }
        self._mentions: dict[int, Mention | None] = {}

    def terms_between(self, start: int, end: int) -> list[Mention]:
        """The known things named between two tokens, in order."""
        found: list[Mention] = []
        for at in range(max(start, 0), min(end, len(self.doc))):
            term = self._terms.get(at)
            if (
                not ((term and term.end - 1 == at) or self._is_service(self.doc[at]))
                or at in self._money
                or self._owns(at)
                or self._describes(at)
            ):
                continue
            mention = self.mention(self.doc[at])
            if mention and (not found or mention.head != found[-1].head):
                found.append(mention)
        return found

    def _is_service(self, token: Token) -> bool:
        return token.pos_ in ("NOUN", "PROPN") and self.lexicon.category(token.lower_) == "service"

    def _describes(self, at: int) -> bool:
        """True where a known word only describes a noun that is no goods of its own ("rib stuff", "flap day")."""
        token = self.doc[at]
        return (
            token.dep_ == "compound"
            and token.head.i == at + 1
            and token.head.i not in self._terms
            and singular(token.head.lower_) in words("private")
            and not self.is_unit(token.head)
        )

    def bare_unit(self, mention: Mention) -> bool:
        """True for a unit that may stand for what it holds: "four sheets" after plywood was named."""
        return mention.end - mention.start == 1 and self.is_unit(self.doc[mention.head])

    def is_plain(self, mention: Mention) -> bool:
        """True for a name of common nouns only, none of them a time."""
        span = self.doc[mention.start : mention.end]
        return all(token.pos_ == "NOUN" and token.ent_type_ not in ("DATE", "TIME", "PERSON") for token in span)

    def holds(self, mention: Mention) -> bool:
        """True for what is sold by the sheet, the jug, the roll: a material or a consumable."""
        return (
            mention.term is not None and mention.term.kind in ("material", "consumable") and not self.bare_unit(mention)
        )

    def _owns(self, at: int) -> bool:
        """True before a possessive; "the spinner's ordered" has none, whatever the tagger says."""
        if at + 2 >= len(self.doc) or self.doc[at + 1].tag_ != "POS":
            return False
        if self.doc[at + 2].tag_ in ("VBN", "VBG", "RB", "DT", "IN"):
            return False
        for following in self.doc[at + 2 : at + 5]:  # "the tyre's flat again": nothing is owned
            if following.is_punct:
                break
            if following.pos_ in ("NOUN", "PROPN"):
                return True
        return False

    def is_person(self, token: Token) -> bool:
        """True for a noun or pronoun that means people, a shop, a maker."""
        return self._people.who(token).kind in (PAID, HELPER, MAKER, "builder", "generic")

    def is_hired(self, token: Token) -> bool:
        """True for somebody who works for money: a shop, a painter."""
        return self._people.who(token).kind == PAID

    def is_size(self, token: Token) -> bool:
        """A number in the plural that stands for pieces of that size: "the dash sixes", "number eights"."""
        single = singular(token.lower_)
        return single != token.lower_ and (single in SIZE_WORDS or single.isdigit())

    def is_assembly(self, mention: Mention) -> bool:
        """True for a whole assembly, which is not bought by a bare figure ("the wing is at ninety")."""
        known = self.lexicon.parts.get(mention.name) or self.lexicon.parts.get(mention.name.split()[-1])
        return mention.name in words("airframe") or (mention.name in self._assemblies and not known)

    def mention(self, token: Token) -> Mention | None:
        """The thing that a noun names, led through units ("a box of brushes" names brushes); None for no goods."""
        if token.i not in self._mentions:
            self._mentions[token.i] = self._find(token)
        return self._mentions[token.i]

    def is_pronoun(self, token: Token) -> bool:
        """True for words that stand for a thing named before: pronouns, "one", numbers, units with nothing in them."""
        return token.lower_ in STANDS_FOR or token.pos_ in ("PRON", "NUM", "DET") or self.is_unit(token)

    def is_unit(self, token: Token) -> bool:
        """True for a word that counts or holds goods: "two rolls", "a sleeve of", "three sleeves at six a sleeve"."""
        if token.i in self._money:
            return False
        word = singular(token.lower_)
        return word in words("units") or (word in words("holders") and (word in self._sold_by or self._holds(token.i)))

    def _holds(self, at: int) -> bool:
        """True before "of" and goods."""
        if at + 2 >= len(self.doc) or self.doc[at + 1].lower_ != "of":
            return False
        return any(term is not None for term in map(self._terms.get, range(at + 2, min(at + 6, len(self.doc)))))

    def _find(self, token: Token) -> Mention | None:
        if token.i in self._money or (token.ent_type_ in ("DATE", "TIME") and not self._terms.get(token.i)):
            return None
        term = self._terms.get(token.i)
        if self.is_size(token):
            return None
        if self.is_unit(token) and (term is None or term.end - term.start == 1):
            return self._inside_unit(token, term)
        if token.pos_ not in ("NOUN", "PROPN") and term is None:
            return None
        head = term.end - 1 if term else self._last_of_compound(token)
        start = self._start(head, term.start if term else head)
        name = self._name(start, head + 1)
        if term is not None and _abbreviates(name, term.id):
            name = term.id
        if term is not None and term.kind == "designation":
            return self._designated(term, start)
        if term is None and self.is_person(token):
            return None
        last = name.split()[-1].split("-")[-1] if name else ""
        hyphened = head + 2 < len(self.doc) and self.doc[head + 1].text in HYPHENS and term is None
        if not name or hyphened or (term is None and (last in words("private") or name in words("private"))):
            return None
        if name.endswith("-"):
            return None
        return Mention(start, head + 1, head, name, term, self._count_before(start))

    def _designated(self, term: Term, start: int) -> Mention | None:
        """ "AN470AD4-5" names rivets; a bare size or alloy ("4130", "dash five") names no goods of its own."""
        following = self._terms.get(term.end)
        if following is not None and following.kind != "designation":
            mention = self.mention(self.doc[following.end - 1])
            name = f"{term.id} {mention.name.split()[-1]}" if mention else ""
            return mention and Mention(start, mention.end, mention.head, name, following, self._count_before(start))
        known = parse(term.id)
        if known is None or known.thing is None:
            return None
        return Mention(start, term.end, term.end - 1, f"{term.id} {known.thing}", term, self._count_before(start))

    def _last_of_compound(self, token: Token) -> int:
        """The last noun of a name where the parser took an earlier one for its head."""
        at = token.i
        while (
            at + 1 < len(self.doc)
            and self.doc[at].dep_ == "compound"
            and self.doc[at + 1].pos_ in ("NOUN", "PROPN")
            and at + 1 not in self._money
        ):
            at += 1
        return at

    def _inside_unit(self, unit: Token, term: Term | None) -> Mention | None:
        """What a unit holds: "two quarts of varnish" is varnish, "three sheets" are sheets, "a pack" names nothing."""
        doc = self.doc
        quantity = self._count_before(unit.i)
        if unit.i + 2 < len(doc) and doc[unit.i + 1].lower_ == "of":
            inner = self._first_noun(unit.i + 2)
            held = self.mention(inner) if inner is not None else None
            if held and singular(held.name) not in words("units"):
                return Mention(unit.i, held.end, held.head, held.name, held.term, quantity)
            if inner is not None and inner.lower_ in STANDS_FOR:
                return None
        start = self._start(unit.i, unit.i)
        if singular(unit.lower_) not in words("goods_too") and start == unit.i:
            return None
        counted = self._count_before(start) if start < unit.i else quantity
        return Mention(start, unit.i + 1, unit.i, self._name(start, unit.i + 1), term, counted)

    def _first_noun(self, at: int) -> Token | None:
        """The noun of a phrase that begins at a token: its known term, or its last noun before anything else."""
        for i in range(at, min(at + 6, len(self.doc))):
            token = self.doc[i]
            if token.lower_ in STANDS_FOR and (token.lower_ not in POINTING or token.pos_ == "PRON"):
                return token
            if i in self._terms:
                return self.doc[self._terms[i].end - 1]
            if token.pos_ in ("NOUN", "PROPN") and token.lower_ not in ("hundred", "dozen", "thousand", "few", "couple"):
                return self.doc[self._last_of_compound(token)]
            if (token.is_punct and token.text not in HYPHENS) or token.pos_ in ("VERB", "AUX", "CCONJ", "ADP"):
                return None
        return None

    def _start(self, head: int, start: int) -> int:
        """The first word of a name: compounds and tellings-apart before the head, "number" before a size."""
        doc = self.doc
        while start > 0 and self._belongs(doc[start - 1], start):
            start -= 1
        if start > 0 and doc[start - 1].lower_ in NUMBER_BEFORE_NAME and doc[start].like_num:
            start -= 1
        size = self._figures.get(start)  # "number twenty one bits"
        if size and size.start > 0 and doc[size.start - 1].lower_ in NUMBER_BEFORE_NAME:
            start = size.start - 1
        while start < head and (doc[start].text in HYPHENS or doc[start].lower_ in words("idle")):
            start += 1
        return start

    def _belongs(self, token: Token, after: int) -> bool:
        if (
            token.i in self._money
            or token.lower_ in words("idle")
            or (self.is_unit(token) and token.text not in HYPHENS)
        ):
            return False
        if token.text in HYPHENS:
            return token.i > 0 and not self.doc[token.i - 1].is_punct
        if after < len(self.doc) and self.doc[after].text in HYPHENS:
            return True
        if token.pos_ == "NUM":
            return token.i > 0 and self.doc[token.i - 1].lower_ in NUMBER_BEFORE_NAME
        return (
            token.pos_ in ("NOUN", "PROPN", "ADJ")
            and token.dep_ in ("compound", "amod", "nmod", "npadvmod")
            and token.lower_ not in ("more", "right", "left")
            and token.head.i >= after - 1
        )

    def _name(self, start: int, end: int) -> str:
        """The words of a name, the last in the singular, designations as they stand."""
        text = self.doc[start:end].text
        kept = [word for word in text.split() if word.lower() not in words("idle")]
        if not kept:
            return ""
        as_said = any(letter.isdigit() for letter in kept[-1]) or kept[-1].lower() in words("plural_only")
        last = kept[-1] if as_said else singular(kept[-1].lower())
        return " ".join([*(word if any(c.isdigit() for c in word) else word.lower() for word in kept[:-1]), last])

    def _count_before(self, start: int) -> float | None:
        """The number just before a name, over words that tell nothing ("six more bolts"); "a" counts one."""
        at = start
        while at > 0 and (
            self.doc[at - 1].lower_ in words("idle") - {"ten", "hundred"} or self.doc[at - 1].lower_ == "of"
        ):
            at -= 1
        figure: Figure | None = self._figures.get(at)
        if figure and not set(range(figure.start, figure.end)) & self._money:
            return figure.value
        if at > 0 and self.doc[at - 1].lower_ in ("a", "an", "one", "another"):
            return 1.0
        return None


def _abbreviates(name: str, full: str) -> bool:
    """True for a short form of one word: "prop", "mag", "ply"; not for a form with an ending less ("cowl")."""
    return len(name) <= LONGEST_SHORT and " " not in full and full.startswith(name) and len(full) >= len(name) + 4
