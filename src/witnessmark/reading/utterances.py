"""A passage cut into the stretches that tell one thing: its sentences, or its cues where nobody wrote full stops.

Some recognisers write no punctuation at all; the parser then guesses at sentence borders, and the pauses at which
cues end are the better guess.
"""

from __future__ import annotations

from spacy.tokens import Span

from witnessmark.reading.text import Passage

TOKENS_PER_STOP = 60  # a text with fewer full stops than one in so many tokens is taken as unpunctuated


def utterances(passage: Passage) -> list[Span]:
    """The stretches of a passage in order; every token is in exactly one."""
    doc = passage.doc
    stops = sum(token.text in (".", "?", "!", "...", "…") for token in doc)
    if stops * TOKENS_PER_STOP >= len(doc):
        return passage.sentences
    starts = [token.i for token in doc if token.i == 0 or passage.cue_of(token) != passage.cue_of(doc[token.i - 1])]
    return [doc[start:end] for start, end in zip(starts, [*starts[1:], len(doc)], strict=True)]
