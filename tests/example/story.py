"""The invented story: who says what on which day, which pictures exist, and what is true.

Aircraft, builder, helpers, shops and vendors are made up. Times are local (America/Denver). The spoken words
hold what the product promises to sort out: parts primed in one month and painted in another, plans that came
true and that did not, hired work, a remade part, helper hours, running totals, prices each and per pack,
a returned tool, a price that a recogniser may mishear, and open jobs that are closed later.
"""
from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Recording:
    """One file of sound or picture. `clock` says which tags carry the time; `scenes` are drawn in turn."""

    path: str
    at: str
    clock: str
    words: str
    scenes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Photo:
    """One picture. `subject` is (assembly, part): what a person sees; `clock` is "phone", "wrong" or "none"."""

    path: str
    at: str
    scene: str
    subject: tuple[str, str]
    clock: str = "phone"
    caption: str = ""
    caption_in: str = ""
    side: str = ""
    chalk: str = ""


@dataclass(frozen=True)
class Receipt:
    """One till receipt; amounts in dollars."""

    path: str
    at: str
    vendor: str
    lines: tuple[tuple[str, float], ...]
    tax: float

    @property
    def total(self) -> float:
        return round(sum(amount for _, amount in self.lines) + self.tax, 2)


RECORDINGS = (
    Recording("recordings/VID_20250208_153000.mp4", "2025-02-08T15:30:00-07:00", "container-utc", """
        Saturday, the eighth of February, and this is the rudder of the Meadow Wren. Yesterday I cut out the rudder
        ribs, all seven of them. This morning I deburred the ribs, and then I drilled the rudder spar, number forty
        all the way down. Nothing is primed yet. It is too cold in here, so I am going to prime the ribs next weekend.
        I bought a number thirty reamer for twenty-six dollars, and a quart of epoxy primer, ninety-eight dollars,
        from Quillback Aero Supply. The tip rib has a crack at the bend, right here, so I have to make a new one.
        If you bend yours, use a bigger radius than I did. That was three and a half hours today.
        """, ("rudder-ribs", "rudder-spar", "tip-rib-crack")),
    Recording("voice notes/note 2025-02-16.m4a", "2025-02-16T17:05:00-07:00", "container-utc", """
        Sunday evening, sixteenth of February. This afternoon I primed the rudder ribs, two coats, and I primed the
        rudder spar. The stiffeners are not primed. I was going to do them as well, but I ran out of primer.
        I made the new tip rib yesterday, with a bigger radius, and it came out fine. Gwen came over and she scuffed
        the rudder skins for me, an hour and a half of her time. I ordered a set of dimple dies from Larkmoor Tool,
        forty-four dollars, and they are not here yet. Two and a half hours for me today, and two hours yesterday.
        """),
    Recording("recordings/VID_20250301_161000.mp4", "2025-03-01T16:10:00-07:00", "container-utc", """
        First of March. The dimple dies came on Thursday. So this morning I dimpled the rudder skins, and Gwen and I
        clecoed the skins to the skeleton. Then I riveted the stiffeners to the left skin. Four of those rivets
        clinched over on me, so I drilled them out. The right skin is not riveted yet. I got a filter for the
        compressor at Marrow Lane Hardware, that was eighteen dollars. I thought about a pneumatic squeezer, four
        hundred
        and ten dollars, but I did not buy it. Before you close anything up, take pictures of the inside.
        Five hours today, and Gwen did three of them with me.
        """, ("rudder-skeleton", "rudder-skin", "stiffeners")),
    Recording("recordings/IMG_0412.mov", "2025-03-15T18:20:00-06:00", "quicktime", """
        Saturday evening, March fifteenth. The rudder is closed. I riveted the right skin on Wednesday evening, and
        today
        I riveted the trailing edge of the rudder. Twenty-two rivets, AN426AD3-3.5, and not one bad one. Next is the
        left flap.
        I laid out the flap spar this afternoon and I match drilled the hinge brackets to it. The flap ribs were
        pressed by the factory, so those came finished in the kit. The plans call for priming the inside of the
        flap skins before they go on. Four hours today, and two on Wednesday. That makes twenty-two hours on the rudder.
        """, ("rudder-closed", "flap-spar")),
    Recording("recordings/20250322_191500_flap-brackets.vtt", "2025-03-22T19:15:00-06:00", "subtitle", """
        Saturday night, short one. I dropped the flap hinge brackets off at Dunlin Plating on Thursday.
        They are going to anodize them, and that is sixty dollars, plus the drive.
        Today I deburred the flap spar and cleaned it with acetone. The flap spar is not primed yet.
        I want to get the flap ribs primed tomorrow if the heater holds out.
        Two hours today.
        """),
    Recording("recordings/VID_20250405_113000.mp4", "2025-04-05T11:30:00-06:00", "container-utc", """
        April fifth, Saturday morning. The flap ribs did not get primed that Sunday, the heater quit on me. I primed
        the left flap ribs last night, one coat, and the flap spar with them. The hinge brackets are back from Dunlin
        Plating. They anodized them last week, and they look beautiful. I took the edge roller back to Larkmoor Tool and
        got my thirty-two dollars back. I also bought a pack of number forty drill bits, six of them at two dollars
        each. Right now I am deburring the left flap skin, that is the noise you hear. Yesterday was three hours.
        Today about an hour so far.
        """, ("flap-ribs", "hinge-brackets", "flap-skin")),
    Recording("recordings/IMG_0457.mov", "2025-04-19T17:40:00-06:00", "quicktime", """
        Saturday the nineteenth of April. Today Gwen and I clecoed the left flap together, and I match drilled the skin
        to the ribs, number forty. My uncle Walter bucked rivets for me this afternoon, and we riveted the hinge
        brackets to the flap spar. Walter was here for two hours. I have not riveted the skin. I want a picture of the
        inside first. The inspector from the chapter looked over the flap spar on Tuesday and he liked it.
        Still to do on the flap: the pushrod bearing has to be pressed in. Four and a half hours today for me.
        """, ("flap-skeleton", "hinge-brackets")),
    Recording("recordings/clip_20250503_142210.mp4", "2025-05-03T14:22:10-06:00", "file-name", "",
              ("flap-skeleton", "flap-riveting", "flap-closed")),
    Recording("voice notes/note 2025-05-10.m4a", "2025-05-10T21:10:00-06:00", "container-utc", """
        Tenth of May, late. The left flap is done. I riveted the flap skin last Saturday, the third, and Walter bucked.
        Six hours that day for me, and six for him. I pressed the pushrod bearing in tonight, half an hour.
        I started on the fuel tank this week. On Tuesday I bent the tank baffles, and on Wednesday I cut the tank skin.
        The tank is going to be sealed with fuel tank sealant. I ordered two cans of that from Quillback Aero Supply,
        thirty-nine
        dollars a can. Three hours on Tuesday and two on Wednesday. I am at sixty-one hours altogether.
        """),
    Recording("recordings/VID_20250531_190500.mp4", "2025-05-31T19:05:00-06:00", "container-utc", """
        Last day of May, and we have color. I sanded and cleaned the rudder on Thursday, and this morning I painted
        the rudder, two coats of white. I used a supplied air mask, because that paint has isocyanates in it,
        and you should read the data sheet first. The left flap is not painted yet. I am planning to paint that next
        week.
        The sealant showed up on Monday. I sealed the tank baffles yesterday evening, and it needs to cure for three
        days. Then I will leak test the tank. Five hours today. Yesterday was an hour and a half.
        """, ("rudder-painted", "tank-baffles")),
    Recording("recordings/IMG_0533.mov", "2025-06-21T16:30:00-06:00", "quicktime", """
        Saturday, twenty-first of June. I leak tested the fuel tank on Wednesday, and it leaked at the sender, so
        that has to be
        resealed. I cut the foam for the seat cushions myself, and on Thursday I sent the cushions out to
        Stonecrop Upholstery to be covered. Three hundred and forty dollars for the pair. I painted the left flap a
        week ago Saturday, the fourteenth. Today I wired the instrument panel, well, the first four breakers, and I
        crimped the terminals for them. Four hours today. The tail fairing, I still have to make that.
        """, ("tank-test", "cushions", "panel")),
    Recording("recordings/VID_20250712_154500.mp4", "2025-07-12T15:45:00-06:00", "container-utc", """
        Twelfth of July. The seat cushions came back from Stonecrop Upholstery yesterday, and they look great. Last
        weekend
        I resealed the sender on the fuel tank, and I tested it again on Tuesday. No leaks. This morning Gwen and I
        installed the left flap on the wing, and I torqued the hinge bolts, AN3-5A, and marked them with
        torque stripe. Still to buy: two more of those bolts. I did the layup for the tail fairing on Thursday evening,
        three plies of glass cloth over foam. Six hours today, and Gwen did two. Eighty-eight hours on the whole
        airplane.
        """, ("flap-installed", "cushions", "fairing")),
)

