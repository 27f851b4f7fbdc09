"""The worksheet: its arithmetic against the form's own example, the builder's figures, and what is proposed."""
from __future__ import annotations

import csv
import dataclasses
import json
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import made_journals
import pytest

from witnessmark.evidence import checklist, gaps, gather, payload, worksheet
from witnessmark.evidence.checklist import WorksheetError
from witnessmark.evidence.choice import Choice
from witnessmark.evidence.worksheet import Worksheet
from witnessmark.store import open_to_read
from witnessmark.trade.vocabulary import built_in

GOLD = Path(__file__).parents[2] / "shared" / "gold"
Act = dict[str, Any]
DAY = "2025-03-08"


def built(place: Path, told: list[made_journals.Told]) -> tuple[gather.Collected, Worksheet, list[gaps.Gap]]:
    journal = made_journals.database(place, told)
    db = open_to_read(journal.database)
    found, _, sheet, missing = payload.prepare(journal, db, Choice())
    db.close()
    return found, sheet, missing


def session(*acts: Act, recorded: str = f"{DAY}T18:00:00-07:00") -> made_journals.Told:
    """A session in which each act has a line of its own."""
    return made_journals.Told(recorded, [(n * 5.0, n * 5.0 + 5, f"line {n}") for n in range(len(acts))],
                              {"acts": [{"cue": n, "date": None if "status" in act else recorded[:10], **act}
                                        for n, act in enumerate(acts)]})


RIB = {"task": "cut", "part": "rudder rib", "assembly": "rudder"}
ROW = "T10"  # "Make the spars, ribs and stiffeners of the rudder", fabrication


def row_of(sheet: Worksheet, row: str = ROW) -> worksheet.Line:
    return next(line for line in sheet.lines if line.row == row)


def settings(tmp_path: Path, text: str) -> dict[str, worksheet.Set]:
    file = tmp_path / "worksheet.csv"
    file.write_text(text, encoding="utf-8")
    return worksheet.read_settings(file, checklist.load())


def totals_of(tmp_path: Path, text: str, proven: bool = True) -> Worksheet:
    """A worksheet of the rows that are set, all with evidence or none."""
    found = settings(tmp_path, text)
    return Worksheet([worksheet.Line(item, found[item.row], None, "", None, None, "", 0,
                                     {"own": [1] if proven else [], "others": []})
                      for item in checklist.load() if item.row in found])


def test_the_forms_own_example_makes_one_point(tmp_path: Path) -> None:
    """FAA Amateur-Built Fabrication and Assembly Checklist (2011), instructions: "For example, 0.5 (half point) can be
    assigned to the Manufacturer, 0.3 (3/10 - 3 tenths) as Commercial Assistance, 0.2 to the Amateur Builder as
    Fabrication, for a total of 1 point." """
    sheet = totals_of(tmp_path, "row,applies,maker,commercial,assembly,fabrication\nF1,yes,0.5,0.3,,0.2\n")
    total = sheet.as_set()
    assert sum(total.tenths.values()) == worksheet.POINT and total.share == Decimal("20.0")


def test_the_share_is_the_builders_columns_over_all_four(tmp_path: Path) -> None:
    """Added up by hand: (0.2 + 1.0 + 0.6) of 3 points is 60 %; a row that does not apply is not in it."""
    text = ("row,applies,maker,commercial,assembly,fabrication\nF1,,0.5,0.3,0,0.2\nF2,yes,,,,1\nF9,yes,0.4,,0.6,\n"
            "F10,no,,,,\n")
    sheet = totals_of(tmp_path, text)
    assert sheet.as_set().share == Decimal("60.0") and sheet.as_set().rows == 3
    assert sheet.proven_only() == (Decimal("60.0"), 0)
    assert totals_of(tmp_path, text, proven=False).proven_only() == (Decimal("0.0"), 3)


def test_a_share_is_never_rounded_up() -> None:
    assert worksheet.percent(2, 3) == Decimal("66.6") and worksheet.percent(4999, 10000) == Decimal("49.9")


@pytest.mark.parametrize(("line", "names"), [
    ("F1,yes,0.5,0.3,,0.1", ("F1", "0.9", "1.0")), ("F1,yes,0.55,,,0.45", ("F1", "maker", "0.55")),
    ("F1,yes,1.5,,,", ("F1", "1.5")), ("F1,yes,a,,,", ("F1", "maker", "a")), ("F1,yes,nan,,,", ("F1", "nan")),
    ("F1,perhaps,,,,", ("F1", "perhaps")), ("Q9,yes,1,,,", ("Q9",)), ("F1,yes,1,,,\nF1,yes,1,,,", ("F1", "twice")),
    ("F1,yes,-0.1,,,1.1", ("F1", "-0.1"))])
