"""The register and the corrections: appended, chained, never torn."""
from __future__ import annotations

import datetime as dt
import hashlib
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from witnessmark.journal import corrections, lines, register
from witnessmark.journal.corrections import Correction
from witnessmark.model import Capture, Moment, Settings

MOMENT = Moment(dt.datetime(2025, 3, 9, 16, 40, tzinfo=dt.timezone(dt.timedelta(hours=-7))), "second", "container")


def capture(name: str, moment: Moment = MOMENT) -> Capture:
    return Capture(name, hashlib.sha256(name.encode()).hexdigest(), 5, "note", "text/plain", moment)


def filled(path: Path, *names: str) -> register.Register:
    known = register.load(path)
    for name in names:
        known.add(capture(name))
    return known


def test_each_line_carries_the_hash_of_the_line_before(tmp_path: Path) -> None:
    filled(tmp_path / "register.jsonl", "a.txt", "b.txt", "c.txt")
    raw = (tmp_path / "register.jsonl").read_bytes().split(b"\n")
    assert raw[-1] == b"" and len(raw) == 4
    head = "0" * 64
    for line in raw[:3]:
        assert json.loads(line)["previous"] == head
        head = hashlib.sha256(line).hexdigest()
    assert register.load(tmp_path / "register.jsonl").head == head
    assert json.loads(raw[0])["captured"] == "2025-03-09T16:40:00-07:00"


def test_a_file_is_registered_once(tmp_path: Path) -> None:
    filled(tmp_path / "register.jsonl", "a.txt")
    before = (tmp_path / "register.jsonl").read_bytes()
    filled(tmp_path / "register.jsonl", "a.txt")
    assert (tmp_path / "register.jsonl").read_bytes() == before


@pytest.mark.parametrize("harm", ["change", "remove", "swap", "insert"])
def test_a_line_changed_later_is_found(tmp_path: Path, harm: str) -> None:
    path = tmp_path / "register.jsonl"
    filled(path, "a.txt", "b.txt", "c.txt", "d.txt")
    assert register.load(path).faults == []
    kept = path.read_bytes().splitlines()
    if harm == "change":
        kept[1] = kept[1].replace(b"b.txt", b"x.txt")
    elif harm == "remove":
        del kept[1]
    elif harm == "swap":
        kept[1], kept[2] = kept[2], kept[1]
    else:
        kept.insert(1, kept[0])
    path.write_bytes(b"\n".join(kept) + b"\n")
    assert register.load(path).faults


@given(st.integers(min_value=1, max_value=300))
def test_a_torn_end_is_set_aside_and_the_chain_goes_on(tmp_path_factory: pytest.TempPathFactory, cut: int) -> None:
    place = tmp_path_factory.mktemp("torn")
    path = place / "register.jsonl"
    filled(path, "a.txt", "b.txt")
    whole = path.read_bytes()
    last = whole.splitlines(keepends=True)[-1]
    path.write_bytes(whole[:len(whole) - min(cut, len(last) - 1)])
    remark = lines.mend(path, place / "aside")
    known = register.load(path)
    assert known.faults == []
    if cut == 1:  # only the line end was missing: nothing is lost
        assert remark is None and path.read_bytes() == whole
    else:
        assert remark and [file.read_bytes() for file in (place / "aside").iterdir()] == [
            last[:len(last) - min(cut, len(last) - 1)]]
    known.add(capture("c.txt"))
    assert register.load(path).faults == []
    assert "a.txt" in path.read_text() and "c.txt" in path.read_text()


def test_moments_are_written_as_exact_as_they_are_known() -> None:
    at = MOMENT.at
    written = [register.as_edtf(Moment(at, precision, "exif"))
               for precision in ("second", "day", "month", "year", "none")]
    assert written == ["2025-03-09T16:40:00-07:00", "2025-03-09", "2025-03", "2025", None]  # ISO 8601-2


def test_a_correction_comes_back_as_it_was_given(tmp_path: Path) -> None:
    path = tmp_path / "corrections.jsonl"
    written = corrections.append(path, Correction("", "change", "acts", "ab" * 32, "one.mp4", 12.5, 3,
                                                  {"task": "prime"}, {"task": "paint"}, "it was the colour coat"))
    found = corrections.load(path)
    assert found.standing == (written,) and found.faults == ()


def test_an_undo_of_an_undo_puts_the_correction_in_force_again(tmp_path: Path) -> None:
    path = tmp_path / "corrections.jsonl"
    first = corrections.append(path, Correction("", "confirm", "acts", "ab" * 32))
    second = corrections.append(path, Correction("", "undo", to={"id": first.id}))
    assert corrections.load(path).standing == ()
    corrections.append(path, Correction("", "undo", to={"id": second.id}))
    assert corrections.load(path).standing == (first,)


def test_the_same_correction_twice_has_two_ids(tmp_path: Path) -> None:
    path = tmp_path / "corrections.jsonl"
    confirmed = Correction("", "confirm", "acts", when="2025-01-01T00:00:00Z")
    one, other = corrections.append(path, confirmed), corrections.append(path, confirmed)
    assert one.id != other.id


@given(st.lists(st.one_of(st.binary(max_size=40), st.sampled_from([
    b'{"do":"change"}', b'{"id":"x","do":"change","start":"noon"}', b'{"id":"x","do":"melt"}', b"[]", b"null",
    b'{"id":"y","do":"confirm","from":[]}'])), max_size=6))
def test_lines_that_are_no_corrections_are_reported_and_left(tmp_path_factory: pytest.TempPathFactory,
                                                             junk: list[bytes]) -> None:
    path = tmp_path_factory.mktemp("junk") / "corrections.jsonl"
    path.write_bytes(b"\n".join(junk) + b"\n")
    before = path.read_bytes()
    good = corrections.append(path, Correction("", "confirm", "acts"))
    found = corrections.load(path)
    assert found.standing[-1] == good
    assert path.read_bytes().startswith(before)


def test_a_confirmed_spelling_joins_the_vocabulary(tmp_path: Path) -> None:
    path = tmp_path / "corrections.jsonl"
    corrections.append(path, Correction("", "word", "parts", from_={"word": "gust lug"}, to={"word": "gust lock"}))
    settings = corrections.with_words(Settings(vocabulary={"parts": {"gust lock": ("lock",)}}), corrections.load(path))
    assert settings.vocabulary["parts"]["gust lock"] == ("lock", "gust lug")
