"""Which tokens are verbs of the trade, whatever part of speech a general language model gave them.

A small general model calls "clecoed" an adjective, "deburred" a proper noun and "rivet the skins" a noun. The
spelling of a form and the words around it say more, so the form decides where only a verb can be written so,
and the neighbours decide where a noun is written the same ("drill", "rivets", "seal").
"""
from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from spacy.tokens import Doc, Token

from witnessmark.trade.inflect import american, inflections
from witnessmark.trade.terms import TaskForm
from witnessmark.trade.vocabulary import Vocabulary

HYPHENS = frozenset({"-", "–", "‑"})
BROAD_OBJECTS = frozenset({"part", "assembly", "tool", "material", "consumable"})
LONGEST_VERB = 3  # words in the longest verb of the table
NOUN_PREDECESSORS = frozenset({"DET", "ADJ", "NUM"})
POSSESSIVES = frozenset({"my", "your", "his", "her", "its", "our", "their"})
BE = frozenset({"be", "is", "was", "are", "were", "been", "am", "'m", "’m", "'re", "’re", "being"})
VERB_PREDECESSORS = frozenset({"i", "we", "you", "they", "to", "can", "will", "would", "should", "could", "must",
                               "'ll", "’ll", "'d", "’d", "did", "do", "does", "n't", "not", "then", "just", "gonna",
                               "wanna", "let", "let's", "please", "always", "never", "who", "might", "may", "shall"})
PRONOUNS = frozenset({"it", "them", "this", "that", "those", "these", "everything", "both", "one"})

# Forms that are usually the name of a thing, not work, unless the model saw a verb; so are the names in the tables.
THING_FORMS = frozenset({"ring", "building", "opening", "backing", "string", "drawing", "ground", "feed", "set", "cast",
                         "saw", "bedding", "decking", "marking", "shot", "lightening", "flying", "landing", "forging",
                         "casting", "planking", "lining", "covering", "cutting", "coupling", "housing", "plating"})
IRREGULAR_VERBS = frozenset({"bent", "hung", "laid", "sawn", "clecode", "torn", "swept", "rehung", "remade", "shrunk"})
CLAUSE_STARTS = frozenset({"and", "or", "so", "then", "but", "please"})
# Verb forms that everyday speech uses for something else unless the model saw that very verb.
EVERYDAY = {"saw": "saw", "saws": "saw", "ground": "grind", "bored": "bore", "left": "leave", "bound": "bind",
            "string": "string", "parted": "part", "bowed": "bow"}

OBJECT_TELLS = frozenset({"ground", "bored"})  # of these, those that are the trade's verb where an object follows


class VerbForms:
    """The inflected forms of the vocabulary's verbs, and the senses of each."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._nouns = {name for thing in vocabulary.things for name in (thing.name, *thing.synonyms)}
        self.senses: dict[str, list[TaskForm]] = defaultdict(list)
        self._forms: dict[str, dict[tuple[str, ...], str]] = defaultdict(dict)
        for form in sorted(vocabulary.verbs, key=_breadth):
            self.senses[form.lemma].append(form)
        for lemma in self.senses:
            self._index(lemma, (*inflections(lemma), *vocabulary.irregular.get(lemma, ())))

    def _index(self, lemma: str, forms: Iterable[str]) -> None:
        for form in forms:
            words = tuple(american(form).replace("-", " ").split())
            self._forms[words[-1]].setdefault(words[:-1], lemma)
            if len(words) > 1:
                self._forms["".join(words)].setdefault((), lemma)

    def __len__(self) -> int:
        return sum(len(heads) for heads in self._forms.values())

    def words(self) -> frozenset[str]:
        """All words of all forms."""
        return frozenset(self._forms)

    def lemma(self, form: str) -> str | None:
        """The lemma of a form of one or several words ("leak tested"), without looking at any context."""
        *before, last = american(form.lower().replace("-", " ")).split() or [""]
        return self._forms.get(last, {}).get(tuple(before))

    def verb_of(self, token: Token) -> str | None:
        """The lemma of the vocabulary's verb that this token is a form of here; its last word, if several."""
        found = self._longest(token)
        if found is None:
            return None
        lemma, length = found
        if length == 1 and self._begins_longer(token):
            return None
        if length > 1:
            return lemma if _is_inflected(token, lemma) or _phrase_reads_as_verb(token, lemma) else None
        return lemma if self._reads_as_verb(token, lemma) else None

    def _reads_as_verb(self, token: Token, lemma: str) -> bool:
        """True if the token, spelled like a form of `lemma`, is a verb (or a participle or gerund) where it stands."""
        word = token.lower_
        if word in EVERYDAY and token.lemma_.lower() != EVERYDAY[word]:
            return word in OBJECT_TELLS and token.pos_ == "VERB" and _takes_object(token)
        if word != lemma and (word in THING_FORMS or word in self._nouns):
            return _thing_form_is_verb(token)
        if _only_a_verb(word, lemma):
            return True
        if _after_noun_word(token) or (lemma in self._nouns and _is_plural_noun(token, lemma)):
            return False
        seen = token.pos_ == "VERB" and not _clitic_follows(token)
        return seen or (token.pos_ != "AUX" and _neighbours_say_verb(token))

    def is_phrase(self, doc: Doc, start: int, end: int) -> bool:
        """True if these tokens are one verb of several words here: "pop rivet the floor", "heat shrink it"."""
        lemma = self.verb_of(doc[end - 1])
        return lemma is not None and lemma.count(" ") >= sum(token.is_alpha for token in doc[start:end]) - 1 > 0

    def belongs_to_verb(self, token: Token) -> bool:
        """True for "rib" of "rib stitched", "block" of "block sanded": a word of a verb of several words."""
        after = _word_after(token)
        if after is None or not self._begins_longer(token):
            return False
        lemma = self.verb_of(after)
        return lemma is not None and " " in lemma

    def _longest(self, token: Token) -> tuple[str, int] | None:
        heads = self._forms.get(american(token.lower_.replace("’", "'")))
        if not heads:
            return None
        before = _words_before(token)
        for length in range(LONGEST_VERB - 1, -1, -1):
            lemma = heads.get(tuple(before[len(before) - length:])) if len(before) >= length else None
            if lemma is not None:
                return lemma, length + 1
        return None

    def _begins_longer(self, token: Token) -> bool:
        """True for "match" of "match drilled", "safety" of "safety wiring": the verb is its last word."""
        after = _word_after(token)
        return after is not None and (american(token.lower_),) in self._forms.get(american(after.lower_), {})


