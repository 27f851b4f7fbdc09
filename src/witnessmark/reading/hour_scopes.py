"""What a length of time is: work of a day, one job, a running total, an estimate, or no labour at all.

Named rules over the words around the length; the first that holds decides. Days are masked `~`, lengths `^`, clock
ranges `%`, lengths that are none `!`.
"""
from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

SESSION, TASK, TOTAL, PLANNED, OTHER, NOTHING = "session", "task", "total", "planned", "other", "nothing"


@dataclass(frozen=True, slots=True)
class Around:
    """The words around one length of time.

    `left` and `right` reach to the neighbouring lengths within the sentence, `near` is the last clause of `left`,
    `whole` the sentence, `before` the sentence before. `low` is in hours, `days` the number of days of its date,
    `dated` True where a day was said for it, `told` True where the same sentence tells of an act of work.
    """

    left: str
    right: str
    whole: str
    before: str
    low: float
    form: str
    days: int = 1
    dated: bool = False
    told: bool = False

    @property
    def behind(self) -> str:
        """The words behind the length, without a day that stands first."""
        return re.sub(r"^ (?:hours )?(?:(?:on|for|the|,|;|~_*) )*", " ", self.right)

    @property
    def near(self) -> str:
        return _CLAUSE.split(self.left)[-1]


_CLAUSE = re.compile(r"(?:^| )(?:[,;] (?:and|but|so|then|which|because) |; |and (?=(?:i|he|she|we|they|it|that|the|those)\b)|but )")

_CURE = re.compile(
    r"\b(?:cur(?:e|es|ed|ing)|to dry|dries|dried|drying|dry time|to set|sets? up|setting up|kick(?:s|ed)? off|tacky|tack[ -]free|pot life|open time|working time|shelf life"
    r"|between coats|coats? apart|re-?coat|over ?coat|before (?:you|i|we|anybody|anyone|it|the next|handling|sanding|touching)\b[^.]{0,45}\b(?:touch|handle|sand|breath\w*|move"
    r"|recoat|fly|lean|coat|use|clamp|paint)\w*|(?:to )?go(?:es)? off|flash(?:es)? off|soak(?:s|ed|ing)?|post-?cure|apart|(?:in|under) (?:the )?clamps|clamped|the can says|says the can"
    r"|the tin says|data ?sheet|harden\w*|bak(?:e[sd]?|ing)|oven|heat lamp|till it's|until it's|overnight)\b")
_WANTS = re.compile(
    r"\b(?:wants?|needs?|gave (?:it|them|that)|give (?:it|them)|requires?|calls? for|sits?|sat|left (?:it|them|that|(?:the|my|this) [a-z]+)|leave (?:it|them)|waited|waiting|wait|let (?:it|them)(?: (?:sit|cook|go))?)"
    r"(?: (?:for|about|at least|a good|another|a full|the full|overnight|there|,|around|all of|nearly))* ?$")
_DRIVE = re.compile(
    r"\b(?:driv(?:e|es|ing|en)|drove|on the road|in the (?:truck|car|van|ute|pickup)|round trip|there and back|commut\w+|road trip|motorway|freeway|highway|each way"
    r"|trip (?:to|up|down|over)|travel\w*|ferry|behind the wheel|traffic|haul(?:ed|ing) it|trailering)\b")
_FLY = re.compile(r"\b(?:of (?:instruction|dual|training|tuition|lessons)|flight|flying|flew|flown|fly ?off|test flights?|phase one|airborne|in the air|circuits)\b")
_ENGINE = re.compile(
    r"\b(?:hobbs|tach(?:ometer)?|hour meter|smoh|tbo|time in service|engine time|ground runs?|run-?in|ran the engine|engine ran"
    r"|since (?:major|overhaul|new|rebuild|top end)|on the (?:engine|airframe|prop|propeller|motor|hobbs|tach|core) (?:already|since|when))\b")
