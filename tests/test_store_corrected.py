"""Corrections are the last word, survive other readings of the same words, and are never dropped."""
from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import made_journals
import pytest
from made_journals import Told, say

from witnessmark.errors import WitnessmarkError
from witnessmark.journal import Journal, corrections, open_journal
from witnessmark.journal.corrections import Correction
from witnessmark.pipeline import correct, index
from witnessmark.store import open_to_read, query
from witnessmark.store.corrected import corrected, find

SHA = "c0" * 32
CUES = [(0.0, 5.0, "I primed the left flap rib."), (5.0, 10.0, "Took three hours."),
        (10.0, 15.0, "Bought a brake for $80."), (15.0, 20.0, "Still have to rivet it.")]
RECORDS: dict[str, list[dict[str, Any]]] = {
    "acts": [{"cue": 0, "task": "prime", "part": "flap rib", "side": "left", "assembly": "flap", "date": "2025-03-09",
              "confidence": 0.7, "doubts": ("prime or paint?",)}],
    "hours": [{"cue": 1, "low": 3, "high": 3, "scope": "session", "who": "builder", "date": "2025-03-09",
               "counted": True}],
    "purchases": [{"cue": 2, "item": "brake", "category": "tool", "status": "bought", "amount_low": 80,
                   "amount_high": 80, "date": "2025-03-09"}],
    "open_items": [{"cue": 3, "kind": "to-do", "task": "rivet", "part": "flap rib"}]}


@pytest.fixture
def journal(tmp_path: Path) -> Journal:
    return made_journals.database(tmp_path / "j", [Told("2025-03-09T16:40:00-06:00", CUES, RECORDS)])


def rows(journal: Journal, table: str) -> list[dict[str, Any]]:
    db = open_to_read(journal.database)
    try:
        return query(db, f"SELECT * FROM {table} ORDER BY {'number' if table == 'corrections' else 'cue'}")
    finally:
        db.close()


def test_a_change_is_seen_at_once_and_taken_back(journal: Journal) -> None:
    before = rows(journal, "acts")
    done = correct.change(journal, before[0]["id"], {"task": "paint", "side": "none"}, "it was the colour coat")
    (act,) = rows(journal, "acts")
    assert (act["task"], act["side"], act["confidence"], act["doubts"]) == ("paint", None, 1.0, [])
    assert act["correction"] == done.id and act["id"] == before[0]["id"]
    correct.undo(journal, done.id)
    assert rows(journal, "acts") == before
    assert [row["state"] for row in rows(journal, "corrections")] == ["undone", "applied"]


def test_work_that_was_only_planned_loses_its_date(journal: Journal) -> None:
    identity = rows(journal, "acts")[0]["id"]
    correct.change(journal, identity, {"status": "planned"})
    assert (rows(journal, "acts")[0]["date"], rows(journal, "acts")[0]["first_day"]) == (None, None)
    correct.change(journal, identity, {"status": "done"})
    assert rows(journal, "acts")[0]["date"] == "2025-03-09"


def test_a_date_is_stored_with_its_days(journal: Journal) -> None:
    correct.change(journal, rows(journal, "acts")[0]["id"], {"date": "2025-02"})
    act = rows(journal, "acts")[0]
    assert (act["first_day"], act["last_day"]) == ("2025-02-01", "2025-02-28")


def test_reject_confirm_close_and_add(journal: Journal) -> None:
    correct.judge(journal, rows(journal, "hours")[0]["id"], "reject")
    correct.judge(journal, rows(journal, "purchases")[0]["id"], "confirm")
    correct.judge(journal, rows(journal, "open_items")[0]["id"], "close")
    correct.add(journal, "acts", "20250309_164000.vtt", 6.0, {"task": "deburr", "status": "done", "part": "flap rib"})
    assert rows(journal, "hours") == []
    assert rows(journal, "purchases")[0]["confidence"] == 1.0
    assert rows(journal, "open_items")[0]["closed_on"] is not None
    added = rows(journal, "acts")[1]
    assert (added["task"], added["date"], added["cue"], added["quote"]) == ("deburr", "2025-03-09", 1, CUES[1][2])
    assert {row["state"] for row in rows(journal, "corrections")} == {"applied"}


