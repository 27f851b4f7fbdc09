"""One figure as money: by its sign, its currency word, its cents, or only by what stands around it.

In: a figure where it stands. Out: a `Said`, a sum on its way: with its span, its unit, and whether the words
themselves say that it is money. Words are in data/money.toml.
"""

from __future__ import annotations

import functools
import re
import tomllib
from dataclasses import dataclass, replace
from importlib import resources

from spacy.tokens import Doc, Token

from witnessmark.reading.money_words import HYPHENS, Figure, figure_at

CURRENCY_SIGNS = frozenset({"$", "£", "€", "A$", "C$", "US$", "AU$", "CA$", "NZ$"})
DOUBLE_COINS = frozenset({"toonie", "toonies"})
POUNDS = frozenset({"pound", "pounds"})
HUNDREDTHS = frozenset({"cent", "cents", "pence", "penny", "p"})
NOTES = {"fiver": 5.0, "tenner": 10.0}
EACH_WORDS = frozenset({"each", "apiece", "ea", "per"})
EACH_PHRASES = {"piece": "each", "pop": "each", "throw": "each", "go": "each", "time": "each", "unit": "each"}
COUNT_BEFORE = frozenset({"of", "all", "by", "x", "times", "those", "these"})
WEIGHED_BEFORE = 8  # tokens before a figure in which it may be said that something was weighed
CLOCK = "clock"  # a bare figure read as a time of day, unless it turns out to be one end of a range of prices
WEAK_VERBS = frozenset({"want", "ask", "run", "set", "need", "spend"})  # said of money, and of much else
# Aluminium and steel alloys by number (Aluminum Association and SAE designations): no prices.
ALLOYS = frozenset({4130, 4340, 2024, 2017, 2117, 3003, 5052, 5056, 6061, 6063, 7075})