def test_figures_that_cannot_be_are_refused_with_their_row(tmp_path: Path, line: str, names: tuple[str, ...]) -> None:
    with pytest.raises(WorksheetError) as refused:
        settings(tmp_path, f"row,applies,maker,commercial,assembly,fabrication\n{line}\n")
    assert all(name in str(refused.value) for name in names) and "\n" not in str(refused.value)


def test_decimal_commas_and_the_programs_own_file_are_read(tmp_path: Path, run: Callable[..., Any]) -> None:
    found = settings(tmp_path, "row,applies,maker,commercial,assembly,fabrication,note\nF1,N/A,,,,,\n"
                               'F2,,"0,5",,,"0,5",x\n')
    assert not found["F1"].applies and found["F2"].tenths == {"maker": 5, "commercial": 0, "assembly": 0,
                                                              "fabrication": 5}
    journal = made_journals.database(tmp_path / "j", [session(RIB)])
    (journal.root / "worksheet.csv").write_text("row,applies,maker,fabrication,note\nF1,no,,,=note\nF2,yes,0.5,0.5,\n")
    assert run("evidence", journal.root, "--out", tmp_path / "one", "--no-pictures").exit_code == 0
    written = tmp_path / "one/data/worksheet.csv"
    assert worksheet.read_settings(written, checklist.load())["F1"] == worksheet.Set(False, None, "=note")
    rows = {row["row"]: row for row in csv.DictReader(written.open(encoding="utf-8", newline=""))}
    assert rows[ROW]["proposed_fabrication"] == "1.0" and rows[ROW]["fabrication"] == ""  # a proposal is not set
    assert rows["F2"]["fabrication"] == "0.5" and rows["F1"]["note"] == "'=note"


def test_the_checklist_is_sound() -> None:
    """About a hundred rows, each once in its group and with what is needed to propose; every assembly in some row."""
    items = checklist.load()
    assert 90 <= len(items) <= 130 and len({(item.group, item.task) for item in items}) == len(items)
    assert all(item.work and item.proof and item.proof <= item.tasks for item in items)
    covered = {assembly for item in items for assembly in item.assemblies}
    assert set(built_in().assemblies) - covered == {"shop"}


@pytest.mark.parametrize(("text", "said"), [
    ("row,group,task,assemblies\n1,a,b,wing\n", "lacks the column tasks"), ("", "lacks the column"),
    ("row,group,task,assemblies,tasks\n1,a,b,wings,rivet\n", "wings is no id"),
    ("row,group,task,assemblies,tasks\n1,a,b,wing,\n", "tasks is empty"),
    ("row,group,task,assemblies,tasks\n1,a,b,wing,rivet\n1,a,c,wing,rivet\n", "stands twice"),
    ("row,group,task,assemblies,tasks,work\n1,a,b,wing,rivet,mine\n", "work is mine")])
def test_a_checklist_that_cannot_be_used_says_why(tmp_path: Path, text: str, said: str) -> None:
    (tmp_path / "c.csv").write_text(text)
    with pytest.raises(WorksheetError, match=said):
        checklist.load(tmp_path / "c.csv")


def test_another_authoritys_checklist_takes_its_place(tmp_path: Path, run: Callable[..., Any]) -> None:
    journal = made_journals.database(tmp_path / "j", [session(RIB)])
    (tmp_path / "mine.csv").write_text("row,group,task,assemblies,tasks\n1.1,Rudder,Ribs,rudder,cut|bend\n")
    value = json.loads(run("evidence", journal.root, "--gaps", "--checklist", tmp_path / "mine.csv", "--json").stdout)
    assert value["worksheet"]["unproven_at_zero"] == {"rows": 1, "unproven": 1, "share": "0.0"}  # nothing proposed
    assert not [gap for gap in value["gaps"] if gap["kind"] == "row without evidence"]


@pytest.mark.parametrize(("part", "takes"), [
    ("rudder rib", True), ("ribs", True), ("rib", True), ("rib template", False), ("tip rib", True), (None, False),
    ("skin", False)])
def test_a_row_takes_a_part_by_its_last_word(part: str | None, takes: bool) -> None:
    item = next(item for item in checklist.load() if item.row == ROW)
    assert item.takes({"task": "cut", "assembly": "rudder", "part": part}) is takes


