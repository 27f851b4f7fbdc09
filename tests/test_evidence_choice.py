"""What is left out by choice: the period, the assembly, the person, money, names and places of others."""
from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import evidence_journal
import pytest
from pypdf import PdfReader

from witnessmark.evidence import gather, payload
from witnessmark.evidence.choice import Choice
from witnessmark.evidence.names import Mask
from witnessmark.journal import Journal
from witnessmark.store import open_to_read

Run = Callable[..., Any]


@pytest.fixture(scope="module")
def journal(tmp_path_factory: pytest.TempPathFactory) -> Journal:
    return evidence_journal.make(tmp_path_factory.mktemp("evidence") / "journal")


def collected(journal: Journal, choice: Choice) -> gather.Collected:
    db = open_to_read(journal.database)
    try:
        return gather.collect(journal, db, choice)
    finally:
        db.close()


def test_names_money_and_places_of_others_stay_out_of_every_file(journal: Journal, run: Run, tmp_path: Path) -> None:
    assert run("evidence", journal.root, "--out", tmp_path / "bag").exit_code == 0
    for file in (tmp_path / "bag" / "data").rglob("*"):
        if file.is_file() and file.suffix != ".pdf":
            text = file.read_text(encoding="utf-8")
            assert not any(name in text for name in ("Hanna", "Brindle", "Quillmark", "39.5", "105.25")), file.name
    assert not (tmp_path / "bag/data/records/purchases.csv").exists()
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / "bag/data/log.pdf").pages)
    assert not any(name in text for name in ("Hanna", "Brindle", "Quillmark", "10.00"))
    assert "[helper 1]" in text and "Wim" in text


def test_they_are_there_where_they_are_asked_for(journal: Journal, run: Run, tmp_path: Path) -> None:
    made = run("evidence", journal.root, "--out", tmp_path / "bag", "--names", "--money", "--places", "--no-pictures",
               "--date", "2026-01-02")
    assert made.exit_code == 0
    data = tmp_path / "bag" / "data"
    assert "Hanna" in (data / "records/acts.csv").read_text(encoding="utf-8")
    assert "Quillmark Supply" in (data / "records/purchases.jsonl").read_text(encoding="utf-8")
    assert "-105.25" in (data / "records/sources.csv").read_text(encoding="utf-8")
    reader = PdfReader(data / "log.pdf")
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert "Brindle Coatings, for hire" in text and "10.00" in text and "Made on 2 January 2026" in text
    assert not any(page.images for page in reader.pages)
    assert "Bagging-Date: 2026-01-02" in (tmp_path / "bag" / "bag-info.txt").read_text()


@pytest.mark.parametrize(("text", "shown"), [
    ("Hanna held it, Hanna's brother too.", "[helper 1] held it, [helper 1]'s brother too."),
    ("hanna held it", "[helper 1] held it"), ("Hannah held it", "Hannah held it"),
    ("I mark the hole. Mark drilled it.", "I mark the hole. [helper 2] drilled it."),
    ("Mark Tolland and Tolland", "[helper 2] and [helper 2]"), ("the factory did it", "the factory did it")])
def test_names_are_replaced_and_words_are_not(text: str, shown: str) -> None:
    mask = Mask([("helper", "Hanna"), ("helper", "Mark Tolland"), ("maker", "the factory")], ["Wim"])
    assert mask.text(text) == shown


def test_the_builder_keeps_his_name_even_where_he_shares_it() -> None:
    assert Mask([("helper", "Wim Tolland")], ["Wim Arden"]).text("Wim and Tolland") == "Wim and [helper 1]"


def test_a_period_takes_what_may_lie_in_it(journal: Journal) -> None:
    found = collected(journal, Choice(first=dt.date(2025, 3, 9), last=dt.date(2025, 3, 31)))
    assert {act["part"] for act in found.records["acts"]} == {"flap spar", "aileron skin", None}
    early = collected(journal, Choice(last=dt.date(2025, 3, 1)))
    assert {act["date"] for act in early.records["acts"]} == {"../2025-03-07"}  # it may lie there
    assert found.left_out["acts"] + len(found.records["acts"]) == len(found.everything["acts"])


@pytest.mark.parametrize(("person", "who"), [("paid", {"paid"}), ("Hanna", {"helper"}), ("wim", {"builder"}),
                                             ("Brindle Coatings", {"paid"}), ("nobody", set())])
def test_a_person_is_a_name_or_a_kind(journal: Journal, person: str, who: set[str]) -> None:
    found = collected(journal, Choice(person=person))
    assert {act["who"] for act in found.performed} == who


def test_an_extract_does_not_make_work_look_like_the_builders_alone(journal: Journal) -> None:
    """The worksheet is that of the whole journal: hiding the maker's work must not make the row of the ribs plain."""
    db = open_to_read(journal.database)
    whole, extract = (payload.prepare(journal, db, choice)[2] for choice in (Choice(), Choice(person="builder")))
    db.close()
    assert [(line.row, line.state, line.proposed, line.own, line.others) for line in whole.lines] == [
        (line.row, line.state, line.proposed, line.own, line.others) for line in extract.lines]


@pytest.mark.parametrize("words", [("--assembly", "wings"), ("--from", "2025-05-01", "--until", "2025-04-01"),
                                   ("--worksheet", "none.csv"), ("--checklist", "none.csv")])
def test_what_cannot_be_is_refused_in_one_sentence(journal: Journal, run: Run, tmp_path: Path, words: tuple[str, ...],
                                                   ) -> None:
    result = run("evidence", journal.root, "--out", tmp_path / "bag", *words)
    assert result.exit_code == 1 and result.stderr.count("\n") == 1 and not (tmp_path / "bag").exists()
    assert not list(tmp_path.glob(".bag*"))


def test_gaps_alone_as_json(journal: Journal, run: Run) -> None:
    value = json.loads(run("evidence", journal.root, "--gaps", "--json").stdout)
    assert {"kind", "what", "detail"} == value["gaps"][0].keys() and value["worksheet"]["in_words"]
