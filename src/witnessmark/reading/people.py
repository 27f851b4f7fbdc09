"""Who did it: builder, helper, paid or maker, from a noun phrase, its relatives, and what the talk says of a name.

A name is a helper until the narration (or an earlier one) shows that he works for money: a price beside him, a
business word in his name. A pronoun is the person last spoken of. The classes of nouns are in data/people.toml.
"""
from __future__ import annotations

import functools
import re
import tomllib
from dataclasses import dataclass
from importlib import resources

from spacy.tokens import Doc, Span, Token

from witnessmark.reading.memory import Memory
from witnessmark.trade.inflect import normal
from witnessmark.trade.vocabulary import built_in

BUILDER, HELPER, PAID, MAKER = "builder", "helper", "paid", "maker"
GENERIC, DOCUMENT, THING = "generic", "document", "thing"
DEALS = frozenset({"buy", "order", "sell", "cost", "borrow", "lend", "return", "pick", "bring", "price", "shout"})
CURRENCY = frozenset({"dollars", "bucks", "quid", "pounds", "euros", "dollar", "buck"})
PERSON_REACH = 60  # tokens back in which "he" looks for a person before it takes a firm's man
THIRD_PERSON = frozenset({"he", "she", "him", "her", "himself", "herself"})
THIRD_PLURAL = frozenset({"they", "them", "themselves", "these guys"})
MONEY_WORDS = frozenset({"paid", "pay", "charged", "charge", "charges", "quoted", "quote", "invoice", "invoiced",
                         "bill", "billed", "hired", "hire", "fee", "rate", "dollars", "bucks", "quid", "pounds",
                         "euros", "$", "£", "€", "cost"})
KINDS = (PAID, MAKER, HELPER, DOCUMENT)


@dataclass(frozen=True, slots=True)
class Someone:
    """Who a phrase means: `kind` is builder, helper, paid, maker, generic, document or thing; `name` as said."""

    kind: str
    name: str | None = None
    rule: str = ""


@functools.cache
def table() -> dict[str, dict[str, frozenset[str]]]:
    """data/people.toml: kind → list name → words."""
    text = resources.files("witnessmark.reading").joinpath("data", "people.toml").read_text(encoding="utf-8")
    return {kind: {name: frozenset(words) for name, words in lists.items()}
            for kind, lists in tomllib.loads(text).items()}


class People:
    """The persons of one narration. `who(token)` classifies a noun or pronoun where it stands."""

    def __init__(self, doc: Doc, memory: Memory | None = None) -> None:
        self._known = {act.person.lower(): act.who for act in (memory.acts if memory else ())
                       if act.person and act.who in (HELPER, PAID, MAKER)}
        self._doc = doc
        self._paid = frozenset(token.lower_ for token in doc if token.pos_ == "PROPN" and is_paid_by_name(token))
        self._mentions: list[tuple[int, Someone]] = []
        for token in doc:
            presented = token.dep_ == "attr" and token.pos_ == "PROPN"  # "that noise is Tom"
            someone = self._named(token) if presented or token.dep_ not in ("attr", "compound", "poss") else None
            if someone is not None and someone.kind in (HELPER, PAID, MAKER):
                self._mentions.append((token.i, someone))

    def who(self, token: Token) -> Someone:
        """Who this subject, agent or object is; kind "thing" where it is nobody."""
        word = token.lower_
        if _with_builder(token):
            return Someone(BUILDER, None, "subject-builder")
        if word in table()["builder"]["pronouns"]:
            return Someone(BUILDER, None, "subject-builder")
        if word in THIRD_PERSON or word in THIRD_PLURAL:
            return self._last_before(token)
        if word in table()["generic"]["pronouns"]:
            return Someone(GENERIC, None, "subject-generic")
        return self._named(token) or Someone(THING)

    def _last_before(self, token: Token) -> Someone:
        """The person last spoken of; "they" may be a thing, which the caller must know."""
        singular = token.lower_ in THIRD_PERSON
        before = [(at, someone) for at, someone in reversed(self._mentions) if at < token.i]
        persons = [(at, someone) for at, someone in before if not self._is_place(at)] if singular else before
        near = [someone for at, someone in persons if token.i - at < PERSON_REACH]
        others = [someone for _, someone in before if someone.kind != MAKER or not singular]  # no factory is "he"
        for someone in near or others:
            return Someone(someone.kind, someone.name, "pronoun-person")
        return Someone(HELPER if singular else THING, None, "pronoun-unknown-person")

    def _is_place(self, at: int) -> bool:
        return self._doc[at].lemma_.lower() in table()["paid"]["places"] or self._doc[at].lemma_.lower() in (
            "chapter", "club", "family", "crew", "team", "factory", "kit")

    def _named(self, token: Token) -> Someone | None:
        if token.pos_ not in ("NOUN", "PROPN", "ADJ", "X", "PRON") and not token.ent_type_:
            return None
        phrase = _phrase(token)
        for kind in KINDS:
            if _phrases(kind).search(phrase.lower()):
                return self._checked(token, kind, phrase)
        if any(child.lower_ in table()["generic"]["determiners"] for child in token.children) and \
                token.lemma_.lower() in table()["generic"]["heads"] | table()["helper"]["heads"]:
            return Someone(GENERIC, None, "subject-generic")
        if token.lemma_.lower() in table()["generic"]["heads"]:
            return Someone(GENERIC, None, "subject-generic")
        name = _name(token)
        if name is not None and name.lower() in self._paid:
            return Someone(PAID, name, "person-paid-a-price")
        if name is not None and name.lower() in self._known:
            return Someone(self._known[name.lower()] or HELPER, name, "person-known")
        for kind in KINDS:
            if _is_kind(token, kind):
                return self._checked(token, kind, phrase)
        if _is_person_name(token):
            return self._checked(token, HELPER, name or token.text)
        return None

    def _checked(self, token: Token, kind: str, name: str) -> Someone:
        """A helper who is paid in the same or the next sentence is no helper."""
        if kind == HELPER and _for_money(token):
            return Someone(PAID, name, "person-paid-a-price")
        if kind == HELPER and (_of_a_firm(token) or _offers_service(token)):
            return Someone(PAID, name, "person-paid")
        if kind in (HELPER, PAID) and _makes_or_sells(token):
            return Someone(MAKER, name, "person-maker")
        return Someone(kind, name, f"person-{kind}")