NOTE = Recording("notes/2025-04-27 notes.md", "2025-04-27", "file-name", """
    # Sunday 27 April 2025

    Primed the inside of the left flap skin this morning, one coat.
    Bought a box of nitrile gloves at Marrow Lane Hardware, $14.
    1.5 hours.
    """)

PHOTOS = (
    Photo("photos/phone/IMG_20250208_151200.jpg", "2025-02-08T15:12:00-07:00", "rudder-ribs", ("rudder", "rib"),
          caption="Rudder ribs after deburring", caption_in="exif"),
    Photo("photos/phone/IMG_20250208_153035.jpg", "2025-02-08T15:30:35-07:00", "tip-rib-crack", ("rudder", "tip rib"),
          caption="Rudder tip rib, crack at the bend", caption_in="xmp"),
    Photo("photos/rudder/IMG_20250215_170100.jpg", "2025-02-15T17:01:00-07:00", "tip-rib", ("rudder", "tip rib"),
          chalk="TIP RIB 2"),
    Photo("photos/rudder/IMG_20250216_161500.jpg", "2025-02-16T16:15:00-07:00", "rudder-ribs-primed", ("rudder", "rib"),
          caption="Ribs with two coats of primer", caption_in="xmp"),
    Photo("photos/rudder/IMG_20250216_162200.heic", "2025-02-16T16:22:00-07:00", "rudder-spar-primed",
          ("rudder", "spar"),
          caption="Rudder spar primed", caption_in="exif"),
    Photo("photos/rudder/spar-before-primer.jpg", "2025-02-16T13:02:00-07:00", "rudder-spar", ("rudder", "spar")),
    Photo("photos/rudder/IMG_20250301_112400.jpg", "2025-03-01T11:24:00-07:00", "rudder-skin", ("rudder", "skin"),
          caption="Dimpled rudder skin", caption_in="exif", side="left"),
    Photo("photos/rudder/inside before closing 1.jpg", "2025-03-01T15:40:00-07:00", "rudder-skeleton",
          ("rudder", "skeleton"), caption="Rudder skeleton before closing up", caption_in="xmp"),
    Photo("photos/rudder/inside before closing 2.jpg", "2025-03-01T15:40:04-07:00", "rudder-skeleton",
          ("rudder", "skeleton"), caption="Rudder skeleton before closing up", caption_in="xmp"),
    Photo("photos/rudder/DSC00031.jpg", "2025-03-01T16:10:20-07:00", "stiffeners", ("rudder", "stiffener"),
          clock="wrong", chalk="STIFFENERS"),
    Photo("photos/phone/IMG_20250315_175500.heic", "2025-03-15T17:55:00-06:00", "rudder-closed",
          ("rudder", "trailing edge"), caption="Rudder trailing edge riveted", caption_in="exif"),
    Photo("photos/flap/IMG_20250315_181000.jpg", "2025-03-15T18:10:00-06:00", "flap-spar", ("flap", "spar"),
          side="left", chalk="FLAP SPAR L"),
    Photo("photos/flap/hinge brackets anodized.jpg", "2025-04-05T11:02:00-06:00", "hinge-brackets",
          ("flap", "hinge bracket"), side="left"),
    Photo("photos/flap/IMG_20250404_213000.heic", "2025-04-04T21:30:00-06:00", "flap-ribs",
          ("flap", "rib"), side="left",
          caption="Left flap ribs, one coat of primer", caption_in="xmp"),
    Photo("photos/flap/DSC00044.jpg", "2025-04-05T11:30:30-06:00", "flap-skin", ("flap", "skin"), clock="wrong",
          side="left", chalk="FLAP SKIN L"),
    Photo("photos/flap/flap skin inside primed.jpg", "2025-04-27T10:48:00-06:00", "flap-skin-primed", ("flap", "skin"),
          side="left"),
    Photo("photos/flap/DSC00052.jpg", "2025-04-19T15:10:00-06:00", "flap-skeleton", ("flap", "skeleton"),
          clock="wrong", caption="Flap skeleton, inside, before the skin goes on", caption_in="exif", side="left"),
    Photo("photos/flap/IMG_20250503_150000.jpg", "2025-05-03T15:00:00-06:00", "flap-riveting", ("flap", "skin"),
          side="left", caption="Riveting the left flap skin", caption_in="xmp"),
    Photo("photos/flap/IMG_20250503_173000.heic", "2025-05-03T17:30:00-06:00", "flap-closed", ("flap", "flap"),
          side="left", caption="Left flap closed", caption_in="exif"),
    Photo("photos/fuel tank/IMG_20250506_201500.jpg", "2025-05-06T20:15:00-06:00", "tank-baffles",
          ("fuel-system", "tank baffle"), chalk="TANK BAFFLES"),
    Photo("photos/fuel tank/IMG_20250530_203000.jpg", "2025-05-30T20:30:00-06:00", "tank-baffles-sealed",
          ("fuel-system", "tank baffle"), caption="Fuel tank baffles sealed", caption_in="xmp"),
    Photo("photos/phone/IMG_20250531_121000.jpg", "2025-05-31T12:10:00-06:00", "rudder-painted", ("rudder", "rudder"),
          caption="Rudder painted white", caption_in="exif"),
    Photo("photos/fuel tank/leak test.jpg", "2025-06-18T19:45:00-06:00", "tank-test", ("fuel-system", "fuel tank")),
    Photo("photos/cabin/IMG_20250711_180000.jpg", "2025-07-11T18:00:00-06:00", "cushions",
          ("cabin-interior", "seat cushion"), caption="Seat cushions back from the upholsterer", caption_in="xmp"),
    Photo("photos/phone/IMG_20250621_163045.jpg", "2025-06-21T16:30:45-06:00", "panel",
          ("instrument-panel", "instrument panel"), caption="Instrument panel, first four breakers", caption_in="exif"),
    Photo("photos/phone/IMG_20250710_204000.heic", "2025-07-10T20:40:00-06:00", "fairing", ("fairings", "tail fairing"),
          caption="Tail fairing layup, three plies", caption_in="exif"),
    Photo("photos/flap/IMG_20250712_151500.jpg", "2025-07-12T15:15:00-06:00", "flap-installed", ("flap", "flap"),
          side="left", caption="Left flap on the wing, torque stripe on the hinge bolts", caption_in="xmp"),
)

