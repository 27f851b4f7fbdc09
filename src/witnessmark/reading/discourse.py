"""What a transcript has been about: every mention of a thing in text order, and what each points back to.

The method is that of salience-based pronoun resolution (Lappin and Leass 1994, "An algorithm for pronominal anaphora
resolution"): earlier mentions compete by recency and by grammatical role, and agreement in number and side decides
who may compete. Topic openers ("Right, the rudder.") stand highest. Weights were set by hand on labelled talk.
"""
from __future__ import annotations

import functools
from collections.abc import Iterator
from dataclasses import dataclass, replace

from spacy.tokens import Span, Token

from witnessmark.reading import reference_words as words
from witnessmark.reading.memory import Memory
from witnessmark.reading.phrases import NOMINAL, Phrase, phrases
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular

CANDIDATES = frozenset({"thing", "tool", "unknown", "supply"})
REACH = 8  # sentences that a mention stays available for a pronoun
FRESH = 3  # sentences for which an opener outweighs what is remembered
PLAIN_REACH = 3
FULL_NAME_REACH = 20  # sentences after which a shorter name is taken as it is
SIDE_REACH = 6  # sentences that a thing keeps its side without saying it again
ROLE_WEIGHT = {"opener": 3.0, "worked": 2.6, "object": 2.0, "subject": 2.0, "fragment": 2.0, "apposition": 1.0,
               "oblique": 0.2, "owner": 0.4, "attribute": 1.8, "shown": 2.8, "likened": -3.0}
REMADE = frozenset({"new", "another", "fresh", "second", "successor", "replacement"})
GOAL_WORDS = frozenset({"to", "onto", "into", "on", "in", "inside"})
TURNING_ROLES = frozenset({"worked", "subject", "shown", "fragment"})
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


