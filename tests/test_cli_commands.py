"""Every command: its answer, as a table and as JSON; refusals as one sentence; exit codes."""
from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click.testing
import made_journals
import pytest
from made_journals import Told, say

from witnessmark.cli import COMMANDS, main

Run = Callable[..., click.testing.Result]
FIRST = "2025-03-09T16:40:00-06:00"
TOLD = [
    Told(FIRST, [(0, 5, "I primed the left flap rib."), (65, 70, "Three hours. A rivet gun, ninety dollars.")], {
        "acts": [{"cue": 0, "task": "prime", "part": "flap rib", "side": "left", "assembly": "flap",
                  "date": "2025-03-09", "rules": ("past",)}],
        "hours": [{"cue": 1, "low": 3, "high": 3.5, "scope": "session", "who": "builder", "date": "2025-03-09",
                   "counted": True}],
        "purchases": [{"cue": 1, "item": "rivet gun", "category": "tool", "status": "bought", "amount_low": 90,
                       "amount_high": 90, "date": "2025-03-09"}]}),
    Told("2025-03-20T20:00:00-06:00", [(0, 5, "I still need to paint the rudder.")], {
        "acts": [{"cue": 0, "task": "paint", "part": "rudder", "assembly": "rudder", "status": "planned"}],
        "open_items": [{"cue": 0, "kind": "to-do", "task": "paint", "part": "rudder", "assembly": "rudder"}]})]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return made_journals.database(tmp_path / "journal", TOLD).root


def as_json(result: click.testing.Result) -> Any:
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_every_command_is_there_and_has_help(run: Run) -> None:
    told = run("--help").output
    for name in COMMANDS:
        assert name in told
        assert run(name, "--help").exit_code == 0
        assert "--json" in run(name, "--help").output or name == "serve"


def test_records_have_the_published_form(run: Run, folder: Path) -> None:
    sessions = as_json(run("records", folder, "--json"))["sessions"]
    assert [session["source"] for session in sessions] == ["20250309_164000.vtt", "20250320_200000.vtt"]
    first = sessions[0]
    assert first["recorded"] == FIRST
    assert first["cues"][1] == {"start": 65.0, "end": 70.0, "text": TOLD[0].cues[1][2]}
    act = first["acts"][0]
    names = ("task", "part", "side", "assembly", "status", "who", "date", "start", "end")
    assert {name: act[name] for name in names} == {
        "task": "prime", "part": "flap rib", "side": "left", "assembly": "flap", "status": "done", "who": "builder",
        "date": "2025-03-09", "start": 0.0, "end": 5.0}
    assert act["quote"] and act["confidence"] == 1.0 and act["rules"] == ["past"]
    assert first["hours"][0]["counted"] is True and first["hours"][0]["approx"] is False
    only = as_json(run("records", folder, "--source", "20250320_200000.vtt", "--json"))["sessions"]
    assert [session["source"] for session in only] == ["20250320_200000.vtt"]


def test_when_tells_the_day_and_the_clip(run: Run, folder: Path) -> None:
    found = as_json(run("when", folder, "when was the left flap rib primed?", "--json"))
    assert [(line["date"], line["source"], line["start"]) for line in found["answers"]] == [
        ("2025-03-09", "20250309_164000.vtt", 0.0)]
    assert "2025-03-09" in run("when", folder, "flap", "rib", "primed").output


def test_when_a_thing_was_only_planned_it_says_so(run: Run, folder: Path) -> None:
    found = as_json(run("when", folder, "when was the rudder painted", "--json"))
    assert found["answers"] == [] and found["only_planned"][0]["source"] == "20250320_200000.vtt"
    assert "only planned" in run("when", folder, "when was the rudder painted").output


@pytest.mark.parametrize(("words", "source", "start"), [
    ("flap rib", "20250309_164000.vtt", 0.0), ("priming ribs", "20250309_164000.vtt", 0.0),
    ('"rivet gun"', "20250309_164000.vtt", 65.0), ("painting rudder", "20250320_200000.vtt", 0.0)])
