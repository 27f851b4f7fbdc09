"""Which thing is meant: part, assembly, side and count of every act, from its words or from what was said before.

In: a parsed passage, the trade vocabulary, the memory of earlier sessions. Out: a `Thing` for any token that names
or points at one. Never: whether the work was done, by whom, or when.
"""
from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from spacy.tokens import Span, Token

from witnessmark.reading import reference_words as words
from witnessmark.reading.discourse import Discourse
from witnessmark.reading.memory import Memory
from witnessmark.reading.mentions import Mention, Wanted, without_region
from witnessmark.reading.pointers import clearness
from witnessmark.reading.sides import NOMINAL, side_of
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular

OBJECT_DEPS = ("dobj", "nsubjpass", "obj")
PLACE_WORDS = ("on", "onto", "to", "over", "in", "into", "for", "around", "along", "through", "inside", "of", "from",
               "off", "across", "down", "at")


@dataclass(frozen=True, slots=True)
class Thing:
    """The thing that an act is about. `rules` name what decided; `confidence` (0 to 1) is low where it was guessed."""

    part: str | None
    assembly: str | None
    side: str | None
    count: int | None = None
    confidence: float = 1.0
    rules: tuple[str, ...] = ()


OPENER_SURE = 0.85
BARE_SIDES = frozenset({"the", "left", "right", "lower", "upper", "top", "bottom", "port", "starboard", "front", "rear"})
VAGUE_SURE = 0.6  # a side was said, and not of what