@functools.cache
def _phrases(kind: str) -> re.Pattern[str]:
    """What finds a phrase of this kind of person in lower-case words."""
    known = table()[kind].get("phrases", frozenset())
    return re.compile(rf"(?<!\S)(?:{'|'.join(map(re.escape, sorted(known)))})(?!\S)" if known else r"(?!)")


def _phrase(token: Token) -> str:
    return " ".join(t.text for t in token.subtree if t.dep_ not in ("relcl", "acl", "appos", "punct")
                    and abs(t.i - token.i) < 4)


def _name(token: Token) -> str | None:
    return token.text if token.pos_ == "PROPN" else None


def _is_kind(token: Token, kind: str) -> bool:
    heads = table()[kind].get("heads", frozenset())
    return token.lemma_.lower() in heads or token.lower_ in heads


def _with_builder(token: Token) -> bool:
    """ "Walt and I", "me and my son", "my neighbour Walt and I"."""
    pronouns = table()["builder"]["pronouns"]
    todo = [token]
    while todo:
        one = todo.pop()
        if one.lower_ in pronouns:
            return True
        todo += [child for child in one.children if child.dep_ in ("conj", "appos")]
    return False


@functools.cache
def _trade_words() -> frozenset[str]:
    """The last words of the names of things: "Ribs" that open a sentence are no person."""
    return frozenset(normal(name.split()[-1]) for thing in built_in().things for name in (thing.name, *thing.synonyms))


def is_trade_word(token: Token) -> bool:
    """True for the last word of the name of a thing of the trade: "stick", "spar", "ribs"."""
    return normal(token.lower_) in _trade_words()


def _is_person_name(token: Token) -> bool:
    if (token.is_sent_start or token.tag_ == "NNPS") and is_trade_word(token):
        return False
    if token.ent_type_ == "PERSON" and token.pos_ == "PROPN":
        return True
    if _is_picked_out(token) or (token.pos_ == "PROPN" and token.is_title and token.lower_ in first_names()
                                 and token.dep_ not in ("compound", "poss")):
        return True
    if token.pos_ != "PROPN" or token.dep_ not in ("nsubj", "agent", "pobj", "conj"):
        return False
    governor = token.head
    return token.dep_ == "nsubj" and governor.pos_ in ("VERB", "AUX") and token.text[:1].isupper() \
        and not any(child.dep_ == "det" for child in token.children) and token.ent_type_ in ("", "PERSON", "ORG", "GPE")


