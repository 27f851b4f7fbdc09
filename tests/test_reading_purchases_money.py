"""Sums of money as they are said. Number words are checked against text2num, an independent reader of them."""

import pytest
from text_to_num import text2num

from witnessmark.model import Cue, Transcript
from witnessmark.reading.amounts import Count, Thing, amount_of
from witnessmark.reading.money import Money, find_money
from witnessmark.reading.money_words import find_figures
from witnessmark.reading.text import language, parse

SUMS = [
    ("It was $18.50.", 18.5, 18.5, None),
    ("I paid a hundred and four dollars.", 104, 104, None),
    ("They were sixty-five cents each.", 0.65, 0.65, "each"),
    ("It cost me forty quid.", 40, 40, None),
    ("The clips are fifty pence apiece.", 0.5, 0.5, "each"),
    ("I gave him three loonies for it.", 3, 3, None),
    ("The sander was two toonies at the yard sale.", 4, 4, None),
    ("Twelve euros for the lot.", 12, 12, None),
    ("He wants two grand for it.", 2000, 2000, None),
    ("That motor cost 1.2k.", 1200, 1200, None),
    ("I paid ten or eleven bucks.", 10, 11, None),
    ("It is three-fifty to four hundred dollars.", 350, 400, None),
    ("They want twelve to fourteen hundred dollars.", 1200, 1400, None),
    ("It was between eighty and ninety-five dollars.", 80, 95, None),
    ("It ran me a dollar forty a foot.", 1.4, 1.4, "foot"),
    ("I paid eight dollars and fifty cents.", 8.5, 8.5, None),
    ("It was twelve pounds fifty each.", 12.5, 12.5, "each"),
    ("I paid sixteen... sixty, six-zero, sixty dollars.", 60, 60, None),
    ("It was not fourteen, forty-four dollars.", 44, 44, None),
    ("I paid thirty bucks, no, thirty-six bucks.", 36, 36, None),
    ("A tenner for the brushes.", 10, 10, None),
    ("Hundred and twelve dollars a sheet.", 112, 112, "sheet"),
    ("It came to twelve thousand six hundred dollars.", 12600, 12600, None),
]
NO_SUMS = [
    "I drilled forty holes with a number 40 bit.",
    "We worked from nine to noon and again until five thirty.",
    "It is thirty-two thou, 2024-T3, on page 14.",
    "Two pounds of rivets and a forty pound bag of sand.",
    "I torqued it to ninety inch pounds.",
    "The moisture is at ten per cent.",
    "There are three a side.",
]


def sums(text: str, heard: bool = False) -> tuple[Money, ...]:
    return find_money(parse(Transcript((Cue(0.0, 4.0, text),), "subtitle")), heard=heard)


@pytest.mark.parametrize(("text", "low", "high", "per"), SUMS)
def test_a_sum_is_read(text: str, low: float, high: float, per: str | None) -> None:
    found = [one for one in sums(text) if one.sure]
    assert [(one.low, one.high, one.per) for one in found] == [(low, high, per)]


@pytest.mark.parametrize("text", NO_SUMS)
def test_counts_measures_and_clock_times_are_no_money(text: str) -> None:
    assert [one for one in sums(text) if one.sure] == []


@pytest.mark.parametrize(
    "words",
    [
        "nineteen",
        "forty-four",
        "one hundred and four",
        "two hundred ten",
        "twelve thousand six hundred",
        "six hundred fifty-two",
        "ninety-nine",
        "one thousand two hundred and thirty-four",
    ],
)
def test_number_words_agree_with_text2num(words: str) -> None:
    figures = find_figures(language()(words))
    assert [figure.value for figure in figures] == [text2num(words, "en")]


@pytest.mark.parametrize(
    ("words", "readings"),
    [
        ("nineteen fifty", {19.5, 1950}),
        ("two sixty-five", {2.65, 265}),
        ("three forty-five twenty", {345.2}),
        ("one-oh-four", {104, 1.04}),
        ("nine forty", {9.4, 940}),
        ("a hundred sixty-one fifty", {161.5}),
    ],
)
def test_a_price_may_have_two_readings(words: str, readings: set[float]) -> None:
    (figure,) = find_figures(language()(words))
    assert {figure.value} | ({figure.other} if figure.other else set()) == readings


def test_teens_and_tens_heard_by_a_recogniser_are_asked_about() -> None:
    assert sums("I paid eighteen dollars.", heard=True)[0].doubts == ("18 or 80?",)
    assert sums("I paid eighty dollars.", heard=True)[0].doubts == ("18 or 80?",)
    assert sums("I paid eighteen dollars.")[0].doubts == ()
    assert sums("I paid eighty, eight-zero, eighty dollars.", heard=True)[0].doubts == ()
    assert sums("I paid twenty-two dollars.", heard=True)[0].doubts == ()


def amount(texts: str, counts: tuple[Count, ...], thing: Thing) -> tuple[float | None, float | None, tuple[str, ...]]:
    found = amount_of(sums(texts), counts, thing)
    return found.low, found.high, found.doubts


def test_unit_price_and_total_decide_each_other() -> None:
    assert (
        amount("three thirty a foot, so forty-nine fifty", (Count(15, "foot"),), Thing("strip", "material"))[0] == 49.5
    )
    assert amount("seven sixty each, seventy-six dollars", (Count(10),), Thing("switch", "part"))[0] == 76


def test_an_ambiguous_price_is_read_by_the_thing_and_asked_about() -> None:
    low, high, doubts = amount("I paid nine forty for it.", (), Thing("bolt", "hardware"))
    assert (low, high) == (9.4, 9.4)
    assert doubts == ("9.40 or 940?",)
    assert amount("I paid nine forty for it.", (), Thing("transponder", "part"))[0] == 940


def test_a_unit_price_is_taken_times_the_count() -> None:
    assert amount("eleven dollars a metre", (Count(3, "metre"),), Thing("hose", "material"))[:2] == (33, 33)
    assert amount("two for eight dollars", (Count(2),), Thing("blade", "tool"))[:2] == (8, 8)


@pytest.mark.parametrize("line", [
    "I put the door on the scale and weighed it. Three pounds nine.",
    "There is a dent about the size of a fifty pence piece in the cowl.",
    "The void is no bigger than a ten cent coin.",
    "The seat weighs eleven pounds.",
])
def test_weights_and_coins_are_no_money(line: str) -> None:
    assert not [sum_ for sum_ in find_money(parse(Transcript((Cue(0, 5, line),), "subtitle"))) if sum_.sure]
