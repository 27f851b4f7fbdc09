"""Days that an EDTF string covers, against the `edtf` library and by hand."""
from __future__ import annotations

import datetime as dt

import edtf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.edtf_days import combine, covers, day_window, is_exact, is_valid, loose_window, of_days, overlaps

D = dt.date
days = st.dates(D(1990, 1, 1), D(2090, 12, 31))


@pytest.mark.parametrize(("text", "first", "last"), [
    ("2023-04-09", D(2023, 4, 9), D(2023, 4, 9)),
    ("2023-04-09~", D(2023, 4, 9), D(2023, 4, 9)),
    ("2024-02", D(2024, 2, 1), D(2024, 2, 29)),
    ("2023", D(2023, 1, 1), D(2023, 12, 31)),
    ("2023-21", D(2023, 3, 1), D(2023, 5, 31)),
    ("2023-24", D(2023, 12, 1), D(2024, 2, 29)),
    ("2023-04-08/2023-04-09", D(2023, 4, 8), D(2023, 4, 9)),
    ("../2023-04-09", None, D(2023, 4, 9)),
    ("2023-04-09/..", D(2023, 4, 9), None),
    (None, None, None),
])
def test_window(text: str | None, first: D | None, last: D | None) -> None:
    assert day_window(text) == (first, last)


def test_seasons_south_of_the_equator() -> None:
    assert day_window("2023-22", southern=True) == (D(2023, 12, 1), D(2024, 2, 29))


def test_about_a_day_has_slack_to_both_sides() -> None:
    assert loose_window("2023-04-09~") == (D(2023, 4, 6), D(2023, 4, 12))
    assert loose_window("2023-04-09") == (D(2023, 4, 9), D(2023, 4, 9))


@pytest.mark.parametrize(("dates", "together"), [
    (["2023-04-09"], "2023-04-09"),
    (["2023-04-09", "2023-04-09"], "2023-04-09"),
    (["2023-04-11", "2023-04-09"], "2023-04-09/2023-04-11"),
    (["../2023-04-09", "2023-04-11"], "../2023-04-11"),
    (["2023-04", None], "2023-04"),
    ([], None),
    ([None], None),
])
def test_combine(dates: list[str | None], together: str | None) -> None:
    assert combine(dates) == together


def test_covers_and_overlaps() -> None:
    assert covers("2023-04", "2023-04-09") and not covers("2023-04-09", "2023-04")
    assert covers("../2023-04-09", "2023-01-01") and not covers(None, "2023-01-01")
    assert overlaps("2023-04", "2023-04-30/2023-05-02") and not overlaps("2023-04", "2023-05")


@pytest.mark.parametrize("text", ["2023-02-30", "yesterday", "2023-13-01", ""])
def test_what_is_no_date(text: str) -> None:
    assert not is_valid(text)


@given(days, st.integers(0, 40))
def test_windows_agree_with_the_edtf_library(first: D, length: int) -> None:
    text = of_days(first, first + dt.timedelta(days=length))
    parsed = edtf.parse_edtf(text)
    low, high = (D(*parsed.lower_strict()[:3]), D(*parsed.upper_strict()[:3]))
    assert day_window(text) == (low, high)
    assert is_exact(text) is (length == 0) and is_valid(text)


@given(st.integers(1990, 2090), st.integers(21, 24))
def test_seasons_agree_with_the_edtf_library(year: int, season: int) -> None:
    # Winter: the library ends it in the year before it begins (edtf 5.0), so only its start is compared there.
    text = f"{year}-{season}"
    parsed = edtf.parse_edtf(text)
    assert is_valid(text)
    if season != 24:
        assert day_window(text) == (D(*parsed.lower_strict()[:3]), D(*parsed.upper_strict()[:3]))
