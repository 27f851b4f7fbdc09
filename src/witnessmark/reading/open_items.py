"""Open items: what a narration leaves to do, to buy, to put right, or is waiting for.

In: the acts and purchases of a passage, and the passage itself. Out: one `OpenItem` for each thing, at the cue that
says it. Never: advice, a general hope, a plan that the same talk tells fulfilled.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from spacy.tokens import Span, Token

from witnessmark.model import Act, OpenItem, Purchase
from witnessmark.reading.defects import Defect, find_defects, listed, says
from witnessmark.reading.goods import Goods
from witnessmark.reading.leftovers import find_leftovers, find_used_up
from witnessmark.reading.purchases import survey
from witnessmark.reading.services import is_away, is_promised, thing_of
from witnessmark.reading.text import Passage
from witnessmark.reading.utterances import utterances
from witnessmark.reading.waits import is_handed_over, waits
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular

OPEN = ("planned", "not-done")
REMEDY_WITHIN = 2  # cues after a defect in which its planned remedy is told
NEAR = 2  # cues within which the same thing told twice is one
# A thing that goes to somebody for hire, but has not gone yet, is for the builder to send.
STILL_TO_SEND = re.compile(r"\b(?:goes|go|going|send|take|drop|once|when)\b")
SURE, LIKELY = 0.9, 0.7


def find_open_items(
    passage: Passage,
    lexicon: Lexicon,
    acts: Sequence[Act],
    purchases: Sequence[Purchase] = (),
    goods: Goods | None = None,
) -> tuple[OpenItem, ...]:
    """The open items of a passage, in the order of their cues; `goods` is the passage's survey, if made before."""
    return _Finder(passage, goods or survey(passage, lexicon), acts, purchases).find()


