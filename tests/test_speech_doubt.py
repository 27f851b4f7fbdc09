"""Figures with a twin, improbable words, and text that nobody said."""
import pytest

from witnessmark.model import Capture, Cue, Moment, Settings, Word
from witnessmark.speech import bias, doubt, second
from witnessmark.speech.recognise import Stretch


def words(text: str, probability: float = 0.9, start: float = 0.0) -> tuple[Word, ...]:
    return tuple(Word(f" {word}", start + n * 0.4, start + n * 0.4 + 0.3, probability)
                 for n, word in enumerate(text.split()))


@pytest.mark.parametrize(("heard", "readings"), [
    ("eighty", ("eighteen",)), ("Eighteen,", ("eighty",)), ("$80", ("$18",)), ("$18.50", ("$80.50", "$18.15")),
    ("$19.50", ("$90.50", "$19.15")), ("115", ("150",)), ("four", ("for",)), ("8", ("a", "ate")),
    ("two", ("to", "too")), ("1200", ()), ("twelve", ()), ("rib", ()), ("20", ()),
])
def test_twins(heard: str, readings: tuple[str, ...]) -> None:
    assert doubt.twins(heard) == readings


def test_twins_point_at_each_other() -> None:
    for teen, ten in doubt.TEENS.items():
        assert doubt.twins(teen) == (ten,) and doubt.twins(ten) == (teen,)


def test_a_loop_is_said_once_and_emphasis_stays() -> None:
    loop = words("so I drilled it " + "and then I " * 7 + "stopped")
    assert " ".join(word.text.strip() for word in doubt.without_loops(loop)) == "so I drilled it and then I stopped"
    no = words("no no no not that one")
    assert doubt.without_loops(no) == list(no)


@pytest.mark.parametrize(("text", "probability", "kept"), [
    ("Thank you for watching.", 0.4, False), ("Thanks for watching.", 0.95, True), ("you", 0.3, False),
    ("Subtitles by somebody", 0.4, False), ("The spar is primed.", 0.3, True)])
def test_stock_phrases(text: str, probability: float, kept: bool) -> None:
    assert bool(doubt.said([Stretch(words(text, probability), -0.5, 0.1, 1.0)])) is kept


def test_silence_and_echoed_hotwords_give_nothing() -> None:
    hot = "cleco, clecoed, deburred, dimpled, countersunk, alodined, longeron"
    assert doubt.said([Stretch(words("and so the wing"), -1.4, 0.9, 1.0)]) == []
    echo = Stretch(words("clecoed deburred dimpled countersunk alodined longeron"), -0.2, 0.1, 1.0)
    assert doubt.said([echo], hot) == []


def test_the_second_look_takes_unsure_figures_within_its_share() -> None:
    talk = "we talked about the weather and the dog " * 3
    filler = [Cue(n, n + 2, "x", words(talk, 0.9, n)) for n in range(0, 40, 4)]
    unsure = Cue(50, 52, "x", words("it took forty minutes", 0.3, 50))
    chatter = Cue(60, 62, "x", words("what a lovely morning", 0.3, 60))
    assert second.chosen_cues([*filler, unsure, chatter], Settings()) == [10]


def test_the_second_hearing_must_be_better_and_lose_no_trade_word() -> None:
    first = words("he clecoed it", 0.5)
    trade = frozenset({"clecoed"})
    assert second.better(first, words("he clecoed it", 0.8), trade) != first
    assert second.better(first, words("he collected it", 0.8), trade) == first
    assert second.better(first, words("he clecoed it", 0.52), trade) == first
    assert second.better(first, (), trade) == first


def test_hotwords_keep_their_limit_and_know_the_journal() -> None:
    capture = Capture("tail/left elevator/clip.mov", "0", 1, "recording", "video/quicktime",
                      Moment(None, "none", "none"))
    own = Settings(aircraft="spruce and plywood biplane", vocabulary={"parts": {"zorbicator": ()}})
    chosen = bias.hotwords(own, capture, ("idler arm",), lambda text: len(text.split()))
    assert len(chosen.split()) <= bias.MOST_TOKENS
    assert {"zorbicator", "idler arm", "elevator"} <= set(chosen.split(", "))
    assert chosen.index("varnished") < chosen.index("bucking bar")