_ON_ENGINE = re.compile(r"^ (?:total time |hours )?on (?:it|her|the (?:engine|airframe|motor|prop|propeller|hobbs|tach|core))\b")
_ENGINE_TALK = re.compile(r"\b(?:engine|motor|prop|propeller|horse|mid-time|time|run ?out|core|overhaul\w*|used|it's got|has)\b")
_MACHINE = re.compile(
    r"\b(?:charger|battery|compressor|heater|fan|printer|tumbler|pump|generator|dehumidifier|lamp|oven)\b[^.;^]{0,20}\b(?:ran|run|runs|running|going|on|took)\b[^.;^]{0,15}$")
_PLAN = re.compile(
    r"\b(?:i (?:figure|guess|expect|reckon|estimate|allow|budget)|(?:we|i)'?(?:re|m| am| are)? ?(?:figuring|guessing|expecting|reckoning|estimating|allowing|budgeting|planning|looking at|calling it|thinking)"
    r"|i'd (?:guess|say|think|put it at|bet|reckon|estimate|allow)|figure (?:on|another|about|it)|supposed to (?:take|be)|should (?:take|be|need)|ought to (?:take|be)|(?:will|'ll|it'll|that'll|they'll) (?:take|be|need|want|eat|cost)"
    r"|it'll|that'll|they'll|(?:going to|gonna) (?:take|be|need|eat|cost)|might (?:take|be)|could (?:take|be)|would (?:take|be)|must have (?:another|about)|i (?:can )?see|bound to be|estimate(?:d)? (?:is|of|at|for)|my (?:guess|estimate)"
    r"|next (?:week|weekend|month|time)|tomorrow|allow(?:ed|ing)? myself|budgeted|budget|quote[ds]?)\b")
_FIGURING = re.compile(r"\b(?:figuring|guessing|expecting|reckoning|estimating|allowing|budgeting)\b")
_TO_GO = re.compile(r"^ ?(?:hours |solid |good )*(?:of work )?(?:more )?(?:to go|left(?: to (?:do|go))?|still to (?:do|go|come)|to come|remaining|to finish|from (?:done|finished|being done)|ahead of (?:me|us)|until it's done)\b"
                    r"|^ ?(?:hours )?more (?:in|on|to|for|of|work|before)\b")
_ANOTHER_FIGURING = re.compile(r"\b(?:figuring|guessing|expecting|reckoning|estimating|allowing|budgeting)\b")
_TO_GO = re.compile(r"\b(?:expect|expecting|figure|guess|reckon|least|maybe|probably|see|another)\b[^.]{0,30}$")
_TOTAL = re.compile(
    r"\b(?:total|totals|total's|totalling|altogether|all told|to date|so far|grand total|all up|in all|all in|and counting|up to now|overall|add up the column|the (?:tally|counter)|cumulative"
    r"|since (?:i|we|the (?:beginning|start|kit|first)|day one|last|~)|since ~)")
_TOTAL_TO = re.compile(
    r"\b(?:makes|making|puts|putting|brings|bringing|gets|takes|leaves|pushes|bumps|stands?|standing|sits?|sitting|(?:is|are|'s|'m|'re|now|us|me|it|that|wings?|tail|i'm|we're|it's|that's) (?:now )?(?:at|up to)|adds up to|comes to)"
    r"(?: (?!did|put)[a-z',]+){0,6} ?$|\b(?:he's|she's|he is|she is|i'm|they're) on ?$")
_ONTO = re.compile(r"^ (?:hours )?(?:of (?:work )?)?(?:on|in|into) (?:the|my|this|these|both)? ?(?!~|today|that)[a-z]+")
_PRESENCE = re.compile(
    r"\b(?:(?:was|were|been|be|am|i'm|he's|she's|is|are) (?:only |just |out |in |over |back )*(?:here|there|at it|out here|in here|in the (?:shop|hangar|garage|shed|barn|workshop))|out here|in here|at it"
    r"|put(?:ting|s)? in|helped(?: (?:out|me|us))?(?: for the (?:day|morning|afternoon|evening))?(?: ,)?|lent (?:me|us) a hand|pitched in|clocked|put (?:me|him|her|us|them) down|stayed|showed up|worked|came (?:out|over|by|round)|did|done|managed|logged|(?:[a-z]+'s|i've|we've|have|has|i) got|went|gave me a hand)"
    r"(?: (?:about|another|only|just|for|in|a|good|solid|maybe|here|from|a full|some|the|around|over|under|nearly|almost|,|straight|like))* ?$")
