"""What a narration says of time: each expression with its EDTF, read relative to the recording's local day.

In: a parsed passage and the local moment of the recording. Out: `TimeMention`s in order. Never more exact than
what was said: a rough time carries `~`, a span is an interval, "long ago" is open to the day before.
"""
from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass, replace

from spacy.tokens import Doc, Token

from witnessmark import edtf_days
from witnessmark.reading import calendar_days as cal
from witnessmark.reading.date_rules import DAY_RULES, Context, Found, Kind, Rule
from witnessmark.reading.numbers import Folded, fold
from witnessmark.reading.span_rules import SPAN_RULES
from witnessmark.reading.text import Passage
from witnessmark.reading.weekday_rules import WEEKDAY_RULES
from witnessmark.reading.weekend_rules import WEEKEND_RULES

RULES: tuple[Rule, ...] = WEEKEND_RULES + SPAN_RULES + WEEKDAY_RULES + DAY_RULES
OPENING_WORDS = 14


@dataclass(frozen=True, slots=True)
class TimeMention:
    """One expression of time, tokens `start` up to, not including, `end`.

    `edtf` is None where it names no day (a clock time, "every evening"). `rule` names what read it; `exact` is
    True for one day; `superseded` marks a mention that the speaker corrected: it carries the corrected date.
    """

    start: int
    end: int
    edtf: str | None
    kind: Kind
    rule: str
    exact: bool
    superseded: bool = False
    doubt: str = ""


@dataclass(frozen=True, slots=True)
class _Draft:
    """A mention while it is being put together: characters of the folded line, and what it means."""

    start: int
    end: int
    rule: str
    found: Found
    superseded: bool = False
    doubt: str = ""


def find_times(passage: Passage, recorded: dt.datetime, previous: dt.date | None = None,
               southern: bool = False) -> tuple[TimeMention, ...]:
    """Every expression of time in a passage, in order.

    `recorded` is the local moment of the recording, `previous` the day of the session before (for "the day
    after the last video"), `southern` tells that the journal is kept south of the equator (for seasons).
    """
    folded = fold(passage.doc)
    drafts = _resolved(passage.doc, folded, recorded, previous, southern)
    return tuple(_mention(folded, draft) for draft in drafts)


def _mention(folded: Folded, draft: _Draft) -> TimeMention:
    start, end = folded.token_span(draft.start, draft.end)
    edtf = draft.found.edtf
    return TimeMention(start, end, edtf, draft.found.kind, draft.rule, edtf_days.is_exact(edtf),
                       draft.superseded, draft.doubt)


# ---- finding and resolving --------------------------------------------------------------------

def _candidates(text: str) -> list[tuple[Rule, re.Match[str]]]:
    """Every match of every rule, the first and longest first, then in the order of the rules."""
    found = [(rule, match) for rule in RULES for match in rule.pattern.finditer(text)]
    return sorted(found, key=lambda pair: (pair[1].start(), -pair[1].end()))


def _resolved(doc: Doc, folded: Folded, recorded: dt.datetime, previous: dt.date | None,
              southern: bool) -> list[_Draft]:
    """The longest expressions that mean something, each knowing the day spoken of before it."""
    drafts: list[_Draft] = []
    taken = -1
    opening = folded.offsets[OPENING_WORDS] if len(folded.offsets) > OPENING_WORDS else len(folded.text)
    for rule, candidate in _candidates(folded.text):
        start = candidate.start()
        match = _without_false_year(folded, rule, candidate)
        if start < taken or not match or not match[0].strip() or _is_something_else(doc, folded, match, rule.name):
            continue
        token = doc[folded.token_span(start, match.end())[0]]
        greeting = start < opening and all(draft.found.kind in ("present", "clock") for draft in drafts)
        context = Context(folded, recorded.date(), recorded, _history(drafts), previous, looks_ahead(token), greeting, southern)
        found = rule.resolve(match, context)
        if found is None:
            continue
        drafts = _with(folded, drafts, _Draft(start, match.end(), rule.name, found), recorded.date())
        taken = match.end()
    return drafts


def _without_false_year(folded: Folded, rule: Rule, match: re.Match[str]) -> re.Match[str] | None:
    """The rule's match, without a figure behind it that is no year: "the tenth of May, three hours"."""
    year = match.groupdict().get("year")
    if year and not 1950 <= folded.value(year) <= 2100:
        return rule.pattern.match(folded.text, match.start(), match.start("year"))
    return match