class Discourse:
    """All mentions of a passage, resolved once in text order."""

    def __init__(self, passage: Passage, lexicon: Lexicon, memory: Memory) -> None:
        self.passage, self.lexicon, self.memory = passage, lexicon, memory
        self.phrases = phrases(passage.doc, lexicon)
        self.mentions: dict[int, Mention] = {}
        self.topics: list[tuple[int, Topic]] = [(-1, self._first_topic())]
        self._sentence_of = {token.i: number for number, sent in enumerate(passage.sentences) for token in sent}
        for at, phrase in self.phrases.items():
            mention = self._mention(phrase)
            self.mentions[at] = mention
            self._turn(phrase, mention)
            self._put_on(mention)
            self._same_as(phrase, mention)

    def _put_on(self, goal: Mention) -> None:
        """What is put on a thing with a side has that side: "riveted the horn to the left spar"."""
        token = self.passage.doc[goal.at]
        prep = token.head
        if token.dep_ != "pobj" or prep.lower_ not in GOAL_WORDS or goal.side not in words.OTHER_SIDE:
            return
        verb = prep.head if prep.head.pos_ in ("VERB", "AUX") else prep.head.head
        for child in verb.children:
            put = self.mentions.get(child.i)
            if put is not None and put.part and put.side is None and put.role == "worked" and child.i < goal.at:
                self.mentions[child.i] = replace(put, side=goal.side, rules=(*put.rules, "side-of-goal"))

    def _same_as(self, phrase: Phrase, mention: Mention) -> None:
        """"The bottom skin, same wing" has the side just spoken of."""
        if "same" not in phrase.text.split() or mention.side is not None or mention.part is None:
            return
        sided = next((m for m in self.before(mention.at) if m.side in words.OTHER_SIDE), None)
        if sided is None:
            return
        self.mentions[mention.at] = replace(mention, side=sided.side, rules=(*mention.rules, "side-of-same"))
        whose = next((m for m in self.before(mention.at) if m.part and m.side is None), None)
        if whose is not None and self.passage.doc[whose.at + 1:phrase.start].text.strip() == ",":
            self.mentions[whose.at] = replace(whose, side=sided.side, rules=(*whose.rules, "side-of-same"))

    # --- public questions --------------------------------------------------------------------------------

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

    def antecedent(self, at: int, *, plural: bool | None = None, side: str | None = None,
                   sided: bool = False, remade: bool = False, placed: bool = False, skip: frozenset[int] = frozenset()) -> Mention | None:
        """The most salient earlier thing that agrees; None if there is none."""
        best, best_score = None, 0.0
        sentence, topic = self.sentence_of(at), self.topic_at(at)
        for order, mention in enumerate(self.before(at)):
            if mention.at in skip or mention.part is None or mention.kind not in CANDIDATES:
                continue
            score = self._salience(mention, sentence, order, plural) + self._on_topic(mention, topic, sentence)
            if remade and mention.role == "worked":
                score += 1.5
            if placed and (mention.plural or set(mention.part.split()) & words.PLACE_ADJECTIVES):
                score += 1.5
            if sided:
                score += 1.5 if mention.plural or mention.part in self._sided_parts(at) else -0.8
                score += 0.5 if side and mention.side == words.OTHER_SIDE.get(side) else 0.0
            if best is None or score > best_score:
                best, best_score = mention, score
        return best

    def _sided_parts(self, at: int) -> frozenset[str]:
        """The parts of which one side or the other has been spoken of before."""
        return frozenset(m.part for m in self.mentions.values() if m.at < at and m.part and (
            m.own_side or m.side == "both" or "side-of-goal" in m.rules))

    def _on_topic(self, mention: Mention, topic: Topic, sentence: int) -> float:
        """What an opener announced stays in mind longer."""
        if mention.at == topic.at:
            return 0.35 * (sentence - mention.sentence)
        return 0.3 if topic.assembly and mention.assembly == topic.assembly else 0.0

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

    # --- building ----------------------------------------------------------------------------------------

    def _first_topic(self) -> Topic:
        """Before anything is said: the assembly that the last session ended with, as a guess."""
        latest = next((act.assembly for act in reversed(self.memory.acts) if act.assembly), None)
        return Topic(latest, None, -99, "assembly-of-last-session")

    def _mention(self, phrase: Phrase) -> Mention:
        token = self.passage.doc[phrase.head]
        role = role_of(token, self.lexicon, phrase.start)
        if role == "opener" and phrase.kind == "unknown" and not phrase.text.startswith(("the ", "that ", "this ")):
            role = "fragment"
        base = Mention(at=phrase.head, sentence=self.sentence_of(phrase.head), part=None, assembly=None,
                       side=phrase.side, count=phrase.count, plural=phrase.plural,
                       role=role, kind=phrase.kind,
                       own_side=phrase.side is not None, generic=is_generic(token, self.lexicon))
        if phrase.kind in CANDIDATES:
            return self._named(phrase, base)
        if phrase.kind == "pointer":
            return self._pointed(phrase, base)
        if phrase.kind in ("region", "feature", "coating"):
            return self._part_of_owner(phrase, base)
        return replace(base, side=None)

    def _named(self, phrase: Phrase, base: Mention) -> Mention:
        owner = self._owner(phrase)
        same = self._same_thing(phrase, base)
        side, side_rule = self._side(phrase, owner, same, base)
        assembly, assembly_rule = self._assembly(phrase, owner, same)
        name = self._owned_name(phrase, owner) or self._full_name(phrase, same, base)
        if name == phrase.name and name:
            name = self._completed(phrase, owner) or name
        return replace(base, part=name, side=side, assembly=assembly, own_side=base.own_side or side_rule == "side-shown",
                       own_assembly=assembly_rule in ("assembly-in-words", "assembly-of-owner"),
                       rules=("part-named", assembly_rule, side_rule))

    def _owned_name(self, phrase: Phrase, owner: Mention | None) -> str | None:
        """"The flange of the rear spar" is the rear spar flange; "the tubes for the gear leg" are gear leg tubes."""
        if owner is None or not owner.part or len(phrase.words) != 1 or not phrase.known or owner.part in self._assembly_names:
            return None
        word = phrase.words[0]
        if word in owner.part.split() or owner.kind != "thing":
            return None
        turned = phrase.owner_word in ("of", "'s") or (phrase.owner_word == "for" and word in words.RAW_STOCK)
        return f"{owner.part} {word}" if turned else None

    def _completed(self, phrase: Phrase, owner: Mention | None) -> str | None:
        """"The line" while the talk is of fuel is the fuel line, if the vocabulary has that name."""
        if len(phrase.words) != 1:
            return None
        topic = self.mentions.get(self.topic_at(phrase.head).at)
        for mention in (owner, topic):
            if mention is not None and mention.part is not None:
                for before in dict.fromkeys((mention.part, mention.head_word)):
                    name = f"{before} {phrase.words[0]}"
                    if phrase.words[0] in before.split():
                        continue
                    if name in self._own_names or (phrase.words[0] in words.GENERIC_HEADS and self._is_name(name)):
                        return name
        return None

    @functools.cached_property
    def _own_names(self) -> frozenset[str]:
        """The names that earlier sessions of the journal used."""
        return frozenset(act.part for act in self.memory.acts if act.part)

    def _is_name(self, name: str) -> bool:
        thing = self.lexicon.thing(name)
        return thing is not None and (thing.name == name or name in thing.synonyms)

    def _full_name(self, phrase: Phrase, same: Mention | None, base: Mention) -> str | None:
        """The name said, or the longer one just used for the same thing ("that skin" after "the top skin")."""
        if same is None or same.part is None or len(same.part.split()) <= len(phrase.words):
            return phrase.name
        near = FULL_NAME_REACH if phrase.demonstrative or phrase.kind == "unknown" else PLAIN_REACH
        return same.part if base.sentence - same.sentence <= near else phrase.name

    def _pointed(self, phrase: Phrase, base: Mention) -> Mention:
        """A pronoun, a quantity or "the other one": the thing that it stands for, its side perhaps turned over."""
        owner = self._owner(phrase) if phrase.owner_word == "of" else None
        possessor = self._owner(phrase) if phrase.owner_word == "'s" else None
        turned = phrase.side in words.OTHER_SIDE or phrase.other
        plural = None if turned or phrase.text == "one" else phrase.plural or phrase.side == "both"
        found = owner or self._halved(phrase) or self._apposed(phrase) or self._repeated(phrase) or self.antecedent(phrase.head, plural=plural, side=phrase.side,
                                         sided=turned, remade=bool(REMADE & set(phrase.text.split())),
            placed=bool(phrase.place), skip=self._not_antecedents(phrase))
        if found is None or found.part is None:
            return replace(base, kind="none")
        self._merge(phrase, found)
        side, rule = self._pointer_side(phrase, found)
        single = phrase.text.split()[-1] in ("one", "each", "another", "half", "side")
        kept_plural = not single and (phrase.plural or (found.plural and phrase.side is None))
        part, assembly = _placed(found.part, phrase.place), phrase.assembly or found.assembly
        if possessor is not None and possessor.part and phrase.other:
            part, assembly = possessor.part, possessor.assembly
        return replace(base, part=part, assembly=assembly, side=side, plural=kept_plural,
                       kind=found.kind, confidence=0.95 if owner else 0.8,
                       rules=("part-by-of" if owner else "part-by-pointer", "assembly-of-antecedent", rule))

    def _halved(self, phrase: Phrase) -> Mention | None:
        """"The lower half": of the whole thing last spoken of, such as a cowling."""
        if phrase.text.split()[-1] not in ("half", "halves"):
            return None
        wholes = (m for m in reversed(self.mentions.values()) if m.head_word in words.GREAT_PARTS
                  and m.role not in ("oblique", "owner", "likened"))
        return next(wholes, None)

    def _apposed(self, phrase: Phrase) -> Mention | None:
        """"The doubler, the little one": the thing that the pointer stands beside."""
        token = self.passage.doc[phrase.head]
        beside = self.mentions.get(token.head.i) if token.dep_ == "appos" and token.head.i < token.i else None
        return beside if beside is not None and beside.part else None

    def _repeated(self, phrase: Phrase) -> Mention | None:
        """The second "it" of a sentence is the first one's thing."""
        if phrase.text not in ("it", "them"):
            return None
        sentence = self.sentence_of(phrase.head)
        for mention in self.before(phrase.head):
            if mention.sentence != sentence:
                return None
            if self.phrases[mention.at].text == phrase.text and mention.part:
                return mention
            if mention.own_side or mention.role == "opener":
                return None
        return None

    def _merge(self, phrase: Phrase, found: Mention) -> None:
        """"The tank, the left one": what is said of the pointer holds of the thing just named."""
        between = self.passage.doc[found.at + 1:phrase.start]
        if (phrase.side or phrase.place) and found.sentence == self.sentence_of(phrase.head) and len(between) < 4 and all(
                t.is_punct or t.pos_ == "DET" for t in between):
            self.mentions[found.at] = replace(found, side=phrase.side or found.side, own_side=bool(phrase.side),
                                              part=_placed(found.part, phrase.place))

    def _not_antecedents(self, phrase: Phrase) -> frozenset[int]:
        """What a pointer cannot stand for: the places that its own clause puts it on or takes it to."""
        token = self.passage.doc[phrase.head]
        verb = token.head if token.dep_ in ("dobj", "nsubj", "nsubjpass") else None
        own = {t.i for child in verb.children if child.dep_ == "prep" for t in child.children} if verb else set()
        rivals = {t.i for t in verb.children if t.dep_ in ("nsubj", "dobj", "nsubjpass")
                  and not any(between.text == "," for between in token.doc[t.i:token.i])} if verb else set()
        return frozenset(own | rivals)

    def _pointer_side(self, phrase: Phrase, found: Mention) -> tuple[str | None, str]:
        if phrase.side == "both":
            owned = found.plural and found.side in words.OTHER_SIDE and not found.own_side
            return (found.side if owned else "both"), "side-both"
        if phrase.side:
            return phrase.side, "side-said"
        if phrase.other:
            return words.OTHER_SIDE.get(found.side or "", found.side), "side-turned-over"
        if phrase.plural and not found.plural and found.side in words.OTHER_SIDE and self._both_spoken_of(found):
            return "both", "side-both-of-two"
        return found.side, "side-of-antecedent"

    def _both_spoken_of(self, found: Mention) -> bool:
        """True if the other one of the pair has been named too, not long ago."""
        other = words.OTHER_SIDE[found.side or "left"]
        return any(m.part == found.part and m.side == other and found.sentence - m.sentence < REACH
                   for m in self.mentions.values())

    def _part_of_owner(self, phrase: Phrase, base: Mention) -> Mention:
        """"The edge of the skin", "the inside of it", "the holes in the rib", "two coats on the spar"."""
        owner = self._owner(phrase)
        if owner is None and phrase.kind == "region":
            owner = self.antecedent(phrase.head, plural=None)
        if owner is None and phrase.kind == "feature" and len(phrase.words) > 1 and (
                self.lexicon.thing(" ".join(phrase.words[:-1])) is not None and phrase.words[-2] != "rivet"):
            named = self._named(replace(phrase, words=phrase.words[:-1]), base)
            return replace(named, kind="thing", rules=("part-by-feature", *named.rules[1:]))
        if owner is None or owner.part is None:
            named = self._named(phrase, base)
            return replace(named, kind="thing" if phrase.kind == "region" else phrase.kind, confidence=0.6)
        word = singular(self.passage.doc[phrase.head].lower_)
        part = without_region(owner.part) if phrase.kind == "feature" else owner.part
        if phrase.kind == "region" and word in words.NAMED_REGIONS and word not in owner.part.split():
            part = f"{without_region(owner.part)} {' '.join(phrase.words)}"
        side = phrase.side or owner.side
        kind = "coating" if phrase.kind == "coating" else "thing"
        return replace(base, part=part, assembly=owner.assembly, side=side, kind=kind, plural=owner.plural,
                       confidence=0.85, rules=(f"part-by-{phrase.kind}", "assembly-of-owner",
                                               "side-said" if phrase.side else "side-of-owner"))

    def _owner(self, phrase: Phrase) -> Mention | None:
        """The thing that owns the phrase's, if it is one ("the ribs of the left wing", "its edges")."""
        if phrase.owner is None:
            return None
        token = self.passage.doc[phrase.owner]
        if token.lower_ in words.OWNER_PRONOUNS:
            return self.antecedent(phrase.owner, plural=None, skip=frozenset({phrase.head}))
        owner = self.phrases.get(phrase.owner)
        if owner is None:
            return None
        mention = self.mentions.get(phrase.owner) or self._mention(owner)
        if mention.kind == "feature" and owner.owner is None:
            return self.antecedent(phrase.owner, plural=None, skip=frozenset({phrase.head}))
        return mention if mention.part else None

    def _same_thing(self, phrase: Phrase, base: Mention) -> Mention | None:
        """The latest mention of a thing of the same name, or of which one name is the end of the other.

        Not one of another assembly than the one since turned to, unless it has a name of two words or more.
        """
        if not phrase.words:
            return None
        topic = self.topic_at(phrase.head)
        for mention in self.mentions_before(phrase.head):
            if mention.part is None or mention.kind not in CANDIDATES:
                continue
            names = phrase.words, tuple(mention.part.split())
            fits = mention.assembly in (None, topic.assembly) or mention.sentence >= topic.sentence or (
                phrase.definite and topic.rule != "assembly-of-opener" and base.sentence - mention.sentence < 5)
            known = names[0] == names[1] and len(names[0]) > 1 and topic.rule != "assembly-of-opener"
            if same_name(*names) and (fits or known) and phrase.assembly in (None, mention.assembly):
                return mention
        return None

    def mentions_before(self, at: int) -> Iterator[Mention]:
        return (mention for mention in reversed(self.mentions.values()) if mention.at < at)

    def _side(self, phrase: Phrase, owner: Mention | None, same: Mention | None,
              base: Mention) -> tuple[str | None, str]:
        topic = self.topic_at(phrase.head)
        if phrase.side in ("left", "right"):
            return phrase.side, "side-said"
        if phrase.side == "both":
            return (owner.side, "side-of-owner") if owner and owner.side else ("both", "side-both")
        if owner is not None and owner.side and phrase.owner_word in ("'s", "of", "for", "in", "on", "to"):
            return owner.side, "side-of-owner"
        if base.generic:
            return None, "side-dropped-generic"
        if same is not None and same.side and base.sentence - same.sentence <= SIDE_REACH and not phrase.other:
            if not phrase.plural or same.plural or same.side == "both":
                return same.side, "side-of-same-thing"
            if self._both_spoken_of(same):
                return "both", "side-both-of-two"
            return None, "side-none"
        shown = self._shown_side(phrase, base)
        if shown:
            return shown, "side-shown"
        if topic.side and phrase.assembly in (None, topic.assembly) and not (
                same is not None and same.sentence > topic.sentence):
            return topic.side, "side-of-topic"
        return None, "side-none"

    def _shown_side(self, phrase: Phrase, base: Mention) -> str | None:
        """The side of the subject that this names: "these two, left and right, are the fittings"."""
        if base.role != "shown":
            return None
        subjects = [t for t in self.passage.doc[phrase.head].head.children if t.dep_ == "nsubj" and t.i in self.phrases]
        return self.phrases[subjects[0].i].side if subjects else None

    def _assembly(self, phrase: Phrase, owner: Mention | None, same: Mention | None) -> tuple[str | None, str]:
        """From the words, the owner, the same thing before, the memory of a name of its own, the topic."""
        topic = self.topic_at(phrase.head)
        if phrase.words[-1:] and phrase.words[-1] in words.WHOLE_MACHINE:
            return None, "assembly-none-of-whole"
        if phrase.assembly:
            return phrase.assembly, "assembly-in-words"
        if owner is not None and owner.own_assembly and phrase.owner_word in ("'s", "of", "for", "in", "from", "on"):
            return owner.assembly, "assembly-of-owner"
        if same is not None and same.assembly:
            return same.assembly, "assembly-of-same-thing"
        if owner is not None and owner.assembly and phrase.owner_word in ("'s", "of", "for", "in", "from", "on"):
            return owner.assembly, "assembly-of-owner"
        remembered = next(iter(self.memory.assemblies_of(phrase.name or "")), None)
        opens = is_opener(self.passage.doc[phrase.head], phrase.start)
        fresh = self.sentence_of(phrase.head) - topic.sentence <= FRESH and not opens
        if remembered and (len(phrase.words) > 1 or topic.sentence < 0) and not fresh:
            return remembered, "assembly-from-memory"
        usual = words.USUAL_ASSEMBLY.get(phrase.name or "") or words.USUAL_ASSEMBLY.get(phrase.words[-1] if phrase.words else "")
        if usual and not (fresh and topic.rule == "assembly-of-opener"):
            return usual, "assembly-usual"
        return topic.assembly, topic.rule

    def _turn(self, phrase: Phrase, mention: Mention) -> None:
        """Note a change of what is talked about: of the assembly, or of its side."""
        if mention.kind != "thing" or mention.part is None or mention.assembly is None or mention.role == "likened":
            return
        if phrase.kind == "pointer" and not phrase.assembly:
            return
        topic = self.topics[-1][1]
        whole = bool(phrase.words) and phrase.assembly == mention.assembly and self._is_assembly(phrase)
        if mention.role == "opener":
            keep = topic.side if topic.assembly == mention.assembly and not whole else None
            side = mention.side if whole and mention.own_side else keep
            self._set(mention, Topic(mention.assembly, side, mention.sentence, "assembly-of-opener", mention.at))
        elif mention.side in words.OTHER_SIDE and mention.own_side and mention.role != "oblique" and (
                whole or (topic.side and mention.assembly == topic.assembly)):
            self._set(mention, Topic(mention.assembly, mention.side, mention.sentence, "assembly-running", topic.at))
        elif phrase.assembly and mention.assembly != topic.assembly and (
                mention.role in TURNING_ROLES or topic.sentence < 0):
            self._set(mention, Topic(mention.assembly, None, mention.sentence, "assembly-running", mention.at))

    def _is_assembly(self, phrase: Phrase) -> bool:
        """True if the phrase names an assembly as a whole: "the left wing", "the wing skeleton"."""
        name = phrase.name or ""
        bare = name.rpartition(" ")[0] if phrase.words[-1] in words.UNNAMED_REGIONS else name
        return bare in self._assembly_names

    @functools.cached_property
    def _assembly_names(self) -> frozenset[str]:
        return frozenset(name for _, names in self.lexicon.assemblies.values() for name in names)

    def _set(self, mention: Mention, topic: Topic) -> None:
        self.topics.append((mention.at, topic))