_DAY_IS_SUBJECT = re.compile(
    r"~_*(?: (?:night|evening|morning|afternoon))?(?: ?(?:,|:|was|were|is|has been|'s been|been|i did|we did|i got|i had|i put in|we put in|for me|another|and|then|on|i|from|about|just|only|shy|short|of|maybe|roughly|nearly"
    r"|under|over|around|almost|barely|call it|say|all|a|good|solid|full|whole|the|so|it was|that's|that was|we had|we got|came to|comes to|adds up to|makes|so that's|got|had))* ?$")
_JOB_SUBJECT = re.compile(
    r"(?:^|[,;.:] |\band |\bbut |\bjust |\bof which )(?:of which |just |only |then |now |all of |also )*(?:the|those|that|these|this|my|our|his|her|both|an?|[a-z]+'s)"
    r" (?!~|day|week|weekend|evening|night|morning|afternoon|whole day|session|total|notebook|log|clock|book)(?:[a-z'#@\d-]+ ){1,6}?(?:(?:(?:on|from|of|over) (?:the )?)?~_* )?(?:was|were|is|took|has been|have been|ran|went|ate|(?<=_ ),)"
    r"(?: (?:about|just|only|around|roughly|maybe|nearly|another|a|good|over|under|well|itself|alone|themselves|me|us|by|close to|,|shy of|like|another))* ?$")
_FOR_JOB = re.compile(
    r"^ ?(?:, )?(?:of work )?(?:just |only |all |purely |solely )?(?:on|for|with|of|spent on|doing|at|into|over|to|by|between|from start|start to finish)\b ?(?:the|that|those|these|this|my|a|an|mine|it|them|both|all|each|one)?"
    r" ?(?!the\b|those\b|them\b|that\b(?! [a-z])|it\b|day\b|weekend|week\b|night|work\b|session|morning|afternoon|evening|~|me\b|him\b|her\b|us\b|lunch|no\b|nose\b|dot\b|button\b|which\b|actual|real|of |his\b|their\b)[a-z]{2,}"
    r"|^ ?(?:, )?(?:all |just )?(?:on|for|doing) (?:that|it|those|them|these)(?= [,.;]|$)")
_DOING = re.compile(r"^ (?:of |just |straight )?(?!during|evening|morning|including|being|nothing)[a-z]{3,}ing\b")
_RATE = re.compile(r"\b(?:each|every|per|one|a) [a-z]+ (?:[a-z]+ )?(?:takes|needs|wants)(?: (?:me|us|you|about|around|roughly|a good|maybe|,))* ?$|\bapiece ?$")
_JOB_TOOK = re.compile(
    r"\b(?:took|takes|taking|ate|burned|burnt|swallowed|cost me|by itself|by themselves|alone|went into|went on|spent|of which|that's just|of the|on (?:it|them|those|that)|for (?:it|them|those|that))\b|~_*'s [a-z]+"
    r"|\b(?:with|the) [a-z]+ing? ?,? ?$|\bwith (?:the|a|my) [a-z ]+, ?$")
_TODAY_RIGHT = re.compile(r"^ (?:hours )?(?:more |alone |for me |so far |in |here |of it |solid |straight |even |, )*(?:on |for |over )?(?:the )?~")
_HELD = re.compile(r"\b(?:held|holds|hold|lasted|lasts?|stood|stayed up)(?: (?:it|there|on|pressure|up|for|about|a|good|over|nearly|full))* ?$")
_LIMIT = re.compile(r"\b(?:within|after|every|per|until|the first|the last|the next|than|first|exceed\w*) (?:the |about |another )?$")


def scope_of(around: Around) -> tuple[str, str]:
    """The scope of a length of time and the name of the rule that gave it."""
    for name, scope, holds in RULES:
        if holds(around):
            return scope, name
    return TASK, "told with a job"