def _breadth(form: TaskForm) -> int:
    """Narrow senses first: those of named objects, then those of any part, then those of any object."""
    return 2 if not form.objects else int(not form.objects.isdisjoint(BROAD_OBJECTS))


def _words_before(token: Token) -> list[str]:
    words: list[str] = []
    at = token.i - 1
    while at >= 0 and len(words) < LONGEST_VERB - 1:
        other = token.doc[at]
        if other.lower_ not in HYPHENS:
            if not other.is_alpha:
                break
            words.insert(0, american(other.lower_))
        at -= 1
    return words


def _word_after(token: Token) -> Token | None:
    at = token.i + 1
    while at < len(token.doc) and token.doc[at].lower_ in HYPHENS:
        at += 1
    return token.doc[at] if at < len(token.doc) and token.doc[at].is_alpha else None


def _is_inflected(token: Token, lemma: str) -> bool:
    return token.lower_ != lemma.rpartition(" ")[2] and not token.lower_.endswith("s")


def _phrase_reads_as_verb(token: Token, lemma: str) -> bool:
    """ "pull test each one", "to safety wire": the neighbours of the whole phrase decide."""
    first = token
    for _ in range(lemma.count(" ")):
        first = first.nbor(-2) if first.nbor(-1).lower_ in HYPHENS else first.nbor(-1)
    if _after_noun_word(first) or token.lower_ != lemma.rpartition(" ")[2]:
        return False
    before = first.nbor(-1).lower_ if first.i else ""
    return before in VERB_PREDECESSORS or (_takes_object(token) and (first.pos_ == "VERB" or _starts(first)))


def _only_a_verb(word: str, lemma: str) -> bool:
    """True for spellings that no noun has: -ed, -ing (save the things so named), irregular past forms."""
    return (word.endswith(("ed", "ing", "'d", "ode")) and word != lemma) or word in IRREGULAR_VERBS


def _thing_form_is_verb(token: Token) -> bool:
    """ "I'm fitting the rib" and "then set the rivets", but not "the strut fitting" or "two castings"."""
    before = token.nbor(-1) if token.i else None
    if before is not None and before.lower_ in BE and token.lower_.endswith("ing"):
        return True
    if token.pos_ != "VERB":
        return False
    if before is None:
        return True
    compound = before.pos_ in ("NOUN", "ADJ") and token.lower_.endswith("ing")
    return not (compound or before.pos_ in ("DET", "NUM") or before.lower_ in POSSESSIVES)


def _is_plural_noun(token: Token, lemma: str) -> bool:
    """True for "nutplates" of "the floor nutplates": a form in -s after a noun, with no object after it."""
    before = token.nbor(-1) if token.i else None
    return (token.lower_ != lemma and token.lower_.endswith("s") and not _takes_object(token)
            and (before is None or before.pos_ in ("NOUN", "ADP")))


def _clitic_follows(token: Token) -> bool:
    """True before "'s" and "'ve": "the glue's got cold", "a shim's been made" have a noun there."""
    return token.i + 1 < len(token.doc) and token.nbor(1).lower_ in ("'s", "’s", "'ve", "’ve", "'ll", "’ll")


def _after_noun_word(token: Token) -> bool:
    """True after "the", "a", "my", "two", "flush": there, a word spelled like noun and verb is the noun."""
    if token.i == 0:
        return False
    before = token.nbor(-1)
    if before.lower_ in POSSESSIVES or before.tag_ == "POS":
        return True
    return before.pos_ in NOUN_PREDECESSORS and before.lower_ not in PRONOUNS | {"that", "all"}


def _takes_object(token: Token) -> bool:
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    if after is None or _clitic_follows(token):
        return False
    return after.pos_ in ("DET", "PRON") or after.lower_ in PRONOUNS | POSSESSIVES


def _starts(token: Token) -> bool:
    """True at the beginning of a sentence or clause, where an order stands."""
    if token.i == 0:
        return True
    before = token.nbor(-1)
    return before.is_punct or bool(token.is_sent_start) or before.lower_ in CLAUSE_STARTS | BE


def _neighbours_say_verb(token: Token) -> bool:
    before = token.nbor(-1).lower_ if token.i else ""
    if before in VERB_PREDECESSORS and not _clitic_follows(token):
        return True
    return _takes_object(token) and _starts(token)