def _placed(name: str, place: tuple[str, ...]) -> str:
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


def role_of(token: Token, lexicon: Lexicon, start: int) -> str:
    """The grammatical role of a phrase's head, by which it stands out."""
    if _is_likened(token):
        return "likened"
    if is_opener(token, start):
        return "opener"
    dep = token.dep_
    if dep == "appos" and token.head.i < token.i and is_opener(token.head, token.head.left_edge.i):
        return "opener" if token.head.lemma_.lower() in words.GREAT_PARTS else "apposition"
    if dep == "conj" and token.head.i < token.i and token.head.pos_ in NOMINAL:
        return role_of(token.head, lexicon, token.head.i)
    if dep in ("dobj", "obj", "oprd", "nsubjpass"):
        return "worked" if _is_trade_verb(token.head, lexicon) else "object"
    if dep in ("nsubj", "csubj"):
        return "oblique" if token.lower_ in ("that", "this") and token.head.lemma_ == "be" else "subject"
    if dep in ("ROOT", "dep", "npadvmod"):
        return "fragment"
    if dep in ("attr", "acomp"):
        return "shown" if _shows(token) else "attribute"
    if dep in ("poss", "compound", "nmod"):
        return "owner"
    if dep == "pobj":
        return "fragment" if token.head.lower_ in ("about",) and token.head.head.pos_ == "VERB" else "oblique"
    return "apposition"


