"""On which day a thing was bought: only where the talk says so of the purchase itself."""
from __future__ import annotations

import datetime as dt

import pytest

from witnessmark.model import Cue, Session, Transcript
from witnessmark.reading import read
from witnessmark.reading.memory import Memory
from witnessmark.trade import Lexicon

RECORDED = dt.datetime(2025, 5, 17, 18, 0, tzinfo=dt.timezone(dt.timedelta(hours=-6)))  # a Saturday


@pytest.mark.parametrize(("said", "date"), [
    ("I bought a rivet squeezer on Tuesday for ninety dollars.", "2025-05-13"),
    ("Yesterday I picked up a quart of epoxy primer, forty dollars.", "2025-05-16"),
    ("The cleco pliers came on Thursday.", "2025-05-15"),
    ("Last week I ordered two sheets of 2024-T3 at eighty dollars each.", "2025-05-05/2025-05-11"),
    ("I bought a rivet squeezer for ninety dollars.", None),
    ("I bought a rivet squeezer for ninety dollars and worked three hours on Tuesday.", None),
    ("I bought a rivet squeezer, ninety dollars, three hours on Tuesday and two on Wednesday.", None),
    ("I am going to buy a rivet squeezer on Tuesday, ninety dollars.", None),
])
def test_a_purchase_has_the_day_that_is_said_of_it(said: str, date: str | None) -> None:
    session = Session("s", RECORDED, Transcript((Cue(0.0, 5.0, said),), "subtitle"))
    found = read(session, Lexicon.load(), Memory())[0].purchases
    assert [purchase.date for purchase in found] == [date]
