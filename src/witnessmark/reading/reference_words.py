"""Closed classes of words that the reference tracker needs: small words of English and shape words of the shop.

These are classes, not vocabulary: names of parts live in the trade tables. Common practice, no source, except
where one is named.
"""
from __future__ import annotations

# --- sides -----------------------------------------------------------------------------------------------

# Port is left and starboard right when facing forward (ISO 1503 and seamanship; the pilot in command sits left).
SIDE_WORDS = {"left": "left", "right": "right", "port": "left", "starboard": "right", "lh": "left", "rh": "right",
              "lefthand": "left", "righthand": "right", "pilot": "left", "copilot": "right", "passenger": "right",
              "l/h": "left", "r/h": "right"}
SEAT_SIDES = frozenset({"pilot", "copilot", "passenger"})  # a side only before "side" or "'s side"
OTHER_SIDE = {"left": "right", "right": "left"}
# "right now", "right at the bend", "right after": the adverb, no side.
AFTER_RIGHT_ADVERB = frozenset({"now", "there", "here", "at", "after", "before", "away", "back", "off", "up", "down",
                                "through", "around", "next", "beside", "behind", "where", "when", "then", "along",
                                "over", "under", "above", "below", "from", "into", "onto", "out", "as", "by",
                                "against", "across", "inside", "past", "ahead", "angles", "angle", "alongside",
                                "about", "enough", "near", "close", "side-up", "so", "i", "we", "you", "it", "in",
                                "on", "to"})
# "the right size", "the right way round": correct, no side.
CORRECT_NOT_SIDE = frozenset({"way", "size", "length", "thing", "answer", "tool", "number", "order", "place", "spot",
                              "direction", "time", "stuff", "kind", "sort", "word", "idea", "amount", "torque",
                              "temperature", "depth", "colour", "color", "thickness", "grade", "mix", "ratio"})
BOTH_WORDS = frozenset({"both", "either", "pair"})

# --- words that stand for a thing ------------------------------------------------------------------------

SINGULAR_PRONOUNS = frozenset({"it", "this", "that", "itself"})
PLURAL_PRONOUNS = frozenset({"they", "them", "these", "those", "'em", "em", "themselves"})
POSSESSIVE_PRONOUNS = frozenset({"mine", "yours", "ours", "theirs", "hers"})
OWNER_PRONOUNS = frozenset({"its", "their"})
QUANTITIES = frozenset({"all", "both", "each", "some", "most", "many", "half", "either", "neither", "none", "any",
                        "several", "few", "couple", "every", "everything", "another", "other", "others", "rest",
                        "remainder", "dozen", "lot", "bunch", "handful", "pair", "majority", "two-thirds", "third",
                        "quarter", "set", "batch", "last", "first", "second", "next", "same"})
POINTING = POSSESSIVE_PRONOUNS | SINGULAR_PRONOUNS | PLURAL_PRONOUNS | QUANTITIES
BEFORE_THING = frozenset({"that", "this", "those", "these", "whole", "entire", "same", "darn", "damn", "poor", "silly", "dumb"})
# Nouns that repeat a thing already named: "the other one", "its mate", "the lower half".
PLACEHOLDERS = frozenset({"one", "ones", "half", "halves", "side", "sides", "thing", "things", "mate", "twin",
                          "brother", "sister", "partner", "counterpart", "successor", "replacement", "unit", "units",
                          "bank", "pair", "set", "lot", "rest", "remainder", "other", "others", "bunch", "piece",
                          "pieces", "sucker", "guy", "bit", "bits", "item", "copy", "sibling", "spare", "opposite",
                          "assembly", "job", "batch", "whole", "same", "another", "fellow", "beast", "baby", "couple",
                          "handful", "dozen", "part", "parts", "puppy", "beauty", "customer", "blank"})
# Of those, the ones that mean the pair of a sided thing: the side turns over.
OPPOSITES = frozenset({"mate", "twin", "brother", "sister", "partner", "counterpart", "opposite", "sibling"})
# These keep their own name when a trade modifier makes them one ("exhaust stack", "center section piece").
NAMED_WITH_MODIFIER = frozenset({"unit", "piece", "pieces", "set", "assembly", "part", "bit", "half", "blank"})