def _is_trade_verb(verb: Token, lexicon: Lexicon) -> bool:
    """True for a verb that is work by itself, unlike "get" or "take"."""
    lemma = lexicon.verb_of(verb)
    return lemma is not None and any(not form.light for form in lexicon.task_forms(lemma))


def _shows(token: Token) -> bool:
    """True for what "this is …", "these two are …" and "here is …" point out."""
    before = token.doc[token.sent.start:token.head.i]
    pointed = any(t.lower_ in ("this", "these", "that", "those", "here", "here's", "it", "what") for t in before)
    if any(t.tag_ == "MD" for t in token.head.children):
        return False
    return pointed or any(t.dep_ == "nsubj" and t.lemma_.lower() in words.NON_THINGS for t in before)


def _is_likened(token: Token) -> bool:
    """True in a comparison: "like a suitcase", "the size of a sandwich", "than my truck"."""
    if any(t.lower_ in ("like", "than") and t.dep_ in ("prep", "mark") for t in token.ancestors):
        return True
    start = max(token.left_edge.i - 1, 0)
    return token.doc[start].lower_ in ("like", "than", "as") and token.doc[start].pos_ != "VERB"


def is_opener(token: Token, start: int) -> bool:
    """True for the first noun of a sentence without a verb of its own: "Okay, the rudder." "Back to the gear." """
    sentence = token.sent
    lead = [t for t in sentence if t.i < start and t.pos_ in NOMINAL and t.dep_ not in ("compound", "nmod")
            and singular(t.lower_) not in words.NON_THINGS]
    if lead:
        return False
    clause = _first_clause(sentence)
    return token.i < clause.end and not any(_is_finite(t) for t in clause if not start <= t.i <= token.i)


