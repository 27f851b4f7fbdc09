"""What the words that govern a verb make of it: "forgot to prime", "had it welded", "the plans call for priming"."""
from __future__ import annotations

import itertools
from dataclasses import replace

from spacy.tokens import Token

from witnessmark.reading.doers import agent, antecedent, by_subject, paid_place, person
from witnessmark.reading.grammar import PAST_ONLY, VerbGroup, is_conjunct, verb_group
from witnessmark.reading.people import BUILDER, DOCUMENT, HELPER, MAKER, PAID, THING, People, Someone
from witnessmark.reading.standing_rules import PERFORMED, Standing, data, verb_class
from witnessmark.reading.verb_forms import alone, is_live, own, told_short

COMPLEMENTS = frozenset({"xcomp", "ccomp", "pcomp", "acomp", "attr", "csubj", "csubjpass", "advcl", "acl", "dobj",
                         "pobj", "oprd", "nsubj", "dep", "parataxis"})


def judge(head: Token, group: VerbGroup, people: People, depth: int) -> Standing:
    """The verb's own group, or, of a form without a tense, that of the word that governs it."""
    if depth > 6:
        return Standing(None)
    cleft = _cleft(head)
    if cleft is not None:
        judged = judge(cleft, verb_group(cleft), people, depth + 1)
        if "habit" in judged.rules and _is_at_this_moment(head):  # "what I do at this moment, it's deburring"
            judged = replace(judged, status="doing")
        return judged.by("cleft")
    if is_conjunct(head) and group.subject is None and not group.auxiliaries and head.head.tag_ == head.tag_:
        first = _cleft(head.head)
        if first is not None:
            return judge(head.head, verb_group(head.head), people, depth + 1)
    if _remaining(head):
        return Standing("planned").by("remaining")
    if group.form == "finite" and not _is_causee(head):
        return _governed_finite(head, own(head, group, people), people, depth)
    governor, link = governor_of(head)
    if governor is None or told_short(head, group) or _opens(head, group):
        return alone(head, group, people)
    if group.form == "gerund" and _is_stretch_of_work(governor):
        return judge(governor.head, verb_group(governor.head), people, depth + 1).by("governor-performs")
    if governor.lower_ in ("ready", "already", "all") and governor.head.lemma_.lower() in verb_class("arrives"):
        governor = governor.head  # "they came ready bent"
    if governor.dep_ == "pobj" and governor.head.lower_ == "of" and head.dep_ == "acl":
        governor = governor.head.head
    if governor.dep_ in ("dobj", "attr", "dative") and governor.pos_ in ("NOUN", "PRON", "NUM", "PROPN") and \
            governor.head.lemma_.lower() in ("have", "get", "need", "want", "see", "pay", "hire", "persuade"):
        governor, link = governor.head, "ccomp"
    return _governed(head, group, governor, link, people, depth)


def _opens(head: Token, group: VerbGroup) -> bool:
    """ "Crimped the sleeves with his tool, three squeezes each": a past form that opens its sentence tells it short;
    "laying up the tabs as we speak, don't ring me", "the aileron, here, marking it out as I talk" as well."""
    if not any(c.dep_ in ("dobj", "obj") and c.i > head.i for c in head.children):
        return False
    before = head.doc[head.sent.start:head.i]
    opens = all(t.pos_ in ("ADV", "CCONJ", "INTJ", "PUNCT") for t in before)
    if group.form == "gerund" and is_live(head):
        named = head.dep_ in ("acl", "appos", "dep") and any(t.text == "," for t in before) and not any(
            t.pos_ in ("VERB", "AUX") for t in before)
        return opens or named
    return group.form == "participle" and opens


def _is_causee(head: Token) -> bool:
    """ "Had it welded", "get it cut", "want them primed": a participle with its thing, without a tense of its own."""
    participle = head.tag_ in ("VBN", "VBD") or head.lower_.endswith("ed") or head.lower_ in PAST_ONLY
    return participle and head.dep_ in ("ccomp", "xcomp") and head.head.i < head.i and head.head.lemma_.lower() in (
        "have", "get", "want", "need", "see", "like") and not any(c.dep_ in ("aux", "auxpass") for c in head.children)


