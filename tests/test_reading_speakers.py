"""Two more ways of speaking: a laconic one that leaves articles and subjects out, and English as a second language.

Each case is what is said, cues parted by a newline, and the acts that it tells as in test_reading_voices: besides
those nothing may be claimed as done by the builder. All were recorded on Saturday 17 May 2025.
"""
from __future__ import annotations

import pytest

from tests.test_reading_voices import faults

# "It's my aunt who sewed it": whom a cleft sentence picks out did the work.
PICKED_OUT = [
    ("It's my aunt who sewed the seat covers.", "cover|seat cover|done|helper"),
    ("My nephew Leo was here. All the rear ribs, it's him who drilled them.", "drill|rear rib|done|helper"),
    ("the fin skin its leo who riveted it last weekend", "rivet|fin skin|done|helper||2025-05-10/2025-05-11"),
    ("the left wing its leo and his girlfriend who covered it last weekend", "cover|wing|done|helper|left"),
    ("It was Leo that primed the flaps.", "prime|flap|done|helper"),
    ("It's a shop in town who welded the mount.", "weld|mount|done|paid"),
    ("the left tank its the factory who sealed it", "seal|tank|done|maker|left"),
    ("The right tank, it was me who sealed it.", "seal|tank|done|builder|right"),
    ("The spar, it's Leo and me who drilled it.", "drill|spar|done|builder"),
    ("its tom who cut the floor for me on wednesday", "cut|floor|done|helper||2025-05-14"),
    ("There's a rib who has a crack, I glued it.", "bond|rib|done|builder"),
]

# A verb with its particle and nothing else, and what is pulled off that is no part of the airplane.
SHORT = [
    ("Right flap skin. Laid up Sunday.", "layup|flap skin|done|builder|right|2025-05-11"),
    ("Flap skins. Not laid up yet.", "layup|flap skin|not-done|builder"),
    ("The flap skin is next.\nI was laid up with a bad back all week.", ""),
    ("The flap skin is next.\nLaid up in bed since Monday.", ""),
    ("Pulled peel ply this morning.", "remove|peel ply|done|builder||2025-05-17"),
    ("Peel ply came off Monday night.", "remove|peel ply|done|builder||2025-05-12"),
]

# "The flap hinge i reamed it": what is named before the subject is what the pronoun means.
TAKEN_UP = [
    ("The sealant box came.\nthe right float i tested it sunday", "test|float|done|builder|right|2025-05-11"),
    ("The box of ribs is here.\nthe doubler on the left float we riveted it saturday",
     "rivet|doubler|done|builder|left|2025-05-10"),
    ("The engine mount, I cleaned it last night.", "clean|engine mount|done|builder||2025-05-16"),
    ("So the ribs, front and rear, I varnished the two of them on Monday.", "seal|rib|done|builder||2025-05-12"),
    ("the right ribs they are not varnished", "seal|rib|not-done|builder|right"),
    ("there is six gussets on that longeron and i glued two yesterday evening", "bond|gusset|done|builder||2025-05-16"),
    ("The bolts on the hinge bracket, they're not torqued.", "torque|bolt|not-done|builder"),
    ("The baffles, if I cut them wrong the engine cooks.", ""),
]

# Somebody else is told of without an article, or in the sentence before.
SOMEBODY = [
    ("Fella up the valley brazed the horns onto that for me.", "weld|horn|done|helper"),
    ("Mate two doors up turned the axle spacers for me.", "fabricate|axle spacer|done|helper"),
    ("Mate, I drilled the axle on Sunday.", "drill|axle|done|builder||2025-05-11"),
    ("Kid next door deburred the ribs.", "deburr|rib|done|helper"),
    ("Joker at the club bent the brake lines.", "bend|brake line|done|helper"),
    ("Neighbour's boy is a sparky. Wired the whole panel in January, for a crate of beer.",
     "wire|panel|done|helper||2025-01"),
    ("Dave's a retired fitter. Made the bushings for me in a morning.", "fabricate|bushing|done|helper"),
    ("Leo from the club, drilled the ribs on Monday.", "drill|rib|done|helper||2025-05-12"),
    ("With Leo from the club, drilled the ribs on Monday.", "drill|rib|done|builder||2025-05-12"),
    ("Trev was here. Riveted the flap on Sunday.", "rivet|flap|done|builder||2025-05-11"),
    ("The machine shop made the brackets in April. Deburred them Saturday.",
     "fabricate|bracket|done|paid; deburr|bracket|done|builder||2025-05-10"),
]

# The object is told before, where a material or tool is what is spoken of.
ABOUT = [
    ("The varnish, I brushed it on the ribs on Monday.", "seal|rib|done|builder||2025-05-12"),
    ("The primer, I sprayed it on the ribs on Monday.", "prime|rib|done|builder||2025-05-12"),
    ("I cut the left spar in the small shed.", "cut|spar|done|builder|left"),
    ("The plans say to prime the bare tube the same day. Me, I did it after. I primed the frame on Monday.",
     "prime|tube|advice|; prime|frame|done|builder||2025-05-12"),
    ("and the glue gun i took it back it was made for the toys", ""),
    ("The bushings are made of bronze.", ""),
    ("The doubler was made from scrap last night.", "fabricate|doubler|done|builder||2025-05-16"),
]

