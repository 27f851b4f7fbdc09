"""Hours, purchases and open items in many voices, written before the rules were tried on them: see voiced.py."""
from __future__ import annotations

import pytest
from voiced import Talk, differences, reading_of, talks


@pytest.mark.parametrize("talk", talks("*.txt"), ids=lambda talk: talk.place)
def test_what_is_told_is_read(talk: Talk) -> None:
    assert differences(talk, reading_of(talk)) == []
