"""Bare figures that are hours by their place: "Saturday was six", "two today", "which makes forty on the tail".

A bare figure counts only where the talk is of hours (a length with its unit, a clock range or a header such as
"Hours." stands near) or where its place leaves no doubt, and never where a thing that it counts follows.
"""
from __future__ import annotations

import re
from collections.abc import Container, Sequence
from dataclasses import dataclass

from spacy.tokens import Doc

from witnessmark.reading.hour_amounts import Amount
from witnessmark.reading.numbers import Folded, replacement

N = r"#\d+"
V = (rf"(?P<n>{N})(?: (?P<n1>{N}))?(?:(?: (?:or|to|-)| ,(?: maybe| or maybe| perhaps| call it| if not)?| maybe| or maybe) (?P<n2>{N}))?"
     r"(?![\w#%$'-])")
HEDGE = (r"(?:(?:about|near|around|roughly|just|only|a total of|maybe|another|over|under|shy of|short of|nearly|almost|call it|like|say|probably|some|a good"
         r"|oh|what|,|easily|exactly|close to|well|barely|up to) )*")
BE = r"(?:was|were|is|are|'s|has been|have been|'s been|comes? to|came to|ran(?: to)?|made|makes|went)"
DID = (r"(?:did|done|do|put in|puts in|has got|have got|got|gotten|spent|spends|worked|clocked|logged|stayed|managed|had|gave(?: me)?|been(?: here| out here| at it)?"
       r"|went|racked up|be|would be|must be|reckons)")
MEAL = r"(?:breakfast|brunch|lunch|dinner|supper|tea|smoko|coffee|church|work|school|bed|bedtime|dark|that)"
JOB = r"(?:on|for|in|into) (?:the|that|this|those|these|my|her|his) (?:\w+ ){1,3}?"


@dataclass(frozen=True, slots=True)
class Tally:
    """A pattern for a bare figure. `sure` patterns need no talk of hours around them."""

    name: str
    pattern: re.Pattern[str]
    sure: bool = False


def _tally(name: str, pattern: str, sure: bool = False) -> Tally:
    return Tally(name, re.compile(rf"(?<![\w'#$£€.])(?:{pattern})"), sure)


