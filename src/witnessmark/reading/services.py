"""Work done for hire, as a line of the ledger: what it is called and whether it is ordered, done or only quoted.

In: a line of the purchases that names no goods bought, and the acts of the passage. Out: `Service` values. Known
by an act of hired work beside the sum, by a thing that was sent to a shop, or by the trade of whoever is named.
"""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources
from typing import Any

from spacy.tokens import Span, Token

from witnessmark.model import Act
from witnessmark.reading.goods import Goods, Mention
from witnessmark.reading.money_said import words as money_words
from witnessmark.reading.purchase_lines import Line
from witnessmark.reading.services_said import work_said
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import inflections

GOODS_VERBS = frozenset(
    {
        "verb:buy",
        "verb:order",
        "verb:pick-up",
        "verb:get",
        "verb:send-back",
        "verb:return",
        "verb:price",
        "verb:look-at",
        "verb:got-back",
        "verb:went-back",
    }
)
TOLD_BEFORE = 2  # cues before the sum in which the hired work may have been told
MADE_TO_ORDER = "fabricate"  # what a shop makes is a part bought, not a service
NO_WORK = frozenset(
    [
        "be",
        "have",
        "want",
        "charge",
        "quote",
        "say",
        "ask",
        "tell",
        "cost",
        "run",
        "sell",
        "offer",
        "take",
        "get",
        "give",
        "send",
        "come",
        "go",
        "call",
        "let",
        "make",
        "think",
    ]
)
CAUSES = frozenset({"get", "getting", "got", "be", "being", "have", "had", "gets"})
STILL_AWAY = re.compile(r"\bstill (?:at|with) (?:his|her|their|him|them)\b")
# A thing brought or sent to where somebody works: "dropped it at the coater", "took the legs over to the plater".
BROUGHT = re.compile(
    r"\b(?:dropped|left|took|taken|handed|sent|mailed|shipped|posted|drove|delivered|went|gone)\b"
    r"[^.;]{0,40}?\b(?:off|out|away|over|at|to|with|for)\b"
)


@dataclass(frozen=True, slots=True)
class Service:
    """Hired work as a line: its name ("control horn powder coating"), its category, its status, what told of it."""

    name: str
    category: str
    status: str
    rule: str


