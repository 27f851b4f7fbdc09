"""Questions in plain words, and the days that acts give: never for another side, another part, a mere plan."""

import pytest

from witnessmark.answers.open_jobs import At, closed_by, histories
from witnessmark.answers.questions import parse_question
from witnessmark.answers.when import Told, answer
from witnessmark.model import Act, OpenItem, Purchase
from witnessmark.trade import Lexicon


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return Lexicon.load()


ASKED = [
    ("When was the left flap skin primed?", "prime", "flap skin", "flap", "left"),
    ("left flap skin primed", "prime", "flap skin", "flap", "left"),
    ("on which days was the port flap skin given primer", "prime", "flap skin", "flap", "left"),
    ("When did the drain plug get its safety wire?", "safety-wire", "drain plug", None, None),
    ("Have the rudder ribs been deburred yet?", "deburr", "rudder rib", "rudder", None),
    ("when did I match drill the spar caps of the starboard wing?", "match-drill", "spar cap", "wing", "right"),
    ("When was the cowling powder coated?", "paint", "cowling", "cowling", None),
    ("what day did we hang the engine", "install", "engine", "engine", None),
    ("when were the wing ribs stitched", "cover", "wing rib", "wing", None),
    ("when was the fuel tank leak tested?", "test", "fuel tank", "fuel-system", None),
]


@pytest.mark.parametrize(("text", "task", "part", "assembly", "side"), ASKED)
def test_a_question_is_taken_apart(
    text: str, task: str, part: str, assembly: str | None, side: str | None, lexicon: Lexicon
) -> None:
    question = parse_question(text, lexicon)
    assert task in question.tasks
    assert question.part is not None and question.part.split()[-1] == part.split()[-1]
    assert question.side == side
    assert assembly is None or question.assembly == assembly


@pytest.mark.parametrize(
    "text",
    ["left aileron skin", "when did I work on the left aileron skin?", "when was the left aileron skin finished?"],
)
def test_the_name_of_a_thing_is_no_work_that_is_asked_for(text: str, lexicon: Lexicon) -> None:
    """To skin is a verb as well; who names the skin does not ask when something was skinned."""
    question = parse_question(text, lexicon)
    assert (question.tasks, question.part, question.assembly) == ((), "aileron skin", "aileron")


def test_who_did_it_is_not_what_it_was_done_to(lexicon: Lexicon) -> None:
    question = parse_question("when did the shop paint the rudder?", lexicon)
    assert (question.person, question.part, question.assembly) == ("shop", "rudder", "rudder")
    assert question.tasks == ("paint",)


def told(
    source: str,
    task: str,
    part: str,
    assembly: str | None,
    side: str | None,
    status: str = "done",
    who: str = "builder",
    date: str | None = None,
    person: str | None = None,
) -> Told:
    performed = status in ("done", "doing")
    return Told(
        Act(
            cue=0,
            start=1.0,
            end=2.0,
            quote="",
            task=task,
            part=part,
            assembly=assembly,
            side=side,
            status=status,
            who=who,
            person=person,
            date=(date or f"2031-05-{source[1:]}") if performed else None,
        ),
        source,
    )


JOURNAL = [
    told("s01", "prime", "flap skin", "flap", "left", "planned"),
    told("s02", "prime", "skin", "flap", "right"),
    told("s03", "prime", "flap skin", "flap", "left"),
    told("s04", "prime", "skin", "wing", "left"),
    told("s05", "deburr", "rib", "rudder", None, person="Ines", who="helper"),
    told("s06", "deburr", "rib", "elevator", None),
    told("s07", "rivet", "front spar", "wing", "left"),
    told("s08", "install", "exhaust", "exhaust", None, "planned"),
    told("s09", "torque", "bolt", "wheels-brakes", None),
    told("s10", "paint", "gear leg", "landing-gear", "both", who="paid"),
]


