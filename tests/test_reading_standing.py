"""Standing, sentence by sentence: was it done, and by whom. The sentences are this file's own."""
from __future__ import annotations

import pytest
from spacy.tokens import Token

from witnessmark.reading.disguise import parse_disguised
from witnessmark.reading.standing import rules, standing
from witnessmark.reading.standing_rules import data
from witnessmark.reading.text import language
from witnessmark.trade import Lexicon


def verb(sentence: str, word: str) -> Token:
    """The last token of a sentence with this text."""
    return [token for token in parse_disguised(language(), sentence) if token.lower_ == word][-1]


# The first eight are the definitions of the labels (the labels' guide, "acts"), which no code of ours wrote.
DEFINED = [
    ("I am going to prime it.", "prime", "planned", "builder"),
    ("I just finished priming it.", "priming", "done", "builder"),
    ("I am priming it now.", "priming", "doing", "builder"),
    ("I was going to prime it but ran out.", "prime", "planned", "builder"),
    ("I would have primed it first.", "primed", "advice", None),
    ("It still needs priming.", "priming", "planned", "builder"),
    ("It is not primed.", "primed", "not-done", "builder"),
    ("I had it powder coated.", "coated", "done", "paid"),
]
TENSES = [
    ("We drilled both brackets after lunch.", "drilled", "done", "builder"),
    ("I've riveted the rear bulkhead.", "riveted", "done", "builder"),
    ("The gear leg was bolted on Friday.", "bolted", "done", "builder"),
    ("Those nutplates are riveted.", "riveted", "done", "builder"),
    ("Drilled the doubler.", "drilled", "done", "builder"),
    ("I bent the flange over a block.", "bent", "done", "builder"),
    ("I cut the gusset this morning.", "cut", "done", "builder"),
    ("Cut that one by hand last night.", "cut", "done", "builder"),
    ("We'll rivet the floor on Sunday.", "rivet", "planned", "builder"),
    ("I need to flare the other end.", "flare", "planned", "builder"),
    ("The seat pan has to be painted.", "painted", "planned", "builder"),
    ("I'm sanding the tail cone while we talk.", "sanding", "doing", "builder"),
    ("I was sanding the tail cone when the phone rang.", "sanding", "done", "builder"),
]
DENIED = [
    ("I haven't torqued the axle nuts.", "torqued", "not-done", "builder"),
    ("The fuel line isn't flared.", "flared", "not-done", "builder"),
    ("Not deburred yet.", "deburred", "not-done", "builder"),
    ("I forgot to deburr the inside.", "deburr", "not-done", "builder"),
    ("I never primed the ribs.", "primed", "not-done", "builder"),
    ("Nobody has tested the tank.", "tested", "not-done", "builder"),
    ("There's not one hole drilled in it.", "drilled", "not-done", "builder"),
]
INTENDED = [
    ("I meant to safety wire the drain plug.", "wire", "planned", "builder"),
    ("I was hoping to get it primed before dark.", "primed", "planned", "builder"),
    ("The plan is to rivet the skins on Monday.", "rivet", "planned", "builder"),
    ("What's left is riveting the tip.", "riveting", "planned", "builder"),
    ("Priming the bulkheads is next.", "priming", "planned", "builder"),
]
ADVISED = [
    ("You always deburr the inside first.", "deburr", "advice", None),
    ("The manual says to torque them dry.", "torque", "advice", None),
    ("The plans call for priming the ribs.", "priming", "advice", None),
    ("Deburr both sides before you dimple anything.", "deburr", "advice", None),
    ("If I were you I'd prime them first.", "prime", "advice", None),
    ("Don't forget to torque the bolts.", "torque", "advice", None),
]
NOTHING_SAID = [
    ("Did I torque those?", "torque"),
    ("Once the legs are welded we go for coffee.", "welded"),
    ("I don't know whether they were primed.", "primed"),
    ("Before riveting the skin we had tea.", "riveting"),
]
OTHERS = [
    ("My daughter drilled the ribs.", "drilled", "done", "helper"),
    ("My daughter and I drilled the ribs.", "drilled", "done", "builder"),
    ("The frame was welded by a shop in town.", "welded", "done", "paid"),
    ("The upholsterer covered both seats.", "covered", "done", "paid"),
    ("It came already welded from the factory.", "welded", "done", "maker"),
    ("The spars were drilled by the kit maker.", "drilled", "done", "maker"),
    ("A tin basher down the road welded it for me.", "welded", "done", "helper"),
    ("I had them cut at the water jet place.", "cut", "done", "paid"),
    ("Priya is sanding the wing tip.", "sanding", "doing", "helper"),
    ("My neighbour helped me rivet the skins.", "rivet", "done", "builder"),
]


@pytest.mark.parametrize(("sentence", "word", "status", "who"),
                         [*DEFINED, *TENSES, *DENIED, *INTENDED, *ADVISED, *OTHERS])
def test_standing(sentence: str, word: str, status: str, who: str | None) -> None:
    judged = standing(verb(sentence, word))
    assert (judged.status, judged.who) == (status, who), judged.rules


@pytest.mark.parametrize(("sentence", "word"), NOTHING_SAID)
def test_words_that_state_nothing(sentence: str, word: str) -> None:
    """ConText's hypothetical and conditional triggers (Harkema et al. 2009): no statement of the builder's work."""
    judged = standing(verb(sentence, word))
    assert judged.status in (None, "advice"), judged.rules


@pytest.mark.parametrize(("sentence", "word"), [
    ("I thought those were torqued.", "torqued"), ("I'd have sworn I had drilled it.", "drilled"),
    ("I could have sworn the left one was primed.", "primed")])
def test_a_belief_of_the_past_is_marked(sentence: str, word: str) -> None:
    assert standing(verb(sentence, word)).believed


def test_a_doubtful_reading_is_less_sure() -> None:
    plain = standing(verb("I riveted the skin.", "riveted"))
    passive = standing(verb("The skin was riveted.", "riveted"))
    believed = standing(verb("I thought the skin was riveted.", "riveted"))
    assert plain.sure > passive.sure > believed.sure


def test_every_rule_that_fires_is_described() -> None:
    sentences = [*DEFINED, *TENSES, *DENIED, *INTENDED, *ADVISED, *OTHERS]
    fired = {rule for sentence, word, *_ in sentences for rule in standing(verb(sentence, word)).rules}
    assert fired and fired <= set(rules())
    assert all(rule["says"] and 0 < rule["sure"] <= 1 for rule in rules().values())


def test_every_word_class_is_lower_case_lemmas() -> None:
    assert all(word == word.lower() for words in data()["classes"].values() for word in words)


def test_every_trade_verb_is_judged_without_failing() -> None:
    lexicon = Lexicon.load()
    text = "Yesterday I riveted, primed and, um, the ribs, not that, was going to. Done! Which ones? Drilled."
    for token in parse_disguised(language(), text):
        if lexicon.verb_of(token):
            assert standing(token).status in ("done", "doing", "planned", "not-done", "advice", None)
