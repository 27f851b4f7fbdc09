"""Lines of a shopping list put together from talk: which thing, which sums, which verb belong together.

In: a passage with its goods, sums and verbs of buying. Out: `Line` values in the order told, one for each thing.
A thing may be told over several sentences ("I ordered two. They are eighteen apiece."): such sentences add to the
line. Never: a record, an assembly, a date.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from spacy.tokens import Span

from witnessmark.reading.charges import Charge, find_charges
from witnessmark.reading.goods import Goods, Mention
from witnessmark.reading.money import NAMED_MONEY, Money
from witnessmark.reading.purchase_words import MONEY_WITHIN, Trigger, find_triggers, heading, says
from witnessmark.reading.text import Passage
from witnessmark.reading.thing_search import TOLD_ON, Found, ThingSearch
from witnessmark.reading.utterances import utterances

JOINS = frozenset({"and", "plus", "&", ","})
LEDGER_SILENCE = 2  # sentences without a sum after which a heading no longer holds
LEAST_BARE = 100  # a bare figure with no verb and no heading is a price only from here on, or with cents
HEADING_WITHIN = 6  # tokens within which a heading ends with a colon
LEDGER_WITHIN = 14  # tokens between a thing and its bare price under a heading
SUPERSEDES = frozenset({"got-down"})  # rules after which the sums told before no longer hold
LISTED = frozenset({"bought", "ordered", "planned", "received", "returned"})
SAME_AS_GOODS = frozenset({"bought", "ordered", "considered", "planned"})
FRAGMENT_OPENERS = frozenset({"a", "about", "around", "just", "only", "so", "and", "that", "s", "was", "for", "at", "all", "in", "another", "cost"})
LEAST_HIRED = 20  # a bare figure beside somebody hired is his price from here on


@dataclass(frozen=True, slots=True)
class Line:
    """One thing told of: the token that decides, its mention, its status so far, its sums.

    `status` is a purchase status or "priced" (a price without a verb of buying); `sentences` are the first and
    last sentence it was told in, `end` the token after its last word; `stood_for` tells that the thing was not
    named beside the verb or sum.
    """

    token: int
    mention: Mention | None
    status: str
    sums: tuple[Money, ...] = ()
    sentences: tuple[int, int] = (0, 0)
    end: int = 0
    rules: tuple[str, ...] = ()
    needs: frozenset[str] = field(default_factory=frozenset)
    ledger: bool = False
    stood_for: bool = False


def find_lines(passage: Passage, goods: Goods, money: tuple[Money, ...]) -> tuple[Line, ...]:
    """All lines of a passage, priced things and things bought, before their status is settled."""
    lines: list[Line] = []
    ledger: str | None = None
    silent = 0
    sentences = utterances(passage)
    charges = find_charges(sentences, money)
    money = tuple(one for one in money if all(charge.money is not one for charge in charges))
    for number, sentence in enumerate(sentences):
        told = heading(sentence) or _heading_of(sentence)
        about_time = says("work_time", sentence)
        sums = tuple(
            one
            for one in money
            if sentence.start <= one.start < sentence.end
            and (one.rule in NAMED_MONEY or not about_time or (one.sure and bool(find_triggers(sentence))))
        )
        silent = 0 if told or sums else silent + 1
        if told or silent > LEDGER_SILENCE:
            ledger = told if told != "none" else None
        _Reader(goods, sentences, number, sums, ledger, lines).read()
    return _with_charges(lines, charges, sentences)


def _heading_of(sentence: Span) -> str | None:
    """The status that a heading before a colon gives ("Spent today: ..."), None where there is none."""
    colon = next((token.i for token in sentence[:HEADING_WITHIN] if token.text == ":"), None)
    return heading(sentence.doc[sentence.start : colon]) if colon is not None and colon > sentence.start else None


def _with_charges(lines: Sequence[Line], charges: Sequence[Charge], sentences: Sequence[Span]) -> tuple[Line, ...]:
    """The lines with one for each charge, each in the status of the goods told beside it."""
    added = []
    for charge in charges:
        number = next(at for at, span in enumerate(sentences) if span.start <= charge.token < span.end)
        near = [line for line in lines if abs(number - line.sentences[1]) <= 1 and line.status in SAME_AS_GOODS]
        status = near[-1].status if near else "bought"
        mention = Mention(charge.token, charge.token + 1, charge.token, charge.name, None, 1.0)
        end = max(charge.money.end, charge.token + 1)
        added.append(Line(charge.token, mention, status, (charge.money,), (number, number), end, ("charge",)))
    return tuple(sorted([*lines, *added], key=lambda line: line.token))


class _Reader:
    """Reads one sentence into lines, adding to those before where it tells on of the same thing."""

    def __init__(
        self,
        goods: Goods,
        sentences: list[Span],
        number: int,
        sums: tuple[Money, ...],
        ledger: str | None,
        lines: list[Line],
    ) -> None:
        self.doc, self.goods, self.sentence, self.number = goods.doc, goods, sentences[number], number
        self.sums, self.ledger, self.lines, self.sentences = sums, ledger, lines, sentences
        self.first_line = len(lines)
        self.hired = any(goods.is_hired(token) for token in self.sentence if token.pos_ in ("NOUN", "PROPN"))
        self.things = ThingSearch(goods, sentences[max(number - TOLD_ON, 0) : number + 1], sums, self._last_thing)

    def read(self) -> None:
        """Verbs and sums in the order in which they stand."""
        events: list[tuple[int, Trigger | Money]] = [
            (trigger.token, trigger) for trigger in find_triggers(self.sentence) if not self._is_in_heading(trigger)
        ]
        events += [(one.start, one) for one in self.sums]
        for _, event in sorted(events, key=lambda pair: pair[0]):
            if isinstance(event, Trigger):
                self._add_trigger(event)
            else:
                self._add_sum(event)

    def _is_in_heading(self, trigger: Trigger) -> bool:
        """ "Spent today: ..." is a heading; its verb governs no thing of its own."""
        colon = next((token.i for token in self.sentence[:HEADING_WITHIN] if token.text == ":"), None)
        return colon is not None and trigger.token < colon and bool(self.sums) and _heading_of(self.sentence) is not None

    def _last_thing(self) -> Mention | None:
        if self.lines and self.number - self.lines[-1].sentences[1] <= TOLD_ON:
            return self.lines[-1].mention
        return None

    # -- verbs of buying

    def _add_trigger(self, trigger: Trigger) -> None:
        if not self._has_sum(trigger) or (trigger.standing == "past-perfect" and len(self.lines) > self.first_line):
            return
        found = self.things.of_trigger(trigger)
        if not self._is_thing(trigger, found):
            return
        mention = found.mention
        end = max(trigger.token, trigger.particle or 0, mention.end - 1 if mention else 0) + 1
        rules = (f"verb:{trigger.rule.rule}", *((f"standing:{trigger.standing}",) if trigger.standing else ()))
        if self._is_price_of_other(trigger, found) and not self.things.opening:
            mention = None
        line = Line(
            trigger.token,
            mention,
            trigger.status,
            (),
            (self.number, self.number),
            end,
            rules,
            trigger.rule.needs,
            stood_for=found.pronoun,
        )
        earlier = None if found.another or self._is_price_of_other(trigger, found) else self._same_thing(found)
        merged = self._merge(earlier, line, trigger) if earlier is not None else None
        if merged and earlier is not None:
            self.lines[earlier] = merged
        else:
            self.lines.append(line)
        if mention is not None and not found.pronoun and (mention.start > trigger.token or not self.sums):
            self._add_listed(line, mention)

    def _merge(self, earlier: int, line: Line, trigger: Trigger) -> Line | None:
        """The line before with what this verb tells of the same thing, None where it is another event."""
        told = self.lines[earlier]
        taken = (told.status, line.status) == ("considered", "bought") and not self.sums
        if trigger.rule.rule in SUPERSEDES or taken:
            sums = told.sums if taken else ()
            return replace(told, status=line.status, token=line.token, sums=sums, rules=(*told.rules, *line.rules))
        return _merged(told, line)

    def _add_listed(self, line: Line, first: Mention) -> None:
        """ "I ordered the pulleys, the cables and a bag of shackles": the things listed behind the first are lines too."""
        last = first
        while line.status in LISTED and (following := self.things.listed_after(last)) is not None:
            rules = (*line.rules, "listed")
            self.lines.append(replace(line, mention=following, end=following.end, rules=rules, stood_for=False))
            last = following

    def _is_price_of_other(self, trigger: Trigger, found: Found) -> bool:
        """What a painter wants is no price of the thing told before him."""
        return trigger.rule.rule in ("cost", "quote", "charge") and found.pronoun and self.hired

    def _has_sum(self, trigger: Trigger) -> bool:
        """A verb of everyday talk tells of money only with a sum near it, or where it tells on of a priced thing."""
        if "money" not in trigger.rule.needs or "seller" in trigger.rule.needs or "unit" in trigger.rule.needs:
            return True
        if trigger.rule.rule == "cost":
            return any(
                0 < one.start - trigger.token <= MONEY_WITHIN and (one.sure or one.other or one.low >= LEAST_HIRED)
                for one in self.sums
            )
        return bool(self.sums) or self._last_is_priced()

    def _last_is_priced(self) -> bool:
        return bool(self.lines) and self.lines[-1].status == "priced" and self.number - self.lines[-1].sentences[1] <= 1

    def _is_thing(self, trigger: Trigger, found: Found) -> bool:
        if trigger.status == "received":
            return found.mention is not None and (
                found.mention.term is not None
                or self.goods.is_unit(self.doc[found.mention.head])
                or (not found.pronoun and self.goods.is_plain(found.mention))
            )
        return found.mention is not None or (bool(self.sums) and bool(trigger.rule.needs))

    def _same_thing(self, found: Found) -> int | None:
        """The line that told of this thing already, not more than two sentences ago."""
        if found.mention is None:
            return None
        for at in range(len(self.lines) - 1, -1, -1):
            line = self.lines[at]
            if self.number - line.sentences[1] > TOLD_ON:
                return None
            if line.mention and (
                line.mention.head == found.mention.head
                or (not found.pronoun and _last_word(line.mention) == _last_word(found.mention))
            ):
                return at
        return None

    # -- sums

    def _add_sum(self, one: Money) -> None:
        if self._counts_before_a_price(one):
            return
        at = self._owner(one)
        if at is not None:
            line = self.lines[at]
            self.lines[at] = replace(
                line, sums=(*line.sums, one), sentences=(line.sentences[0], self.number), end=max(line.end, one.end)
            )
            return
        mention = self.things.of_sum(one)
        stood_for = mention is None
        if mention is None and (one.sure or self.hired or self._is_copula_price(one)):
            mention = self.things.stood_for(one.start)
        if not self._is_price(mention, one, stood_for):
            return
        if self._names_the_delivery(mention, one):
            last = self.lines[-1]
            self.lines[-1] = replace(
                last, mention=mention, sums=(one,), sentences=(last.sentences[0], self.number), end=one.end
            )
            return
        status, rules = self._without_verb(mention)
        self.lines.append(
            Line(
                one.start,
                mention,
                status,
                (one,),
                (self.number, self.number),
                one.end,
                rules,
                ledger=self.ledger is not None,
                stood_for=stood_for,
            )
        )

    def _counts_before_a_price(self, one: Money) -> bool:
        """ "Clamps, ten, thirty-five" under a heading: how many, then how much."""
        follows = any(other.start == one.end + 1 and self.doc[one.end].text == "," for other in self.sums)
        return self.ledger is not None and not one.sure and one.other is None and one.low % 1 == 0 and follows

    def _names_the_delivery(self, mention: Mention | None, one: Money) -> bool:
        """ "The timber turned up. Four planks of spruce, two hundred": the priced fragment names what came."""
        last = self.lines[-1] if self.lines else None
        if (
            last is None
            or last.sums
            or last.status not in ("received", "ordered")
            or self.number - last.sentences[1] > 1
        ):
            return False
        same_kind = (
            last.mention is not None
            and mention is not None
            and last.mention.term is not None
            and mention.term is not None
            and last.mention.term.kind == mention.term.kind == "material"
        )
        return same_kind and not any(token.pos_ == "VERB" for token in self.doc[self.sentence.start : one.start])

    def _without_verb(self, mention: Mention | None) -> tuple[str, tuple[str, ...]]:
        """The status of a priced thing that no verb of buying governs: by the verb it is listed with, the heading."""
        joined = [line for line in self.lines[self.first_line :] if line.status != "priced" and line.mention]
        if joined and mention and self._is_joined(mention):
            return joined[-1].status, (*joined[-1].rules, "listed-with")
        if self.ledger:
            return "priced", (f"under-heading:{self.ledger}",)
        return "priced", ("price-only",)

    def _is_joined(self, mention: Mention) -> bool:
        return any(
            self.doc[i].lower_ in JOINS for i in range(max(mention.start - 4, self.sentence.start), mention.start)
        )

    def _is_price(self, mention: Mention | None, one: Money, stood_for: bool) -> bool:
        """A bare figure is a price only right after a thing it can be the price of, and as prices are said."""
        if one.sure or (self.hired and one.low >= LEAST_HIRED):
            return True
        if stood_for and self._is_copula_price(one):
            return True
        within = LEDGER_WITHIN if self.ledger else MONEY_WITHIN
        if not stood_for and self._is_said_of(mention, one):
            return True
        if mention is None or stood_for or self.goods.is_assembly(mention) or one.start - mention.end > within:
            return False
        listed = len(self.lines) > self.first_line or self._continues_a_list()
        if one.end <= mention.start:
            said = self.doc[one.end].lower_ == "for" or self.ledger is not None or _is_price_like(one)
            return said and mention.term is not None
        if one.rule == "price-preposition" and one.start - mention.end <= 1 and listed:
            return mention.term is not None
        if any(token.pos_ == "VERB" for token in self.doc[mention.end : one.start]):
            return False
        if self._is_joined(mention) and any(line.sums for line in self.lines[self.first_line :]):
            return True
        if self.ledger:
            return True
        return _is_price_like(one) and mention.term is not None

    def _continues_a_list(self) -> bool:
        """True for a stretch that begins with "and" right after another line."""
        return self.sentence[0].lower_ in JOINS and bool(self.lines) and self.number - self.lines[-1].sentences[1] <= 1

    def _is_said_of(self, mention: Mention | None, one: Money) -> bool:
        """ "The tubes were fifty-one", where other sums are told right beside: a price without a word of money."""
        first, last = max(self.number - 1, 0), self.number + 1
        near = any(other.sure and self._sentence_of(other) in range(first, last + 1) for other in self.goods.sums)
        copula = self.doc[max(one.start - 1, self.sentence.start)].lower_ in ("was", "were")
        return near and copula and mention is not None and mention.term is not None

    def _sentence_of(self, one: Money) -> int:
        return next((at for at, span in enumerate(self.sentences) if span.start <= one.start < span.end), 0)

    def _is_copula_price(self, one: Money) -> bool:
        """ "A fresh gallon is ninety-five": a unit's price, where what it holds was named before."""
        before = self.doc[max(one.start - 1, self.sentence.start)]
        units = any(self.goods.is_unit(token) for token in self.doc[self.sentence.start : one.start])
        return before.lower_ in ("is", "are", "'s", "costs") and units and one.low >= LEAST_HIRED

    def _owner(self, one: Money) -> int | None:
        """The line that a sum belongs to: the last of this sentence before it, unless another thing was named since."""
        told_here = [
            at for at, line in enumerate(self.lines) if line.sentences[1] == self.number or at >= self.first_line
        ]
        named = self.things.of_sum(one)
        its_own = [at for at in told_here if named and self._is_of(self.lines[at], named)]
        if its_own:
            return its_own[-1]
        if told_here:
            at = max(told_here, key=lambda index: max(self._from(self.lines[index])))
            line = self.lines[at]
            if (
                named is None
                or named.start <= max(self._from(line))
                or (line.mention and named.head == line.mention.head)
            ):
                return at
            return None if self._opens_line(line, named, one) else at
        if self.things.another_before(one):
            return None
        return self._told_before(one, named)

    @staticmethod
    def _is_of(line: Line, named: Mention) -> bool:
        return line.mention is not None and line.mention.head == named.head

    def _told_before(self, one: Money, named: Mention | None) -> int | None:
        """The last line of the sentences before, where this sentence names no other thing."""
        if not self.lines or self.number - self.lines[-1].sentences[1] > 1:
            return None
        if not (one.sure or self.ledger or self._prices_the_line_before(one)):
            return None
        last = self.lines[-1].mention
        if (self.hired and self.lines[-1].sums) or not self._goes_on(one):
            return None
        if named is not None and (last is None or _last_word(last) != _last_word(named)):
            return None
        return len(self.lines) - 1

    def _prices_the_line_before(self, one: Money) -> bool:
        """ "The cushions came. A hundred and thirty all in.": a fragment that is only a sum, as prices are said."""
        last = self.lines[-1]
        only = not any(token.is_alpha and token.lower_ not in FRAGMENT_OPENERS for token in self.doc[self.sentence.start : one.start])
        return only and not last.sums and last.mention is not None and _is_price_like(one)

    def _goes_on(self, one: Money) -> bool:
        """True where a sum may still tell of a line that has its price: it sums it up, or says it of "it" or "they"."""
        last = self.lines[-1]
        if not last.sums or self.ledger or last.status == "priced":
            return True
        first = self.sentence[0].lower_
        return one.rule != "range" and first in (
            "it",
            "that",
            "they",
            "those",
            "which",
            "so",
            "and",
            "all",
            "plus",
            "not",
        )

    def _opens_line(self, line: Line, mention: Mention, one: Money) -> bool:
        """True where a thing named after a verb of buying has this sum for itself ("and some pliers for seven")."""
        if not line.sums and line.status != "received":
            return any(
                token.lower_ in ("and", "plus", "but")
                for token in self.doc[max(line.token, line.mention.end if line.mention else 0) : mention.start]
            )
        return self._is_joined(mention) or one.start - mention.end <= 3

    def _from(self, line: Line) -> list[int]:
        places = [line.token, *([line.mention.start] if line.mention else [])]
        inside = [place for place in places if self.sentence.start <= place < self.sentence.end]
        return inside or [self.sentence.start]


def _is_price_like(one: Money) -> bool:
    """True for a figure as only prices are said: with cents, with "all in" behind it, or in the hundreds."""
    return one.other is not None or one.low >= LEAST_BARE or one.rule == "sum-closer"


def _last_word(mention: Mention) -> str:
    return mention.name.split()[-1]


def _merged(earlier: Line, later: Line) -> Line | None:
    """Two tellings of one thing as one line, or None where they are two events (received, then returned)."""
    background = "standing:past-perfect" in earlier.rules and not earlier.sums
    if earlier.status in (later.status, "priced") or background:
        status, token = later.status, later.token
    elif later.status == "priced" or (earlier.status == "bought" and later.status == "considered"):
        status, token = earlier.status, earlier.token
    elif (earlier.status, later.status) in (("considered", "ordered"), ("bought", "ordered")):
        status, token = later.status, later.token
    else:
        return None
    needs = earlier.needs if earlier.status != "priced" and not background else later.needs
    return replace(
        earlier,
        status=status,
        token=token,
        end=max(earlier.end, later.end),
        sentences=(earlier.sentences[0], later.sentences[1]),
        rules=(*earlier.rules, *later.rules),
        needs=needs,
        mention=earlier.mention or later.mention,
    )
