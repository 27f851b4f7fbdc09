"""What a length of time is: work of a day, one job, a running total, an estimate, or no labour at all.

Named rules over the words around the length; the first that holds decides. Days are masked `~`, lengths `^`, clock
ranges `%`, lengths that are none `!`. The word classes, such as `<curing>`, are those of data/hours.toml.
"""
from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from witnessmark.reading.hour_words import pattern

SESSION, TASK, TOTAL, PLANNED, OTHER, NOTHING = "session", "task", "total", "planned", "other", "nothing"
LONGEST_DAY = 16  # hours; more on one day is a running total where the words allow it
HOURS_A_DAY = 24


@dataclass(frozen=True, slots=True)
class Around:
    """The words around one length of time.

    `left` and `right` reach to the neighbouring lengths within the sentence, `near` is the last clause of `left`,
    `whole` the sentence, `before` the sentence before. `low` is in hours, `days` the number of days of its date,
    `dated` True where a day was said for it, `told` True where the same sentence tells of an act of work, `job` where
    this sentence or one shortly before it does.
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
    job: bool = False

    @property
    def behind(self) -> str:
        """The words behind the length, without a day that stands first."""
        return re.sub(r"^ (?:hours )?(?:(?:on|for|the|,|;|~_*) )*", " ", self.right)

    @property
    def near(self) -> str:
        return _CLAUSE.split(self.left)[-1]

    @property
    def here(self) -> str:
        """The last clause before the length and the first behind it."""
        return f"{self.near} ^ {_first_clause(self.right)}"


_CLAUSE = re.compile(r"(?:^| )(?:[,;] (?:and|but|so|then|which|because) |; |and (?=(?:i|he|she|we|they|it|that|the|those)\b)|but )")


def _first_clause(right: str) -> str:
    """The words behind a length up to the first comma, or up to the second where the first parts a short remark."""
    pieces = right.split(" , ")
    return " , ".join(pieces[:3]) if len(pieces[0].split()) <= 3 else pieces[0]


# -- no labour

_RAN = pattern(r"<machines>[^.;^]{0,20}<machine_runs>[^.;^]{0,15}$"
               r"|\b(?:ran|run|running|had|left) (?:the|my|that|a|an|our) (?:[a-z]+ )?<machines>(?: (?:running|going|on|<hedges>))* ?$")
_ENGINE = pattern(r"<engine>|\bon (?:the|its) <engine_things> (?:already|since|when)\b")
_ENGINE_RAN = re.compile(r"\b(?:it|she|engine|motor) (?:ran|runs|idled|was running)(?: (?:for|about|a|good|over|nearly|her|it|up|sweetly))* ?$")
_ON_ENGINE = pattern(r"^ (?:total time |hours )?on (?:it|her|him|the <engine_things>)(?!\w)")
_ENGINE_TALK = pattern(r"<engine_talk>")
_OWN_WORK = re.compile(r"\b(?:i|we) (?:put|spent|worked|did|have|got)\b")
_FLY = pattern(r"<flying>")
_DRIVE = pattern(r"<driving>")
_DRIVEN = pattern(r"\bdriv(?:e|ing|en|es) (?:the |those |them |a )?<driven_things>|\bdrove (?:the |them |in )")
_CURE = pattern(r"<curing>|<forbidding>(?: [a-z']+){0,4}? <hands_off>")
_LEAVES = pattern(r"(?:<leaving>|\bleft (?:the|my|this) [a-z]+)(?: (?:at|in|on|under|over) (?:the|a|my|our) [a-z]+)?(?: <leaving_how>)* ?$")
_LEFT_ALONE = re.compile(r"\b(?:gave|give|giving|left|let|sat|sits?|wait)")
_UNTIL = re.compile(r" (?:at (?:this|that|#|room)|before|till|until|between|in the|under)\b")
_WORKED = re.compile(r"\b(?:spent|took me|worked|took us|put in)\b")


def _engine(around: Around) -> bool:
    if _ENGINE_RAN.search(around.near):
        return True
    on_it = _ON_ENGINE.match(around.right) and _ENGINE_TALK.search(f"{around.before} {around.whole}")
    return bool(_ENGINE.search(f"{around.near} ^ {around.right}") or (on_it and not _OWN_WORK.search(around.near)))


def _drives(around: Around) -> bool:
    return bool(_DRIVE.search(around.here)) and not _DRIVEN.search(around.whole)


def _waits(around: Around) -> bool:
    wanted = bool(_LEAVES.search(around.left))
    if around.form == "clock" or _WORKED.search(around.near):
        return False
    if wanted and _UNTIL.match(around.right):
        return True
    cure = _CURE.search(f"{around.left if not around.told else around.near} ^ {around.right}")
    return bool(cure and (wanted or not around.told)) or (wanted and bool(
        _CURE.search(around.whole) or _CURE.search(around.before) or _LEFT_ALONE.search(around.left)))


# -- estimates and totals

_PLAN = pattern(r"<planning>")
_FIGURING = re.compile(r"\b(?:figuring|guessing|expecting|reckoning|estimating|allowing|budgeting)\b")
_GUESSED = pattern(r"<guessed_before>")
_TO_GO = pattern(r"^ ?(?:(?:hours|solid|good|,|easy|easily|of work|more|or so) )*<to_go>|^ ?(?:hours )?more (?:in|on|to|for|of|work|before)\b")
_DID = re.compile(r"\b(?:did|put in|spent)(?: \w+)? ?$")
_OF_A_DAY = re.compile(r"\bi'd (?:say|guess|put it at|call it)\b")


def _planned(around: Around) -> bool:
    if _TO_GO.match(around.right) and not _DID.search(around.near):
        return True
    if around.dated and _OF_A_DAY.search(around.near):
        return False
    return bool(_PLAN.search(around.near) or _FIGURING.search(around.left)) and not _GUESSED.search(around.left)


_TOTAL = pattern(r"<totals>")
_STANDS_AT = pattern(r"<stands_at>(?: (?!did|put)[a-z',]+){0,6} ?$|\b(?:he's|she's|he is|she is|i'm|they're) on ?$")
_STANDS_SURELY = pattern(r"<stands_at_surely>")
_ONTO = re.compile(r"^ (?:hours )?(?:of (?:work )?)?(?:on|in|into) (?:the|my|this|these|both)? ?(?!~|today|that)[a-z]+")
_SINCE = re.compile(r"\bsince (?!~)|grand total|running total|to date")
_HAVE_GOT = re.compile(r"\b(?:i|we)(?:'ve| have)(?: now| already)? got (?:about |around |roughly |nearly )*$")
_WAS_SO_LONG = re.compile(r"\b(?:was|were|did|been|took|would be|be)(?: \w+)? ?$")


def _total(around: Around) -> bool:
    near = f"{around.near} ^ {around.right}"
    if around.low > HOURS_A_DAY * max(around.days, 1):
        return True
    if around.form == "clock" or (around.dated and not _SINCE.search(near)):
        return False
    if _HAVE_GOT.search(around.near) and _ONTO.match(around.right):
        return not around.told
    if _PRESENCE.search(around.near) and not re.search(r"\b(?:total|since|to date)\b", near):
        return False
    if re.search(r"\btotal|\bto date|\bsince (?!~)", near) or (re.search(r"\bsince ~", near) and not around.dated):
        return True
    small = around.low <= LONGEST_DAY * max(around.days, 1)
    if small and ((_FOR_JOB.match(around.right) and around.right.startswith(" for")) or _WAS_SO_LONG.search(around.near)):
        return False
    if _TOTAL.search(near) and not around.told:
        return True
    if not _STANDS_AT.search(around.near):
        return False
    return around.low > 8 or bool(_ONTO.match(around.right) or _STANDS_SURELY.search(around.near))


# -- no length of anybody's work

_HELD = pattern(r"<holding>(?: (?:it|there|on|pressure|up|for|about|a|good|over|nearly|full))* ?$")
_RATE = re.compile(r"\b(?:each|every|per|one|a) [a-z]+ (?:[a-z]+ )?(?:takes|needs|wants)"
                   r"(?: (?:me|us|you|about|around|roughly|a good|maybe|,))* ?$|\bapiece ?$")
_LIMIT = pattern(r"<limits> (?:the |about |another )?$")
_OPEN = pattern(r"<opening>(?: (?:from|for|at|on|is|are|~_*))* ?$")
_A_PIECE = re.compile(r" (?:an?|per|each|every) (?!~|of\b|that\b|on\b|in\b|for\b|and\b|way\b|from\b|with\b|to\b|so\b|which\b|evening|night|day|morning|afternoon|session|go|time\b|stint|sitting|weekend|week\b)[a-z]+")
_A_WEEK = re.compile(r" (?:an?|per|each|every|to the|to a) (?:week|month|year)\b")


def _trivial(around: Around) -> bool:
    if around.form == "clock":
        return bool(_OPEN.search(around.left))
    return bool(_HELD.search(around.left) or _RATE.search(around.near) or _LIMIT.search(around.left)
                or _is_rate(around))


def _is_rate(around: Around) -> bool:
    """ "Twelve minutes a rib", "forty hours to the week": how much for each, not how long."""
    return bool(_A_PIECE.match(around.right) or _A_WEEK.match(around.right)) and not _DID.search(around.near)


# -- sessions and jobs

_FOR_JOB = re.compile(
    r"^ ?(?:, (?=(?:of work |just |only |all |purely |solely )*(?:on|for|spent|doing)\b))?(?:of work )?(?:just |only |all |purely |solely )?"
    r"(?:on|for|with|of|spent on|doing|at|into|over|to|by|between|from start|start to finish)\b ?(?:the|that|those|these|this|my|a|an|mine|it|them|both|all|each|one)?"
    r" ?(?!the\b|those\b|them\b|that\b(?! [a-z])|it\b|day\b|weekend|week\b|night|work\b|session|morning|afternoon|evening|~|me\b|him\b|her\b|us\b|lunch|no\b|nose\b|dot\b|button\b|which\b|actual|real|of |his\b|their\b)[a-z]{2,}"
    r"|^ ?(?:, )?(?:all |just )?(?:on|for|doing) (?:that|it|those|them|these)(?= [,.;]|$)")
_DOING = re.compile(r"^ (?:of |just |straight )?(?!during|evening|morning|including|being|nothing)[a-z]{3,}ing\b")
_PRESENCE = pattern(r"<presence>(?: (?:here|from|<hedges>))* ?$")
_PRESENT = pattern(r"<presence_places>")
_TOOK = re.compile(r"\b(?:took|ran|lasted)(?: (?:us|me|from|about|,))* ?$")
_PRESENCE_BEHIND = pattern(r"^ (?:hours )?<presence_behind>")
_DAY_IS_SUBJECT = re.compile(
    r"~_*(?: (?:night|evening|morning|afternoon))?(?: ?(?:,|:|was|were|is|has been|'s been|been|i did|we did|i got|i had|i put in|we put in|for me|another|and|then|on|i|from|about|just|only|shy|short|of|maybe|roughly|nearly"
    r"|under|over|around|almost|barely|call it|say|all|a|good|solid|full|whole|the|so|it was|that's|that was|we had|we got|came to|comes to|adds up to|makes|so that's|got|had|again))* ?$")
_JOB_SUBJECT = re.compile(
    r"(?:^|[,;.:] |\band |\bbut |\bjust |\bof which )(?:of which |just |only |then |now |all of |also )*(?:the|those|that|these|this|my|our|his|her|both|an?|[a-z]+'s)"
    r" (?!~|day|week|weekend|evening|night|morning|afternoon|whole day|session|total|notebook|log|clock|book)(?:[a-z'#@\d-]+ ){1,6}?(?:(?:(?:on|from|of|over) (?:the )?)?~_* )?(?:was|were|is|took|has been|have been|ran|went|ate|(?<=_ ),)"
    r"(?: (?:about|just|only|around|roughly|maybe|nearly|another|a|good|over|under|well|itself|alone|themselves|me|us|by|close to|,|shy of|like|another))* ?$")
_JOB_TOOK = pattern(r"<job_verbs>|~_*'s [a-z]+|\b(?:with|the) [a-z]+ing? ?,? ?$|\bwith (?:the|a|my) [a-z ]+, ?$")
_TODAY_RIGHT = re.compile(r"^ (?:hours )?(?:more |alone |for me |so far |in |here |of it |solid |straight |even |, )*(?:on |for |over )?(?:the )?~")
_WHOLE_DAY = pattern(r"^ (?:hours )?(?:, )?<whole_day>")
_IS_THERE = re.compile(r"\b(?:here|there|was|were|is|am|i'm|he's|she's|they're|been|he|she|they|i|got)(?: (?:for|about|only|just|in|nearly|around))* ?$")
_ON_THAT = re.compile(r"\b(?:on|for|doing) (?:that|it|those|them|these)\b(?= ?[,.;])")
_IT_WAS = re.compile(r" ,? ?(?:that was|it was|it took|that took)\b(?! (?:me|us|today|~))")


def _clock_of_job(around: Around) -> bool:
    if around.form != "clock":
        return False
    if _IT_WAS.match(around.right) or _TOOK.search(around.near):
        return True
    return bool(_FOR_JOB.match(around.right)) or around.told


def _presence(around: Around) -> bool:
    if re.search(r"\bgave (?:me|us)\b", around.near) or _PRESENCE_BEHIND.match(around.right):
        return True
    if _DOING.match(around.right):
        return False
    if re.match(r" of (?:that|those|it)\b", around.right) and not _IS_THERE.search(around.near):
        return False
    return bool(_PRESENCE.search(around.near)) and not _FOR_JOB.match(around.right) and not re.search(
        r"\bon (?:it|them|those|these|that)\b[^~]*$", around.near)


def _at_work(around: Around) -> bool:
    """ "Out here from breakfast on, say ^": the sentence tells of presence, and of no job."""
    return bool(_PRESENT.search(around.left)) and not around.told


def _of_the_day(around: Around) -> bool:
    alone = not around.left.strip(" ,.") and re.match(r"^ ?,? ?~_* ?[.,]?", around.right)
    if _JOB_TOOK.search(around.left):
        return False
    if not around.near.strip(" ,.") and "~" in around.left and not around.told and not _FOR_JOB.match(around.right):
        return True
    mine = re.match(r" (?:hours )?for me\b", around.right) and not around.told
    return bool(alone or mine or (_TODAY_RIGHT.match(around.right) and not around.told) or _WHOLE_DAY.match(around.right))


def _day_subject(around: Around) -> bool:
    if around.told and not re.search(r"~_* (?:was|has been|'s been|is|i did|i put in)\b[^~]*$", around.near):
        return False
    return bool(_DAY_IS_SUBJECT.search(around.near)) or bool(
        re.search(r"(?:^|[,;] |so |and )~_* (?:was|has been|'s been)\b", around.left) and not _JOB_SUBJECT.search(around.near))


def _is_one_days_job(around: Around) -> bool:
    if "~" not in around.right or around.behind == around.right:
        return False
    return bool(_FOR_JOB.match(around.behind) or _DOING.match(around.behind) or _ON_THAT.search(around.right))


def _part_of_that(around: Around) -> bool:
    """ "Of that I'd say three on the spar", "the wires ate four of that": a job inside the hours just told."""
    return bool(re.search(r"(?:^|[,.;] |\band )(?:and )?of (?:that|those|which|it|the (?:morning|afternoon|day|time))\b", around.left)
                or (re.match(r" of (?:that|those|them)\b", around.right) and not _IS_THERE.search(around.near)))


def _spent_after(around: Around) -> bool:
    """ "Twenty-six hours she spent on that", "half a day, it took"."""
    return bool(re.match(r" (?:, )?(?:it|that|this|they|those) (?:took|takes)\b", around.right) or re.match(r" (?:he|she|i|we|they|it)(?:'ve|'s| have| has)? (?:spent|put|did|took|went|worked)\b", around.right))


def _is_so_long(around: Around) -> bool:
    """ "Today I'm eight hours", "she was five": a person is so long at work."""
    return bool(re.search(r"(?:^|[,.;~_] |\band |\bbut |\bso )?\b(?:i'm|i am|i was|he was|she was|he's|she's|he is|she is|we were|they were|he'd be|she'd be)(?: (?:about|around|only|just|in|for|another|at))* ?$", around.near))


Test = Callable[[Around], bool]
RULES: tuple[tuple[str, str, Test], ...] = (
    ("opening hours, a rate, or how long a thing held", NOTHING, lambda a: _trivial(a) and (a.form == "clock" or _is_rate(a))),
    ("a machine ran", OTHER, lambda a: bool(_RAN.search(a.left))),
    ("engine or airframe time", OTHER, _engine),
    ("flying", OTHER, lambda a: bool(_FLY.search(a.here))),
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
    ("one day's job", TASK, _is_one_days_job),
    ("the day is so long", SESSION, _day_subject),
    ("one job took it", TASK, lambda a: bool(_JOB_TOOK.search(a.near))),
    ("for one job", TASK, lambda a: bool(_FOR_JOB.match(a.right) or _DOING.match(a.right))),
    ("the day's hours", SESSION, _of_the_day),
    ("at work", SESSION, _at_work),
)


def scope_of(around: Around) -> tuple[str, str]:
    """The scope of a length of time and the name of the rule that gave it."""
    for name, scope, holds in RULES:
        if holds(around):
            return scope, name
    return (TASK, "told with a job") if around.told or around.job else (SESSION, "no job told")
