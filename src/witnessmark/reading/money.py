"""Sums of money in a parsed text, as builders say them.

In: a passage. Out: `Money` values, in order of their tokens: a sum or a range, per what, and whether another
reading is possible. Never: what was bought, or whether it was; that is for `purchases`.
"""
from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from spacy.tokens import Doc, Token

from witnessmark.reading.money_words import HYPHENS, Figure, find_figures
from witnessmark.reading.text import Passage

CURRENCY_SIGNS = frozenset({"$", "£", "€", "A$", "C$", "US$", "AU$", "CA$", "NZ$"})
CURRENCY_WORDS = frozenset(
    ["dollar", "dollars", "buck", "bucks", "quid", "euro", "euros", "loonie", "loonies", "grand", "usd", "aud", "cad", "gbp", "eur", "nzd"])
DOUBLE_COINS = frozenset({"toonie", "toonies"})
POUNDS = frozenset({"pound", "pounds"})
HUNDREDTHS = frozenset({"cent", "cents", "pence", "penny", "p"})
NOTES = {"fiver": 5.0, "tenner": 10.0}
HUNDREDTHS_WRITTEN = re.compile(r"^(\d+)(?:p|c|¢)$")
BILLS = frozenset({"bill", "invoice", "price", "cost", "damage", "fee", "quote", "refund", "deposit", "postage", "freight"})
HEDGES = frozenset(["about", "around", "roughly", "nearly", "almost", "maybe", "like", "say", "probably", "near", "over", "under", "approximately"])
PRICE_VERBS = frozenset(["pay", "cost", "charge", "quote", "refund", "ask", "owe", "spend", "run", "want", "set"])
PRICE_TALK = frozenset(["pay", "cost", "charge", "quote", "buy", "order", "price", "spend", "refund", "return", "each", "apiece", "cheap", "dear", "grab", "get", "fork", "shell"])
EACH_WORDS = frozenset({"each", "apiece", "ea", "per"})
# What has a number of things or a length of time, but no price: "three a side", "two hours a night".
NO_UNITS = frozenset("side wing end day night evening week month year row bay rib session minute time weekend couple few bit".split())
EACH_PHRASES = {"piece": "each", "pop": "each", "throw": "each", "go": "each", "time": "each", "unit": "each"}
AFTER_PRICE = frozenset(["back", "refunded", "even", "delivered", "landed", "shipped", "posted", "total", "altogether", "including", "plus", "apiece", "each", "all"])
NUMBERED = frozenset(["number", "no", "#", "size", "page", "bay", "item", "heading", "gauge", "dash", "station", "drawing", "sheet", "chapter", "rev", "grade", "series", "january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december"])
COUNT_BEFORE = frozenset({"of", "all", "by", "x", "times", "those", "these"})
CORRECTIONS = frozenset(["no", "sorry", "wait", "scratch", "correction", "oops", "rather", "mean", "strike", "nope"])
MAKE_THAT = re.compile(r"\b(?:make that|i mean|or rather|scratch that|strike that|i tell a lie)\b")
RANGE_WORDS = frozenset({"to", "or", "and", "through"})
ALLOYS = frozenset({4130, 4340, 2024, 2017, 2117, 3003, 5052, 5056, 6061, 6063, 7075})
# Rules by which the words of a sum themselves name money.
NAMED_MONEY = frozenset({"currency-sign", "currency-word", "currency-and-cents", "cents", "grand", "bank-note", "decimal",
                         "corrected-sum", "price-bill"})
UNMARKED = frozenset({"bare-figure", "price-verb", "price-preposition"})  # no word of the sum itself says money
LONGEST_LINK = 7  # tokens between a sum and its correction or confirmation
WIDEST_RANGE = 4.0  # a range of prices goes up to at most this many times its lower end
LATEST_CLOCK = 24  # a bare range up to here may be clock times
CLOSE_RANGE = 1.6  # two sums side by side are a range where the second is at most this much more


@dataclass(frozen=True, slots=True)
class Money:
    """A sum said at tokens `start` up to, not including, `end`: `low` to `high` in the journal's currency.

    `per` is "each", a unit ("foot", "pack") or None for a sum as it stands; `other` a second possible reading
    of the words, `sure` tells that the words themselves say that this is money; `rule` names what decided.
    """

    start: int
    end: int
    low: float
    high: float
    per: str | None = None
    approx: bool = False
    rule: str = ""
    sure: bool = True
    other: tuple[float, float] | None = None
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Said:
    """A figure on its way to a sum: its span with currency words, and what is known of it so far."""

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


