"""What the pages are made of, by values: words, the strip, charts, forms, parts, ledgers, the order of checking."""
from __future__ import annotations

import csv
import io
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import made_journals
import pytest
from made_journals import Told
from sqlite_utils import Database

pytest.importorskip("datasette")

from witnessmark import words
from witnessmark.answers import page_ask, page_check, page_days, page_ledgers, page_parts, page_why
from witnessmark.answers.asking import lexicon_of
from witnessmark.model import Settings
from witnessmark.serving import charts, forms, rules, spelling, strip
from witnessmark.store import open_to_read
from witnessmark.trade.vocabulary import built_in

DONE: dict[str, Any] = {"status": "done", "who": "builder", "assembly": "wing"}
TOLD = [
    Told("2024-03-09T16:00:00-07:00",
         [(0, 5, "Cut the tip rib."), (5, 10, "Primed the left spar."), (10, 15, "A crack.")],
         {"acts": [{"cue": 0, "task": "cut", "part": "tip rib", "date": "2024-03-09", **DONE},
                   {"cue": 1, "task": "prime", "part": "wing spar", "side": "left", "date": "2024-03-06~", **DONE}],
          "open_items": [{"cue": 2, "kind": "to-fix", "part": "tip rib", "task": "cut", "assembly": "wing"}],
          "hours": [{"cue": 0, "low": 2.0, "high": 3.0, "scope": "session", "who": "builder", "date": "2024-03-09",
                     "counted": True}],
          "purchases": [{"cue": 1, "item": "=SUM(A1)", "category": "tool", "status": "bought", "amount_low": 36.0,
                         "amount_high": 36.0, "quantity": 2.0, "doubts": ("18 or 80?",), "confidence": 0.6},
                        {"cue": 2, "item": "reamer", "category": "tool", "status": "returned", "amount_low": 10.0,
                         "amount_high": 10.0}]}, video=True),
    Told("2024-04-20T10:00:00-06:00",
         [(0, 5, "Cut it anew."), (5, 10, "They sprayed it."), (10, 15, "I will prime it.")],
         {"acts": [{"cue": 0, "task": "cut", "part": "new tip rib", "date": "2024-04-20", **DONE},
                   {"cue": 1, "task": "paint", "part": "spar", "assembly": "wing", "status": "done", "who": "paid",
                    "person": "the shop", "date": "../2024-04-19", "confidence": 0.5},
                   {"cue": 2, "task": "prime", "part": "tip rib", "assembly": "wing", "status": "planned",
                    "who": "builder", "confidence": 0.5},
                   {"cue": 0, "task": "drill", "part": "spar", "date": "2024-04-20", "confidence": 0.5, **DONE}]}),
]


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    journal = made_journals.database(tmp_path_factory.mktemp("values") / "journal", TOLD)
    found = open_to_read(journal.database)
    yield found
    found.close()


@pytest.mark.parametrize(("edtf", "said"), [
    ("2024-03-09", "9 March 2024"), ("2024-03-06~", "about 6 March 2024"), ("2024-03", "March 2024"), ("2024", "2024"),
    ("2024-21", "spring 2024"), ("../2024-03-08", "8 March 2024 or earlier"),
    ("2024-03-02/..", "2 March 2024 or later"),
    ("2024-03-02/2024-03-03", "2 March 2024 to 3 March 2024"), (None, "no date")])
def test_date_is_said_no_more_exactly_than_it_is(edtf: str | None, said: str) -> None:
    assert words.date(edtf) == said


def test_every_task_has_a_past() -> None:
    assert words.DONE.keys() == built_in().tasks.keys()


def test_ranges_stay_ranges() -> None:
    assert words.hours(2, 3) == "2 to 3 hours" and words.hours(1, 1) == "1 hour"
    assert words.hours(1.5, 1.5) == "1.5 hours"
    assert words.span(10, 11) == "10.00 to 11.00" and words.span(1234.5, 1234.5) == "1,234.50"
    assert words.clock(3725) == "1:02:05" and words.clock(65) == "1:05" and words.clock(None) == "0:00"