@pytest.mark.parametrize(("acts", "state"), [
    ([RIB], "proposed"), ([], "not shown"), ([{**RIB, "task": "deburr"}], "shown in part"),
    ([{**RIB, "status": "planned"}], "not shown"), ([{**RIB, "status": "not-done"}], "not shown"),
    ([{**RIB, "status": "advice", "who": None}], "not shown"), ([{**RIB, "who": "helper"}], "helpers only"),
    ([{**RIB, "who": "paid"}], "others’ work too"), ([{**RIB, "who": "maker"}], "others’ work too"),
    ([RIB, {**RIB, "who": "paid", "task": "bend"}], "others’ work too"),
    ([RIB, {**RIB, "who": "maker", "task": "drill", "assembly": None}], "others’ work too"),
    ([RIB, {**RIB, "who": "paid", "task": "weld", "part": "rudder"}], "others’ work too"),
    ([RIB, {**RIB, "who": "paid", "task": "weld", "part": None}], "others’ work too"),
    ([RIB, {**RIB, "who": "paid", "assembly": "wing", "part": "wing rib"}], "proposed"),
    ([{**RIB, "date": "2025-03~"}], "day is vague"), ([{**RIB, "date": "../2025-03-07"}], "day is vague"),
    ([{**RIB, "confidence": 0.6}], "not sure"), ([{**RIB, "doubts": ("cut or cup?",)}], "not sure"),
    ([{**RIB, "side": "left"}], "only the left side"), ([{**RIB, "side": "both"}], "proposed"),
    ([RIB, {**RIB, "status": "not-done", "part": "rudder spar"}], "parts said not done"),
    ([RIB, {**RIB, "task": "remove"}], "undone since")])
def test_only_what_is_plain_is_proposed(tmp_path: Path, acts: list[Act], state: str) -> None:
    _, sheet, _ = built(tmp_path / "j", [session(*acts)] if acts else [])
    line = row_of(sheet)
    assert line.state == state
    assert line.proposed == ({"maker": 0, "commercial": 0, "assembly": 0, "fabrication": 10} if state == "proposed"
                             else None)


@pytest.mark.parametrize("letter", ["a", "b", "e", "f"])
def test_nothing_but_the_builders_own_work_counts_by_the_labels(tmp_path: Path, letter: str) -> None:
    """By the labels of the guide, not by what the program made of the words: what the worksheet takes for a row's own
    work was performed by the builder or unpaid help, and a proposal stands on the builder's alone."""
    file = GOLD / f"dev-{letter}.json"
    if not file.is_file():
        pytest.skip("the labelled narrations are not here")
    text = file.read_text(encoding="utf-8")
    labels = [label for said in json.loads(text)["sessions"] for label in said["acts"]]
    performed = [label for label in labels if label["status"] in ("done", "doing")]
    found, sheet, _ = built(tmp_path / "j", made_journals.labelled(text))
    assert len(found.builders) == sum(label["who"] == "builder" for label in performed)
    assert len(found.performed) == len(performed)
    assert [line for line in sheet.lines if line.own]
    for line in sheet.lines:
        mine = [label for label in performed if label["who"] in ("builder", "helper") and line.item.takes(label)]
        others = [label for label in performed if label["who"] in ("paid", "maker") and line.item.takes(label)]
        assert (line.own, line.others) == (len(mine), len(others)), line.row
        if line.proposed:
            assert not others and any(label["who"] == "builder" for label in mine), line.row


@pytest.mark.parametrize("change", [
    {"who": "paid"}, {"who": "maker"}, {"status": "planned", "date": None}, {"status": "not-done", "date": None},
    {"status": "advice", "who": None, "date": None}], ids=lambda change: "-".join(map(str, change.values())))
@pytest.mark.parametrize("letter", ["a", "b", "e", "f"])
def test_the_same_labels_by_others_or_undone_give_the_builder_nothing(tmp_path: Path, letter: str, change: Act) -> None:
    file = GOLD / f"dev-{letter}.json"
    if not file.is_file():
        pytest.skip("the labelled narrations are not here")
    told = [dataclasses.replace(said, records={"acts": [{**act, **change} for act in said.records["acts"]]})
            for said in made_journals.labelled(file.read_text(encoding="utf-8"))]
    found, sheet, _ = built(tmp_path / "j", told)
    assert found.builders == [] and not any(line.own or line.proposed for line in sheet.lines)
    assert sheet.with_proposals().rows == 0 and sheet.proven_only()[0] == 0


def test_figures_of_the_builder_for_unproven_rows_count_for_nothing_there(tmp_path: Path) -> None:
    """A journal where he claims everything and shows one row: one of all rows is proven."""
    journal = made_journals.database(tmp_path / "j", [session(RIB)])
    items = checklist.load()
    (journal.root / "worksheet.csv").write_text(
        "row,fabrication\n" + "".join(f"{item.row},1\n" for item in items), encoding="utf-8")
    db = open_to_read(journal.database)
    sheet = payload.prepare(journal, db, Choice())[2]
    db.close()
    assert sheet.as_set().share == Decimal("100.0")
    assert sheet.proven_only() == (worksheet.percent(1, len(items)), len(items) - 1)
