"""Trade verbs in everyday talk: "cut the grass", "shot the video", "screwed up", "wire me the money".

In: a verb's token. Out: whether what it is done to, or the words after it, put it outside the workshop. Such a verb
must not become work in the log.
"""
from __future__ import annotations

from collections.abc import Mapping

from spacy.tokens import Token

OBJECTS = frozenset({"dobj", "obj", "nsubjpass", "oprd"})
# Those whom work on an aeroplane is not done to; "her" is left out, an aeroplane may be a she.
HIMSELF = frozenset({"myself", "yourself", "himself", "ourselves"})
PERSONS = frozenset({"me", "you", "us", "him", "myself", "yourself", "himself", "ourselves", "i", "we", "he"})


class Everyday:
    """Knows the nouns and the turns of phrase of talk outside the trade."""

    def __init__(self, things: frozenset[str], phrases: Mapping[str, tuple[tuple[str, ...], ...]]) -> None:
        self._things, self._phrases = things, phrases

    def is_talk(self, token: Token, lemma: str) -> bool:
        """True if this verb's object or the words after it are not the trade's."""
        following = tuple(other.lower_ for other in token.doc[token.i + 1:token.i + 5])
        if any(following[:len(phrase)] == phrase for phrase in self._phrases.get(lemma, ())):
            return True
        objects = [child for child in token.children if child.dep_ in OBJECTS]
        return bool(objects) and all(self._is_everyday(noun) and not _is_by_himself(noun, token) for noun in objects)

    def _is_everyday(self, noun: Token) -> bool:
        if noun.lower_ in PERSONS:
            return True
        compound = any(child.dep_ == "compound" for child in noun.children)
        return noun.lemma_.lower() in self._things and not compound


def _is_by_himself(noun: Token, verb: Token) -> bool:
    """ "The fitting I cut myself": who did it, where the thing stands before the subject."""
    subject = next((c for c in verb.children if c.dep_ == "nsubj"), None)
    return noun.lower_ in HIMSELF and subject is not None and (verb.dep_ == "relcl" or any(
        c.i < subject.i and c.pos_ in ("NOUN", "PROPN") and c.ent_type_ not in ("DATE", "TIME")
        and c.dep_ in ("npadvmod", "dep", "dobj", "nsubj") for c in verb.children))