def test_find_leads_to_the_second(run: Run, folder: Path, words: str, source: str, start: float) -> None:
    hits = as_json(run("find", folder, words, "--json"))["hits"]
    assert (hits[0]["source"], hits[0]["start"]) == (source, start)


def test_find_takes_another_word_of_the_trade_for_the_same_thing(run: Run, tmp_path: Path) -> None:
    told = Told(FIRST, [(0, 5, "The nutplates came out well."), (5, 10, "I shot the last of the rivets.")])
    folder = made_journals.database(tmp_path / "journal", [told]).root
    found = as_json(run("find", folder, "anchor nut", "--json"))
    assert found["hits"][0]["start"] == 0.0 and found["hits"][0]["exact"] is False
    assert "nutplate" in found["sought"]["anchor nut"]


@pytest.mark.parametrize("words", ['"', "AND", "a OR", "NEAR(", "*", "'; DROP TABLE acts; --", "ÿ", "-x", "the"])
def test_find_takes_any_words(run: Run, folder: Path, words: str) -> None:
    assert run("find", folder, "--", words).exit_code == 0


def test_ledgers(run: Run, folder: Path) -> None:
    hours = as_json(run("hours", folder, "--json"))
    assert hours["who"] == {"builder": [3.0, 3.5]} and hours["groups"][0]["month"] == "2025-03"
    assert "3.00 to 3.50" in run("hours", folder, "--lines").output
    spend = as_json(run("spend", folder, "--by", "category", "--json"))
    assert spend["groups"] == [{"category": "tool", "low": 90.0, "high": 90.0, "unpriced": 0}]
    assert "rivet gun" in run("spend", folder, "--lines").output
    jobs = as_json(run("open", folder, "--json"))
    assert [(line["kind"], line["part"]) for line in jobs["lines"]] == [("to-do", "rudder")]
    assert "rudder" in run("open", folder).output
    assert run("hours", folder, "--by", "colour").exit_code == 2


def test_explain_gives_words_rules_and_corrections(run: Run, folder: Path) -> None:
    identity = as_json(run("records", folder, "--json"))["sessions"][0]["acts"][0]["id"]
    as_json(run("correct", folder, identity, "task=paint", "--why", "colour coat", "--json"))
    found = as_json(run("explain", folder, "20250309_164000.vtt@0:01", "--json"))
    (record,) = found["cues"][0]["records"]
    assert record["rules"] == ["past"] and record["because"][0]
    assert record["corrections"][0]["to"] == {"task": "paint"}
    shown = run("explain", folder, "20250309_164000.vtt").output
    assert "flap rib" in shown and "colour coat" in shown
    assert run("explain", folder, "nowhere.mp4").exit_code == 1


def test_correct_and_undo(run: Run, folder: Path) -> None:
    identity = as_json(run("records", folder, "--json"))["sessions"][0]["acts"][0]["id"]
    done = as_json(run("correct", folder, identity, "status=planned", "--json"))
    assert as_json(run("when", folder, "flap rib primed", "--json"))["answers"] == []
    assert done["id"] in run("correct", folder, "--list").output
    as_json(run("correct", folder, "--undo", done["id"], "--json"))
    assert as_json(run("when", folder, "flap rib primed", "--json"))["answers"]
    assert run("correct", folder).exit_code == 2
    for words in (("nothing", "task=paint"), (identity, "task"), (identity,), ("--undo", "nothing")):
        result = run("correct", folder, *words)
        assert result.exit_code == 1 and result.stderr.startswith("witnessmark: ")


def test_new_asks_for_what_it_is_not_given(run: Run, tmp_path: Path) -> None:
    answers = "The tail\nReed Plover, wood\nEurope/Oslo\nNOK\nLiv, Per\n"
    assert run("new", tmp_path / "a", input=answers).exit_code == 0
    text = (tmp_path / "a" / "journal.toml").read_text()
    assert 'timezone = "Europe/Oslo"' in text and 'builders = ["Liv", "Per"]' in text
    given = ("--title", "T", "--aircraft", "A", "--timezone", "UTC", "--currency", "EUR", "--builder", "Mary Ann")
    assert as_json(run("new", tmp_path / "b", *given, "--json"))["written"].endswith("journal.toml")
    assert run("new", tmp_path / "b", *given).exit_code == 1
    assert run("index", tmp_path / "b").exit_code == 0


