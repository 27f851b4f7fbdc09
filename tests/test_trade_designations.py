"""Standard designations, typed and spoken, against the dash-number rules and tables of the standards."""
import pytest

from witnessmark.trade.designations import find, parse
from witnessmark.trade.designations.hardware import standards
from witnessmark.trade.designations.stock import letter_drills, number_drills


@pytest.mark.parametrize(("written", "standard", "diameter", "length"), [
    # AC 43.13-1B, figure 4-4: diameter in 32nds of an inch, length in 16ths.
    ("AN470AD4-6", "AN470", 1 / 8, 3 / 8),
    ("MS20470AD4-5", "MS20470", 1 / 8, 5 / 16),
    ("MS20426AD3-4", "MS20426", 3 / 32, 1 / 4),
    ("AN426AD3-3", "AN426", 3 / 32, 3 / 16),
    ("MS20470AD6-8", "MS20470", 3 / 16, 1 / 2),
    # AC 43.13-1B, paragraph 4-57: half sizes by ".5" after the length.
    ("MS20470AD4-3.5", "MS20470", 1 / 8, 3.5 / 16),
])
def test_rivets_by_the_figure_of_the_advisory_circular(written, standard, diameter, length):
    rivet = parse(written)
    assert rivet is not None
    assert (rivet.family, rivet.standard, rivet.text) == ("rivet", standard, written)
    assert rivet.diameter == pytest.approx(diameter)
    assert rivet.length == pytest.approx(length)


def test_a_rivet_is_described_for_a_person():
    rivet = parse("AN470AD4-6")
    assert rivet.thing == "universal head rivet"
    assert rivet.description == "universal head rivet, 2117 aluminum, 1/8 inch diameter, 3/8 inch long"


@pytest.mark.parametrize(("code", "alloy"), [
    # AC 43.13-1B, paragraph 7-2 and the head-marking table of chapter 4: A 1100, AD 2117, D 2017, DD 2024, B 5056.
    ("A", "1100"), ("AD", "2117"), ("D", "2017"), ("DD", "2024"), ("B", "5056"),
])
def test_rivet_alloy_codes(code, alloy):
    assert alloy in parse(f"MS20470{code}4-4").material


def test_superseded_heads_stay_known():
    # AC 43.13-1B, paragraphs 4-57 and 7-1: MS20426 supersedes AN426, MS20470 supersedes AN470 and AN430, AN442.
    assert standards()["AN426"].superseded_by == "MS20426"
    assert {standards()[name].superseded_by for name in ("AN470", "AN430", "AN442", "AN455")} == {"MS20470"}


# The AN3-20 standard's table of grips and lengths in inches, as reprinted in mechanics' references.
BOLTS = {
    "AN3": {"3": (.063, .469), "4": (.125, .531), "5": (.250, .656), "6": (.375, .781), "7": (.500, .906),
            "10": (.625, 1.031), "11": (.750, 1.156), "12": (.875, 1.281), "13": (1.000, 1.406)},
    "AN4": {"3": (.063, .469), "4": (.063, .531), "5": (.188, .656), "6": (.313, .781), "7": (.438, .906),
            "10": (.563, 1.031), "11": (.688, 1.156), "12": (.813, 1.281)},
    "AN5": {"5": (.188, .719), "6": (.313, .844), "7": (.438, .969), "11": (.688, 1.219), "12": (.813, 1.344)},
    "AN6": {"5": (.063, .703), "6": (.188, .828), "7": (.313, .953), "10": (.438, 1.078), "11": (.563, 1.203)},
}


@pytest.mark.parametrize(("size", "code"), [(size, code) for size, codes in BOLTS.items() for code in codes])
def test_bolt_lengths_and_grips_by_the_table(size, code):
    bolt = parse(f"{size}-{code}A")
    grip, length = BOLTS[size][code]
    assert bolt.diameter == int(size[2:]) / 16
    assert bolt.length == pytest.approx(length, abs=.001)
    assert bolt.grip == pytest.approx(grip, abs=.001)