def _waits(around: Around) -> bool:
    wanted = bool(_WANTS.search(around.left))
    if around.form == "clock" or re.search(r"\b(?:spent|took me|worked|took us|put in)\b", around.near):
        return False
    if wanted and re.match(r" (?:at (?:this|that|#|room)|before|till|until|between|in the|under)\b", around.right):
        return True
    cure = _CURE.search(f"{around.left if not around.told else around.near} ^ {around.right}")
    return bool(cure and (wanted or not around.told)) or (wanted and bool(
        _CURE.search(around.whole) or _CURE.search(around.before) or re.search(r"\b(?:gave|left|let|sat|sits?|wait)", around.left)))


def _engine(around: Around) -> bool:
    if re.search(r"\b(?:it|she|engine|motor) (?:ran|runs|idled|was running)(?: (?:for|about|a|good|over|nearly|her|it|up|sweetly))* ?$", around.near):
        return True
    near = f"{around.near} ^ {around.right}"
    on_it = _ON_ENGINE.match(around.right) and _ENGINE_TALK.search(f"{around.before} {around.whole}")
    return bool(_ENGINE.search(near) or (on_it and not re.search(r"\b(?:i|we) (?:put|spent|worked|did|have|got)\b", around.near)))


def _drives(around: Around) -> bool:
    return bool(_DRIVE.search(f"{around.near} ^ {_first_clause(around.right)}")) and not re.search(
        r"\bdriv(?:e|ing|en|es) (?:the |those |them|a )?(?:rivets?|screws?|pins?|bucks?)|\bdrove (?:the |them|in )", around.whole)


def _first_clause(right: str) -> str:
    """The words behind a length up to the first comma, or up to the second where the first parts a short remark."""
    pieces = right.split(" , ")
    return " , ".join(pieces[:3]) if len(pieces[0].split()) <= 3 else pieces[0]


def _planned(around: Around) -> bool:
    if _TO_GO.match(around.right) and not re.search(r"\b(?:did|put in|spent)(?: \w+)? ?$", around.near):
        return True
    if around.dated and re.search(r"\bi'd (?:say|guess|put it at|call it)\b", around.near):
        return False
    return bool(_PLAN.search(around.near) or _FIGURING.search(around.left)) and not re.search(
        r"\b(?:i'd (?:guessed|figured|expected|reckoned)|thought|that took|it took|i spent)\b", around.left)


def _total(around: Around) -> bool:
    near = f"{around.near} ^ {around.right}"
    if around.low > 24 * max(around.days, 1):
        return True
    if around.form == "clock" or (around.dated and not re.search(r"\bsince\b|grand total|running total|to date", near)):
        return False
    if re.search(r"\b(?:i|we)(?:'ve| have)(?: now| already)? got (?:about |around |roughly |nearly )*$", around.near) and _ONTO.match(around.right):
        return not around.told
    if _PRESENCE.search(around.near) and not re.search(r"\b(?:total|since|to date)\b", near):
        return False
    if re.search(r"\btotal|\bto date|\bsince ", near):
        return True
    small = around.low <= 16 * max(around.days, 1)
    if small and ((_FOR_JOB.match(around.right) and around.right.startswith(" for")) or re.search(
            r"\b(?:was|were|did|been|took|would be|be)(?: \w+)? ?$", around.near)):
        return False
    if _TOTAL.search(near) and not around.told:
        return True
    if not _TOTAL_TO.search(around.near):
        return False
    return around.low > 8 or bool(_ONTO.match(around.right)) or bool(
        re.search(r"\b(?:makes|puts|brings|gets|stands?|sits?|at|up to)\b", around.near))


def _trivial(around: Around) -> bool:
    if around.form == "clock":
        return False
    return bool(_HELD.search(around.left) or _RATE.search(around.near) or _LIMIT.search(around.left))


def _clock_of_job(around: Around) -> bool:
    if around.form == "clock" and re.match(r" ,? ?(?:that was|it was|it took|that took)\b(?! (?:me|us|today|~))", around.right):
        return True
    return around.form == "clock" and bool(_FOR_JOB.match(around.right) or (around.told and not around.dated))


def _presence(around: Around) -> bool:
    if re.search(r"\bgave (?:me|us)\b", around.near):
        return True
    if _DOING.match(around.right):
        return False
    if re.match(r" of (?:that|those|it)\b", around.right) and not _IS_THERE.search(around.near):
        return False
    return bool(_PRESENCE.search(around.near)) and not _FOR_JOB.match(around.right) and not re.search(
        r"\bon (?:it|them|those|these|that)\b[^~]*$", around.near)