def _history(drafts: list[_Draft]) -> tuple[Found, ...]:
    """The past days spoken of so far, the latest last."""
    return tuple(draft.found for draft in drafts if draft.found.edtf and draft.found.kind in ("past", "present")
                 and not draft.found.edtf.startswith("../"))


def _with(folded: Folded, drafts: list[_Draft], draft: _Draft, day: dt.date) -> list[_Draft]:
    """The mentions with one more: joined to the last one if both mean one day, and correcting those it takes back."""
    joined = _joined(folded, drafts[-1], draft, day) if drafts else None
    if joined is None:
        return _corrected(folded, [*drafts, draft])
    last = drafts[-1].found
    before = [replace(d, found=joined.found) if d.superseded and d.found == last else d for d in drafts[:-1]]
    return _corrected(folded, [*before, joined])


_SET_PHRASES = re.compile(r" (?:drivers?|best|school|roast|papers?|club|crowd|league|job|blues|market|strips?)\b")
_NOT_NOUNS = frozenset(["night", "morning", "afternoon", "evening"])


def _is_something_else(doc: Doc, folded: Folded, match: re.Match[str], name: str) -> bool:
    """True for "Sunday drivers", "the thirteenth rib", "the fall of the drive"."""
    after = folded.text[match.end():]
    if name == "weekday" and _SET_PHRASES.match(after):
        return True
    if name == "season" and not re.search(r"\b(?:in|over|since|during|last|this|next|past|back|sometime|through|until|of)\b",
                                          match[0]):
        return True
    if name == "day of the month" and after[:1] == " " and after[1:2].isalpha():
        token = doc[folded.tokens[folded.word_at(match.end() + 1)][0]]
        counted = token.pos_ in ("NOUN", "PROPN", "ADJ") or token.tag_ == "NN" or token.lower_ in ("one", "ones", "of")
        return counted and token.lower_ not in _NOT_NOUNS
    if name == "season":
        return after.startswith((" of the", " off", " back", " washer", " loaded", " clip"))
    return False


_AHEAD = frozenset(["will", "'ll", "wo", "shall"])
_AHEAD_VERBS = frozenset(["want", "plan", "hope", "need", "intend", "aim", "wanna", "gonna"])
_TRAVEL = frozenset(["come", "go", "arrive", "start", "get", "leave", "ship"])


def looks_ahead(token: Token) -> bool:
    """True where the clause that a time expression stands in speaks of what is to come."""
    verb = _clause_verb(token)
    if verb is None:
        return False
    helpers = {child.lower_ for child in verb.children if child.dep_ in ("aux", "auxpass")}
    if helpers & _AHEAD:
        return True
    if verb.tag_ == "VBG" and helpers & {"'m", "'re", "am", "are", "is", "'s"}:
        return verb.lemma_ == "go" or _sets_a_day(verb, token)
    if verb.tag_ in ("VBZ", "VBP") and verb.lemma_ in _TRAVEL | _AHEAD_VERBS:
        return True
    parent = verb.head
    if verb.dep_ in ("xcomp", "ccomp") and parent.lemma_ in _AHEAD_VERBS | {"go", "have", "get"}:
        return parent.tag_ in ("VBP", "VBZ", "VB", "VBG")
    return False


def _sets_a_day(verb: Token, token: Token) -> bool:
    """ "Gary is coming Saturday": an appointment, where the verb is one of coming and going."""
    return verb.lemma_ in _TRAVEL | {"send", "take", "bring", "pick", "meet", "have"} and token.sent == verb.sent


def _clause_verb(token: Token) -> Token | None:
    """The nearest verb above a token, within its sentence."""
    while True:
        if token.pos_ in ("VERB", "AUX"):
            return token
        if token.head == token:
            return None
        token = token.head


# ---- two expressions for one day --------------------------------------------------------------

_BRIDGE = re.compile(r"[ ,]*(?:(?:so|that's|that is|that was|which is(?: to say)?|which was|the|a|on|it was) ?,? ?)*$")


