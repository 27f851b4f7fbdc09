"""The reference tracker on sentences of our own: which part, assembly and side is meant.

Expected values follow the definitions of part, assembly and side that the records have (README, "The database").
"""
from __future__ import annotations

import pytest

from witnessmark.model import Act, Cue, Transcript
from witnessmark.reading.memory import Memory
from witnessmark.reading.reference import Thing, Tracker
from witnessmark.reading.text import Passage, parse
from witnessmark.trade import Lexicon


def passage_of(*lines: str) -> Passage:
    return parse(Transcript(tuple(Cue(float(i), i + 1.0, line) for i, line in enumerate(lines)), "subtitle"))


def ask(verb: str, *lines: str, task: str | None = None, memory: Memory | None = None, nth: int = -1) -> Thing:
    """What the object of the last (or nth) occurrence of a verb is."""
    passage = passage_of(*lines)
    at = [token for token in passage.doc if token.lower_ == verb][nth]
    objects = [child for child in at.children if child.dep_ in ("dobj", "nsubjpass")]
    tracker = Tracker(passage, Lexicon.load(), memory or Memory())
    return tracker.resolve(objects[0] if objects else None, at, task)


def earlier(part: str, assembly: str) -> Memory:
    return Memory(acts=(Act(cue=0, start=0, end=0, quote="", task="fit", part=part, assembly=assembly),))


@pytest.mark.parametrize(("line", "verb", "part"), [
    ("I drilled the new front spars.", "drilled", "front spar"),
    ("We primed all nine ugly hinge brackets.", "primed", "hinge bracket"),
    ("I sanded the edge of the bottom skin.", "sanded", "bottom skin edge"),
    ("I cleaned the inside of the fuel tank.", "cleaned", "fuel tank"),
    ("I drilled the holes in the rear rib.", "drilled", "rear rib"),
    ("I painted the whole rudder.", "painted", "rudder"),
    ("I inspected the prop.", "inspected", "propeller"),
    ("I sanded the lower cowl.", "sanded", "lower cowl"),
])
def test_a_part_is_named_in_as_few_words_as_tell_it(line: str, verb: str, part: str) -> None:
    assert ask(verb, line).part == part


@pytest.mark.parametrize(("lines", "verb", "part"), [
    (("I cut the doubler on Monday.", "Then I deburred it."), "deburred", "doubler"),
    (("The nose ribs came out well.", "Yesterday I primed them."), "primed", "nose rib"),
    (("The gear leg, I welded that last week.",), "welded", "gear leg"),
    (("I bent the rib like a banana.", "Then I drilled it."), "drilled", "rib"),
    (("I fitted the bracket with a hammer.", "Then I riveted it."), "riveted", "bracket"),
    (("I riveted four of the stringers.",), "riveted", "stringer"),
])
def test_a_pointer_is_replaced_by_its_thing(lines: tuple[str, ...], verb: str, part: str) -> None:
    assert ask(verb, *lines).part == part


@pytest.mark.parametrize(("lines", "verb", "side"), [
    (("I primed the left flap.", "Then I sanded it."), "sanded", "left"),
    (("I primed the left flap.", "Then I sanded the other one."), "sanded", "right"),
    (("I primed the left flap.", "Then I sanded the right one."), "sanded", "right"),
    (("I sanded the port aileron.",), "sanded", "left"),
    (("I sanded the starboard aileron.",), "sanded", "right"),
    (("I sanded both ailerons.",), "sanded", "both"),
    (("I sanded the ailerons, left and right.",), "sanded", "both"),
    (("I bolted the bracket to the left spar.",), "bolted", "left"),
    (("I sanded the rudder.",), "sanded", None),
    (("I sanded the rudder right there on the bench.",), "sanded", None),
    (("He left and I sanded the rudder.",), "sanded", None),
])
def test_a_side_is_said_or_carried(lines: tuple[str, ...], verb: str, side: str | None) -> None:
    assert ask(verb, *lines).side == side


def test_a_new_thing_of_another_assembly_drops_the_side() -> None:
    assert ask("sanded", "I primed the left flap.", "Then I sanded the rudder.").side is None


@pytest.mark.parametrize(("lines", "verb", "assembly"), [
    (("I deburred the elevator skin.",), "deburred", "elevator"),
    (("Okay, the rudder.", "I drilled the spar."), "drilled", "rudder"),
    (("Okay, the rudder.", "I drilled the spar.", "Back to the wings.", "I primed a rib."), "primed", "wing"),
    (("I drilled the ribs of the left flap.",), "drilled", "flap"),
    (("I weighed the airplane.",), "weighed", None),
])
def test_the_assembly_comes_from_the_words_or_from_the_topic(
        lines: tuple[str, ...], verb: str, assembly: str | None) -> None:
    assert ask(verb, *lines).assembly == assembly


def test_the_assembly_of_an_earlier_session_is_remembered() -> None:
    assert ask("primed", "I primed the drag rib.", memory=earlier("drag rib", "wing")).assembly == "wing"


def test_an_opener_outweighs_what_is_remembered() -> None:
    lines = ("Right, the flaps.", "I primed the nose rib.")
    assert ask("primed", *lines, memory=earlier("nose rib", "wing")).assembly == "flap"


def test_coats_stand_for_what_they_are_put_on() -> None:
    thing = ask("sprayed", "I sprayed two coats of primer on the tip rib.", task="prime")
    assert (thing.part, thing.count) == ("tip rib", 2)


def test_nothing_named_falls_back_to_what_is_in_focus_with_less_confidence() -> None:
    thing = ask("deburred", "The hinge bracket.", "Deburred.")
    assert thing.part == "hinge bracket"
    assert thing.confidence < 0.9
    assert thing.rules


def test_nothing_to_point_at_is_no_part() -> None:
    thing = ask("drilled", "It drilled badly.")
    assert thing.part is None
    assert thing.confidence < 0.5


def test_a_part_that_no_vocabulary_has_is_a_part() -> None:
    assert ask("drilled", "I drilled the frobnicator.").part == "frobnicator"


def test_the_tracker_answers_about_any_place_in_any_order() -> None:
    passage = passage_of("Okay, the rudder.", "I drilled the spar.", "Back to the left wing.", "I primed a rib.")
    tracker = Tracker(passage, Lexicon.load(), Memory())
    late, early = passage.doc[-2], next(t for t in passage.doc if t.text == "spar")
    assert [tracker.assembly_at(t) for t in (late, early, late)] == ["wing", "rudder", "wing"]
    assert tracker.side_at(late) == "left"
    named = tracker.thing_named(passage.doc[early.i - 1:early.i + 1])
    assert named is not None
    assert named.part == "spar"