def _of_the_day(around: Around) -> bool:
    alone = not around.left.strip(" ,.") and re.match(r"^ ?,? ?~_* ?[.,]?", around.right)
    if not around.near.strip(" ,.") and "~" in around.left and not around.told and not _FOR_JOB.match(around.right):
        return True
    mine = re.match(r" (?:hours )?for me\b", around.right) and not around.told
    return bool(alone or mine or (_TODAY_RIGHT.match(around.right) and not around.told)
                or re.match(r"^ (?:of (?:actual|real|solid|honest) work|of work|straight through|before lunch|after lunch|before (?:dinner|supper)|after (?:dinner|supper))", around.right))


def _day_subject(around: Around) -> bool:
    if around.told and not re.search(r"~_* (?:was|has been|'s been|is|i did|i put in)\b[^~]*$", around.near):
        return False
    return bool(_DAY_IS_SUBJECT.search(around.near)) or bool(
        re.search(r"(?:^|[,;] |so |and )~_* (?:was|has been|'s been)\b", around.left) and not _JOB_SUBJECT.search(around.near))


def _part_of_that(around: Around) -> bool:
    """ "Of that I'd say three on the spar", "the wires ate four of that": a job inside the hours just told."""
    return bool(re.search(r"(?:^|[,.;] |\band )(?:and )?of (?:that|those|which|it|the (?:morning|afternoon|day|time))\b", around.left)
                or (re.match(r" of (?:that|those|them)\b", around.right) and not _IS_THERE.search(around.near)))


_IS_THERE = re.compile(r"\b(?:here|there|was|were|is|am|i'm|he's|she's|they're|been|he|she|they|i|got)(?: (?:for|about|only|just|in|nearly|around))* ?$")


def _spent_after(around: Around) -> bool:
    """ "Twenty-six hours she spent on that"."""
    return bool(re.match(r" (?:he|she|i|we|they|it)(?:'ve|'s| have| has)? (?:spent|put|did|took|went|worked)\b", around.right))


def _is_so_long(around: Around) -> bool:
    """ "Today I'm eight hours", "she was five": a person is so long at work."""
    return bool(re.search(r"(?:^|[,.;~_] |\band |\bbut |\bso )?\b(?:i'm|i am|i was|he was|she was|he's|she's|he is|she is|we were|they were|he'd be|she'd be)(?: (?:about|around|only|just|in|for|another|at))* ?$", around.near))


Test = Callable[[Around], bool]
RULES: tuple[tuple[str, str, Test], ...] = (
    ("a machine ran", OTHER, lambda a: bool(_MACHINE.search(a.left))),
    ("engine or airframe time", OTHER, _engine),
    ("flying", OTHER, lambda a: bool(_FLY.search(f"{a.near} ^ {_first_clause(a.right)}"))),
    ("driving", OTHER, _drives),
    ("drying, curing or waiting", OTHER, _waits),
    ("part of that", TASK, _part_of_that),
    ("spent on it", TASK, _spent_after),
    ("estimate", PLANNED, _planned),
    ("running total", TOTAL, _total),
    ("how long a thing held", NOTHING, _trivial),
    ("clock range of one job", TASK, _clock_of_job),
    ("clock range", SESSION, lambda a: a.form == "clock"),
    ("time at work", SESSION, _presence),
    ("a person's time", SESSION, _is_so_long),
    ("a job was so long", TASK, lambda a: bool(_JOB_SUBJECT.search(a.near))),
    ("one day's job", TASK, lambda a: "~" in a.right and a.behind != a.right and bool(_FOR_JOB.match(a.behind))),
    ("the day is so long", SESSION, _day_subject),
    ("one job took it", TASK, lambda a: bool(_JOB_TOOK.search(a.near))),
    ("for one job", TASK, lambda a: bool(_FOR_JOB.match(a.right) or _DOING.match(a.right))),
    ("the day's hours", SESSION, _of_the_day),
)