class Tracker:
    """Follows what a narration is about. Built once for a passage; may then be asked about any place of it."""

    def __init__(self, passage: Passage, lexicon: Lexicon, memory: Memory) -> None:
        self._passage, self._lexicon = passage, lexicon
        self._discourse = Discourse(passage, lexicon, memory)

    def resolve(self, head: Token | None, at: Token, task: str | None = None) -> Thing:
        """The thing of an act: `head` is the object (or passive subject) of the work, None where nothing is named;
        `at` is the verb or noun of work, `task` its task id."""
        mention = self._mention_of(head) if head is not None else None
        if mention is None and head is not None:
            mention = self._pointed_at(head)
        opening = _bare_sides(at)
        if opening and (head is None or head.pos_ in ("PRON", "NUM", "ADV", "ADJ")):
            return self._panel(opening, head, at, task)
        if mention is None:
            if task == "weigh" and head is not None and head.lower_ in ("her", "him", "us"):
                return Thing("airplane", None, None, None, 0.7, ("part-weighed",))
            return self._unnamed(at, task)
        if task == "weigh" and (mention.part is None or "part-by-pointer" in mention.rules):
            return Thing("airplane", None, None, mention.count, 0.7, ("part-weighed",))
        drawn = task == "layout" and mention.head_word == "line"
        if mention.head_word in words.FASTENERS and task not in words.FASTENING and mention.part:
            return self._thing(self._attached(mention, at))
        put_on = mention.kind == "coating" or self._is_covering(mention, task) or self._is_put_on(mention, task)
        if put_on or drawn or mention.kind == "feature":
            return self._target(mention, at, task)
        if mention.part is None:
            return self._unnamed(at, task)
        if task == "drill-out" and mention.head_word != "rivet" and (
                "part-by-pointer" in mention.rules or mention.kind == "supply"):
            return self._thing(mention, part="rivet", rule="part-drilled-out")
        return self._thing(self._attached(self._instead_of_tool(mention, at), at))

    def _panel(self, opening: frozenset[str], head: Token | None, at: Token, task: str | None) -> Thing:
        """ "Lower right I covered in June": the lower wing of a biplane that earlier sessions spoke of; else unsure."""
        height = "upper" if opening & {"upper", "top"} else "lower" if opening & {"lower", "bottom"} else None
        side = "left" if opening & {"left", "port"} else "right" if opening & {"right", "starboard"} else None
        if height and side and self._discourse.is_own_name(f"{height} wing"):
            return Thing(f"{height} wing", "wing", side, None, OPENER_SURE, ("part-in-focus", "side-said"))
        mention = self._mention_of(head) if head is not None else None
        found = self._thing(mention) if mention is not None and mention.part else self._unnamed(at, task)
        return replace(found, confidence=min(found.confidence, VAGUE_SURE)) if height and side else found

    def assembly_at(self, token: Token) -> str | None:
        """The assembly under discussion at a token."""
        return self._discourse.topic_at(token.i).assembly

    def side_at(self, token: Token) -> str | None:
        """The side under discussion at a token."""
        return self._discourse.topic_at(token.i).side

    def thing_named(self, span: Span) -> Thing | None:
        """The thing that a span of text names, None if it names none."""
        for token in reversed(list(span)):
            mention = self._discourse.mentions.get(token.i)
            if mention is not None and mention.part:
                return self._thing(mention)
        return None

    # --- steps ---------------------------------------------------------------------------------------------

    def _mention_of(self, head: Token) -> Mention | None:
        """The mention whose phrase covers the token."""
        exact = self._discourse.mentions.get(head.i)
        if exact is not None:
            return exact
        for phrase in self._discourse.phrases.values():
            if phrase.start <= head.i < phrase.end:
                return self._discourse.mentions[phrase.head]
        return None

    def _pointed_at(self, head: Token) -> Mention | None:
        """For a head that is no phrase of its own: a pronoun that the parser took for another word, or "end to end"."""
        if head.lower_ in words.SINGULAR_PRONOUNS | words.PLURAL_PRONOUNS:
            return self._discourse.antecedent(head.i, Wanted(plural=head.lower_ in words.PLURAL_PRONOUNS))
        named = (self._discourse.mentions.get(child.i) for child in head.lefts)
        return next((found for found in named if found is not None and found.part), None)

    def _instead_of_tool(self, mention: Mention, at: Token) -> Mention:
        """"Trimmed all four, shears and file": the tool is no object, where something stands between."""
        if mention.kind != "tool":
            return mention
        between = (self._discourse.mentions.get(i) for i in range(at.i + 1, mention.at))
        return next((found for found in between if found is not None and found.part and found.kind == "thing"), mention)

    def _is_covering(self, mention: Mention, task: str | None) -> bool:
        return task in ("cover", "bond") and mention.head_word in ("fabric", "cloth", "tape", "envelope")

    def _is_put_on(self, mention: Mention, task: str | None) -> bool:
        word = singular(self._passage.doc[mention.at].lower_)
        bare = mention.part is None or len(mention.part.split()) == 1 or mention.part in ("safety wire", "lock wire")
        return bare and task in words.FASTENER_TASKS and word in words.FASTENER_TASKS[task]

    def _target(self, mention: Mention, at: Token, task: str | None) -> Thing:
        """What coats, holes or rivets are put on or made in."""
        word = singular(self._passage.doc[mention.at].lower_)
        if mention.kind == "coating" and task not in words.COATING_TASKS and task != "drill-out":
            return self._thing(mention)
        place = self._place(mention, at) or self._region_covered(mention, task)
        if place is not None:
            if task == "drill-out" and place.part:
                return self._thing(mention, part=f"{place.part} {word}", side=place.side, assembly=place.assembly)
            return self._thing(place, count=mention.count, rule=f"part-by-{mention.kind}")
        if task == "drill-out":
            return self._thing(mention, part=word)
        if mention.part and word not in mention.part.split():
            return self._thing(mention)
        found = self._discourse.antecedent(mention.at)
        if found is None:
            return self._thing(mention)
        sure = OPENER_SURE if self._just_opened(found, at) else 0.6
        return self._thing(found, count=mention.count, rule=f"part-by-{mention.kind}", confidence=sure)

    def _place(self, mention: Mention, at: Token) -> Mention | None:
        """The thing of an "on", "in", "to" phrase of the verb or of the noun itself."""
        head = self._passage.doc[mention.at]
        for prep in _preps(head, at):
            for child in prep.children:
                found = self._discourse.mentions.get(child.i) if child.dep_ == "pobj" else None
                if found is not None and found.part and found.kind in ("thing", "unknown") and found.at != mention.at:
                    return found
        return None

    def _region_covered(self, mention: Mention, task: str | None) -> Mention | None:
        """The bottom of the wing for "the bottom fabric", the wing for "the fabric"."""
        if not self._is_covering(mention, task):
            return None
        found = self._discourse.antecedent(mention.at)
        if found is None or found.part is None:
            return None
        place = [word for word in self._discourse.phrases[mention.at].place if word in words.NAMED_REGIONS]
        part = " ".join([*without_region(found.part).split(), *place]) if place else found.part
        return replace(found, part=part, side=mention.side if mention.own_side else found.side)

    def _attached(self, mention: Mention, at: Token) -> Mention:
        """The side of what the thing is put on: "bolted the bracket to the left spar", "down the right side"."""
        if mention.own_side:
            return mention
        for prep in at.children:
            if prep.dep_ != "prep" or prep.lower_ not in ("to", "onto", "into", "on", "in", "down", "along", "for"):
                continue
            for child in prep.children:
                goal = self._discourse.mentions.get(child.i)
                aside = child.lower_ in ("side", "bank") or side_of(child)
                if goal is not None and goal.own_side and (aside or goal.part):
                    return replace(mention, side=goal.side, rules=(*mention.rules, "side-of-goal"))
        return mention

    def _unnamed(self, at: Token, task: str | None) -> Thing:
        """Nothing is named: the object that the syntax gives the verb after all, else the thing in focus."""
        for token in implied_objects(at):
            found = self._mention_of(token)
            if found is not None and found.part and found.kind in ("thing", "unknown") and not self._is_work(found):
                return self._thing(self._attached(found, at), rule="part-by-syntax", confidence=0.8)
        shown = self._shown_later(at)
        if shown is not None:
            return self._thing(shown, rule="part-by-syntax", confidence=0.85)
        if task == "weigh":
            return Thing("airplane", None, None, None, 0.5, ("part-weighed",))
        found = self._discourse.antecedent(at.i, Wanted(tasks=frozenset({task}) if task else frozenset()))
        if found is None:
            topic = self._discourse.topic_at(at.i)
            return Thing(None, topic.assembly, topic.side, None, 0.3, ("part-never-named", topic.rule))
        part = "rivet" if task == "drill-out" else None
        sure = OPENER_SURE if self._just_opened(found, at) else clearness(found.margin) - 0.1
        return self._thing(found, part=part, rule="part-in-focus", confidence=sure)

    def _is_work(self, mention: Mention) -> bool:
        """ "The flow test" is work, and not what is worked on."""
        return mention.head_word in self._lexicon.nominal_tasks

    def _shown_later(self, at: Token) -> Mention | None:
        """ "What I'm brushing here is the gear leg", "this, what I'm sanding, this is the rib": named after the verb."""
        if not any(c.lower_ in ("what", "this") and c.i < at.i for c in at.children):
            return None
        for token in at.doc[at.i + 1:at.sent.end]:
            if token.lemma_ in ("be", "'s") and token.pos_ in ("AUX", "VERB"):
                for child in token.children:
                    found = self._discourse.mentions.get(child.i) if child.dep_ == "attr" else None
                    if found is not None and found.part:
                        return found
        return None

    def _just_opened(self, found: Mention, at: Token) -> bool:
        """ "Rear spar. Reamed, bolted, torqued.": the heading just said, with no other thing named since."""
        here = self._discourse.sentence_of(at.i)
        for mention in self._discourse.before(at.i):
            other = (mention.part is not None and mention.part != found.part and mention.at != at.i
                     and mention.role not in ("oblique", "owner"))
            if other or here - mention.sentence > 2:
                return False
            if mention.role == "opener" and mention.part == found.part:
                return True
        return False

    def _thing(self, mention: Mention, *, part: str | None = None, side: str | None = None, assembly: str | None = None,
               count: int | None = None, rule: str | None = None, confidence: float = 1.0) -> Thing:
        rules = (rule, *mention.rules) if rule else mention.rules
        return Thing(part or mention.part, assembly or mention.assembly, side or mention.side, count or mention.count,
                     min(confidence, mention.confidence), rules)