@functools.cache
def data() -> dict[str, Any]:
    """The tables of data/away.toml."""
    text = resources.files("witnessmark.reading").joinpath("data/away.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@functools.cache
def _pattern(name: str) -> re.Pattern[str]:
    phrases = sorted(data()[name], key=len, reverse=True)
    starts = (("" if phrase.startswith("'") else r"(?<!\w)") + re.escape(phrase) for phrase in phrases)
    return re.compile("(?:" + "|".join(starts) + r")(?!\w)")


def _low(text: str) -> str:
    return re.sub(r"[\s-]+", " ", text.lower().replace("’", "'"))


def is_away(text: str) -> bool:
    """True where the text says that a thing was sent to somebody or is in a shop."""
    low = _low(text)
    if _pattern("sent").search(low) or STILL_AWAY.search(low):
        return True
    elsewhere = bool(_pattern("shops").search(low)) or work_named(low) is not None
    return elsewhere and bool(_pattern("at_shop").search(low) or BROUGHT.search(low))


def is_promised(text: str) -> bool:
    """True where the text says that something is on its way or on somebody else."""
    return bool(_pattern("promised").search(_low(text)))


def service_of(
    line: Line, passage: Passage, acts: Sequence[Act], goods: Goods, around: tuple[Span, Span]
) -> Service | None:
    """The hired work that a sum is for, None where it is for goods; `around` its stretch and the one before."""
    if not line.sums or (set(line.rules) & GOODS_VERBS and line.mention is not None):
        return None
    zone, before = around
    act = _hired_act(line, passage, acts)
    if act:
        name, category = _name(
            act, passage, goods.lexicon, zone if act.cue == passage.cue_of(passage.doc[line.sums[0].start]) else before
        )
        return Service(name, category, _status_of_act(line, act, before.text + " " + zone.text), "hired-work")
    return _by_grammar(line, zone, goods) or _by_words(line, zone, before) or _by_name(line, zone, goods)


def _by_name(line: Line, zone: Span, goods: Goods) -> Service | None:
    """Work called by its noun, where the sum is for no goods: "for the anodizing he wants ninety"."""
    if line.mention is not None and not line.stood_for:
        return None
    named = [mention for mention in goods.terms_between(zone.start, zone.end)
             if goods.lexicon.category(mention.name) == "service" and mention.name not in money_words("charges")]
    return Service(named[0].name, "service", _price_status(line), "work-named") if named else None


def _by_grammar(line: Line, zone: Span, goods: Goods) -> Service | None:
    """Hired work that its verb tells: a part made to order is a part."""
    work = work_said(zone, goods)
    if work is None:
        return None
    thing = work.thing.name if work.thing else line.mention.name if line.mention and line.stood_for else ""
    price = _price_status(line)
    status = "planned" if work.to_come and price == "bought" else "ordered" if is_away(zone.text) else price
    return Service(f"{thing} {noun_of(work.verb.lemma_.lower())}".strip(), "service", status, "hired-verb")


def _hired_act(line: Line, passage: Passage, acts: Sequence[Act]) -> Act | None:
    """The paid act told in the same cue as a sum, or just before one that names no thing of its own."""
    cue = passage.cue_of(passage.doc[line.sums[0].start])
    paid = [act for act in acts if act.who == "paid"]
    here = [act for act in paid if act.cue == cue]
    if here:
        return here[-1]
    before = [act for act in paid if 0 < cue - act.cue <= TOLD_BEFORE]
    return before[-1] if before and (line.mention is None or line.stood_for) else None


def _name(act: Act, passage: Passage, lexicon: Lexicon, where: Span) -> tuple[str, str]:
    """The name of hired work and its category: a part made to order is a part."""
    if act.task == MADE_TO_ORDER:
        return act.part or "part", "part"
    work = (work_named(where.text) if act.task == "paint" else None) or _verb_of(act, passage, lexicon)
    return (f"{act.part} {work}" if act.part else work), "service"


def _verb_of(act: Act, passage: Passage, lexicon: Lexicon) -> str:
    """The noun of the work, from the verb as it was said in the act's cue, else from the task's own verb."""
    for token in passage.doc:
        verb = lexicon.verb_of(token) if passage.cue_of(token) == act.cue else None
        if verb and any(
            form.task == act.task and not form.light and not form.objects for form in lexicon.task_forms(verb)
        ):
            return noun_of(verb)
    return noun_of(act.task.replace("-", " "))


def _status_of_act(line: Line, act: Act, text: str) -> str:
    """Ordered while the thing is at the shop, bought when the work is done, planned before."""
    if act.performed:
        return "received" if line.status == "received" else "bought"
    return "ordered" if is_away(text) else "planned"


# ---- without an act --------------------------------------------------------------


def _by_words(line: Line, zone: Span, before: Span) -> Service | None:
    """Hired work known by a thing sent away ("posted off to be rechromed") or by who wants money ("the painter")."""
    hired = _hired_verb(zone)
    if hired is not None and "verb:charge" not in line.rules:
        thing = line.mention.name if line.mention else ""
        return Service(f"{thing} {noun_of(hired.lemma_.lower())}".strip(), "service", "bought", "hired-subject")
    away = is_away(zone.text) or (line.stood_for and is_away(before.text))
    where = zone if _work(zone) else before
    work = _work(where) if line.stood_for or where is zone else None
    back = line.status == "received" and "verb:back-from" in line.rules
    if work is None or not (away or back or work_named(zone.text) or line.mention is None):
        return None
    if line.status == "received" and not back:
        return None
    thing = _thing(line.mention, work)
    status = "received" if back else "ordered" if away else _price_status(line)
    return Service(f"{thing} {work}".strip(), "service", status, "sent-away" if away else "trade-of-the-seller")


def _hired_verb(zone: Span) -> Token | None:
    """What somebody hired is said to have done: "the shop balanced it for ninety"."""
    for token in zone:
        if token.dep_ != "nsubj" or token.head.tag_ not in ("VBD", "VBN") or token.head.lemma_.lower() in NO_WORK:
            continue
        if work_named(token.text) or _pattern("shops").search(_low(token.text)):
            return token.head
    return None


def _thing(mention: Mention | None, work: str) -> str:
    name = mention.name if mention else ""
    return "" if name.split()[-1:] == work.split()[-1:] or work_named(name) else name


def _price_status(line: Line) -> str:
    wanted = {"verb:cost", "verb:quote"} & set(line.rules)
    return (
        "considered"
        if wanted or line.status == "considered" or any(one.rule == "range" for one in line.sums)
        else "bought"
    )


def _work(span: Span) -> str | None:
    """The work that a stretch names: by a participle after "get" or "to be", else by the trade of somebody in it."""
    for token in span:
        if token.tag_ in ("VBN", "VBD") and _is_caused(token):
            return noun_of(token.lemma_.lower())
    return work_named(span.text)


def _is_caused(token: Token) -> bool:
    before = [token.nbor(-step).lower_ for step in range(1, min(4, token.i + 1))]
    return (
        bool(before)
        and (before[0] in CAUSES or (before[0] in ("it", "them", "those") and bool(set(before[1:]) & CAUSES)))
        and ("to" in before or bool(set(before) & {"being", "getting", "get", "out"}))
    )


def work_named(text: str) -> str | None:
    """The work of whoever a text names ("the powder coater": powder coating), or None."""
    low = _low(text)
    for words, work in sorted(data()["work_of"].items(), key=lambda pair: -len(pair[0])):
        if re.search(rf"(?<!\w){re.escape(words)}(?!\w)", low):
            return str(work)
    return None


def thing_of(service: str) -> str:
    """The thing that a service is done to, from the service's name: "gear leg powder coating" → "gear leg"."""
    for work in sorted(set(data()["work_of"].values()), key=len, reverse=True):
        if service.endswith(" " + work):
            return service[: -len(work) - 1]
    return " ".join(service.split()[:-1]) or service


def noun_of(verb: str) -> str:
    """The noun of a work from its verb: "calibration", "powder coating"."""
    known = data()["noun_of"].get(verb)
    forms = [form for form in inflections(verb) if form.endswith("ing") and form != verb]
    return str(known) if known else forms[0] if forms else verb + "ing"
