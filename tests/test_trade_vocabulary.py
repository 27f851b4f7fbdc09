"""The tables of the vocabulary: complete, consistent, and open to a builder's own words."""
from collections import Counter

import pytest

from witnessmark.errors import JournalError
from witnessmark.trade import Lexicon
from witnessmark.trade.designations.hardware import RULES, standards
from witnessmark.trade.vocabulary import built_in

# The task ids, assembly ids and purchase categories that every room shares.
TASKS = [
    "layout", "cut", "drill", "match-drill", "ream", "deburr", "countersink", "dimple", "bend", "weld",
    "fabricate", "clean", "conversion-coat", "prime", "paint", "cleco", "rivet", "drill-out", "bolt", "torque",
    "safety-wire", "bond", "layup", "seal", "sand", "fill", "cover", "fit", "assemble", "install", "remove",
    "wire", "crimp", "route", "flare", "rig", "inspect", "test", "weigh", "inventory",
]
ASSEMBLIES = [
    "wing", "aileron", "flap", "horizontal-stabilizer", "elevator", "vertical-stabilizer", "rudder", "trim-tab",
    "fuselage", "firewall", "canopy-windshield", "doors", "cabin-interior", "baggage-compartment",
    "instrument-panel", "flight-controls", "landing-gear", "wheels-brakes", "engine-mount", "engine", "exhaust",
    "cowling", "propeller", "fuel-system", "electrical", "lighting", "avionics", "pitot-static", "fairings",
    "exterior-finish", "shop",
]
CATEGORIES = {"tool", "consumable", "hardware", "material", "part", "kit", "service", "safety-gear"}


@pytest.fixture(scope="module")
def lexicon():
    return Lexicon.load()


def test_every_task_and_assembly_id_is_there_and_no_other(lexicon):
    assert list(lexicon.tasks) == TASKS
    assert list(lexicon.assemblies) == ASSEMBLIES


@pytest.mark.parametrize("task", TASKS)
def test_every_task_has_verbs_and_a_noun_of_work(task):
    vocabulary = built_in()
    assert sum(form.task == task for form in vocabulary.verbs) >= 2
    assert task in vocabulary.nominals.values()
    assert vocabulary.tasks[task][0].isupper()


@pytest.mark.parametrize("assembly", ASSEMBLIES)
def test_every_assembly_has_words_and_parts(lexicon, assembly):
    label, synonyms = lexicon.assemblies[assembly]
    assert label and synonyms
    if assembly != "exterior-finish":
        assert any(owner == assembly for owner, *_ in lexicon.parts.values())


def test_there_is_enough_of_it(lexicon):
    vocabulary = built_in()
    assert len(lexicon.parts) >= 500
    assert len(vocabulary.verbs) >= 600
    assert len({form.lemma for form in vocabulary.verbs}) >= 400


@pytest.mark.parametrize("construction", ["metal", "wood", "composite", "tube-fabric"])
def test_every_way_of_building_has_its_own_parts(lexicon, construction):
    assert sum(construction in ways for *_, ways in lexicon.parts.values()) >= 10


def test_things_refer_only_to_known_ids():
    vocabulary = built_in()
    assert {thing.category for thing in vocabulary.things} <= CATEGORIES
    assert {thing.assembly for thing in vocabulary.things if thing.assembly} <= set(ASSEMBLIES)
    assert {form.task for form in vocabulary.verbs} <= set(TASKS)
    assert set(vocabulary.nominals.values()) <= set(TASKS)
    assert set(vocabulary.services.values()) <= CATEGORIES


def test_no_name_means_two_things():
    names = Counter(name.replace("-", " ") for thing in built_in().things
                    for name in {thing.name.replace("-", " "), *(s.replace("-", " ") for s in thing.synonyms)})
    assert [name for name, count in names.items() if count > 1] == []


def test_every_designation_names_a_thing_of_the_vocabulary(lexicon):
    for standard in standards().values():
        assert lexicon.thing(standard.thing) is not None, standard
        assert standard.rule in RULES


