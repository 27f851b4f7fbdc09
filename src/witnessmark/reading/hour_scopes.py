"""What a length of time is: work of a day, one job, a running total, an estimate, or no labour at all.

Named rules over the words around the length: `left` and `right` up to the neighbouring lengths, `whole` the
sentence. The first rule that holds decides. Days are masked `~`, lengths `^`, clock ranges `%`.
"""
from __future__ import annotations

import re
from dataclasses import dataclass

SESSION, TASK, TOTAL, PLANNED, OTHER, NOTHING = "session", "task", "total", "planned", "other", "nothing"


@dataclass(frozen=True, slots=True)
class Around:
    """The words around one length of time. `low` in hours; `days` the number of days that its date covers."""

    left: str
    right: str
    whole: str
    before: str
    low: float
    form: str
    days: int
    dated: bool


@dataclass(frozen=True, slots=True)
class ScopeRule:
    """A named rule: what it looks for on the left, the right, in the sentence, and the scope that it gives."""

    name: str
    scope: str
    left: re.Pattern[str] | None = None
    right: re.Pattern[str] | None = None
    whole: re.Pattern[str] | None = None
    unless: re.Pattern[str] | None = None

    def holds(self, around: Around) -> bool:
        if self.unless and self.unless.search(around.whole):
            return False
        return any(pattern is not None and pattern.search(text) for pattern, text in (
            (self.left, around.left), (self.right, around.right), (self.whole, around.whole)))


def _rule(name: str, scope: str, *, left: str = "", right: str = "", whole: str = "", unless: str = "") -> ScopeRule:
    compiled = [re.compile(pattern) if pattern else None for pattern in (left, right, whole, unless)]
    return ScopeRule(name, scope, *compiled)


_CURE = (r"\b(?:cur(?:e|es|ed|ing)|dry|dries|dried|drying|set up|sets up|to set|kick(?:s|ed)? off|tack(?:y| free|-free)|pot life|open time|working time"
         r"|between coats|coats? (?:apart|between)|recoat|re-coat|overcoat|before (?:you|i|we|anybody|anyone|it|the next|handling|sanding|touching)[^.]{0,40}"
         r"(?:touch|handle|sand|breath\w*|move|recoat|fly|lean|coat|use|clamp)\w*|to go off|goes off|flash(?:es)? off|soak\w*|postcure|post-cure"
         r"|(?:in|under) (?:the )?clamps|clamped|overnight|the can|tin says|data ?sheet|harden\w*|bake[sd]?|baking|oven|heat lamp"
         r"|sits? (?:overnight|till|until|for|there)|sat (?:overnight|till|until|for|there)|left it|leave it|wait(?:ed|ing)?\b(?! for me))")
_DRIVE = (r"\b(?:drive|drives|drove|driven|driving|on the road|in the (?:truck|car|van|ute)|round trip|there and back|commut\w+|road trip|motorway|freeway|highway"
          r"|each way|trip (?:to|up|down)|travel\w*|ferry|behind the wheel|traffic|trailer(?:ed|ing)|haul(?:ed|ing) it)\b")
_FLY = r"\b(?:flight|flying|flew|flown|fly ?off|test flights?|phase one|airborne|in the air|pattern work|circuits)\b"
_ENGINE = (r"\b(?:hobbs|tach(?:ometer)?|hour meter|smoh|since (?:major|overhaul|new|rebuild|top)|tbo|time in service|total time|engine time|ground run\w*|run-?in|ran the engine"
           r"|on the (?:engine|airframe|prop|motor|hobbs|tach|clock(?! radio)))\b")
_MACHINE = (r"\b(?:charger|battery|compressor|heater|fan|printer|tumbler|vacuum pump|vac pump|generator|lathe by itself|dehumidifier|all by itself|on its own power)\b"
            r"[^.]{0,30}\b(?:ran|run|runs|running|going|charged|on)\b")