def test_others_work_is_never_the_builders() -> None:
    assert words.who({"who": "paid", "person": "the shop"}) == "the shop, for hire"
    assert words.who({"who": "maker", "person": None}) == "maker of the kit or part"
    act = {"task": "paint", "part": "spar", "status": "done", "who": "paid", "person": None, "date": "2024-03"}
    assert forms.said("acts", act) == "Spar: painted March 2024, for hire, by nobody named."
    assert "planned, not done" in forms.said("acts", {**act, "status": "planned"})
    assert words.by({"who": "helper", "person": None}) == "by an unpaid helper"
    assert words.by({"who": "paid", "person": "the shop"}) == "by the shop, for hire"
    assert not [kind for kind in ("helper", "paid", "maker", None) if words.by({"who": kind}) == "by the builder"]


def test_caution_stands_where_harmful_work_is_ahead() -> None:
    assert "data sheet" in words.caution([{"task": "rivet"}, {"task": "paint"}])
    assert words.caution([{"task": "rivet"}, {"task": None}]) == ""
    assert not words.HARMFUL - built_in().tasks.keys()


def test_bars_count_only_what_was_done_on_that_day(db: Database) -> None:
    bars = {row["day"]: row for row in page_days.bars(db)}
    assert (bars["2024-03-09"]["own"], bars["2024-03-09"]["low"], bars["2024-03-09"]["high"]) == (1, 2.0, 3.0)
    assert bars["2024-03-06"]["own"] == 1, "about a day stands on that day"
    assert (bars["2024-04-20"]["own"], bars["2024-04-20"]["others"]) == (2, 0), "nor the plan, nor the open date"
    assert [row["month"] for row in page_days.months(page_days.bars(db))] == ["2024-03", "2024-04"]
    assert [act["who"] for act in page_days.inexact(db)] == ["paid"]


def test_day_keeps_apart_what_was_done_told_and_only_said(db: Database) -> None:
    found = page_days.day(db, "2024-04-20")
    assert found is not None
    assert {act["task"] for act in found["done"]} == {"cut", "drill"}
    assert [act["task"] for act in found["told"]] == ["paint"]
    assert [act["status"] for act in found["not_done"]] == ["planned"]
    assert found["before"] == "2024-03-09" and found["after"] is None
    assert page_days.day(db, "2024-04-21") is None


def test_strip_leads_to_every_day_once_and_covers_its_width(db: Database) -> None:
    drawn = strip.draw(page_days.bars(db))
    assert drawn is not None
    root = ET.fromstring(str(drawn["svg"]))
    links = root.findall("a")
    assert [link.get("href") for link in links] == ["/days/2024-03-06", "/days/2024-03-09", "/days/2024-04-20"]
    fields = [link.find("rect") for link in links]
    covered = sum(float(field.get("width", 0)) for field in fields if field is not None)
    assert covered == pytest.approx(strip.WIDE, abs=0.1)
    assert [label["href"] for label in drawn["labels"]] == ["/days/2024-03", "/days/2024-04"]
    assert strip.draw([]) is None


def test_strip_of_a_long_build_leads_to_months_and_stays_small() -> None:
    days = [{"day": f"{year}-{month:02}-{day:02}", "own": 2, "others": 1, "hours": 3, "pictures": 1, "clips": 1}
            for year in range(2015, 2025) for month in range(1, 13) for day in range(1, 29)]
    drawn = strip.draw(days, "2019-05")
    assert drawn is not None and len(drawn["svg"]) < 250_000
    links = [link.get("href") for link in ET.fromstring(str(drawn["svg"])).findall("a")]
    assert len(links) == 120 and links[0] == "/days/2015-01" and links[-1] == "/days/2024-12"
    assert [label["text"] for label in drawn["labels"]] == [str(year) for year in range(2015, 2025)]
    assert sum(label["parts"] for label in drawn["labels"]) == 120


@pytest.mark.parametrize("by_size", [False, True])
def test_chart_stands_in_a_page_without_style_and_its_bars_lead_on(by_size: bool) -> None:
    drawn = charts.bars("Hours", "By month.", [
        charts.Bar("March 2024", "/hours?only=2024-03#lines", 2.0, 3.0, 0.5),
        charts.Bar("<April>", "/hours?only=2024-04#lines", 1.0, 1.0)], "hours", by_size)
    roots = list(ET.fromstring(f"<div>{drawn}</div>"))
    assert len(roots) == 2
    ids: list[str] = []
    for root in roots:
        assert not [one for one in root.iter() if "style" in one.attrib or one.tag.endswith("}style")]
        assert {one.get("href") for one in root.iter() if one.tag.endswith("}a")} == {
            "/hours?only=2024-03#lines", "/hours?only=2024-04#lines"}
        labels = {one.get("aria-label") for one in root.iter() if one.tag.endswith("}a")}
        assert labels == {"March 2024: 2 to 3 hours, 0.5 of it by others", "<April>: 1 hours"}
        assert root[0].text == "Hours" and root[1].text == "By month."
        ids += [one.attrib["id"] for one in root.iter() if "id" in one.attrib]
    assert len(ids) == len(set(ids)), "two drawings in one page share no id"
    assert charts.bars("Hours", "", (), "hours") == ""


