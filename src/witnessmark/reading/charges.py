"""What is paid besides the goods: postage, freight, duty, as sums of their own.

In: a passage's stretches and sums. Out: `Charge` values. "Fourteen shipping", "the crate was another thirty",
"sixty to ship it". Never: a charge without a sum ("plus shipping"), or one that is part of a price ("with postage").
"""
from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from spacy.tokens import Span, Token

from witnessmark.reading.money import Money
from witnessmark.reading.money_said import words

AHEAD = 6  # tokens between a charge's name and its sum
NAME_OF = {"ship": "shipping", "post": "postage", "deliver": "delivery", "mail": "postage", "courier": "courier"}
LINKS = frozenset({"for", "in", "on", "of", "to", "the", "its", "a", "and", "just", "extra", "more", "alone"})


@dataclass(frozen=True, slots=True)
class Charge:
    """A charge at token `token`, called `name`, of which `money` is the sum."""

    token: int
    name: str
    money: Money


def find_charges(stretches: Iterable[Span], sums: Sequence[Money]) -> tuple[Charge, ...]:
    """The charges of a passage in order; a sum belongs to at most one."""
    found: list[Charge] = []
    for stretch in stretches:
        here = [one for one in sums if stretch.start <= one.start < stretch.end]
        for token in stretch:
            name = _name(token)
            one = _sum_of(token, here) if name and here else None
            if name and one and all(charge.money is not one for charge in found):
                found.append(Charge(token.i, name, one))
    return tuple(found)


def _name(token: Token) -> str | None:
    """The name of a charge: a noun ("postage"), or "to ship it"."""
    if token.lower_ in words("charges"):
        return token.lower_
    after_to = token.i > 0 and token.nbor(-1).lower_ == "to"
    return NAME_OF.get(token.lower_) if after_to else None


def _sum_of(token: Token, sums: Sequence[Money]) -> Money | None:
    """The sum of a charge: right before it ("six pounds postage"), else behind "was", "came to" or a comma."""
    doc = token.doc
    for one in sums:
        between = {word.lower_ for word in doc[one.end : token.i]}
        if one.start < token.i < one.end:
            return one  # said again behind the charge: "sixty to ship it. Sixty!"
        if one.end <= token.i and between <= LINKS and not between & {"and"}:
            return one
    for one in sums:
        between_words = [word.lower_ for word in doc[token.i + 1 : one.start]]
        if 0 <= one.start - token.i - 1 <= AHEAD and _leads_to(between_words):
            return one
    return None


def _leads_to(between: Sequence[str]) -> bool:
    """True for the words by which a charge leads to its sum; "free over seventy-five" tells of none."""
    if not between:
        return True
    return bool(set(between) & words("charge_links")) and not set(between) & words("no_charge")