def governor_of(head: Token) -> tuple[Token | None, str]:
    """The word that governs a verb, and how: its dependency, or the preposition between ("before priming")."""
    at = head
    while is_conjunct(at) or (at.dep_ == "conj" and at.head.pos_ in ("VERB", "AUX", "NOUN") and at.head != at):
        at = at.head
    if at.dep_ in ("pcomp", "pobj") and at.head.pos_ in ("ADP", "SCONJ", "ADV", "PART"):
        before = at.head.nbor(-1).lower_ if at.head.i else ""
        of = at.head.lower_ == "of" and before in ("instead", "ahead")
        above = at.head.head if at.head.head != at.head else _main_verb(at.head)
        return above, before if of else at.head.lower_
    if at.dep_ in COMPLEMENTS and at.head != at:
        return at.head, at.dep_
    if at.dep_ == "relcl" and any(c.lower_ == "to" and c.dep_ == "aux" for c in at.children) and at.head.dep_ in ("dobj", "dative"):
        return at.head, "relcl"  # "got the man next door to cut it"
    return None, ""


def _main_verb(opening: Token) -> Token:
    """ "After priming the ribs I riveted the skin", without a comma: the verb that the parser hung on the ribs."""
    verbs = (t for t in opening.subtree if t.dep_ == "relcl" and any(
        c.dep_ == "nsubj" and c.pos_ == "PRON" for c in t.children))
    return next(verbs, opening)


def _cleft(head: Token) -> Token | None:
    """ "What I'm doing now is deburring": the verb of doing inside, which has tense, person and polarity."""
    if head.i and not any(t.lower_ in ("is", "'s", "’s", "was", "are") for t in head.doc[max(head.i - 3, 0):head.i]):
        return None
    for token in head.sent:
        if token.i < head.i and token.dep_ not in ("aux", "auxpass") and token.lower_ in ("doing", "did", "done", "do", "hear", "hearing", "see", "seeing"):
            what = [t.lower_ for t in head.doc[max(token.i - 6, head.sent.start):token.i]]
            if ("what" in what or "all" in what) and (token.lower_ in ("doing", "did", "done", "do")):
                return token
    return None


def _is_at_this_moment(head: Token) -> bool:
    words = {t.lower_ for t in head.doc[head.sent.start:head.i]}
    return head.lower_.endswith("ing") and bool(words & {"now", "moment", "here"})


def _remaining(head: Token) -> bool:
    """ "What's left is riveting", "Riveting those is next", "still to be primed", "left to rivet"."""
    sent = head.sent
    before = [t.lower_ for t in head.doc[sent.start:head.i]]
    after = [t.lower_ for t in head.doc[head.i:min(head.i + 14, sent.end)]]
    noun_like = head.tag_ in ("VBG", "NN", "VB") or head.lower_.endswith("ing")
    if noun_like and "next" in before and any(w in ("is", "'s") for w in before[-3:]) and len(before) < 9:
        return True
    side = any(t.lower_ == "left" and t.nbor(1).pos_ in ("NOUN", "PROPN") for t in head.doc[sent.start:head.i])
    if noun_like and not side and "left" in before and ("what" in before or "only" in before or "thing" in before) and \
            any(w in ("is", "'s", "are") for w in before[-4:]):
        return True
    if head.lower_.endswith("ing") and head.dep_ in ("csubj", "nsubj", "csubjpass") and head.head.lemma_ in ("be", "'s"):
        set_for = [t.lower_ for t in head.doc[head.head.i + 1:head.head.i + 4]]
        if head.head.lower_ in ("is", "'s") and any(w.endswith("day") or w in ("tomorrow", "next", "later") for w in set_for):
            return True  # "riveting the skin is Wednesday"
    if head.lower_.endswith("ing") and head.dep_ in ("csubj", "nsubj", "ROOT", "nsubjpass", "advcl"):
        return any(after[i] in ("is", "'s", "comes") and after[i + 1] == "next" for i in range(len(after) - 1))
    return (before[-1:] == ["to"] and "still" in before[-4:]) or (before[-2:] == ["to", "be"]
                                                                  and "still" in before[-5:])


def _stands_free(head: Token, group: VerbGroup) -> bool:
    """ "Don't ask me how, but I riveted it": behind "but" or "and", a clause with its subject is one of its own."""
    if group.subject is None or group.subject.i > head.i:
        return False
    first = group.subject.left_edge
    return first.i > head.sent.start and first.nbor(-1).lower_ in ("but", "and", "so", ";") and first.nbor(-1).dep_ != "mark"


def _governed_finite(head: Token, judged: Standing, people: People, depth: int) -> Standing:
    """A finite verb inside another clause: believed, asked, wished, called for."""
    if judged.status in PERFORMED and _stands_free(head, verb_group(head)):
        return judged
    governor, link = governor_of(head)
    if governor is None or link not in ("ccomp", "xcomp", "pcomp", "acl", "advcl", "that") or judged.status is None:
        return judged
    if link == "ccomp" and head.i < governor.i and governor.i - head.i > 1 and not _is_opinion(governor):
        return judged
    return _reported(head, judged, governor, people) if link != "advcl" or _is_opinion(governor) else judged


