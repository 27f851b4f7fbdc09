"""Figures as they are said: own readings, and agreement with `text2num` where it reads the same words."""
from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_to_num import text2num

from witnessmark.reading.numbers import Number, find_numbers, fold, number_at
from witnessmark.reading.text import language

UNITS = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def numbers(text: str) -> tuple[Number, ...]:
    return find_numbers(language()(text))


def spoken(number: int) -> str:
    """A number below 10,000 in words, as it is read out."""
    if number < 10:
        return UNITS[number - 1]
    if number < 20:
        return TEENS[number - 10]
    if number < 100:
        return TENS[number // 10 - 2] + (f"-{UNITS[number % 10 - 1]}" if number % 10 else "")
    size, name = (1000, "thousand") if number >= 1000 else (100, "hundred")
    head, rest = divmod(number, size)
    tail = f" {'and ' if rest < 100 else ''}{spoken(rest)}" if rest else ""
    return f"{spoken(head)} {name}{tail}"


@pytest.mark.parametrize(("text", "low", "high"), [
    ("I drilled twenty-seven holes", 27, 27),
    ("a hundred and twenty rivets", 120, 120),
    ("hundred and four of them", 104, 104),
    ("twelve hundred and six", 1206, 1206),
    ("3 1/2 turns", 3.5, 3.5),
    ("two and three quarters", 2.75, 2.75),
    ("four and half sheets", 4.5, 4.5),
    ("six point two", 6.2, 6.2),
    ("1,250 of those", 1250, 1250),
    ("two or three clecos", 2, 3),
    ("ten to twelve coats", 10, 12),
    ("half a dozen bolts", 6, 6),
    ("two dozen washers", 24, 24),
    ("a couple of hundred rivets", 200, 200),
    ("one-seven-zero", 170, 170),
    ("a few screws", 2, 4),
])
def test_value(text: str, low: float, high: float) -> None:
    found = numbers(text)[0]
    assert (found.low, found.high) == (low, high)


@pytest.mark.parametrize(("text", "rough"), [
    ("about forty holes", True), ("forty-odd holes", True), ("forty or so", True), ("roughly forty", True),
    ("just shy of forty", True), ("a couple of holes", True),
    ("forty holes", False), ("forty holes about there", False),
])
def test_rough(text: str, rough: bool) -> None:
    assert numbers(text)[0].approx is rough


@pytest.mark.parametrize(("text", "kept"), [
    ("fifteen... fifty, five-zero, fifty of them", 50),
    ("it was seven, no, eight in the end", 8),
    ("nine hours, sorry, ten hours", 10),
])
def test_a_figure_taken_back_is_marked(text: str, kept: float) -> None:
    first, *others = numbers(text)
    assert first.superseded
    assert kept in {other.low for other in others if not other.superseded}


def test_two_figures_in_a_row_stay_two() -> None:
    assert [number.low for number in numbers("seventeen fifty at the counter")] == [17, 50]


def test_ordinals_are_no_counts_and_part_numbers_no_figures() -> None:
    found = numbers("the third rib took AN470AD4-5 rivets in 2024-T3, the 21st too")
    assert [(number.low, number.ordinal) for number in found] == [(3, True), (21, True)]


def test_number_at_a_token() -> None:
    doc = language()("we set forty two rivets")
    found = number_at(doc, 3)
    assert found is not None and found.low == 42 and (found.start, found.end) == (2, 4)
    assert number_at(doc, 0) is None


@settings(max_examples=60, deadline=None)
@given(st.integers(min_value=1, max_value=9999))
def test_agrees_with_text2num(number: int) -> None:
    words = spoken(number)
    assert text2num(words, "en") == number
    assert [found.low for found in numbers(f"we counted {words} of them")] == [number]


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=80))
def test_never_fails_and_keeps_its_tokens(text: str) -> None:
    doc = language()(text)
    folded = fold(doc)
    assert all(0 <= n.start < n.end <= len(doc) and n.low <= n.high for n in find_numbers(doc))
    assert len(folded.offsets) == len(folded.tokens) == len(folded.said)
