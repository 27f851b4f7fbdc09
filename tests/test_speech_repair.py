"""Misheard trade words: restored where sound and place call for it, left alone where they make sense."""
import pytest

from witnessmark.model import Settings, Word
from witnessmark.speech import repair
from witnessmark.speech.sounds import likeness, sounds


def spoken(text: str, probability: float) -> list[Word]:
    return [Word(f" {word}", number / 2, number / 2 + 0.4, probability) for number, word in enumerate(text.split())]


def mended(text: str, probability: float = 0.5, settings: Settings | None = None) -> tuple[str, list[Word]]:
    new = repair.repaired(spoken(text, probability), settings or Settings())
    return "".join(word.text for word in new).strip(), [word for word in new if word.repair]


@pytest.mark.parametrize(("heard", "read"), [
    ("we click code the skin to the ribs", "we clecoed the skin to the ribs"),
    ("then I the bird the holes", "then I deburred the holes"),
    ("I klekkled the left skin", "I clecoed the left skin"),
    ("an 470 80 4-5 in every hole", "AN470AD4-5 in every hole"),
    ("a bag of and 426 add 3-4, please", "a bag of AN426AD3-4, please"),
    ("MS 210 44N3 nuts", "MS21044N3 nuts"),
    ("two AN-6s per side", "two AN6s per side"),
    ("a sheet of 2020-4T3 today", "a sheet of 2024-T3 today"),
    ("the upper nut plates are in", "the upper nutplates are in"),
    ("she matched drilled the strap", "she match drilled the strap"),
    ("bled the break line twice", "bled the brake line twice"),
    ("fit the pivot tube under the wing", "fit the pitot tube under the wing"),
    ("it was aching dollars for the pair", "it was eighteen dollars for the pair"),
    ("they want $4.7 a yard", "they want $47 a yard"),
    ("I tightened the strut bowls, AN4-12A, and went home", "I tightened the strut bolts, AN4-12A, and went home"),
    ("the AN960-10 watchers are on order", "the AN960-10 washers are on order"),
    ("he resiled the inspection cover", "he resealed the inspection cover"),
    ("we de-burred the lower flange", "we deburred the lower flange"),
    ("I leaked test to the header tank", "I leak tested the header tank"),
    ("he primed the flaps spar", "he primed the flap spar"),
    ("we torqued the N5s on the gear", "we torqued the AN5s on the gear"),
    ("marked them with torque stride", "marked them with torque stripe"),
    ("Debert, both of them.", "Deburred, both of them."),
    ("a strip of 2020-43 for the web", "a strip of 2024-T3 for the web"),
    ("drilled it out to number 3E", "drilled it out to number 30"),
    ("then I cramped the terminals", "then I crimped the terminals"),
    ("he matched drill to upper skins", "he match drilled upper skins"),
    ("the sharp ones, debert, all of them", "the sharp ones, deburred, all of them"),
    ("both rivets clenched over", "both rivets clinched over"),
    ("so that as to be riveted again", "so that has to be riveted again"),
])
def test_what_is_misheard_is_restored(heard: str, read: str) -> None:
    assert mended(heard)[0] == read


def test_the_pieces_of_a_hyphened_word_become_one() -> None:
    pieces = [Word(" I", 0, 0.1), Word(" de", 0.2, 0.3, 0.6), Word("-burred", 0.3, 0.6, 0.7), Word(" it.", 0.7, 0.8)]
    read = repair.repaired(pieces, Settings())
    assert [word.text for word in read] == [" I", " deburred", " it."] and read[1].heard == " de-burred"


def test_a_thing_said_clearly_elsewhere_is_restored_where_it_was_heard_badly() -> None:
    clear, shaky = spoken("and the strut bolts came", 0.95), spoken("then I drilled the strut bowls out", 0.4)
    assert "drilled the strut bolts out" in "".join(word.text for word in repair.repaired(clear + shaky, Settings()))
    alone = "".join(word.text for word in repair.repaired(shaky, Settings()))
    assert "the strut bowls out" in alone, "without a witness a word of everyday English stays"


@pytest.mark.parametrize("text", [
    "look at the bird on the hangar roof",
    "so we took a break and had coffee",
    "I collect the mail on my way home",
    "click on the link for the drawings",
    "a rabbit ran under the bench",
    "the neighbor's cow got out again",
    "on the 4th of June at 4:30 we flew 470 miles",
    "in 2024 the price was 41.30 for the lot",
    "my hands are greasier than the delaminated floor",
    "three to five bolts and 3-5 washers",
    "it cost 80 dollars, and 26 for the post",
    "a few dollars more and the price in dollars",
    "an engine is $4.7 thousand or $12.50 a pound",
    "I bought a bit, AN3-5A, and a pair of boats, 4130 tube",
    "they resiled from it",
    "Righto, that is N5 on the tail",
    "call me at 2020-55 or fly 4130-31 miles",
    "the two flaps, spar and all",
    "the plans are drawn so as to be read by children who rivet",
])
def test_what_makes_sense_is_left_alone(text: str) -> None:
    assert mended(text, 0.95) == (text, [])


def test_the_raw_words_the_rule_and_its_confidence_stay() -> None:
    _, (word,) = mended("we click code the skin")
    assert (word.heard, word.start, word.end) == (" click code", 0.5, 1.4)
    rule, confidence = (word.repair or "").split()
    assert rule == "confusable" and 0.5 < float(confidence) < 1.0
    assert word.probability <= float(confidence)


def test_punctuation_and_capitals_stay() -> None:
    assert mended("Flocks, epoxy and a brush.")[0] == "Flox, epoxy and a brush."


def test_names_of_the_journal_are_no_misheard_words() -> None:
    assert mended("I asked dimpell about it", settings=Settings(helpers=("Dimpell",)))[1] == []


def test_the_builders_own_words_are_targets() -> None:
    own = Settings(vocabulary={"parts": {"zorbicator": ()}})
    assert mended("bolted the zorbikater on", settings=own)[0] == "bolted the zorbicator on"


@pytest.mark.parametrize(("one", "other"), [("break", "brake"), ("flocks", "flox"), ("click code", "clecoed")])
def test_alike_sounds(one: str, other: str) -> None:
    assert likeness(sounds(one), sounds(other)) > 0.8 > likeness(sounds(one), sounds("magneto"))