# --- parts of a thing that take its name -----------------------------------------------------------------

# "the edge of the skin" is the skin edge; alone, it takes the thing under discussion ("the top" of a wing).
NAMED_REGIONS = frozenset({"edge", "top", "bottom", "tip", "root", "corner", "lip", "underside", "belly", "nose",
                           "tail", "base"})
# "the inside of the skin" is the skin.
UNNAMED_REGIONS = frozenset({"inside", "outside", "face", "end", "side", "surface", "length", "back", "front",
                             "middle", "rest", "interior", "exterior", "perimeter", "bulk", "half", "part", "portion",
                             "underside", "area", "section", "skeleton", "remainder", "outline", "whole", "entirety",
                             "width", "depth", "shape", "profile", "contour", "curve", "circumference", "scrap",
                             "sample"})
# What is made in a thing, and not a thing itself: "the holes in the rib" is work on the rib.
FEATURES = frozenset({"hole", "mark", "taper", "radius", "bend", "burr", "pinhole", "scratch", "crack", "gap",
                      "cutout", "opening", "slot", "notch", "pattern", "layout", "position", "station", "location",
                      "dimple", "countersink", "bevel", "chamfer", "joggle", "flute", "spot", "dent", "ding", "nick",
                      "centerline", "centreline", "grid", "spacing", "pitch", "join", "void", "bubble",
                      "wrinkle", "crease", "corrosion", "rust", "grease", "oil", "dust", "film", "grime", "dirt",
                      "residue", "scale", "defect", "blemish", "run", "sag", "value", "measurement", "dimension",
                      "fit", "clearance"})
# Holes that have a name of their own.
DRAWN_LINES = frozenset({"rivet", "fold", "bend", "cut", "cutting", "center", "centre", "layout", "reference",
                         "chalk", "trim", "pencil", "hole", "parting", "scribe", "station"})
NAMED_HOLE_MODIFIERS = frozenset({"lightening", "tooling", "inspection", "access", "drain", "mounting", "sight",
                                  "speed", "alignment", "attach", "attachment"})
COLORS = frozenset({"white", "black", "gray", "grey", "red", "orange", "yellow", "green", "blue", "purple", "brown", "tan",
                    "cream", "maroon", "gold", "silver"})
# What is put on a thing; for the tasks below the thing is what it is put on.
COATINGS = COLORS | frozenset({"coat", "ply", "layer", "primer", "paint", "varnish", "sealant", "epoxy", "resin", "micro",
                      "filler", "fabric", "tape", "cloth", "glass", "adhesive", "glue", "dope", "silver", "alodine",
                      "cement", "flox", "slurry", "bid", "carbon", "lacquer", "enamel", "undercoat", "topcoat",
                      "color", "colour", "white", "chromate", "acetone", "thinner", "solvent", "stitch", "stitching",
                      "lacing", "sealer", "pass", "round", "fiberglass", "fibreglass", "proseal", "goop", "goo",
                      "batch", "mix", "putty", "bondo", "filling", "kevlar", "lockwire", "wire", "urethane",
                      "polyurethane", "clear", "layup", "basecoat", "finish", "stuff", "covering", "rivet", "cleco",
                      "screw", "spray", "etch", "conversion", "lick", "dab", "smear", "bead", "coating"})
COATING_TASKS = frozenset({"prime", "paint", "seal", "conversion-coat", "fill", "cover", "layup", "bond", "clean",
                           "sand", "safety-wire", "rivet", "cleco", "torque"})
# With which coating word each of the stricter tasks looks for what it is put on.
FASTENER_TASKS = {"rivet": frozenset({"rivet"}), "cleco": frozenset({"cleco"}),
                  "safety-wire": frozenset({"wire", "lockwire"}), "torque": frozenset(),
                  "drill-out": frozenset({"rivet"})}

# Fasteners are put on a thing by these tasks; torquing, locking or removing one is work on the fastener itself.
FASTENERS = frozenset({"screw", "bolt", "nut"})
FASTENING = frozenset({"bolt", "install", "rivet", "cleco", "assemble"})

