"""What a line of purchases comes to: unit prices, counts and totals brought together.

In: the sums and counts told of one thing. Out: `Amount`. Where a price can be read in two ways, arithmetic that
the builder did himself decides first, then what such a thing costs; else the amount carries a question.
"""

from __future__ import annotations

import functools
import math
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from importlib import resources

from witnessmark.reading.money import DISCOUNT, Money
from witnessmark.reading.money_said import words as money_words

SAME_SUM = 0.021  # two sums are the same within this: builders round to a cent
MOST_PIECES = 500  # a total that is so many times the unit price is another sum
SHOP_CENTS = frozenset({89, 95, 98, 99})  # cents that shops like to end on: "eighty-nine ninety-five" is 89.95
NEAR_SUMS = 3.0  # two sums of one thing are of one size where one is at most so many times the other
OPEN_RANGE = "range"


@functools.cache
def _words(name: str) -> frozenset[str]:
    text = resources.files("witnessmark.reading").joinpath("data/prices.toml").read_text(encoding="utf-8")
    return frozenset(tomllib.loads(text)[name])


@dataclass(frozen=True, slots=True)
class Count:
    """A count told of a thing: `value` pieces of `unit` (singular; "" where none was said)."""

    value: float
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Thing:
    """What is known of the thing priced: its name, its category, the unit that it is sold in."""

    name: str
    category: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Amount:
    """Money for the whole line, `low` to `high` (None where none was said), and what decided it."""

    low: float | None = None
    high: float | None = None
    quantity: float | None = None
    rules: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


def amount_of(sums: tuple[Money, ...], counts: tuple[Count, ...], thing: Thing, at_price: bool = False) -> Amount:
    """The amount of a line from its sums and counts, in the order told; `at_price`: the first sum stood after "at"."""
    quantity = counts[0].value if counts else None
    sums = _after_discount(sums)
    if not sums:
        return Amount(quantity=quantity)
    checked = _by_arithmetic(sums, counts)
    if checked:
        return checked
    chosen = _chosen(sums)
    low, high, doubts = _reading(chosen, thing, [one.low for one in sums if one is not chosen and one.other is None])
    rules: tuple[str, ...] = (f"sum:{chosen.rule}",)
    times = _times(chosen, counts, at_price and chosen is sums[0])
    if times:
        return Amount(round(low * times, 2), round(high * times, 2), times, (*rules, "unit-price-times-count"), doubts)
    return Amount(round(low, 2), round(high, 2), quantity, rules, doubts)


def _after_discount(sums: tuple[Money, ...]) -> tuple[Money, ...]:
    """What is left to pay: the sum told after "he knocked twenty off", else the one before less the twenty."""
    at = next((at for at, one in enumerate(sums) if one.rule == DISCOUNT), None)
    if at is None:
        return sums
    before, after = sums[:at], tuple(one for one in sums[at + 1 :] if one.rule != DISCOUNT)
    if after or not before:
        return after
    last = before[-1]
    return (*before[:-1], replace(last, low=last.low - sums[at].low, high=last.high - sums[at].low, other=None))


def _by_arithmetic(sums: tuple[Money, ...], counts: tuple[Count, ...]) -> Amount | None:
    """A unit price and a total that agree, told beside each other."""
    for unit in sums:
        for total in sums:
            if total is unit or (total.per and total.per != unit.per):
                continue
            for price, whole in ((p, w) for p in _readings(unit) for w in _readings(total) if w > p > 0):
                times = _agrees(price, whole, counts, bool(unit.per))
                if times:
                    return Amount(whole, whole, times, ("sum:unit-price-and-total",))
    return None


def _readings(money: Money) -> Iterator[float]:
    if money.low == money.high:
        yield money.low
        if money.other:
            yield money.other[0]


def _agrees(price: float, whole: float, counts: Iterable[Count], is_unit_price: bool) -> float | None:
    """How many times the price makes the whole, if that is a count told, or a whole number after a unit price."""
    for count in counts:
        if abs(price * count.value - whole) < SAME_SUM:
            return count.value
    times = round(whole / price)
    exact = abs(price * times - whole) < SAME_SUM
    return float(times) if is_unit_price and exact and 2 <= times <= MOST_PIECES else None


def _chosen(sums: tuple[Money, ...]) -> Money:
    """The sum that stands for the line: what it came to in the end, a unit price told first, else the first whose own words say money."""
    settled = [one for one in sums if one.settled]
    if settled:
        return settled[-1]
    if sums[0].per:
        return sums[0]
    for wanted in ([one for one in sums if one.sure and not one.per], [one for one in sums if one.sure]):
        if wanted:
            return wanted[0]
    return sums[0]


def _times(money: Money, counts: tuple[Count, ...], at_price: bool) -> float | None:
    """The count that a unit price is to be taken times, or None where the sum is for the whole line."""
    if money.per:
        same_unit = [count for count in counts if count.unit == money.per]
        pieces = [count for count in counts if count.value > 1]
        fitting = same_unit or pieces
        return fitting[0].value if fitting and fitting[0].value != 1 else None
    if at_price and counts and counts[0].value > 1:
        return counts[0].value
    return None


def _reading(money: Money, thing: Thing, beside: Sequence[float] = ()) -> tuple[float, float, tuple[str, ...]]:
    """The likelier reading of a sum for such a thing, and the question to ask where it is a guess."""
    if money.other is None:
        return money.low, money.high, money.doubts
    if money.low >= 20 and money.low == money.high and round(money.low % 1 * 100) in SHOP_CENTS:
        return money.low, money.high, money.doubts
    hundreds = _nearer_to(beside, money) if beside else None
    hundreds = _costs_hundreds(money, thing) if hundreds is None else hundreds
    first, second = (money.low, money.high), money.other
    larger, smaller = (first, second) if first[0] > second[0] else (second, first)
    low, high = larger if hundreds else smaller
    question = f"{smaller[0]:.2f} or {larger[0]:.0f}?"
    return low, high, (*money.doubts, question)


def _nearer_to(beside: Sequence[float], money: Money) -> bool | None:
    """Whether the larger reading is nearer to the other sums of the line; None where neither is near."""
    readings = sorted((money.low, (money.other or (money.low,))[0]))
    apart = [min(abs(math.log(reading / other)) for other in beside if other > 0) if reading > 0 and any(beside) else 9.0
             for reading in readings]
    return None if min(apart) > math.log(NEAR_SUMS) else apart[1] < apart[0]


def _costs_hundreds(money: Money, thing: Thing) -> bool:
    """True where the larger reading of an ambiguous price is likelier."""
    last = thing.name.split()[-1] if thing.name else ""
    if min(money.low, (money.other or (money.low,))[0]) >= 10:
        return thing.category == "kit" or last in _words("dear_things")
    if money.rule == OPEN_RANGE:
        return max(money.high, (money.other or (0.0, 0.0))[1]) >= 100
    if thing.category == "service":
        return thing.name not in money_words("charges")
    if money.per:
        return money.per not in _words("small_units")
    if thing.unit in _words("large_units"):
        return True
    if thing.category in _words("small_categories"):
        return False
    return last not in _words("small_things")
