"""Left, right and both: where a word says a side, and where it only looks as if it did."""
from __future__ import annotations

from collections.abc import Iterator

from spacy.tokens import Token

from witnessmark.reading import reference_words as words

NOMINAL = frozenset({"NOUN", "PROPN"})
SIDE_FILLERS = frozenset({"on", "the", ",", "side", "and", "both", "hand", "to", "for", "over", "-", "one", "ones",
                          "sides", "only"})


def side_of(token: Token) -> str | None:
    """The side that this single word says; None for "right now", "the right size", "he left", "what is left"."""
    side = words.SIDE_WORDS.get(token.lower_.replace("-", ""))
    if side is None:
        return None
    after = token.nbor(1) if token.i + 1 < len(token.doc) else None
    before = token.nbor(-1) if token.i else None
    if token.lower_ in words.SEAT_SIDES:
        rest = token.doc[token.i + 1:token.i + 3].text.lower()
        return side if rest.endswith("side") or rest.startswith("side") else None
    if token.lower_ == "right":
        return side if _is_side_right(token, before, after) else None
    if token.lower_ == "left" and (_is_verb_left(token, before)):
        return None
    if token.lower_ == "port":
        return side if after is not None and after.pos_ in NOMINAL and token.dep_ in ("amod", "compound") else None
    return side


def _is_side_right(token: Token, before: Token | None, after: Token | None) -> bool:
    determined = before is not None and (before.lower_ in ("the", "this", "that", "my", "its", "on", "lower", "upper",
                                                           "these", "those", "and", "other") or before.pos_ == "ADJ")
    if after is None or after.is_punct:
        return determined or (after is not None and token.dep_ in ("amod",))
    if after.lower_ in words.CORRECT_NOT_SIDE:
        return False
    if after.lower_ in words.AFTER_RIGHT_ADVERB:
        return before is not None and before.lower_ in ("the", "this", "that")
    return determined or after.pos_ in ("NOUN", "PROPN", "ADJ", "NUM") or after.lower_ in words.PLACEHOLDERS


def _is_verb_left(token: Token, before: Token | None) -> bool:
    if before is None or before.lower_ in ("the", "this", "that", "my", "these", "those", "on", "and"):
        return False
    if token.is_sent_start and not stands_alone(token):
        return False
    return (token.tag_ in ("VBD", "VBN") and token.dep_ not in ("amod", "compound")) or before.lower_ in (
        "'s", "is", "are", "was", "were", "nothing", "what", "he", "she", "i", "they", "we", "it", "only", "ones")


def stated_side(head: Token, inside: list[Token]) -> str | None:
    """The side stated in the phrase, before it ("both left skins" is left) or just after it (", left side,")."""
    said = [side for token in inside if (side := side_of(token))]
    said += [side for _, side in sides_after(head)]
    if len(set(said)) == 2:
        return "both"
    if said:
        return said[0]
    before = [t.lower_ for t in inside]
    paired = head.lower_ == "pair" and not any(word in words.PLACE_ADJECTIVES for word in before)
    return "both" if paired or "both" in before or "either" in before or _both_after(head) else None


def sides_after(head: Token) -> Iterator[tuple[int, str]]:
    """Tokens and sides in what directly follows: "on the left", ", left side,", ", the left one"."""
    said_on = False
    for token in head.doc[head.i + 1:head.i + 9]:
        before = token.nbor(-1)
        side = words.SIDE_WORDS.get(token.lower_)
        if token.is_sent_start or (side is None and token.lower_ not in SIDE_FILLERS):
            return
        if side and (said_on or before.text == "," or before.lower_ in ("and", "the", "both")):
            if not stands_alone(token) and token.nbor(1).lower_ not in ("side", "hand", "one", "ones"):
                return
            if not said_on and before.lower_ == "the" and token.nbor(1).lower_ not in ("one", "ones", "side"):
                return
            yield token.i, side
        said_on = said_on or token.lower_ == "on"


def _both_after(head: Token) -> bool:
    """True if the rest of the clause says both: "riveted them both", "covered those, both,", "on either side"."""
    rest = list(head.doc[head.i + 1:head.i + 12])
    for at, token in enumerate(rest):
        if token.is_sent_start or token.text in (";", ":"):
            return False
        following = rest[at + 1] if at + 1 < len(rest) else None
        alone = following is None or following.is_punct or following.lower_ in ("of", "the", "at")
        if token.lower_ == "both" and alone and (at == 0 or rest[at - 1].text == ","):
            return True
        if token.lower_ in ("both", "either") and following is not None and following.lower_ in ("sides", "side"):
            return True
        if token.lower_ in ("left", "right") and [t.lower_ for t in rest[at + 1:at + 3]] in (
                ["and", "right"], ["and", "left"]):
            return True
        paired = token.lower_ == "pair" and at > 0 and rest[at - 1].lower_ == "the"
        if paired and (at < 3 or (rest[at - 2].text == "," and (following is None or following.is_punct))):
            return True
    return False


def stands_alone(token: Token) -> bool:
    """True if no noun follows that the word could belong to."""
    if token.i + 1 >= len(token.doc):
        return True
    after = token.nbor(1)
    if after.ent_type_ in ("DATE", "TIME"):
        return True
    if after.text == "-" or after.lower_ in words.PLACEHOLDERS:
        return False
    return after.pos_ not in ("NOUN", "PROPN", "ADJ", "NUM", "DET")