# --- words that are no thing -----------------------------------------------------------------------------

NON_THINGS = frozenset("""
    hour minute second day night morning afternoon evening week weekend month year today yesterday tomorrow tonight
    time while moment lunch dinner supper breakfast holiday season spring summer fall autumn winter monday tuesday
    wednesday thursday friday saturday sunday january february march april may june july august september october
    november december noon midnight date dollar buck cent pound euro quid money price cost receipt total number
    figure sum bill refund credit budget inch foot yard mile thou thousandth mil ounce gallon quart liter litre
    meter metre millimeter millimetre gauge degree percent grit size guy man woman wife husband son daughter kid
    grandson granddaughter brother-in-law sister-in-law father mother dad mom mum friend buddy neighbor neighbour
    fellow lady people person folk everybody everyone somebody someone anybody anyone nobody builder inspector
    counselor mechanic painter welder instructor teacher student doctor dentist boss chapter club crew gang mate
    helper owner maker supplier vendor outfit company shop place factory manufacturer plater upholsterer seller
    dealer store airport field hangar barn garage house basement driveway kitchen plan manual book drawing page
    sheet instruction notebook log list video camera recording phone comment question answer story thing way kind
    sort lot bit problem trouble issue mistake luck fun deal point idea reason sense word name news matter mess job
    work project progress step stage start finish beginning agenda item heading weather rain snow heat cold light
    dark noise sound smell music radio tv television dog cat coffee beer pizza pie soup sandwich cake tea hand
    finger thumb eye ear knee back head shoulder face hair mouth tooth heart hint tip advice rule standard spec look
    try go turn chance rest life world stuff anything something nothing everything bet shame regret memory
    photograph photo picture half-hour bandage ledger arithmetic math maths verdict technique practice patience
    attention temperature humidity pot long short direction worth tug antique volunteer browser gas air water sermon
    church quote slot case fact sake order business debt carryover leftover visitor report shopping spending defect
    squawk clock record thought feeling care effort kiss smile joke laugh trip drive ride visit call email letter
    package delivery wait length width height depth thickness weight speed pressure strength voice breath sleep nap
    drink meal science history school class course lesson game ball race football movie show song party wedding
    funeral birthday christmas easter thanksgiving halloween calendar schedule deadline hurry rush
    """.split())  # noqa: SIM905
TOOL_HINTS = frozenset({"drill", "gun", "wrench", "pliers", "plier", "snip", "brake", "press", "saw", "hammer",
                        "bench", "table", "jig", "clamp", "clamps", "bit", "file", "compressor", "torch", "hoist",
                        "stand", "sawhorse", "vise", "vice", "reamer", "bar", "squeezer", "sander", "grinder",
                        "respirator", "glove", "mask", "rag", "brush", "can", "tarp", "box", "crate", "bag", "bucket",
                        "shelf", "drawer", "truck", "trailer", "fan", "heater", "square", "caliper", "scale",
                        "scales", "borescope", "level", "flashlight", "marker", "pencil", "pen"})

# --- adjectives that tell one part from another ------------------------------------------------------------

PLACE_ADJECTIVES = frozenset({"front", "rear", "upper", "lower", "main", "top", "bottom", "inner", "outer", "inboard",
                              "outboard", "forward", "fore", "aft", "center", "centre", "middle", "leading",
                              "trailing", "nose", "tail", "root", "tip"})
POSITION_ADJECTIVES = PLACE_ADJECTIVES | frozenset({
    "side", "inside", "outside", "false", "drag", "flush", "blind", "flexible", "rigid", "steerable", "sliding",
    "secondary", "primary", "auxiliary", "intermediate", "corner", "idler", "cross", "bungee", "folding", "shoulder"})
# The whole machine belongs to no assembly.
WHOLE_MACHINE = frozenset({"airplane", "aeroplane", "aircraft", "plane", "airframe", "machine", "ship", "glider",
                           "sailplane", "biplane", "helicopter", "gyro", "gyroplane", "kit"})