def find_money(passage: Passage, numbers: Iterable[object] = (), heard: bool = False) -> tuple[Money, ...]:
    """The sums of a passage.

    `numbers` are spans of other meanings (lengths of time, clock times, dates) with token `start` and `end`: a
    bare figure inside one of them is no sum. `heard` tells that the words come from a recogniser, whose teens
    and tens are easily confused: such sums carry a question, unless the builder said the figure again.
    """
    doc = passage.doc
    taken = {token for span in numbers for token in range(getattr(span, "start", 0), getattr(span, "end", 0))}
    said = [sum_said for figure in find_figures(doc) if (sum_said := _classify(figure, doc, taken))]
    said = [_with_unit(one, doc) for one in sorted(said + _without_figure(doc), key=lambda one: one.start)]
    merged = _merge(said, doc)
    return tuple(_finish(one, doc, heard) for one in merged)


# ---- one figure ----------------------------------------------------------------

def _classify(figure: Figure, doc: Doc, taken: set[int]) -> _Said | None:
    """What a figure is as money: by its sign, its currency word, its cents, or only by what stands around it."""
    other = None if figure.other is None else (figure.other, figure.other)
    if doc[figure.end:figure.end + 2].text.lower() in ("per cent", "per centum"):
        return None
    made = _with_currency(figure, doc)
    if made:
        return made
    if figure.start in taken or _is_something_else(figure, doc):
        return None
    rule = _price_context(figure, doc)
    weak_word = rule == "price-word" and not figure.cents and not figure.scaled and doc[figure.end].lower_ == "each" and figure.value <= 12
    weak_verb = rule == "price-verb" and not figure.cents and not figure.scaled and doc[figure.start - 1].lemma_.lower() in (
        "want", "ask", "run", "set", "need", "spend")
    sure = rule not in ("bare-figure", "price-preposition") and not weak_word and not weak_verb
    return _Said(figure, figure.start, figure.end, figure.value, figure.value, rule, sure, other)


def _with_currency(figure: Figure, doc: Doc) -> _Said | None:
    """A figure that bears a currency sign or word; "dollars" after it chooses the reading in whole hundreds."""
    start, end, value = figure.start, figure.end, figure.value
    if any(token.lower_ == "worth" for token in doc[end:end + 3]):
        return None
    whole = figure.other if figure.other is not None and figure.cents and value < 10 else None
    if start and doc[start - 1].text in CURRENCY_SIGNS:
        return _Said(figure, start - 1, end, value, value, "currency-sign", True, None)
    after = doc[end].lower_ if end < len(doc) else ""
    if after in HYPHENS and end + 1 < len(doc) and doc[end + 1].lower_ in CURRENCY_WORDS:
        return _Said(figure, start, end + 2, value, value, "currency-word", True, None)
    if after in HUNDREDTHS and value < 100 and not figure.cents:
        return _Said(figure, start, end + 1, value / 100, value / 100, "cents", True, None)
    if after in DOUBLE_COINS:
        return _Said(figure, start, end + 1, 2 * value, 2 * value, "currency-word", True, None)
    if after in CURRENCY_WORDS or (after in POUNDS and _pounds_are_money(doc, start, end)):
        return _add_cents(_Said(figure, start, end + 1, whole or value, whole or value, "currency-word", True, None), doc)
    if figure.scaled and doc[end - 1].lower_ in ("grand", "k"):
        return _Said(figure, start, end, value, value, "grand", True, None)
    return None


def _add_cents(said: _Said, doc: Doc) -> _Said:
    """ "Twelve dollars fifty", "twelve dollars and fifty cents", "a pound ten"."""
    at = said.end + (said.end < len(doc) and doc[said.end].lower_ == "and")
    figure = next((f for f in find_figures(doc[at:at + 4].as_doc()) if f.start == 0), None) if at < len(doc) else None
    if figure is None or not 1 <= figure.value < 100 or figure.cents or figure.value != int(figure.value):
        return said
    end = at + figure.end
    named = end < len(doc) and doc[end].lower_ in HUNDREDTHS
    if not named and (at != said.end or figure.value < 10 or _is_counted(doc, end)):
        return said
    value = said.low + figure.value / 100
    return replace(said, low=value, high=value, end=end + named, rule="currency-and-cents")


