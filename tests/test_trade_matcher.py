"""Terms found in sentences. All sentences are invented."""
import itertools

import pytest

from witnessmark.reading.text import language
from witnessmark.trade import Lexicon


@pytest.fixture(scope="module")
def lexicon():
    return Lexicon.load()


def terms(lexicon, text, *kinds):
    found = lexicon.terms(language()(text))
    return [term for term in found if not kinds or term.kind in kinds]


@pytest.mark.parametrize(("text", "name"), [
    ("The nutplates are in.", "nutplate"), ("Two nut plates cracked.", "nutplate"), ("A nut-plate fell.", "nutplate"),
    ("The anchor nuts are in.", "nutplate"), ("The push rods are done.", "pushrod"),
    ("The push-rod is done.", "pushrod"),
    ("The bell cranks are back.", "bellcrank"), ("My gear legs are bent.", "gear leg"),
    ("The gearlegs are bent.", "gear leg"), ("All the longerons are straight.", "longeron"),
    ("The bushings are tight.", "bushing"), ("Both gussets are cut.", "gusset"), ("The tyres came.", "tire"),
    ("The windscreen is cut.", "windshield"), ("The carburettor is on.", "carburetor"),
    ("The fuselage is upside down.", None),
])
def test_plurals_hyphens_and_synonyms(lexicon, text, name):
    names = [term.id for term in terms(lexicon, text, "part")]
    assert (name in names) if name else True
    assert len(names) <= 1


@pytest.mark.parametrize(("text", "name", "assembly"), [
    ("I cut the aileron hinge bracket.", "aileron hinge bracket", "aileron"),
    ("I bent the lower rear strut fitting.", "lower rear strut fitting", None),
    ("The upper left engine mount bolt is in.", "upper engine mount bolt", "engine-mount"),
    ("She sanded the fuel tank strap.", "fuel tank strap", "fuel-system"),
    ("The top left longeron broke.", "top longeron", "fuselage"),
    ("The left front spar web is here.", "front spar web", None),
    ("The reinforcement doubler fits.", "reinforcement doubler", None),
    ("The rudder cable turnbuckle is tight.", "rudder cable turnbuckle", "flight-controls"),
    ("I glued frame four.", "frame four", None),
    ("I glued frame four hours ago.", "frame", None),
])
def test_names_are_put_together_and_belong_to_their_first_owner(lexicon, text, name, assembly):
    found = terms(lexicon, text, "part")[0]
    assert (found.id, found.assembly) == (name, assembly)


def test_the_longest_name_wins_and_terms_do_not_overlap(lexicon):
    found = terms(lexicon, "The oil cooler duct and the oil line touch the engine mount.", "part")
    assert [term.id for term in found] == ["oil cooler duct", "oil line", "engine mount"]
    spans = [(term.start, term.end) for term in found]
    assert all(one[1] <= other[0] for one, other in itertools.pairwise(spans))


def test_assemblies_stand_beside_parts(lexicon):
    found = terms(lexicon, "I primed the left elevator skin.", "assembly")
    assert [(term.id, term.text) for term in found] == [("elevator", "elevator")]


@pytest.mark.parametrize(("text", "wrong"), [
    ("I ran the rudder cable.", "rudder"), ("The ring gear is chipped.", "landing-gear"),
    ("My safety gear hangs there.", "landing-gear"), ("The grain elevator is close.", "elevator"),
    ("I closed the access panel.", "instrument-panel"),
    ("A machine shop bored it.", "shop"), ("The woman from next door helped.", "doors"),
])
def test_a_word_inside_another_name_is_no_assembly(lexicon, text, wrong):
    assert wrong not in {term.id for term in terms(lexicon, text, "assembly")}


@pytest.mark.parametrize(("text", "kind", "name"), [
    ("The torque wrench is out.", "tool", "torque wrench"), ("Buy some epoxy primer.", "consumable", "epoxy primer"),
    ("Two yards of peel ply.", "consumable", "peel ply"), ("A sheet of birch plywood.", "material", "plywood"),
    ("I used AN470AD4-5 rivets.", "designation", "AN470AD4-5"), ("It is 2024-T3 sheet.", "designation", "2024-T3"),
    ("The first leak test failed.", "task", "test"), ("I did the weight and balance.", "task", "weigh"),
    ("First coat of primer is on.", "task", "prime"), ("The fit-up took a day.", "task", "fit"),
    ("Inventory took all night.", "task", "inventory"),
])
def test_kinds(lexicon, text, kind, name):
    assert name in [term.id for term in terms(lexicon, text, kind)]


@pytest.mark.parametrize("text", [
    "Drill the hole.", "I can do it.", "Let me tape it.", "We seal it tomorrow.", "I filed them.",
    "They bolt it down.", "I shot some pictures.",
])
def test_verbs_are_no_tools_or_consumables(lexicon, text):
    assert terms(lexicon, text, "tool", "consumable", "material") == []


def test_a_verb_of_several_words_leaves_no_part_behind(lexicon):
    assert [t.id for t in terms(lexicon, "I block sanded the cowl and rib stitched the wing.", "part")] == [
        "cowling", "wing"]
    assert [t.id for t in terms(lexicon, "We will pop rivet the floorboard.", "part")] == ["floorboard"]


@pytest.mark.parametrize(("text", "name"), [
    ("I bent the flange on the brake.", "bending brake"), ("The brake is dragging.", "brake"),
    ("Three plies of BID on the lip.", "bid"), ("I laid the cloth in wet resin.", "fiberglass"),
    ("We pulled the cloth over the wing and doped it.", "polyester fabric"),
])
def test_a_word_with_two_senses_is_told_by_its_neighbours(lexicon, text, name):
    assert name in [term.id for term in terms(lexicon, text)]


def test_a_bid_at_the_auction_is_no_cloth(lexicon):
    assert "bid" not in [term.id for term in terms(lexicon, "I put in a bid on the hangar.")]


def test_a_term_knows_its_tokens_and_words(lexicon):
    doc = language()("So the oil coolers came.")
    term = next(term for term in lexicon.terms(doc) if term.kind == "part")
    assert doc[term.start:term.end].text == term.text == "oil coolers"
    assert (term.id, term.assembly, term.likeness) == ("oil cooler", "engine", 1.0)


def test_a_designation_takes_its_words_and_leaves_the_noun(lexicon):
    found = terms(lexicon, "I broke the number 40 bit.", "designation", "tool")
    assert [(term.kind, term.id, term.text) for term in found] == [
        ("designation", "#40", "number 40"), ("tool", "drill bit", "bit")]


def test_own_words_are_found_in_text():
    own = Lexicon.load({"parts": {"turret": ("dorsal bump",)}, "assemblies": {"wing": ("planform",)}})
    found = own.terms(language()("I sanded the dorsal bump on the planform."))
    assert {(term.kind, term.id) for term in found} >= {("part", "turret"), ("assembly", "wing")}


def test_text_without_the_trade_has_no_terms(lexicon):
    assert terms(lexicon, "We had soup and went to see her mother on Sunday.") == []
