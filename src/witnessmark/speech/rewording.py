"""One word put in the place of several, with everything that must stay: punctuation, times, the raw words."""
from __future__ import annotations

import re
from collections.abc import Sequence

from witnessmark.model import Word


def replaced(old: Sequence[Word], text: str, rule: str, confidence: float) -> Word:
    """One word in the place of several, with the punctuation that stood around them."""
    before = re.match(r"\s*[\"'(\[]*", old[0].text)
    after = re.search(r"(?:'s)?[^\w]*$", old[-1].text)
    lead, tail = before.group() if before else "", after.group() if after else ""
    capital = re.sub(r"\W", "", old[0].text)[:1].isupper()
    shown = text[:1].upper() + text[1:] if capital else text
    raw = "".join(word.text if word.heard is None else word.heard for word in old)
    return Word(f"{lead}{shown}{tail}", old[0].start, old[-1].end,
                round(min(max(word.probability for word in old), confidence), 3), raw, f"{rule} {confidence:.2f}")


def breaks(word: Word) -> bool:
    """True where a sentence or clause ends after the word."""
    return word.text.rstrip().endswith((".", "?", "!", ";", ":"))
