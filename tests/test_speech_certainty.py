"""Records are as sure as the words that they were read from, and figures with a twin are asked about."""
import pytest

from witnessmark.model import Act, Cue, Hours, Purchase, Reading, Settings, Transcript, Word
from witnessmark.speech import certainty, doubt, repair


def heard(text: str, unsure: dict[str, float] | None = None) -> Transcript:
    words = tuple(Word(f" {word}", number * 0.4, number * 0.4 + 0.3, (unsure or {}).get(word.strip(".,"), 0.95))
                  for number, word in enumerate(text.split()))
    return Transcript((Cue(0.0, words[-1].end, text, words),), "base 0")


def hours(transcript: Transcript, amount: float) -> Hours:
    record = Hours(cue=0, start=0.0, end=transcript.cues[0].end, quote=transcript.cues[0].text, confidence=0.9,
                   low=amount, high=amount, scope="session", who="builder", counted=True)
    return certainty.weighed(Reading(hours=(record,)), transcript).hours[0]


def purchase(transcript: Transcript, amount: float, quantity: float | None = None) -> Purchase:
    record = Purchase(cue=0, start=0.0, end=transcript.cues[0].end, quote=transcript.cues[0].text, confidence=0.9,
                      item="hinge", category="hardware", status="bought", amount_low=amount, amount_high=amount,
                      quantity=quantity)
    return certainty.weighed(Reading(purchases=(record,)), transcript).purchases[0]


@pytest.mark.parametrize(("text", "amount", "asked"), [
    ("fifteen hours on the canopy frame so far", 15, "fifteen or fifty?"),
    ("I am at 60 hours altogether", 60, "60 or 16?"),
    ("that was twelve hours in all", 12, None),
    ("that was two hours today", 2, None),
    ("seventy-five hours altogether", 75, None),
])
def test_hours_with_a_twin_are_asked_about(text: str, amount: float, asked: str | None) -> None:
    assert hours(heard(text), amount).doubts == ((asked,) if asked else ())


def test_a_small_figure_is_asked_about_where_it_was_heard_badly() -> None:
    record = hours(heard("that was four hours today", {"four": 0.5}), 4)
    assert record.doubts == ("four or for?",) and record.confidence < 0.9


def test_a_badly_heard_figure_is_asked_about_whatever_it_is() -> None:
    record = purchase(heard("the hinge cost $27 from them", {"$27": 0.3}), 27)
    assert record.doubts == ('the figure "$27" was heard badly: is it right?',) and record.confidence < 0.6


def test_the_price_of_one_belongs_to_the_price_of_all() -> None:
    assert purchase(heard("six hinges at $13 each"), 78, 6).doubts == ("$13 or $30?",)


def test_a_price_said_a_sentence_later_is_asked_about_there() -> None:
    first, second = heard("a pack of drill bits.").cues[0], heard("six at 310 each.").cues[0]
    both = Transcript((first, second), "base 0")
    assert purchase(both, 1860, 6).doubts == ("310 or 3.10?",)


def test_both_ends_of_a_range_of_minutes_are_weighed() -> None:
    pieces = (Word(" the", 0, 0.1, 0.9), Word(" shims", 0.1, 0.3, 0.9), Word(" 8", 0.3, 0.4, 0.5),
              Word("-40", 0.4, 0.6, 0.6), Word(" minutes.", 0.6, 0.9, 0.9))
    record = Hours(cue=0, start=0.0, end=0.9, quote="", confidence=0.9, low=0.13, high=0.67, scope="task",
                   who="builder", counted=True)
    told = certainty.weighed(Reading(hours=(record,)), Transcript((Cue(0.0, 0.9, "", pieces),), "base 0")).hours[0]
    assert told.doubts == ("8 or a or ate?", "40 or 14?")


def test_the_number_of_an_item_may_be_no_figure_of_hours() -> None:
    assert hours(heard("item 5 hours and so on"), 5).doubts == ('is "item 5" its number, or is it 5 hours?',)
    assert hours(heard("item 5 took 6 hours"), 6).doubts == ()


def test_figures_of_other_things_ask_nothing() -> None:
    assert purchase(heard("drilled fifteen holes and paid $27 for the hinge", {"fifteen": 0.3}), 27).doubts == ()


@pytest.mark.parametrize(("text", "amount"), [("paid $4.7 for the hinge", 47.0), ("paid aching dollars for it", 18.0)])
def test_a_price_nobody_says_is_mended_and_never_sure(text: str, amount: float) -> None:
    words = repair.repaired(heard(text).cues[0].words, Settings())
    record = purchase(Transcript((Cue(0.0, 9.0, text, words),), "base 0"), amount)
    assert record.confidence < 0.8 and "was heard as" in record.doubts[0]


def test_an_act_is_as_sure_as_its_verb_and_its_thing() -> None:
    act = Act(cue=0, start=0.0, end=9.0, quote="", task="dimple", part="aft rib", confidence=1.0)
    clear = heard("today I dimpled the aft ribs with Lovisa", {"Lovisa": 0.2})
    shaky = heard("today I dimpled the aft ribs", {"dimpled": 0.3})
    assert certainty.weighed(Reading(acts=(act,)), clear).acts[0].confidence == 1.0
    assert certainty.weighed(Reading(acts=(act,)), shaky).acts[0].confidence == pytest.approx(0.5)


def test_written_words_stay_as_sure_as_they_are() -> None:
    written = Transcript((Cue(0.0, 3.0, "fifteen hours today"),), "note")
    assert hours(written, 15).doubts == () and hours(written, 15).confidence == 0.9


def test_pieces_of_a_word_are_one_word() -> None:
    pieces = (Word(" thirty", 0, 0.2, 0.9), Word("-nine", 0.2, 0.4, 0.7), Word(" dollars.", 0.4, 0.6, 0.8))
    spoken = doubt.spoken_words(pieces)
    assert [(word.bare, word.probability) for word in spoken] == [("thirty-nine", 0.7), ("dollars", 0.8)]
    assert doubt.twins(spoken[0].bare) == ()
