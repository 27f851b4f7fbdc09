"""Acts from narrations: what the log will say was done. The narrations are this file's own."""
from __future__ import annotations

import datetime as dt

import pytest

from witnessmark.model import Act, Cue, Session, Transcript
from witnessmark.reading import read
from witnessmark.reading.explain import describe, explain, parse_lines
from witnessmark.reading.memory import Memory
from witnessmark.trade import Lexicon

RECORDED = dt.datetime(2024, 5, 15, 18, 0, tzinfo=dt.UTC)  # a Wednesday


def session(*lines: str) -> Session:
    cues = tuple(Cue(10.0 * i, 10.0 * i + 9, line) for i, line in enumerate(lines))
    return Session("s.vtt", RECORDED, Transcript(cues, "subtitle"))


def acts(*lines: str, memory: Memory | None = None) -> tuple[Act, ...]:
    return read(session(*lines), Lexicon.load(), memory or Memory())[0].acts


def told(*lines: str, memory: Memory | None = None) -> set[tuple[str, str | None, str, str | None]]:
    return {(act.task, act.part, act.status, act.who) for act in acts(*lines, memory=memory)}


def test_coordinated_verbs_share_their_object() -> None:
    found = told("This afternoon I cut, drilled and deburred the brackets.")
    assert found == {(task, "bracket", "done", "builder") for task in ("cut", "drill", "deburr")}


def test_coordinated_objects_are_an_act_each() -> None:
    assert told("I primed the ribs and the bulkhead.") == {
        ("prime", "rib", "done", "builder"), ("prime", "bulkhead", "done", "builder")}


@pytest.mark.parametrize("line", [
    "The bulkheads I primed yesterday.", "The bulkheads that I primed yesterday look good.",
    "The bulkheads were primed yesterday.", "Primed the bulkheads yesterday.", "I got the bulkheads primed yesterday.",
    "Yesterday I finished priming the bulkheads.", "Yesterday the bulkheads got their primer."])
def test_the_object_is_found_wherever_it_stands(line: str) -> None:
    (act,) = acts(line)
    assert (act.task, act.part, act.status, act.who, act.date) == (
        "prime", "bulkhead", "done", "builder", "2024-05-14")


def test_the_most_specific_task() -> None:
    assert told("I match drilled the skin to the rib.") == {("match-drill", "skin", "done", "builder")}


def test_phrasal_verbs() -> None:
    assert told("I drilled out the rivets.") == {("drill-out", "rivet", "done", "builder")}
    assert told("I put the fuel tank back in.") == {("install", "fuel tank", "done", "builder")}
    assert told("I took the cowl off.") == {("remove", "cowl", "done", "builder")}


def test_short_answers_take_the_work_told_before() -> None:
    found = {(act.side, act.status) for act in acts("The left aileron is riveted. The right one isn't.")}
    assert found == {("left", "done"), ("right", "not-done")}


def test_a_question_answered() -> None:
    assert {(act.side, act.status) for act in acts("Primed? The left flap, yes. The right flap, no.")} == {
        ("left", "done"), ("right", "not-done")}


def test_a_later_sentence_takes_a_belief_back() -> None:
    assert told("I told my brother that the rudder was riveted.", "I had a look and it isn't.") == {
        ("rivet", "rudder", "not-done", "builder")}


def test_the_same_work_told_twice_is_one_act() -> None:
    assert len(acts("Yesterday I riveted the rudder.", "So yes, the rudder is riveted.")) == 1


def test_a_hired_shop_is_never_the_builder() -> None:
    for line in ("I had the engine mount powder coated.", "A shop in town welded the engine mount for me.",
                 "The engine mount was sandblasted by a hired man."):
        assert acts(line), line
        assert not any(act.is_builders for act in acts(line)), line


@pytest.mark.parametrize("line", [
    "I want to prime the ribs.", "If I had primed the ribs it would not have rusted.", "Did I prime the ribs?",
    "You prime the ribs first.", "I forgot to prime the ribs.", "I was going to prime the ribs but ran out.",
    "The ribs still need priming.", "My wife primed the ribs.", "The ribs came already primed from the factory.",
    "I haven't primed the ribs.", "Never prime the ribs in the rain.", "I wish I had primed the ribs.",
    "I'll prime the ribs tomorrow.", "Tomorrow I'm priming the ribs.", "The book says to prime the ribs."])
def test_the_promise(line: str) -> None:
    """No plan, advice, question, belief, or work of others is claimed for the builder."""
    assert not any(act.is_builders for act in acts(line)), acts(line)


@pytest.mark.parametrize("line", [
    "The pipe rolled off the bench.", "I went to bed at ten.", "I ordered a quart of primer.",
    "I dropped the spars off at the plater.", "The fuel tank went in the scrap bin.", "It came out really nice.",
    "I turned off the light.", "I cut my finger.", "We took the dog for a walk."])
def test_talk_that_is_no_work(line: str) -> None:
    assert not any(act.is_builders for act in acts(line)), acts(line)