def _is_counted(doc: Doc, at: int) -> bool:
    """True where the token after a figure is what the figure counts or measures."""
    return at < len(doc) and (doc[at].pos_ in ("NOUN", "PROPN", "ADJ") or doc[at].lower_ in {"of", "more"} | CURRENCY_WORDS)


def _pounds_are_money(doc: Doc, start: int, end: int) -> bool:
    """ "Forty pounds": money where nothing here is counted in dollars, and it is no weight, torque or pull."""
    after = doc[end + 1] if end + 1 < len(doc) else None
    before = doc[start - 1].lower_ if start else ""
    words = {token.lower_ for token in doc}
    if before in ("inch", "foot", "a") or words & {"dollar", "dollars", "bucks", "cents", "$"}:
        return False
    if after is not None and (after.lower_ in ("of", "per", "lighter", "heavier", "over", "under") or after.pos_ == "NOUN"):
        return False
    around = {token.lemma_.lower() for token in doc[end].sent}
    return bool(words & {"£", "quid", "pence", "gbp", "tenner", "fiver"} or around & PRICE_TALK or (after is not None and after.like_num))


def _is_something_else(figure: Figure, doc: Doc) -> bool:
    """A figure that counts, measures or numbers something, or stands in a date or clock time."""
    before = doc[figure.start - 1] if figure.start else None
    after = doc[figure.end] if figure.end < len(doc) else None
    if before is not None and (before.lower_ in NUMBERED or before.text in HYPHENS or before.like_num):
        return True
    if (before is not None and before.lower_ in COUNT_BEFORE) or (figure.value in (1, 2) and not figure.digits):
        return True
    if (figure.digits and (figure.value in range(1900, 2100) or figure.value in ALLOYS)) or doc[figure.end - 1].lower_ == "half":
        return True
    if after is not None and after.lower_ in ("to", "or", "and", "by") and _measured_later(after.i + 1, doc):
        return True
    return after is not None and _measures(after, figure, doc)


def _measured_later(at: int, doc: Doc) -> bool:
    """ "Ten to twelve days", "two or three hours": the second figure's unit is the first one's too."""
    second = next((figure for figure in find_figures(doc[at:at + 6].as_doc()) if figure.start == 0), None) if at < len(doc) else None
    if second is None or at + second.end >= len(doc):
        return False
    following = doc[at + second.end]
    return following.pos_ == "NOUN" and following.lower_ not in CURRENCY_WORDS | HUNDREDTHS | POUNDS


def _measures(after: Token, figure: Figure, doc: Doc) -> bool:
    """True where the next word makes the figure a count or a measure ("six rolls", "four-inch", "ten percent")."""
    word = after.lower_
    if word in EACH_WORDS or word in AFTER_PRICE:
        return False
    if word in ("of", "worth", "'", "%", "percent", "o'clock", "more", "by", "am", "pm", "a.m.", "p.m.", "st", "th", "and a half", "X", "x"):
        return True
    if after.text in HYPHENS or word == "'s":
        return True
    if after.pos_ in ("NOUN", "PROPN", "NUM", "SYM") and after.ent_type_ not in ("PERSON",):
        return not after.is_punct
    return after.pos_ == "ADJ" and after.i + 1 < len(doc) and doc[after.i + 1].pos_ in ("NOUN", "PROPN")


def _price_context(figure: Figure, doc: Doc) -> str:
    """The name of what makes a bare figure a price: words before it, words after it, or nothing."""
    if figure.cents and figure.digits:
        return "decimal"
    after = [doc[i].lower_ for i in range(figure.end, min(figure.end + 2, len(doc)))]
    if after and (after[0] in ("each", "apiece", "ea") or after[0] in ("back", "refunded")):
        return "price-word"
    if after and after[0] == "even":
        return "price-word" if "for" in [doc[i].lower_ for i in range(figure.end, min(figure.end + 3, len(doc)))] else "bare-figure"
    if len(after) == 2 and after[0] in ("a", "per", "the") and after[1] not in NO_UNITS and doc[figure.end + 1].pos_ in ("NOUN", "PROPN", "ADJ"):
        return "per-unit"
    near = doc[max(figure.start - 4, 0):figure.start]
    if any(token.lower_ in BILLS for token in near) and any(token.lemma_ == "be" or token.lower_ in ("'s", "to") for token in near):
        return "price-bill"
    at = figure.start - 1
    while at >= 0 and (doc[at].lower_ in HEDGES or doc[at].lower_ in ("me", "us", "him", "you", "a", "just", "only", "another")):
        at -= 1
    if at >= 0 and (doc[at].lemma_.lower() in PRICE_VERBS or (doc[at].lower_ in ("for", "at") and figure.value >= 1)):
        return "price-verb" if doc[at].lemma_.lower() in PRICE_VERBS else "price-preposition"
    return "bare-figure"


