"""Wrong camera clocks: found from generated pictures and sessions, and not found where there is no evidence."""
from __future__ import annotations

import datetime as dt
import random
from zoneinfo import ZoneInfo

import pytest

from witnessmark.model import Capture, Moment
from witnessmark.photos.clocks import propose_offset, propose_offsets

ZONE = ZoneInfo("America/Denver")
YEAR_AND_SEVEN_HOURS = dt.timedelta(days=365, hours=7)
MINUTE = dt.timedelta(minutes=1)


def capture(name: str, wall: dt.datetime, camera: str | None, seconds: float | None = None) -> Capture:
    kind = "photo" if seconds is None else "recording"
    return Capture(name, name, 1, kind, "", Moment(  # type: ignore[arg-type]
        wall.replace(tzinfo=ZONE, microsecond=0), "second", "exif" if seconds is None else "container"),
        duration=seconds, camera=camera)


def sessions(chance: random.Random, seconds: float, weekly: bool = False) -> list[Capture]:
    first = dt.datetime(2024, 1, 6, 16, 0)
    days = [7 * number for number in range(12)] if weekly else chance.sample(range(330), 12)
    starts = [first + dt.timedelta(days=day, seconds=0 if weekly else chance.randrange(14_400)) for day in days]
    return [capture(f"{number}.mp4", start, None, seconds) for number, start in enumerate(starts)]


def pictures(chance: random.Random, talks: list[Capture], wrong_by: dt.timedelta, count: int = 200,
             stray: float = 0.0) -> list[Capture]:
    """Pictures taken in the sessions, some of them (`stray`) in the two hours before, by a clock that is behind."""
    found = []
    for number in range(count):
        talk = chance.choice(talks)
        assert talk.moment.at is not None and talk.duration is not None
        start = talk.moment.at.replace(tzinfo=None)
        apart = -chance.uniform(0, 7_200) if chance.random() < stray else chance.uniform(0, talk.duration)
        found.append(capture(f"{number}.jpg", start + dt.timedelta(seconds=apart) - wrong_by, "C200"))
    return found


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize(("seconds", "weekly", "stray", "wrong_by"), [
    (90, False, 0.0, YEAR_AND_SEVEN_HOURS), (90, True, 0.0, YEAR_AND_SEVEN_HOURS),
    (90, False, 0.3, YEAR_AND_SEVEN_HOURS), (3_600, False, 0.0, YEAR_AND_SEVEN_HOURS),
    (90, False, 0.0, dt.timedelta(days=366, hours=7, minutes=23, seconds=17)),
    (90, False, 0.2, dt.timedelta(days=8_900, hours=3, minutes=41)), (90, False, 0.0, dt.timedelta(hours=-1))])
def test_the_offset_is_found_within_a_minute(seed: int, seconds: float, weekly: bool, stray: float,
                                             wrong_by: dt.timedelta) -> None:
    chance = random.Random(seed)
    talks = sessions(chance, seconds, weekly)
    proposal = propose_offset(pictures(chance, talks, wrong_by, stray=stray), talks)
    assert proposal is not None and proposal.model == "C200"
    assert abs(proposal.offset - wrong_by) <= MINUTE
    assert proposal.low - MINUTE <= wrong_by <= proposal.high + MINUTE
    assert "pictures fall into 12 recordings" in proposal.evidence[0]


@pytest.mark.parametrize("seed", range(5))
def test_nothing_is_proposed_without_evidence(seed: int) -> None:
    chance = random.Random(seed)
    talks = sessions(chance, 90)
    at_random = [capture(f"{number}.jpg", dt.datetime(2023, 1, 1) + dt.timedelta(seconds=chance.randrange(31_000_000)),
                         "C200") for number in range(200)]
    assert propose_offset(at_random, talks) is None
    assert propose_offset(pictures(chance, talks, YEAR_AND_SEVEN_HOURS), []) is None
    assert propose_offset(pictures(chance, talks, YEAR_AND_SEVEN_HOURS), talks[:2]) is None
    assert propose_offset(pictures(chance, talks, YEAR_AND_SEVEN_HOURS, count=4), talks) is None
    assert propose_offset([], talks) is None


@pytest.mark.parametrize("stray", [0.0, 0.4])
def test_a_right_clock_is_left_alone(stray: float) -> None:
    chance = random.Random(1)
    talks = sessions(chance, 90)
    assert propose_offset(pictures(chance, talks, dt.timedelta(0), stray=stray), talks) is None
    assert propose_offset(pictures(chance, talks, dt.timedelta(seconds=40)), talks) is None


def test_the_habit_of_taking_pictures_before_talking_is_no_wrong_clock() -> None:
    chance = random.Random(2)
    talks = sessions(chance, 3_600)
    hour_before = [capture(f"{number}.jpg", talk.moment.at.replace(tzinfo=None)  # type: ignore[union-attr]
                           - dt.timedelta(seconds=chance.uniform(300, 3_600)), "C200")
                   for number, talk in enumerate(chance.choices(talks, k=200))]
    assert propose_offset(hour_before, talks) is None


def test_pictures_of_another_camera_are_witnesses() -> None:
    chance = random.Random(3)
    moments = [dt.datetime(2024, 2, 1, 9) + dt.timedelta(days=chance.randrange(200), seconds=chance.randrange(30_000))
               for _ in range(15)]
    right = [capture(f"p{number}.jpg", when, "Phone") for number, when in enumerate(moments)]
    wrong = [capture(f"c{number}-{shot}.jpg", when - YEAR_AND_SEVEN_HOURS
                     + dt.timedelta(seconds=chance.randrange(-60, 60)), "C200")
             for number, when in enumerate(moments) for shot in range(2)]
    found = {proposal.model: proposal for proposal in propose_offsets(right + wrong, [])}
    assert abs(found["C200"].offset - YEAR_AND_SEVEN_HOURS) <= MINUTE


def test_a_camera_of_the_year_2000_says_so() -> None:
    chance = random.Random(4)
    talks = sorted(sessions(chance, 90), key=lambda talk: talk.path)
    first = min(talk.moment.at for talk in talks if talk.moment.at).replace(tzinfo=None)
    proposal = propose_offset(pictures(chance, talks, first - dt.datetime(2000, 1, 1)), talks)
    assert proposal is not None and any("never set" in sentence for sentence in proposal.evidence)


def test_times_of_files_written_as_the_pictures_were_taken() -> None:
    chance = random.Random(6)
    days = [dt.datetime(2024, 3, 1, 18) + dt.timedelta(days=4 * number) for number in range(8)]
    photos = [capture(f"{number}.jpg", day - YEAR_AND_SEVEN_HOURS, "C200") for number, day in enumerate(days)]
    sent = {f"{number}.jpg": (day + dt.timedelta(seconds=chance.randrange(40))).replace(tzinfo=ZONE)
            for number, day in enumerate(days)}
    proposal = propose_offset(photos, [], (), sent)
    assert proposal is not None and abs(proposal.offset - YEAR_AND_SEVEN_HOURS) <= MINUTE
    copied = {name: dt.datetime(2024, 5, 1, 12, number, tzinfo=ZONE) for number, name in enumerate(sent)}
    assert propose_offset(photos, [], (), copied) is None
    by_zone = {f"{number}.jpg": (day - YEAR_AND_SEVEN_HOURS + dt.timedelta(hours=7)).replace(tzinfo=ZONE)
               for number, day in enumerate(days)}
    assert propose_offset(photos, [], (), by_zone) is None