def test_a_day_goes_on_until_another_is_said() -> None:
    found = {act.task: act.date for act in acts(
        "On Monday I drilled the rear spar.", "Then I deburred it.", "Today I primed it.")}
    assert found == {"drill": "2024-05-13", "deburr": "2024-05-13", "prime": "2024-05-15"}


def test_the_next_sentence_may_bring_the_day() -> None:
    (act,) = acts("I riveted the rudder.", "That was Sunday.")
    assert act.date == "2024-05-12"


def test_plans_have_no_date() -> None:
    assert all(act.date is None for act in acts("On Saturday I want to rivet the rudder. The fin isn't primed."))


def test_who_was_told_in_an_earlier_session() -> None:
    """Work that waits at a shop is the shop's when it is told as done."""
    lexicon = Lexicon.load()
    _, memory = read(session("The welder is going to weld the rudder horn."), lexicon, Memory())
    found = told("The rudder horn got welded last week.", memory=memory)
    assert {who for task, _, _, who in found if task == "weld"} == {"paid"}


def test_every_act_carries_its_words_its_clip_and_its_rules() -> None:
    found = acts("Hello there.", "Yesterday I riveted the left aileron.")
    assert [(act.cue, act.start, act.end, act.quote) for act in found] == [
        (1, 10.0, 19.0, "Yesterday I riveted the left aileron.")]
    assert found[0].rules and 0 < found[0].confidence <= 1
    assert all(describe(rule) for rule in found[0].rules)


def test_reading_again_gives_the_same() -> None:
    lines = ("The ribs, I did those on Monday.", "Then Walt drilled them and I riveted the skin.", "Not the left one.")
    assert acts(*lines) == acts(*lines)


def test_nothing_said() -> None:
    assert acts() == ()
    assert acts("") == ()


def test_explain_tells_the_sentence_its_parse_and_the_rules() -> None:
    talk = session("Hello there.", "My wife primed the ribs. I haven't riveted the spar.")
    found = explain(talk, Lexicon.load(), Memory(), 17.5)
    assert found.sentence == "I haven't riveted the spar."
    assert "riveted" in found.parse[0] and "not-done" in found.parse[0] and "negated" in found.parse[0]
    assert {act.task for act in found.acts} == {"prime", "rivet"}
    assert found.rules["negated"].startswith("a negation")
    assert set(parse_lines(talk, Lexicon.load(), Memory())) == {1}


@pytest.mark.parametrize("line", [
    "The left skin is pencilled in for this Saturday, to be laid up with a full crew.",
    "I have sealing the tank down for Sunday.",
    "The left flap is booked in for paint next week.",
])
def test_what_is_set_for_a_day_is_not_done(line: str) -> None:
    assert not [act for act in acts(line) if act.performed]


@pytest.mark.parametrize(("line", "told"), [
    ("I cut, filed and deburred the gussets last Tuesday.", "cut|gusset|done|builder; deburr|gusset|done|builder"),
    ("I sanded, then primed the fin on Monday.", "sand|fin|done|builder; prime|fin|done|builder"),
    ("I got the flap ribs primed today before the heater went out.", "prime|flap rib|done|builder"),
    ("This morning I painted the rudder, two coats of white.", "paint|rudder|done|builder"),
    ("I put two coats of primer on the cowling.", "prime|cowling|done|builder"),
    ("I almost riveted the skin.", ""),
    ("i still gotta torque the axle nuts", "torque|axle nut|planned|builder"),
    ("I anodized the brackets but I haven't removed them.",
     "conversion-coat|bracket|done|builder; remove|bracket|not-done|builder"),
    ("After priming the bulkheads I riveted the skin.", "prime|bulkhead|done|builder; rivet|skin|done|builder"),
    ("With the fuel tank sealed, I cleaned it.", "seal|fuel tank|done|builder; clean|fuel tank|done|builder"),
    ("The flap skins are off at the painter.", ""),
    ("The wing is covered in dust.", ""),
    ("The hinges I got off a fellow in the club.", ""),
    ("I'd bent one nose rib back in August.", "bend|nose rib|done|builder"),
    ("I had the brackets anodized.", "conversion-coat|bracket|done|paid"),
    ("The strut came and I had it riveted in that same day.", "rivet|strut|done|builder"),
    ("Are the spars varnished, my wife wants to know.", ""),
    ("The spinner we've had scuffed and painted by a man in the village.",
     "sand|spinner|done|paid; paint|spinner|done|paid"),
    ("The elevator ribs I dimpled that Saturday.", "dimple|elevator rib|done|builder"),
    ("The bulkhead came out fine. I reamed that for the bushings on Thursday.", "ream|bulkhead|done|builder"),
    ("The nose rib has been glued too, I really couldn't say which day.", "bond|nose rib|done|builder"),
    ("The first job I did was pull the cowl off.", "remove|cowl|done|builder"),
])
def test_what_was_done_is_told_in_many_shapes(line: str, told: str) -> None:
    """Common shapes of sentences; the labels follow the guide of the labelled narrations."""
    found = sorted(f"{act.task}|{act.part}|{act.status}|{act.who}" for act in acts(line))
    assert found == sorted(told.split("; ") if told else [])