@pytest.mark.parametrize(("written", "says"), [
    # FAA-H-8083-30, "Aircraft Hardware": H drilled head, A undrilled shank, C stainless steel, DD 2024 aluminum.
    ("AN3-5A", "shank not drilled"), ("AN3-5", "cotter pin"), ("AN5H-10A", "head drilled for safety wire"),
    ("AN4C-12A", "stainless"), ("AN3DD5A", "2024 aluminum"),
])
def test_bolt_letters(written, says):
    assert says in parse(written).description


@pytest.mark.parametrize(("code", "diameter"), [
    # Thread diameters of NASM21042 and MS21044N: the standards' own tables.
    ("MS21042-04", .112), ("MS21042-06", .138), ("MS21042-08", .164), ("MS21042-3", .190), ("MS21042-4", .250),
    ("MS21044N3", .190), ("MS21044N4", .250), ("MS21044N5", .3125), ("MS21044N6", .375), ("MS21044N08", .164),
])
def test_nuts_by_the_thread_tables(code, diameter):
    assert parse(code).diameter == pytest.approx(diameter)


def test_a_thread_code_names_size_and_pitch():
    assert "10-32" in parse("AN365-1032A").description
    assert "1/4-28" in parse("AN365-428A").description


@pytest.mark.parametrize(("new", "old"), [
    # Replacements as hardware lists give them: NAS1149F0363P for AN960-10, F0332P for -10L, FN832P for -8.
    ("NAS1149F0363P", "AN960-10"), ("NAS1149F0332P", "AN960-10L"), ("NAS1149FN832P", "AN960-8"),
])
def test_washers_agree_with_what_they_replace(new, old):
    assert parse(new).thickness == pytest.approx(parse(old).thickness, abs=.001)
    assert parse(new).diameter == pytest.approx(parse(old).diameter, abs=.003)
    assert parse(new).material == parse(old).material == "steel"


def test_cotter_pins():
    # AN380 counts 32nds and quarters; AN380-4-4 is MS24665-353 (supplier cross-references), 1/8 by 1 inch.
    assert (parse("AN380-4-4").diameter, parse("AN380-4-4").length) == (1 / 8, 1)
    assert (parse("MS24665-353").diameter, parse("MS24665-353").length) == (1 / 8, 1)
    # From memory: MS24665-132 is AN380-2-2.
    assert (parse("MS24665-132").diameter, parse("MS24665-132").length) == \
        (parse("AN380-2-2").diameter, parse("AN380-2-2").length)


def test_an_unlisted_cotter_pin_claims_no_size():
    pin = parse("MS24665-999")
    assert pin.thing == "cotter pin"
    assert (pin.diameter, pin.length) == (None, None)


def test_safety_wire_and_other_hardware_keep_their_whole_number():
    assert parse("MS20995C41").diameter == pytest.approx(.041)
    assert parse("AN822-4D").text == "AN822-4D"
    assert parse("MS21919WDG6").thing == "cushioned clamp"


def test_the_whole_number_drill_table():
    # ANSI B94.11M: 80 sizes from 0.2280 down to 0.0135, each smaller than the one before.
    sizes = number_drills()
    assert list(sizes) == list(range(1, 81))
    assert all(sizes[n] > sizes[n + 1] for n in range(1, 80))
    assert (sizes[1], sizes[80]) == (0.2280, 0.0135)


@pytest.mark.parametrize(("number", "inches"), [
    # ANSI B94.11M, the sizes in a sheet metal builder's index.
    (40, .0980), (30, .1285), (21, .1590), (12, .1890), (11, .1910), (10, .1935), (41, .0960), (31, .1200),
    (20, .1610), (19, .1660), (27, .1440), (36, .1065), (43, .0890), (50, .0700), (51, .0670), (60, .0400),
])
def test_number_drills_by_the_table(number, inches):
    assert number_drills()[number] == inches
    assert parse(f"#{number}").diameter == inches