@pytest.mark.parametrize(("name", "category"), [
    ("rivet gun", "tool"), ("number 40 bit", "tool"), ("torque wrench", "tool"), ("epoxy primer", "consumable"),
    ("tank sealant", "consumable"), ("masking tape", "consumable"), ("AN470AD4-5", "hardware"),
    ("AN3-5A bolt", "hardware"),
    ("MS21044N3", "hardware"), ("cotter pins", "hardware"), ("2024-T3 sheet", "material"), ("spruce plank", "material"),
    ("4130 tubing", "material"), ("carburetor", "part"), ("main wheel", "part"), ("comm radio", "part"),
    ("wing kit", "kit"), ("powder coating", "service"), ("cowl painting", "service"), ("engine inspection", "service"),
    ("freight", "service"), ("respirator cartridges", "safety-gear"), ("nitrile gloves", "safety-gear"),
    ("left elevator skin", "part"), ("a sandwich", None),
])
def test_purchase_categories(lexicon, name, category):
    assert lexicon.category(name) == category


@pytest.mark.parametrize(("part", "assembly"), [
    ("magneto", "engine"), ("caliper", "wheels-brakes"), ("bungee", "landing-gear"), ("axle", "landing-gear"),
    ("elevator skin", "elevator"), ("oil cooler", "engine"), ("rudder cable", "flight-controls"),
    ("longeron", "fuselage"), ("spinner", "propeller"), ("flying wire", "wing"), ("rib", None), ("spar", None),
    ("gusset", None), ("doubler", None), ("trailing edge", None),
])
def test_a_part_has_an_assembly_only_where_it_always_belongs_there(lexicon, part, assembly):
    assert lexicon.parts[part][0] == assembly


@pytest.mark.parametrize(("asked", "task"), [
    ("primed", "prime"), ("primer", "prime"), ("leak tested", "test"), ("leak test", "test"), ("varnished", "seal"),
    ("powder coated", "paint"), ("alodined", "conversion-coat"), ("glued", "bond"), ("hung", "install"),
    ("weight and balance", "weigh"), ("rib stitching", "cover"), ("safetied", "safety-wire"), ("scarf", "cut"),
    ("torqued", "torque"), ("layup", "layup"),
])
def test_the_words_by_which_a_task_may_be_asked_for(lexicon, asked, task):
    assert task in {form.task for form in lexicon.task_forms(asked)}


def test_question_words_list_every_task(lexicon):
    assert {task for tasks in lexicon.task_question_words.values() for task in tasks} == set(TASKS)
    assert lexicon.task_question_words["varnish"][0] == "seal"
    assert lexicon.task_question_words["drill out"][0] == "drill-out"


def test_a_builders_own_words(lexicon):
    own = Lexicon.load({"parts": {"roll hoop": ("main hoop", "cage")}, "tasks": {"prime": ("zorch",)},
                        "assemblies": {"wing": ("planform",)}, "tools": {"drill": ("whizzer",)}})
    assert own.category("cage") == "part"
    assert own.thing("main hoop").name == "roll hoop"
    assert own.thing("whizzer").name == "drill"
    assert [form.task for form in own.task_forms("zorched")] == ["prime"]
    assert "planform" in own.assemblies["wing"][1]
    assert lexicon.task_forms("zorched") == ()


@pytest.mark.parametrize(("vocabulary", "named"), [
    ({"taks": {}}, "taks"), ({"tasks": {"priming": ("zorch",)}}, "priming"), ({"assemblies": {"wings": ()}}, "wings"),
])
def test_a_wrong_key_is_named_with_what_is_allowed(vocabulary, named):
    with pytest.raises(JournalError) as error:
        Lexicon.load(vocabulary)
    assert named in str(error.value)
    assert "use one of" in str(error.value) and str(error.value).count(". ") == 0


def test_the_plain_lexicon_is_made_once():
    assert Lexicon.load() is Lexicon.load() is Lexicon.load({})
    assert Lexicon.load({"parts": {"turret": ()}}) is not Lexicon.load()
