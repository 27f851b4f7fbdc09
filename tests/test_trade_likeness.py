"""Strange words and the trade words that they may be."""
import pytest

from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import inflections, plural, singular
from witnessmark.trade.likeness import is_english, matches, score


@pytest.fixture(scope="module")
def words():
    return Lexicon.load().words


@pytest.mark.parametrize(("heard", "meant"), [
    ("longeran", "longeron"), ("ailaron", "aileron"), ("nutplait", "nutplate"), ("empenage", "empennage"),
    ("fusilage", "fuselage"), ("stabalizer", "stabilizer"), ("magnito", "magneto"), ("alladined", "alodined"),
    ("gussitt", "gusset"), ("deburd", "deburred"),
])
def test_the_meant_word_comes_first(words, heard, meant):
    found = [match.word for match in matches(heard, words | {"empennage"})]
    assert found[:1] == [meant] or meant in found[:3]


@pytest.mark.parametrize("word", ["river", "climber", "flop", "cloak", "primary", "sparrow", "alien", "guest", "can"])
def test_a_common_word_is_never_taken_for_another(words, word):
    assert is_english(word)
    assert matches(word, words) == ()


@pytest.mark.parametrize("word", ["zzxq", "wkq", "ab", "an470", "qwertyuiopas"])
def test_noise_resembles_nothing(words, word):
    assert matches(word, words) == ()


def test_scores():
    assert score("Cleco", "cleco") == 1.0
    assert 0.85 < score("klekoed", "clecoed") < 1.0
    assert score("sandwich", "rivet") < 0.6


def test_matches_are_ordered_and_scored(words):
    found = matches("longeran", words)
    assert [match.likeness for match in found] == sorted((match.likeness for match in found), reverse=True)
    assert all(0.88 <= match.likeness < 1 for match in found)


@pytest.mark.parametrize("noun", ["rib", "bushing", "longeron", "axle", "switch", "box", "cleco", "assembly", "hinge",
                                  "canopy", "boss", "brush", "gear leg", "trim tab", "tire", "valve", "wedge"])
def test_plural_and_singular_are_inverse(noun):
    assert singular(plural(noun)) == noun


@pytest.mark.parametrize("word", ["brass", "chassis", "lens", "canvas", "gas", "radius", "axis"])
def test_words_in_s_that_are_no_plural(word):
    assert singular(word) == word


@pytest.mark.parametrize(("verb", "forms"), [
    ("tap", {"taps", "tapped", "tapping"}), ("glue", {"glues", "glued", "gluing"}),
    ("safety wire", {"safety wires", "safety wired", "safety wiring"}), ("polish", {"polishes", "polished"}),
    ("cleco", {"clecos", "clecoed", "clecoing", "cleco'd"}), ("epoxy", {"epoxies", "epoxied", "epoxying"}),
    ("rivet", {"riveted", "riveting", "rivetted"}),
])
def test_inflections_by_the_spelling_rules(verb, forms):
    assert forms <= set(inflections(verb))