def _without_figure(doc: Doc) -> list[_Said]:
    """Sums with no number word: "a dollar ninety", "a buck each", "a fiver"."""
    found = []
    for token in doc[1:]:
        article = doc[token.i - 1].lower_ in ("a", "one")
        if token.lower_ in NOTES and article:
            figure = Figure(token.i - 1, token.i + 1, NOTES[token.lower_])
            found.append(_Said(figure, figure.start, figure.end, figure.value, figure.value, "bank-note", True, None))
        elif article and token.lower_ in ("dollar", "buck", "quid", "euro", "loonie", "toonie") \
                and doc[token.i - 1].lower_ == "a" and not (token.i > 1 and _makes_per(doc, token.i - 2)):
            value = 2.0 if token.lower_ == "toonie" else 1.0
            figure = Figure(token.i - 1, token.i + 1, value)
            found.append(_add_cents(_Said(figure, figure.start, figure.end, value, value, "currency-word", True, None), doc))
    return found


def _makes_per(doc: Doc, before: int) -> bool:
    return doc[before].lower_ in ("per", "cents", "half")


# ---- sums that belong together -------------------------------------------------

def _merge(said: list[_Said], doc: Doc) -> list[_Said]:
    """Ranges, corrections and confirmations resolved, from left to right."""
    kept: list[_Said] = []
    for one in said:
        if any(one.start < other.end and other.start < one.end for other in kept):
            continue
        if _is_denied(one, doc):
            kept = [*kept[:-1], replace(kept[-1], confirmed=True)] if kept and one.start - kept[-1].end <= 3 else kept
            continue
        joined = _join(kept[-1], one, doc) if kept else None
        if joined:
            kept[-1] = joined
        else:
            kept.append(one)
    return [one for one in kept if not one.figure.spelled or one.sure or one.confirmed]


def _is_denied(said: _Said, doc: Doc) -> bool:
    """ "Not fourteen, forty-eight": the figure after "not" is what was not said."""
    return said.start > 0 and doc[said.start - 1].lower_ == "not" and doc[said.end:said.end + 1].text.lower() != "including"


def _join(first: _Said, second: _Said, doc: Doc) -> _Said | None:
    """Two neighbouring sums as one, or None where they are two."""
    between = doc[first.end:second.start]
    if len(between) > LONGEST_LINK:
        return None
    words = [token.lower_ for token in between if token.lower_ not in HEDGES]
    spoken = [word for word in words if word.isalpha() or word == "'s"]
    if _says_again(first, second):
        return _confirm(first, second)
    if spoken and spoken[0] in RANGE_WORDS and len(spoken) == 1 and "," not in words:
        return _range(first, second, spoken[0], doc)
    if CORRECTIONS & set(spoken) or MAKE_THAT.search(" ".join(spoken)) or "..." in words or "…" in words:
        return replace(second, sure=True, confirmed=True, rule="corrected-sum", start=first.start,
                       per=second.per or first.per) if first.sure or second.sure else None
    if not spoken and words == [","] and first.rule in UNMARKED and second.rule not in UNMARKED:
        return _range(first, second, ",", doc)
    if not spoken and not first.sure and second.sure and "." in words:
        return replace(second, confirmed=True)
    return None


def _says_again(first: _Said, second: _Said) -> bool:
    """ "Sixty, six-zero"; "a hundred forty. Forty, four zero"; "two thirty, two hundred thirty that is"."""
    value = second.figure.value if second.rule != "cents" else second.low
    readings = {first.low, first.high} | set(first.other or ())
    if value in readings or (second.other and set(second.other) & readings):
        return second.figure.spelled or value in readings
    if second.sure and not second.figure.spelled:
        return False
    parts = {reading % 100 for reading in readings} | {float(int(reading)) for reading in readings}
    parts |= {round(reading % 1 * 100, 2) for reading in readings}
    return value in parts and value > 0


