"""What is out of the builder's hands: at a shop, promised, being made by somebody, or due for somebody's visit.

In: a stretch of talk and the goods of its passage. Out: whether it tells of waiting, by which rule, and for what.
Never: a record, and nothing that came back.
"""
from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from spacy.tokens import Span

from witnessmark.reading.goods import Goods, Mention, words
from witnessmark.reading.services import data, is_away, is_promised
from witnessmark.trade.inflect import singular

_SENT = r"(?:sent|send|shipped|mailed|posted|took|taken|dropped|gone|went|couriered|handed|drove|driven|dropping|sending)"
_NO_ERRAND = r"(?!(?:a |the |some |my |our )?(?:walk|lunch|dinner|supper|shopping|fishing|beer|coffee|drink|swim|run|ride|flight|look|breakfast|tea)\b)"


@dataclass(frozen=True, slots=True)
class Wait:
    """What is waited for, None where nothing is named, and the rule that told of it."""

    thing: Mention | None
    rule: str


@functools.cache
def _alternatives(name: str) -> str:
    return "|".join(re.escape(word) for word in sorted(data()[name], key=len, reverse=True))


@functools.cache
def _rules() -> tuple[tuple[str, re.Pattern[str]], ...]:
    work = rf"(?:{_alternatives('work_nouns')}|[a-z]+ing)"
    making = rf"(?:{_alternatives('making')})"
    trades = rf"(?:{_alternatives('trades')})"
    return (
        ("sent-out", re.compile(rf"\b{_SENT}\b[^.;]{{0,40}}?\b(?:out|off|away|in|back|over)\b(?: to [a-z' ]{{2,25}}?)? (?:for|to be|to get) "
                                rf"(?:an? |the |its |their |some )?{_NO_ERRAND}{work}\b")),
        ("being-made", re.compile(rf"\b(?!i |we |i'|we'|it )[a-z]+(?:'s|'re| is| are) (?:now |still |busy )?{making} (?:me|us) (?:a|an|the|some|another|two|three|four|new|up|one|those|these|my|our|its)\b|\b(?:having|getting) (?:him|her|them|[a-z]+) (?:make|build|turn|weld)\b")),
        ("to-come", re.compile(r"\b(?:supposed|due|meant|expected|scheduled|promised|slated) (?:to (?:ship|arrive|come|be here|land|get here|turn up|show up|be delivered|go out)\b|in (?:on )?\w+day|any day|next week|this week)"
                               r"|\b(?:ships?|arrives?|lands?|leaves the warehouse) (?:on |next |in |by |around )?(?:(?:mon|tues|wednes|thurs|fri|satur|sun)day|tomorrow|week|month|the )|\bshould (?:ship|arrive|be here|land|turn up|get here|show up)\b")),
        ("visit", re.compile(rf"\b{trades}(?:'s| is| will be|'ll be)? (?:comes|coming|due|booked|lined up|stopping by|stopping in|calling|visiting|gets here|out here)\b")),
    )


def waits(stretch: Span, before: Span | None, goods: Goods) -> Wait | None:
    """What a stretch says is waited for; its thing may be named in the stretch before."""
    text = re.sub(r"\s+", " ", stretch.text.lower().replace("’", "'"))
    if re.search(r"\b(?:no longer|not|isn't|aren't|stopped) waiting\b|\bno more waiting\b", text):
        return None
    rule = "away" if is_away(text) else "promised" if is_promised(text) else None
    rule = rule or next((name for name, pattern in _rules() if pattern.search(text)), None)
    rule = rule or ("handed-over" if is_handed_over(stretch) else None)
    if rule is None:
        return None
    named = _things(stretch, goods) or (_things(before, goods) if before is not None else [])
    return Wait(named[0] if named else None, rule)


def _things(stretch: Span, goods: Goods) -> list[Mention]:
    """The goods named in a stretch, what stands after "for" first where it is waited for, shops left out."""
    named = [mention for mention in goods.terms_between(stretch.start, stretch.end) if not _is_shop(mention)]
    named = named or [mention for token in stretch if token.dep_ in ("nsubj", "nsubjpass", "dobj", "ROOT")
                      and token.pos_ == "NOUN" and (mention := goods.mention(token)) and not _is_shop(mention)]
    waiting = next((token.i for token in stretch if token.lower_ in ("waiting", "waits", "wait")), None)
    if waiting is not None:
        behind = [mention for mention in named if any(token.lower_ in ("for", "on") for token in stretch.doc[max(mention.start - 3, waiting) : mention.start])]
        return [*behind[-1:], *named]
    return named


def _is_shop(mention: Mention) -> bool:
    return singular(mention.name.split()[-1]) in words("sellers") or mention.name.split()[-1] in data()["shops"]


def is_handed_over(stretch: Span) -> bool:
    """ "I took the tank over to Marvin, he's going to weld it": with somebody who will work on it."""
    given = next((token for token in stretch if token.lower_ in ("took", "dropped", "gave", "handed", "left", "sent")), None)
    if given is None:
        return False
    person = any(token.pos_ == "PROPN" and token.nbor(-1).lower_ in ("to", "with", "at") for token in stretch if token.i > given.i)
    will = re.search(r"\b(?:he|she|they)(?:'s| is|'re| are) (?:going to|gonna)\b|\b(?:he|she|they)(?:'ll| will| has to| needs to| wants to)\b", stretch.text.lower())
    return person and will is not None
