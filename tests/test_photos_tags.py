"""What a picture is said to show: captions, names, chalk marks, the words of its second and of its day."""
from __future__ import annotations

import datetime as dt

import pytest

from witnessmark.model import Act, Capture, Cue, Moment, Session, Settings, Transcript
from witnessmark.photos import PhotoTag, Spoken, tag
from witnessmark.photos.subjects import of_caption, of_folders, of_label, of_mark
from witnessmark.trade import Lexicon

UTC = Settings(timezone="UTC")
NOON = dt.datetime(2024, 5, 4, 12, 0, tzinfo=dt.UTC)
LEXICON = Lexicon.load()


def photo(path: str = "IMG_0001.jpg", at: dt.datetime | None = NOON, precision: str = "second",
          basis: str = "exif", **more: object) -> Capture:
    return Capture(path, path, 1, "photo", "image/jpeg", Moment(at, precision, basis), **more)  # type: ignore[arg-type]


def act(task: str, part: str | None, assembly: str | None, start: float, end: float, **more: object) -> Act:
    given = {"status": "done", "date": "2024-05-04", **more}
    return Act(cue=0, start=start, end=end, quote="", task=task, part=part, assembly=assembly,  # type: ignore[arg-type]
               **given)


def spoken(*acts: Act, at: dt.datetime = NOON, exact: bool = True, text: str = "") -> Spoken:
    cues = (Cue(0.0, 120.0, text),) if text else ()
    return Spoken(Session("talk.mp4", at, Transcript(cues, "subtitle"), 120.0), acts, exact)


def tags_of(capture: Capture, *told: Spoken, seen: tuple[str, ...] = ()) -> tuple[PhotoTag, ...]:
    return tag([capture], told, UTC, LEXICON, {capture.sha256: seen})


@pytest.mark.parametrize(("text", "assembly", "part", "side", "task"), [
    ("Left aileron rib after deburring", "aileron", "rib", "left", "deburr"),
    ("Elevator skin, dent near the hinge", "elevator", "skin", None, None),
    ("Riveting the right flap skin", "flap", "skin", "right", "rivet"),
    ("Rear spar of the left wing", "wing", "spar", "left", None),
    ("Rudder spar before priming", "rudder", "spar", None, None),
    ("Aileron spar, ready to prime", "aileron", "spar", None, None),
    ("Elevator ribs not primed yet", "elevator", "rib", None, None),
    ("Primed elevator ribs", "elevator", "rib", None, "prime"),
])
def test_captions(text: str, assembly: str, part: str, side: str | None, task: str | None) -> None:
    found = of_caption(text, LEXICON)[0]
    assert found.assembly == assembly and found.part is not None and found.part.endswith(part)
    assert found.task == task
    assert found.side == side


def test_what_a_caption_also_names_is_believed_less() -> None:
    first, *others = of_caption("Left flap on the wing, stripe on the hinge bolts", LEXICON)
    assert (first.assembly, first.side) == ("flap", "left")
    assert others and all(other.confidence < 0.6 < first.confidence for other in others)


@pytest.mark.parametrize(("text", "side"), [
    ("spar L", "left"), ("R/H aileron", "right"), ("aileron starboard", "right"), ("both flaps", "both"),
    ("left and right flap", "both"), ("flap right here", None), ("flap right after", None), ("flap", None)])
def test_sides_of_labels(text: str, side: str | None) -> None:
    from witnessmark.photos.subjects import side_of
    from witnessmark.reading.text import language

    assert side_of(language()(text.lower()), alone=True) == side


@pytest.mark.parametrize("name", ["IMG_1234", "DSC00031", "IMG_20250208_151200", "PXL_20240309_234000123", "20240101",
                                  "image (3)", "IMG-20240309-WA0001", "2024-03-09 16.40.00"])
def test_names_that_cameras_give_say_nothing(name: str) -> None:
    assert of_label(name, LEXICON) == of_caption(name, LEXICON) == ()


