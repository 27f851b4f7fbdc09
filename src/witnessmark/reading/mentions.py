"""Mentions of things, and which of them a pointer may stand for.

The method is that of salience-based pronoun resolution (Lappin and Leass 1994, "An algorithm for pronominal anaphora
resolution"): earlier mentions compete by recency and by grammatical role, and agreement in number and side decides
who may compete. Topic openers ("Right, the rudder.") stand highest. Weights were set by hand on labelled talk.
"""
from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import dataclass, replace

from witnessmark.reading import reference_words as words
from witnessmark.reading.affinity import usual_things
from witnessmark.reading.memory import Memory
from witnessmark.reading.phrases import phrases
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon

CANDIDATES = frozenset({"thing", "tool", "unknown", "supply"})
REACH = 8  # sentences that a mention stays available for a pronoun
FRESH = 3  # sentences for which an opener outweighs what is remembered
PLAIN_REACH = 3
FULL_NAME_REACH = 20  # sentences after which a shorter name is taken as it is
SIDE_REACH = 6  # sentences that a thing keeps its side without saying it again
ROLE_WEIGHT = {"opener": 3.0, "worked": 2.6, "object": 2.0, "subject": 2.0, "fragment": 2.0, "apposition": 1.0,
               "oblique": 0.2, "owner": 0.4, "attribute": 1.8, "shown": 2.8, "likened": -3.0}
TURNING_ROLES = frozenset({"worked", "subject", "shown", "fragment"})
# What speaks for a thing besides: it is usual for the task, the same was just told of it, "front one" is its name.
USUAL, SAME_WORK, NAMED_PLACE = 1.0, 0.4, 2.0
TOOL_TASKS = frozenset({"fabricate", "assemble", "clean", "install", "remove", "test", "inventory", "rig"})
KIND_PENALTY = {"tool": 2.5, "unknown": 2.5, "supply": 1.5}


@dataclass(frozen=True, slots=True)
class Mention:
    """A thing spoken of at token `at` of sentence `sentence`, with all that is known of it there."""

    at: int
    sentence: int
    part: str | None
    assembly: str | None
    side: str | None
    count: int | None = None
    plural: bool = False
    role: str = "object"
    kind: str = "thing"
    own_side: bool = False
    own_assembly: bool = False
    generic: bool = False
    confidence: float = 1.0
    rules: tuple[str, ...] = ()
    margin: float = 9.0  # by how much it stood out from the next thing, where it was chosen as an antecedent
    tasks: frozenset[str] = frozenset()  # what the verb that governs it may mean

    @property
    def head_word(self) -> str:
        return self.part.split()[-1] if self.part else ""