# "I don't think I primed it" denies the priming; "I can't tell you", "I don't remember" deny only the telling.
NEGATION_RISES = frozenset({"think", "believe", "suppose", "reckon", "imagine", "figure", "expect", "guess"})


def _is_opinion(governor: Token) -> bool:
    return governor.lemma_.lower() in verb_class("believes") | verb_class("asks") | verb_class("wishes")


def _reported(head: Token, judged: Standing, governor: Token, people: People) -> Standing:
    lemma = governor.lemma_.lower()
    group = verb_group(governor)
    subject = people.who(antecedent(group.subject)) if group.subject is not None else Someone(THING)
    if subject.kind == DOCUMENT and judged.tense != "past":
        return judged.by("subject-document", status="advice")
    if lemma in verb_class("wishes"):
        return judged.by("governor-wishes", status="not-done")
    if lemma in verb_class("asks") and subject.kind != BUILDER:
        return judged.by("governor-asks", status=None)
    if lemma in ("make", "get", "have") and group.subject is not None:
        return judged
    if judged.rules[:1] == ("modal-would",) and lemma in verb_class("promises") and (group.tense == "past"
                                                                                     or group.perfect):
        return judged.by("governor-intends", status="planned")
    if lemma not in verb_class("believes"):
        return judged
    believed = group.tense == "past" or group.modal == "would" or group.perfect
    if group.negation is not None and judged.status in PERFORMED:
        if lemma in NEGATION_RISES:
            return judged.by("negated", status="not-done")
        return judged if head.i < governor.i else judged.by("governor-unknown", status=None)
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
        people.who(antecedent(above.subject)).kind in (DOCUMENT, MAKER)
    if group.form in ("infinitive", "participle") and any(_calls_for(verb, people) for verb in list(head.ancestors)[:4]):
        return Standing("advice").by("subject-document")
    if governor.lower_ in ("nothing", "anything", "something") and any(aux.lower_ == "to" for aux in group.auxiliaries):
        return Standing(None).by("governor-unknown")  # "nothing to seal it with"
    special = None if called_for else _by_preposition(link) or _causative(head, governor, people, depth)
    if special is not None:
        return special
    main = _beside(head) if group.form == "gerund" else None
    if main is not None:
        outer = judge(main, verb_group(main), people, depth + 1)
        if outer.status in PERFORMED:
            return outer.by("governor-performs")
    pointer = governor.pos_ in ("NUM", "PRON", "DET") and link == "acl"
    if (governor.pos_ in ("NOUN", "PROPN") or pointer) and group.form == "participle":
        return _under_noun(head, group, governor, people, depth)
    if _is_imperative(governor, above) or (any(a.lower_ == "do" for a in above.auxiliaries) and above.subject is None):
        return Standing("advice").by("imperative")
    outer = judge(governor, above, people, depth + 1)
    if link == "at" and group.form == "gerund" and lemma == "be" and above.tense == "present" and above.subject is not None:
        return by_subject(Standing("doing", tense="present").by("progressive"), above.subject, people)  # "I'm at sanding it"
    if link in ("after", "since", "by") and outer.status in PERFORMED:
        return outer.by("done-before", status="done")
    if called_for:
        return outer.by("subject-document", status="advice")
    if group.negation is not None and outer.status in PERFORMED:
        return outer.by("negated", status="not-done")
    if governor.pos_ in ("NOUN", "PROPN"):
        return _under_noun(head, group, governor, people, depth)
    if any(aux.lower_ == "to" for aux in group.auxiliaries) and lemma in ("be", "leave", "drop", "send", "take", "go",
                                                                          "get"):
        shop = paid_place(governor, people)
        if shop is not None:
            return person(Standing("planned").by("place-paid"), shop)
    return _by_class(head, group, lemma, above, outer, people)


def _beside(head: Token) -> Token | None:
    """ "What I'm rubbing at is the fin, cleaning the scale off it": an -ing form behind a comma goes with the main verb."""
    if head.dep_ not in ("acl", "advcl", "dep") or head.i == head.sent.start or head.nbor(-1).text != ",":
        return None
    root = head.sent.root
    inner = next((c for c in root.children if c.dep_ == "csubj" and c.i < head.i), root)
    return inner if inner.i < head.i and inner.pos_ == "VERB" and inner != head else None