@pytest.mark.parametrize(("table", "field", "value", "says"), [
    ("acts", "status", "finished", "done, doing"), ("acts", "task", "polish", "prime"),
    ("acts", "date", "March", "2024-03"), ("acts", "id", "x", "task"), ("acts", "task", "", "empty"),
    ("hours", "low", "three", "number"),
    ("hours", "counted", "perhaps", "yes or no"), ("purchases", "category", "toys", "consumable"),
    ("open_items", "kind", "wish", "to-do"), ("acts", "assembly", "tail", "rudder")])
def test_what_cannot_be_is_refused_with_what_can(journal: Journal, table: str, field: str, value: str,
                                                 says: str) -> None:
    with pytest.raises(WitnessmarkError, match=says):
        correct.change(journal, rows(journal, table)[0]["id"], {field: value})
    assert not journal.corrections.exists()


def record(**fields: Any) -> dict[str, Any]:
    return {"id": "r", "cue": 3, "start": 20.0, "task": "prime", "part": "rib", "side": None, "assembly": None,
            "status": "done", "who": "builder", "date": "2025-03-09", **fields}


KEPT = {name: record()[name] for name in ("task", "part", "side", "assembly", "status", "who", "date")}


@pytest.mark.parametrize(("rows_", "finds"), [
    ([record()], 0),
    ([record(start=26.0, cue=5, part="ribs", confidence=0.2)], 0),  # other weights: words cut and heard otherwise
    ([record(start=40.0)], None),  # too far away
    ([record(task="drill")], None),  # another work at the same place
    ([record(part="spar", who="paid", status="planned", date=None)], None),  # little of it is the same
    ([record(part="spar"), record()], 1),  # the likest, not the first
    ([record(part="spar")], None),  # the same work on another thing
    ([record(part="rip")], 0),  # one noun, heard otherwise
    ([record(part=None)], 0),  # the thing is not heard this time
    ([record(who="paid")], None),  # the same work by somebody else
    ([record(start=15.0), record(start=21.0)], 1),  # of equals the nearest
    ([], None)])
def test_a_correction_finds_its_record_again(rows_: list[dict[str, Any]], finds: int | None) -> None:
    assert find(rows_, Correction("c", "reject", "acts", SHA, start=20.0, cue=3, from_=KEPT)) == finds


def test_the_other_side_is_never_meant() -> None:
    """What was said to be done on the left must not be moved to the right, where it was said not to be done."""
    left = Correction("c", "confirm", "acts", SHA, start=20.0, cue=3, from_={**KEPT, "side": "left"})
    right = record(side="right", status="not-done", date=None, start=22.0, cue=4)
    assert find([right], left) is None
    assert find([right, record(side="left")], left) == 1
    assert find([record(side="both")], left) == 0 and find([record(side=None)], left) == 0


def test_what_was_confirmed_stays_whatever_other_weights_hear() -> None:
    bought = {"id": "p", "cue": 2, "start": 10.0, "item": "hand steamer", "amount_low": 80.0, "amount_high": 80.0,
              "status": "bought", "vendor": "Tarn Hardware", "confidence": 0.4, "doubts": ["18 or 80?"]}
    confirmed = Correction("c", "confirm", "purchases", SHA, start=10.4, cue=3, from_={
        "item": "hand seamer", "amount_low": 18.0, "amount_high": 18.0, "status": "bought", "vendor": "Tarn Hardware"})
    laid, outcomes = corrected({"purchases": [bought]}, [confirmed], SHA, "2025-03-09")
    (row,) = laid["purchases"]
    assert (row["item"], row["amount_low"], row["amount_high"]) == ("hand seamer", 18.0, 18.0)
    assert row["confidence"] == 1.0 and row["doubts"] == [] and outcomes[0].record_id == "p"


def test_a_reading_that_has_come_to_say_the_same_keeps_its_correction() -> None:
    moved = Correction("c", "change", "acts", SHA, start=20.0, cue=3, from_=KEPT, to={"who": "helper", "part": "spar"})
    assert find([record(who="helper", part="spar")], moved) == 0
    assert find([record(who="paid")], moved) is None