def _confirm(first: _Said, second: _Said) -> _Said:
    """The first sum, said again; the second may choose between its readings and bring the currency word."""
    if first.other and second.low in first.other:
        first = replace(first, low=second.low, high=second.high, other=None)
    elif first.other and second.low == first.low and (second.sure or second.figure.spelled) and second.other is None:
        first = replace(first, other=None)
    if second.sure and not first.sure:
        return replace(second, start=first.start, confirmed=True, per=second.per or first.per)
    return replace(first, end=max(first.end, second.end), confirmed=True,
                   sure=first.sure or second.sure or second.figure.spelled, per=first.per or second.per)


def _range(first: _Said, second: _Said, link: str, doc: Doc) -> _Said | None:
    """ "Ten or eleven bucks", "a hundred sixty to a hundred eighty", "fifteen, sixteen bucks"."""
    between = link == "and" and any(doc[i].lower_ in ("between", "anywhere") for i in range(max(first.start - 2, 0), first.start))
    if link == "and" and not between:
        return None
    low, high = _closest(first, second)
    if high <= low or high > (CLOSE_RANGE if link == "," else WIDEST_RANGE) * low:
        return None
    either = first.sure or second.sure
    other = None
    if first.other and second.other and not either:
        other = (first.low, second.low) if (low, high) != (first.low, second.low) else (first.other[0], second.other[1])
    sure = either or (link in ("to", "and") and high > LATEST_CLOCK)
    return _Said(second.figure, first.start, second.end, low, high, "range", sure, other, per=second.per)


def _closest(first: _Said, second: _Said) -> tuple[float, float]:
    """The readings of two ends that lie closest, those in whole hundreds first; "eleven to thirteen hundred" shares its scale."""
    lows = [first.low, *(first.other or ())[:1]]
    highs = [second.low, *(second.other or ())[:1]]
    if second.figure.scaled and not first.figure.scaled and first.low < 100:
        lows += [first.low * 100, first.low * 1000]
    if second.rule == "cents" and not first.sure:
        lows = [first.low / 100]
    pairs = [(low, high) for low in lows for high in highs if low < high]
    return min(pairs, key=lambda pair: (round(pair[1] / pair[0], 1), -pair[1]), default=(first.low, second.low))


# ---- the finished sum ----------------------------------------------------------

def _finish(said: _Said, doc: Doc, heard: bool) -> Money:
    hedged = any(doc[i].lower_ in HEDGES for i in range(max(said.start - 2, 0), said.start))
    doubts: tuple[str, ...] = ()
    if heard and said.figure.heard_as and not said.confirmed and said.low == said.high:
        doubts = (_teen_or_ten(said),)
    return Money(said.start, said.end, round(said.low, 2), round(said.high, 2), said.per, hedged, said.rule, said.sure, said.other, doubts)


def _with_unit(said: _Said, doc: Doc) -> _Said:
    per, end = _per(doc, said.end)
    return replace(said, per=per, end=end)


def _per(doc: Doc, at: int) -> tuple[str | None, int]:
    """The unit that a sum is for ("each", "foot"), and the token after the words that say so."""
    words = [doc[i].lower_ for i in range(at, min(at + 3, len(doc)))]
    if words[:1] == [","] and words[1:2] and words[1] in ("each", "apiece"):
        return "each", at + 2
    if words and words[0] in ("each", "apiece", "ea"):
        return "each", at + 1
    if len(words) > 1 and words[0] in ("a", "an", "per") and words[1] not in NO_UNITS and doc[at + 1].pos_ in ("NOUN", "PROPN", "ADJ", "VERB", "ADP"):
        unit = doc[at + 1].lemma_.lower()
        return EACH_PHRASES.get(unit, unit), at + 2
    return None, at


def _teen_or_ten(said: _Said) -> str:
    """The question to ask where a teen and a ten sound alike."""
    confused = said.figure.heard_as or ""
    root = {"thir": 3, "for": 4, "four": 4, "fif": 5, "six": 6, "seven": 7, "eigh": 8, "nine": 9}
    digit = next(value for start, value in sorted(root.items(), key=lambda pair: -len(pair[0]))
                 if confused.startswith(start)) if not confused.isdigit() else int(confused.strip("01") or confused[-1])
    teen, ten = 10 + digit, 10 * digit
    return f"{teen} or {ten}?" if said.low in (teen, ten) else f"{said.low:g}: was it {teen} or {ten}?"
