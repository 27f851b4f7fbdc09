"""Standing: was it done, is it being done, planned, not done, or only advised; and by whom.

After ConText (Harkema, Dowling, Thornblade, Chapman 2009): triggers with a scope, here read off the parse instead
of off a window of words, and word classes, both named data in data/standing.toml. A verb is judged from the
inside out: first its own group (tense, modal, negation), then each word that governs it ("forgot to prime"), then
the clause that it stands in ("once it is primed").

`standing(token, people)` is the way in, for any verb token, of the trade or not.
"""
from __future__ import annotations

from dataclasses import replace
from typing import Any

from spacy.tokens import Token

from witnessmark.reading.governors import judge
from witnessmark.reading.grammar import copula, verb_group
from witnessmark.reading.people import People
from witnessmark.reading.standing_rules import PERFORMED, Standing, data, rules

INVERTED = frozenset({"is", "are", "was", "were", "isn't", "aren't"})
__all__ = ["PERFORMED", "Standing", "nominal_standing", "rules", "standing", "state_standing"]


def standing(head: Token, people: People | None = None) -> Standing:
    """The standing of a verb token (or gerund, or participle) where it stands; never fails."""
    people = people or People(head.doc)
    group = verb_group(head)
    if _opens_as_question(head):
        return Standing(None).by("question")
    judged = judge(head, group, people, depth=0)
    judged = _believed(head, _marked(head, judged))
    if judged.status == "advice":
        return replace(judged, who=None, person=None)
    return judged


def _opens_as_question(head: Token) -> bool:
    """ "Is the tank sealed, people keep asking": an inverted "be" at the front, whatever mark ends the sentence."""
    start = head.sent.start
    opening = head.doc[start]
    if opening.lower_ not in INVERTED or head.i <= start + 1 or not head.doc[start + 1:head.i]:
        return False
    after = head.doc[start + 1]
    named = after.pos_ in ("DET", "PRON", "PROPN") and after.lower_ not in ("what", "that's")
    return named and not any(t.is_punct or t.pos_ in ("VERB", "AUX") for t in head.doc[start + 1:head.i])


def state_standing(head: Token, people: People) -> Standing:
    """Of "is on", "isn't back in", "will be off": the thing is or is not installed or removed."""
    group = verb_group(head)
    judged = standing(head, people)
    if group.tense in ("present", "past") and group.modal is None and judged.rules[:1] != ("question",):
        judged = Standing("done", tense=group.tense).by("state").by("passive-own")
        return judged.by("negated", status="not-done") if group.negation is not None else _marked(head, judged)
    return judged


def nominal_standing(head: Token, people: People) -> Standing:
    """Of a verb that carries a noun of work: "got its rivets", "needs a leak test", "is without its safety wire"."""
    group, lemma = verb_group(head), head.lemma_.lower()
    judged = standing(head, people)
    if judged.status == "advice" or judged.rules[-1:] == ("question",):
        return judged
    if lemma in ("need", "want", "require", "deserve", "await", "owe") and group.tense == "present":
        return Standing("planned").by("governor-intends") if group.negation is None else Standing(None)
    if lemma in ("lack", "miss"):
        return Standing("not-done").by("negated")
    if lemma in ("have", "be") and group.tense == "present" and not group.perfect and group.modal is None:
        if group.negation is not None or lemma == "be":
            return Standing("not-done").by("negated")
        return Standing("done", tense="present").by("state").by("passive-own")
    if lemma == "get" and group.tense == "present" and group.modal is None and not group.perfect:
        return Standing("planned").by("get-present")
    return judged


def _marked(head: Token, judged: Standing) -> Standing:
    """Conditions and times to come, over the verb itself or over a clause around it."""
    at = head
    for _ in range(6):
        trigger = _marker(at)
        if trigger is not None and judged.status is not None:
            if trigger["effect"] == "advice":
                unreal = verb_group(at).perfect
                return replace(judged, status="advice" if unreal else None, rules=(*judged.rules, trigger["name"]))
            if verb_group(at).tense in ("present", "none") or judged.tense == "future":
                return replace(judged, status=None, rules=(*judged.rules, trigger["name"]))
        if at.dep_ == "advcl" and judged.status in PERFORMED and _imagined(at.head):
            return replace(judged, status=None, rules=(*judged.rules, "condition"))
        if at.dep_ in ("xcomp", "conj", "auxpass", "aux", "ccomp") and at.head != at:
            if at.dep_ in ("conj", "ccomp") and any(c.dep_ in ("nsubj", "nsubjpass") for c in at.children):
                break
            at = at.head
        else:
            break
    return judged


def _imagined(verb: Token) -> bool:
    """ "I'd prime them before I ever riveted them": told beside what one would do, it is no past."""
    group = verb_group(verb)
    return group.modal == "would" and not group.perfect and not any(
        aux.lower_ in ("have", "'ve") for aux in group.auxiliaries)


def _believed(head: Token, judged: Standing) -> Standing:
    """ "I thought those were torqued", "I'd have sworn", "I told everybody": beliefs that the talk may correct."""
    if judged.status not in PERFORMED or judged.believed:
        return judged
    beliefs = data()["beliefs"]
    before = [t.lower_ for t in head.doc[max(head.i - 16, head.sent.start):head.i]]
    for at in range(len(before) - 1, -1, -1):
        ends = before[at] in ("and", "but", "so", ";", "because", ",")
        if ends and any(word in beliefs["subjects"] for word in before[at:]):
            return judged
        earlier = before[max(at - 5, 0):at]
        if any(word in beliefs["subjects"] for word in earlier) and "if" not in earlier:
            if before[at] in beliefs["false"]:
                return judged.by("believed-once", believed=True)
            if before[at] in beliefs["open"]:
                return judged.by("told-once", told=True)
    return judged


def _marker(verb: Token) -> dict[str, Any] | None:
    words = {c.lower_ for c in verb.children if c.dep_ in ("mark", "advmod") and c.i < verb.i}
    link = copula(verb)
    if link is not None:
        words |= {c.lower_ for c in link.children if c.dep_ in ("mark", "advmod") and c.i < link.i}
    if verb.dep_ == "advcl" and verb.i > 0:
        words |= {t.lower_ for t in verb.doc[max(verb.left_edge.i, 0):verb.left_edge.i + 1]}
    for trigger in data()["trigger"]:
        if trigger["scope"] == "marked" and words & set(trigger["words"]):
            return trigger
    return None
