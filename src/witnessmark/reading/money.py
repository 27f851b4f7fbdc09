"""Sums of money in a parsed text, as builders say them.

In: a passage. Out: `Money` values, in order of their tokens: a sum or a range, per what, and whether another
reading is possible. Never: what was bought, or whether it was; that is for `purchases`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from spacy.tokens import Doc

from witnessmark.reading.money_joins import merge
from witnessmark.reading.money_said import (
    Said,
    classify,
    phrase_after,
    phrase_before,
    with_unit,
    without_figure,
    words,
)
from witnessmark.reading.money_words import find_figures
from witnessmark.reading.text import Passage

DISCOUNT = "discount"  # the rule of a sum that is taken off a price
# Rules by which the words of a sum themselves name money.
NAMED_MONEY = frozenset(
    {
        "currency-sign",
        "currency-word",
        "currency-and-cents",
        "cents",
        "grand",
        "bank-note",
        "decimal",
        "corrected-sum",
        "price-bill",
    }
)


@dataclass(frozen=True, slots=True)
class Money:
    """A sum said at tokens `start` up to, not including, `end`: `low` to `high` in the journal's currency.

    `per` is "each", a unit ("foot", "pack") or None for a sum as it stands; `other` a second possible reading
    of the words, `sure` tells that the words themselves say that this is money; `rule` names what decided. `settled` tells that it
    is what the thing came to in the end ("call it one fifty"), `spent` that it was paid ("there goes ninety-two").
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
    settled: bool = False
    spent: bool = False


def find_money(passage: Passage, numbers: Iterable[object] = (), heard: bool = False) -> tuple[Money, ...]:
    """The sums of a passage.

    `numbers` are spans of other meanings (lengths of time, clock times, dates) with token `start` and `end`: a
    bare figure inside one of them is no sum. `heard` tells that the words come from a recogniser, whose teens
    and tens are easily confused: such sums carry a question, unless the builder said the figure again.
    """
    doc = passage.doc
    taken = {token for span in numbers for token in range(getattr(span, "start", 0), getattr(span, "end", 0))}
    said = [sum_said for figure in find_figures(doc) if (sum_said := classify(figure, doc, taken))]
    said = [with_unit(one, doc) for one in sorted(said + without_figure(doc), key=lambda one: one.start)]
    merged = merge(said, doc)
    return tuple(_finish(one, doc, heard) for one in merged)


# ---- the finished sum ----------------------------------------------------------


def _finish(said: Said, doc: Doc, heard: bool) -> Money:
    hedged = any(doc[i].lower_ in words("hedges") for i in range(max(said.start - 2, 0), said.start))
    doubts: tuple[str, ...] = ()
    if heard and said.figure.heard_as and not said.confirmed and said.low == said.high:
        doubts = (_teen_or_ten(said),)
    return Money(
        said.start,
        said.end,
        round(said.low, 2),
        round(said.high, 2),
        said.per,
        hedged,
        said.rule,
        said.sure,
        said.other,
        doubts,
        _is_settled(said, doc),
        _is_spent(said, doc),
    )


def _is_spent(said: Said, doc: Doc) -> bool:
    before = " ".join(token.lower_ for token in doc[max(said.start - 5, 0) : said.start])
    after = " ".join(token.lower_ for token in doc[said.end : said.end + 3])
    return bool(phrase_before("spent_before").search(before) or phrase_after("spent_after").match(after))


def _is_settled(said: Said, doc: Doc) -> bool:
    """ "Came to eighty-three", "call it one fifty", "in the end, ninety": the last word on a price."""
    before = " ".join(token.lower_ for token in doc[max(said.start - 5, 0) : said.start])
    after = " ".join(token.lower_ for token in doc[said.end : said.end + 3])
    return said.per is None and bool(phrase_before("settled_before").search(before) or
                                     phrase_after("settled_after").match(after))


def _teen_or_ten(said: Said) -> str:
    """The question to ask where a teen and a ten sound alike."""
    confused = said.figure.heard_as or ""
    root = {"thir": 3, "for": 4, "four": 4, "fif": 5, "six": 6, "seven": 7, "eigh": 8, "nine": 9}
    digit = (
        next(
            value for start, value in sorted(root.items(), key=lambda pair: -len(pair[0])) if confused.startswith(start)
        )
        if not confused.isdigit()
        else int(confused.strip("01") or confused[-1])
    )
    teen, ten = 10 + digit, 10 * digit
    return f"{teen} or {ten}?" if said.low in (teen, ten) else f"{said.low:g}: was it {teen} or {ten}?"