TALLIES: tuple[Tally, ...] = (
    _tally("the day was so many", rf"~_*(?: ,)? (?:{BE}) {HEDGE}{V}(?= (?:[,.;]|and|even|flat|hours|so|but|each|apiece|total|if|on|for|altogether|or)\b| [,.;]|$)", True),
    _tally("the day, so many", rf"~_*(?: (?:for (?:me|him|her)|,|:|i {DID}|we {DID}|he {DID}|she {DID}|{BE}|{JOB}[,]?|then|and|on|again|another))* {HEDGE}{V}(?= (?:[,.;]|and|even|flat|hours|so|but|each|apiece|altogether|all|maybe|if|for (?:me|him|her|the|both|us)|on (?:that|it|the nose)|with|in|again|like|as|~_*)\b| [,.;~]|$)"),
    _tally("so many that day", rf"(?:(?<=^)|(?<=[.,;:] )|(?<=\band )|(?<=\bwas )|(?<=\bdid )|(?<=\bdone )|(?<=\bhad )|(?<=\bso )|(?<=\bput in )|(?<=\bgot )"
           rf"|(?<=\bthat's )|(?<=\bin )|(?<=\bwere )){HEDGE}{V}(?: (?:more|alone|for me|so far|solid|straight|hours|,|on|for|in|of it))*(?: the)? ~"),
    _tally("running total", rf"(?:makes|making|puts|putting|brings|bringing|gets|takes|leaves|pushes|bumps|stands?|standing|sits?|sitting|comes|adds up|up"
           rf"|(?:is|are|was|am|[a-z]+'(?:s|m|re)|now|up|got|stand|sit|wings?|tail|fuselage|airframe|rudder|fin|that's [a-z]+|(?:has|have|had|got|shows?) (?:me|us|it|this|him|her)) at|(?:is|are|am|[a-z]+'(?:s|m|re)) on|(?:i've|we've|i have|he's|she's|we have) got)(?: (?!~)(?:it|that|me|us|him|her|the|my|this|whole|at|to|up|out|about|around|just|over|now|call|,|on|for|a|all|[a-z]+)){{0,6}}? {HEDGE}{V}"
           rf"(?= (?:[,.;]|and|on|for|total|so|altogether|hours|in|all|to|since|if|now|give|or|already)\b| [,.;]|$)"),
    _tally("total is", rf"(?:total|totals|total's|altogether|to date|so far|all told|all up|in all|overall|tally|counter|ledger|notebook|logbook|log)"
           rf"(?: as of ~_* ,)?(?: (?!~)(?:is|are|was|stands|sits|at|now|for|me|him|her|on|of|the|my|says|reads|comes|to|,|:|says|that's|we're|i'm|i've got|[a-z]+)){{0,6}}? {HEDGE}{V}"
           rf"(?= (?:[,.;]|and|on|for|so|hours|in|since|if|now|give|or|already|but|assuming)\b| [,.;]|$)"),
    _tally("so many in total", rf"{V}(?: (?:hours|on|for|in|me|him|her|the|my|,|[a-z]+)){{0,4}}? (?:total|altogether|all told|to date|so far|all up|in all|in total"
           rf"|all in|and counting|since the (?:beginning|start)|up to now)\b"),
    _tally("that is so many", rf"(?:that's|that is|that was|which is|which was|so that's|so|which makes(?: it)?|that makes(?: it)?|makes|call (?:it|that)|equals|it's|it was|book|log|put down) "
           rf"{HEDGE}{V}(?= (?:[,.;]|for|from|each|apiece|on|in all|altogether|even|today|and|total|hours|flat|so|worked|dead|solid)\b| [,.;~]|$)"),
    _tally("so many for a person", rf"{V}(?= (?:for (?:[a-z]+)|from (?:me|him|her|us|them|the #\d+|yours truly)|of mine|mine)\b)"),
    _tally("somebody did so many", rf"(?:i|he|she|they|we|[a-z]+)(?:'ve|'s|'d)?(?: (?:has|have|had|only|also|then|both|each|must have|just|in|now|himself|herself))* {DID}(?: in)? {HEDGE}{V}"
           rf"(?: (?:more|in|alone|too|as well|of (?:those|them|that)|each|apiece|myself|himself|herself|on (?:my|his|her) own|solid|straight|so far|already))*(?= (?:and|but|on|in|with|while|over|across|for the|hours)\b| [,.;~]|$)"),
    _tally("somebody was here so many", rf"(?:i|he|she|they|we|[a-z]+)(?:'ve|'s|'d|'m)?(?: (?:was|were|am|been|has been|have been|only|just|also))* (?:out |in |over |back |down )?(?:here|there|at it) for {HEDGE}{V}"
           rf"(?= (?:and|but|of|today|tonight|myself)\b| [,.;~]|$)"),
    _tally("heading, so many", rf"(?:^|[.;,] )(?:today|tonight|time|hours|session|worked|logged|this session|shop time|build time) ?(?:,|:|was|is) {HEDGE}{V}(?= [,.;]|$)", True),
    _tally("heading of a total, so many", rf"(?:^|[.;,] )(?:(?:the|my|our) )?(?:project|build|airframe|aircraft|airplane|aeroplane|plane|grand total|to date|running total|total|so far) ?(?:,|:|now|at|is|now at|is at|is now|stands at)+ {HEDGE}{V}(?= [,.;]|$)"),
    _tally("written down as so many", rf"(?:log|book|call|put|mark|write|chalk|jot|enter) (?:it|that|me|this|today|us)(?: (?:down|up|in))? (?:as|for|at) {HEDGE}{V}(?= (?:and|hours|for|today|in)\b| [,.;~]|$)", True),
    _tally("a name, so many", rf"(?:^|[.;,] |\band )(?P<name>(?:my )?[a-z]+(?:'s [a-z]+)?) {V}(?= [,.;]|$)"),
    _tally("a figure behind clock times", rf"^{HEDGE}{V}(?= [,.;]|$)"),
    _tally("somebody is so many", rf"(?:he|she|i|we|[a-z]+)(?:'s|'m|'re| is| am| was| were| are) {HEDGE}{V}(?= (?:even|flat|of (?:those|them|that))\b)"),
    _tally("somebody, so many of those", rf"(?:and|,) (?:[a-z]+) {HEDGE}{V} of (?:those|them|that)(?= [,.;]|$)"),
    _tally("after a clock range", rf"%_*(?: (?:,|#\d+|less|minus|take|taking|with|for|a|an|out|off|of|no|lunch|smoko|dinner|tea|at|and|or|my|the|\^_*|[a-z']+))*(?: ,)?(?: (?:so|that's|call it|which is|makes|it|about))* {HEDGE}{V}(?= (?:it is|on the nose|all up|worked|flat|even|dead|solid)\b| [,.;]|$)"),
    _tally("so many of those", rf"(?:ate|took|for|was|were|spent|burned|burnt|used up|swallowed|cost me|accounted for|went on|lost|here|there) (?:up )?{HEDGE}{V} of (?:those|them|that|it|these)\b"),
    _tally("so many of it was", rf"(?:^|[,.;] |\band )(?:and )?{HEDGE}{V} of (?:that|those|them|it|which)(?: [a-z]+)? (?:was|were|went|is|being|spent on|on|for)\b"),
    _tally("gave it so many", rf"(?:gave|give|gives|left|leave|let) (?:it|them|that|those|these)(?: (?:all of|a good|nearly|a full|cook|sit|go|cure|set|dry|for))* {HEDGE}{V}(?= (?:and|since|because|to|before)\b| [,.;]|$)"),
    _tally("the tin says", rf"(?:tin|can|label|sheet|instructions|maker|datasheet|bottle) (?:says|say|said|wants|reckons) {HEDGE}{V}(?= (?:and|but|so|to|before)\b| [,.;]|$)"),
    _tally("ran so many", rf"(?:ran|runs|running|run) {HEDGE}{V}(?= (?:all|by|on|and|straight|through)\b| [,.;]|$)"),
    _tally("before or after lunch", rf"(?:and|,|then|^|[.;]) {HEDGE}{V}(?: more)? (?:before|after)(?: (?:my |our |the )?{MEAL})?(?= [,.;]| and|$)"),
    _tally("so many on the aircraft", rf"(?:^|[.,;] |\bso |\bthat's |\band ){HEDGE}{V} (?:on|in) (?:the|this) (?:whole |entire |complete )?(?:airplane|aeroplane|airframe|plane|aircraft|project|build|thing|job|log|books?|clock)\b"),
    _tally("so many more", rf"(?:guess\w*|figur\w+|expect\w*|see|reckon\w*|say|think|estimat\w+|allow\w*|least|maybe|probably|about|another)(?: [a-z',]+){{0,4}}? {V} (?:more|to go|left|to come|to finish)\b"),
    _tally("guessed", rf"(?:i (?:guess|figure|reckon|expect|estimate|allow|budget)|i'd (?:guess|say)|i'm (?:guessing|figuring|reckoning|expecting|allowing)|figure|planning on|budgeted|allowed)"
           rf"(?: (?:on|for|the|it|at|me|another|a|that|will be|is|[a-z]+)){{0,4}}? {HEDGE}{V}(?= (?:[,.;]|for|on|to|in|altogether)\b| [,.;]|$)"),
)
_ENDS_IN_CLOCK = re.compile(r"%_* ?[.,;]? ?$")
_BESIDE_A_DAY = frozenset({"a name, so many", "the day, so many", "so many that day", "so many in total", "running total", "that is so many"})
HEADER = re.compile(
    r"^(?:(?:ok|okay|so|now|right|and|then|well|alright|all right|item|heading|section|#\d+|@\d+|last|finally|next|let me do|do|lastly|,|\.) )*"
    r"(?:the |my |our )?(?:(?:build|shop|work\w*) )?(?:hours|time|times|clock|time ?sheet|log ?book|note ?book|book|ledger|tally|totals?|hours worked|time spent|column)"
    r"(?: (?:now|today|then|for today|so far|first|next|again|worked|time|wise))? ?(?:[.,:!?]|$)")