RECEIPTS = (
    Receipt("receipts/IMG_20250208_100500.jpg", "2025-02-08T10:05:00-07:00", "QUILLBACK AERO SUPPLY",
            (("REAMER NO. 30", 26.00), ("EPOXY PRIMER 1 QT", 98.00)), 0.0),
    Receipt("receipts/IMG_20250301_083000.jpg", "2025-03-01T08:30:00-07:00", "MARROW LANE HARDWARE",
            (("COMPRESSOR FILTER", 18.00),), 0.0),
    Receipt("receipts/IMG_20250427_093000.jpg", "2025-04-27T09:30:00-06:00", "MARROW LANE HARDWARE",
            (("NITRILE GLOVES BOX", 14.00),), 0.0),
)

# What the pages and commands must answer: (question, days on which it was truly done, file that says so).
TRUTHS = (
    ("when were the rudder ribs primed?", ("2025-02-16",), "voice notes/note 2025-02-16.m4a"),
    ("when was the rudder painted?", ("2025-05-31",), "recordings/VID_20250531_190500.mp4"),
    ("when were the left flap ribs primed?", ("2025-04-04",), "recordings/VID_20250405_113000.mp4"),
    ("when was the tip rib made?", ("2025-02-15",), "voice notes/note 2025-02-16.m4a"),
    ("when were the hinge bolts torqued?", ("2025-07-12",), "recordings/VID_20250712_154500.mp4"),
    ("when were the stiffeners primed?", (), ""),
)

CAMERA_WRONG_BY = {"days": 365, "hours": 7}

JOURNAL_TOML = '''# The settings of this journal. Everything in the folder is an invented example.

[journal]
title = "Meadow Wren, number 7"
aircraft = "Meadow Wren, all-metal low-wing two-seater, part kit"
timezone = "America/Denver"
currency = "USD"
builders = ["Rune"]
helpers = ["Gwen", "Walter"]

# The old camera's battery had run flat, and its clock had started again a year and seven hours too early.
[[camera]]
model = "C200"
offset = "+365d 7h"

# Words of this build that the trade vocabulary does not know.
[vocabulary.parts]
"tail fairing" = ["tailcone cap"]
'''