def test_index_says_what_it_did_and_what_there_is(run: Run, journal_folder: Path) -> None:
    say(journal_folder, FIRST, "I primed the left flap rib.")
    (journal_folder / "bad.mp4").write_bytes(b"nothing")
    first = run("index", journal_folder)
    assert first.exit_code == 0
    assert "2 new" in first.output and "bad.mp4" in first.output and "acts: 1 by the builder" in first.output
    assert "Nothing new" in run("index", journal_folder).output
    assert as_json(run("index", journal_folder, "--json"))["nothing_new"] is True


def test_export_and_doctor(run: Run, folder: Path, tmp_path: Path) -> None:
    as_json(run("export", folder, "records", "--out", tmp_path / "out.json", "--json"))
    assert json.loads((tmp_path / "out.json").read_text())["sessions"]
    assert run("export", folder, "stone", "--out", tmp_path / "x").exit_code == 1
    (folder / "register.jsonl").write_text("nonsense\n")
    found = as_json(run("doctor", folder, "--json"))
    assert any("register.jsonl, line 1" in name for name in found["problems"])
    assert as_json(run("doctor", folder / "none", "--json"))["problems"]
    assert run("doctor").exit_code == 0


@pytest.mark.parametrize("command", [name for name in COMMANDS if name not in ("new", "doctor")])
def test_no_journal_is_one_sentence_and_exit_code_1(run: Run, tmp_path: Path, command: str) -> None:
    more = {"find": ("x",), "when": ("x",), "explain": ("x",), "correct": ("x", "a=b"),
            "export": ("records", "--out", tmp_path / "o"), "evidence": ("--out", tmp_path / "e")}.get(command, ())
    for place in (tmp_path, tmp_path / "missing"):
        result = run(command, place, *more)
        assert result.exit_code == 1
        assert result.stderr.startswith("witnessmark: ") and result.stderr.count("\n") == 1


def test_a_journal_that_was_not_indexed_says_what_to_run(run: Run, journal_folder: Path) -> None:
    result = run("hours", journal_folder)
    assert result.exit_code == 1 and "witnessmark index" in result.stderr


def test_a_fault_of_the_program_is_a_sentence_and_a_log(run: Run, folder: Path,
                                                        monkeypatch: pytest.MonkeyPatch) -> None:
    from witnessmark.answers import ledgers

    def fail(*_: Any) -> None:
        raise RuntimeError("inside")

    monkeypatch.setattr(ledgers, "hours", fail)
    monkeypatch.setattr(sys, "argv", ["witnessmark", "hours", str(folder)])
    result = run("hours", folder)
    assert result.exit_code == 1
    assert "Traceback" not in result.output and result.stderr.count("\n") == 1
    assert "RuntimeError: inside" in (folder / ".witnessmark" / "faults.log").read_text()


def test_commands_that_need_no_language_do_not_load_it(folder: Path) -> None:
    """The language model takes seconds to load; a ledger must not wait for it."""
    for words in (["hours"], ["spend"], ["open"], ["records"]):
        code = ("import sys; from witnessmark.cli import main; main(sys.argv[1:], standalone_mode=False); "
                "heavy = {'spacy', 'datasette', 'av', 'torch', 'faster_whisper'}; "
                "print(sorted(heavy & set(sys.modules)), file=sys.stderr)")
        result = subprocess.run([sys.executable, "-c", code, *words, str(folder)], capture_output=True, text=True)
        assert result.stderr.strip().splitlines()[-1] == "[]", words


def test_every_command_named_in_the_group_can_be_loaded() -> None:
    for name in COMMANDS:
        assert main.get_command(click.Context(main), name) is not None