TALK_OF_HOURS = re.compile(r"\b(?:on the wall|column|hours|hrs|man hours|note ?book|log ?book|ledger|time ?sheet|the book|clocked|clock)\b")
MONEY = re.compile(r"[$£€]|\b(?:dollars?|bucks|quid|pounds|euros?|cents|paid|pay|bought|price[ds]?|cost|costs|refund\w*|invoice|quote[ds]?|receipt|cheaper|ordered|charged)\b")
_FREE_WORDS = frozenset({
    "a", "after", "all", "alone", "already", "altogether", "an", "and", "apiece", "as", "at", "because", "before",
    "but", "by", "counting", "dead", "each", "even", "flat", "for", "from", "give", "he", "hers", "his", "hours",
    "i", "if", "in", "including", "is", "it", "just", "left", "less", "max", "maybe", "mine", "minus", "more",
    "not", "now", "of", "on", "only", "or", "out", "over", "plus", "remaining", "she", "since", "so", "solid",
    "straight", "that", "the", "then", "they", "till", "to", "today", "together", "tonight", "too", "tops", "total",
    "until", "up", "was", "we", "were", "when", "which", "while", "with", "worked", "yesterday",
})


def find_tallies(doc: Doc, folded: Folded, line: str, known: Sequence[Amount], sentences: Sequence[tuple[int, int]],
                 cue_of: Sequence[int], work: Sequence[int] = (), names: Container[str] = ()) -> list[Amount]:
    """Bare figures of hours. `line` has days (`~`), clock ranges (`%`) and lengths with units (`^`) masked.

    `sentences` are the character spans of the sentences on the line, `cue_of` their cues; `work` the sentences that
    tell of an act: a figure in them that only stands beside a day counts pieces, not hours; `names` those of helpers.
    """
    found: list[Amount] = []
    warm = _talk_of_hours(line, known, sentences, cue_of)
    for index, (start, end) in enumerate(sentences):
        text = line[start:end]
        before = line[sentences[index - 1][0]:sentences[index - 1][1]] if index else ""
        for tally in TALLIES:
            if tally.name == "a figure behind clock times" and not _ENDS_IN_CLOCK.search(before):
                continue
            counts = index in work and tally.name in _BESIDE_A_DAY and not TALK_OF_HOURS.search(text)
            if counts or not (tally.sure or warm[index]):
                continue
            for match in tally.pattern.finditer(text):
                amount = _bare(doc, folded, text, start, match, tally, known)
                if amount and tally.name == "a name, so many" and not _is_named(match["name"], names):
                    continue
                if amount and not any(_overlap(amount, other) for other in (*found, *known)):
                    found.append(amount)
                    warm[index] = True
                    if index + 1 < len(warm) and cue_of[index + 1] - cue_of[index] <= 1:
                        warm[index + 1] = True
    return sorted(found, key=lambda amount: amount.start)