def test_a_taught_spelling_is_the_name_everywhere_at_once_and_is_taken_back(tmp_path: Path) -> None:
    def told(day: int, part: str) -> Told:
        return Told(f"2025-03-{day:02}T16:40:00-06:00", [(0.0, 5.0, f"I primed the {part}.")],
                    {"acts": [{"cue": 0, "task": "prime", "part": part}]})

    journal = made_journals.database(tmp_path / "taught", [
        told(1, "trunnion cuff"), told(2, "nose trunnion cuffs"), told(3, "cuff"), told(4, "trunnion")])
    done = correct.word(journal, "parts", "trunnion cuff", "trunnion collar")
    assert sorted(row["part"] for row in rows(journal, "acts")) == ["cuff", "nose trunnion collar", "trunnion",
                                                                    "trunnion collar"]
    assert [row["correction"] for row in rows(journal, "acts")] == [None] * 4, "nobody has checked these records yet"
    identity = next(row["id"] for row in rows(journal, "acts") if row["part"] == "trunnion collar")
    correct.change(journal, identity, {"status": "planned"})
    other = next(row["id"] for row in rows(journal, "acts") if row["part"] == "nose trunnion collar")
    correct.judge(journal, other, "confirm")
    assert sorted(row["part"] for row in rows(journal, "acts")) == ["cuff", "nose trunnion collar", "trunnion",
                                                                    "trunnion collar"]
    correct.undo(journal, done.id)
    assert sorted((row["part"], row["status"]) for row in rows(journal, "acts")) == [
        ("cuff", "done"), ("nose trunnion cuffs", "done"), ("trunnion", "done"), ("trunnion cuff", "planned")]


def test_notes_have_no_times_and_go_by_lines() -> None:
    lines = [record(start=0.0, cue=1), record(start=0.0, cue=9)]
    assert find(lines, Correction("c", "confirm", "acts", SHA, start=0.0, cue=9, from_=KEPT)) == 1


def test_a_correction_of_another_source_does_nothing() -> None:
    other = Correction("c", "reject", "acts", "d0" * 32, start=20.0)
    tables, outcomes = corrected({"acts": [record()]}, [other], SHA, None)
    assert len(tables["acts"]) == 1 and outcomes == []


def test_one_that_finds_no_record_is_listed(journal: Journal) -> None:
    line = corrections.append(journal.corrections, Correction(
        "", "reject", "acts", sha_of(journal), start=3.0, cue=0, from_={"task": "weld", "part": "flap rib"}))
    correct.apply(journal, corrections.load(journal.corrections))
    assert [(row["id"], row["state"]) for row in rows(journal, "corrections")] == [(line.id, "unmatched")]
    assert len(rows(journal, "acts")) == 1


def sha_of(journal: Journal) -> str:
    db = open_to_read(journal.database)
    try:
        return str(next(iter(db.query("SELECT sha256 FROM sources")))["sha256"])
    finally:
        db.close()


def test_corrections_survive_moving_the_file_and_making_the_database_again(journal_folder: Path) -> None:
    path = say(journal_folder, "2025-03-09T16:40:00-06:00", "I primed the left flap rib.")
    journal = open_journal(journal_folder)
    index(journal)
    correct.change(journal, rows(journal, "acts")[0]["id"], {"task": "paint"})
    (journal_folder / "cards").mkdir()
    path.rename(journal_folder / "cards" / path.name)
    index(journal)
    assert [act["task"] for act in rows(journal, "acts")] == ["paint"]
    journal.database.unlink()
    index(journal)
    assert [act["task"] for act in rows(journal, "acts")] == ["paint"]
    assert index(journal).nothing_new


def test_a_line_written_by_hand_is_laid_over_the_records_by_the_next_index(journal_folder: Path) -> None:
    say(journal_folder, "2025-03-09T16:40:00-06:00", "I primed the left flap rib.")
    journal = open_journal(journal_folder)
    index(journal)
    line = {"id": "by-hand", "do": "reject", "kind": "acts", "sha256": sha_of(journal), "start": 0.0, "from": {}}
    journal.corrections.write_text(json.dumps(line) + "\n")
    index(journal)
    assert rows(journal, "acts") == []
    journal.corrections.unlink()
    index(journal)
    assert len(rows(journal, "acts")) == 1


def test_after_a_spelling_was_confirmed_everything_is_read_with_it(journal_folder: Path) -> None:
    say(journal_folder, "2025-03-09T16:40:00-06:00", "I primed the zorgle today.")
    journal = open_journal(journal_folder)
    index(journal)
    correct.word(journal, "parts", "zorgle", "gust lock")
    assert index(journal).read == 1
    assert index(journal).nothing_new