def test_chart_keeps_the_builders_hours_apart_from_those_of_others() -> None:
    bar = charts.Bar("May", "/hours?only=5#lines", 22.0, 24.0, 12.0)
    root = ET.fromstring(str(charts.bars("Hours", "", [bar], "hours")).partition("</svg>")[0] + "</svg>")
    heights = {}
    for link in root.iter(f"{{{charts.SVG}}}a"):
        for path in link.iter(f"{{{charts.SVG}}}path"):
            ends = [float(y) for y in re.findall(r"[ML] [\d.]+ ([\d.]+)", path.attrib["d"])]
            heights[path.attrib["class"]] = max(ends) - min(ends)
    own, others, more = (heights[name] for name in ("fill-bar", "fill-others", "stroke-range"))
    assert others / own == pytest.approx(12 / 10, rel=0.01) and more / own == pytest.approx(2 / 10, rel=0.01)


def test_long_chart_by_size_shows_the_largest_first() -> None:
    found = [charts.Bar(f"vendor {at}", f"/money?only={at}", at, at) for at in range(1, 60)]
    drawn = str(charts.bars("Money", "", found, "USD", by_size=True)).partition("</svg>")[0]
    shown = re.findall(r'href="/money\?only=(\d+)"', drawn)
    assert shown == [str(at) for at in range(59, 59 - charts.MOST_GROUPS, -1)]


@pytest.mark.parametrize(("one", "other", "assembly", "same"), [
    ("rudder rib", "rib", "rudder", True), ("ribs", "rib", "rudder", True), ("tip rib", "rib", "rudder", False),
    ("new tip rib", "tip rib", "wing", True), ("left flap", "flap", "flap", True), ("flap", "flap skin", "flap", False),
    ("elevator horn", "horn", "rudder", False)])
def test_names_of_one_part(one: str, other: str, assembly: str, same: bool) -> None:
    assert (page_parts.key(one, assembly) == page_parts.key(other, assembly)) is same


def test_designation_keeps_its_spelling() -> None:
    assert page_parts.label("an3 5a", "AN3-5A") == "AN3-5A" and page_parts.label("rib", "rudder ribs") == "rib"


def test_parts_of_which_the_most_is_told_are_listed_by_name() -> None:
    parts = [{"name": name, "acts": acts, "open": opened} for name, acts, opened in
             [("tip", 1, 0), ("rib", 5, 0), ("spar", 0, 3), ("skin", 0, 0)]]
    assert [part["name"] for part in page_parts.most_told(parts, 2)] == ["rib", "spar"]


def test_remade_part_is_one_history(db: Database) -> None:
    found = page_parts.part(db, "tip ribs", "wing")
    assert found is not None
    assert [(act["task"], act["status"]) for act in found["history"]] == [("cut", "done"), ("cut", "done"),
                                                                          ("prime", "planned")]
    assert [act["again"] for act in found["history"]] == ["", "made after a defect: a new piece from here on", ""]
    assert [row["task"] for row in found["summary"]] == ["cut"] and found["summary"][0]["times"] == 2
    assert page_parts.part(db, "longeron", "wing") is None
    whole = page_parts.assembly(db, "wing")
    assert whole is not None and {part["name"] for part in whole["parts"]} == {"tip rib", "spar"}


def test_money_stands_in_the_month_of_its_telling_and_returns_are_taken_off(db: Database) -> None:
    found = page_ledgers.money(db, "month")
    assert found["groups"] == [{"month": "2024-03", "low": 26.0, "high": 26.0, "unpriced": 0}]
    assert [line["item"] for line in page_ledgers.money(db, "category", "tool")["lines"]] == ["=SUM(A1)", "reamer"]
    assert page_ledgers.money(db, "category", "kit")["lines"] == []