@pytest.mark.parametrize(("drill", "rivet"), [
    # FAA-H-8083-31, final hole sizes for rivets (from memory): 40, 30, 21, 11 and F for 3/32 to 1/4 inch.
    ("#40", 3 / 32), ("#30", 1 / 8), ("#21", 5 / 32), ("#11", 3 / 16), ("letter F", 1 / 4),
])
def test_rivet_drills_clear_their_rivet_by_a_few_thousandths(drill, rivet):
    assert 0.002 < parse(drill).diameter - rivet < 0.008


def test_letter_drills_rise_from_a_to_z():
    # ANSI B94.11M: A 0.234, E 0.250, Z 0.413.
    sizes = list(letter_drills().values())
    assert sizes == sorted(sizes) and len(sizes) == 26
    assert (letter_drills()["A"], letter_drills()["E"], letter_drills()["Z"]) == (.234, .250, .413)


@pytest.mark.parametrize(("spoken", "written"), [
    ("an 470 ad 4 dash 5", "AN470AD4-5"),
    ("A N four seventy A D four five", "AN470AD4-5"),
    ("a n four seven zero a d four dash six", "AN470AD4-6"),
    ("M S twenty four twenty six A D three dash three", "MS20426AD3-3"),
    ("AN426AD33", "AN426AD3-3"),
    ("AN470 AD 3 dash three point five", "AN470AD3-3.5"),
    ("an three dash five a", "AN3-5A"),
    ("A N four dash one two A", "AN4-12A"),
    ("M S two one zero four four N three", "MS21044N3"),
    ("twenty twenty-four T3", "2024-T3"),
    ("sixty sixty-one T6", "6061-T6"),
    ("number forty drill", "#40"),
    ("number 30 drill bits", "#30"),
    ("three sixteenths drill", "3/16 drill"),
    ("forty thou", "0.040"),
    ("oh six three", "0.063"),
    ("thirty-two thousandths", "0.032"),
    ("22 gauge wire", "22 AWG"),
    ("ten thirty-two screw", "10-32"),
    ("dash fives", "-5"),
])
def test_spoken_designations(spoken, written):
    assert parse(spoken).text == written


@pytest.mark.parametrize("talk", [
    "an 8 foot brake", "an 8-10 hour day", "an eighteen inch ruler", "we had an eleven o'clock start",
    "back in 2024 we poured the slab", "it cost forty-one thirty", "number six is a replacement", "number 8 screws",
    "he is 5052 days old", "an 85 dollar bill", "see you at ten thirty-two", "it was a 4-40 split", "AND 4 of us",
    "I have three a day",
])
def test_talk_that_only_looks_like_a_designation(talk):
    assert find(talk) == ()


def test_find_gives_offsets_into_the_text():
    text = "Bought AN3-5A bolts and 2024-T3 sheet, match drilled it number 40."
    assert [text[d.start:d.end] for d in find(text)] == ["AN3-5A", "2024-T3", "number 40"]


def test_the_number_after_a_designation_is_not_its_length():
    assert [d.text for d in find("I used AN3-5 2 of them")] == ["AN3-5"]
    assert [d.text for d in find("an AN470AD4-5 a day")] == ["AN470AD4-5"]


def test_parse_wants_one_designation():
    assert parse("AN3-5A and AN4-6A") is None
    assert parse("the AN3-5A") is None
    assert parse("cowling") is None
    assert parse("AN3-5s").text == "AN3-5"


@pytest.mark.parametrize("text", ["9" * 5000 + " sixteenths drill", "9" * 5000 + "/16 drill", "\u00b2/16 drill bit"])
def test_figures_that_no_drill_has_are_no_part_of_a_designation(text):
    assert all(found.start > len(text.split("9" * 5000)[0]) + 4000 for found in find(text) if "9" in text)