class _Finder:
    def __init__(self, passage: Passage, goods: Goods, acts: Sequence[Act], purchases: Sequence[Purchase]) -> None:
        self.passage, self.acts, self.purchases = passage, acts, purchases
        self.goods = goods
        self.stretches = utterances(passage)
        self.items: list[OpenItem] = []
        self.merged: set[int] = set()

    def find(self) -> tuple[OpenItem, ...]:
        for defect in find_defects(self.passage, self.goods, self.acts):
            self._add_defect(defect)
        for act in self.acts:
            if act.status in OPEN and id(act) not in self.merged:
                self._add_act(act)
        for left in find_leftovers(self.passage, self.goods, self.acts):
            self._add("to-do", left.cue, left.part, left.task, rules=(left.rule,), confidence=LIKELY)
        for purchase in self.purchases:
            self._add_purchase(purchase)
        for cue, mention in find_used_up(self.passage, self.goods):
            if not any(_same_part(purchase.item, mention.name) for purchase in self.purchases):
                self._add("to-buy", cue, mention.name, rules=("used-up",), confidence=LIKELY)
        for number in range(len(self.stretches)):
            self._add_promised(number)
        return tuple(sorted(self.items, key=lambda item: item.cue))

    # -- to fix

    def _add_defect(self, defect: Defect) -> None:
        cue = self.passage.cue_of(self.passage.doc[defect.token])
        remedies = [act for act in self.acts if self._is_remedy(act, defect, cue)]
        if any(act.who in ("paid", "maker") and not STILL_TO_SEND.search(self._text(act).lower()) for act in remedies):
            return
        self.merged |= {id(act) for act in remedies}
        first = remedies[0] if remedies else None
        part = defect.part or (first.part if first else None)
        self._add(
            "to-fix",
            cue,
            part,
            task=first.task if first else None,
            assembly=first.assembly if first else None,
            side=first.side if first else None,
            rules=(defect.rule, *(("remedy-planned",) if first else ())),
            confidence=LIKELY,
        )

    def _is_remedy(self, act: Act, defect: Defect, cue: int) -> bool:
        """A planned repair told with or right after a defect, of the same part or of one not named again."""
        if act.status not in OPEN or act.task not in listed("remedies") or not 0 <= act.cue - cue <= REMEDY_WITHIN:
            return False
        if act.part is None or defect.part is None:
            return True
        same = bool(set(_words(act.part)) & set(_words(defect.part)))
        named = _words(act.part)[-1] in {singular(word.lower_) for word in self._cue_tokens(act.cue)}
        return (
            same
            or (not named and act.status == "planned" and act.cue - cue <= 1)
            or (act.cue == cue and named and act.status == "planned" and self._told_after(act, defect))
        )

    def _told_after(self, act: Act, defect: Defect) -> bool:
        """True where a pronoun or "one" stands for the part after the defect was told ("I'll crimp a new one on")."""
        after = [token.lower_ for token in self._cue_tokens(act.cue) if token.i > defect.token]
        return bool({"it", "them", "that", "those", "one", "there"} & set(after))

    # -- to do

    def _add_act(self, act: Act) -> None:
        text = self.passage.cues[act.cue].text
        if (act.status == "planned" and self._is_done_later(act)) or (
            act.status == "not-done" and says("scrapped", text)
        ):
            return
        if act.who == "helper" and any(is_handed_over(stretch) for stretch in self._stretches_of(act.cue)):
            return  # it is with him, and waited for
        if act.who in ("paid", "maker") and (act.status == "not-done" or not STILL_TO_SEND.search(text.lower())):
            rule = (
                "sent-away" if is_away(self._around(act.cue)) else "booked" if is_promised(text) else "on-somebody-else"
            )
            self._add("waiting", act.cue, act.part, act.task, act.assembly, act.side, (rule,))
            return
        self._add(
            "to-do",
            act.cue,
            act.part,
            act.task,
            act.assembly,
            act.side,
            (f"act-{act.status}",),
            confidence=min(act.confidence, SURE),
        )

    def _is_done_later(self, act: Act) -> bool:
        """True where the same talk tells afterwards that the work was done on the same part."""
        return any(
            other.performed
            and other.task == act.task
            and other.cue > act.cue
            and _same_part(other.part, act.part)
            and (other.side == act.side or "both" in (other.side, act.side) or None in (other.side, act.side))
            for other in self.acts
        )

    def _text(self, act: Act) -> str:
        return self.passage.cues[act.cue].text

    def _stretches_of(self, cue: int) -> list[Span]:
        return [stretch for stretch in self.stretches if len(stretch) and self.passage.cue_of(stretch[0]) == cue]

    def _around(self, cue: int) -> str:
        return " ".join(line.text for line in self.passage.cues[max(cue - 1, 0) : cue + 2])

    # -- to buy, and on order

    def _add_purchase(self, purchase: Purchase) -> None:
        if purchase.status == "planned" and purchase.category != "service":
            self._add("to-buy", purchase.cue, purchase.item, assembly=purchase.assembly, rules=("purchase-planned",))
        elif purchase.status == "ordered" and not self._arrived_later(purchase):
            part = purchase.item
            if purchase.category == "service":
                part = thing_of(purchase.item)
            self._add("waiting", purchase.cue, part, assembly=purchase.assembly, rules=("on-order",))

    def _arrived_later(self, purchase: Purchase) -> bool:
        return any(
            other.status == "received" and other.cue > purchase.cue and _same_part(other.item, purchase.item)
            for other in self.purchases
        )

    def _add_promised(self, number: int) -> None:
        """Things away at a shop or promised by somebody, that no act and no purchase told of."""
        stretch = self.stretches[number]
        cue = self.passage.cue_of(stretch[0]) if len(stretch) else 0
        waiting = any(item.kind == "waiting" and abs(item.cue - cue) <= 1 for item in self.items)
        wait = None if waiting or not len(stretch) else waits(stretch, self.stretches[number - 1] if number else None, self.goods)
        if wait is None or wait.thing is None:
            return
        if any(act.cue in (cue, cue + 1) and act.performed and act.who in ("paid", "maker") for act in self.acts):
            return
        if any(
            purchase.cue == cue and purchase.status in ("received", "returned", "planned", "considered", "bought")
            for purchase in self.purchases
        ):
            return
        self._add("waiting", cue, wait.thing.name, rules=(wait.rule,), confidence=LIKELY)

    # -- all kinds

    def _cue_tokens(self, cue: int) -> Iterable[Token]:
        return (token for token in self.passage.doc if self.passage.cue_of(token) == cue)

    def _add(
        self,
        kind: str,
        cue: int,
        part: str | None,
        task: str | None = None,
        assembly: str | None = None,
        side: str | None = None,
        rules: tuple[str, ...] = (),
        confidence: float = SURE,
    ) -> None:
        """Add an item unless the same thing is on the list already."""
        for item in self.items:
            same = (
                item.kind == kind
                and _same_part(item.part, part)
                and item.side == side
                and (kind != "to-do" or item.task == task)
            )
            if same and (kind != "to-do" or abs(item.cue - cue) <= len(self.passage.cues)):
                return
        line = self.passage.cues[cue]
        self.items.append(
            OpenItem(
                cue=cue,
                start=line.start,
                end=line.end,
                quote=line.text,
                kind=kind,
                part=part,
                task=task,
                assembly=assembly,
                side=side,
                rules=rules,
                confidence=confidence,
            )
        )


def _words(name: str) -> list[str]:
    return [singular(word) for word in name.lower().replace("-", " ").split()] or [""]


def _same_part(one: str | None, other: str | None) -> bool:
    """True where two names may be the same thing: one has all the words of the other ("flap rib", "rib")."""
    return (
        one is None
        or other is None
        or (
            _words(one)[-1] == _words(other)[-1]
            and (set(_words(one)) <= set(_words(other)) or set(_words(other)) <= set(_words(one)))
        )
    )