def _joined(folded: Folded, one: _Draft, other: _Draft, day: dt.date) -> _Draft | None:
    gap = folded.text[one.end:other.start]
    stretch = _stretch(folded, one, other, gap) or _in_a_row(one, other, gap)
    if stretch:
        return stretch
    if other.rule == "holiday" and one.found.number is not None and re.fullmatch(r" ,(?: [a-z]+)? ", gap):
        return _Draft(one.start, other.end, one.rule, one.found)  # "the second, Texas Independence Day"
    if one.found.edtf is None or other.found.edtf is None or len(gap) > 30 or not _BRIDGE.match(gap):
        return None
    if " and " in gap or gap.strip().endswith((".", "?", "!")):
        return None
    found, doubt = _one_day(one.found, other.found, day)
    if found is None:
        return None
    found = replace(found, month_said=one.found.month_said or other.found.month_said)
    return _Draft(one.start, other.end, f"{one.rule} + {other.rule}", found, doubt=doubt)


_UP_TO = re.compile(r" (?:(?:right |straight |all the way )?(?:through |thru )?(?:to|till|until)|through|thru) (?:the )?$")


def _stretch(folded: Folded, one: _Draft, other: _Draft, gap: str) -> _Draft | None:
    """ "From Thursday through to last night", "between Saturday and Monday": the days from one to the other."""
    words = folded.text[max(0, one.start - 9):one.end]
    straight = re.fullmatch(r"(?: ,)? (?:right |straight )?through(?: to| till)? (?:the )?", gap)
    between = gap == " and " and re.search(r"\bbetween (?:the )?(?:\S+ ?){1,3}$", words)
    if not straight and not between and not (_UP_TO.fullmatch(gap) and re.search(r"\bfrom (?:the )?(?:\S+ ?){1,3}$", words)):
        return None
    first, last = edtf_days.day_window(one.found.edtf)[0], edtf_days.day_window(other.found.edtf)[1]
    if not first or not last or "future" in (one.found.kind, other.found.kind):
        return None
    if first > last and one.found.weekday is not None:
        first = cal.weekday_before(last, one.found.weekday)
    return _Draft(one.start, other.end, "from day to day", Found(edtf_days.of_days(first, last))) if first < last else None


def _in_a_row(one: _Draft, other: _Draft, gap: str) -> _Draft | None:
    """ "Friday night and last night", "the day after that and the next one": two days that follow each other."""
    if not re.fullmatch(r"(?: ,)? and (?:then )?(?:again )?(?:on )?(?:the )?", gap):
        return None
    days = one.found.edtf, other.found.edtf
    if one.found.kind == "future" or not all(edtf_days.is_exact(day) for day in days):
        return None
    first, last = (dt.date.fromisoformat(day or "") for day in days)
    if last - first != cal.ONE:
        return None
    return _Draft(one.start, other.end, "days in a row", Found(edtf_days.of_days(first, last), other.found.kind))


def _one_day(one: Found, other: Found, day: dt.date) -> tuple[Found | None, str]:
    """The day that both expressions mean, or None where they are two times; with a doubt where they disagree."""
    weekday = one.weekday if one.weekday is not None else other.weekday
    number = one.number if one.number is not None else other.number
    if one.relative and edtf_days.is_exact(one.edtf) and (one.edtf or "").endswith(f"-{number or 0:02}"):
        return one, ""
    for wide, narrow in ((one, other), (other, one)):
        if wide.edtf and wide.number is None and narrow.number is not None and len(wide.edtf) == 7:
            inside = _number_inside(wide.edtf, narrow.number)
            return (replace(narrow, edtf=inside), "") if inside else (None, "")
    if weekday is not None and number is not None:
        return _weekday_with_number(weekday, number, one, other, day)
    if one.edtf == other.edtf:
        return one, ""
    if edtf_days.covers(one.edtf, other.edtf):
        return other, ""
    if edtf_days.covers(other.edtf, one.edtf):
        return one, ""
    if one.relative and other.weekday is not None and edtf_days.is_exact(one.edtf):
        agrees = dt.date.fromisoformat(one.edtf or "").weekday() == other.weekday
        return (one, "") if agrees else (None, "")
    return None, ""


def _number_inside(month: str, number: int) -> str | None:
    found = cal.day_in(int(month[:4]), int(month[5:]), number) if int(month[5:]) <= 12 else None
    return found.isoformat() if found else None


