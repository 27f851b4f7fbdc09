"""The trade words that a recogniser is told to expect, chosen for the journal and the file, within its limit.

They are given as hotwords, which stand before every window. Given as faster-whisper's initial prompt to its plain loop
they stand before the first window only, and there its conditioning on earlier text makes it skip sentences; in the
batched pipeline both are the same tokens. More words cost time in every window and, beyond about sixty, gain nothing
(tests/bench/hearing.py measures both).
"""
from __future__ import annotations

import csv
import functools
import re
from collections.abc import Callable, Iterable, Sequence
from importlib import resources
from pathlib import PurePosixPath

from witnessmark.model import Capture, Settings
from witnessmark.speech.targets import targets

MOST_TOKENS = 150  # of the 223 that the decoder leaves for hotwords beside 30 seconds of talk
# A bare list of small words makes the recogniser write on without stops or capitals, and the reading needs sentences:
# it writes as what stands before, so whole sentences do.
# They claim no work and no figure, in case the recogniser says them back.
MANNER = "Okay. Here we are. This is what it looks like. I think it is good. You can see it from here."
OWN_SHARE = 0.5  # of the tokens that the builder's own words, hints and folders may take
# Words in an aircraft's description that tell how it is built.
CONSTRUCTIONS = {"metal": "metal|aluminum|aluminium|riveted|alloy",
                 "composite": "composite|glass|fiberglass|carbon|foam",
                 "wood": "wood|wooden|spruce|plywood|ply", "tube": "tube|steel|chromoly|welded",
                 "fabric": "fabric|covered|cloth|tube"}


def hotwords(settings: Settings, capture: Capture, hints: Sequence[str], count: Callable[[str], int]) -> str:
    """The words as one string, the most useful last, where the model heeds them most; `count` counts its tokens."""
    own = _within([*_own_words(settings), *hints, *_folder_words(capture, settings)], MOST_TOKENS * OWN_SHARE, count)
    usual = _within([word for word in _usual(settings) if word not in own], MOST_TOKENS - count(", ".join(own)), count)
    return f"{MANNER} {', '.join([*usual, *own])}."


def _within(words: Iterable[str], tokens: float, count: Callable[[str], int]) -> list[str]:
    """As many of the words as the tokens allow, each once."""
    kept: list[str] = []
    spent = 0
    for word in dict.fromkeys(words):
        cost = count(f", {word}")
        if spent + cost > tokens:
            break
        kept.append(word)
        spent += cost
    return kept


def _own_words(settings: Settings) -> list[str]:
    """The names of who works there and of the aircraft, then the builder's vocabulary."""
    aircraft = re.match(r"(?:[A-Z][\w'-]* ?){1,3}", settings.aircraft)
    people = [*settings.builders, *settings.helpers, *settings.hired, *([aircraft.group().strip()] if aircraft else [])]
    own = [word for kind in settings.vocabulary.values() for name, others in kind.items() for word in (name, *others)]
    return [*people, *own]


def _folder_words(capture: Capture, settings: Settings) -> list[str]:
    """The words of the file's folders and name that the trade has: "wings/left aileron" tells what it is about."""
    place = PurePosixPath(capture.path)
    words = re.findall(r"[a-z]+", " ".join([*place.parts[:-1], place.stem]).lower())
    return [word for word in words if word in targets(settings).spoken and len(word) > 3]


def _usual(settings: Settings) -> list[str]:
    """The built-in list: those words first that this kind of aircraft has."""
    told = settings.aircraft.lower()
    kinds = {kind for kind, words in CONSTRUCTIONS.items() if re.search(rf"\b(?:{words})\b", told.replace("-", " "))}
    fitting = [word for word, built in _table() if not kinds or not built or built & kinds]
    return [*fitting, *(word for word, _ in _table() if word not in fitting)]


@functools.cache
def _table() -> tuple[tuple[str, frozenset[str]], ...]:
    text = resources.files("witnessmark.speech").joinpath("data", "hotwords.csv").read_text(encoding="utf-8")
    return tuple((row["word"], frozenset(filter(None, row["construction"].split("|"))))
                 for row in csv.DictReader(text.splitlines()))
