"""What may have been heard wrong: figures whose sound has a twin, improbable words, and text that nobody said."""
from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from witnessmark.model import Word
from witnessmark.speech.cues import ends_sentence
from witnessmark.speech.recognise import Stretch

TEENS = {"thirteen": "thirty", "fourteen": "forty", "fifteen": "fifty", "sixteen": "sixty", "seventeen": "seventy",
         "eighteen": "eighty", "nineteen": "ninety"}
# Words of one sound, or nearly so in a noisy room; the first of each is the one that is said with hours and money.
HOMOPHONES = (("four", "for"), ("two", "to", "too"), ("eight", "a", "ate"), ("one", "won"), ("ten", "then"))
DIGITS = {"1": "one", "2": "two", "4": "four", "8": "eight", "10": "ten"}
RANGED = re.compile(r"-\d+(?:\.\d+)?\W*$")
FIGURE = re.compile(r"^(?P<sign>[$£€#]?)(?P<whole>\d{1,3}(?:,\d{3})*|\d+)(?P<rest>(?:\.\d+)?)$")

SILENT = 0.6  # probability of silence from which an improbable window is dropped; with the next, Whisper's own rule
IMPROBABLE = -1.0  # mean log probability below which such a window is dropped (Radford et al., 2022, 4.5)
SHAKY = 0.55  # mean word probability below which a stock phrase is taken for invented
MANY = 4  # times that words follow each other before they are a loop: people say "no, no, no"
LONGEST_LOOP = 8  # words

# What Whisper writes over silence, music and engines: endings of the videos it was trained on (common knowledge of
# its users; see e.g. Barański et al., 2025, "Investigation of Whisper ASR hallucinations induced by non-speech audio").
STOCK = re.compile(
    r"^(?:(?:and |so )?thank(?:s| you)(?: (?:so|very) much)?(?: for (?:watching|listening|viewing)| all| guys)?"
    r"|(?:please |don't forget to )?(?:like and )?subscribe(?: to (?:my|the|our) channel)?"
    r"|(?:i'll )?see you (?:in the )?next (?:time|video|one)|bye(?: bye)*|you|oh|mm+|uh|hmm|the end|foreign"
    r"|sub(?:title|bed|titled|titles)\b.*|transcri(?:bed|ption|pt) by\b.*"
    r"|(?:music|applause|laughter|silence|beep\w*))$")


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word as people count words, without its punctuation; `heard` is what a repair replaced.

    A recogniser may give it in pieces ("thirty", "-nine"); its probability is that of the least sure piece.
    """

    text: str
    probability: float
    heard: str | None = None

    @property
    def bare(self) -> str:
        return self.text.lower()


def spoken_words(words: Iterable[Word]) -> list[Spoken]:
    """Recognised words with their pieces put together."""
    out: list[list[Word]] = []
    for word in words:
        ranged = RANGED.match(word.text) and out and out[-1][-1].text[-1:].isdigit()  # "8", "-40": eight to forty
        if out and not word.text.startswith(" ") and not ends_sentence(out[-1][-1]) and not ranged:
            out[-1].append(word)
        else:
            out.append([word])
    return [Spoken(_plain("".join(word.text for word in pieces)), min(word.probability for word in pieces),
                   _plain("".join(word.heard or word.text for word in pieces))
                   if any(word.heard for word in pieces) else None) for pieces in out]


def _plain(text: str) -> str:
    return text.strip().strip(".,;:!?\"'()-")


def twins(word: str) -> tuple[str, ...]:
    """What a word may have been instead, written in its own style: "eighty" → "eighteen", "$18.50" → "$80.50".

    Teens and tens (in the last two digits of a number too: 115 and 150), and figures that sound like small words
    ("four" and "for", "two" and "to", "eight" and "a"). Empty for a word without a twin.
    """
    bare = _plain(word).lower()
    for teen, ten in TEENS.items():
        if bare == teen or bare.endswith("-" + teen):
            return (bare.removesuffix(teen) + ten,)
        if bare == ten or bare.endswith("-" + ten):
            return (bare.removesuffix(ten) + teen,)
    for group in HOMOPHONES:
        if DIGITS.get(bare, bare) in group:
            return tuple(other for other in group if other != DIGITS.get(bare, bare))
    return _number_twins(bare)


def _number_twins(bare: str) -> tuple[str, ...]:
    found = FIGURE.match(bare)
    if not found:
        return ()
    whole = _swapped(found["whole"])
    readings = [f"{found['sign']}{whole}{found['rest']}"] if whole else []
    if len(found["rest"]) == 3 and (cents := _swapped(found["rest"][1:])):  # "19.50" and "19.15"
        readings.append(f"{found['sign']}{found['whole']}.{cents}")
    return tuple(readings)


def _swapped(digits: str) -> str | None:
    """The number with its last two digits changed from a teen to a ten or back, else None."""
    head, last = digits[:-2], digits[-2:]
    if len(last) == 2 and last[0] == "1" and last[1] in "3456789":
        return f"{head}{last[1]}0"
    if len(last) == 2 and last[1] == "0" and last[0] in "3456789":
        return f"{head}1{last[0]}"
    return None


def is_small(word: str) -> bool:
    """True for a figure that sounds like a word that is no figure: "four", "2"."""
    return any(DIGITS.get(word, word) in group for group in HOMOPHONES)


def said(stretches: Iterable[Stretch], hotwords: str | None = None) -> list[Stretch]:
    """The stretches without what nobody said: silence, loops, stock phrases, the hotwords echoed back."""
    kept = []
    for stretch in stretches:
        if stretch.silence > SILENT and stretch.score < IMPROBABLE:
            continue
        words = without_stock(without_loops(stretch.words))
        if words and not _echo(words, hotwords):
            kept.append(replace(stretch, words=tuple(words)))
    return kept


def without_loops(words: Sequence[Word]) -> list[Word]:
    """Words that are said MANY times or more in a row, one to LONGEST_LOOP at a time, stay once."""
    out = list(words)
    for length in range(1, LONGEST_LOOP + 1):
        at = 0
        while at + length <= len(out):
            unit, times = _texts(out[at:at + length]), 1
            while _texts(out[at + times * length:at + (times + 1) * length]) == unit:
                times += 1
            if times >= MANY:
                del out[at + length:at + times * length]
            at += 1
    return out


def without_stock(words: Sequence[Word]) -> list[Word]:
    """Words without sentences that are stock phrases and improbable, or all that there is in the window."""
    sentences: list[list[Word]] = [[]]
    for word in words:
        sentences[-1].append(word)
        if ends_sentence(word):
            sentences.append([])
    told = [sentence for sentence in sentences if sentence]
    return [word for sentence in told for word in sentence if not _invented(sentence, alone=len(told) == 1)]


def _invented(sentence: Sequence[Word], alone: bool) -> bool:
    text = " ".join(_texts(sentence))
    sure = sum(word.probability for word in sentence) / len(sentence)
    return bool(STOCK.match(text)) and (sure < SHAKY or (alone and len(sentence) <= 5 and sure < 0.8))


def _echo(words: Sequence[Word], hotwords: str | None) -> bool:
    """True where the window only says the hotwords back, in their order."""
    if not hotwords or len(words) < 6:
        return False
    given = " ".join(re.findall(r"\w+", hotwords.lower()))
    pieces = [" ".join(_texts(words[at:at + 3])) for at in range(0, len(words) - 2, 3)]
    return sum(piece in given for piece in pieces) > 0.7 * len(pieces)


def _texts(words: Sequence[Word]) -> list[str]:
    return [re.sub(r"[^\w']+", " ", word.text.lower()).strip() for word in words]
