"""Hired work told by its grammar: "had the rotors turned", "paid him to blast the legs", "balancing it was eighty".

In: the stretch around a sum. Out: a `Work`, the verb and the thing it was done to. Never: a status or a price, and
no work that the speaker does himself.
"""
from __future__ import annotations

from dataclasses import dataclass

from spacy.tokens import Span, Token

from witnessmark.reading.goods import Goods, Mention

CAUSING = frozenset({"have", "get"})
PAYING = frozenset({"pay", "charge", "give", "cost", "want", "quote", "ask", "bill", "take"})
# What is had or paid for without being work on a thing: buying, carrying, staying.
NO_WORK = frozenset(["buy", "order", "ship", "mail", "post", "send", "deliver", "pay", "use", "borrow", "go", "come", "do", "say", "tell", "keep", "leave",
                     "bring", "take", "look", "see", "know", "think", "get", "have", "be", "own", "save", "finish", "mow", "learn", "join", "watch", "sit",
                     "stay", "eat", "drink", "replace", "put", "make", "let", "call", "stick", "back", "leave", "give"])
OBJECT_WITHIN = 5  # tokens between a verb of work and the thing it is done to


@dataclass(frozen=True, slots=True)
class Work:
    """The verb of hired work at a token, the thing it was done to, if named, and whether it is still to be done."""

    verb: Token
    thing: Mention | None
    to_come: bool = False


def work_said(span: Span, goods: Goods) -> Work | None:
    """The first work for hire that a stretch tells of, None where it tells of none."""
    for token in span:
        for reader in (_caused, _paid_for, _gerund_priced):
            work = reader(token, span, goods)
            if work:
                return work
    return None


def _is_work(token: Token, goods: Goods) -> bool:
    lemma = token.lemma_.lower()
    return (lemma not in NO_WORK and token.pos_ in ("VERB", "NOUN", "ADJ", "AUX") and token.is_alpha and goods.mention(token) is None) or (
        goods.lexicon.verb_of(token) is not None and lemma not in NO_WORK)


def _caused(token: Token, span: Span, goods: Goods) -> Work | None:
    """ "Had the rotors turned", "getting the seats covered": a participle that a verb of causing governs over a thing."""
    if token.lemma_.lower() not in CAUSING or token.pos_ not in ("VERB", "AUX"):
        return None
    for at in range(token.i + 2, min(token.i + 9, span.end)):
        word = token.doc[at]
        if word.is_punct or word.pos_ in ("CCONJ", "SCONJ", "ADP") or (word.pos_ == "AUX" and word.i > token.i):
            return None
        if word.tag_ == "VBN" and word.dep_ != "amod" and _is_work(word, goods):
            thing = _between(token.i + 1, at, goods)
            named = thing is not None or any(w.lower_ in ("it", "them", "that", "those", "these", "one") for w in token.doc[token.i + 1 : at])
            before = token.nbor(-1).lower_ if token.i else ""
            return Work(word, thing, to_come=before == "to" or token.tag_ in ("VBG", "VB")) if named else None
    return None


def _paid_for(token: Token, span: Span, goods: Goods) -> Work | None:
    """ "Charged me thirty for welding the tab", "paid the guy to blast the legs"."""
    before = token.nbor(-1).lower_ if token.i > span.start else ""
    doing = (token.tag_ == "VBG" and before == "for") or (token.tag_ == "VB" and before == "to")
    if not doing or not _is_work(token, goods):
        return None
    payer = any(word.lemma_.lower() in PAYING for word in token.doc[max(span.start, token.i - 10) : token.i])
    return Work(token, _after(token, span, goods)) if payer else None


def _gerund_priced(token: Token, span: Span, goods: Goods) -> Work | None:
    """ "Balancing the prop was eighty": a gerund that a price is said of."""
    opens = token.i == span.start or token.nbor(-1).is_punct or token.nbor(-1).lower_ in ("and", "so", "but")
    if token.tag_ != "VBG" or not opens or not _is_work(token, goods):
        return None
    thing = _after(token, span, goods)
    after = thing.end if thing else token.i + 1
    priced = after < span.end and token.doc[after].lower_ in ("was", "is", "were", "cost", "costs", "ran", "came", "runs", "set")
    return Work(token, thing) if thing and priced else None


def _between(start: int, end: int, goods: Goods) -> Mention | None:
    named = goods.terms_between(start, end)
    if named:
        return named[0]
    nouns = [token for token in goods.doc[start:end] if token.pos_ in ("NOUN", "PROPN")]
    return goods.mention(nouns[-1]) if nouns else None


def _after(verb: Token, span: Span, goods: Goods) -> Mention | None:
    return _between(verb.i + 1, min(verb.i + 1 + OBJECT_WITHIN, span.end), goods)