def _is_stretch_of_work(noun: Token) -> bool:
    """ "Had a crack at welding", "spent the evening bending", "had fun riveting": the work of the verb above."""
    return (noun.pos_ in ("NOUN", "PROPN") and noun.dep_ in ("dobj", "npadvmod", "attr") and noun.head.pos_ in ("VERB", "AUX")
            and noun.head.lemma_.lower() in ("have", "spend", "take", "make", "give", "do", "waste", "get", "put", "lose", "use")
            and noun.lemma_.lower() in verb_class("stretches"))


def _is_imperative(head: Token, group: VerbGroup) -> bool:
    """ "If you do it alone, weld your legs first": a base form that begins a clause, whatever hangs it is put on."""
    if group.form != "infinitive" or group.auxiliaries or group.subject is not None or head.tag_ not in ("VB", "VBP",
                                                                                                         "NN"):
        return False
    if head.dep_ in ("xcomp", "conj", "pcomp", "pobj", "relcl", "acl", "dobj"):
        return False
    before = head.nbor(-1) if head.i > head.sent.start else None
    return before is None or before.lower_ in (",", ";", "always", "never", "just", "so", "then")


def _class_key(governor: Token) -> str:
    lemma = "go" if governor.lower_ == "gon" else governor.lemma_.lower()
    if lemma in ("have", "get", "go") and any(c.dep_ == "xcomp" and any(a.lower_ in ("to", "na") for a in c.children)
                                              for c in governor.children):
        return f"{lemma}_to"
    return lemma


def _by_class(head: Token, group: VerbGroup, lemma: str, above: VerbGroup, outer: Standing,
              people: People) -> Standing:
    to_form = any(aux.lower_ in ("to", "na") for aux in group.auxiliaries)
    if any(aux.lower_ == "ta" for aux in group.auxiliaries):  # "gotta" is must, whatever tense "got" looks like
        return outer.by("governor-intends", status="planned" if above.negation is None else None)
    if to_form and above.head.lower_ in ("gon", "going", "gonna") and outer.status != "advice":
        if above.negation is not None:
            return outer.by("negated-intent", status=None)
        return outer.by("governor-intends", status="planned")
    if lemma == "have_to" and (above.tense == "past" or above.perfect) and outer.status in PERFORMED:
        return outer.by("had-to")
    if lemma == "get_to" and above.tense == "past":
        return outer.by("governor-performs")
    if lemma == "be" and to_form:
        return outer.by("governor-intends", status="planned")
    if (lemma == "go_to" or (lemma == "go" and to_form)) and above.tense == "past" and not above.progressive:
        return outer.by("infinitive-alone", status=None)
    if lemma in verb_class("fails"):
        flipped = "done" if outer.status == "not-done" else "not-done"
        return outer.by("governor-fails", status=flipped
                        if outer.status in ("done", "doing", "not-done") else outer.status)
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
    if lemma in verb_class("prices"):
        return outer.by("governor-asks", status=None)
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


def _under_noun(head: Token, group: VerbGroup, noun: Token, people: People, depth: int) -> Standing:
    """ "The shop that welded it"; "the plan is to rivet"; "the skin riveted last week"; "time to prime"."""
    if any(aux.lower_ == "to" for aux in group.auxiliaries):
        return Standing("planned").by("governor-intends")
    if group.form == "participle":
        if noun.dep_ == "pobj" and noun.head.head.lemma_.lower() in verb_class("arrives"):
            return Standing("done", tense="past").by("arrived-so", who=MAKER)
        wanted = _wanted(noun, people, depth)
        if wanted is not None:
            return wanted
        done = agent(Standing("done", tense="past").by("fragment"), head, people)
        return done.by("negated", status="not-done") if group.negation is not None else done
    return Standing(None).by("governor-unknown")


def _wanted(noun: Token, people: People, depth: int) -> Standing | None:
    """ "The plans call for a doubler, bonded on", "I'd like the frame glued up": what is wanted, not what is."""
    if any(_calls_for(verb, people) for verb in list(noun.ancestors)[:4]):
        return Standing("advice").by("subject-document")
    at = noun
    while at.dep_ in ("pobj", "prep", "conj", "compound", "appos") and at.head != at:
        at = at.head
    verb = at.head if at.dep_ in ("dobj", "attr", "nsubj", "ccomp") else at
    if verb.pos_ != "VERB":
        return None
    above = verb_group(verb)
    lemma = _class_key(verb)
    if lemma not in verb_class("intends") or lemma in verb_class("performs") or at.dep_ == "nsubj":
        return None
    outer = judge(verb, above, people, depth + 1)
    return outer.by("governor-intends", status="planned") if outer.status not in (None, "advice") else None


