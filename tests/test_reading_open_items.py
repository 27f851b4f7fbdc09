"""What a narration leaves open: invented talk, acts given as another room reads them."""

import pytest

from witnessmark.model import Act, Cue, OpenItem, Transcript
from witnessmark.reading.open_items import find_open_items
from witnessmark.reading.purchases import find_purchases
from witnessmark.reading.text import parse
from witnessmark.trade import Lexicon


def act(cue: int, task: str, part: str, status: str, who: str = "builder", side: str | None = None) -> Act:
    return Act(cue=cue, start=0.0, end=1.0, quote="", task=task, part=part, status=status, who=who, side=side)


def items(cues: list[str], *acts: Act) -> list[tuple[str, str | None, str | None]]:
    lexicon = Lexicon.load()
    passage = parse(Transcript(tuple(Cue(3.0 * i, 3.0 * i + 3, text) for i, text in enumerate(cues)), "subtitle"))
    purchases = find_purchases(passage, lexicon, (), acts)
    found: tuple[OpenItem, ...] = find_open_items(passage, lexicon, acts, purchases)
    return [(item.kind, item.part, item.task) for item in found]


def test_planned_and_undone_work_is_to_do() -> None:
    assert items(
        ["The lower skin is not dimpled yet.", "Tomorrow I will seal the tank."],
        act(0, "dimple", "lower skin", "not-done"),
        act(1, "seal", "tank", "planned"),
    ) == [("to-do", "lower skin", "dimple"), ("to-do", "tank", "seal")]


def test_advice_and_done_work_are_not_open() -> None:
    assert (
        items(
            ["Always deburr a rib first.", "I deburred the rib."],
            act(0, "deburr", "rib", "advice"),
            act(1, "deburr", "rib", "done"),
        )
        == []
    )


def test_a_plan_fulfilled_in_the_same_talk_is_closed() -> None:
    assert (
        items(
            ["I meant to cut the gusset today.", "After lunch I did cut the gusset."],
            act(0, "cut", "gusset", "planned"),
            act(1, "cut", "gusset", "done"),
        )
        == []
    )


def test_the_same_work_on_two_sides_is_two_jobs() -> None:
    found = items(
        ["The left flap is not rigged.", "The right flap is not rigged."],
        act(0, "rig", "flap", "not-done", side="left"),
        act(1, "rig", "flap", "not-done", side="right"),
    )
    assert found == [("to-do", "flap", "rig"), ("to-do", "flap", "rig")]


def test_a_defect_with_its_remedy_is_one_thing_to_fix() -> None:
    assert items(
        ["There's a crack in the tail rib, about half an inch.", "I'll make a new one on Friday."],
        act(1, "fabricate", "tail rib", "planned"),
    ) == [("to-fix", "tail rib", "fabricate")]


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("Look, there's a dent in the leading edge skin.", "leading edge skin"),
        ("The left brake caliper leaks at the fitting.", "brake caliper"),
        ("The tailwheel spring is bent.", "tailwheel spring"),
        ("I found a nick in the propeller.", "propeller"),
        ("There's no cotter pin in the rudder hinge bolt.", "rudder hinge bolt"),
        ("A gouge, an inch long, on the cowl.", "cowl"),
    ],
)
def test_a_defect_seen_is_to_fix(text: str, part: str) -> None:
    found = items([text])
    assert [kind for kind, *_ in found] == ["to-fix"]
    assert found[0][1] is not None and found[0][1].split()[-1] == part.split()[-1]


@pytest.mark.parametrize(
    "text",
    [
        "I checked the spar for cracks and there are no cracks.",
        "If it leaks, put more sealant on the tank.",
        "You can get a crack there when you bend it too tight.",
        "That cracked bracket is gone, the new one is on.",
        "I bent the flange of the rib.",
        "The pump doesn't leak any more.",
    ],
)
def test_no_defect_is_made_up(text: str) -> None:
    assert items([text]) == []


def test_a_defect_put_right_in_the_same_talk_is_closed() -> None:
    assert (
        items(
            ["There was a dent in the wheel pant, see, there's a dent right there.", "So I filled the wheel pant."],
            act(1, "fill", "wheel pant", "done"),
        )
        == []
    )


def test_things_to_buy_and_on_order() -> None:
    assert items(
        ["I need to buy another roll of masking tape.", "I ordered a fuel pump from the supplier on Monday."]
    ) == [("to-buy", "masking tape", None), ("waiting", "fuel pump", None)]


def test_a_thing_at_the_shop_is_waited_for() -> None:
    assert items(["The engine mount is still at the powder coater."]) == [("waiting", "engine mount", None)]
    assert items(
        ["I sent the mags off to be overhauled, they are being overhauled now."],
        act(0, "assemble", "magneto", "planned", who="paid"),
    ) == [("waiting", "magneto", "assemble")]