def test_folders_name_the_assembly_and_the_side_but_not_every_part() -> None:
    assert [(item.assembly, item.part, item.side) for item in of_folders("photos/left/aileron", LEXICON)] == [
        ("aileron", None, "left")]
    assert of_folders("photos/phone/2024", LEXICON) == ()


def test_words_of_the_second_beat_words_of_the_day() -> None:
    told = spoken(act("prime", "rib", "flap", 10, 20), act("rivet", "skin", "aileron", 60, 70))
    during = tags_of(photo(at=NOON + dt.timedelta(seconds=65)), told)
    best = during[0]
    assert (best.assembly, best.part, best.task, best.basis) == ("aileron", "skin", "rivet", "recording")
    assert best.confidence >= 0.8 and (best.source, best.act) == ("talk.mp4", 1)
    later = tags_of(photo(at=NOON + dt.timedelta(hours=2)), told)
    assert later and all(item.basis == "day" and item.confidence < 0.6 for item in later)
    assert {item.part for item in later if item.part} == {"rib", "skin"}


def test_another_part_spoken_of_at_that_second_is_not_asserted_against_the_pictures_own_words() -> None:
    told = spoken(act("drill-out", "rivet", "rudder", 10, 20), act("rivet", "stiffener", "rudder", 10, 20))
    during = NOON + dt.timedelta(seconds=15)
    plain = tags_of(photo(at=during), spoken(act("drill-out", "rivet", "rudder", 10, 20)))
    assert plain[0].part == "rivet" and plain[0].confidence >= 0.8
    found = {item.part: item for item in tags_of(photo(at=during), told, seen=("STIFFENERS",))}
    assert found["stiffener"].confidence >= 0.8 > found["rivet"].confidence
    assert "own words name stiffener" in found["rivet"].note


def test_words_without_an_act_still_name_what_is_shown_but_no_work() -> None:
    told = spoken(text="Here you see the elevator trim tab.")
    best = tags_of(photo(at=NOON + dt.timedelta(seconds=30)), told)[0]
    assert best.basis == "recording" and best.task is None and best.assembly in ("trim-tab", "elevator")


def test_planned_work_gives_no_task() -> None:
    told = spoken(act("prime", "rib", "flap", 10, 20, status="planned", date=None))
    best = tags_of(photo(at=NOON + dt.timedelta(seconds=15)), told)[0]
    assert (best.part, best.task) == ("rib", None)
    assert tags_of(photo(at=NOON + dt.timedelta(hours=3)), told) == ()


@pytest.mark.parametrize("words", ["rudder spar before primer", "spar, ready to prime", "spar not primed yet"])
@pytest.mark.parametrize("where", ["caption", "file-name"])
def test_work_of_the_day_is_not_shown_by_a_picture_from_before_it(words: str, where: str) -> None:
    told = spoken(act("prime", "spar", "rudder", 10, 20), act("deburr", "spar", "rudder", 30, 40))
    shown = photo(f"{words}.jpg") if where == "file-name" else photo(caption=words)
    found = tags_of(shown, told)
    assert found[0].part is not None and found[0].part.endswith("spar")
    assert all(item.task != "prime" and item.act != 0 for item in found)
    assert any(item.task == "deburr" for item in found)


def test_a_day_told_later_counts_for_its_own_date() -> None:
    told = spoken(act("prime", "rib", "flap", 10, 20, date="2024-05-03"))
    assert tags_of(photo(at=NOON - dt.timedelta(days=1)), told)[0].part == "rib"
    assert tags_of(photo(at=NOON + dt.timedelta(hours=1)), told) == ()


@pytest.mark.parametrize("inexact", [{"precision": "day"}, {"basis": "file-time"}, {"precision": "minute"}])
def test_no_second_is_taken_from_a_time_that_is_not_so_exact(inexact: dict[str, str]) -> None:
    told = spoken(act("prime", "rib", "flap", 10, 20))
    found = tags_of(photo(at=NOON + dt.timedelta(seconds=15), **inexact), told)  # type: ignore[arg-type]
    assert found and all(item.basis != "recording" for item in found)