def test_csv_is_read_back_and_holds_no_formula(db: Database) -> None:
    text = page_ledgers.all_lines(db, "money")
    rows = list(csv.DictReader(io.StringIO(text)))
    assert text.count("\r\n") == len(rows) + 1  # RFC 4180: lines end with CRLF
    assert [row["item"] for row in rows] == ["'=SUM(A1)", "reamer"]
    assert [row["low"] for row in rows] == ["36.0", "-10.0"]
    assert next(csv.DictReader(io.StringIO(page_ledgers.all_lines(db, "hours"))))["high"] == "3.0"


def test_worst_claim_comes_first(db: Database) -> None:
    found = page_check.unsure(db)
    order = [(row["kind"], row["record"].get("task") or row["record"].get("item"))
             for row in [found["first"], *found["following"]]]
    assert order[0] == ("purchases", "=SUM(A1)"), "a doubt in words, of money spent"
    assert order[1] == ("acts", "drill"), "then what the builder is said to have done"
    assert set(order[2:]) == {("acts", "paint"), ("acts", "prime")} and found["count"] == 4
    assert page_check.unsure(db, skip=99)["at"] == 3


def test_readings_offered_are_those_in_doubt(db: Database) -> None:
    row = page_check.unsure(db)["first"]["record"]
    assert forms.amounts_of(row) == [36.0, 160.0], "each of two cost 18 or 80"
    offered = forms.readings("purchases", row)
    assert offered[0] == {"label": "160.00", "do": "change", "to": {"amount_low": "160", "amount_high": "160"},
                          "key": "1"}
    act = {"status": "done", "who": "builder"}
    assert [one["label"] for one in forms.readings("acts", act)][:3] == ["Only planned", "Not done", "Only advice"]
    assert all(one["to"].get("status") != "done" or one["to"].get("who") != "builder"
               for one in forms.readings("acts", act))


@pytest.mark.parametrize(("doubt", "asked", "offered"), [
    ("18 or 80?", "Was it “18”, or “80”?", ["80.00"]), ("$18 or $80?", "Was it “$18”, or “$80”?", ["80.00"]),
    ("$1,340 or $1,314?", "Was it “$1,340”, or “$1,314”?", ["1,340.00", "1,314.00"]),
    ('"$18" was heard as "$1.8": is $18 right?', '"$18" was heard as "$1.8": is $18 right?', ["1.80"]),
    ("two or to or too?", "Was it “two”, or “to”, or “too”?", []),
    ("is this said of the rib?", "Is this said of the rib?", [])])
def test_figures_in_doubt_are_asked_about_and_offered(doubt: str, asked: str, offered: list[str]) -> None:
    row = {"doubts": [doubt], "amount_low": 18.0, "amount_high": 18.0, "quantity": None, "status": "bought"}
    assert forms.question("purchases", row) == asked
    amounts = [one["label"] for one in forms.readings("purchases", row) if "amount_low" in one["to"]]
    assert amounts == offered


def test_every_offered_reading_is_one_that_corrections_take() -> None:
    from witnessmark.pipeline.correct import value_of

    blank = {"status": "", "who": None, "doubts": ["18 or 80?"], "amount_low": None, "amount_high": None,
             "quantity": None, "low": 1.0, "high": 2.0, "counted": 1, "kind": ""}
    for kind in ("acts", "hours", "purchases", "open_items"):
        for reading in forms.readings(kind, blank):
            for name, text in reading["to"].items():
                value_of(kind, name, text)


def test_why_names_words_rules_and_fields(db: Database) -> None:
    identity = next(db.query("SELECT id FROM acts WHERE task = 'paint'"))["id"]
    found = page_why.why(db, identity)
    assert found is not None and found["kind"] == "acts" and found["record"]["quote"] == "They sprayed it."
    assert "status" in found["fields"] and "quote" not in found["fields"] and found["corrections"] == []
    assert rules.plain("time-yesterday") == "the date comes from words of time (yesterday)"
    assert page_why.why(db, "0" * 12) is None


def test_question_is_answered_by_its_record(db: Database, tmp_path: Path) -> None:
    found = page_ask.ask(db, "when was the left wing spar primed?", Settings())
    assert [(line["date"], line["who"]) for line in found["answers"]] == [("2024-03-06~", "builder")]
    identity = next(db.query("SELECT id FROM acts WHERE task = 'prime' AND status = 'done'"))["id"]
    assert found["answers"][0]["id"] == identity
    painted = page_ask.ask(db, "when was the spar painted", Settings())["answers"]
    assert [line["who"] for line in painted] == ["paid"]
    planned = page_ask.ask(db, "when was the tip rib primed", Settings())
    assert planned["answers"] == [] and len(planned["only_planned"]) == 1
    assert page_ask.ask(db, "  ", Settings())["hits"] == []


