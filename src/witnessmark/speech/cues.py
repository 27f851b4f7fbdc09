"""Recognised words to cues: a sentence each, or what is said between two pauses."""
from __future__ import annotations

from collections.abc import Iterable, Sequence

from witnessmark.model import Cue, Word

PAUSE = 1.2  # seconds without a word that end a cue even inside a sentence
LONGEST = 15.0  # seconds; a longer sentence is cut at its last comma
SENTENCE_END = (".", "?", "!", "…", "。", "？", "！")
CLAUSE_END = (",", ";", ":")
ABBREVIATIONS = frozenset({"mr.", "mrs.", "dr.", "no.", "vs.", "approx.", "in.", "st."})


def cues_from(words: Iterable[Word]) -> tuple[Cue, ...]:
    """Cues of at most about LONGEST seconds."""
    cues: list[Cue] = []
    held: list[Word] = []
    for word in words:
        if held and word.start - held[-1].end > PAUSE:
            cues.append(cue_of(held))
            held = []
        held.append(word)
        if ends_sentence(word):
            cues.append(cue_of(held))
            held = []
        elif held[-1].end - held[0].start > LONGEST:
            cut = max((n for n, one in enumerate(held, 1) if one.text.rstrip().endswith(CLAUSE_END)), default=len(held))
            cues.append(cue_of(held[:cut]))
            held = held[cut:]
    if held:
        cues.append(cue_of(held))
    return tuple(cues)


def ends_sentence(word: Word) -> bool:
    text = word.text.strip()
    return text.endswith(SENTENCE_END) and text.lower() not in ABBREVIATIONS


def cue_of(words: Sequence[Word]) -> Cue:
    """One cue of these words; `heard` is the raw line where a word was repaired."""
    text = joined(word.text for word in words)
    raw = joined(word.text if word.heard is None else word.heard for word in words)
    return Cue(words[0].start, max(words[-1].end, words[0].start), text, tuple(words), raw if raw != text else None)


def joined(texts: Iterable[str]) -> str:
    """Recognised words, which carry their own leading space, as a line of text."""
    return " ".join("".join(texts).split())