def _bare_sides(verb: Token) -> frozenset[str]:
    """The sides that open the sentence of "lower right I covered", "left lower, she laced that"; none besides."""
    first = verb.head if verb.dep_ == "conj" else verb
    subject = next((c for c in first.children if c.dep_ == "nsubj"), None)
    opening = frozenset(t.lower_ for t in verb.doc[verb.sent.start:subject.i if subject is not None else verb.sent.start]
                        if not t.is_punct)
    return opening if opening <= BARE_SIDES else frozenset()


def implied_objects(at: Token) -> Iterator[Token]:
    """What the syntax gives a verb as the thing worked on where it has no object of its own, the likeliest first."""
    yield from (c for c in at.children if c.dep_ in OBJECT_DEPS)
    if at.dep_ in ("relcl", "acl", "amod"):
        yield at.head
    if at.dep_ in ("xcomp", "ccomp", "conj", "advcl", "pcomp", "acomp", "oprd", "attr"):
        yield from (c for c in at.head.children if c.dep_ in OBJECT_DEPS and c.i < at.i)
    for other in (*at.conjuncts, at.head):
        own_subject = other.i > at.i and any(c.dep_ == "nsubj" for c in other.children)
        yield from (c for c in other.children if c.dep_ in OBJECT_DEPS and not own_subject)
    if at.tag_ == "VBN" or at.dep_ in ("acomp", "xcomp", "attr"):
        yield from (c for c in (*at.children, *at.head.children) if c.dep_ == "nsubj" and c.pos_ in NOMINAL)
    if at.sent.text.rstrip().endswith("?") and at.sent.end < len(at.doc):
        yield from at.doc[at.sent.end:at.sent.end + 4]


def _preps(head: Token, at: Token) -> Iterator[Token]:
    yield from (c for c in head.children if c.dep_ == "prep" and c.lower_ in PLACE_WORDS)
    yield from (c for c in at.children if c.dep_ in ("prep", "prt") and c.lower_ in PLACE_WORDS)
