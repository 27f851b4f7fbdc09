"""Figures as they are said or written in a shop, and the text with its figures folded into signs.

`text2num` reads number words; what people put around them ("and a half", "a couple", "twenty-odd", "six-zero")
is read here. A price has readings of its own ("nineteen fifty"): see `money_words`. A figure that is corrected
in the same breath ("sixteen... sixty, six-zero") is kept, marked `superseded`.
"""
from __future__ import annotations

import functools
import re
from bisect import bisect_right
from dataclasses import dataclass, replace

from spacy.tokens import Doc
from text_to_num import text2num

from witnessmark.reading.lexemes import Lexeme, lexemes_of

UNITS = {word: value for value, word in enumerate(["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"])}
TEENS = {word: value for value, word in enumerate(
    ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"], start=10)}
TENS = {word: value for value, word in zip(
    range(20, 100, 10), ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"], strict=True)}
SCALES = frozenset({"hundred", "thousand"})
MISSPELT = {"fourty": "forty", "ninty": "ninety", "fourtyish": "forty"}
CARDINALS = UNITS.keys() | TEENS.keys() | TENS.keys() | MISSPELT.keys()
FRACTION_WORDS = {"half": 0.5, "quarter": 0.25, "third": 1 / 3, "thirds": 1 / 3, "quarters": 0.25}
ORDINAL_UNITS = {word: value for value, word in enumerate(
    ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth", "sixteenth", "seventeenth", "eighteenth", "nineteenth"], start=1)} | {"twentieth": 20, "thirtieth": 30}
_DIGITS = re.compile(r"(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?|\.\d+")
_FRACTION = re.compile(r"(\d+)/(\d+)")
_ORDINAL_DIGITS = re.compile(r"(\d{1,2})(?:st|nd|rd|th)")
APPROX_BEFORE = re.compile(
    r"(?:\b(?:about|around|roughly|approximately|some|nearly|almost|probably|maybe|perhaps|circa|say|pushing|easily"
    r"|just (?:shy of|short of|under|over|about)|shy of|close to|closer to|call it|a good|near(?: enough)?"
    r"|(?:a (?:bit|little|touch|hair) )?(?:over|under)|at least|upwards of|up to|more than|less than"
    r"|the (?:better|best) part of|something like|i(?:'d| would) (?:say|guess)|i (?:guess|reckon|think)|what"
    r"|must be|must have been|in the region of|getting on for|knocking on) ?,? ?)$")
APPROX_AFTER = re.compile(
    r" ?,? ?(?:\w+ )?(?:or so|or thereabouts|ish|give or take|more or less|roughly|i (?:guess|reckon|think|suppose)"
    r"|approximately|odd|near enough|plus|or something)\b")


@dataclass(frozen=True, slots=True)
class Number:
    """A figure, tokens `start` up to, not including, `end`: `low` to `high`, equal if one number was said.

    `approx` is True where it was said to be rough; `rule` names how it was read; `ordinal` is True for
    "fourth" and "21st"; `superseded` marks a figure that the speaker took back at once.
    """

    start: int
    end: int
    low: float
    high: float
    approx: bool
    rule: str
    ordinal: bool = False
    superseded: bool = False


@dataclass(frozen=True)
class Folded:
    """A text as one lower-case line with each single figure as `#n` and each ordinal as `@n`.

    `numbers` holds what the signs stand for; `spans` the first character and the tokens of every word.
    """

    text: str
    numbers: tuple[Number, ...]
    offsets: tuple[int, ...]
    tokens: tuple[tuple[int, int], ...]
    said: tuple[str, ...]

    def number(self, sign: str) -> Number:
        """The figure behind a sign such as "#3" or "@3"."""
        return self.numbers[int(sign[1:])]

    def value(self, sign: str) -> float:
        return self.number(sign).low

    def word_at(self, character: int) -> int:
        """The index of the word that holds this character of the line."""
        return max(bisect_right(self.offsets, character) - 1, 0)

    def token_span(self, start: int, end: int) -> tuple[int, int]:
        """Tokens (first, one past the last) of the characters `start` to `end` of the line."""
        return self.tokens[self.word_at(start)][0], self.tokens[self.word_at(max(end - 1, start))][1]

    def said_at(self, character: int) -> str:
        """The word at a character as it stands in the text, with its capitals."""
        return self.said[self.word_at(character)]

    def offset_of(self, token: int) -> int:
        """The character of the line at which a token's word begins (the next word's for a token left out)."""
        for offset, (_, end) in zip(self.offsets, self.tokens, strict=True):
            if end > token:
                return offset
        return len(self.text)


def find_numbers(doc: Doc) -> tuple[Number, ...]:
    """All figures of a text in order, ranges ("two or three", "ten to twelve") as one."""
    folded = fold(doc)
    found: list[Number] = []
    at = 0
    for match in _RANGE.finditer(folded.text):
        first, last = folded.number(match[1]), folded.number(match[2])
        if first.ordinal or last.ordinal or not first.low < last.high:
            continue
        found += folded.numbers[at:int(match[1][1:])]
        found.append(Number(first.start, last.end, first.low, last.high, first.approx or last.approx, "range"))
        at = int(match[2][1:]) + 1
    return tuple(found) + folded.numbers[at:]


_RANGE = re.compile(r"(#\d+)(?: or | to | - |(?: ,)? maybe |(?: ,)? or maybe |(?: ,)? perhaps )(#\d+)\b")


def number_at(doc: Doc, token: int) -> Number | None:
    """The figure that a token stands in, or None."""
    return next((n for n in find_numbers(doc) if n.start <= token < n.end), None)


@functools.lru_cache(maxsize=4)
def fold(doc: Doc) -> Folded:
    """The text as one line with its figures as signs; see `Folded`."""
    words = lexemes_of(doc)
    pieces: list[str] = []
    numbers: list[Number] = []
    tokens: list[tuple[int, int]] = []
    said: list[str] = []
    at = 0
    while at < len(words):
        found = _number(words, at)
        if found is None:
            pieces.append(words[at].text)
            end = at + 1
        else:
            end, value, high, approx, rule, ordinal = found
            pieces.append(f"{'@' if ordinal else '#'}{len(numbers)}")
            numbers.append(Number(words[at].start, words[end - 1].end, value, high, approx, rule, ordinal))
        tokens.append((words[at].start, words[end - 1].end))
        said.append(words[at].said)
        at = end
    return _marked(pieces, numbers, tokens, said)


def _marked(pieces: list[str], numbers: list[Number], tokens: list[tuple[int, int]], said: list[str]) -> Folded:
    """The line with its offsets, and each figure told whether it was said to be rough or was taken back."""
    offsets, at = [], 0
    for piece in pieces:
        offsets.append(at)
        at += len(piece) + 1
    text = " ".join(pieces)
    place = {piece: offset for piece, offset in zip(pieces, offsets, strict=True) if piece[0] in "#@"}
    marked = []
    for sign, number in ((f"{'@' if n.ordinal else '#'}{i}", n) for i, n in enumerate(numbers)):
        before, after = text[max(0, place[sign] - 40):place[sign]], text[place[sign] + len(sign):][:30]
        rough = number.approx or bool(APPROX_BEFORE.search(before) or APPROX_AFTER.match(after))
        marked.append(replace(number, approx=rough))
    return Folded(text, _corrected(text, tuple(marked), place), tuple(offsets), tuple(tokens), tuple(said))


_Found = tuple[int, float, float, bool, str, bool]


def _number(words: tuple[Lexeme, ...], at: int) -> _Found | None:
    """The figure that begins at a word: end, low, high, approx, rule, ordinal; None if there is none."""
    for reader in (_ordinal, _spelled, _collective, _cardinal):
        found = reader(words, at)
        if found:
            return found
    return None


def _texts(words: tuple[Lexeme, ...], at: int, count: int) -> list[str]:
    return [word.text for word in words[at:at + count]]


def _ordinal(words: tuple[Lexeme, ...], at: int) -> _Found | None:
    """ "Fourth", "twenty-fourth", "21st"; but not the denominators of "a sixteenth" or "three eighths"."""
    first, second = [*_texts(words, at, 2), "", ""][:2]
    digits = _ORDINAL_DIGITS.fullmatch(first)
    if digits:
        return at + 1, float(digits[1]), float(digits[1]), False, "ordinal", True
    if first in TENS and 1 <= ORDINAL_UNITS.get(second, 0) < 10:
        value = float(TENS[first] + ORDINAL_UNITS[second])
        return at + 2, value, value, False, "ordinal", True
    if first in ORDINAL_UNITS:
        value = float(ORDINAL_UNITS[first])
        return at + 1, value, value, False, "ordinal", True
    return None


def _spelled(words: tuple[Lexeme, ...], at: int) -> _Found | None:
    """Digits said one by one: "one-four-zero", "six-zero", "one-oh-four"."""
    end = at
    digits = ""
    while end < len(words) and (words[end].text in UNITS or (digits and words[end].text in ("oh", "o"))):
        digits += str(UNITS.get(words[end].text, 0))
        end += 1
    followed = end < len(words) and words[end].text in SCALES | TEENS.keys() | TENS.keys()
    if digits[:1] == "0" or followed or not (len(digits) >= 3 or (len(digits) == 2 and digits[1] == "0")):
        return None
    return end, float(digits), float(digits), False, "spelled digits", False


def _collective(words: tuple[Lexeme, ...], at: int) -> _Found | None:
    """ "A dozen", "half a dozen", "two dozen", "a couple", "a few"."""
    texts = _texts(words, at, 3)
    line = " ".join(texts)
    if line == "half a dozen" or line.startswith("half dozen"):
        return at + (3 if line == "half a dozen" else 2), 6, 6, False, "dozen", False
    if texts[:2] == ["a", "dozen"]:
        return at + 2, 12, 12, False, "dozen", False
    if texts[1:2] == ["dozen"] and UNITS.get(texts[0], 0) > 1:
        value = 12.0 * UNITS[texts[0]]
        return at + 2, value, value, False, "dozen", False
    if texts[:2] == ["a", "couple"] and (scaled := _couple_of_hundred(words, at)):
        return scaled
    if texts[:2] == ["a", "couple"]:
        return at + (3 if texts[2:] == ["of"] else 2), 2, 2, True, "couple", False
    if texts[:2] == ["couple", "of"]:
        return at + 2, 2, 2, True, "couple", False
    if texts[:2] == ["a", "few"] or (line.startswith("a good few") and len(texts) == 3):
        return at + len(texts[:texts.index("few") + 1]), 2, 4, True, "few", False
    return None


def _couple_of_hundred(words: tuple[Lexeme, ...], at: int) -> _Found | None:
    """ "A couple of hundred", "a couple hundred"."""
    end = at + (3 if _texts(words, at + 2, 1) == ["of"] else 2)
    scale = {"hundred": 100.0, "thousand": 1000.0}.get("".join(_texts(words, end, 1)))
    return (end + 1, 2 * scale, 2 * scale, True, "couple", False) if scale else None


def _cardinal(words: tuple[Lexeme, ...], at: int) -> _Found | None:
    """Number words or digits with the halves, quarters and decimals that follow them."""
    whole = _digits(words, at) or _whole(words, at)
    if whole is None:
        return None
    end, value, rule = whole
    end, value = _decimals(words, end, value)
    end, value = _and_fraction(words, end, value)
    if _texts(words, end, 1) in (["odd"], ["ish"]):
        return end + 1, value, value, True, "odd", False
    return end, value, value, False, rule, False


def _digits(words: tuple[Lexeme, ...], at: int) -> tuple[int, float, str] | None:
    """ "140", "2.5", "3 1/2", "1/2"."""
    text = words[at].text
    part = _FRACTION.fullmatch(text)
    if part and float(part[2]):
        return at + 1, float(part[1]) / float(part[2]), "fraction"
    if not _DIGITS.fullmatch(text):
        return None
    value = float(text.replace(",", ""))
    after = at + 1 + (_texts(words, at + 1, 1) == ["-"])
    part = _FRACTION.fullmatch(words[after].text) if after < len(words) else None
    if part and 0 < float(part[1]) < float(part[2]):
        return after + 1, value + float(part[1]) / float(part[2]), "mixed fraction"
    if _texts(words, at + 1, 1) == ["hundred"] and value < 100:
        return at + 2, value * 100, "digits"
    return at + 1, value, "digits"


def _whole(words: tuple[Lexeme, ...], at: int) -> tuple[int, float, str] | None:
    """The longest run of number words that `text2num` takes as one number."""
    start = words[at].text
    article = start in ("a", "the") and _texts(words, at + 1, 1)[:1] in (["hundred"], ["thousand"])
    bare = start in SCALES and _texts(words, at - 1, 1) not in (["few"], ["several"], ["couple"]) if at else start in SCALES
    if start not in CARDINALS and not article and not bare:
        return None
    best: tuple[int, float, str] | None = None
    end = at
    said: list[str] = []
    while end < len(words) and len(said) < 10:
        word = words[end].text
        if not (word in CARDINALS or word in SCALES or (word == "and" and said) or (article and end == at)):
            break
        if bare and end == at:
            said.append("one")
        said.append("one" if article and end == at else MISSPELT.get(word, word))
        end += 1
        value = _text2num(" ".join(said)) if word != "and" else None
        if value is not None:
            best = (end, value, "number words")
        elif word != "and" and not (article and len(said) == 1):
            break
    return best


@functools.lru_cache(maxsize=4096)
def _text2num(words: str) -> float | None:
    """The number that these words are to `text2num`; None where they are not one number, or tens joined by "and"."""
    if re.search(r"(?<!hundred)(?<!thousand) and ", words):
        return None
    try:
        return float(text2num(words, "en"))
    except ValueError:
        return None


def _decimals(words: tuple[Lexeme, ...], end: int, value: float) -> tuple[int, float]:
    """ "Two point five"."""
    if _texts(words, end, 1) != ["point"]:
        return end, value
    digits = ""
    at = end + 1
    while at < len(words) and words[at].text in UNITS:
        digits += str(UNITS[words[at].text])
        at += 1
    return (at, value + float(f"0.{digits}")) if digits else (end, value)


def _and_fraction(words: tuple[Lexeme, ...], end: int, value: float) -> tuple[int, float]:
    """ "And a half", "and a quarter", "and three quarters"; not where the next word is "past" or "dozen"."""
    texts = _texts(words, end, 4)
    if texts[:1] != ["and"]:
        return end, value
    count = {"a": 1.0, "one": 1.0, "three": 3.0, "two": 2.0}.get("".join(texts[1:2]))
    size = FRACTION_WORDS.get("".join(texts[2:3]))
    of_hour = texts[3:4] == ["of"] and size != FRACTION_WORDS["half"]
    if count and size and not of_hour and texts[3:4] not in (["past"], ["to"], ["an"], ["hour"]):
        return end + 3, value + count * size
    plain = FRACTION_WORDS.get("".join(texts[1:2]))
    if plain and texts[1] in ("half", "quarter") and texts[2:3] not in (
            ["past"], ["to"], ["of"], ["an"], ["a"], ["the"], ["my"], ["as"], ["hour"], ["inch"], ["that"], ["them"]):
        return end + 2, value + plain
    part = _FRACTION.fullmatch("".join(texts[1:2]))
    if part and 0 < float(part[1]) < float(part[2]):
        return end + 2, value + float(part[1]) / float(part[2])
    return end, value


_TAKEN_BACK = re.compile(
    r"(#\d+)(?: (?:hours|hour|minutes|dollars|bucks))?(?: (?:\.|,|…))* "
    r"(?:no(?= [,.]| wait| sorry| it| that| make)|nope|wait|sorry|i mean|make that|scratch that|or rather|strike that|hang on|hold on)"
    r"(?: (?!maybe\b)[a-z'.,]+){0,7}? (#\d+)\b")
_SPELLED_OUT = re.compile(r"(#\d+)(?: ?(?:\.|,|\.\.\.|…))+ (?:(#\d+)(?: ?[.,])* )?(#\d+)\b")


def replacement(folded: Folded, sign: str) -> str:
    """The sign of the figure that the speaker put in the place of this one; itself where he took nothing back."""
    if not folded.number(sign).superseded:
        return sign
    return next((match[2] for match in _TAKEN_BACK.finditer(folded.text) if match[1] == sign), sign)


def _corrected(text: str, numbers: tuple[Number, ...], place: dict[str, int]) -> tuple[Number, ...]:
    """Figures marked that are taken back: "six, no, seven"; "sixteen... sixty, six-zero"."""
    taken = {int(match[1][1:]) for match in _TAKEN_BACK.finditer(text)}
    for match in _SPELLED_OUT.finditer(text):
        first, last = int(match[1][1:]), int(match[3][1:])
        sure = numbers[last]
        if sure.rule == "spelled digits" and _sound_alike(numbers[first].low, sure.low):
            taken.add(first)
    return tuple(replace(n, superseded=True) if i in taken else n for i, n in enumerate(numbers))


def _sound_alike(one: float, other: float) -> bool:
    """True for a teen and its ten: fourteen and forty."""
    low, high = sorted((one, other))
    return 13 <= low <= 19 and high == (low - 10) * 10
