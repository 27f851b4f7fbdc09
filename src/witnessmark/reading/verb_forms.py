"""What a verb's own group says: tense, modal, polarity, question, and fragments without a subject."""
from __future__ import annotations

from spacy.tokens import Token

from witnessmark.reading.doers import who
from witnessmark.reading.grammar import PAST_ONLY, SAME_FORM, VerbGroup, verb_group
from witnessmark.reading.people import PAID, People
from witnessmark.reading.standing_rules import Standing

PAST_TIMES = frozenset({"yesterday", "ago", "last", "today", "monday", "tuesday", "wednesday", "thursday", "friday",
                        "saturday", "sunday", "morning", "tonight", "afternoon", "arvo", "evening", "earlier"})


TALKING = frozenset({"talk", "talking", "speak", "speaking", "yak", "yakking", "rambling", "chatting", "now"})
MANNER = frozenset({"straight", "right", "properly", "correctly", "well", "square", "squarely", "evenly", "deep", "enough",
                    "far", "tight", "true", "flush", "cleanly", "quite"})


ALMOST = frozenset({"almost", "nearly"})


def own(head: Token, group: VerbGroup, people: People) -> Standing:
    """Of a finite verb: tense, modal, polarity, subject."""
    judged = by_form(head, group)
    judged = who(judged, head, group, people)
    if judged.status == "done" and (_had_fronted(head, group) or _had_by(head, group)):
        judged = judged.by("had-fronted", who=PAID)
    if is_question(head, group):
        return judged.by("question", status=None)
    return judged


def _had_by(head: Token, group: VerbGroup) -> bool:
    """ "The tips we've had painted by a chap in town": a second "have" before the participle, and who did it."""
    have = [aux for aux in group.auxiliaries if aux.lower_ in ("had", "have", "has", "'ve", "'d", "'s")]
    return group.perfect and len(have) > 1 and have[-1].lower_ == "had" and any(
        c.dep_ == "agent" for verb in (head, *head.conjuncts) for c in verb.children)


def _had_fronted(head: Token, group: VerbGroup) -> bool:
    """ "The spars I had alodined": as good as "I had the spars alodined"."""
    if not group.perfect or group.subject is None or group.subject.lower_ not in ("i", "we"):
        return False
    if not any(aux.lower_ == "had" for aux in group.auxiliaries) or any(c.dep_ == "dobj" and c.i > head.i
                                                                        for c in head.children):
        return False
    fronted = head.dep_ == "relcl" or any(c.i < group.subject.i and c.dep_ in ("dep", "nsubj", "dobj", "npadvmod")
                                          and c != group.subject for c in head.children)
    words = {t.lower_ for t in head.sent}
    return fronted and not words & {"already", "before", "when", "by", "after", "since", "previously", "myself"}


def by_form(head: Token, group: VerbGroup) -> Standing:
    judged = Standing("done", tense=group.tense)
    if _forbids(head, group):
        return judged.by("imperative", status="advice")
    if group.modal == "future":
        return judged.by("future-negated", status=None) if group.negation else judged.by("future", status="planned")
    if group.modal == "needs":
        return judged.by("governor-intends", status=None if group.negation else "planned")
    if group.modal == "could" and group.negation is not None and not group.perfect:
        mine = group.subject is not None and group.subject.lower_ in ("i", "we")
        return judged.by("negated", status="not-done" if mine else None)
    if group.modal in ("would", "could", "might"):
        return judged.by("modal-would", status="advice")
    if group.modal in ("can", "unclear") or (group.passive and group.tense == "present" and head.dep_ == "relcl"
                                             and any(
            aux.lemma_ == "get" for aux in group.auxiliaries)):
        return judged.by("modal-can", status=None)
    if group.modal in ("should", "must"):
        mine = group.subject is not None and group.subject.lower_ in ("i", "we")
        return judged.by("modal-should", status="planned") if mine else judged.by("modal-advice", status="advice")
    if any(c.lower_ in ALMOST and c.i < head.i for c in head.children):
        return judged.by("almost", status=None)
    judged = _by_tense(head, group, judged)
    if group.negation is not None and judged.status == "doing" and head.lemma_ in ("go", "come"):
        return judged.by("future-negated", status=None)  # "they're never going in"
    if group.negation is not None and judged.status is not None:
        return judged.by("negated", status=None if _denies_manner(head) else "not-done")
    return judged


def _forbids(head: Token, group: VerbGroup) -> bool:
    """ "Don't ever dimple a skin first", "never varnish where you glue": an order not to do it."""
    first = head.doc[head.sent.start]
    begins = all(t.pos_ in ("ADV", "CCONJ", "INTJ", "PUNCT", "AUX", "PART") or t.lower_ in ("never", "don't", "please")
                 for t in head.doc[head.sent.start:head.i])
    base = head.tag_ in ("VB", "VBP", "NN") and head.lower_ not in PAST_ONLY and group.subject is None
    orders = [t.lower_ for t in head.doc[first.i:head.i]]
    return base and begins and ("never" in orders or orders[:2] in (["do", "n't"], ["do", "not"]))


