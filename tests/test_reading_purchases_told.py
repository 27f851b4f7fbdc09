"""Purchases as builders of several countries tell them: invented sentences, each with what must be read from it."""

import pytest

from witnessmark.model import Cue, Transcript
from witnessmark.reading.purchases import find_purchases
from witnessmark.reading.text import parse
from witnessmark.trade import Lexicon

TOLD = [
    # bought, with the verbs of several countries
    ("I forked out two hundred and ten dollars for the wheel pants.", [("wheel pants", "bought", 210, 210)]),
    ("The hydraulic fittings set me back eighty-five quid.", [("fitting", "bought", 85, 85)]),
    ("The rudder cables cost me a hundred and twelve pounds, delivered.", [("rudder cable", "bought", 112, 112)]),
    ("I grabbed a packet of washers from the ironmonger, two pounds forty.", [("washer", "bought", 2.4, 2.4)]),
    (
        "I picked up a secondhand belt sander off a mate for a hundred and twenty.",
        [("belt sander", "bought", 120, 120)],
    ),
    (
        "Had to get another tin of varnish, nineteen pounds fifty, from the chandlery.",
        [("varnish", "bought", 19.5, 19.5)],
    ),
    (
        "We ran out of flox. I ordered two tubs of that from Larkmoor Boat Supply, thirteen dollars a tub.",
        [("flox", "ordered", 26, 26)],
    ),
    ("Bought three metres of fuel hose at eleven dollars a metre.", [("hose", "bought", 33, 33)]),
    ("I spent thirty-one bucks on sanding discs at the hardware store.", [("disc", "bought", 31, 31)]),
    ("We got the seat foam from the upholstery place for 64.50.", [("foam", "bought", 64.5, 64.5)]),
    ("Paid twelve euros for a box of gloves.", [("glove", "bought", 12, 12)]),
    ("I ended up buying a new countersink cage, fifty-eight dollars.", [("countersink cage", "bought", 58, 58)]),
    ("The bloke at the foundry charged me ninety dollars for the casting.", [("casting", "bought", 90, 90)]),
    ("Picked up four hinges at six pound ten each.", [("hinge", "bought", 24.4, 24.4)]),
    ("Two grand for the ignition, all up, and I paid it with a smile.", [("ignition", "bought", 2000, 2000)]),
    ("I bought a dozen clamps, thirty-six dollars the lot.", [("clamp", "bought", 36, 36)]),
    (
        "I bought 20 nutplates for $15.80 and a rivet fan for $9.",
        [("nutplate", "bought", 15.8, 15.8), ("fan", "bought", 9, 9)],
    ),
    (
        "Picked up some masking tape and a pot of filler while I was in town, fourteen dollars for the tape.",
        [("tape", "bought", 14, 14), ("filler", "bought", None, None)],
    ),
    # ordered
    ("I've put in an order for ten metres of brake line, four dollars a metre.", [("brake line", "ordered", 40, 40)]),
    ("The vent tubing is on back order.", [("tubing", "ordered", None, None)]),
    (
        "I've ordered a battery from the aviation supplier, 189 dollars, and it ships next week.",
        [("battery", "ordered", 189, 189)],
    ),
    ("The spinner's ordered, three hundred and five dollars.", [("spinner", "ordered", 305, 305)]),
    # received
    ("The postie dropped off the aileron bearings on Monday.", [("bearing", "received", None, None)]),
    ("The oleo seals turned up in the post this morning.", [("seal", "received", None, None)]),
    ("My fuel selector finally arrived, from the other side of the world.", [("selector", "received", None, None)]),
    ("The wheel bearings are here at last.", [("bearing", "received", None, None)]),
    # planned
    ("I'll have to buy another can of zinc primer, about thirty dollars.", [("primer", "planned", 30, 30)]),
    ("I need another roll of peel ply before the next layup.", [("peel ply", "planned", None, None)]),
    ("We're going to order the brake pads next week, sixty-two quid the set.", [("brake pad", "planned", 62, 62)]),
    ("I still need to pick up a tube of thread sealant.", [("sealant", "planned", None, None)]),
    ("I'll order the tyres on Monday, ninety dollars each.", [("tyre", "planned", 90, 90)]),
    ("I'll put an order in next week for a propeller.", [("propeller", "planned", None, None)]),
    # considered
    ("They wanted six hundred for a new alternator, so I said no.", [("alternator", "considered", 600, 600)]),
    ("I looked at a digital level, a hundred and forty, and walked away.", [("level", "considered", 140, 140)]),
    ("A proper oxygen regulator would cost two hundred and fifty dollars.", [("regulator", "considered", 250, 250)]),
    (
        "I priced the upholstery, and it's eight hundred to a thousand dollars.",
        [("upholstery", "considered", 800, 1000)],
    ),
    # returned
    ("I took the wrong washers back and got my eleven dollars back.", [("washer", "returned", 11, 11)]),
    ("I sent the throttle cable back for a refund, forty-three dollars.", [("throttle cable", "returned", 43, 43)]),
    # services
    (
        "The engine shop balanced the crankshaft for two hundred and twenty dollars.",
        [("balancing", "bought", 220, 220)],
    ),
    (
        "I dropped the rocker covers at the powder coater on Friday, thirty-five bucks.",
        [("coating", "ordered", 35, 35)],
    ),
    # nothing
    ("I've got six hundred and four on the wall.", []),
    ("I clamped the skin with sixteen clamps and drilled forty holes.", []),
    ("My brother gave me a drill press for nothing.", []),
    ("You should buy the good snips, they're worth it.", []),
    ("If I had to buy a new mount I'd cry.", []),
    ("I borrowed a torque wrench from the club.", []),
    ("Ron came by at ten and we riveted the rib on.", []),
    ("I got the wing on the stand and took the skin back off.", []),
    ("Today was five hours, and the total is four hundred and twelve.", []),
    ("I set the pressure at ninety and shot the second coat at four thirty.", []),
    ("The manual calls for a torque of twenty-eight, and I gave it thirty.", []),
    ("I paid my son twenty dollars for mowing the lawn.", []),
    ("It's a three hundred pound engine on a two hundred pound hoist.", []),
]


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return Lexicon.load()


def told(text: str, lexicon: Lexicon) -> list[tuple[str, str, float | None, float | None]]:
    passage = parse(Transcript((Cue(0.0, 5.0, text),), "subtitle"))
    return [(p.item, p.status, p.amount_low, p.amount_high) for p in find_purchases(passage, lexicon)]


@pytest.mark.parametrize(("text", "wanted"), TOLD, ids=[text[:40] for text, _ in TOLD])
def test_a_told_purchase_is_read(
    text: str, wanted: list[tuple[str, str, float | None, float | None]], lexicon: Lexicon
) -> None:
    found = told(text, lexicon)
    assert [(status, low, high) for _, status, low, high in found] == [(s, a, b) for _, s, a, b in wanted], found
    for (item, *_), (name, *_) in zip(found, wanted, strict=True):
        assert item.split()[-1] == name.split()[-1]
