"""Trade verbs in their forms, told from the nouns that are spelled the same. The sentences are invented."""
import pytest

from witnessmark.reading.text import language
from witnessmark.trade import Lexicon


@pytest.fixture(scope="module")
def lexicon():
    return Lexicon.load()


def verbs(lexicon, text):
    """The trade verbs of a text, leaving everyday ones out."""
    found = []
    for token in language()(text):
        lemma = lexicon.verb_of(token)
        if lemma and not all(form.light for form in lexicon.task_forms(lemma)):
            found.append(lemma)
    return found


# One sentence a form: inflected, irregular, misspelt, British, with a hyphen or an apostrophe.
@pytest.mark.parametrize(("text", "lemma", "task"), [
    ("I clecoed the doubler in place.", "cleco", "cleco"),
    ("We clekoed it all up.", "cleco", "cleco"),
    ("I cleco'd the ribs.", "cleco", "cleco"),
    ("They are clecoing the skins.", "cleco", "cleco"),
    ("Dimpled every hole in the rib.", "dimple", "dimple"),
    ("Deburred both sides of the web.", "deburr", "deburr"),
    ("I debured the edges.", "deburr", "deburr"),
    ("Still deburring brackets tonight.", "deburr", "deburr"),
    ("The bulkheads are Alodined.", "alodine", "conversion-coat"),
    ("We anodised the knobs.", "anodize", "conversion-coat"),
    ("I primed the stringers.", "prime", "prime"),
    ("Sal bucked while I ran the gun.", "buck", "rivet"),
    ("I squeezed the rivets along the flange.", "squeeze", "rivet"),
    ("The skins got back riveted.", "back rivet", "rivet"),
    ("I pop-riveted the fairing strip.", "pop rivet", "rivet"),
    ("The turnbuckles are safetied.", "safety", "safety-wire"),
    ("I safety-wired the plug.", "safety wire", "safety-wire"),
    ("We lockwired the bolts.", "lock wire", "safety-wire"),
    ("The bolts were torqued.", "torque", "torque"),
    ("I glassed the corner.", "glass", "layup"),
    ("He floxed the hardpoint in.", "flox", "bond"),
    ("I flocked the joint.", "flock", "bond"),
    ("We epoxied the blocks down.", "epoxy", "bond"),
    ("I scuffed the gel coat.", "scuff", "sand"),
    ("I wet-sanded the tip.", "wet sand", "sand"),
    ("The frames were varnished.", "varnish", "seal"),
    ("Nita doped the rudder.", "dope", "seal"),
    ("We shrunk the fabric with the iron.", "shrink", "cover"),
    ("I ironed the bottom side.", "iron", "cover"),
    ("The left wing is rib-stitched.", "rib stitch", "cover"),
    ("I scarfed the panel.", "scarf", "cut"),
    ("I planed the edge.", "plane", "cut"),
    ("She notched the tube.", "notch", "cut"),
    ("I fishmouthed the ends.", "fishmouth", "cut"),
    ("He coped the tubes.", "cope", "cut"),
    ("I sawed the blank out.", "saw", "cut"),
    ("It was sawn from scrap.", "saw", "cut"),
    ("We tacked the cluster.", "tack", "weld"),
    ("I brazed the lug on.", "braze", "weld"),
    ("The joint was normalised.", "normalize", "weld"),
    ("The ends are swaged.", "swage", "crimp"),
    ("I nicopressed the thimbles.", "nicopress", "crimp"),
    ("I flared both ends.", "flare", "flare"),
    ("I bent up the brackets.", "bend", "bend"),
    ("The flanges were fluted.", "flute", "bend"),
    ("We jigged the side frames.", "jig", "assemble"),
    ("I marked out the holes.", "mark", "layout"),
    ("We snapped lines on the skin.", "snap", "layout"),
    ("I masked the stripe.", "mask", "paint"),
    ("It is rattle-canned gray.", "rattle can", "paint"),
    ("The spar is match-drilled.", "match drill", "match-drill"),
    ("I match drilled the web.", "match drill", "match-drill"),
    ("I countersunk the strip.", "countersink", "countersink"),
    ("I reamed the lugs.", "ream", "ream"),
    ("The canopy was trial fitted.", "trial fit", "fit"),
    ("I rang out the harness.", "ring", "test"),
    ("We leak checked the tank.", "leak check", "test"),
    ("I weighed the rudder.", "weigh", "weigh"),
    ("I inventoried the crate.", "inventory", "inventory"),
    ("We rigged the flaps.", "rig", "rig"),
    ("I routed the coax aft.", "route", "route"),
    ("The cowl got powder coated.", "powder coat", "paint"),
    ("I micro'd the low spots.", "micro", "fill"),
])
def test_forms(lexicon, text, lemma, task):
    found = {lexicon.verb_of(token) for token in language()(text)} - {None}
    assert lemma in found
    assert task in {form.task for form in lexicon.task_forms(lemma)}


