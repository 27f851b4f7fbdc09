"""Which thing a word of a sentence is about: the object or subject of a verb of buying, the owner of a sum.

In: one sentence with its goods. Out: a `Mention`, and whether only a pronoun, a number or a unit stood for it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from spacy.tokens import Span, Token

from witnessmark.reading.goods import Goods, Mention, kind_of, words
from witnessmark.reading.money import Money
from witnessmark.reading.purchase_words import Trigger
from witnessmark.trade.inflect import singular

SEARCH = 9  # tokens after a verb in which its thing stands
PREPOSITIONS = frozenset(
    [
        "for",
        "of",
        "on",
        "in",
        "from",
        "with",
        "to",
        "at",
        "by",
        "onto",
        "into",
        "behind",
        "around",
        "under",
        "off",
        "than",
        "like",
        "per",
    ]
)
PRONOUNS = frozenset(
    [
        "stuff",
        "bits",
        "it",
        "them",
        "those",
        "these",
        "that",
        "this",
        "they",
        "one",
        "ones",
        "mine",
        "some",
        "both",
        "two",
        "three",
        "any",
    ]
)
OBJECTS = ("dobj", "obj", "nsubjpass")
JOINING = frozenset({",", "and", "plus", "&", ".", ";", "then"})
LIST_WORDS = frozenset({"also", "some", "a", "an", "the", "couple", "few", "another", "new", "or", "my", "two", "three"})
TOLD_ON = 2  # sentences back in which a pronoun's thing may stand


@dataclass(frozen=True, slots=True)
class Found:
    """The thing of a word; `pronoun` where something stood for it; `another` for "a new one", which is a new thing."""

    mention: Mention | None
    pronoun: bool = False
    another: bool = False


class ThingSearch:
    """Answers for the last of some sentences; `last` gives the thing of the line told just before, if any."""

    def __init__(
        self, goods: Goods, sentences: Sequence[Span], sums: tuple[Money, ...], last: Callable[[], Mention | None]
    ) -> None:
        self.doc, self.goods, self.sums, self._last = goods.doc, goods, sums, last
        self.sentence, self._before = sentences[-1], sentences[:-1]
        sentence = self.sentence
        opening = [
            mention for mention in goods.terms_between(sentence.start, sentence.end) if not self.is_governed(mention)
        ]
        self.opening = [
            mention
            for at, mention in enumerate(opening)
            if not (goods.bare_unit(mention) and any(goods.holds(other) for other in opening[:at]))
        ]

    # -- of a verb

    def of_trigger(self, trigger: Trigger) -> Found:
        token, kind = self.doc[trigger.token], trigger.rule.item
        inside = self._in_a_parcel(token) if trigger.status == "received" else None
        if inside:
            return Found(inside)
        if trigger.rule.rule == "on-the-list" and (listed := self._behind_comma(trigger.particle or trigger.token)):
            return Found(listed)
        search = {"object": self._object, "subject": self._subject, "for": self._for, "on": self._on, "after": self._after,
                  "told": lambda *_: None}
        word = search[kind](token, trigger)
        if word is None:
            return Found(self.stood_for(trigger.token), pronoun=True)
        if self.goods.is_unit(word) and self.goods.mention(word) is None:
            supply = self._supply_before(trigger.token)
            if supply:
                return Found(supply, pronoun=True)
        mention = self.goods.mention(word)
        if mention is None and word.lower_ == "number" and word.i > 0:
            mention = self.goods.mention(self.doc[word.i - 1])
        if (
            mention
            and self.goods.bare_unit(mention)
            and any(self.goods.holds(o) for o in self.opening if o.end <= mention.start)
        ):
            return Found(self.stood_for(mention.start), pronoun=True)
        if (
            mention is None
            and kind == "subject"
            and (self.goods.is_person(word) or word.lower_ in ("they", "he", "she"))
        ):
            asked = self._after_for(trigger.token)
            mention = self.goods.mention(asked) if asked is not None else None
        if mention:
            return Found(mention)
        if (
            self._stands_for(word)
            or (kind in ("for", "on") and self.goods.is_person(word))
            or trigger.rule.rule == "cost"
        ):
            another = self._is_another(word)
            return Found(self.stood_for(min(word.i, trigger.token)), pronoun=True, another=another)
        beside = [other for other in self.opening if 0 <= word.i - other.end <= 1]
        return Found(beside[-1] if beside else None)

    def _behind_comma(self, at: int) -> Mention | None:
        """ "So that's on the list, peel ply and cups": what a list is said to hold."""
        if at + 2 >= self.sentence.end or self.doc[at + 1].text not in (",", ":"):
            return None
        word = self._first_nominal(at + 2)
        return self.goods.mention(word) if word is not None else None

    def _in_a_parcel(self, verb: Token) -> Mention | None:
        """ "A box came with the hinges in it", "the parcel comes, and it's the rails": what came is what was in it."""
        subject = next((child for child in verb.children if child.dep_ == "nsubj"), None)
        if subject is None or singular(subject.lower_) not in words("parcels"):
            return None
        return next(iter(self.goods.terms_between(verb.i + 1, self.sentence.end)), None)

    def _stands_for(self, word: Token) -> bool:
        return word.lower_ in PRONOUNS or word.like_num or self.goods.is_unit(word) or self.goods.is_size(word)

    def _is_another(self, word: Token) -> bool:
        """ "A six-inch one", "the new ones", "a used one": another thing of the same name; not "one of those", "it"."""
        if word.lower_ not in ("one", "ones"):
            return False
        return any(child.dep_ in ("amod", "compound", "nmod") for child in word.children) or (
            word.i > 0 and self.doc[word.i - 1].pos_ == "ADJ"
        )

    def _object(self, token: Token, trigger: Trigger) -> Token | None:
        for child in token.children:
            if (
                child.dep_ in OBJECTS
                and child.tag_[0] != "W"
                and not self._in_money(child)
                and child.ent_type_ not in ("DATE", "TIME")
            ):
                return (
                    self._first_nominal(child.i)
                    if child.pos_ not in ("PRON", "NUM", "DET") and child.i > token.i
                    else child
                )
        if token.dep_ == "relcl" and token.head.i < token.i and not self._in_money(token.head):
            return self._topic_over(token.head)
        start = token.i + 1 + (trigger.particle == token.i + 1)
        if start < self.sentence.end and self.doc[start].lower_ in ("for", "at", "from") and (left := self._left(token.i)):
            return left  # "a set of taps I saw for ninety"
        after = self._first_nominal(start)
        return after if after is not None else self._left(token.i)

    def listed_after(self, mention: Mention) -> Mention | None:
        """The thing joined to another by a comma or "and", with nothing but its own words between; no new clause."""
        at = mention.end
        joined = at < self.sentence.end and self.doc[at].lower_ in JOINING - {".", ";"}
        if not joined or (self.doc[at].text == "," and not self._lists_on(at)):
            return None
        while at < self.sentence.end and self.doc[at].lower_ in JOINING | LIST_WORDS:
            at += 1
        start = at
        while at < self.sentence.end and at - start < SEARCH and self._may_name(self.doc[at]):
            found = self.goods.mention(self.doc[at])
            if found and found.start >= mention.end:
                return found if self._is_listed(found, start) else None
            at += 1
        return None

    def _lists_on(self, at: int) -> bool:
        """True where a comma is one of a list: "and" right behind it, or a last "and" before any verb or sum."""
        for i in range(at + 1, self.sentence.end):
            word = self.doc[i]
            if word.lower_ in ("and", "plus", "&"):
                return True
            if (word.pos_ in ("VERB", "AUX", "ADP", "PRON") and word.lower_ != "of") or self._in_money(word):
                return False
        return sum(word.text == "," for word in self.doc[self.sentence.start : self.sentence.end]) > 1 and not self.sums

    def _may_name(self, token: Token) -> bool:
        named = token.pos_ in ("DET", "ADJ", "NUM", "NOUN", "PROPN") or token.lower_ in ("of", "my", "our", "#")
        return (named or token.text in "-‑") and not self._in_money(token)

    def _is_listed(self, mention: Mention, start: int) -> bool:
        """True for goods by their name, which do not begin a clause of their own ("..., and the wing is done")."""
        after = self.doc[mention.end] if mention.end < self.sentence.end else None
        clause = after is not None and (after.pos_ == "AUX" or after.tag_ in ("VBD", "VBZ", "VBP"))
        named = mention.term is not None or kind_of(mention.name.split()[-1]) is not None
        owner = after is not None and (after.tag_ == "POS" or singular(after.lower_) in words("sellers"))
        return named and not clause and not owner and not self.goods.is_assembly(mention) and mention.end - start <= SEARCH

    def _topic_over(self, head: Token) -> Token:
        """ "The rod ends for the hinges I ordered": the rod ends, though the parser hangs the clause on the hinges."""
        mention = self.goods.mention(head)
        if mention and self.is_governed(mention):
            before = [other for other in self.opening if other.end <= mention.start]
            if before:
                return self.doc[before[-1].head]
        return head

    def _subject(self, token: Token, trigger: Trigger) -> Token | None:
        for child in token.children:
            if child.dep_ in ("nsubj", "nsubjpass") and not self._in_money(child) and child.i < token.i:
                return child
        for at in range(token.i - 1, max(self.sentence.start, token.i - 4) - 1, -1):
            word = self.doc[at]
            if word.pos_ in ("NOUN", "PROPN") or word.lower_ in PRONOUNS or word.pos_ == "PRON":
                return word
        return self._left(token.i)

    def _for(self, token: Token, trigger: Trigger) -> Token | None:
        return self._after_for(token.i) or self._left(token.i)

    def _after_for(self, start: int) -> Token | None:
        """The thing that a price is for: "for the casting", "spent it on discs"; not "for mowing"."""
        for at in range(start + 1, self.sentence.end - 1):
            if (
                self.doc[at].lower_ in ("for", "on", "with")
                and not self._in_money(self.doc[at + 1])
                and (self.doc[at].lower_ == "for" or self._in_money(self.doc[at - 1]))
            ):
                work = self.doc[at + 1].tag_ == "VBG" and not self.goods.terms_between(at + 1, at + 3)
                return None if work else self._first_nominal(at + 1)
        return None

    def _on(self, token: Token, trigger: Trigger) -> Token | None:
        for at in range((trigger.particle or token.i) + 1, self.sentence.end):
            if self.doc[at].lower_ in ("on", "for"):
                return self._first_nominal(at + 1)
        return self._left(token.i)

    def _after(self, token: Token, trigger: Trigger) -> Token | None:
        return self._first_nominal((trigger.particle or token.i) + 1)

    def _first_nominal(self, at: int) -> Token | None:
        """The noun or pronoun of the phrase that begins at a token, before anything else begins."""
        for i in range(at, min(at + SEARCH, self.sentence.end)):
            token = self.doc[i]
            if self._in_money(token):
                continue
            term = next(
                (m for m in self.goods.terms_between(i, min(i + 6, self.sentence.end)) if m.start <= i < m.end), None
            )
            if term:
                return self.doc[term.head]
            if token.pos_ in ("NOUN", "PROPN") and token.ent_type_ not in ("DATE", "TIME"):
                if token.dep_ == "amod" and i + 1 < self.sentence.end and self.doc[i + 1].pos_ in ("NOUN", "PROPN"):
                    continue
                return self._end_of_compound(token)
            pointing = token.lower_ in PRONOUNS and not token.like_num and not (
                token.pos_ == "DET"
                and i + 1 < self.sentence.end
                and self.doc[i + 1].pos_ in ("NOUN", "PROPN", "ADJ", "NUM")
            )
            if pointing or self._numbers_pieces(token):
                return token
            if (token.is_punct and token.text not in "-‑'\"") or (token.pos_ in ("VERB", "CCONJ", "SCONJ") and i > at):
                return None
        return None

    def _numbers_pieces(self, token: Token) -> bool:
        """A number that counts nothing named: "I bought three", "ten of them"."""
        after = self.doc[token.i + 1] if token.i + 1 < len(self.doc) else None
        return token.like_num and (
            after is None
            or (after.is_punct and after.text != "-")
            or after.lower_ in ("of", "more", "at", "for")
            or after.pos_ in ("SCONJ", "ADV", "CCONJ", "ADP")
        )

    def _end_of_compound(self, token: Token) -> Token:
        while (
            token.dep_ == "compound"
            and token.i + 1 < self.sentence.end
            and self.doc[token.i + 1].pos_ in ("NOUN", "PROPN")
            and not self._in_money(self.doc[token.i + 1])
        ):
            token = self.doc[token.i + 1]
        return token

    def _left(self, at: int) -> Token | None:
        """The thing told of before a verb in its sentence: the topic ("the hinges I bought")."""
        before = [mention for mention in self.opening if mention.end <= at]
        return self.doc[before[-1].head] if before else None

    def stood_for(self, at: int) -> Mention | None:
        """What a pronoun or a bare number stands for: a thing named before it, the last line's, the topic."""
        before = [mention for mention in self.opening if mention.end <= at]
        if before:
            return before[-1]
        last = self._last()
        if last:
            return last
        for previous in reversed(self._before):
            named = self.goods.terms_between(previous.start, previous.end)
            topics = [mention for mention in named if not self.is_governed(mention)]
            if topics or named:
                return (topics or named)[0]
        return None

    def _supply_before(self, at: int) -> Mention | None:
        """What two tubes, a gallon or five yards may be of: the material or consumable named last."""
        if any(mention.end <= at for mention in self.opening):
            return None
        for stretch in reversed([*self._before, self.doc[self.sentence.start : max(at, self.sentence.start)]]):
            held = [
                mention for mention in self.goods.terms_between(stretch.start, stretch.end) if self.goods.holds(mention)
            ]
            if held:
                return held[-1]
        return None

    # -- of a sum

    def of_sum(self, one: Money) -> Mention | None:
        """The thing nearest before a sum in its sentence, else the thing after "for".

        Where "for" names again what was told before ("tape and filler, ten dollars for the tape"), that one.
        """
        before = [mention for mention in self._named(one.start) if mention.end <= one.start]
        behind = self._behind_for(one)
        if not before and behind is None:
            return self._right_behind(one)
        again = [mention for mention in before if behind and mention.name.split()[-1] == behind.name.split()[-1]]
        if again:
            return again[-1]
        return before[-1] if before else behind

    def _right_behind(self, one: Money) -> Mention | None:
        """ "Twelve dollars, brushes": the thing right behind a sum that opens a stretch, and has no other sum."""
        at = one.end + (one.end < self.sentence.end and self.doc[one.end].lower_ in (",", "of", "on", "worth"))
        for i in range(at, min(at + 4, self.sentence.end)):
            if not self._may_name(self.doc[i]):
                return None
            found = self.goods.mention(self.doc[i])
            if found and found.start >= at:
                sums = [other for other in self.sums if found.end <= other.start <= found.end + 1]
                return found if not sums or self.doc[found.end].text == "." else None
        return None

    def _behind_for(self, one: Money) -> Mention | None:
        for at in range(one.end, min(one.end + 3, self.sentence.end - 1)):
            if self.doc[at].lower_ == "for":
                noun = self._first_nominal(at + 1)
                return self.goods.mention(noun) if noun is not None else None
        return None

    def another_before(self, one: Money) -> bool:
        """True where "a new one", "new ones" stands before a sum: a price of another thing of the same name."""
        return any(self._is_another(token) for token in self.doc[self.sentence.start : one.start])

    def _named(self, until: int) -> list[Mention]:
        """Things named before a token: known ones, else the unknown head of a fragment ("Widgets, two, at ...").

        A stretch of its own after an earlier sum ("..., twelve bucks, and a gallon of spirit, nine") has its own thing.
        """
        since = max([one.end for one in self.sums if one.end <= until and one.end < until - 1], default=0)
        known = [mention for mention in self.opening if mention.end <= until]
        known = [mention for mention in known if not self.goods.is_assembly(mention)] or known
        if known and (known[-1].start >= since or not since):
            return known
        unknown = self._unknown(max(since, self.sentence.start), until, listed=since > 0)
        if unknown:
            return [*known, unknown]
        return known or self._governed_beside(until)

    def _unknown(self, start: int, until: int, listed: bool) -> Mention | None:
        """A thing that the vocabulary does not know, by its place: the head of a fragment, or next on a list."""
        opens = not listed or (start < until and self.doc[start].lower_ in JOINING)
        for token in self.doc[start:until] if opens else ():
            in_place = token.dep_ in ("ROOT", "nsubj", "dobj", "appos", "nsubjpass", "attr") or listed
            if token.pos_ in ("NOUN", "PROPN") and in_place and token.ent_type_ not in ("DATE", "TIME", "PERSON"):
                mention = self.goods.mention(token)
                if mention and not self.is_governed(mention):
                    return mention
        return None

    def _governed_beside(self, until: int) -> list[Mention]:
        """ "Lifted it with two straps, nine the pair": right before a sum even what a preposition governs."""
        beside = self.goods.terms_between(self.sentence.start, until)
        return beside[-1:] if beside and until - beside[-1].end <= 1 else []

    # -- small questions

    def _in_money(self, token: Token) -> bool:
        return any(one.start <= token.i < one.end for one in self.sums)

    def is_governed(self, mention: Mention) -> bool:
        """True where a preposition stands before a thing, so that it tells of another ("paint for the ribs")."""
        at = mention.start - 1
        while (
            at >= 0
            and (
                self.doc[at].pos_ in ("DET", "ADJ", "NUM", "PRON")
                or self.doc[at].text in "-‑"
                or (self.goods.is_unit(self.doc[at]) and self.doc[at + 1].lower_ != "of")
            )
            and self.doc[at].dep_ != "nsubj"
        ):
            at -= 1
        if at < 0 or self.doc[at].lower_ not in PREPOSITIONS or self.doc[at].pos_ not in ("ADP", "SCONJ", "PART"):
            return False
        return not (self.doc[at].lower_ == "of" and at > 0 and self.goods.is_unit(self.doc[at - 1]))