@functools.cache
def words(name: str) -> frozenset[str]:
    """One list of data/money.toml."""
    text = resources.files("witnessmark.reading").joinpath("data/money.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)[name])


@functools.cache
def phrase_before(name: str) -> re.Pattern[str]:
    """A list of data/money.toml as phrases that end right before a sum, over hedges."""
    hedge = "|".join(re.escape(word) for word in sorted(words("hedges") | {"just", "only", "even", "another", "me", "us", "him", "a"}))
    return re.compile(rf"(?<![\w'])(?:{_alternatives(name)})(?: (?:{hedge}))*$")


@functools.cache
def phrase_after(name: str) -> re.Pattern[str]:
    """A list of data/money.toml as phrases that begin right behind a sum."""
    return re.compile(rf"(?:{_alternatives(name)})(?![\w'])")


def _alternatives(name: str) -> str:
    return "|".join(re.escape(phrase) for phrase in sorted(words(name), key=len, reverse=True))


@dataclass(frozen=True, slots=True)
class Said:
    """A figure on its way to a sum: its span with currency words, and what is known of it so far.

    `confirmed` tells that the builder said it again; the other fields are those of `Money`.
    """

    figure: Figure
    start: int
    end: int
    low: float
    high: float
    rule: str
    sure: bool
    other: tuple[float, float] | None
    confirmed: bool = False
    per: str | None = None


# ---- one figure ----------------------------------------------------------------


def classify(figure: Figure, doc: Doc, taken: set[int]) -> Said | None:
    """What a figure is as money: by its sign, its currency word, its cents, or only by what stands around it."""
    other = None if figure.other is None else (figure.other, figure.other)
    if doc[figure.end : figure.end + 2].text.lower() in ("per cent", "per centum") or _is_threshold(figure, doc):
        return None
    made = _with_currency(figure, doc)
    if made:
        return replace(made, rule="discount") if _is_discount(made.start, made.end, doc) else made
    if _is_something_else(figure, doc):
        return None
    if figure.start in taken and _is_clock_like(figure):
        return Said(figure, figure.start, figure.end, figure.value, figure.value, CLOCK, False, other)
    if _is_discount(figure.start, figure.end, doc):
        return Said(figure, figure.start, figure.end, figure.value, figure.value, "discount", True, None)
    rule = _price_context(figure, doc)
    weak_word = (
        rule == "price-word"
        and not figure.cents
        and not figure.scaled
        and doc[figure.end].lower_ == "each"
        and figure.value <= 12
    )
    weak_verb = (
        rule == "price-verb"
        and not figure.cents
        and not figure.scaled
        and doc[figure.start - 1].lemma_.lower() in ("want", "ask", "run", "set", "need", "spend")
    )
    sure = rule not in ("bare-figure", "price-preposition", "sum-closer") and not weak_word and not weak_verb
    return Said(figure, figure.start, figure.end, figure.value, figure.value, rule, sure, other)


def _is_discount(start: int, end: int, doc: Doc) -> bool:
    """ "He knocked twenty off", "ten dollars off for cash": what is taken off a price."""
    if end >= len(doc) or doc[end].lower_ != "off":
        return False
    before = {token.lower_ for token in doc[max(start - 4, 0) : start]}
    after = {token.lower_ for token in doc[end + 1 : end + 4]}
    return bool(before & words("discount_verbs")) or bool(after & {"for", "because", "the", "."})


def _is_threshold(figure: Figure, doc: Doc) -> bool:
    """ "Free over seventy-five bucks": from where on something is free, no price."""
    before = [token.lower_ for token in doc[max(figure.start - 4, 0) : figure.start]]
    return "free" in before and bool(set(before[-2:]) & {"over", "above", "after", "from"})


def _is_clock_like(figure: Figure) -> bool:
    """True for what may be a time of day: "five thirty" is one, "one ninety" and "eighty" are none."""
    return figure.value < 25 and round(figure.value % 1, 2) < 0.6 and not figure.scaled


def _with_currency(figure: Figure, doc: Doc) -> Said | None:
    """A figure that bears a currency sign or word; "dollars" after it chooses the reading in whole hundreds."""
    start, end, value = figure.start, figure.end, figure.value
    if any(token.lower_ == "worth" for token in doc[end : end + 3]) or _names_a_coin(doc, end):
        return None
    whole = figure.other if figure.other is not None and figure.cents and value < 10 else None
    if start and doc[start - 1].text in CURRENCY_SIGNS:
        return Said(figure, start - 1, end, value, value, "currency-sign", True, None)
    after = doc[end].lower_ if end < len(doc) else ""
    if after in HYPHENS and end + 1 < len(doc) and doc[end + 1].lower_ in words("currency_words"):
        return Said(figure, start, end + 2, value, value, "currency-word", True, None)
    if after in HUNDREDTHS and value < 100 and not figure.cents:
        return Said(figure, start, end + 1, value / 100, value / 100, "cents", True, None)
    if after in DOUBLE_COINS:
        return Said(figure, start, end + 1, 2 * value, 2 * value, "currency-word", True, None)
    if after in words("currency_words") or (after in POUNDS and _pounds_are_money(doc, start, end)):
        return _add_cents(
            Said(figure, start, end + 1, whole or value, whole or value, "currency-word", True, None), doc
        )
    if figure.scaled and doc[end - 1].lower_ in ("grand", "k"):
        return Said(figure, start, end, value, value, "grand", True, None)
    return None


def _names_a_coin(doc: Doc, end: int) -> bool:
    """ "A fifty pence piece", "a ten dollar bill": a coin or a note by its worth."""
    return end + 1 < len(doc) and doc[end + 1].lower_ in words("coins") and doc[end].lower_ not in EACH_WORDS


def _add_cents(said: Said, doc: Doc) -> Said:
    """ "Twelve dollars fifty", "twelve dollars and fifty cents", "a pound ten"."""
    at = said.end + (said.end < len(doc) and doc[said.end].lower_ == "and")
    figure = figure_at(doc, at)
    if figure is None or not 1 <= figure.value < 100 or figure.cents or figure.value != int(figure.value):
        return said
    end = figure.end
    named = end < len(doc) and doc[end].lower_ in HUNDREDTHS
    if not named and (at != said.end or figure.value < 10 or _is_counted(doc, end)):
        return said
    value = said.low + figure.value / 100
    return replace(said, low=value, high=value, end=end + named, rule="currency-and-cents")


def _is_counted(doc: Doc, at: int) -> bool:
    """True where the token after a figure is what the figure counts or measures."""
    return at < len(doc) and (
        doc[at].pos_ in ("NOUN", "PROPN", "ADJ") or doc[at].lower_ in {"of", "more"} | words("currency_words")
    )


def _pounds_are_money(doc: Doc, start: int, end: int) -> bool:
    """ "Forty pounds": money where nothing here is counted in dollars, and it is no weight, torque or pull."""
    before = doc[start - 1].lower_ if start else ""
    said_here = {token.lower_ for token in doc}
    if before in ("inch", "foot", "a") or said_here & words("no_sterling") or _weighs(doc, start, end):
        return False
    if said_here & words("sterling"):
        return True
    around = {token.lemma_.lower() for token in doc[end].sent} | {token.lower_ for token in doc[end].sent}
    return _is_priced_pounds(doc, end) or bool(around & words("price_talk")) or _has_sterling(doc, end)


def _weighs(doc: Doc, start: int, end: int) -> bool:
    """True for pounds that are a weight: of something, lighter than something, or in talk of lifting and balance."""
    after = doc[end + 1] if end + 1 < len(doc) else None
    charged = after is not None and after.lower_ in words("charges")
    if after is not None and not charged and (after.lower_ in words("weighed_after") or after.pos_ == "NOUN"):
        return True
    around = {token.lemma_.lower() for token in doc[end].sent} | {token.lower_ for token in doc[end].sent}
    shortly_before = {token.lemma_.lower() for token in doc[max(start - WEIGHED_BEFORE, 0) : start]}
    return bool((around | shortly_before) & words("weight_talk")) and not around & words("price_talk")


def _is_priced_pounds(doc: Doc, end: int) -> bool:
    """ "Nine pounds the pair", "six pounds a metre", "nine pounds fifty", "pounds each": as only money is said."""
    after = [doc[at].lower_ for at in range(end + 1, min(end + 3, len(doc)))]
    if not after:
        return False
    if after[0] in EACH_WORDS or after[0] in words("after_price") or after[0] == "for" or doc[end + 1].like_num:
        return True
    unit = len(after) == 2 and doc[end + 2].pos_ in ("NOUN", "PROPN") and after[1] not in words("no_units")
    return after[0] in ("the", "a", "an") and unit


def _has_sterling(doc: Doc, end: int) -> bool:
    """True where other pounds of the same talk can only be money."""
    return any(_is_priced_pounds(doc, token.i) for token in doc if token.i != end and token.lower_ in POUNDS
               and token.i > 0 and doc[token.i - 1].like_num)


def _is_something_else(figure: Figure, doc: Doc) -> bool:
    """A figure that counts, measures or numbers something, or stands in a date or clock time."""
    before = doc[figure.start - 1] if figure.start else None
    after = doc[figure.end] if figure.end < len(doc) else None
    if before is not None and (before.lower_ in words("numbered") or before.text in HYPHENS or before.like_num):
        return True
    if (before is not None and before.lower_ in COUNT_BEFORE) or (figure.value in (1, 2) and not figure.digits):
        return True
    if (figure.digits and (figure.value in range(1900, 2100) or figure.value in ALLOYS)) or doc[
        figure.end - 1
    ].lower_ == "half":
        return True
    if after is not None and after.lower_ in ("to", "or", "and", "by") and _measured_later(after.i + 1, doc):
        return True
    return after is not None and _measures(after, figure, doc)


def _measured_later(at: int, doc: Doc) -> bool:
    """ "Ten to twelve days", "two or three hours": the second figure's unit is the first one's too."""
    second = figure_at(doc, at)
    if second is None or second.end >= len(doc):
        return False
    following = doc[second.end]
    return following.pos_ == "NOUN" and following.lower_ not in words("currency_words") | HUNDREDTHS | POUNDS


def _measures(after: Token, figure: Figure, doc: Doc) -> bool:
    """True where the next word makes the figure a count or a measure ("six rolls", "four-inch", "ten percent")."""
    word = after.lower_
    if word in EACH_WORDS or word in words("after_price") or word in words("charges") or _is_part_of_a_sum(after):
        return False
    if word in (
        "of",
        "worth",
        "'",
        "%",
        "percent",
        "o'clock",
        "more",
        "by",
        "am",
        "pm",
        "a.m.",
        "p.m.",
        "st",
        "th",
        "and a half",
        "X",
        "x",
    ):
        return True
    if after.text in HYPHENS or word == "'s":
        return True
    if after.pos_ in ("NOUN", "PROPN", "NUM", "SYM") and after.ent_type_ not in ("PERSON",):
        return not after.is_punct
    return after.pos_ == "ADJ" and after.i + 1 < len(doc) and doc[after.i + 1].pos_ in ("NOUN", "PROPN")


def _is_part_of_a_sum(of: Token) -> bool:
    """ "Eighty of the ninety-five"."""
    ahead = of.doc[of.i + 1 : of.i + 4]
    return of.lower_ == "of" and len(ahead) > 1 and ahead[0].lower_ in ("the", "that", "my") and figure_at(of.doc, of.i + 2) is not None


def _price_context(figure: Figure, doc: Doc) -> str:
    """The name of what makes a bare figure a price: words before it, words after it, or nothing."""
    if figure.cents and figure.digits:
        return "decimal"
    after = [doc[i].lower_ for i in range(figure.end, min(figure.end + 2, len(doc)))]
    if after and (after[0] in ("each", "apiece", "ea") or after[0] in ("back", "refunded")):
        return "price-word"
    following = " ".join(doc[i].lower_ for i in range(figure.end, min(figure.end + 4, len(doc))))
    if phrase_after("price_closers").match(following):
        return "price-word"
    if (
        len(after) == 2
        and after[0] in ("a", "per", "the")
        and after[1] not in words("no_units")
        and doc[figure.end + 1].pos_ in ("NOUN", "PROPN", "ADJ")
    ):
        return "per-unit"
    if phrase_after("sum_closers").match(following):
        return "sum-closer"
    near = doc[max(figure.start - 4, 0) : figure.start]
    if any(token.lower_ in words("bills") for token in near) and any(
        token.lemma_ == "be" or token.lower_ in ("'s", "to") for token in near
    ):
        return "price-bill"
    leading = " ".join(token.lower_ for token in doc[max(figure.start - 5, 0) : figure.start])
    if phrase_before("price_openers").search(leading):
        return "price-word"
    at = figure.start - 1
    passed_over = words("hedges") | {"me", "us", "him", "you", "a", "just", "only", "another"}
    while at >= 0 and doc[at].lower_ in passed_over:
        at -= 1
    if at >= 0 and doc[at].lemma_.lower() in words("price_verbs"):
        return "price-verb"
    if at >= 0 and doc[at].lower_ in ("for", "at") and figure.value >= 1:
        return "price-preposition"
    return "bare-figure"


def without_figure(doc: Doc) -> list[Said]:
    """Sums with no number word: "a dollar ninety", "a buck each", "a fiver"."""
    found = []
    for token in doc[1:]:
        article = doc[token.i - 1].lower_ in ("a", "one")
        if token.lower_ in NOTES and article:
            figure = Figure(token.i - 1, token.i + 1, NOTES[token.lower_])
            found.append(Said(figure, figure.start, figure.end, figure.value, figure.value, "bank-note", True, None))
        elif (
            article
            and token.lower_ in ("dollar", "buck", "quid", "euro", "loonie", "toonie")
            and doc[token.i - 1].lower_ == "a"
            and not (token.i > 1 and _makes_per(doc, token.i - 2))
        ):
            value = 2.0 if token.lower_ == "toonie" else 1.0
            figure = Figure(token.i - 1, token.i + 1, value)
            found.append(
                _add_cents(Said(figure, figure.start, figure.end, value, value, "currency-word", True, None), doc)
            )
    return found


def _makes_per(doc: Doc, before: int) -> bool:
    return doc[before].lower_ in ("per", "cents", "half")


def with_unit(said: Said, doc: Doc) -> Said:
    per, end = _per(doc, said.end)
    return replace(said, per=per, end=end)


def _per(doc: Doc, at: int) -> tuple[str | None, int]:
    """The unit that a sum is for ("each", "foot"), and the token after the words that say so."""
    ahead = [doc[i].lower_ for i in range(at, min(at + 3, len(doc)))]
    if ahead[:1] == [","] and ahead[1:2] and ahead[1] in ("each", "apiece"):
        return "each", at + 2
    if ahead and ahead[0] in ("each", "apiece", "ea"):
        return "each", at + 1
    if (
        len(ahead) > 1
        and ahead[0] in ("a", "an", "per")
        and ahead[1] not in words("no_units")
        and doc[at + 1].pos_ in ("NOUN", "PROPN", "ADJ", "VERB", "ADP")
    ):
        unit = doc[at + 1].lemma_.lower()
        return EACH_PHRASES.get(unit, unit), at + 2
    if ahead[:1] == ["the"] and len(ahead) > 1 and doc[at + 1].lemma_.lower() in words("sold_by"):
        unit = doc[at + 1].lemma_.lower()
        return EACH_PHRASES.get(unit, unit), at + 2
    return None, at