# Wholes that have parts: "the left aileron, the nose rib" goes on to the part.
GREAT_PARTS = frozenset({"wing", "aileron", "flap", "elevator", "rudder", "fin", "stabilizer", "stabiliser",
                         "tailplane", "fuselage", "cowl", "cowling", "canopy", "engine", "panel", "gear", "tank",
                         "tail", "cockpit"})
# Names too general to stand alone where the talk says of what: the (fuel) line, the (exhaust) stack.
GENERIC_HEADS = frozenset({"line", "lead", "stack", "cable", "hose", "tube", "system", "panel", "plug", "pipe",
                           "duct", "kit", "circuit", "wire"})
# Stock that takes the name of what it is for: "the tubes for the gear leg" are gear leg tubes.
RAW_STOCK = frozenset({"sheet", "tube", "tubing", "plate", "strip", "angle", "stock", "blank", "plank", "block",
                       "rod", "bar", "ply", "plywood", "foam", "channel", "board"})
# "If you ask", "you know": nobody works there.
NO_WORK_VERBS = frozenset({"ask", "know", "see", "hear", "remember", "tell", "listen", "look", "wonder", "think",
                           "want", "notice", "recall", "count", "guess", "imagine", "mind", "watch", "say", "care",
                           "believe", "mean", "like", "keep", "need"})
# "little", "new", "cracked" tell nothing that a name keeps; relational adjectives do ("hydraulic", "diagonal").
RELATIONAL_ENDINGS = ("al", "ic", "ary", "ular")
NOT_RELATIONAL = frozenset({"final", "original", "special", "typical", "actual", "usual", "real", "particular",
                            "similar", "regular", "total", "normal", "additional", "critical", "several", "optional",
                            "initial", "perfect", "magic", "fantastic", "specific", "basic", "beautiful",
                            "extraordinary", "necessary", "temporary", "ordinary", "individual", "identical", "local",
                            "official", "essential", "eventual", "crucial", "partial", "residual", "general",
                            "potential"})
# "long" and "short", "single", … are kept only where the vocabulary has them in a name.
GENERIC_OBJECTS = frozenset({"drill", "bench", "compressor", "press", "jig", "table", "vise", "lathe", "shop",
                             "garage", "hangar", "workshop", "barn", "saw", "toolbox", "stand", "light", "heater"})

MEASURES = frozenset({"thousandth", "thousandths", "thou", "inch", "inches", "mil", "millimetre", "millimeter", "mm",
                      "gauge", "quarter-inch", "half-inch", "eighth-inch", "ounce", "gram", "kilo", "metre", "meter",
                      "foot", "feet", "yard", "eighth", "sixteenth", "sixteenths", "eighths", "degree", "psi",
                      "volt"})
# What a single word usually belongs to where neither the talk nor the journal says.
USUAL_ASSEMBLY = {"tank": "fuel-system", "canopy": "canopy-windshield", "antenna": "avionics", "leg": "landing-gear", "axle": "landing-gear", "breaker":
                  "electrical", "baffle": "engine", "panel": "instrument-panel", "sub-panel": "instrument-panel",
                  "leading edge": "wing", "compressor": "shop", "contactor": "electrical", "magneto": "engine"}

# The assemblies in which there are spars, ribs and the like; none are in brakes, wiring or engines.
SURFACES = frozenset({"wing", "aileron", "flap", "horizontal-stabilizer", "elevator", "vertical-stabilizer", "rudder",
                      "trim-tab"})
STRUCTURE = {"spar": SURFACES, "rib": SURFACES, "longeron": frozenset({"fuselage"}),
             "skin": SURFACES | {"fuselage", "cowling", "firewall", "doors", "fuel-system", "canopy-windshield", "fairings"},
             "stringer": SURFACES | {"fuselage"}, "stiffener": SURFACES | {"fuselage", "firewall", "doors", "fuel-system",
                                                                           "cowling", "instrument-panel"}}

# Adverbs and nouns that, leading a sentence, announce a change of what is talked about.
OPENERS = frozenset({"okay", "ok", "so", "now", "right", "alright", "well", "next", "and", "oh", "anyway", "then",
                     "first", "also", "but", "back", "item", "heading", "moving", "uh", "um", "speaking", "let",
                     "on"})