def _calls_for(verb: Token, people: People) -> bool:
    """True for a verb whose subject is the plans, a manual or a label."""
    if verb.pos_ != "VERB":
        return False
    group = verb_group(verb)
    return group.subject is not None and group.tense != "past" and people.who(
        antecedent(group.subject)).kind == DOCUMENT


def _by_preposition(link: str) -> Standing | None:
    for trigger in data()["trigger"]:
        if trigger["scope"] == "preposition" and link in trigger["words"]:
            status = None if trigger["effect"] == "open" else trigger["effect"]
            return Standing(status, rules=(trigger["name"],))
    return None


def _causative(head: Token, governor: Token, people: People, depth: int) -> Standing | None:
    """ "Had it welded", "got the seats covered", "had Walt drill it", "let him rivet"."""
    lemma = governor.lemma_.lower()
    if lemma not in verb_class("lets") | verb_class("arrives") | verb_class("prevails"):
        return None
    if any(aux.lower_ == "to" for aux in verb_group(head).auxiliaries):
        return _got_to_do(head, governor, people, depth)
    above = verb_group(governor)
    outer = judge(governor, above, people, depth + 1)
    participle = head.tag_ in ("VBN", "VBD") or head.lower_.endswith("ed") or head.lower_ in PAST_ONLY
    if lemma in verb_class("arrives"):
        return replace(outer, status="done").by("arrived-so", who=MAKER) if participle else None
    doer = next((c for c in head.children if c.dep_ == "nsubj"), None)
    if participle and lemma == "have" and above.tense == "present" and not above.perfect and above.modal is None:
        held = by_subject(Standing("done", tense="past").by("perfect"), above.subject, people) if above.subject else outer
        return held.by("negated", status="not-done") if above.negation is not None else held  # "I have them cleaned"
    if participle and lemma in ("have", "get", "see"):
        judged = agent(outer, head, people)
        if judged.who != outer.who:
            return judged
        shop = paid_place(governor, people) or (paid_place(governor.head, people) if governor.dep_ == "advcl" else None)
        if shop is not None:
            planned = governor.dep_ == "advcl" and any(c.lower_ == "to" for c in governor.children)
            return person(replace(outer, status="planned" if planned else outer.status).by("place-paid"), shop)
        if "thing-subject" in outer.rules and outer.status == "done":  # "the firewall's had its holes drilled"
            return replace(outer, sure=0.95).by("causative-own")
        paid = lemma == "have" and not _finished_word(head) and "thing-subject" not in outer.rules
        return outer.by("causative-paid", who=PAID) if paid else outer.by("causative-own")
    if doer is not None and not participle:
        someone = people.who(doer)
        if someone.kind in (HELPER, PAID, MAKER):
            return person(outer.by("governor-lets"), someone)
    return None


def _got_to_do(head: Token, governor: Token, people: People, depth: int) -> Standing | None:
    """ "I got the neighbour to cut it", "paid him fifty to inspect it": that person did it, where it is told as past."""
    lemma = governor.lemma_.lower()
    above = verb_group(governor)
    if lemma not in verb_class("prevails") or above.tense != "past" or above.negation is not None:
        return None
    doer = next((c for c in (*governor.children, *head.children) if c.dep_ in ("dobj", "dative", "nsubj")
                 and c != above.subject and c.i < head.i), None)
    someone = people.who(doer) if doer is not None else Someone(THING)
    if someone.kind not in (HELPER, PAID, MAKER):
        return None
    paid = lemma in ("pay", "hire", "contract")
    judged = replace(judge(governor, above, people, depth + 1), status="done")
    if paid:  # a pronoun is too unsure to call somebody hired by name
        someone = Someone(PAID, None if doer is not None and doer.pos_ == "PRON" else someone.name, someone.rule)
    return person(judged.by("governor-lets"), someone)


def _finished_word(head: Token) -> bool:
    """ "I had it all riveted by dark", "had it glued in that same day": how soon it was done, and not who did it."""
    near = head.doc[max(head.i - 3, head.sent.start):head.i + 3]
    after = [t.lower_ for t in head.doc[head.i + 1:min(head.i + 6, head.sent.end)]]
    soon = any(first == "that" and second in ("same", "night", "evening", "day", "morning", "afternoon")
               for first, second in itertools.pairwise(after))
    return soon or bool({"before", "within", "inside"} & set(after)) or any(
        t.lower_ in ("already", "all", "finally", "by") for t in near)