def _weekday_with_number(weekday: int, number: int, one: Found, other: Found, day: dt.date) -> tuple[Found | None, str]:
    """ "Friday the thirteenth": the weekday tells which month's day it is, where the number alone does not."""
    dated = one if one.number is not None else other
    if not edtf_days.is_exact(dated.edtf):
        return None, ""
    said = dt.date.fromisoformat(dated.edtf or "")
    if said.weekday() == weekday:
        return replace(dated, weekday=weekday), ""
    ahead = cal.day_of_month_after(day, number)
    if dated.kind == "future" and ahead and ahead.weekday() == weekday:
        return replace(dated, edtf=ahead.isoformat(), weekday=weekday), ""
    for back in range(1, 4):
        found = cal.day_in(*edtf_days.add_months(said.year, said.month, -back), number)
        if found and found.weekday() == weekday:
            return replace(dated, edtf=found.isoformat(), weekday=weekday), ""
    return replace(dated, edtf=edtf_days.about(said)), "weekday and day of the month do not agree"


# ---- self-correction --------------------------------------------------------------------------

_CUE = re.compile(
    r"(?<![\w'])(?:no ,? ?(?=(?:no|nope|wait|hang on|hold on|sorry|it|that|actually|i|the|on|[,.#@]|$|\w+day)\b|[,.]|$)"
    r"|nope|wait|hang on|hold on|sorry|i mean|make that|scratch that|strike that|rather|correction|i lie|i tell a lie"
    r"|or was it|let me think)(?![\w'])")
_REPLACED = re.compile(r"[ ,]*(?:actually|or rather|or maybe it was|sorry|i mean|no)[ ,]*(?:the |on )?$")
MAX_GAP = 90
_FRAGMENTS = frozenset({"weekday", "day of the month", "month", "month and days"})


def _corrected(folded: Folded, drafts: list[_Draft]) -> list[_Draft]:
    """Mentions that the speaker takes back with the last one get the date that he means instead."""
    result = list(drafts)
    for at in range(len(result) - 2, max(len(result) - 6, -1), -1):
        if result[at].superseded:
            continue
        better = _correction_of(folded, result, at)
        if better is not None:
            wrong, right = result[at].found, result[better].found
            result = [replace(d, found=right) if d.superseded and d.found == wrong else d for d in result]
            result[at] = replace(result[at], found=replace(result[better].found), superseded=True,
                                 rule=f"{result[at].rule} (corrected)")
    return result


def _correction_of(folded: Folded, drafts: list[_Draft], at: int) -> int | None:
    """The index of the mention that corrects this one, or None."""
    said = drafts[at]
    if said.superseded or said.found.edtf is None or said.found.kind in ("clock", "recurring"):
        return None
    for index in range(at + 1, min(at + 4, len(drafts))):
        other = drafts[index]
        gap = folded.text[said.end:other.start]
        if len(gap) > MAX_GAP or "?" in gap:
            return None
        between = [draft.start - said.end for draft in drafts[at + 1:index] if draft.found.edtf != said.found.edtf]
        if other.found.edtf in (None, said.found.edtf) or other.found.kind == "future" != said.found.kind:
            continue
        if not _same_grain(said.found, other.found):
            continue
        if _takes_back(folded, said, other, gap, min(between, default=len(gap))):
            return index
    return None


def _takes_back(folded: Folded, said: _Draft, other: _Draft, gap: str, first_other: int) -> bool:
    """True where the words between the two say that the first was wrong; `first_other` is where another time begins."""
    cue = list(_CUE.finditer(gap))
    after = folded.text[other.end:other.end + 16]
    if cue and cue[0].start() <= first_other and len(gap[:cue[0].start()].split()) <= 8:
        reply = gap[cue[-1].end():]
        return "#" not in reply and len(reply.split()) <= 7
    same_kind = said.rule == other.rule and other.rule in _FRAGMENTS
    fragment = same_kind and re.fullmatch(r" (?:[.…]|\. \. \.)+ (?:on )?", gap) and re.match(r" [.,…]", after)
    trailing = re.match(r" ?,? ?(?:sorry|i mean|rather|actually)\b", after) and len(gap.split()) <= 3
    return bool(_REPLACED.match(gap) or fragment or trailing)


def _same_grain(one: Found, other: Found) -> bool:
    """True where one can stand for the other: both days or short spans, both months."""
    return (_length(one.edtf) <= 10) == (_length(other.edtf) <= 10)


def _length(edtf: str | None) -> int:
    first, last = edtf_days.day_window(edtf)
    return (last - first).days + 1 if first and last else 10_000