_PLAN = (r"\b(?:figure|figured|figuring|figures|guess|guessing|expect|expecting|reckon|reckoning|estimate[sd]?|estimating|allow|allowing|budget\w*|planning on|plan on"
         r"|looking at|supposed to (?:take|be)|should (?:take|be)|ought to (?:take|be)|will (?:take|be)|'ll (?:take|be|need|want)|going to (?:take|be|need)|gonna (?:take|be)"
         r"|might (?:take|be)|could (?:take|be)|would (?:take|be)|i'd (?:guess|say|think|put it at)|i'm calling it|bet it|it'll|that'll|they'll|needs? another|see|i can see)\b")
_AHEAD = r"\b(?:more to go|to go|left to (?:do|go)|still to (?:do|go|come)|to come|remaining|to finish|from done|worth (?:left|to do)|more (?:in|on|to|for|of)|ahead of me)\b"
_TOTAL = (r"\b(?:total|totals|total's|altogether|all told|to date|so far|running total|grand total|all up|in all|since (?:i|we|the (?:beginning|start|kit|first)|day one|march|last|january|february|april|may|june"
          r"|july|august|september|october|november|december|spring|summer|fall|winter|autumn|~)|and counting|up to now|overall|in this (?:airplane|aeroplane|plane|project|build)|add up the column"
          r"|the (?:tally|counter)|cumulative|lifetime|stands? at|sits? at|standing at|puts (?:the|us|me|it|that)|brings (?:the|us|me|it|that)|up to)\b")
_TOTAL_TO = (r"\b(?:makes|making|puts|putting|brings|bringing|gets|takes|leaves|pushes|bumps|stands?|standing|sits?|sitting|at|is up to|are up to|adds up to|comes to) "
             r"(?:[a-z']+ ){0,5}$")
_ONTO = r"^ (?:hours )?(?:of (?:work )?)?(?:on|in|into) (?:the|my|this|these|both)? ?(?!~)[a-z]+"
_DAYWORK = (r"\b(?:today|tonight|was (?:out )?here|were (?:out )?here|been (?:out )?here|been (?:in|at) (?:here|it|the shop|the hangar|the garage|the shed|the barn)|at it|out here|in here|out there|put in|putting in"
            r"|clocked|worked|work day|workday|session|put (?:me|him|her|us) down|day's work|of actual work|of work|came out|stayed|showed up|in the (?:shop|hangar|garage|shed|barn|workshop)|the day"
            r"|this (?:morning|afternoon|evening)|straight through|before lunch|after lunch|before supper|after supper|before dinner|after dinner)\b")
_TASKWORK = (r"\b(?:took|takes|taking|ate|burned|burnt|swallowed|on (?:that|those|these|this|it|them|the|my)|for (?:that|those|these|it|them|the|a|both|all)|by (?:itself|themselves)|alone|just the|of that|of those|of it"
             r"|to (?:get|do|make|fit|drill|rivet|bend|cut|clean|deburr|prime|sand|finish|install|set|line|rig|run|wire)|job|went (?:on|into)|spent|spread over|of which|doing|messing|fiddling|chasing|wrestling|nothing but"
             r"|[a-z]{3,}ing)\b")

RULES: tuple[ScopeRule, ...] = (
    _rule("a machine ran", OTHER, whole=_MACHINE),
    _rule("engine or airframe time", OTHER, right=r"^ (?:total time |hours )?on (?:it|her|the (?:engine|airframe|motor|prop|hobbs|tach|clock|core))\b", whole=_ENGINE),
    _rule("flying", OTHER, left=_FLY, right=_FLY),
    _rule("driving", OTHER, left=_DRIVE, right=_DRIVE, unless=r"\bdriv(?:e|ing|ove|en) (?:rivets?|screws?|them|those)\b"),
    _rule("freight", OTHER, whole=r"\b(?:freight|shipping|in transit|delivery time|courier)\b"),
    _rule("more to go", PLANNED, right="^ ?(?:hours )?" + _AHEAD, left=r"\b(?:another|more|least)\b.{0,20}\b(?:to go|left)\b"),
    _rule("estimate", PLANNED, left=_PLAN, unless=r"\bi'd (?:guessed|figured|expected|reckoned)\b"),
)


