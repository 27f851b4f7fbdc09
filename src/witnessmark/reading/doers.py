"""Who did it, by a verb's subject, its "by" phrase, or the place where it was done."""
from __future__ import annotations

from dataclasses import replace

from spacy.tokens import Token

from witnessmark.reading.grammar import VerbGroup, verb_group
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
    is_trade_word,
)
from witnessmark.reading.standing_rules import PERFORMED, Standing, rules


def who(judged: Standing, head: Token, group: VerbGroup, people: People) -> Standing:
    if group.passive or _is_fragment_passive(head, group):
        return agent(judged, head, people)
    if group.subject is None:
        presented = _person_opening(head, people) or _presented_before(head, people)
        return person(judged, presented) if presented is not None else judged.by("subject-elided")
    return by_subject(judged, group.subject, people)


def _person_opening(head: Token, people: People) -> Someone | None:
    """ "Leo from the club, drilled the ribs": the person that the sentence names first, with nothing done between."""
    first = next((t for t in head.sent if t.pos_ in ("NOUN", "PROPN") and t.dep_ not in ("compound", "poss")), None)
    if first is None or first.i >= head.i or any(t.pos_ in ("VERB", "AUX") for t in head.doc[first.i:head.i]):
        return None
    if first.i + 1 >= head.i or first.nbor(1).lower_ not in ("from", "at", "next", "down", "up", "over", "in"):
        return None
    before = head.doc[head.sent.start:first.i]
    someone = people.who(first)
    if any(t.pos_ in ("ADP", "SCONJ") for t in before) or someone.kind == BUILDER:
        return None
    named = first.pos_ == "PROPN" and first.ent_type_ not in ("DATE", "TIME", "EVENT") and not is_trade_word(first)
    if someone.kind in (HELPER, PAID, MAKER):
        return someone
    return Someone(HELPER, first.text, "person-helper") if named and first.nbor(1).lower_ in ("from", "next") else None


def _presented_before(head: Token, people: People) -> Someone | None:
    """ "Neighbour's boy is a sparky. Wired the panel for me.": the subject left out is whom the sentence before presents,
    where it says what he is, or where the work was done for the builder."""
    sentence = head.sent
    if not sentence.start or any(t.lower_ in ("i", "we", "my", "our", "myself") for t in sentence):
        return None
    before = head.doc[sentence.start - 1].sent
    someone = next((one for one in map(people.who, (t for t in before if t.pos_ in ("NOUN", "PROPN")))
                    if one.kind in (HELPER, PAID, MAKER)), None)
    if someone is None or any(t.lower_ in ("i", "we") for t in before):
        return None
    subject = verb_group(before.root).subject
    is_what = before.root.lemma_ in ("be", "'s") and any(c.dep_ == "attr" for c in before.root.children) and (
        subject is not None and people.who(subject).kind == someone.kind)
    words = [t.lower_ for t in sentence]
    for_builder = any(words[i:i + 2] in (["for", "me"], ["for", "us"]) for i in range(len(words)))
    return Someone(someone.kind, someone.name, "pronoun-person") if is_what or for_builder else None


def _is_fragment_passive(head: Token, group: VerbGroup) -> bool:
    return group.form == "participle" and any(c.dep_ == "agent" for c in head.children)


def by_subject(judged: Standing, subject: Token, people: People) -> Standing:
    someone = people.who(antecedent(subject))
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
    if someone.kind == THING and subject.lower_ == "who" and any(c.dep_ in ("dobj", "obj") for c in subject.head.children):
        return judged.by("somebody", who=HELPER, person=antecedent(subject).text)
    beside = _person_beside(subject, people) if someone.kind == THING else None
    if beside is not None:
        return person(judged, beside)
    if someone.kind == THING and _is_somebody(subject):
        paid = any(t.lower_ in MONEY_WORDS for t in subject.sent)
        return judged.by("somebody", who=PAID if paid else HELPER, person=subject.text)
    if someone.kind == THING and subject.head.lemma_ == "spend":
        return _spender(judged, subject, people)
    if someone.kind == THING or _they_are_things(subject):
        return judged.by("thing-subject")
    return person(judged, someone)


def _person_beside(subject: Token, people: People) -> Someone | None:
    """ "A chap two farms over welded it": the person before the noun of a distance that the parser took for the subject."""
    if subject.pos_ not in ("NOUN", "PROPN") or not any(c.dep_ in ("dobj", "obj") for c in subject.head.children):
        return None
    after = {t.lower_ for t in subject.doc[subject.i + 1:subject.head.i]}
    if not after & {"over", "up", "down", "away", "along", "back", "on"}:
        return None
    for token in reversed(subject.doc[subject.sent.start:subject.i]):
        if token.pos_ in ("VERB", "AUX") or token.text in (".", ",", ";"):
            return None
        someone = people.who(token)
        if someone.kind in (HELPER, PAID, MAKER):
            return someone
    return None


