"""What recognisers leave out is put in before the parser reads: apostrophes, capitals, full stops, dialect."""
from __future__ import annotations

import pytest

from witnessmark.reading.spelling import restored


@pytest.mark.parametrize(("said", "written"), [
    ("its drilled and thats it for today im done", "It's drilled. And that's it for today. I'm done."),
    ("tomorrow ill prime the tail", "Tomorrow I'll prime the tail."),
    ("he was ill", "He was ill."),
    ("the spar and its doubler", "The spar and its doubler."),
    ("aint touched the flaps yet", "Haven't touched the flaps yet."),
    ("did i ream it no i did not", "Did I ream it? No I did not."),
    ("if the paint is dry ill hang it", "If the paint is dry, I'll hang it."),
    ("reamed the hole it was tight so i reamed it again", "Reamed the hole. It was tight. So I reamed it again."),
    ("was sittin there drillin them ribs", "Was sitting there drilling those ribs."),
])
def test_bare_words_become_sentences(said: str, written: str) -> None:
    assert restored([said]) == (written,)


def test_a_cue_that_hangs_over_is_no_border() -> None:
    assert restored(["i finally riveted the", "last of the ribs", "the skins are next"]) == (
        "I finally riveted the", "last of the ribs.", "The skins are next.")


def test_written_sentences_keep_their_borders() -> None:
    said = ("I've no even cut the ribs.", "Them skins? Dinnae ask. They're no glued yet.")
    assert restored(said) == ("I've not even cut the ribs.", "Those skins? Don't ask. They're no glued yet.".replace(
        "no glued", "not glued"))
