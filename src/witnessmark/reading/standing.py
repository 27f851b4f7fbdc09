"""Standing: was it done, is it being done, planned, not done, or only advised; and by whom.

After ConText (Harkema, Dowling, Thornblade, Chapman 2009): triggers with a scope, here read off the parse instead
of off a window of words, and word classes, both named data in data/standing.toml. A verb is judged from the
inside out: first its own group (tense, modal, negation), then each word that governs it ("forgot to prime"), then
the clause that it stands in ("once it is primed").

`standing(token, people)` is the way in, for any verb token, of the trade or not.
"""
from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass, replace
from importlib import resources
from typing import Any

from spacy.tokens import Token

from witnessmark.reading.grammar import PAST_ONLY, SAME_FORM, VerbGroup, copula, verb_group
from witnessmark.reading.people import (
    BUILDER,
    DOCUMENT,
    GENERIC,
    HELPER,
    MAKER,
    MONEY_WORDS,
    PAID,
    THING,
    People,
    Someone,
)

PERFORMED = ("done", "doing")
PAST_TIMES = frozenset({"yesterday", "ago", "last", "today", "monday", "tuesday", "wednesday", "thursday", "friday",
                        "saturday", "sunday", "morning", "tonight", "afternoon", "arvo", "evening", "earlier"})
COMPLEMENTS = frozenset({"xcomp", "ccomp", "pcomp", "acomp", "attr", "csubj", "csubjpass", "advcl", "acl", "dobj",
                         "pobj", "oprd", "nsubj", "dep", "parataxis"})


@dataclass(frozen=True, slots=True)
class Standing:
    """What the words say of one predicate.

    `status` is an id of the published list, or None where the words state nothing (a question, a condition);
    `who` likewise, None for advice; `person` the name or phrase of a helper, hired hand or maker; `rules` the
    names of the rules that decided, innermost first; `sure` 0 to 1; `tense` past, present, future or none;
    `believed` tells that it was only believed then, `told` that it was told so before: a later sentence may take it back.
    """

    status: str | None
    who: str | None = BUILDER
    person: str | None = None
    rules: tuple[str, ...] = ()
    sure: float = 1.0
    tense: str = "none"
    believed: bool = False
    told: bool = False

    def by(self, rule: str, **changes: Any) -> Standing:
        """This standing with fields changed by a rule of the data file, and less sure by that rule's figure."""
        return replace(self, rules=(*self.rules, rule), sure=self.sure * rules()[rule]["sure"], **changes)