ASKED = [Told("2024-05-04T16:00:00-06:00",
              [(0, 5, "Riveted."), (5, 10, "They riveted."), (10, 15, "The other one."), (15, 20, "I will rivet it."),
               (20, 25, "The primer is cold.")],
              {"acts": [{"cue": cue, "task": "rivet", "part": "aileron skin", "assembly": "aileron", **fields}
                        for cue, fields in enumerate([
                            {"side": "left", "status": "done", "who": "builder", "date": "2024-05-04"},
                            {"side": "left", "status": "done", "who": "paid", "date": "2024-05-01"},
                            {"side": "right", "status": "done", "who": "builder", "date": "2024-05-02"},
                            {"side": "left", "status": "planned", "who": "builder"}])]})]


def test_near_misses_stand_apart_from_the_answer(tmp_path: Path) -> None:
    journal = made_journals.database(tmp_path / "asked", ASKED)
    asked = open_to_read(journal.database)
    found = page_ask.ask(asked, "when was the left aileron skin riveted?", Settings())
    assert [(line["date"], line["who"]) for line in found["answers"]] == [("2024-05-04", "builder")]
    assert [(line["date"], line["who"]) for line in found["by_others"]] == [("2024-05-01", "paid")]
    assert [line["status"] for line in found["only_planned"]] == ["planned"]
    assert [(line["side"], line["reason"]) for line in found["near"]] == [("right", "the other side")]
    assert found["clip"]["path"] == ASKED[0].path
    words_only = page_ask.ask(asked, "primer", Settings())
    assert words_only["asked"] is None and [hit["text"] for hit in words_only["hits"]] == ["The primer is cold."]
    assert page_ask.ask(asked, "when did I work on the left aileron skin?", Settings())["answers"]
    asked.close()


def test_long_recording_shows_the_words_around_the_second(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_days, "MOST_CUES", 10)
    cues = [(at * 5.0, at * 5.0 + 5, f"line {at}") for at in range(25)]
    journal = made_journals.database(tmp_path / "long", [Told("2024-05-04T16:00:00-06:00", cues)])
    long = open_to_read(journal.database)
    identity = next(long.query("SELECT id FROM sources"))["id"]
    shown = page_days.clip(long, identity, at=62.0)
    assert shown is not None
    assert [cue["number"] for cue in shown["cues"]] == list(range(10, 20))
    assert (shown["earlier"], shown["later"]) == (0.0, 100.0)
    first, last = page_days.clip(long, identity), page_days.clip(long, identity, at=9999.0)
    assert first is not None and (first["earlier"], first["later"], len(first["cues"])) == (None, 50.0, 10)
    assert last is not None and (last["earlier"], last["later"], len(last["cues"])) == (50.0, None, 5)
    day = page_days.day(long, "2024-05-04")
    assert day is not None and day["clips"][0]["has_more"]
    long.close()


def test_pictures_of_a_month_are_spread_over_its_days() -> None:
    rows = [{"day": f"2024-05-{day:02}", "nth": nth} for day in (1, 9) for nth in range(1, 9)]
    chosen = page_days.chosen(rows, 5)
    assert [(row["day"][-2:], row["nth"]) for row in chosen] == [("01", 1), ("01", 2), ("01", 3), ("09", 1), ("09", 2)]
    many = [{"day": f"2024-05-{day:02}", "nth": 1} for day in range(1, 31)]
    assert [row["day"][-2:] for row in page_days.chosen(many, 5)] == ["01", "08", "15", "23", "30"]


def test_spellings_are_taught_only_of_things() -> None:
    lexicon = lexicon_of(Settings())
    repaired = {"heard": "I got the boxy primer, aching dollars, and matched drilled it",
                "text": "I got the epoxy primer, eighteen dollars, and match drilled it"}
    assert spelling.of_repair(repaired, lexicon) == [{"heard": "boxy", "meant": "epoxy", "kind": "consumables"}]
    assert spelling.of_repair({"heard": None, "text": "a rib"}, lexicon) == []
    assert spelling.of_record("purchases", {"item": "plating", "category": "service"}) is None
    assert spelling.of_record("purchases", {"item": "reamer", "category": "tool"}) == {
        "field": "item", "word": "reamer", "kind": "tools"}
    assert spelling.of_record("hours", {"low": 1}) is None and spelling.of_record("acts", {"part": None}) is None