@dataclass(frozen=True, slots=True)
class Topic:
    """What the talk has been turned to: its assembly, its side, and the sentence of the opener."""

    assembly: str | None = None
    side: str | None = None
    sentence: int = -99
    rule: str = "topic-none"
    at: int = -1


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a pointer says of its thing: its number, its side ("the left one"), that it was made before ("a new
    one"), the words of its place ("the front one"), and the tasks that its verb may mean."""

    plural: bool | None = None
    side: str | None = None
    sided: bool = False
    remade: bool = False
    place: tuple[str, ...] = ()
    tasks: frozenset[str] = frozenset()


class Mentions:
    """The mentions of a passage so far, the topics in force, and the search for an antecedent."""

    def __init__(self, passage: Passage, lexicon: Lexicon, memory: Memory) -> None:
        self.passage, self.lexicon, self.memory = passage, lexicon, memory
        self.phrases = phrases(passage, lexicon)
        self.mentions: dict[int, Mention] = {}
        self.topics: list[tuple[int, Topic]] = [(-1, self._first_topic())]
        self._sentence_of = {token.i: number for number, sent in enumerate(passage.sentences) for token in sent}

    def sentence_of(self, at: int) -> int:
        return self._sentence_of.get(at, 0)

    def topic_at(self, at: int) -> Topic:
        """The topic in force at a token."""
        topic = self.topics[0][1]
        for start, later in self.topics:
            if start > at:
                break
            topic = later
        return topic

    def before(self, at: int) -> Iterator[Mention]:
        """The mentions before a token, the latest first, as far as they reach."""
        sentence = self.sentence_of(at)
        for mention in reversed(self.mentions.values()):
            if mention.at < at:
                if sentence - mention.sentence > REACH:
                    return
                yield mention

    def mentions_before(self, at: int) -> Iterator[Mention]:
        return (mention for mention in reversed(self.mentions.values()) if mention.at < at)

    def antecedent(self, at: int, wanted: Wanted | None = None, skip: frozenset[int] = frozenset()) -> Mention | None:
        """The most salient earlier thing that agrees with what is wanted; None if there is none."""
        wanted = wanted or Wanted()
        scored: list[tuple[float, Mention]] = []
        sentence, topic = self.sentence_of(at), self.topic_at(at)
        sided = self._sided_parts(at) if wanted.sided else frozenset()
        for order, mention in enumerate(self.before(at)):
            if mention.at in skip or mention.part is None or mention.kind not in CANDIDATES:
                continue
            score = self._salience(mention, sentence, order, wanted.plural) + self._on_topic(mention, topic, sentence)
            if mention.kind == "tool" and wanted.tasks and not wanted.tasks & TOOL_TASKS and mention.role == "subject":
                score -= 0.6 * KIND_PENALTY["tool"]
            score += _agreement(mention, wanted, sided) + self._suited(mention, wanted)
            scored.append((score, mention))
        if not scored:
            return None
        best_score, best = max(scored, key=lambda pair: pair[0])
        rival = max((score for score, mention in scored if not _same(mention, best)), default=best_score - 9.0)
        return replace(best, margin=best_score - rival)

    def _sided_parts(self, at: int) -> frozenset[str]:
        """The parts of which one side or the other has been spoken of before."""
        return frozenset(m.part for m in self.mentions.values() if m.at < at and m.part and (
            m.own_side or m.side == "both" or "side-of-goal" in m.rules))

    def _on_topic(self, mention: Mention, topic: Topic, sentence: int) -> float:
        """What an opener announced stays in mind longer."""
        if mention.at == topic.at:
            return 0.35 * (sentence - mention.sentence)
        return 0.3 if topic.assembly and mention.assembly == topic.assembly else 0.0

    def _suited(self, mention: Mention, wanted: Wanted) -> float:
        """How well a thing suits the verb and the place that are said of the pointer."""
        score = 0.0
        if wanted.tasks:
            usual = [usual_things(task) for task in wanted.tasks]
            score += USUAL * any(mention.head_word in things for things in usual)
            score += SAME_WORK * bool(mention.tasks & wanted.tasks)
        if wanted.place:
            name = placed(mention.part or "", wanted.place)
            score += NAMED_PLACE * (name in self._own_names or self._is_name(name))
        return score

    def _salience(self, mention: Mention, sentence: int, order: int, plural: bool | None) -> float:
        score = ROLE_WEIGHT.get(mention.role, 1.0) - 1.1 * (sentence - mention.sentence) - 0.05 * order
        penalty = KIND_PENALTY.get(mention.kind, 0.0)
        firm = mention.role == "worked" or (mention.role == "opener" and mention.kind == "tool")
        score -= 0.4 * penalty if firm else penalty
        if mention.head_word in words.WHOLE_MACHINE:
            score -= 1.5
        if mention.generic:
            score -= 0.3
        if mention.part in self._assembly_names:
            score -= 0.3
        if plural is True and not (mention.plural or mention.side == "both"):
            score -= 3.0
        if plural is False and mention.plural:
            score -= 1.8
        return score

    def _both_spoken_of(self, found: Mention) -> bool:
        """True if the other one of the pair has been named too, not long ago."""
        other = words.OTHER_SIDE[found.side or "left"]
        return any(m.part == found.part and m.side == other and found.sentence - m.sentence < REACH
                   for m in self.mentions.values())

    def _first_topic(self) -> Topic:
        """Before anything is said: the assembly that the last session ended with, as a guess."""
        latest = next((act.assembly for act in reversed(self.memory.acts) if act.assembly), None)
        return Topic(latest, None, -99, "assembly-of-last-session")

    @functools.cached_property
    def _assembly_names(self) -> frozenset[str]:
        return frozenset(name for _, names in self.lexicon.assemblies.values() for name in names)

    @functools.cached_property
    def _own_names(self) -> frozenset[str]:
        """The names that earlier sessions of the journal used."""
        return frozenset(act.part for act in self.memory.acts if act.part)

    def is_own_name(self, name: str) -> bool:
        """True for a name that earlier sessions of the journal used."""
        return name in self._own_names

    def _is_name(self, name: str) -> bool:
        thing = self.lexicon.thing(name)
        return thing is not None and (thing.name == name or name in thing.synonyms)


def _same(one: Mention, other: Mention) -> bool:
    return one.part == other.part or same_name(tuple((one.part or "").split()), tuple((other.part or "").split()))


def _agreement(mention: Mention, wanted: Wanted, sided: frozenset[str]) -> float:
    """How much better or worse a thing fits for what is said of it."""
    score = 0.0
    if wanted.remade and mention.role in ("worked", "opener"):
        score += 1.5
    if wanted.place and (mention.plural or set((mention.part or "").split()) & words.PLACE_ADJECTIVES):
        score += 1.5
    if wanted.sided:
        score += 1.5 if mention.plural or mention.part in sided else -0.8
        score += 0.5 if wanted.side and mention.side == words.OTHER_SIDE.get(wanted.side) else 0.0
    return score


def placed(name: str, place: tuple[str, ...]) -> str:
    """The name with another first word: "front spar" and "rear" give "rear spar"."""
    if not place:
        return name
    kept = [word for word in name.split() if word not in words.PLACE_ADJECTIVES] or name.split()[-1:]
    if any(word not in words.PLACE_ADJECTIVES for word in place):
        kept = kept[-1:]
    return " ".join((*place, *kept))


def without_region(name: str) -> str:
    """"wing top" without its region is "wing"."""
    first, _, last = name.rpartition(" ")
    return first if first and last in words.NAMED_REGIONS else name


def same_name(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """True if the shorter name is the end of the longer: "horn" and "control horn"."""
    short, long = sorted((one, other), key=len)
    return bool(short) and long[-len(short):] == short
