"""journal.toml: what it means, and that every fault names its line and what is allowed."""
from __future__ import annotations

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.errors import JournalError
from witnessmark.journal import settings, starting, template
from witnessmark.trade.vocabulary import OWN_KINDS

FULL = """\
[journal]
title = "Marsh Harrier"
aircraft = "two-seat biplane, wood"
timezone = "Europe/Vienna"
currency = "EUR"
builders = ["Ana", "Bo"]
helpers = ["Cy"]

[[camera]]
model = "Z1"
offset = "+1h"

[[camera]]
model = "Q9"
offset = "-365d 7h 30m 2s"

[speech]
model = "base"

[vocabulary.parts]
"belly fairing" = ["belly pan cover"]
"""


def test_every_setting_is_read() -> None:
    found = settings.parse(FULL)
    assert (found.title, found.timezone, found.currency) == ("Marsh Harrier", "Europe/Vienna", "EUR")
    assert found.builders == ("Ana", "Bo") and found.helpers == ("Cy",) and found.hired == ()
    assert [camera.offset for camera in found.cameras] == [
        dt.timedelta(hours=1), -dt.timedelta(days=365, hours=7, minutes=30, seconds=2)]
    assert found.speech_model == "base"
    assert found.vocabulary == {"parts": {"belly fairing": ("belly pan cover",)}}


@pytest.mark.parametrize(("wrong", "line", "says"), [
    (FULL.replace("Europe/Vienna", "Europe/Viena"), 4, "Europe/Vienna"),
    (FULL.replace('"EUR"', '"euros"'), 5, "ISO 4217"),
    (FULL.replace('["Cy"]', '"Cy"'), 7, "list"),
    (FULL.replace("helpers", "helper"), 7, "helpers"),
    (FULL.replace("-365d 7h 30m 2s", "a year"), 15, "+365d 7h"),
    (FULL.replace('model = "Q9"', 'modell = "Q9"'), 14, "model"),
    (FULL.replace("[speech]", "[speach]"), 17, "speech"),
    (FULL.replace("[vocabulary.parts]", "[vocabulary.widgets]"), 20, "assemblies"),
    (FULL.replace('"belly fairing" = ["belly pan cover"]', '"belly fairing" = "x"'), 21, "list"),
    (FULL.replace('title = "Marsh Harrier"', "title = Marsh Harrier"), 2, "name = "),
    (FULL.replace('title = "Marsh Harrier"', "title = 7"), 2, "quotes"),
])
def test_a_fault_names_its_line_and_what_is_allowed(wrong: str, line: int, says: str) -> None:
    with pytest.raises(JournalError) as caught:
        settings.parse(wrong)
    assert f"line {line}:" in str(caught.value)
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_kinds_of_words_are_those_of_the_vocabulary() -> None:
    assert set(settings.VOCABULARY_KINDS) == set(OWN_KINDS)


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    try:
        settings.parse(text)
    except JournalError as error:
        assert str(error).startswith("journal.toml")


@given(st.text(alphabet=st.characters(exclude_categories=["Cs", "Cc"]), max_size=40), st.lists(st.text(
    alphabet=st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12), max_size=3))
def test_what_new_writes_is_what_is_read(title: str, names: list[str]) -> None:
    found = settings.parse(template.text(title, "a kit", "America/Denver", "USD", names))
    assert found.title == title.strip()
    assert found.builders == tuple(name.strip() for name in names if name.strip())


@pytest.mark.parametrize("text", ["", "365", "h", "+", "1h2d", "--1h", "1y"])
def test_no_offset(text: str) -> None:
    assert settings.parse_offset(text) is None


def test_new_never_writes_over_a_journal(tmp_path) -> None:
    starting.write(tmp_path, "One", "", "UTC", "USD")
    with pytest.raises(JournalError, match="already"):
        starting.write(tmp_path, "Two", "", "UTC", "USD")
    assert settings.read(tmp_path / "journal.toml").title == "One"


def test_new_refuses_a_zone_before_it_writes(tmp_path) -> None:
    with pytest.raises(JournalError, match="timezone"):
        starting.write(tmp_path, "One", "", "Mars/Base", "USD")
    assert not (tmp_path / "journal.toml").exists()


def test_a_file_that_is_no_text_is_refused(tmp_path) -> None:
    (tmp_path / "journal.toml").write_bytes(b"[journal]\ntitle = \"\xff\xfe\"\n")
    with pytest.raises(JournalError, match=r"line 2.*UTF-8"):
        settings.read(tmp_path / "journal.toml")