# An -ing form alone, with a word that says that it is done as it is told; participles beside their thing.
LIVE = [
    ("Aileron, here, marking it out as I talk.", "layout|aileron|doing|builder"),
    ("Fin post. Fitting it now while you watch.", "fit|fin post|doing|builder"),
    ("Gear bow. Laying up pads on it as you see, resin to the elbows.", "layup|pad|doing|builder"),
    ("Reaming a strut bush with my spare hand, hear that?", "ream|strut bush|doing|builder"),
    ("Reaming the bush, I cut my thumb.", ""),
    ("Yesterday, hanging the exhaust, was two hours.", "?install|exhaust|done|builder||2025-05-16"),
    ("Hinge fitting I cut myself.", "cut|hinge fitting|done|builder"),
    ("This morning I cut myself on the spar.", ""),
    ("Gear legs, primed ninth of March.", "prime|gear leg|done|builder||2025-03-09"),
    ("Fin skins. Left one laid up yesterday.", "layup|fin skin|done|builder|left|2025-05-16"),
    ("What the other hand's busy with is sanding that skin's edge.", "sand|skin edge|doing|builder"),
    ("What's left is sanding the skin.", "sand|skin|planned|builder"),
]

# A verb as a noun ("got a sand"), a short sentence under a heading.
TURNS = [
    ("Left rib got a sand this morning.", "sand|rib|done|builder|left|2025-05-17"),
    ("Gave the spar a sand last night.", "sand|spar|done|builder||2025-05-16"),
    ("The cowl needs a sand.", "sand|cowl|planned|builder"),
    ("The right flap hasn't had a sand.", "sand|flap|not-done|builder|right"),
    ("The spar. I gave it a quick sand this morning.", "sand|spar|done|builder"),
    ("My wife had a rub.", ""),
    ("Left tank. Sealed last night, two coats.", "seal|tank|done|builder|left|2025-05-16"),
    ("Header tank. Cleaned on Friday.", "clean|header tank|done|builder||2025-05-16"),
]

# "The left side", after a part that has the very word in its name; no person is a part.
SIDES = [
    ("Fuselage sides. Foam sheet, twelve of them at twenty each.\nCut the left side out on Sunday.",
     "cut|fuselage side|done|builder|left|2025-05-11"),
    ("Fuselage sides. Foam's cheap. Leo cut the right side Wednesday.",
     "cut|fuselage side|done|helper|right|2025-05-14"),
    ("Fuselage sides. Cut left side out on Sunday.", "cut|fuselage side|done|builder|left|2025-05-11"),
    ("The wing. I sanded the right side.", "sand|wing|done|builder|right"),
    ("The bays are trued up.\nLower right I covered in March.", "rig|bay|done|builder"),  # no bay is covered
    ("The guy I hired left yesterday. I drilled the spar.", "drill|spar|done|builder"),
]

# A piece of stuff put into a thing is work on the thing.
PIECES = [
    ("The cracked rib. I glued a fresh piece of ash into it.", "bond|rib|done|builder"),
    ("Patch of rot in the left longeron, bonded a fresh piece of ash into it on Monday.",
     "bond|longeron|done|builder|left|2025-05-12"),
    ("I laid a strip of carbon over the spar cap.", "layup|spar cap|done|builder"),
    ("I glued the gusset on the spar.", "bond|gusset|done|builder"),
]

# Coats of what was told, corners that are no shortcut, what one does "at this moment".
MOMENTS = [
    ("The stringers. I sanded the corners round on Sunday.", "sand|stringer corner|done|builder||2025-05-11"),
    ("I cut corners on the rib.", ""),
    ("What I do now, with the fine stone, it's deburring the tabs.", "deburr|tab|doing|builder"),
    ("What I do in winter is sanding ribs.", ""),
    ("I varnished the left spars on Friday.\nThe next coat, I'll give it to those spars on Sunday.",
     "seal|spar|done|builder|left|2025-05-16; seal|spar|planned|builder|left"),
    ("I varnished the ribs. The spars got the second coat on Sunday.",
     "seal|rib|done|builder; seal|spar|done|builder||2025-05-11"),
    ("Right tank. Sealed that corner on Friday.", "seal|tank corner|done|builder|right|2025-05-16"),
    ("Dry patch on the flap skin, laid three plies over that on Monday.", "layup|flap skin|done|builder||2025-05-12"),
]

# Dates as other languages say them, and without an article.
DAYS = [
    ("I drilled the windshield the 25 of april.", "drill|windshield|done|builder||2025-04-25"),
    ("okay the horn bushings i reamed them the nine of march", "ream|horn bushing|done|builder||2025-03-09"),
    ("I painted the rudder the 14 and the 15 of april.", "paint|rudder|done|builder||2025-04-14/2025-04-15"),
    ("the canopy is fitted we did it the 10 of may me and leo", "fit|canopy|done|builder||2025-05-10"),
    ("the fin too i took it off the saturday the 10 with a mallet", "remove|fin|done|builder||2025-05-10"),
    ("I hung the engine Monday the 21 with Leo.", "install|engine|done|builder||2025-04-21"),
    ("Thursday the two brackets got drilled.", "drill|bracket|done|builder||2025-05-15"),
    ("Couple of weeks back I cut the spar.", "cut|spar|done|builder||2025-05-03~"),
]

CASES = {
    "picked-out": PICKED_OUT, "short": SHORT, "taken-up": TAKEN_UP, "somebody": SOMEBODY, "about": ABOUT, "live": LIVE,
    "turns": TURNS, "pieces": PIECES, "moments": MOMENTS, "days": DAYS, "sides": SIDES,
}


@pytest.mark.parametrize(("said", "expected"), [
    pytest.param(said, expected, id=f"{name}-{number}")
    for name, cases in CASES.items() for number, (said, expected) in enumerate(cases)])
def test_speaker(said: str, expected: str) -> None:
    missing, false, told = faults(said.split("\n"), expected)
    assert not missing and not false, f"missing {missing}, falsely claimed {false}, read {told}"
