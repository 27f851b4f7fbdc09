"""Sums that belong together: ranges, corrections, and figures said again.

In: the sums of a text in order. Out: the same with "ten or eleven bucks" as one range, "thirty, no, thirty-six" as the
second, "sixty, six-zero" as one sum that is sure.
"""

from __future__ import annotations

import re
from dataclasses import replace

from spacy.tokens import Doc

from witnessmark.reading.money_said import CLOCK, Said, words

MAKE_THAT = re.compile(r"\b(?:make that|i mean|or rather|scratch that|strike that|i tell a lie)\b")
RANGE_WORDS = frozenset({"to", "or", "and", "through"})
UNMARKED = frozenset({"bare-figure", "price-verb", "price-preposition"})  # no word of the sum itself says money
LONGEST_LINK = 7  # tokens between a sum and its correction or confirmation
WIDEST_RANGE = 4.0  # a range of prices goes up to at most this many times its lower end
LATEST_CLOCK = 24  # a bare range up to here may be clock times
CLOSE_RANGE = 1.6  # two sums side by side are a range where the second is at most this much more


def merge(said: list[Said], doc: Doc) -> list[Said]:
    """Ranges, corrections and confirmations resolved, from left to right."""
    kept: list[Said] = []
    for one in said:
        if any(one.start < other.end and other.start < one.end for other in kept):
            continue
        if _is_denied(one, doc):
            kept = [*kept[:-1], replace(kept[-1], confirmed=True)] if kept and one.start - kept[-1].end <= 3 else kept
            continue
        joined = _join(kept[-1], one, doc) if kept else None
        if joined:
            kept[-1] = joined
        else:
            kept.append(one)
    return [one for one in kept if one.rule != CLOCK and (not one.figure.spelled or one.sure or one.confirmed)]


def _is_denied(said: Said, doc: Doc) -> bool:
    """ "Not fourteen, forty-eight": the figure after "not" is what was not said."""
    return (
        said.start > 0
        and doc[said.start - 1].lower_ == "not"
        and doc[said.end : said.end + 1].text.lower() != "including"
    )


def _join(first: Said, second: Said, doc: Doc) -> Said | None:
    """Two neighbouring sums as one, or None where they are two."""
    between = doc[first.end : second.start]
    if len(between) > LONGEST_LINK:
        return None
    between_words = [token.lower_ for token in between if token.lower_ not in words("hedges")]
    spoken = [word for word in between_words if word.isalpha() or word == "'s"]
    if _says_again(first, second):
        return None if CLOCK in (first.rule, second.rule) else _confirm(first, second)
    if spoken and spoken[0] in RANGE_WORDS and len(spoken) == 1 and "," not in between_words:
        return _range(first, second, spoken[0], doc)
    if spoken in (["of", "the"], ["of", "that"], ["out", "of"], ["out", "of", "the"]) and second.low > first.low:
        return replace(first, end=second.end, sure=first.sure or second.sure, confirmed=True)  # "eighty of the ninety"
    dots = {"...", "…"} & set(between_words)
    if dots or words("corrections") & set(spoken) or MAKE_THAT.search(" ".join(spoken)):
        return (
            replace(
                second, sure=True, confirmed=True, rule="corrected-sum", start=first.start, per=second.per or first.per
            )
            if first.sure or second.sure
            else None
        )
    if not spoken and between_words == [","] and first.rule in UNMARKED and second.rule not in UNMARKED:
        return _range(first, second, ",", doc)
    if not spoken and not first.sure and second.sure and "." in between_words:
        return replace(second, confirmed=True)
    return None


def _says_again(first: Said, second: Said) -> bool:
    """ "Sixty, six-zero"; "a hundred forty. Forty, four zero"; "two thirty, two hundred thirty that is"."""
    value = second.figure.value if second.rule != "cents" else second.low
    readings = {first.low, first.high} | set(first.other or ())
    if value in readings or (second.other and set(second.other) & readings):
        return second.figure.spelled or value in readings
    if second.sure and not second.figure.spelled:
        return False
    parts = {reading % 100 for reading in readings} | {float(int(reading)) for reading in readings}
    parts |= {round(reading % 1 * 100, 2) for reading in readings}
    return value in parts and value > 0


def _confirm(first: Said, second: Said) -> Said:
    """The first sum, said again; the second may choose between its readings and bring the currency word."""
    if first.other and second.low in first.other:
        first = replace(first, low=second.low, high=second.high, other=None)
    elif first.other and second.low == first.low and (second.sure or second.figure.spelled) and second.other is None:
        first = replace(first, other=None)
    if second.sure and not first.sure:
        return replace(second, start=first.start, confirmed=True, per=second.per or first.per)
    return replace(
        first,
        end=max(first.end, second.end),
        confirmed=True,
        sure=first.sure or second.sure or second.figure.spelled,
        per=first.per or second.per,
    )


def _range(first: Said, second: Said, link: str, doc: Doc) -> Said | None:
    """ "Ten or eleven bucks", "a hundred sixty to a hundred eighty", "fifteen, sixteen bucks"."""
    between = link == "and" and any(
        doc[i].lower_ in ("between", "anywhere") for i in range(max(first.start - 2, 0), first.start)
    )
    if link == "and" and not between:
        return None
    if first.rule == second.rule == CLOCK:
        return None
    low, high = _closest(first, second)
    if high <= low or high > (CLOSE_RANGE if link == "," else WIDEST_RANGE) * low:
        return None
    either = first.sure or second.sure
    other = None
    if first.other and second.other and not either:
        other = (first.low, second.low) if (low, high) != (first.low, second.low) else (first.other[0], second.other[1])
    sure = either or (link in ("to", "and") and high > LATEST_CLOCK)
    return Said(second.figure, first.start, second.end, low, high, "range", sure, other, per=second.per)


def _closest(first: Said, second: Said) -> tuple[float, float]:
    """The readings of two ends that lie closest, hundreds first; "twelve to fourteen hundred" shares its scale."""
    lows = [first.low, *(first.other or ())[:1]]
    highs = [second.low, *(second.other or ())[:1]]
    if second.figure.scaled and not first.figure.scaled and first.low < 100:
        lows += [first.low * 100, first.low * 1000]
    if second.rule == "cents" and not first.sure:
        lows = [first.low / 100]
    pairs = [(low, high) for low in lows for high in highs if low < high]
    return min(pairs, key=lambda pair: (round(pair[1] / pair[0], 1), -pair[1]), default=(first.low, second.low))
