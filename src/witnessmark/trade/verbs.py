"""Which tokens are verbs of the trade, whatever part of speech a general language model gave them.

A small general model calls "clecoed" an adjective, "deburred" a proper noun and "rivet the skins" a noun. The
spelling of a form and the words around it say more, so the form decides where only a verb can be written so,
and the neighbours decide where a noun is written the same ("drill", "rivets", "seal").
"""
from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from spacy.tokens import Token

from witnessmark.trade.inflect import american, inflections
from witnessmark.trade.terms import TaskForm
from witnessmark.trade.vocabulary import Vocabulary

HYPHENS = frozenset({"-", "–", "‑"})
LONGEST_VERB = 3  # words in the longest verb of the table
NOUN_PREDECESSORS = frozenset({"DET", "ADJ", "NUM"})
POSSESSIVES = frozenset({"my", "your", "his", "her", "its", "our", "their", "s", "'s", "’s"})
VERB_PREDECESSORS = frozenset({"i", "we", "you", "they", "to", "can", "will", "would", "should", "could", "must",
                               "'ll", "’ll", "did", "do", "does", "didn't", "n't", "not", "then", "just", "gonna",
                               "wanna", "let", "let's", "please", "always", "never", "who", "might", "may", "shall"})
PRONOUNS = frozenset({"it", "them", "this", "that", "those", "these", "everything", "both", "one"})

# Forms in -ing and -ed that are usually the name of a thing, not work, unless the model saw a verb.
THING_FORMS = frozenset({"fitting", "bearing", "fairing", "wiring", "casting", "housing", "coupling", "ring",
                         "covering", "forging", "extrusion", "cutting", "building", "opening", "backing", "string",
                         "ground", "bound", "feed", "left", "set", "cast", "saw", "lining", "webbing", "king",
                         "spring", "clothing", "bedding", "planking", "decking", "molding", "tubing",
                         "plating", "grommet", "drawing", "drawings", "marking", "markings", "shot", "shots"})
# Verb forms that everyday speech uses for something else unless the model saw that very verb.
EVERYDAY = {"saw": "saw", "saws": "saw", "ground": "grind", "bored": "bore", "left": "leave", "bound": "bind",
            "string": "string", "parted": "part", "bowed": "bow"}


class VerbForms:
    """The inflected forms of the vocabulary's verbs, and the senses of each."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.senses: dict[str, list[TaskForm]] = defaultdict(list)
        self._forms: dict[str, dict[tuple[str, ...], str]] = defaultdict(dict)
        for form in vocabulary.verbs:
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

    def lemma(self, word: str) -> str | None:
        """The lemma of a single-word form, without looking at any context."""
        return self._forms.get(american(word.lower()), {}).get(())

    def verb_of(self, token: Token) -> str | None:
        """The lemma of the vocabulary's verb that this token is a form of here; its last word, if several."""
        found = self._longest(token)
        if found is None:
            return None
        lemma, length = found
        if length == 1 and self._begins_longer(token):
            return None
        return lemma if (length > 1 and _is_inflected(token, lemma)) or reads_as_verb(token, lemma) else None

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


def reads_as_verb(token: Token, lemma: str) -> bool:
    """True if the token, spelled like a form of `lemma`, is a verb (or a participle or gerund) where it stands."""
    word = token.lower_
    if word in EVERYDAY and token.lemma_.lower() != EVERYDAY[word]:
        return False
    if _after_noun_word(token):
        return (token.pos_ == "VERB" and word.endswith("ed")) or _only_a_verb(word, lemma)
    if _only_a_verb(word, lemma):
        return True
    if token.pos_ == "VERB":
        return True
    return token.pos_ != "AUX" and _neighbours_say_verb(token)


def _only_a_verb(word: str, lemma: str) -> bool:
    """True for spellings that no noun has: -ed, -ing (save the things so named), irregular past forms."""
    if word in THING_FORMS:
        return False
    return (word.endswith(("ed", "ing", "'d", "ode")) and word != lemma) or word in ("bent", "hung", "torqued", "laid")


def _after_noun_word(token: Token) -> bool:
    """True after "the", "a", "my", "two", "flush": there, a word spelled like noun and verb is the noun."""
    if token.i == 0:
        return False
    before = token.nbor(-1)
    return before.lower_ in POSSESSIVES or (before.pos_ in NOUN_PREDECESSORS and before.lower_ not in PRONOUNS
                                            and before.lower_ not in ("that", "all"))


def _neighbours_say_verb(token: Token) -> bool:
    before = token.nbor(-1).lower_ if token.i else ""
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    if before in VERB_PREDECESSORS:
        return True
    takes_object = after is not None and (after.pos_ in ("DET", "PRON") or after.lower_ in PRONOUNS | POSSESSIVES)
    starts = token.i == 0 or token.nbor(-1).is_punct or bool(token.is_sent_start) or before in ("and", "or", "so")
    return takes_object and starts