@functools.cache
def data() -> dict[str, Any]:
    text = resources.files("witnessmark.reading").joinpath("data", "standing.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


def rules() -> dict[str, dict[str, Any]]:
    """Rule name → what it says in one sentence, and how sure it is."""
    return data()["rules"]


@functools.cache
def verb_class(name: str) -> frozenset[str]:
    return frozenset(data()["classes"][name])


def standing(head: Token, people: People | None = None) -> Standing:
    """The standing of a verb token (or gerund, or participle) where it stands; never fails."""
    people = people or People(head.doc)
    group = verb_group(head)
    judged = _judge(head, group, people, depth=0)
    judged = _believed(head, _marked(head, judged))
    if judged.status == "advice":
        return replace(judged, who=None, person=None)
    return judged


# ---- from the inside out -----------------------------------------------------

def _judge(head: Token, group: VerbGroup, people: People, depth: int) -> Standing:
    """The verb's own group, or, of a form without a tense, that of the word that governs it."""
    if depth > 6:
        return Standing(None)
    cleft = _cleft(head)
    if cleft is not None:
        return _judge(cleft, verb_group(cleft), people, depth + 1).by("cleft")
    if _remaining(head):
        return Standing("planned").by("remaining")
    if group.form == "finite" and not _is_causee(head):
        return _governed_finite(head, _own(head, group, people), people, depth)
    governor, link = governor_of(head)
    if governor is None or _told_short(head, group):
        return _alone(head, group, people)
    if governor.dep_ == "pobj" and governor.head.lower_ == "of" and head.dep_ == "acl":
        governor = governor.head.head
    if governor.dep_ in ("dobj", "attr") and governor.pos_ in ("NOUN", "PRON", "NUM", "PROPN") and \
            governor.head.lemma_.lower() in ("have", "get", "need", "want", "see"):
        governor, link = governor.head, "ccomp"
    return _governed(head, group, governor, link, people, depth)


def _is_causee(head: Token) -> bool:
    """ "Had it welded", "get it cut", "want them primed": a participle with its thing, without a tense of its own."""
    participle = head.tag_ in ("VBN", "VBD") or head.lower_.endswith("ed") or head.lower_ in PAST_ONLY
    return participle and head.dep_ in ("ccomp", "xcomp") and head.head.i < head.i and head.head.lemma_.lower() in (
        "have", "get", "want", "need", "see", "like") and not any(c.dep_ in ("aux", "auxpass") for c in head.children)


def governor_of(head: Token) -> tuple[Token | None, str]:
    """The word that governs a verb, and how: its dependency, or the preposition between ("before priming")."""
    at = head
    while at.dep_ == "conj" and at.head != at and (at.head.pos_ in ("VERB", "AUX", "NOUN") or at.head.tag_[:2] == "VB"):
        at = at.head
    if at.dep_ in ("pcomp", "pobj") and at.head.pos_ in ("ADP", "SCONJ", "ADV", "PART"):
        return at.head.head, at.head.lower_
    if at.dep_ in COMPLEMENTS and at.head != at:
        return at.head, at.dep_
    return None, ""


def _own(head: Token, group: VerbGroup, people: People) -> Standing:
    """Of a finite verb: tense, modal, polarity, subject."""
    judged = _by_form(head, group)
    judged = _who(judged, head, group, people)
    if judged.status == "done" and _had_fronted(head, group):
        judged = judged.by("had-fronted", who=PAID)
    if is_question(head, group):
        return judged.by("question", status=None)
    return judged


def _had_fronted(head: Token, group: VerbGroup) -> bool:
    """ "The spars I had alodined": as good as "I had the spars alodined"."""
    if not group.perfect or group.subject is None or group.subject.lower_ not in ("i", "we"):
        return False
    if not any(aux.lower_ == "had" for aux in group.auxiliaries) or any(c.dep_ == "dobj" and c.i > head.i for c in head.children):
        return False
    fronted = head.dep_ == "relcl" or any(c.i < group.subject.i and c.dep_ in ("dep", "nsubj", "dobj", "npadvmod")
                                          and c != group.subject for c in head.children)
    words = {t.lower_ for t in head.sent}
    return fronted and not words & {"already", "before", "when", "by", "after", "since", "previously", "myself"}


def _by_form(head: Token, group: VerbGroup) -> Standing:
    judged = Standing("done", tense=group.tense)
    if group.modal == "future":
        return judged.by("future-negated", status=None) if group.negation else judged.by("future", status="planned")
    if group.modal in ("would", "could", "might"):
        return judged.by("modal-would", status="advice")
    if group.modal in ("can", "unclear") or (group.passive and group.tense == "present" and head.dep_ == "relcl" and any(
            aux.lemma_ == "get" for aux in group.auxiliaries)):
        return judged.by("modal-can", status=None)
    if group.modal in ("should", "must"):
        mine = group.subject is not None and group.subject.lower_ in ("i", "we")
        return judged.by("modal-should", status="planned") if mine else judged.by("modal-advice", status="advice")
    judged = _by_tense(head, group, judged)
    if group.negation is not None and judged.status is not None:
        return judged.by("negated", status="not-done")
    return judged


def _by_tense(head: Token, group: VerbGroup, judged: Standing) -> Standing:
    if group.progressive and not group.perfect:
        if group.tense == "past":
            return judged.by("past-progressive")
        return judged.by("progressive", status="doing")
    if group.perfect:
        return judged.by("perfect", tense="past")
    if group.tense == "past":
        return judged.by("past")
    if group.passive:
        gets = any(aux.lemma_ == "get" for aux in group.auxiliaries)
        return judged.by("get-present", status="planned") if gets else judged.by("state")
    return judged.by("habit", status=None)


def state_standing(head: Token, people: People) -> Standing:
    """Of "is on", "isn't back in", "will be off": the thing is or is not installed or removed."""
    group = verb_group(head)
    judged = standing(head, people)
    if group.tense in ("present", "past") and group.modal is None and judged.rules[:1] != ("question",):
        judged = Standing("done", tense=group.tense).by("state").by("passive-own")
        return judged.by("negated", status="not-done") if group.negation is not None else _marked(head, judged)
    return judged


def is_question(head: Token, group: VerbGroup | None = None) -> bool:
    """ "Did I prime those?"; "Primed?"; a question mark after another clause, or after "right?", does not count."""
    group = group or verb_group(head)
    end = next((t for t in head.doc[head.i:head.sent.end] if t.lower_ in (".", "!", "?", ";")), None)
    inverted = bool(group.auxiliaries and group.subject is not None and group.auxiliaries[0].i < group.subject.i < head.i)
    asked = end is not None and end.text == "?"
    if inverted and (asked or group.auxiliaries[0].lower_ in ("did", "do", "does", "have", "has", "is", "are", "was")):
        return not any(c.dep_ == "neg" and c.i < group.auxiliaries[0].i for c in head.children)
    asks_back = head.doc[max(end.i - 2, 0):end.i].text.lower() if end is not None else ""
    return asked and not any(word in asks_back for word in ("right", "ok", "okay", "see", "hear", "eh", "isn't", "know"))


def _told_short(head: Token, group: VerbGroup) -> bool:
    """ "Cut it Monday", "Put those in first thing": a past form like the base form, with its subject left out."""
    if head.lower_ not in SAME_FORM or group.auxiliaries or group.subject is not None:
        return False
    before = head.nbor(-1) if head.i > head.sent.start else None
    if before is not None and before.lower_ not in (",", "and", "then", ";", "so", "just"):
        return False
    words = {t.lower_ for t in head.sent}
    if words & {"you", "your", "yours", "if", "when", "always", "never", "don't", "yourself"}:
        return False
    after = [t for t in head.doc[head.i + 1:min(head.i + 4, head.sent.end)]]
    return any(t.lower_ in ("it", "that", "those", "them", "these", "both", "one", "another", "ones") for t in after) or bool(
        words & PAST_TIMES)


def _alone(head: Token, group: VerbGroup, people: People) -> Standing:
    """A form without tense that nothing governs: "Drilled the ribs.", "Deburring.", "Seal it first." """
    if group.form == "participle" or _told_short(head, group):
        judged = _who(Standing("done", tense="past").by("fragment"), head, group, people)
        if is_question(head, group):
            return judged.by("question", status=None)
        return judged.by("negated", status="not-done") if _fragment_negation(head, group) else judged
    if group.form == "gerund" and not any(c.dep_ in ("dobj", "prep", "prt") for c in head.children):
        return Standing(None).by("gerund-fragment")
    if group.form == "gerund":
        judged = _who(Standing("doing", tense="present").by("gerund-fragment"), head, group, people)
        return judged.by("negated", status="not-done") if _fragment_negation(head, group) else judged
    if any(aux.lower_ == "to" for aux in group.auxiliaries):
        return Standing("planned").by("infinitive-alone")
    return Standing("advice").by("imperative")


def _fragment_negation(head: Token, group: VerbGroup) -> bool:
    before = head.doc[max(head.i - 3, head.sent.start):head.i]
    return group.negation is not None or any(t.lower_ in ("not", "never", "n't") for t in before)


# ---- who ---------------------------------------------------------------------

def _who(judged: Standing, head: Token, group: VerbGroup, people: People) -> Standing:
    if group.passive or _is_fragment_passive(head, group):
        return _agent(judged, head, people)
    if group.subject is None:
        return judged.by("subject-elided")
    return _by_subject(judged, group.subject, people)


def _is_fragment_passive(head: Token, group: VerbGroup) -> bool:
    return group.form == "participle" and any(c.dep_ == "agent" for c in head.children)


def _by_subject(judged: Standing, subject: Token, people: People) -> Standing:
    someone = people.who(_antecedent(subject))
    if someone.kind == BUILDER:
        return judged.by("subject-builder")
    if someone.kind == GENERIC:
        if subject.lower_ in ("who", "one"):
            return judged.by("thing-subject")
        if subject.lower_ in ("nobody", "none"):
            return judged.by("negated", status="not-done")
        performed = judged.status in (*PERFORMED, "not-done") and judged.tense == "past"
        if judged.status is None and "modal-can" in judged.rules:
            return judged
        return judged.by("subject-generic", who=HELPER) if performed and subject.lower_ not in ("you", "ya") \
            else judged.by("subject-you", status="advice")
    if someone.kind == DOCUMENT:
        return judged.by("subject-document", status="advice")
    if someone.kind == THING and _is_somebody(subject):
        paid = any(t.lower_ in MONEY_WORDS for t in subject.sent)
        return judged.by("somebody", who=PAID if paid else HELPER, person=subject.text)
    if someone.kind == THING or _they_are_things(subject):
        return judged.by("thing-subject")
    return _person(judged, someone)


def _is_somebody(subject: Token) -> bool:
    """ "A tin basher in town welded it": whoever has an object is somebody, and not the builder."""
    verb = subject.head
    if subject.pos_ not in ("NOUN", "PROPN") or subject.dep_ != "nsubj" or verb.lemma_ in ("get", "have", "need", "go", "take"):
        return False
    if any(c.lower_ in ("my", "this", "that", "these", "those", "both", "all", "its") for c in subject.children):
        return False
    plural = subject.tag_ in ("NNS", "NNPS")
    return not plural and any(c.dep_ in ("dobj", "obj") and c.i > verb.i for c in verb.children)


def _they_are_things(subject: Token) -> bool:
    """ "They'll want trimming", "they're hanging there": of persons, "they" has an object."""
    verb = subject.head
    return subject.lower_ in ("they", "them") and not any(c.dep_ in ("dobj", "obj", "dative", "prt") for c in verb.children)


def _person(judged: Standing, someone: Someone) -> Standing:
    judged = replace(judged, who=someone.kind, person=someone.name)
    return judged.by(someone.rule) if someone.rule in rules() else judged


def _antecedent(subject: Token) -> Token:
    """Of a relative pronoun ("the guy who welded it") the noun that it stands for."""
    if subject.lower_ in ("who", "that", "which") and subject.head.dep_ == "relcl":
        return subject.head.head
    return subject


def _agent(judged: Standing, head: Token, people: People) -> Standing:
    for child in head.children:
        if child.lower_ in ("by", "at", "through") and child.dep_ in ("agent", "prep"):
            for noun in (c for c in child.children if c.dep_ in ("pobj", "pcomp")):
                someone = people.who(noun)
                if someone.kind in (HELPER, PAID, MAKER) and (child.lower_ == "by" or someone.kind != HELPER):
                    return _person(judged.by("agent" if child.lower_ == "by" else "place-paid"), someone)
                if someone.kind == BUILDER:
                    return judged.by("agent")
    named = _by_somebody(head, people)
    if named is not None:
        return _person(judged.by("agent"), named)
    if any(aux.lower_ in ("came", "come", "comes", "arrived", "shipped") for aux in verb_group(head).auxiliaries):
        return judged.by("arrived-so", who=MAKER)
    return judged.by("passive-own")


def _by_somebody(head: Token, people: People) -> Someone | None:
    """ "By Jess" further on in the clause, wherever the parser hung it."""
    for token in head.doc[head.i + 1:head.sent.end]:
        if token.pos_ in ("VERB", "AUX") and token.tag_ not in ("VBG", "VBN"):
            return None
        if token.lower_ == "by":
            for noun in token.children:
                someone = people.who(noun)
                if someone.kind in (HELPER, PAID, MAKER):
                    return someone
    return None


# ---- governors ---------------------------------------------------------------

def _cleft(head: Token) -> Token | None:
    """ "What I'm doing now is deburring": the verb of doing inside, which has tense, person and polarity."""
    if head.i and not any(t.lower_ in ("is", "'s", "’s", "was", "are") for t in head.doc[max(head.i - 3, 0):head.i]):
        return None
    for token in head.sent:
        if token.i < head.i and token.lower_ in ("doing", "did", "done", "do", "hear", "hearing", "see", "seeing"):
            what = [t.lower_ for t in head.doc[max(token.i - 6, head.sent.start):token.i]]
            if "what" in what and (token.lower_ in ("doing", "did", "done", "do")):
                return token
    return None


def _remaining(head: Token) -> bool:
    """ "What's left is riveting", "Riveting those is next", "still to be primed", "left to rivet"."""
    sent = head.sent
    before = [t.lower_ for t in head.doc[sent.start:head.i]]
    after = [t.lower_ for t in head.doc[head.i:min(head.i + 14, sent.end)]]
    noun_like = head.tag_ in ("VBG", "NN", "VB") or head.lower_.endswith("ing")
    if noun_like and "next" in before and any(w in ("is", "'s") for w in before[-3:]) and len(before) < 9:
        return True
    if noun_like and "left" in before and ("what" in before or "only" in before or "thing" in before) and \
            any(w in ("is", "'s", "are") for w in before[-4:]):
        return True
    if head.lower_.endswith("ing") and head.dep_ in ("csubj", "nsubj", "ROOT", "nsubjpass", "advcl"):
        return any(after[i] in ("is", "'s", "comes") and after[i + 1] == "next" for i in range(len(after) - 1))
    return before[-1:] == ["to"] and "still" in before[-4:] or before[-2:] == ["to", "be"] and "still" in before[-5:]


def _governed_finite(head: Token, judged: Standing, people: People, depth: int) -> Standing:
    """A finite verb inside another clause: believed, asked, wished, called for."""
    governor, link = governor_of(head)
    if governor is None or link not in ("ccomp", "xcomp", "pcomp", "acl", "advcl", "that") or judged.status is None:
        return judged
    if link == "ccomp" and head.i < governor.i and governor.i - head.i > 1 and not _is_opinion(governor):
        return judged
    return _reported(head, judged, governor, people) if link != "advcl" or _is_opinion(governor) else judged


def _is_opinion(governor: Token) -> bool:
    return governor.lemma_.lower() in verb_class("believes") | verb_class("asks") | verb_class("wishes")


def _reported(head: Token, judged: Standing, governor: Token, people: People) -> Standing:
    lemma = governor.lemma_.lower()
    group = verb_group(governor)
    subject = people.who(_antecedent(group.subject)) if group.subject is not None else Someone(THING)
    if subject.kind == DOCUMENT and judged.tense != "past":
        return judged.by("subject-document", status="advice")
    if lemma in verb_class("wishes"):
        return judged.by("governor-wishes", status="not-done")
    if lemma in verb_class("asks") and subject.kind != BUILDER:
        return judged.by("governor-asks", status=None)
    if lemma in ("make", "get", "have") and group.subject is not None:
        return judged
    if lemma not in verb_class("believes"):
        return judged
    believed = group.tense == "past" or group.modal == "would" or group.perfect
    if group.negation is not None and judged.status in PERFORMED:
        return judged.by("negated", status="not-done")
    if believed and subject.kind == BUILDER and judged.status in PERFORMED:
        return judged.by("believed-once", believed=True)
    return judged.by("governor-believes") if lemma not in ("say", "tell", "report") else judged


def _governed(head: Token, group: VerbGroup, governor: Token, link: str, people: People, depth: int) -> Standing:
    """A form without tense: its standing is that of the word that governs it, changed by that word's class."""
    if _is_imperative(head, group):
        return Standing("advice").by("imperative")
    above = verb_group(governor)
    lemma = _class_key(governor)
    called_for = lemma in verb_class("advises") and above.subject is not None and \
        people.who(_antecedent(above.subject)).kind in (DOCUMENT, MAKER)
    special = None if called_for else _by_preposition(link) or _causative(head, governor, people, depth)
    if special is not None:
        return special
    outer = _judge(governor, above, people, depth + 1)
    if called_for:
        return outer.by("subject-document", status="advice")
    if group.negation is not None and outer.status in PERFORMED:
        return outer.by("negated", status="not-done")
    if governor.pos_ in ("NOUN", "PROPN"):
        return _under_noun(head, group, governor, people)
    if any(aux.lower_ == "to" for aux in group.auxiliaries) and lemma in ("be", "leave", "drop", "send", "take", "go", "get"):
        shop = _paid_place(governor, people)
        if shop is not None:
            return _person(Standing("planned").by("place-paid"), shop)
    return _by_class(head, group, lemma, above, outer, people)


def _is_imperative(head: Token, group: VerbGroup) -> bool:
    """ "If you do it alone, weld your legs first": a base form that begins a clause, whatever hangs it is put on."""
    if group.form != "infinitive" or group.auxiliaries or group.subject is not None or head.tag_ not in ("VB", "VBP", "NN"):
        return False
    if head.dep_ in ("xcomp", "conj", "pcomp", "pobj", "relcl", "acl", "dobj"):
        return False
    before = head.nbor(-1) if head.i > head.sent.start else None
    return before is None or before.lower_ in (",", ";", "always", "never", "just", "so", "then")


def _paid_place(governor: Token, people: People) -> Someone | None:
    """The shop of "at the weld shop", "to the plater", beside a verb."""
    for token in governor.subtree:
        if token.dep_ == "pobj" and token.head.lower_ in ("at", "to", "with", "by", "from", "off"):
            someone = people.who(token)
            if someone.kind == PAID:
                return someone
    return None


def _class_key(governor: Token) -> str:
    lemma = governor.lemma_.lower()
    if lemma in ("have", "get", "go") and any(c.dep_ == "xcomp" and any(a.lower_ == "to" for a in c.children)
                                              for c in governor.children):
        return f"{lemma}_to"
    return lemma


def _by_class(head: Token, group: VerbGroup, lemma: str, above: VerbGroup, outer: Standing,
              people: People) -> Standing:
    to_form = any(aux.lower_ in ("to", "na") for aux in group.auxiliaries)
    if lemma == "get_to" and above.tense == "past":
        return outer.by("governor-performs")
    if lemma == "be" and to_form:
        return outer.by("governor-intends", status="planned")
    if (lemma == "go_to" or (lemma == "go" and to_form)) and above.tense == "past" and not above.progressive:
        return outer.by("infinitive-alone", status=None)
    if lemma in verb_class("fails"):
        flipped = "done" if outer.status == "not-done" else "not-done"
        return outer.by("governor-fails", status=flipped if outer.status in ("done", "doing", "not-done") else outer.status)
    if lemma in verb_class("helps"):
        return outer.by("governor-helps", who=BUILDER) if _helps_me(above.head) else outer.by("governor-performs")
    if lemma in verb_class("intends") and (to_form or lemma not in verb_class("performs")):
        if outer.status == "advice" and "subject-you" in outer.rules:
            return outer
        if above.negation is not None:
            return outer.by("negated-intent", status=None)
        return outer.by("governor-intends", status="planned")
    if above.modal == "would" and lemma in ("like", "love", "prefer", "hate"):
        return outer.by("governor-intends", status="planned")
    if lemma == "get" and above.perfect and not to_form:
        return outer.by("governor-unknown", status=None)
    if lemma in verb_class("performs"):
        if lemma in ("quit", "stop") and outer.status == "done":
            return outer.by("governor-performs")
        return outer.by("governor-performs")
    if lemma in verb_class("advises") and to_form:
        return outer.by("governor-advises", status="advice")
    if head.dep_ == "advcl" and to_form:
        return outer.by("infinitive-alone", status=None)
    return outer.by("governor-unknown")


def _helps_me(governor: Token) -> bool:
    return any(c.lower_ in ("me", "us") for c in governor.subtree)


def _under_noun(head: Token, group: VerbGroup, noun: Token, people: People) -> Standing:
    """ "The shop that welded it"; "the plan is to rivet"; "the skin riveted last week"; "time to prime"."""
    if any(aux.lower_ == "to" for aux in group.auxiliaries):
        return Standing("planned").by("governor-intends")
    if group.form == "participle":
        if noun.dep_ == "pobj" and noun.head.head.lemma_.lower() in verb_class("arrives"):
            return Standing("done", tense="past").by("arrived-so", who=MAKER)
        return _agent(Standing("done", tense="past").by("fragment"), head, people)
    return Standing(None).by("governor-unknown")


def _by_preposition(link: str) -> Standing | None:
    for trigger in data()["trigger"]:
        if trigger["scope"] == "preposition" and link in trigger["words"]:
            status = None if trigger["effect"] == "open" else trigger["effect"]
            return Standing(status, rules=(trigger["name"],))
    return None


def _causative(head: Token, governor: Token, people: People, depth: int) -> Standing | None:
    """ "Had it welded", "got the seats covered", "had Walt drill it", "let him rivet"."""
    lemma = governor.lemma_.lower()
    if lemma not in verb_class("lets") and lemma not in verb_class("arrives"):
        return None
    if any(c.dep_ == "aux" and c.lower_ == "to" for c in head.children):
        return None
    above = verb_group(governor)
    outer = _judge(governor, above, people, depth + 1)
    participle = head.tag_ in ("VBN", "VBD") or head.lower_.endswith("ed") or head.lower_ in PAST_ONLY
    if lemma in verb_class("arrives"):
        return replace(outer, status="done").by("arrived-so", who=MAKER) if participle else None
    doer = next((c for c in head.children if c.dep_ == "nsubj"), None)
    if participle and lemma in ("have", "get", "see"):
        judged = _agent(outer, head, people)
        if judged.who != outer.who:
            return judged
        shop = _paid_place(governor, people) or (_paid_place(governor.head, people) if governor.dep_ == "advcl" else None)
        if shop is not None:
            planned = governor.dep_ == "advcl" and any(c.lower_ == "to" for c in governor.children)
            return _person(replace(outer, status="planned" if planned else outer.status).by("place-paid"), shop)
        paid = lemma == "have" and not _finished_word(head)
        return outer.by("causative-paid", who=PAID) if paid else outer.by("causative-own")
    if doer is not None and not participle:
        someone = people.who(doer)
        if someone.kind in (HELPER, PAID, MAKER):
            return _person(outer.by("governor-lets"), someone)
    return None


def _finished_word(head: Token) -> bool:
    return any(t.lower_ in ("already", "all", "finally", "by") for t in head.doc[max(head.i - 3, head.sent.start):head.i + 3])


# ---- the clause that it stands in --------------------------------------------

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
        if at.dep_ in ("xcomp", "conj", "auxpass", "aux", "ccomp") and at.head != at:
            if at.dep_ in ("conj", "ccomp") and any(c.dep_ in ("nsubj", "nsubjpass") for c in at.children):
                break
            at = at.head
        else:
            break
    return judged


def _believed(head: Token, judged: Standing) -> Standing:
    """ "I thought those were torqued", "I'd have sworn", "I told everybody": beliefs that the talk may correct."""
    if judged.status not in PERFORMED or judged.believed:
        return judged
    beliefs = data()["beliefs"]
    before = [t.lower_ for t in head.doc[max(head.i - 16, head.sent.start):head.i]]
    for at in range(len(before) - 1, -1, -1):
        if before[at] in ("and", "but", "so", ";", "because") and any(w in beliefs["subjects"] for w in before[at:]):
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
