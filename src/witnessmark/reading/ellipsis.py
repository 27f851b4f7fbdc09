"""What speech leaves out: "the right one isn't", "not yet", "Deburred? No.", "the ribs I did myself", "it's back on".

Each finds a place where work is stated without its verb; the task is that of the work told last, or of the question
just asked, and for "on" and "off" it is installing and removing.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from spacy.tokens import Doc, Span, Token

from witnessmark.reading.clauses import Clause
from witnessmark.reading.grammar import controller, verb_group
from witnessmark.reading.objects import NOUNS, fronted
from witnessmark.reading.vocabulary import TIME_NOUNS, Vocabulary
from witnessmark.trade.terms import TaskForm

YES = frozenset({"yes", "yeah", "yep", "yup", "aye", "sure"})
NO = frozenset({"no", "nope", "nah", "negative"})
AUX_LEMMAS = frozenset({"be", "have", "do"})
COMPLEMENTS = frozenset({"acomp", "attr", "dobj", "xcomp", "ccomp", "oprd", "prep", "advcl", "pobj", "prt"})
STATE_PARTICLES = {"on": "install", "in": "install", "off": "remove", "out": "remove"}
EVENT_PRONOUNS = frozenset({"that", "it", "this", "so"})


@dataclass(frozen=True)
class Gap:
    """Work stated without its verb, at `verb` (an auxiliary, "did", or the answering word).

    `things` are head tokens, none if elided; `answer` is True, False or None where the verb group tells; `event`
    marks "I did that", which speaks of the act just told; `asked` is the participle of a question before;
    `alike` marks "so did the right one", which has the standing of the act just told; `coats` "its two coats".
    """

    verb: Token
    things: tuple[Token, ...]
    answer: bool | None = None
    event: bool = False
    pro_verb: bool = False
    asked: Clause | None = None
    alike: bool = False
    coats: bool = False


def find_gaps(doc: Doc, vocabulary: Vocabulary, clauses: list[Clause]) -> Iterator[Gap]:
    """All gaps, in text order of their verb."""
    taken = {clause.verb.i for clause in clauses}
    for sentence in doc.sents:
        yield from _answers(sentence, clauses)
        yield from _as_well(sentence, vocabulary)
        yield from _not_yet(sentence, vocabulary)
        for token in sentence:
            if token.i not in taken:
                gap = _gapped(token, vocabulary, taken) or _bare_auxiliary(token, vocabulary) or _pro_verb(token) or _untouched(token, vocabulary) \
                    or _coats(token, vocabulary)
                if gap is not None:
                    yield gap


def find_states(doc: Doc, vocabulary: Vocabulary) -> Iterator[Clause]:
    """ "The ribs are on", "the tank's back in", "the cowl is off": install and remove told as a state."""
    for token in doc:
        if token.lemma_ not in ("be", "'s") or token.dep_ in ("aux", "auxpass"):
            continue
        subject = verb_group(token).subject
        if subject is None or (vocabulary.thing(subject) is None
                               and subject.lower_ not in ("it", "they", "one", "ones")):
            continue
        term = vocabulary.things.get(subject.i)
        if term is not None and term.kind != "part":
            continue
        words = [c for c in token.children if c.i > token.i and c.lower_ in STATE_PARTICLES
                 and c.dep_ in ("prep", "advmod", "prt", "acomp", "attr") and not _is_due(c)]
        if words and not any(_has_object(word) for word in words) and not _more_than_place(token):
            particle = words[-1].lower_
            sense = TaskForm("be", STATE_PARTICLES[particle], particle)
            yield Clause(token, "be", sense, (subject,), verb_group(token), "state", particle)


def _is_due(word: Token) -> bool:
    """ "It's on for Friday", "they're out at the shop", "a year off": neither put on nor taken out."""
    if word.i and _is_time(word.nbor(-1)) and word.nbor(-1).dep_ in ("npadvmod", "attr"):
        return True
    after = word.nbor(1).lower_ if word.i + 1 < len(word.doc) else ""
    return after in ("at", "being", "getting") or (word.lower_ == "on" and after == "for") or (
        word.lower_ in ("out", "off") and after in ("for", "to", "with"))


def _has_object(word: Token) -> bool:
    return any(c.dep_ in ("pobj", "pcomp", "prep") and c.pos_ != "ADV" for c in word.children)


def _more_than_place(verb: Token) -> bool:
    return any(c.dep_ in ("attr", "xcomp") or (c.dep_ == "acomp" and c.lower_ not in STATE_PARTICLES)
               for c in verb.children)


# ---- auxiliaries that stand alone ---------------------------------------------

def _bare_auxiliary(token: Token, vocabulary: Vocabulary) -> Gap | None:
    """ "The right one isn't.", "the left ones were not", "those haven't been"."""
    if token.lemma_ not in AUX_LEMMAS or token.dep_ in ("aux", "auxpass"):
        return None
    if _so_did(token):
        return Gap(token, tuple(c for c in token.children if c.dep_ in ("nsubj", "nsubjpass", "attr"))[:1], alike=True)
    if any(c.dep_ in COMPLEMENTS and c.i > token.i and not c.is_punct and not _is_time(c) for c in token.children):
        return None
    if any(c.lower_ in ("here", "there", "ready", "home", "gone", "over", "still") for c in token.children):
        return None
    group = verb_group(token)
    subject = group.subject
    if token.lower_ == "did" and subject is not None and group.negation is None and _closes_short(token) and (
            subject.lower_ in ("he", "she", "they") or (subject.pos_ in ("NOUN", "PROPN") and not _sided(subject)
                                                         and vocabulary.thing(subject) is None)):
        return Gap(token, (), event=True, pro_verb=True)
    if subject is not None and subject.lower_ in ("i", "we") and group.negation is not None:
        before = [c for c in token.children if c.i < subject.i and c != subject and c.pos_ in ("NOUN", "PROPN", "NUM", "PRON")
                  and c.dep_ in ("dep", "nsubj", "npadvmod", "dobj", "attr", "ccomp", "nsubjpass")]
        if not before and token.dep_ == "relcl" and token.head.dep_ == "ROOT":  # "the rear one I haven't"
            before = [token.head]
        if before and (vocabulary.thing(before[-1]) is not None or _sided(before[-1])):
            return Gap(token, (before[-1],), answer=False)
    if subject is not None and subject.lower_ in ("i", "we") and token.lower_ == "did" and group.negation is not None:
        return Gap(token, (), answer=False, event=True, pro_verb=True)
    if subject is None or subject.lower_ in ("there", "i", "we", "you", "what", "that", "this", "who", "which", "he",
                                             "she"):
        return None
    if group.negation is None and (not _closes_short(token) or not _sided(subject)):
        return None
    if (token.lemma_ == "do" and token.lower_ not in ("did", "does", "do")) or token.lower_ in ("do", "does", "doing",
                                                                                                "done"):
        return None
    named = vocabulary.thing(subject) is not None or (group.negation is not None and subject.tag_ == "NNS"
                                                      and any(c.dep_ == "det" for c in subject.children))
    if not named and subject.pos_ not in ("PRON", "DET", "NUM") and not _sided(subject):
        return None
    return Gap(token, (subject,), answer=group.negation is None)


def _gapped(token: Token, vocabulary: Vocabulary, predicates: set[int]) -> Gap | None:
    """ "The right wing went on Monday, and the left one on Tuesday": the verb is left out the second time."""
    if not _sided(token) or token.pos_ not in ("NOUN", "ADJ", "NUM", "PRON") or token.dep_ not in ("conj", "appos"):
        return None
    verb = next((a for a in token.ancestors if a.i in predicates), None)
    before = [t.lower_ for t in token.doc[token.left_edge.i - 1:token.left_edge.i]]
    after = token.doc[token.i + 1:min(token.i + 5, token.sent.end)]
    if verb is None or verb.i > token.i or before != ["and"] or not any(t.i in vocabulary.times for t in after):
        return None
    return Gap(token, (token,), alike=True) if token.lower_ in ("one", "ones", "left", "right", "other", "others") else None


def _so_did(token: Token) -> bool:
    """ "So did the right one", "so is the other"."""
    before = [t.lower_ for t in token.doc[max(token.i - 2, 0):token.i]]
    subjects = [c for c in token.children if c.dep_ in ("nsubj", "nsubjpass", "attr") and c.i > token.i]
    return before[-1:] == ["so"] and bool(subjects) and subjects[0].lower_ not in ("i", "we", "you", "it", "he", "she")


def _is_time(token: Token) -> bool:
    return token.lemma_.lower() in TIME_NOUNS


def _closes_short(token: Token) -> bool:
    """True where nothing but an end or a comma follows, so that the auxiliary does stand for a verb."""
    after = token.doc[token.i + 1] if token.i + 1 < len(token.doc) else None
    return after is None or after.is_punct


def _sided(token: Token) -> bool:
    words = {t.lower_ for t in token.subtree}
    return bool(words & {"left", "right", "one", "ones", "other", "others", "both", "side", "half", "rest", "port",
                         "starboard", "top", "bottom", "upper", "lower", "front", "rear", "none", "neither"})


# ---- did -----------------------------------------------------------------------

def _pro_verb(token: Token) -> Gap | None:
    """ "I did those", "the ribs I did myself", "Toby did the left", "that's done", "I'll do it tomorrow"."""
    if token.lemma_ != "do" or token.dep_ in ("aux", "auxpass") or (token.lower_ == "doing" and token.dep_ == "aux"):
        return None
    group = verb_group(token)
    if any(c.lower_ in ("what", "how", "why") for c in token.children) or token.dep_ == "csubj":
        return None
    things = [c for c in token.children if c.dep_ in ("dobj", "obj") and c.pos_ in NOUNS and not _is_time(c)]
    if not things and group.passive and group.subject is not None:
        things = [group.subject]
    if not things:
        things = [c for c in token.children if c.dep_ in ("dep", "nsubj", "npadvmod", "ccomp", "attr")
                  and c != group.subject and group.subject is not None and c.i < group.subject.i
                  and c.pos_ in ("NOUN", "PROPN", "PRON", "NUM")]
    if not things and token.dep_ == "relcl":
        things = [token.head]
    things = [t for t in things if t.lower_ not in ("he", "she", "i", "we", "you", "job", "work", "math",
                                                    "arithmetic", "thing", "what", "same")
              and not _is_time(t)]
    things = [t for t in things if not _is_bare_number(t) and not (t.lower_ == "all" and token.dep_ == "relcl")]
    if not things or ((group.subject or controller(token)) is None and not _told_without_subject(token)):
        return None
    event = things[0].lower_ in EVENT_PRONOUNS
    return Gap(token, tuple(things), event=event, pro_verb=True)


def _told_without_subject(token: Token) -> bool:
    """ "Did the right one on Sunday", "ended up doing it Monday"."""
    above = token.head if token.dep_ == "xcomp" else token
    return above.lower_ in ("did", "ended", "finished", "started", "wound", "got")


def _is_bare_number(token: Token) -> bool:
    """ "Vern did one", "I did two more": hours or turns, unless "the", "those" or a side makes them things."""
    if token.pos_ != "NUM" and token.lower_ not in ("one", "ones", "more"):
        return False
    before = {t.lower_ for t in token.subtree if t.i < token.i}
    return not before & {"the", "that", "this", "those", "these", "other", "left", "right", "last", "first", "all"}


def _coats(token: Token, vocabulary: Vocabulary) -> Gap | None:
    """ "It's had its two coats", "gave them a second coat": a coat of what was told before."""
    if token.lemma_ not in ("get", "have", "give", "put", "need", "want"):
        return None
    coats = [c for c in token.children if c.dep_ == "dobj" and c.lemma_ == "coat"
             and not any(p.lower_ == "of" for p in c.children)]
    if not coats and any(c.dep_ == "dobj" and c.lower_ == "it" for c in token.children):
        coats = [c for c in fronted(token) if c.lemma_ == "coat"]  # "the second coat, I gave it to the spars"
    if not coats or any(c.dep_ in ("compound", "nmod") for c in coats[0].children):
        return None
    datives = [c for c in token.children if c.dep_ == "dative"]
    owner = [n for c in datives for n in ((c,) if c.pos_ in NOUNS else c.children) if n.pos_ in NOUNS]
    owner += [n for at in (coats[0], token) for p in at.children if p.lower_ in ("on", "onto") for n in p.children
              if n.i not in vocabulary.times]
    subject = verb_group(token).subject
    if token.lemma_ in ("get", "have", "need", "want") and subject is not None and (
            vocabulary.thing(subject) is not None or subject.lower_ in ("it", "they", "that", "one", "those")):
        owner.append(subject)
    return Gap(token, (owner[0],), coats=True) if owner else None


def _untouched(token: Token, vocabulary: Vocabulary) -> Gap | None:
    """ "The other nine haven't been touched", "the right one nobody's started": not done, the task told before."""
    if token.lemma_ not in ("touch", "start", "begin"):
        return None
    group = verb_group(token)
    if group.negation is None or group.form != "finite" or group.modal is not None or not (group.perfect
                                                                                           or group.passive
                                                                                           or group.tense == "past"):
        return None
    if any(c.dep_ in ("xcomp", "ccomp") for c in token.children):
        return None
    if group.passive and group.subject is not None:
        things = [group.subject]
    else:
        things = [c for c in token.children if c.dep_ in ("dobj", "dep", "nsubj", "npadvmod") and c != group.subject]
        things += [n for c in token.children if c.dep_ == "prep" and c.lower_ == "on" for n in c.children]
        things += [token.head] if token.dep_ == "relcl" else []
    known = [t for t in things if vocabulary.thing(t) is not None or _sided(t) or t.pos_ in ("PRON", "NUM")]
    return Gap(token, (known[0],), answer=False) if known else None


def _as_well(sentence: Span, vocabulary: Vocabulary) -> Iterator[Gap]:
    """ "The right-hand ones as well.", "Right ones, Monday of last week.", "Same for the other side."."""
    words = [t for t in sentence if not t.is_space and not t.is_punct]
    if not words or len(words) > 12 or any(t.pos_ in ("VERB", "AUX") for t in words):
        return
    lower = [t.lower_ for t in words]
    said = "well" in lower or "too" in lower or "ditto" in lower or "likewise" in lower or lower[:2] == ["same",
                                                                                                         "for"] \
        or lower[:2] == ["same", "with"]
    dated = any(t.i in vocabulary.times for t in words[1:])
    head = next((t for t in words if t.pos_ in ("NOUN", "NUM", "PRON", "PROPN") and _sided(t)
                 and t.i not in vocabulary.times), None)
    if head is not None and (said or (dated and head.lower_ in ("one", "ones"))):
        yield Gap(words[-1], (head,), alike=True)


def _not_yet(sentence: Span, vocabulary: Vocabulary) -> Iterator[Gap]:
    """ "Spar, not yet.", "Right one: not yet.", "Hinges no." """
    words = [t for t in sentence if not t.is_space and not t.is_punct]
    last = [t.lower_ for t in words[-2:]]
    if not 2 <= len(words) <= 7 or any(t.pos_ in ("VERB", "AUX") for t in words) or last not in (
            ["not", "yet"], ["not", "though"], ["no", "not"]):
        return
    head = next((t for t in reversed(words[:-2]) if (t.pos_ in ("NOUN", "PROPN", "PRON", "NUM") or _sided(t))
                 and t.i not in vocabulary.times), None)
    if head is not None and (vocabulary.thing(head) is not None or _sided(head)):
        yield Gap(words[-2], (head,), answer=False)


# ---- answers -------------------------------------------------------------------

def _answers(sentence: Span, clauses: list[Clause]) -> Iterator[Gap]:
    """ "Deburred? No.", "Primed? Left panels, yes.", "Right side, no, I ran dry.", "Testing the lines, no."."""
    words = [t for t in sentence if not t.is_space]
    said = next((t for t in words[:10] if t.lower_ in YES | NO and t.dep_ != "det"), None)
    if said is None:
        return
    before = [t for t in words if t.i < said.i and not t.is_punct]
    asked = _asked_before(sentence, clauses)
    inside = next((c for c in clauses if sentence.start <= c.verb.i < said.i and c.verb.lower_.endswith("ing")), None)
    if inside is not None and said.lower_ in NO and inside.group.subject is None:
        yield Gap(said, inside.objects, answer=False, asked=inside)
        return
    if any(t.pos_ in ("VERB", "AUX") for t in before) or any(
            said.i < c.verb.i < sentence.end and c.objects for c in clauses):
        return
    head = next((t for t in reversed(before) if t.pos_ in ("NOUN", "PROPN", "PRON", "NUM") or _sided(t)), None)
    if head is not None:
        head = head.head if head.head in before and head.dep_ in ("compound", "amod") else head
        if asked is None and not _sided(head):
            return
        yield Gap(said, (head,), answer=said.lower_ in YES, asked=asked)
    elif not before and asked is not None and len(words) > 0:
        yield Gap(said, asked.objects, answer=said.lower_ in YES, asked=asked)


def _asked_before(sentence: Span, clauses: list[Clause]) -> Clause | None:
    """The clause of a question in the sentence before, "Deburred?"; with one sentence between at most."""
    if sentence.start == 0:
        return None
    previous = sentence.doc[sentence.start - 1].sent
    if previous[-1].text != "?":
        return None
    return next((c for c in reversed(clauses) if previous.start <= c.verb.i < previous.end), None)