@pytest.mark.parametrize(
    ("text", "sources"),
    [
        ("when was the left flap skin primed?", ["s03"]),
        ("when was the right flap skin primed?", ["s02"]),
        ("when were the flap skins primed?", ["s02", "s03"]),
        ("when were the rudder ribs deburred?", ["s05"]),
        ("when did Ines deburr the rudder ribs?", ["s05"]),
        ("when was the left front spar riveted?", ["s07"]),
        ("when was the left gear leg powder coated?", ["s10"]),
    ],
)
def test_the_days_of_what_was_done(text: str, sources: list[str], lexicon: Lexicon) -> None:
    found = answer(parse_question(text, lexicon), JOURNAL, lexicon)
    assert sorted(line.source for line in found.answers) == sources
    assert all(line.date == f"2031-05-{line.source[1:]}" for line in found.answers)


@pytest.mark.parametrize(
    "text",
    [
        "when was the exhaust installed?",  # only planned
        "when was the left rear spar riveted?",  # the front one was
        "when was the right front spar riveted?",  # the left one was
        "when were the engine mount bolts torqued?",  # others were
        "when was the rudder skin primed?",  # another assembly's was
        "when did Bruno deburr the rudder ribs?",  # somebody else did
        "when was the left flap skin painted?",  # other work was done
    ],
)
def test_nothing_is_answered_that_was_not_done(text: str, lexicon: Lexicon) -> None:
    assert answer(parse_question(text, lexicon), JOURNAL, lexicon).answers == ()


def test_what_was_only_planned_or_done_nearby_is_said(lexicon: Lexicon) -> None:
    exhaust = answer(parse_question("when was the exhaust installed?", lexicon), JOURNAL, lexicon)
    assert [line.source for line in exhaust.only_planned] == ["s08"]
    spar = answer(parse_question("when was the right front spar riveted?", lexicon), JOURNAL, lexicon)
    assert [line.source for line in spar.near] == ["s07"]


def place(order: int, record: Act | Purchase | OpenItem) -> At:
    return At(order, f"s{order:02}", record)


def open_item(kind: str, part: str, task: str | None = None, side: str | None = None) -> OpenItem:
    return OpenItem(cue=3, start=0.0, end=1.0, quote="", kind=kind, part=part, task=task, side=side)


def purchase(item: str, status: str) -> Purchase:
    return Purchase(cue=1, start=0.0, end=1.0, quote="", item=item, category="part", status=status)


def test_an_open_job_is_closed_by_later_work_on_the_same_side() -> None:
    items = [place(1, open_item("to-do", "flap skin", "prime", "left"))]
    other = place(2, told("s02", "prime", "flap skin", "flap", "right").act)
    same = place(3, told("s03", "prime", "skin", "flap", "left").act)
    (job,) = closed_by(items, [other])
    assert job.closed_by is None
    (job,) = closed_by(items, [other, same])
    assert job.closed_by == same


def test_things_arrive_and_defects_are_put_right() -> None:
    items = [
        place(1, open_item("waiting", "fuel pump")),
        place(1, open_item("to-buy", "masking tape")),
        place(1, open_item("to-fix", "tail rib")),
        place(1, open_item("waiting", "magneto")),
    ]
    records = [
        place(2, purchase("pump", "received")),
        place(2, purchase("masking tape", "bought")),
        place(3, told("s03", "fabricate", "tail rib", None, None).act),
    ]
    assert [job.closed_by is not None for job in closed_by(items, records)] == [True, True, True, False]


def test_a_job_told_twice_is_one_job() -> None:
    items = [place(1, open_item("to-do", "aileron", "rig")), place(2, open_item("to-do", "aileron", "rig"))]
    (job,) = closed_by(items, [])
    assert len(job.again) == 1


def test_a_part_made_again_is_one_history() -> None:
    acts = [
        place(1, told("s01", "cut", "elevator skin", "elevator", "left").act),
        place(2, told("s02", "cut", "elevator skin", "elevator", "right").act),
        place(3, told("s03", "cut", "elevator skin", "elevator", "left").act),
    ]
    (history,) = histories(acts)
    assert [at.order for at in history] == [1, 3]
