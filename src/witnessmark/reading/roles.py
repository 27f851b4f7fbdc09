"""The grammatical roles of noun phrases, by which one thing stands out more than another."""
from __future__ import annotations

from spacy.tokens import Span, Token

from witnessmark.reading import reference_words as words
from witnessmark.reading.sides import NOMINAL
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular


def role_of(token: Token, lexicon: Lexicon, start: int) -> str:
    """The grammatical role of a phrase's head, by which it stands out."""
    if _is_likened(token):
        return "likened"
    if is_opener(token, start):
        return "opener"
    if _is_endpoint(token):
        return "oblique"
    dep = token.dep_
    if dep == "appos" and token.head.i < token.i and is_opener(token.head, token.head.left_edge.i):
        return "opener" if token.head.lemma_.lower() in words.GREAT_PARTS else "apposition"
    if dep == "conj" and token.head.i < token.i and token.head.pos_ in NOMINAL:
        return role_of(token.head, lexicon, token.head.i)
    if dep in ("dobj", "obj", "oprd", "nsubjpass"):
        return "worked" if _is_trade_verb(token.head, lexicon) else "object"
    if dep == "nsubj" and token.head.lemma_ in ("be", "'s") and any(
            c.dep_ == "acomp" and _is_trade_verb(c, lexicon) for c in token.head.children):
        return "worked"  # "the left door's hung"
    if dep in ("nsubj", "csubj"):
        return "oblique" if token.lower_ in ("that", "this") and token.head.lemma_ == "be" else "subject"
    if dep in ("ROOT", "dep", "npadvmod"):
        return "fragment"
    if dep in ("attr", "acomp"):
        return "shown" if _shows(token) else "attribute"
    if dep in ("poss", "compound", "nmod"):
        return "owner"
    if dep == "pobj":
        return "fragment" if _is_announced(token.head) else "oblique"
    return "apposition"


def _is_endpoint(token: Token) -> bool:
    """ "The fuel line, gascolator to carburetor": where it runs, and not what it is."""
    doc = token.doc
    from_here = token.i + 2 < len(doc) and token.nbor(1).lower_ == "to" and token.nbor(2).pos_ in NOMINAL
    to_here = token.i > 1 and token.nbor(-1).lower_ == "to" and token.nbor(-2).pos_ in NOMINAL
    first = token.i if from_here else token.i - 2 if to_here else -1
    return first > 0 and doc[first - 1].text in (",", "from", ":")

def _is_announced(prep: Token) -> bool:
    """ "Now about the rudder", "when you get to the bolts", "back to the tank": what the talk turns to."""
    verb = prep.head if prep.head.pos_ in ("VERB", "AUX") else prep.head.head
    if prep.lower_ == "about":
        return prep.head.pos_ == "VERB"
    return prep.lower_ in ("to", "onto", "on", "at", "over") and verb.lemma_ in (
        "get", "come", "move", "look", "turn", "switch", "jump", "onto") and not any(
            c.dep_ in ("dobj", "nsubjpass") for c in verb.children)


def _is_trade_verb(verb: Token, lexicon: Lexicon) -> bool:
    """True for a verb that is work by itself, unlike "get" or "take"."""
    lemma = lexicon.verb_of(verb)
    return lemma is not None and any(not form.light for form in lexicon.task_forms(lemma))


def tasks_upon(token: Token, lexicon: Lexicon) -> frozenset[str]:
    """The tasks that the verb which governs a noun or pronoun may mean; those of any object before narrower ones."""
    if token.dep_ == "pobj" and token.head.lower_ == "of":
        token = token.head.head
    verb = token.head
    while verb.dep_ in ("conj", "appos") and verb.pos_ not in ("VERB", "AUX") and verb.head != verb:
        verb = verb.head
    lemma = lexicon.verb_of(verb) if verb != token else None
    if lemma is None:
        return frozenset()
    forms = lexicon.task_forms(lemma)
    broad = [form for form in forms if not form.objects and not form.light and form.particle is None]
    return frozenset(form.task for form in broad or [form for form in forms if not form.light])


def _shows(token: Token) -> bool:
    """True for what "this is …", "these two are …" and "here is …" point out."""
    before = token.doc[token.sent.start:token.head.i]
    pointed = any(t.lower_ in ("this", "these", "that", "those", "here", "here's", "it", "what") for t in before)
    if any(t.tag_ == "MD" for t in token.head.children):
        return False
    return pointed or any(t.dep_ == "nsubj" and t.lemma_.lower() in words.NON_THINGS for t in before)


def _is_likened(token: Token) -> bool:
    """True in a comparison: "like a suitcase", "the size of a sandwich", "than my truck"."""
    if any(t.lower_ in ("like", "than") and t.dep_ in ("prep", "mark") for t in token.ancestors):
        return True
    start = max(token.left_edge.i - 1, 0)
    return token.doc[start].lower_ in ("like", "than", "as") and token.doc[start].pos_ != "VERB"


def is_opener(token: Token, start: int) -> bool:
    """True for the first noun of a sentence without a verb of its own: "Okay, the rudder." "Back to the gear." """
    sentence = token.sent
    lead = [t for t in sentence if t.i < start and t.pos_ in NOMINAL and t.dep_ not in ("compound", "nmod")
            and singular(t.lower_) not in words.NON_THINGS]
    if lead:
        return False
    clause = _first_clause(sentence)
    return token.i < clause.end and not any(_is_finite(t) for t in clause if not start <= t.i <= token.i)


def _first_clause(sentence: Span) -> Span:
    """The sentence up to its first comma after a noun that may be a topic, or its end."""
    seen = False
    for token in sentence:
        seen = seen or (token.pos_ in NOMINAL and singular(token.lower_) not in words.NON_THINGS)
        if seen and token.text in (",", ":", ";", "—", "-", "?", "!"):
            return sentence.doc[sentence.start:token.i]
    return sentence


def _is_finite(token: Token) -> bool:
    return (token.pos_ in ("VERB", "AUX") and token.tag_ not in ("VBG", "VBN")) or token.tag_ in (
        "VBD", "VBZ", "VBP", "MD")


def is_generic(token: Token, lexicon: Lexicon) -> bool:
    """True in advice: "you" as the one who works, or what the plans or a manual call for."""
    for other in token.sent:
        if other.lower_ == "yours" or (other.lower_ == "you" and other.dep_ in ("nsubj", "nsubjpass")
                                       and _works(other.head, lexicon)):
            return True
        if other.lower_ in ("plans", "manual", "book", "drawing", "drawings", "instructions") and other.dep_ == "nsubj":
            return True
    return False


def _works(verb: Token, lexicon: Lexicon) -> bool:
    if verb.lemma_.lower() in words.NO_WORK_VERBS:
        return False
    return lexicon.verb_of(verb) is not None or any(
        child.dep_ in ("mark", "advmod") and child.lower_ in ("if", "when", "before", "once", "whenever")
        for child in verb.children)
