"""A second look at sentences that carry a figure, a date or an act and were heard badly.

They are decoded without the talk around them, by a beam or by sampling, with larger weights where those are on this
computer.
"""
from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from witnessmark.model import Cue, Settings, Word
from witnessmark.speech import recognise
from witnessmark.speech.cues import cues_from
from witnessmark.speech.sound import Block
from witnessmark.speech.targets import targets

if TYPE_CHECKING:
    from faster_whisper import WhisperModel

UNSURE = 0.5  # probability of a deciding word below which its sentence is decoded again
BETTER = 0.05  # by how much the mean word probability must rise for the second hearing to be kept
MARGIN = 0.25  # seconds of sound around the sentence
SHORTEST = 0.8  # seconds; less is too little for Whisper to work with
SHARE = 0.05  # of the block's words at most are in sentences that are decoded again, to bound the time
SMALL = 3  # letters of the words that the trade shares with all talk ("on", "get")
SAME_LENGTH = (0.6, 1.6)  # words of the second hearing over those of the first; outside it left out or invented some

NUMBER = re.compile(r"\d|^(?:one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|\w+ty|hundred|"
                    r"thousand|half|dollars?|bucks|hours?)$")
DATE = re.compile(r"^(?:yesterday|today|tonight|tomorrow|last|ago|(?:mon|tues|wednes|thurs|fri|satur|sun)days?|"
                  r"january|february|march|april|june|july|august|september|october|november|december)$")


def look(model: Callable[[], WhisperModel], block: Block, words: Sequence[Word], language: str, hotwords: str | None,
         settings: Settings) -> Sequence[Word]:
    """The words of a block, with the sentences that deserve it heard once more and the better hearing kept.

    `model` gives the weights for it; it is asked only where there is such a sentence.
    """
    cues, aims = cues_from(words), targets(settings)
    chosen = chosen_cues(cues, settings) if language == "en" else []
    if not chosen:
        return words
    fresh = recognise.again(model(), block, _spans([cues[n] for n in chosen]), language, hotwords)
    out: list[Word] = []
    for number, cue in enumerate(cues):
        out += better(cue.words, within(fresh, cue), aims.spoken) if number in chosen else cue.words
    return out


def _spans(cues: Sequence[Cue]) -> list[tuple[float, float]]:
    """Where the cues are, with a margin, but never the same sound twice."""
    spans: list[tuple[float, float]] = []
    for cue in cues:
        start = max(cue.start - MARGIN, spans[-1][1] if spans else 0.0)
        spans.append((start, max(cue.end + MARGIN, start)))
    return spans


def within(words: Sequence[Word], cue: Cue) -> list[Word]:
    """The words that begin inside the cue or just before it: the margin behind may hold a piece of its neighbour."""
    return [word for word in words if cue.start - MARGIN <= word.start < cue.end]


def chosen_cues(cues: Sequence[Cue], settings: Settings) -> list[int]:
    """The numbers of the sentences to hear again: the least sure first, within SHARE of all the words."""
    verbs = targets(settings).verbs
    unsure = []
    for number, cue in enumerate(cues):
        values = [word.probability for word in cue.words if decides(word, verbs)]
        if values and min(values) < UNSURE and cue.end - cue.start >= SHORTEST:
            unsure.append((min(values), number))
    left = SHARE * sum(len(cue.words) for cue in cues)
    chosen = []
    for _, number in sorted(unsure):
        left -= len(cues[number].words)
        if left < 0:
            break
        chosen.append(number)
    return sorted(chosen)


def decides(word: Word, verbs: frozenset[str]) -> bool:
    """True for a figure, a date word or a trade verb."""
    text = bare(word)
    return bool(NUMBER.search(text) or DATE.match(text)) or text in verbs


def better(first: Sequence[Word], again: Sequence[Word], trade: frozenset[str]) -> Sequence[Word]:
    """The hearing with the higher mean word probability; the first unless the second is clearly better.

    A hearing that loses a word of the trade is not better: everyday words are always the more probable ones.
    """
    low, high = SAME_LENGTH
    if not again or not low <= len(again) / len(first) <= high or _count(again, trade) < _count(first, trade):
        return first
    return again if _mean(again) > _mean(first) + BETTER else first


def _count(words: Sequence[Word], trade: frozenset[str]) -> int:
    return sum(bare(word) in trade for word in words if len(bare(word)) > SMALL)


def bare(word: Word) -> str:
    """A word's letters and digits, in lower case."""
    return re.sub(r"[^\w]", "", word.text.lower())


def _mean(words: Sequence[Word]) -> float:
    return sum(word.probability for word in words) / len(words)