def _first_clause(sentence: Span) -> Span:
    """The sentence up to its first comma after a noun that may be a topic, or its end."""
    seen = False
    for token in sentence:
        seen = seen or (token.pos_ in NOMINAL and singular(token.lower_) not in words.NON_THINGS)
        if seen and token.text in (",", ":", ";", "—", "-", "?", "!"):
            return sentence.doc[sentence.start:token.i]
    return sentence


def _is_finite(token: Token) -> bool:
    return (token.pos_ in ("VERB", "AUX") and token.tag_ not in ("VBG", "VBN")) or token.tag_ in (
        "VBD", "VBZ", "VBP", "MD")


def is_generic(token: Token, lexicon: Lexicon) -> bool:
    """True in advice: "you" as the one who works, or what the plans or a manual call for."""
    for other in token.sent:
        if other.lower_ == "yours" or (other.lower_ == "you" and other.dep_ in ("nsubj", "nsubjpass")
                                       and _works(other.head, lexicon)):
            return True
        if other.lower_ in ("plans", "manual", "book", "drawing", "drawings", "instructions") and other.dep_ == "nsubj":
            return True
    return False


def _works(verb: Token, lexicon: Lexicon) -> bool:
    if verb.lemma_.lower() in words.NO_WORK_VERBS:
        return False
    return lexicon.verb_of(verb) is not None or any(
        child.dep_ in ("mark", "advmod") and child.lower_ in ("if", "when", "before", "once", "whenever")
        for child in verb.children)