def scope_of(around: Around) -> tuple[str, str]:
    """The scope of a length of time and the name of the rule that gave it."""
    for rule in RULES:
        if rule.holds(around):
            return rule.scope, rule.name
    if _waits(around):
        return OTHER, "drying, curing or waiting"
    if _is_total(around):
        return TOTAL, "running total"
    if _is_trivial(around):
        return NOTHING, "how long a thing held"
    return _of_day_or_job(around)


def _waits(around: Around) -> bool:
    near = f"{around.left} ^ {around.right}"
    if re.search(r"\b(?:spent|took me|worked|took us)\b", around.left):
        return False
    wants = re.search(r"\b(?:wants?|needs?|gave (?:it|them|that)|give (?:it|them)|gets?|requires?|calls? for|for at least|cured|dried|sat|sits?|sitting|held)\b", around.left)
    cure = re.search(_CURE, near)
    return bool(cure and (wants or re.search(_CURE, around.right) or re.search(_CURE, around.left))) or bool(
        wants and re.search(_CURE, around.whole)) or bool(wants and re.search(_CURE, around.before) and re.search(
            r"\b(?:wants?|needs?|gave|give)\b", around.left))


def _is_total(around: Around) -> bool:
    near = f"{around.left} ^ {around.right}"
    if around.low > 24 * max(around.days, 1):
        return True
    if around.dated and not re.search(r"\b(?:since|grand total|running total|to date)\b", near):
        return False
    if around.form == "clock" or re.search(r"\b(?:today|tonight|here|put in|evening|morning|afternoon)\b", around.left):
        return False
    if re.search(_TOTAL, near):
        return True
    onto = re.search(_ONTO, around.right) and around.form == "bare"
    return bool(re.search(_TOTAL_TO, around.left) and (around.form == "bare" and around.low > 8 or onto or re.search(
        r"\b(?:makes|puts|brings|gets) (?:the|it|us|me|my|that)\b", around.left)))


def _is_trivial(around: Around) -> bool:
    return bool(re.search(r"\b(?:held|holds|hold|lasted|lasts|ran|runs|sat|stood|stayed up) (?:it |there |on |pressure )?(?:for )?(?:about |a good |over |nearly )?$", around.left)) or bool(
        re.search(r"\b(?:in|within|after|every|per|at|until|first|last|next) (?:the |about |another )?$", around.left)
        and not re.search(r"\b(?:done|finished|rigged|drilled|built|made|\w+ed)\b[^.]* in (?:about |just )?$", around.left))


def _of_day_or_job(around: Around) -> tuple[str, str]:
    if around.form == "clock":
        if re.search(r"^ ?,? ?(?:just |only |all |purely )?(?:on|for|doing) (?:the|that|those|my) (?!day)", around.right):
            return TASK, "clock range of one job"
        return SESSION, "clock range"
    left, right = around.left, around.right
    if re.search(r"^ ?(?:,? )?(?:just |only |all )?(?:on|for|with|of) (?:the|that|those|these|this|my|a|mine,?) ?(?!day|weekend|week|night|work|session|morning|afternoon|evening|~)[a-z]+", right) \
            and not re.search(r"^ ?(?:of|on) (?:actual |real )?(?:work|it)\b", right):
        return TASK, "for one job"
    if re.search(r"\b(?:took|takes|ate|burned|burnt|swallowed|by itself|alone|went into|went on|spent on|of which|of the|the \w+ing|just the|that's just)\b", left):
        return TASK, "one job took it"
    if re.search(r"~_*(?:'s)? (?:[a-z]+ )?[a-z]+ing\b", left):
        return TASK, "one day's job"
    if re.search(_DAYWORK, left) or re.search(_DAYWORK, right.split(" and ")[0][:40]):
        return SESSION, "time at work"
    if re.search(r"~_* ?(?:,|was|were|is|has been|i did|we did|did|for me|another|and)*(?: (?:about|just|only|shy|of|maybe|roughly|another|nearly|,|under|over))* ?$", left) \
            or re.search(r"^ (?:more |alone |for me |so far )*(?:on |for )?(?:the )?~", right) or re.search(r"~_*[^~]{0,25}$", left) and around.form == "bare":
        return SESSION, "the day's hours"
    return TASK, "told with a job"