@pytest.mark.parametrize("text", [
    "Hand me the drill.", "The rivets are on the bench.", "My file is dull.", "The paint is still wet.",
    "A bag of clecos fell over.", "The seal came loose.", "Two clamps and a bolt.", "The strut fitting is cracked.",
    "Those bearings are new.", "The fairings look good.", "I can hear you.", "The can is empty.",
    "The flap rib is bent wood.", "I bought a bucking bar and a deburring tool.", "The flying wires arrived.",
    "The lightening holes look fine.", "The glue's gone cold.", "This weld has a crack.", "I saw it myself.",
    "The cowling is here.", "It has no primer.", "A new drill press.", "The tape is two inches wide.",
])
def test_nouns_that_are_spelled_like_verbs(lexicon, text):
    allowed = {"bend"} if "bent" in text else set()
    assert set(verbs(lexicon, text)) <= allowed


@pytest.mark.parametrize(("text", "expected"), [
    ("Drill the holes with the drill.", ["drill"]),
    ("Rivet the skins and prime the ribs.", ["rivet", "prime"]),
    ("I need to file the edges with a file.", ["file"]),
    ("You seal the seam, then tape the seal.", ["seal", "tape"]),
    ("I can fit the fitting.", ["fit"]),
    ("I'm fitting the fairing.", ["fit"]),
    ("You'd dimple the skin.", ["dimple"]),
    ("What I have to do is prime that spar.", ["prime"]),
    ("He's cutting the gussets.", ["cut"]),
    ("You pull test each terminal.", ["pull test"]),
    ("I want to safety wire the filter.", ["safety wire"]),
    ("We are going to pop rivet the floor.", ["pop rivet"]),
])
def test_verbs_that_are_spelled_like_nouns(lexicon, text, expected):
    assert verbs(lexicon, text) == expected


@pytest.mark.parametrize("text", [
    "I cut the grass on Monday.", "We shot a video of the doors.", "I screwed up the rib.", "She wired me the money.",
    "I cut my thumb on the skin.", "Let me fill you in.", "I filled the tank with gas.", "He painted the kitchen.",
    "We tested her patience.", "You can bond with your kid out here.", "The house got painted.",
])
def test_everyday_talk_is_no_work(lexicon, text):
    assert verbs(lexicon, text) == []


@pytest.mark.parametrize(("text", "lemma"), [
    ("I cut the grass and cut the skin.", "cut"), ("I screwed down the floor.", "screw"),
    ("We filled the pinholes.", "fill"), ("He painted the kit.", "paint"), ("We tested her tank.", "test"),
    ("I weighed her on Friday.", "weigh"), ("I glued the tooth pads.", "glue"),
])
def test_the_same_verbs_are_work_on_the_airplane(lexicon, text, lemma):
    assert lemma in verbs(lexicon, text)


@pytest.mark.parametrize(("lemma", "particle", "thing", "task"), [
    ("shoot", None, "primer", "prime"), ("shoot", None, "paint", "paint"), ("shoot", None, "rivet", "rivet"),
    ("spray", None, "varnish", "seal"), ("drill", "out", None, "drill-out"), ("cut", "off", "fitting", "remove"),
    ("put", "together", None, "assemble"), ("lay", "out", None, "layout"), ("lay", "up", "glass", "layup"),
    ("take", "off", None, "remove"), ("glue", None, "fabric", "cover"), ("tape", None, "rib", "cover"),
    ("pull", None, "rivet", "rivet"), ("set", None, "rivet", "rivet"), ("run", None, "cable", "route"),
    ("run", "up", "engine", "test"), ("break", None, "edge", "deburr"), ("knock", "off", "burr", "deburr"),
    ("rough", "up", None, "sand"), ("hook", "up", None, "wire"), ("go", "on", None, "install"),
    ("touch", "up", None, "paint"), ("bleed", None, "brake", "test"), ("balance", None, "elevator", "rig"),
])
def test_senses_by_particle_and_object(lexicon, lemma, particle, thing, task):
    assert any(form.task == task and form.particle == particle and (thing is None or thing in form.objects
                                                                    or "part" in form.objects or not form.objects)
               for form in lexicon.task_forms(lemma))


def test_pictures_are_not_shot_with_primer(lexicon):
    assert all(form.objects and not form.objects & {"picture", "video", "photo"}
               for form in lexicon.task_forms("shoot"))


def test_narrow_senses_come_before_broad_ones(lexicon):
    tasks = [form.task for form in lexicon.task_forms("strip")]
    assert tasks.index("wire") < tasks.index("clean")


def test_everyday_verbs_are_marked(lexicon):
    for lemma in ("put", "get", "go", "do", "make", "take", "come", "hang", "start", "open"):
        assert all(form.light for form in lexicon.task_forms(lemma)), lemma


def test_every_verb_is_found_in_its_regular_forms(lexicon):
    for lemma in ("deburr", "rivet", "cleco", "dimple", "safety", "glue", "tap", "weld", "varnish", "epoxy", "fit"):
        for form in {"deburr": ("deburrs", "deburred", "deburring"), "rivet": ("rivets", "riveted", "riveting"),
                     "cleco": ("clecos", "clecoed", "clecoing"), "dimple": ("dimples", "dimpled", "dimpling"),
                     "safety": ("safeties", "safetied", "safetying"), "glue": ("glues", "glued", "gluing"),
                     "tap": ("taps", "tapped", "tapping"), "weld": ("welds", "welded", "welding"),
                     "varnish": ("varnishes", "varnished", "varnishing"), "epoxy": ("epoxied", "epoxying"),
                     "fit": ("fits", "fitted", "fitting")}[lemma]:
            assert lexicon.task_forms(form) == lexicon.task_forms(lemma), form
