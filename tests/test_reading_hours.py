"""Hours of work: what was said, whose they were, and which count. The rules are those of the label guide."""
from __future__ import annotations

import datetime as dt

import pytest

from witnessmark.model import Cue, Hours, Session, Transcript
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.trade import Lexicon

EVENING = dt.datetime(2025, 6, 14, 20, 0, tzinfo=dt.UTC)  # a Saturday


def told(*lines: str, memory: Memory | None = None) -> tuple[Hours, ...]:
    cues = tuple(Cue(6.0 * number, 6.0 * number + 5, line) for number, line in enumerate(lines))
    session = Session("talk", EVENING, Transcript(cues, "subtitle"))
    return read(session, Lexicon.load(), memory or Memory())[0].hours


@pytest.mark.parametrize(("line", "low", "high"), [
    ("That was four hours today.", 4, 4),
    ("Three and a half hours today.", 3.5, 3.5),
    ("I put in 2.5 hours tonight.", 2.5, 2.5),
    ("Two or three hours today.", 2, 3),
    ("I was out here from nine to noon.", 3, 3),
    ("I worked from half past one to five.", 3.5, 3.5),
    ("Ninety minutes on the elevator horn today.", 1.5, 1.5),
    ("An hour and a quarter on the rudder today.", 1.25, 1.25),
])
def test_lengths(line: str, low: float, high: float) -> None:
    (hours,) = told(line)
    assert (hours.low, hours.high) == (low, high)
    assert hours.counted
    assert hours.why


@pytest.mark.parametrize(("line", "scope", "who"), [
    ("That makes two hundred and twelve hours on the kit so far.", "total", "builder"),
    ("I figure another ten hours to finish the cowling.", "planned", "builder"),
    ("The epoxy wants eight hours to cure.", "other", None),
    ("I drove three hours to fetch the canopy.", "other", "builder"),
    ("The engine has eleven hundred hours on it.", "other", None),
])
def test_what_is_no_work_of_a_day_never_counts(line: str, scope: str, who: str | None) -> None:
    (hours,) = told(line)
    assert (hours.scope, hours.who, hours.counted, hours.date) == (scope, who, False, None)


def test_one_record_for_each_kind_of_person() -> None:
    hours = told("My neighbour and I spent three hours riveting the flap today.")
    assert {(one.who, one.low, one.counted) for one in hours} == {("builder", 3, True), ("helper", 3, True)}


def test_several_helpers_are_person_hours() -> None:
    hours = told("Two guys from the chapter helped for two hours today.")
    assert [(one.who, one.low) for one in hours] == [("helper", 4)]


def test_hours_between_several_are_not_multiplied() -> None:
    hours = told("Three friends helped today for six hours between them.")
    assert [(one.who, one.low) for one in hours] == [("helper", 6)]


def test_a_job_inside_the_day_does_not_count_twice() -> None:
    hours = told("I drilled the spar web this afternoon, and that took two hours.", "Five hours today, out here.")
    assert sum(one.low for one in hours if one.counted) == 5


def test_a_job_of_another_day_counts_beside_the_day() -> None:
    hours = told("On Thursday I bent the baffles, three hours.", "Today was four hours.")
    assert {(one.date, one.low) for one in hours if one.counted} == {("2025-06-12", 3), ("2025-06-14", 4)}


def test_the_second_telling_is_a_record_that_does_not_count() -> None:
    hours = told("I did six hours today.", "We closed the flap.", "That is six hours for today, as I said.")
    assert [one.counted for one in hours] == [True, False]


def test_two_lengths_with_a_comma_between_are_no_range() -> None:
    """A recogniser joins sentences with commas; "two, 88 hours" is not two to eighty-eight."""
    hours = told("Six hours today, and Gwen did two, 88 hours on the whole airplane.")
    told_as = {(one.low, one.high, one.scope) for one in hours}
    assert told_as == {(6, 6, "session"), (2, 2, "session"), (88, 88, "total")}


def test_no_day_has_more_than_its_hours() -> None:
    hours = told("I worked for ninety hours today on the flap.")
    assert not [one for one in hours if one.counted and one.high > 24]


def test_bare_text_of_a_recogniser() -> None:
    hours = told("okay so i spent four and a half hours today on the left flap")
    assert [(one.low, one.high, one.who, one.counted) for one in hours] == [(4.5, 4.5, "builder", True)]
