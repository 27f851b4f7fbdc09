"""Words that tell of buying, found in a passage: verbs with their standing, headings, rejections.

In: a passage. Out: `Trigger` values by sentence, and yes-or-no answers about stretches of text. The words and
the names of their rules are in data/purchases.toml.
"""

from __future__ import annotations

import functools
import re
import tomllib
from dataclasses import dataclass
from importlib import resources

from spacy.tokens import Doc, Span, Token

from witnessmark.reading.goods import words as goods_words

NEGATIONS = frozenset({"not", "n't", "never", "no", "nt"})
PERSONS = frozenset({"me", "us", "him", "her", "them", "it", "price", "guy", "fella", "man", "bloke", "chap", "lady"})
INSIDE = frozenset({"list-holds", "give-for", "drop-on", "treat", "got-down", "sting"})  # rules with words inside
OTHERS = frozenset({"you", "your", "people", "everybody", "anybody", "folks"})
LOOK_BACK = 4  # tokens before a verb in which its modals and its "to" stand
PARTICLE_WITHIN = 6  # tokens between a verb and its particle ("took the cheap one back")
MONEY_WITHIN = 7  # tokens between a verb of cost and its sum


@dataclass(frozen=True, slots=True)
class VerbRule:
    """One row of data/purchases.toml; see there for the meaning of its fields."""

    rule: str
    status: str
    item: str
    forms: frozenset[str]
    particles: frozenset[str]
    needs: frozenset[str]


@dataclass(frozen=True, slots=True)
class Trigger:
    """A verb of buying at a token, its particle's token if any, and the status that its standing gives."""

    token: int
    particle: int | None
    rule: VerbRule
    status: str
    standing: str = ""