def test_an_inexact_recording_has_no_seconds_either() -> None:
    told = spoken(act("prime", "rib", "flap", 10, 20), exact=False)
    assert all(item.basis == "day" for item in tags_of(photo(at=NOON + dt.timedelta(seconds=15)), told))


def test_agreement_strengthens_and_fills_in() -> None:
    alone = tags_of(photo("a/IMG_1.jpg", None, "none", caption="Ribs"))[0]
    assert alone.assembly is None
    placed = tags_of(photo("left/aileron/IMG_1.jpg", None, "none", caption="Ribs"))
    assert (placed[0].assembly, placed[0].part, placed[0].side) == ("aileron", "rib", "left")
    assert placed[0].confidence >= alone.confidence and "folder" in placed[0].note


def test_contradictions_are_shown_and_weaken_both() -> None:
    plain = tags_of(photo("x/IMG_1.jpg", None, "none", caption="Elevator spar"))
    torn = tags_of(photo("aileron/IMG_1.jpg", None, "none", caption="Elevator spar"))
    assert {item.assembly for item in torn} == {"elevator", "aileron"}
    assert all("contradicted" in item.note for item in torn)
    assert torn[0].assembly == "elevator" and torn[0].confidence < 0.8 <= plain[0].confidence


def test_chalk_marks_and_keywords() -> None:
    chalk = tags_of(photo("rudder/IMG_1.jpg", None, "none"), seen=("STIFFENER 3 L", "xq7"))[0]
    assert (chalk.part, chalk.assembly, chalk.side, chalk.basis) == ("stiffener", "rudder", "left", "text")
    word = tags_of(photo("IMG_1.jpg", None, "none", keywords=("workshop", "engine mount")))[0]
    assert word.assembly == "engine-mount" and word.basis == "keyword"


def test_nothing_known_gives_nothing() -> None:
    assert tags_of(photo("DCIM/100/IMG_1.jpg", None, "none")) == ()
    assert tag([], (), UTC, LEXICON) == ()


def test_days_are_those_of_the_journals_zone() -> None:
    late = dt.datetime(2024, 5, 5, 4, 30, tzinfo=dt.UTC)  # half past ten in the evening of the fourth in Denver
    told = spoken(act("prime", "rib", "flap", 10, 20), at=late + dt.timedelta(hours=1))
    assert tag([photo(at=late)], [told], Settings(timezone="America/Denver"), LEXICON)
    assert not tag([photo(at=late)], [told], UTC, LEXICON)


@pytest.mark.parametrize(("read", "assembly", "part", "side"), [
    ("AILERONSPARL", "aileron", "spar", "left"), ("FUELTANKRH", "fuel-system", "fuel tank", "right"),
    ("WING RIB7", "wing", "rib", None), ("ELEVATORTRIMTAB", "trim-tab", "trim tab", None)])
def test_marks_whose_blanks_the_recogniser_lost(read: str, assembly: str, part: str, side: str | None) -> None:
    found = of_mark(read, LEXICON)[0]
    assert (found.assembly, found.side) == (assembly, side) and found.part is not None and found.part.endswith(part)


@pytest.mark.parametrize("read", ["NOSTEP", "xq7", "88", "PERSPARENT", "·"])
def test_marks_that_name_nothing(read: str) -> None:
    assert of_mark(read, LEXICON) == ()


def test_one_telling_is_not_counted_twice() -> None:
    told = spoken(act("drill", "spar", "rudder", 10, 40), act("deburr", "rib", "rudder", 10, 40))
    found = tags_of(photo(at=NOON + dt.timedelta(seconds=20), caption="Rudder tip rib"), told)
    assert found[0].part is not None and found[0].part.endswith("tip rib")
    assert all(item.confidence < 0.7 for item in found[1:])
    later = tags_of(photo("rudder/IMG_1.jpg", at=NOON + dt.timedelta(hours=1)), told)
    assert {item.part for item in later if item.part} == {"spar", "rib"}
    assert all(item.confidence < 0.7 for item in later if item.part)