def _spender(judged: Standing, subject: Token, people: People) -> Standing:
    """ "Theo, that's my nephew, spent an hour drilling": only persons spend time; if none is found, it is somebody."""
    for token in reversed(subject.doc[subject.sent.start:subject.head.i]):
        someone = people.who(token)
        if someone.kind in (BUILDER, HELPER, PAID, MAKER):
            return person(judged, someone)
    return judged.by("somebody", who=HELPER)


NOBODY = frozenset({"hand", "arm", "finger", "thumb", "job", "thing", "task", "step", "trick", "bit", "part", "plan", "idea", "rest", "work", "time", "day",
                    "hour", "weekend", "evening", "night", "morning", "today", "session", "effort", "mistake", "question",
                    "answer", "result", "order", "score", "story", "lot"})


def _is_somebody(subject: Token) -> bool:
    """ "A welder two streets down fixed it": whoever has an object is somebody, and not the builder."""
    verb = subject.head
    if subject.pos_ not in ("NOUN", "PROPN") or subject.dep_ != "nsubj" or verb.lemma_ in ("get", "have", "need",
                                                                                           "go", "take"):
        return False
    if verb.lemma_ in ("want", "require", "deserve") and any(c.tag_ == "VBG" for c in verb.children):
        return False
    if any(c.lower_ in ("my", "this", "that", "these", "those", "both", "all", "its") for c in subject.children):
        return False
    plural = subject.tag_ in ("NNS", "NNPS")
    if subject.lemma_.lower() in NOBODY or is_trade_word(subject):
        return False
    return not plural and any(c.dep_ in ("dobj", "obj") and c.i > verb.i for c in verb.children)


def _they_are_things(subject: Token) -> bool:
    """ "They'll want trimming", "they're hanging there": of persons, "they" has an object."""
    verb = subject.head
    return subject.lower_ in ("they", "them") and not any(c.dep_ in ("dobj", "obj", "dative", "prt")
                                                          for c in verb.children)


def person(judged: Standing, someone: Someone) -> Standing:
    judged = replace(judged, who=someone.kind, person=someone.name)
    return judged.by(someone.rule) if someone.rule in rules() else judged


def antecedent(subject: Token) -> Token:
    """Of a relative pronoun the noun that it stands for: "the guy who welded it", "it's my aunt who sewed it"."""
    if subject.lower_ not in ("who", "that", "which"):
        return subject
    verb = subject.head
    if subject.lower_ == "who" and subject.i > subject.sent.start:
        return _before_who(subject) or subject
    if verb.dep_ == "relcl":
        return verb.head
    if verb.dep_ in ("ccomp", "advcl") and verb.head.lemma_ in ("be", "'s"):
        return next((c for c in verb.head.children if c.dep_ == "attr" and c.i < subject.i), subject)
    return subject


def _before_who(who: Token) -> Token | None:
    """The noun that "who" follows, of "a shop in town who" the shop, of "Ann and her son who" Ann."""
    at = who.nbor(-1)
    while at.dep_ in ("pobj", "prep", "conj", "cc", "punct") and at.head != at and at.head.i < at.i:
        at = at.head
    if at.pos_ in ("NOUN", "PROPN", "PRON"):
        return at
    return who.head.head if who.head.dep_ == "relcl" else None


def agent(judged: Standing, head: Token, people: People) -> Standing:
    for child in head.children:
        if child.lower_ in ("by", "at", "through") and child.dep_ in ("agent", "prep"):
            for noun in (c for c in child.children if c.dep_ in ("pobj", "pcomp")):
                someone = people.who(noun)
                if someone.kind in (HELPER, PAID, MAKER) and (child.lower_ == "by" or someone.kind != HELPER):
                    return person(judged.by("agent" if child.lower_ == "by" else "place-paid"), someone)
                if someone.kind == BUILDER:
                    return judged.by("agent")
                if child.lower_ == "by" and (someone.kind == GENERIC or _is_unknown_name(noun)):
                    return judged.by("agent", who=HELPER, person=noun.text)
    named = _by_somebody(head, people)
    if named is not None:
        return person(judged.by("agent"), named)
    if any(aux.lower_ in ("came", "come", "comes", "arrived", "shipped") for aux in verb_group(head).auxiliaries):
        return judged.by("arrived-so", who=MAKER)
    return judged.by("passive-own")


def _is_unknown_name(noun: Token) -> bool:
    """ "Welded by Hamish": a name that the model does not know."""
    return noun.pos_ == "PROPN" and noun.is_title and noun.ent_type_ not in ("DATE", "TIME")


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


def paid_place(governor: Token, people: People) -> Someone | None:
    """The shop of "at the weld shop", "to the plater", beside a verb."""
    for token in governor.subtree:
        if token.dep_ == "pobj" and token.head.lower_ in ("at", "to", "with", "by", "from", "off"):
            someone = people.who(token)
            if someone.kind == PAID:
                return someone
    return None
