"""The verb group: what stands around a predicate that tells its tense, mood, voice, polarity and subject.

spaCy's dependencies carry most of it; this module adds what speech needs besides: auxiliaries and subjects
shared by coordinated verbs, the `'d` that is "had" or "would", get-passives, fragments without a subject.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from spacy.tokens import Token

AUX_DEPS = frozenset({"aux", "auxpass"})
SUBJECT_DEPS = frozenset({"nsubj", "nsubjpass", "csubj", "csubjpass", "expl"})
NEGATIVES = frozenset({"not", "n't", "n’t", "never", "nor"})
NEGATIVE_SUBJECTS = frozenset({"nobody", "none", "neither", "nothing"})
MODALS = {"will": "future", "'ll": "future", "’ll": "future", "wo": "future", "shall": "future", "sha": "future",
          "would": "would", "should": "should", "ought": "should", "must": "must", "could": "could",
          "might": "might", "may": "might", "can": "can", "ca": "can", "need": "must",
          "needs": "needs", "wants": "needs"}
WOULD_OR_HAD = frozenset({"'d", "’d", "d"})
LINKS = frozenset({"be", "get", "become"})
# Past forms that a tagger takes for a base form, because they look like none, and verbs with one form for both.
PAST_ONLY = frozenset({"bent", "countersunk", "sunk", "hung", "laid", "ground", "shot", "wound", "stuck", "slid",
                       "fed", "built", "held", "glued", "clecoed", "swung", "strung", "made", "took", "went", "came",
                       "did", "got", "gave", "ran", "drove", "found", "bought", "drew", "wrote", "threw", "tore",
                       "broke", "wove", "undid", "redid", "forgot", "meant", "began", "spent", "kept", "thought",
                       "told", "said", "swept", "bled", "lit", "wet", "spun", "sewed", "left", "brought", "sprayed"})
SERIAL = frozenset({"then", "and", "also", "next", "finally", "just"})  # "I sanded, then primed the fin"
SAME_FORM = frozenset({"cut", "put", "set", "shut", "split", "fit", "spread", "let", "wet", "hit", "recut", "reset"})
HABITUAL = frozenset({"always", "usually", "normally", "generally", "often", "typically", "ordinarily", "sometimes"})


@dataclass(frozen=True)
class VerbGroup:
    """A predicate with its auxiliaries, in plain grammatical terms.

    `tense` is past, present, future or none; `form` is finite, infinitive, gerund or participle (a fragment);
    `modal` the class of a modal verb; `shared` tells that subject or auxiliaries come from a coordinated verb.
    """

    head: Token
    auxiliaries: tuple[Token, ...]
    subject: Token | None
    negation: Token | None
    tense: str
    form: str
    perfect: bool = False
    progressive: bool = False
    passive: bool = False
    modal: str | None = None
    shared: bool = False

    @property
    def first(self) -> Token:
        """The leftmost token of the group."""
        return min((self.head, *self.auxiliaries), key=lambda token: token.i)


def verb_group(head: Token) -> VerbGroup:
    """The verb group of any verb token; never fails, an odd parse gives form "participle" or "infinitive"."""
    auxiliaries, shared = _auxiliaries(head)
    subject, from_other = _subject(head)
    words = [token.lower_ for token in auxiliaries]
    modal = next((MODALS[word] for word in words if word in MODALS), None)
    tense, form = _tense_and_form(head, auxiliaries, modal, subject)
    had = any(word in ("had", "have", "has", "'ve", "’ve", "having") or token.lemma_ == "have" or _is_had(token, head)
              for word, token in zip(words, auxiliaries, strict=True))
    unreal = any(word in WOULD_OR_HAD for word in words) and bool({"have", "'ve", "’ve"} & set(words))
    if any(word in WOULD_OR_HAD for word in words) and (unreal or not had):
        modal, tense = ("unclear" if head.lower_ in SAME_FORM else "would"), "present"
    passive = _is_passive(head, auxiliaries)
    if passive and _has_done(head, auxiliaries, subject):
        passive, had = False, True
    return VerbGroup(
        head, auxiliaries, subject, _negation(head, auxiliaries, subject, shared), tense, form,
        perfect=had and not _is_get(auxiliaries), passive=passive, modal=modal, shared=shared or from_other,
        progressive=_looks_ing(head) and any(token.lemma_ in ("be", "'s") or token.lower_ in ("'s", "’s", "'m", "'re")
                                             for token in auxiliaries))


def _has_done(head: Token, auxiliaries: tuple[Token, ...], subject: Token | None) -> bool:
    """ "The factory's bonded the ailerons shut": before a participle with its object, "'s" is "has"."""
    alone = len(auxiliaries) == 1 and auxiliaries[0].lower_ in ("'s", "’s") and head.tag_ in ("VBN", "VBD")
    if not alone or subject is None or subject.i > head.i or head.i + 2 >= len(head.doc):
        return False
    after = head.nbor(1)
    thing = any(c.i > head.i and c.dep_ in ("dobj", "obj", "ccomp") for c in head.children)
    return thing and after.pos_ in ("DET", "PRON", "NOUN", "PROPN", "NUM") and after.lower_ not in ("all", "that")


def _looks_ing(head: Token) -> bool:
    return head.tag_ == "VBG" or (head.lower_.endswith("ing") and len(head.lower_) > 4)


def _is_get(auxiliaries: tuple[Token, ...]) -> bool:
    return False if not auxiliaries else auxiliaries[-1].lower_ in ("getting",)


def _auxiliaries(head: Token) -> tuple[tuple[Token, ...], bool]:
    own = _contiguous(head, [child for child in head.children if child.dep_ in AUX_DEPS and child.i < head.i])
    link = copula(head)
    if link is not None and not own:
        return (*_auxiliaries(link)[0], link), False
    if own or not is_conjunct(head):
        return own, False
    if any(child.dep_ in SUBJECT_DEPS for child in head.children):
        return own, False
    first = head.head
    others, _ = _auxiliaries(first)
    if not others or head.i < first.i or not _same_form(first, head):
        return own, False
    return others, True


def _contiguous(head: Token, auxiliaries: list[Token]) -> tuple[Token, ...]:
    """The auxiliaries with no other verb between: in "skins that didn't line up got slotted", only "got"."""
    kept: list[Token] = []
    last = head.i
    for aux in reversed(auxiliaries):
        between = head.doc[aux.i + 1:last]
        if any(t.pos_ in ("VERB", "NOUN") and t.dep_ not in ("neg", "advmod", "npadvmod", "nsubj", "nsubjpass",
                                                             "compound",
                                                             "poss", "nummod", "pobj", "appos") for t in between):
            break
        kept.insert(0, aux)
        last = aux.i
    return tuple(kept)


def copula(head: Token) -> Token | None:
    """The "is" over a participle that the parser took for an adjective: "it isn't bent", "those are riveted"."""
    looks_past = head.lower_.endswith("ed") or head.lower_ in PAST_ONLY or head.tag_ == "VBN"
    if head.dep_ in ("acomp", "attr", "oprd") and looks_past and head.head.lemma_ in ("be", "'s", "get"):
        return head.head
    return None


def is_conjunct(verb: Token) -> bool:
    """True for a coordinated verb, also in a list that the parser took for clauses: "I cut, drilled and deburred"."""
    if verb.dep_ == "conj":
        return _is_verbal(verb.head)
    if verb.dep_ not in ("advcl", "dep", "ccomp") or verb.tag_ not in ("VBD", "VBN") or verb.i < verb.head.i:
        return False
    before = verb.nbor(-1)
    while before.lower_ in SERIAL and before.i > verb.head.i:
        before = before.nbor(-1)
    told = verb.head.tag_ in ("VBD", "VBN") or verb.head.lower_ in SAME_FORM
    return (before.text == "," and told and verb.i - verb.head.i < 12
            and not any(c.dep_ in SUBJECT_DEPS or c.dep_ in ("mark", "aux", "auxpass") for c in verb.children))


def _same_form(first: Token, second: Token) -> bool:
    """True where the auxiliaries of the first verb may serve the second: "was cut and drilled", "will cut and bend"."""
    ending = {first.tag_, second.tag_}
    participles = {"VBN", "VBD"}
    if first.tag_ == "VBN":
        return second.tag_ in participles
    if first.tag_ == "VBD":
        return second.tag_ in participles
    return len(ending) == 1 or ending <= {"VB", "VBP", "NN"}


def _is_verbal(token: Token) -> bool:
    return token.pos_ in ("VERB", "AUX") or token.tag_.startswith("VB")


def _subject(head: Token) -> tuple[Token | None, bool]:
    """The grammatical subject, and whether it was taken from a coordinated or governing verb."""
    own = [child for child in head.children if child.dep_ in SUBJECT_DEPS and child.dep_ != "expl"]
    if own:
        before = [child for child in own if child.i < head.i]
        return (before[-1] if before else own[0]), False
    link = copula(head)
    if link is not None:
        return _subject(link)[0], False
    if is_conjunct(head):
        found, _ = _subject(head.head)
        return _presented(head, found) or found, True
    if head.dep_ == "relcl" and head.i > head.head.i and not any(c.dep_ in SUBJECT_DEPS for c in head.children):
        return head.head, True
    return None, False


def _presented(head: Token, subject: Token | None) -> Token | None:
    """ "Heidi, that's my niece, spent an hour on it": who is presented is the subject, not "that"."""
    if subject is None or subject.lower_ not in ("that", "this", "it") or head.head.lemma_ not in ("be", "'s"):
        return None
    return next((c for c in head.head.children if c.i < subject.i and c.pos_ in ("PROPN", "NOUN")
                 and c.dep_ in ("npadvmod", "dep", "nsubj", "intj", "appos", "dislocated")), None)


def _tense_and_form(head: Token, auxiliaries: tuple[Token, ...], modal: str | None,
                    subject: Token | None) -> tuple[str, str]:
    words = {token.lower_ for token in auxiliaries}
    bare = not auxiliaries and head.tag_ in ("VB", "VBP") and head.dep_ in ("ccomp",
                                                                            "xcomp") and head.lower_ not in PAST_ONLY
    if bare and head.head.lemma_ in ("help", "let", "make", "have", "see", "watch") and head.head.i < head.i:
        return "none", "infinitive"
    if words & {"to", "na", "ta"} or (head.tag_ == "VB" and not auxiliaries and subject is None):
        return "none", "infinitive"
    if modal:
        return ("future" if modal == "future" else "present"), "finite"
    if words & {"did", "was", "were", "had", "got"} or any(t.tag_ == "VBD" for t in auxiliaries):
        return "past", "finite"
    if words & WOULD_OR_HAD:
        return "past", "finite"
    if auxiliaries:
        return "present", "finite"
    if _looks_ing(head):
        return "none", "gerund"
    if head.tag_ == "VBD" and subject is None and is_conjunct(head) and head.head.tag_ == "VB":
        return "past", "finite"  # "planned to stitch it and ended up gluing": no infinitive goes on in the past
    if head.tag_ == "VBD" or head.lower_ in PAST_ONLY or _same_form_past(head, subject):
        return "past", "finite" if subject is not None else "participle"
    if (subject is not None and head.tag_ == "VBN" and head.dep_ not in ("relcl", "acl", "amod")):
        return "past", "finite"
    if head.tag_ in ("VBP", "VBZ", "VB") and subject is not None:
        return "present", "finite"
    if head.lower_.endswith("ed") or head.tag_ == "VBN":
        return "past", "participle"
    return "none", "infinitive"


def _same_form_past(head: Token, subject: Token | None) -> bool:
    """ "I cut", "he put": past, unless a habit, a condition or "you" is about it; a narrator tells what he did."""
    if head.lower_ not in SAME_FORM or subject is None or subject.lower_ in ("you", "they") or head.tag_ == "VBZ":
        return False
    words = {child.lower_ for child in head.children if child.i < head.i}
    return not words & (HABITUAL | {"if", "when", "whenever", "unless", "once", "until", "till"})


def _is_had(aux: Token, head: Token) -> bool:
    """ "I'd primed" is "had"; "I'd prime" is "would"."""
    if aux.lower_ not in WOULD_OR_HAD:
        return False
    past = head.tag_ in ("VBN", "VBD") or head.lower_.endswith("ed") or head.lower_ in PAST_ONLY
    between = [t.lower_ for t in head.doc[aux.i + 1:head.i]]
    return past and not {"have", "be", "'ve", "of", "like", "love", "rather", "prefer"} & set(between)


def _is_passive(head: Token, auxiliaries: tuple[Token, ...]) -> bool:
    if any(child.dep_ in ("nsubjpass", "auxpass", "csubjpass") for child in head.children):
        return not _looks_ing(head)
    if not auxiliaries or _looks_ing(head):
        return False
    last = auxiliaries[-1]
    return last.dep_ == "auxpass" or (last.lemma_ in LINKS and head.tag_ in ("VBN", "VBD", "JJ")) or \
        copula(head) is not None


def _negation(head: Token, auxiliaries: tuple[Token, ...], subject: Token | None, shared: bool) -> Token | None:
    for child in head.children:
        if child.dep_ == "neg" or (child.lower_ in NEGATIVES and child.i < head.i and child.dep_ == "advmod"):
            return child
    link = copula(head)
    if link is not None:
        found = next((c for c in link.children if c.dep_ == "neg" or c.lower_ == "never"), None)
        if found is not None:
            return found
    for aux in auxiliaries:
        found = next((c for c in aux.children if c.dep_ == "neg"), None)
        if found is not None:
            return found
    if shared and auxiliaries and _is_verbal(head.head):
        found = next((c for c in head.head.children if c.dep_ == "neg"), None)
        if found is not None:
            return found
    if subject is not None and subject.lower_ in NEGATIVE_SUBJECTS:
        return subject
    noun = subject if subject is not None else (head.head if head.dep_ in ("acl", "relcl") else None)
    return noun if noun is not None and is_none_of(noun) else None


def is_none_of(noun: Token) -> bool:
    """ "No ribs", "not one rib", "not a hole", "none of them"."""
    if noun.lower_ in NEGATIVE_SUBJECTS:
        return True
    left = [t.lower_ for t in noun.doc[max(noun.left_edge.i - 1, 0):noun.i]]
    return "no" in left or any(left[i] in ("not", "n't", "nary") and left[i + 1] in ("one", "a", "an", "any", "single")
                               for i in range(len(left) - 1))


def opens_as_verb(token: Token) -> bool:
    """ "Dimpled starboard skin.", "Fitted two, the rest can wait": a past form that opens its sentence before a noun
    without an article, and that the parser took for an adjective, tells it short."""
    looks_past = token.tag_ in ("VBN", "VBD", "JJ") and (token.lower_.endswith("ed") or token.lower_ in PAST_ONLY)
    noun = token.head
    if not looks_past or token.dep_ not in ("amod", "compound") or noun.i < token.i:
        return False
    before = token.doc[token.sent.start:token.i]
    if any(t.pos_ not in ("ADV", "INTJ", "CCONJ", "PUNCT") for t in before):
        return False
    if noun.dep_ in ("nsubj", "nsubjpass", "csubj"):
        return any(t.text == "," for t in token.doc[noun.i:noun.head.i])
    return True


def controller(head: Token) -> Token | None:
    """The subject of a verb, or of the verb that governs its infinitive: "that has to come off"."""
    at = head
    for _ in range(5):
        subject = verb_group(at).subject
        if subject is not None:
            return subject
        if at.dep_ not in ("xcomp", "ccomp", "conj", "acomp", "advcl") or at.head == at:
            return None
        at = at.head
    return None


def ancestors(head: Token) -> Iterator[Token]:
    """The governors of a token, nearest first."""
    while head.head != head:
        head = head.head
        yield head