def _talk_of_hours(line: str, known: Sequence[Amount], sentences: Sequence[tuple[int, int]], cue_of: Sequence[int]) -> list[bool]:
    """For each sentence whether the talk around it is of hours worked, and not of money."""
    direct = []
    header_cue = -9
    for (start, end), cue in zip(sentences, cue_of, strict=True):
        text = line[start:end].strip()
        if HEADER.match(text):
            header_cue = cue
        length = any(start <= amount.start < end for amount in known)
        direct.append(length or cue in (header_cue, header_cue + 1) or bool(TALK_OF_HOURS.search(text)))
    warm = []
    for index, (start, end) in enumerate(sentences):
        near = [other for other in range(max(0, index - 3), min(len(sentences), index + 3))
                if abs(cue_of[other] - cue_of[index]) <= 1 and direct[other]]
        total = re.search(r"\b(?:total|total's|altogether|to date)\b", line[start:end])
        money = MONEY.search(line[start:end])
        warm.append((bool(near) or bool(total)) and not money)
    return warm


def _overlap(one: Amount, other: Amount) -> bool:
    return one.start < other.end and other.start < one.end


def _bare(doc: Doc, folded: Folded, text: str, offset: int, match: re.Match[str], tally: Tally,
          known: Sequence[Amount]) -> Amount | None:
    if _TIME_OF_DAY.search(text[:match.start("n")]):
        return None
    sign = replacement(folded, match["n"])
    number = folded.number(sign)
    moved = sign != match["n"]
    low, high, approx, end = number.low, number.high, number.approx, match.end("n")
    last = sign
    if moved:
        end = text.find(sign) + len(sign)
        if end < len(sign):
            end = match.end("n")
    elif match["n1"] and (minutes := _hour_and_minutes(folded, match, offset, known)):
        low = high = minutes
        end, last = match.end("n1"), match["n1"]
    elif match["n1"]:
        second = folded.value(match["n1"])
        if not (low < 100 and 10 <= second < 100 and low % 1 == 0):
            return None
        low = high = low * 100 + second
        end, last = match.end("n1"), match["n1"]
    elif match["n2"] and folded.value(match["n2"]) > low:
        high, end, last = folded.number(match["n2"]).high, match.end("n2"), match["n2"]
    pronoun = low == 1 and not match["n1"] and tally.name in _WITHOUT_ONE
    if pronoun or (number.rule in ("few", "couple") and tally.name in _WITHOUT_ONE):
        return None
    day_next = text[end:].startswith(" ~")
    if low <= 0 or (not day_next and _counts_something(doc, folded, last, tally.name)) or not _is_person(doc, folded, last, match, tally.name):
        return None
    rough = approx or bool(re.search(rf"(?:about|around|roughly|maybe|nearly|almost|shy of|short of|call it|probably|just over|just under) (?:, )?{sign}\b", text))
    return Amount(offset + match.start("n"), offset + end, round(low, 2), round(high, 2), rough, "bare", tally.name)