def _denies_manner(head: Token) -> bool:
    """ "It wasn't welded straight": how it was done is denied, and not that it was."""
    return head.i + 1 < len(head.doc) and head.nbor(1).lower_ in MANNER


def _by_tense(head: Token, group: VerbGroup, judged: Standing) -> Standing:
    talking = {t.lower_ for t in head.sent} & TALKING
    if group.progressive and group.perfect and talking and group.tense == "present":
        return judged.by("progressive", status="doing")  # "I've been filing this the whole time I'm talking"
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


def is_question(head: Token, group: VerbGroup | None = None) -> bool:
    """ "Did I prime those?"; "Primed?"; a question mark after another clause, or after "right?", does not count."""
    group = group or verb_group(head)
    end = next((t for t in head.doc[head.i:head.sent.end] if t.lower_ in (".", "!", "?", ";")), None)
    inverted = bool(group.auxiliaries and group.subject is not None
                    and group.auxiliaries[0].i < group.subject.i < head.i)
    asked = end is not None and end.text == "?"
    if inverted and (asked or group.auxiliaries[0].lower_ in ("did", "do", "does", "have", "has", "is", "are", "was")):
        return not any(c.dep_ == "neg" and c.i < group.auxiliaries[0].i for c in head.children)
    asks_back = head.doc[max(end.i - 2, 0):end.i].text.lower() if end is not None else ""
    return asked and not any(word in asks_back for word in ("right", "ok", "okay", "see", "hear", "eh", "isn't",
                                                            "know"))


def told_short(head: Token, group: VerbGroup) -> bool:
    """ "Cut it Monday", "Put those in first thing": a past form like the base form, with its subject left out."""
    if head.lower_ not in SAME_FORM or group.auxiliaries or group.subject is not None:
        return False
    before = head.nbor(-1) if head.i > head.sent.start else None
    if before is not None and before.lower_ not in (",", "and", "then", ";", "so", "just"):
        return False
    words = {t.lower_ for t in head.sent}
    if _in_log_style(head) and not words & {"you", "your", "yours", "if", "don't", "n't", "always", "never"}:
        return True
    if words & {"you", "your", "yours", "if", "when", "always", "never", "don't", "yourself"}:
        return False
    after = list(head.doc[head.i + 1:min(head.i + 4, head.sent.end)])
    return any(t.lower_ in ("it", "that", "those", "them", "these", "both", "one", "another", "ones")
               for t in after) or bool(
        words & PAST_TIMES)


def _in_log_style(head: Token) -> bool:
    """ "Longerons. Cut to length. Not drilled.": among sentences without verb or subject, orders are unlikely."""
    if head.i != head.sent.start:
        return False
    before = head.doc[head.sent.start - 1].sent if head.sent.start else None
    after = head.doc[head.sent.end].sent if head.sent.end < len(head.doc) else None
    topic = before is not None and len(before) < 8 and not any(t.pos_ in ("VERB", "AUX") for t in before)
    goes_on = after is not None and after.root.tag_ in ("VBN", "VBD") and not any(
        c.dep_ in ("nsubj", "nsubjpass") for c in after.root.children)
    return (topic and any(t.pos_ in ("NOUN", "PROPN") for t in before or ())) or goes_on


def alone(head: Token, group: VerbGroup, people: People) -> Standing:
    """A form without tense that nothing governs: "Drilled the ribs.", "Deburring.", "Seal it first." """
    if group.form == "participle" or told_short(head, group):
        judged = who(Standing("done", tense="past").by("fragment"), head, group, people)
        if is_question(head, group):
            return judged.by("question", status=None)
        return judged.by("negated", status="not-done") if _fragment_negation(head, group) else judged
    if group.form == "gerund" and not any(c.dep_ in ("dobj", "prep", "prt") for c in head.children):
        return Standing(None).by("gerund-fragment")
    if group.form == "gerund":
        judged = Standing("doing", tense="present").by("gerund-live" if is_live(head) else "gerund-fragment")
        judged = who(judged, head, group, people)
        return judged.by("negated", status="not-done") if _fragment_negation(head, group) else judged
    if any(aux.lower_ == "to" for aux in group.auxiliaries):
        return Standing("planned").by("infinitive-alone")
    return Standing("advice").by("imperative")


LIVE = frozenset({"now", "as we speak", "as i speak", "as i talk", "as i do", "while we", "while i", "while you",
                  "hear that", "hear it", "as you see", "as you can", "at the moment", "at this moment"})


def is_live(head: Token) -> bool:
    """ "Fitting it now", "marking it out as we speak", "reaming it, hear that?": work as it is told."""
    words = [t.lower_ for t in head.doc[head.i + 1:head.sent.end] if not t.is_punct]
    return any(" ".join(words[i:i + n]) in LIVE for i in range(len(words)) for n in (1, 2, 3))


def _fragment_negation(head: Token, group: VerbGroup) -> bool:
    before = head.doc[max(head.i - 3, head.sent.start):head.i]
    return group.negation is not None or any(t.lower_ in ("not", "never", "n't") for t in before)