@functools.cache
def _data() -> tuple[tuple[VerbRule, ...], dict[str, tuple[str, ...]]]:
    text = resources.files("witnessmark.reading").joinpath("data/purchases.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)
    rules = tuple(
        VerbRule(
            row["rule"],
            row["status"],
            row["item"],
            frozenset(row["forms"]),
            frozenset(row.get("particles", ())),
            frozenset(row.get("needs", ())),
        )
        for row in table["verb"]
    )
    return rules, {name: tuple(values) for name, values in table["words"].items()}


@functools.cache
def _pattern(name: str) -> re.Pattern[str]:
    """A list of phrases as one pattern over lower-case text with single spaces; a clitic ("'ll") may follow a word."""
    phrases = sorted(_data()[1][name], key=len, reverse=True)
    starts = ((r"" if phrase.startswith("'") else r"(?<!\w)") + re.escape(phrase) for phrase in phrases)
    return re.compile("(?:" + "|".join(starts) + r")(?!\w)")


def says(name: str, span: Span) -> bool:
    """True where a stretch of text has one of the phrases of a list ("rejected", "refund", "repair", "free")."""
    return bool(_pattern(name).search(plain(span)))


def plain(span: Span) -> str:
    """A stretch of text as lower-case words with single spaces, clitics joined, for phrase lists."""
    return re.sub(r"\s+", " ", span.text.lower().replace("’", "'"))


def heading(sentence: Span) -> str | None:
    """The status that a heading gives to the priced things under it ("Shopping.", "Money back.").

    "none" where a heading ends the shopping ("Hours."), None where the sentence is no heading.
    """
    text = re.sub(r"[^a-z ]+", " ", sentence.text.lower())
    text = re.sub(
        r"\b(?:item|heading|topic|number|part|okay|ok|so|right|now|then|next|and|the|some|a bit of|one|two|three|"
        r"four|five|six|seven|eight|nine|ten|list|today|tonight|so far|this week|this month|lately|for the week)\b",
        " ",
        text,
    )
    name = " ".join(text.split())
    if name in _data()[1]["heading_ends"]:
        return "none"
    for key, status in (
        ("ledger_returns", "returned"),
        ("ledger_orders", "ordered"),
        ("ledger_considered", "considered"),
        ("ledger", "bought"),
    ):
        if name in _data()[1][key]:
            return status
    return None


def find_triggers(sentence: Span) -> list[Trigger]:
    """The verbs of buying of a sentence, in order; one token gives one trigger, the first rule that fits."""
    doc, found = sentence.doc, []
    taken: set[int] = set()
    for token in sentence:
        if token.i in taken:
            continue
        for rule in _data()[0]:
            if token.lower_ in rule.forms and (trigger := _trigger(doc, token, rule, sentence)):
                found.append(trigger)
                taken |= {trigger.token} | ({trigger.particle} if trigger.particle else set())
                break
    return found


def _trigger(doc: Doc, token: Token, rule: VerbRule, sentence: Span) -> Trigger | None:
    particle = _particle(doc, token, rule, sentence)
    if rule.particles and particle is None:
        return None
    if _is_no_verb(doc, token, rule) or not _fits(doc, token, particle, rule, sentence):
        return None
    status, standing = _standing(doc, token, rule, sentence)
    return Trigger(token.i, particle, rule, status, standing) if status else None


def _particle(doc: Doc, token: Token, rule: VerbRule, sentence: Span) -> int | None:
    if rule.rule == "went-back" and token.i - 2 >= sentence.start and doc[token.i - 2].lower_ == "back":
        return token.i - 2  # "back they went"
    for at in range(token.i + 1, min(token.i + 1 + PARTICLE_WITHIN, sentence.end)):
        if doc[at].lower_ in rule.particles:
            return at
        if (doc[at].is_punct and doc[at].text not in "-'") or doc[at].lower_ in ("and", "but"):
            return None
    return None


def _is_no_verb(doc: Doc, token: Token, rule: VerbRule) -> bool:
    """ "In order", "a bought one", "the return spring", "the shop runs": words that only look like the verb."""
    before = doc[token.i - 1].lower_ if token.i else ""
    if (
        token.lower_ in ("order", "return", "refund", "purchase", "quote", "price", "charge", "cost", "run", "saw", "hit", "drop", "spot")
        and token.pos_ == "NOUN"
    ):
        return True
    if token.lower_ in ("order", "quote", "refund", "return") and before in (
        "in",
        "that",
        "of",
        "the",
        "this",
        "a",
        "on",
        "my",
        "out",
    ):
        return True
    return rule.rule == "buy" and before in ("a", "an", "store", "shop") and token.lower_ == "bought"


def _fits(doc: Doc, token: Token, particle: int | None, rule: VerbRule, sentence: Span) -> bool:
    """What single rules ask of their surroundings."""
    after = doc[(particle or token.i) + 1].lower_ if (particle or token.i) + 1 < len(doc) else ""
    if rule.rule == "come":
        return _is_arrival(doc, token)
    if rule.rule in INSIDE:
        return _holds_inside(doc, token, particle or token.i, rule.rule)
    if rule.rule in ("get", "need-to-get") and _is_causative_or_move(doc, token, sentence):
        return False
    if rule.rule == "need-to-get":
        return bool(
            _pattern("still_to_get").search(
                " ".join(doc[i].lower_ for i in range(max(token.i - LOOK_BACK, sentence.start), token.i + 1))
            )
        )
    if rule.rule == "look-at" and token.lower_ in ("look", "gander", "squiz"):
        return token.i > 0 and doc[token.i - 1].lower_ in ("a", "quick", "good", "wee") and particle == token.i + 1
    if (
        rule.rule == "arrive"
        and token.lower_ == "landed"
        and token.i > 0
        and (doc[token.i - 1].like_num or doc[token.i - 1].is_punct)
    ):
        return False
    if rule.rule == "send-for":
        return after == "for" and particle is not None and particle - token.i == 1
    if rule.rule == "coming-from":
        return particle == token.i + 1 and "'m" not in {doc[i].lower_ for i in range(max(token.i - 3, 0), token.i)}
    if rule.rule == "on-the-list":
        return says("shopping_list", sentence) or "the" in {doc[at].lower_ for at in range(token.i, particle or token.i)}
    if rule.rule == "on-its-way":
        return says("on_the_way", sentence)
    if rule.rule == "carrier" or token.lower_ == "delivered":
        return says("carriers", sentence) or (
            token.i > 0 and doc[token.i - 1].lower_ in ("was", "were", "got", "been", "just")
        )
    if rule.rule == "is-here":
        return particle == token.i + 1 and after not in ("with", "on", "for", "and", "to")
    if rule.rule == "need-another":
        following = doc[token.i + 1 : min(token.i + 5, sentence.end)]
        return (
            says("another", following)
            and following[0].lower_ != "to"
            and not _is_causative_or_move(doc, token, sentence)
        )
    if rule.status == "returned" and particle is not None:
        off = after in ("off", "out", "apart", "down", "in", "on", "into", "and", "home", "together", "up", "under")
        return not off and not says("repair", sentence)
    if rule.rule == "back-from":
        return after == "from" or token.lower_ == "came"
    if rule.rule == "show-up":
        return after not in ("at", "to", "late", "early", "and", "with")
    return True


def _holds_inside(doc: Doc, token: Token, particle: int, rule: str) -> bool:
    """What must stand between a verb and its particle: the sum, or the person ("stung me for", "got him down to")."""
    inside = [doc[at] for at in range(token.i + 1, particle)]
    if rule == "list-holds":
        return particle - token.i <= 2 and _pattern("shopping_list").search(plain(token.sent)) is not None
    if rule in ("give-for", "drop-on"):
        return any(word.like_num or word.is_currency for word in inside)
    if rule == "treat":
        return any(word.lower_ in ("myself", "ourselves") for word in inside)
    passive = token.i > 0 and doc[token.i - 1].lower_ in ("got", "get", "getting", "was", "were", "been")
    people = any(word.lower_ in PERSONS or word.pos_ == "PROPN" for word in inside)
    return people or (rule == "sting" and passive)


def _is_causative_or_move(doc: Doc, token: Token, sentence: Span) -> bool:
    """ "Get it welded", "got the wing on", "get to it", "got tired": no purchase."""
    for at in range(token.i + 1, min(token.i + 6, sentence.end)):
        word = doc[at]
        if word.is_punct or word.lower_ in ("and", "but", "for", "from", "at", "used", "secondhand"):
            return False
        if (word.tag_ in ("VBN", "VBG", "VB") and word.dep_ not in ("amod", "compound")) or word.lower_ in (
            "on",
            "off",
            "in",
            "out",
            "down",
            "up",
            "to",
            "into",
            "back",
            "together",
            "through",
            "ready",
            "done",
            "onto",
        ):
            return True
    return False


def _is_arrival(doc: Doc, token: Token) -> bool:
    """ "The fittings came on Tuesday" is an arrival; "came off", "came already drilled", "came with holes" are none."""
    after = doc[token.i + 1] if token.i + 1 < len(doc) else None
    before = doc[token.i - 1].lower_ if token.i else ""
    if token.lower_ == "come" and not {doc[i].lower_ for i in range(max(token.i - 3, 0), token.i)} & {
        "have",
        "has",
        "'ve",
        "'s",
        "finally",
        "had",
    }:
        return False
    if before in ("to", "it", "that", "which") and token.lower_ == "come":
        return False
    if token.lower_ == "comes" and before not in goods_words("parcels"):
        return False
    if after is None or after.is_punct:
        return True
    if after.lower_ in _data()[1]["no_receipt"]:
        return False
    if after.lower_ == "in" and after.i + 2 < len(doc) and doc[after.i + 1].pos_ == "DET":
        return doc[after.i + 2].lower_ in ("mail", "post", "box", "crate", "parcel")
    if (
        after.lower_ == "in"
        and after.i + 1 < len(doc)
        and doc[after.i + 1].lower_ in ("at", "around", "about", "for", "early", "late")
    ):
        return False
    return after.tag_ not in ("VBN", "JJ", "VBG", "VB", "JJR") or after.ent_type_ in ("DATE", "TIME")


def _standing(doc: Doc, token: Token, rule: VerbRule, sentence: Span) -> tuple[str, str]:
    """The status by the verb's modals, negation and subject, and the rule that gave it; "" for no purchase."""
    before = [doc[i].lower_ for i in range(max(token.i - LOOK_BACK, sentence.start), token.i)]
    text = " ".join(before).replace(" '", "'").replace("’", "'")
    if rule.rule == "charge" and token.tag_ in ("VBP", "VBZ") and not _to_me(doc, token):
        return "priced", "asked"
    if rule.rule == "sold":
        return ("not-ours" if _is_ours(token) else "considered"), "sold"
    own = token.tag_ == "VBG" or says("their_own", doc[token.i : sentence.end])
    if rule.status in ("bought", "ordered") and rule.rule not in ("charge", "quote") and not _is_ours(token) and own:
        return "not-ours", "somebody-else"
    if (
        set(before[-3:]) & {"he", "she", "who"}
        and rule.status in ("bought", "ordered", "returned")
        and rule.rule not in ("charge", "quote")
    ):
        return "", "somebody-else"
    if (set(before) & OTHERS and rule.status != "priced") or _conditional(doc, token, sentence):
        return "", "generic"
    if _is_imperative(token, before):
        note = rule.status in ("bought", "ordered") and says("notes_to_self", sentence)
        return ("planned", "note-to-self") if note else ("", "imperative")
    participle = token.tag_ in ("VBN", "VBD") and token.lower_ not in ("come", "cost", "run")
    had = participle and "have" not in before and bool({"'d", "had"} & set(before))
    if _pattern("forced").search(text):
        return rule.status, "past-perfect" if had or "'d" in before else "forced"
    if _pattern("hypothetical").search(text) and not had:
        return ("considered" if rule.status in ("bought", "priced", "ordered", "considered") else ""), "hypothetical"
    if set(before) & NEGATIONS:
        return _negated(rule, before)
    if rule.status in ("bought", "ordered", "returned") and (_pattern("planned").search(text) or before[-1:] == ["to"]):
        return ("planned" if rule.status != "returned" else ""), "planned"
    return rule.status, "past-perfect" if had else ""


def _to_me(doc: Doc, token: Token) -> bool:
    return any(word.lower_ in ("me", "us") for word in doc[token.i + 1 : token.i + 3])


def _is_ours(token: Token) -> bool:
    """True unless somebody else is the verb's subject: "my neighbour paid", "a chap buying a seat"."""
    if token.tag_ == "VBG" and token.i and token.nbor(-1).pos_ in ("NOUN", "PROPN"):
        return False
    subject = next((child for child in token.children if child.dep_ == "nsubj"), None)
    return subject is None or subject.lower_ in ("i", "we", "it", "that", "which", "this", "they", "those", "these")


def _is_imperative(token: Token, before: list[str]) -> bool:
    """ "Buy the good ones": advice to the viewer, without a subject or a modal before the bare verb."""
    bare = token.lower_ in (
        "buy",
        "get",
        "order",
        "pick",
        "grab",
        "send",
        "take",
        "return",
        "price",
        "find",
        "pay",
        "source",
    )
    subject = any(child.dep_ in ("nsubj", "aux", "nsubjpass") for child in token.children)
    return (
        bare
        and not subject
        and not {"to", "i", "we", "'ll", "will", "gonna", "must", "should", "did", "and"} & set(before[-2:])
    )


def _negated(rule: VerbRule, before: list[str]) -> tuple[str, str]:
    if rule.status in ("bought", "ordered") and set(before) & {"have", "has", "'ve"}:
        return "planned", "not-yet"
    return ("considered" if rule.status in ("bought", "ordered", "priced") else ""), "negated"


def _conditional(doc: Doc, token: Token, sentence: Span) -> bool:
    """True where the verb stands in an "if" or generic "when you" clause of its own sentence."""
    for at in range(token.i - 1, sentence.start - 1, -1):
        if doc[at].is_punct and doc[at].text in ",;.":
            return False
        if doc[at].lower_ in ("if", "unless", "whenever"):
            return True
    return False