_TIME_OF_DAY = re.compile(r"\b(?:gone|past|until|till|quarter to|half past|(?:done|here|home|back|in|out|up) (?:at|by)) $")
_OF_THOSE = frozenset({"so many of those", "so many of it was", "somebody did so many", "somebody is so many", "somebody, so many of those"})
_WITHOUT_ONE = frozenset({"running total", "total is", "so many in total", "that is so many", "so many that day", "guessed",
                          "the day, so many"})


def _hour_and_minutes(folded: Folded, match: re.Match[str], offset: int, known: Sequence[Amount]) -> float | None:
    """ "Two until ten past five, so that's three ten": three hours ten, where a clock range just said so."""
    value = round(folded.value(match["n"]) + folded.value(match["n1"]) / 60, 2)
    near = [a for a in known if a.form == "clock" and 0 <= offset + match.start("n") - a.end <= 30]
    return value if near and abs(near[-1].low - value) < 0.05 else None


def _is_person(doc: Doc, folded: Folded, sign: str, match: re.Match[str], name: str) -> bool:
    """Where a pattern needs a person ("six for Jess", "and Jess five of those"), True if one stands there."""
    if name == "so many for a person":
        after = folded.number(sign).end
        words = [doc[at] for at in range(after, min(after + 3, len(doc)))]
        return any(word.pos_ == "PROPN" or word.lower_ in _PERSONS for word in words[1:])
    if name in ("somebody, so many of those", "somebody is so many"):
        before = folded.number(match["n"]).start
        return any((doc[at].pos_ in ("PROPN", "PRON") and doc[at].lower_ not in ("there", "it", "that", "those", "these", "this")) or doc[at].lower_ in _PERSONS for at in range(max(0, before - 3), before))
    return True


_PERSONS = frozenset(["me", "him", "her", "us", "them", "mine", "yours", "wife", "husband", "son", "daughter", "brother", "sister", "dad", "mum", "mom", "grandson", "granddaughter", "mate", "buddy", "neighbour", "neighbor", "kid", "lads", "guys", "fellas", "boys", "girls", "pair", "both", "lot"])


def _is_named(name: str, names: Container[str]) -> bool:
    """True for a helper's name, or for family told without one ("my wife", "Sam's dad")."""
    words = name.replace("'s", "").split()
    return words[-1] in names or words[-1] in _PERSONS


def _counts_something(doc: Doc, folded: Folded, sign: str, name: str) -> bool:
    """True where the next word is a thing, a measure or an adjective before one."""
    after = folded.number(sign).end
    if after >= len(doc):
        return False
    token = doc[after]
    if token.lower_ in _FREE_WORDS or token.is_punct or token.is_space:
        if token.lower_ in ("on", "in") and after + 2 < len(doc) and doc[after + 2].lower_ in ("left", "right", "end", "back", "front", "top", "side"):
            return True
        return token.lower_ == "of" and name not in _OF_THOSE and after + 1 < len(doc) and doc[after + 1].lower_ not in ("mine", "us")
    return token.pos_ in ("NOUN", "PROPN", "ADJ", "NUM", "SYM", "X") or token.lower_ in ("%", "'", '"')


def sentence_spans(doc: Doc, folded: Folded) -> list[tuple[int, int]]:
    """The character spans of the sentences on the folded line; a sentence left without words is an empty span."""
    starts = [folded.offset_of(sentence.start) for sentence in doc.sents]
    return list(zip(starts, [*starts[1:], len(folded.text)], strict=True)) if starts else []