@functools.cache
def first_names() -> frozenset[str]:
    """Common English first names in lower case, none of them another word of the shop (data/first_names.txt)."""
    text = resources.files("witnessmark.reading").joinpath("data", "first_names.txt").read_text(encoding="utf-8")
    return frozenset(word for line in text.splitlines() if not line.startswith("#") for word in line.split())


def _is_picked_out(token: Token) -> bool:
    """ "It's leo who cut it", "leo that primed them": a noun without an article before "who" is a name."""
    after = token.nbor(1).lower_ if token.i + 1 < len(token.doc) else ""
    bare = not any(c.dep_ in ("det", "poss", "amod", "nummod") for c in token.children)
    return after == "who" and bare and token.tag_ in ("NN", "NNP") and not is_trade_word(token)


def _for_money(token: Token) -> bool:
    return any(t.lower_ in ("hired", "hire") for t in token.sent)


def is_paid_by_name(token: Token) -> bool:
    """ "I had Tom weld it. Ninety dollars.", "paid Tom fifty to look it over": who did it, and a price beside him."""
    verb = token.head
    paid = verb.lemma_ in ("pay", "owe") and token.dep_ in ("dobj", "dative")
    does = token.dep_ == "nsubj" and verb.pos_ == "VERB" and verb.lemma_ not in DEALS and any(
        c.dep_ in ("dobj", "obj", "prt", "nsubjpass") for c in verb.children)
    if not (paid or does or (token.dep_ == "pobj" and verb.lower_ == "by" and verb.head.pos_ == "VERB")):
        return False
    if paid:
        return True
    sentence = token.sent
    words = [t.lower_ for t in sentence]
    if any(t.lemma_ in DEALS for t in sentence) or {"free", "nothing", "beer", "pizza", "cent"} & set(words):
        return False
    following = token.doc[sentence.end].sent if sentence.end < len(token.doc) else None
    return _is_priced(sentence) or (following is not None and _is_bill(following))


def _is_priced(sentence: Span) -> bool:
    """A sum of money in the sentence: "sixty dollars", "$60"."""
    return any(t.lower_ in CURRENCY and (t.nbor(-1).like_num if t.i else False) for t in sentence) or any(
        t.text in ("$", "£", "€") for t in sentence)


def _is_bill(sentence: Span) -> bool:
    """ "Friday, sixty dollars.", "Paid him four-sixty.", "He charged me ninety bucks." right after what was done."""
    first = sentence[0].lower_
    if first in ("paid", "charged", "cost") or (first in ("he", "she", "they") and any(
            t.lemma_ in ("charge", "want", "ask") for t in sentence)):
        return _is_priced(sentence) or any(t.like_num for t in sentence)
    short = len(sentence) < 9 and not any(t.pos_ == "VERB" for t in sentence)
    he = first in ("he", "she") and not any(t.lemma_ in DEALS for t in sentence)
    return (short or he) and _is_priced(sentence)


def _of_a_firm(token: Token) -> bool:
    """ "The fella at the machine shop", "a lad from the plater's"."""
    for prep in token.children:
        if prep.dep_ == "prep" and prep.lower_ in ("at", "from", "down", "over", "with", "of"):
            for place in prep.subtree:
                if place.lemma_.lower() in table()["paid"]["places"] and place.i - token.i < 7:
                    return True
    return False


def _offers_service(token: Token) -> bool:
    """ "A fella that does upholstery", "the guy who did my paint": whom one knows by his service only, not a friend."""
    if token.lemma_.lower() not in table()["paid"]["strangers"]:
        return False
    clauses = [c for c in token.subtree if c.dep_ == "relcl" and c.lemma_.lower() in ("do", "run", "own", "have")]
    return any(child.dep_ == "dobj" and child.lemma_.lower() in _services() for verb in clauses for child in verb.children)


@functools.cache
def _services() -> frozenset[str]:
    """The first and last words of services that are bought ("powder coating"), and the places that offer them."""
    names = {word for name in built_in().services for word in (name.split()[0], name.split()[-1])}
    return frozenset(names | table()["paid"]["places"] | {"upholstery", "welding", "machining", "plating", "engraving"})


def _makes_or_sells(token: Token) -> bool:
    relatives = table()["maker"]["relatives"]
    return any(child.dep_ in ("relcl", "acl") and child.lemma_.lower() in relatives for child in token.children)
