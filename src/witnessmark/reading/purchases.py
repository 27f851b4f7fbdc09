"""Purchases: what was bought, ordered, priced, returned, received, or is still to buy.

In: a passage with its acts, its times, the tracker of what is talked about, and the memory of earlier sessions.
Out: one `Purchase` for each thing, amounts for the whole line. Never: a thing used, given or borrowed, and never
"bought" for what was only priced or planned.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Protocol

from spacy.tokens import Span

from witnessmark.model import Act, Purchase
from witnessmark.reading.amounts import Amount, Count, Thing, amount_of
from witnessmark.reading.goods import Goods, Mention, kind_of, words
from witnessmark.reading.memory import Memory
from witnessmark.reading.money import find_money
from witnessmark.reading.money_said import words as money_words
from witnessmark.reading.money_words import find_figures
from witnessmark.reading.purchase_lines import Line, find_lines
from witnessmark.reading.purchase_words import says
from witnessmark.reading.services import service_of
from witnessmark.reading.text import Passage
from witnessmark.reading.utterances import utterances
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular

CONFIDENT, LIKELY, GUESS = 0.9, 0.75, 0.5
NOT_OURS = "not-ours"  # of things sold, and of what others buy for themselves
NO_SUM_NEEDED = frozenset({"bought", "ordered", "planned", "returned", "received"})
PRESENT_PRICE = frozenset(
    {"is", "are", "'s", "'re", "runs", "run", "costs", "cost", "goes", "retails", "wants", "want", "sells"}
)
DEFINITE_WITHIN = 5  # tokens from a verb on in which "the ten pack" stands
PACK_OF = {"dozen": 12, "hundred": 100}
COUNT_WORDS = {"both": 2.0, "pair": 2.0, "dozen": 12.0}


class Spanned(Protocol):
    """Anything that stands at tokens `start` up to, not including, `end`."""

    @property
    def start(self) -> int: ...
    @property
    def end(self) -> int: ...


def survey(passage: Passage, lexicon: Lexicon, times: Iterable[Spanned] = (), heard: bool = False) -> Goods:
    """The things and sums of a passage, found once for the purchases and the open items."""
    return Goods(passage, lexicon, find_money(passage, times, heard))


def find_purchases(
    passage: Passage,
    lexicon: Lexicon,
    times: Iterable[Spanned] = (),
    acts: Sequence[Act] = (),
    memory: Memory | None = None,
    heard: bool = False,
    goods: Goods | None = None,
) -> tuple[Purchase, ...]:
    """The purchases of a passage, in the order told.

    `heard` tells that the words are a recogniser's; `goods` is the passage's `survey`, where it was made before.
    """
    goods = goods or survey(passage, lexicon, times, heard)
    lines = find_lines(passage, goods, goods.sums)
    reader = _Settler(passage, lexicon, goods, acts, memory or Memory(), lines)
    return tuple(purchase for at in range(len(lines)) if (purchase := reader.purchase(at)))


class _Settler:
    """Settles each line: whether it is a purchase, of what, in which status, for how much."""

    def __init__(
        self,
        passage: Passage,
        lexicon: Lexicon,
        goods: Goods,
        acts: Sequence[Act],
        memory: Memory,
        lines: tuple[Line, ...],
    ) -> None:
        self.passage, self.lexicon, self.goods, self.acts = passage, lexicon, goods, acts
        self.memory, self.lines, self.doc = memory, lines, passage.doc
        self.sentences = utterances(passage)
        self.figures = find_figures(passage.doc)
        self.money = {token for one in goods.sums if one.sure for token in range(one.start, one.end)}

    def purchase(self, at: int) -> Purchase | None:
        """The record of one line, or None where it tells of no purchase."""
        line = self.lines[at]
        if line.status == NOT_OURS:
            return None
        zone, after = self._zone(at)
        named = self._named(line, zone, after) if self._is_told_of(line, zone) else None
        if named is None:
            return None
        item, category, status, why = named
        if not status or (not line.sums and status not in NO_SUM_NEEDED) or self._is_free(line, zone):
            return None
        amount = amount_of(line.sums, self._counts(line, zone), self._thing(item, category, line), self._at_price(line))
        return self._record(line, item, category, status, amount, (*line.rules, why, *amount.rules), zone)

    def _named(self, line: Line, zone: Span, after: Span) -> tuple[str, str, str, str] | None:
        """What a line is of: the item, its category, its status, and what decided; None where nothing is named."""
        service = service_of(line, self.passage, self.acts, self.goods, (zone, self._before(line)))
        if service:
            return service.name, service.category, self._service_status(service.status, zone, after), service.rule
        if line.mention is None:
            return None
        status, why = self._status(line, zone, after)
        planned = self._planned_before(line)
        if planned:
            return planned.item, planned.category, status, "planned-in-an-earlier-session"
        return line.mention.name, self._category(line.mention), status, why

    def _service_status(self, status: str, zone: Span, after: Span) -> str:
        """A quote that was taken, in the same words or right after, is an order; one that was refused is none."""
        if status in ("planned", "considered") and (says("accepted", zone) or says("accepted", after)):
            return "ordered"
        return "considered" if status in ("planned", "bought") and says("rejected", zone) else status

    def _planned_before(self, line: Line) -> Purchase | None:
        """ "I bought the ten pack": the ten that an earlier session planned to buy, where no thing is named."""
        if not line.stood_for or line.status not in ("bought", "ordered"):
            return None
        told = self.doc[line.token : line.token + DEFINITE_WITHIN]
        if not any(token.lower_ == "the" for token in told):
            return None
        counts = {figure.value for figure in self.figures if told.start <= figure.start < told.end}
        counts |= {float(value) for token, value in PACK_OF.items() if token in {word.lower_ for word in told}}
        return next(
            (
                purchase
                for purchase in reversed(self.memory.purchases)
                if purchase.status == "planned" and purchase.quantity in counts
            ),
            None,
        )

    def _record(
        self, line: Line, item: str, category: str, status: str, amount: Amount, rules: tuple[str, ...], zone: Span
    ) -> Purchase:
        cue_number = self.passage.cue_of(self.doc[line.token])
        cue = self.passage.cues[cue_number]
        return Purchase(
            cue=cue_number,
            start=cue.start,
            end=cue.end,
            quote=cue.text,
            item=item,
            category=category,
            status=status,
            amount_low=amount.low,
            amount_high=amount.high,
            quantity=amount.quantity,
            vendor=self._vendor(zone),
            assembly=self._assembly(line, zone),
            confidence=self._confidence(line, amount),
            rules=tuple(rule for rule in dict.fromkeys(rules) if rule),
            doubts=amount.doubts,
        )

    # -- status

    def _status(self, line: Line, zone: Span, after: Span) -> tuple[str, str]:
        """The status of goods by their verb, by what is said right after, by the price alone; and what decided."""
        status = line.status
        last = line.sums[-1] if line.sums else None
        if status in ("priced", "considered") and last and last.spent and not says("rejected", self.doc[last.end : zone.end]):
            return "bought", "paid"
        listed = "listed-with" in line.rules
        if listed and any(one.rule == "range" for one in line.sums):
            return "considered", "price-range"
        if status in ("priced", "bought", "considered") and (says("rejected", zone) or self._rejects(after)):
            verb = not listed and any(rule in ("verb:buy", "verb:pay") for rule in line.rules)
            if not (verb and status == "bought"):
                return "considered", "rejected"
        heading = next((rule.split(":")[1] for rule in line.rules if rule.startswith("under-heading")), None)
        if status != "priced":
            return status, ""
        if says("on_list", zone):
            return "planned", "on-list"
        if any(one.rule == "range" for one in line.sums):
            return "considered", "price-range"
        if says("hypothetical", self.doc[zone.start : line.sums[0].start]) or self._has_present_price(line):
            return "considered", "price-in-the-present"
        if any(rule.startswith("verb:cost") for rule in line.rules) and not self._cost_me(line):
            return "considered", "price-asked"
        return heading or "bought", "price-told"

    def _rejects(self, after: Span) -> bool:
        """True where the sentence after a line says that it was not bought, and tells of nothing else."""
        other = any(token.i in self.money for token in after) or bool(self.goods.terms_between(after.start, after.end))
        return not other and says("rejected", after)

    def _has_present_price(self, line: Line) -> bool:
        """ "A new one is four hundred" prices a thing, it does not buy it."""
        start = line.mention.end if line.mention and line.mention.end <= line.sums[0].start else line.sums[0].start - 3
        between = self.doc[max(start, 0) : line.sums[0].start]
        if any(token.lower_ in ("me", "us") for token in between):
            return False
        return any(token.lower_ in PRESENT_PRICE for token in between) and not any(token.is_punct for token in between)

    def _cost_me(self, line: Line) -> bool:
        """ "Cost me ninety", "ran us ninety": paid; "they wanted ninety" is only a price."""
        return (
            any(token.lower_ in ("me", "us") for token in self.doc[line.token : line.token + 3])
            or self.doc[line.token].lower_ == "cost"
        )

    def _is_free(self, line: Line, zone: Span) -> bool:
        return (
            not line.sums and line.status not in ("received", "ordered", "planned", "returned") and says("free", zone)
        )

    def _ordered_before(self, line: Line) -> bool:
        """True where an earlier session told of work ordered on this thing, or of its order."""
        name = line.mention.name.split()[-1] if line.mention else ""
        return any(name in purchase.item.split() and purchase.status == "ordered" for purchase in self.memory.purchases)

    def _is_told_of(self, line: Line, zone: Span) -> bool:
        """True where what an everyday verb needs to be a purchase is there."""
        if line.status == "received" and "verb:back-from" in line.rules and not line.sums:
            return self._ordered_before(line)
        if "refund" in line.needs:
            return bool(line.sums) or says("refund", zone)
        if "verb:get" in line.rules and line.needs and line.sums and not any(one.sure for one in line.sums):
            first = line.sums[0].start
            if first <= line.token + 1:
                return False  # "I've got six hundred on the clock"
        if "list" in line.needs and line.mention and not says("shopping_list", zone):
            return self._category(line.mention) not in ("part", "service")
        if line.needs & {"known", "way"}:
            return line.mention is not None and (line.mention.term is not None or "verb:need-to-get" in line.rules)
        return "money" not in line.needs or bool(line.sums) or self._other_need(line, zone)

    def _other_need(self, line: Line, zone: Span) -> bool:
        """An everyday verb without a sum is a purchase where a seller is named, or goods by their measure."""
        if line.mention is None or line.mention.term is None:
            return False
        seller = "seller" in line.needs and self._vendor(zone) is not None
        unit = (
            "unit" in line.needs
            and line.mention.start < line.mention.head
            and self.goods.is_unit(self.doc[line.mention.start])
        )
        return seller or unit

    # -- amounts

    def _thing(self, item: str, category: str, line: Line) -> Thing:
        unit = ""
        if line.mention:
            near = self.doc[max(line.mention.start - 1, 0) : line.mention.end + 4]
            unit = next((singular(token.lower_) for token in near if self.goods.is_unit(token)), "")
        return Thing(item, category, unit)

    def _at_price(self, line: Line) -> bool:
        if not line.sums:
            return False
        start = line.sums[0].start
        return start > 0 and self.doc[start - 1].lower_ == "at"

    def _counts(self, line: Line, zone: Span) -> tuple[Count, ...]:
        """The counts told of a thing: before its name first, then those of its sentences that count nothing else."""
        counts = []
        if line.mention and line.mention.quantity and not line.stood_for:
            counts.append(Count(line.mention.quantity, self._unit_at(line.mention.start)))
        for figure in self.figures:
            named = line.mention and line.mention.start <= figure.start < line.mention.end
            priced = figure.start > 0 and self.doc[figure.start - 1].lower_ in ("at", "for")
            whole = priced or (line.sums and line.sums[0].per)
            summed = any(one.start <= figure.start < one.end for one in (line.sums if whole else line.sums[1:]))
            numbered = summed or (figure.start > 0 and self.doc[figure.start - 1].lower_ in money_words("numbered"))
            if (
                zone.start <= figure.start < zone.end
                and figure.start not in self.money
                and not figure.cents
                and not named
                and not numbered
            ):
                unit = self._unit_at(figure.end)
                if unit is not None and self._counts_the_line(figure.end, unit):
                    counts.append(Count(figure.value, unit))
        for token in zone:
            if token.lower_ in COUNT_WORDS and not self.goods.mention(token):
                counts.append(Count(COUNT_WORDS[token.lower_]))
        return tuple(dict.fromkeys(counts))

    def _unit_at(self, at: int) -> str:
        if at < len(self.doc) and self.goods.is_unit(self.doc[at]):
            return singular(self.doc[at].lower_)
        return ""

    def _counts_the_line(self, after: int, unit: str) -> bool:
        """True where a figure counts pieces: before a unit, "of them", or nothing at all; not before another noun."""
        if unit or after >= len(self.doc):
            return True
        token = self.doc[after]
        return (
            token.is_punct
            or token.lower_ in ("of", "at", "more", "for", "and", "because")
            or token.pos_ in ("VERB", "AUX")
        )

    # -- who, where, how sure

    def _vendor(self, zone: Span) -> str | None:
        """The seller as said: the phrase after "from" or "at" that names a place or person who sells, or a name."""
        for token in zone:
            if token.lower_ not in ("from", "at", "off", "in", "by") or token.i + 1 >= len(self.doc):
                continue
            phrase = self._phrase(token.i + 1)
            if phrase is None or phrase[0].i in self.money:
                continue
            last = phrase[-1].lower_
            if token.lower_ in ("in", "by") and singular(last) not in words("shops"):
                continue
            if singular(last) in words("sellers") or all(
                word.pos_ == "PROPN" and word.ent_type_ not in ("DATE", "TIME") for word in phrase
            ):
                return phrase.text
        return None

    def _phrase(self, at: int) -> Span | None:
        start = at
        while start < len(self.doc) and self.doc[start].pos_ in ("DET", "PRON"):
            start += 1
        end = start
        while (
            end < len(self.doc)
            and self.doc[end].pos_ in ("NOUN", "PROPN", "ADJ")
            and self.doc[end].lower_ not in ("last", "next")
        ):
            end += 1
        return self.doc[start:end] if end > start else None

    def _category(self, mention: Mention) -> str:
        word = mention.name.split()[-1]
        known = self.lexicon.category(mention.term) if mention.term else None
        last = self.lexicon.category(word)
        if "hardware" in (last, kind_of(word)):
            return "hardware"
        named = known or self.lexicon.category(mention.name) or last
        whole = mention.term is not None and " " in mention.term.id  # the vocabulary knows the whole name
        return kind_of(word) or "part" if named is None or (named == "part" and not whole) else named

    def _assembly(self, line: Line, zone: Span) -> str | None:
        if line.mention and line.mention.term and line.mention.term.assembly:
            return line.mention.term.assembly
        told_for = [mention for mention in self.goods.terms_between(zone.start, zone.end) if self._is_told_for(mention)]
        return next((mention.term.assembly for mention in told_for if mention.term and mention.term.assembly), None)

    def _is_told_for(self, mention: Mention) -> bool:
        """ "Two quarts for the rudder spar": what a thing is bought for."""
        return any(token.lower_ == "for" for token in self.doc[max(mention.start - 3, 0) : mention.start])

    def _confidence(self, line: Line, amount: Amount) -> float:
        known = line.mention is not None and line.mention.term is not None
        if line.status == "priced" or not known:
            return GUESS if line.status == "priced" and not known else LIKELY
        return LIKELY if amount.doubts or any(not one.sure for one in line.sums) else CONFIDENT

    def _zone(self, at: int) -> tuple[Span, Span]:
        """The stretch that tells of a line, up to the next line, and the rest up to the end of the next sentence."""
        line = self.lines[at]
        first = self.sentences[line.sentences[0]]
        last = self.sentences[line.sentences[1]]
        start = self._line_start(at, first)
        end = self._next_start(at, last.end)
        following = min(line.sentences[1] + 1, len(self.sentences) - 1)
        whole = self.sentences[following].end
        after_end = whole if self._next_start(at, whole) == whole else end  # a line that begins there is told there
        return self.doc[start : max(end, line.end)], self.doc[max(end, line.end) : max(after_end, end, line.end)]

    def _before(self, line: Line) -> Span:
        """The two sentences before a line."""
        first = self.sentences[line.sentences[0]]
        return self.doc[self.sentences[max(line.sentences[0] - 2, 0)].start : first.start]

    def _line_start(self, at: int, first: Span) -> int:
        line = self.lines[at]
        place = min([line.token, *([line.mention.start] if line.mention else []), *(one.start for one in line.sums)])
        earlier = [other for other in self.lines[:at] if other.sentences[1] == line.sentences[0]]
        return max([first.start, *(min(other.end, place) for other in earlier)])

    def _next_start(self, at: int, limit: int) -> int:
        line = self.lines[at]
        starts = [
            min(other.token, other.mention.start if other.mention and other.mention.start > line.token else other.token)
            for other in self.lines[at + 1 :]
        ]
        later = [start for start in starts if start > line.token]
        return min([limit, *later])
