"""What a transcript has been about: every mention of a thing in text order, with its part, assembly and side."""
from __future__ import annotations

from dataclasses import replace

from witnessmark.reading import reference_words as words
from witnessmark.reading.memory import Memory
from witnessmark.reading.mentions import (
    CANDIDATES,
    FRESH,
    FULL_NAME_REACH,
    PLAIN_REACH,
    SIDE_REACH,
    TURNING_ROLES,
    Mention,
    Topic,
    same_name,
    without_region,
)
from witnessmark.reading.phrases import Phrase
from witnessmark.reading.pointers import Pointers
from witnessmark.reading.roles import is_generic, is_opener, role_of, tasks_upon
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import singular

GOAL_WORDS = frozenset({"to", "onto", "into", "on", "in", "inside"})


class Discourse(Pointers):
    """All mentions of a passage, resolved once in text order."""

    def __init__(self, passage: Passage, lexicon: Lexicon, memory: Memory) -> None:
        super().__init__(passage, lexicon, memory)
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

    def _mention(self, phrase: Phrase) -> Mention:
        token = self.passage.doc[phrase.head]
        role = role_of(token, self.lexicon, phrase.start)
        if role == "opener" and phrase.kind == "unknown" and not phrase.text.startswith(("the ", "that ", "this ")):
            role = "fragment"
        base = Mention(at=phrase.head, sentence=self.sentence_of(phrase.head), part=None, assembly=None,
                       side=phrase.side, count=phrase.count, plural=phrase.plural,
                       role=role, kind=phrase.kind,
                       own_side=phrase.side is not None, generic=is_generic(token, self.lexicon),
                       tasks=tasks_upon(token, self.lexicon))
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
        return replace(base, part=name, side=side, assembly=assembly,
                       own_side=base.own_side or side_rule == "side-shown",
                       own_assembly=assembly_rule in ("assembly-in-words", "assembly-of-owner"),
                       rules=("part-named", assembly_rule, side_rule))

    def _full_name(self, phrase: Phrase, same: Mention | None, base: Mention) -> str | None:
        """The name said, or the longer one just used for the same thing ("that skin" after "the top skin")."""
        if same is None or same.part is None or len(same.part.split()) <= len(phrase.words):
            return phrase.name
        near = FULL_NAME_REACH if phrase.demonstrative or phrase.kind == "unknown" else PLAIN_REACH
        return same.part if base.sentence - same.sentence <= near else phrase.name

    def _owned_name(self, phrase: Phrase, owner: Mention | None) -> str | None:
        """"The flange of the rear spar" is the rear spar flange; "the tubes for the gear leg" are gear leg tubes."""
        if owner is None or not owner.part or len(phrase.words) != 1 or not phrase.known:
            return None
        if owner.part in self._assembly_names:
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

    def _part_of_owner(self, phrase: Phrase, base: Mention) -> Mention:
        """"The edge of the skin", "the inside of it", "the holes in the rib", "two coats on the spar"."""
        owner = self._owner(phrase)
        if owner is None and phrase.kind == "region":
            owner = self.antecedent(phrase.head)
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
        remembered = self._remembered(phrase.name or "")
        opens = is_opener(self.passage.doc[phrase.head], phrase.start)
        fresh = self.sentence_of(phrase.head) - topic.sentence <= FRESH and not opens
        if remembered and (len(phrase.words) > 1 or topic.sentence < 0) and not fresh:
            return remembered, "assembly-from-memory"
        last = phrase.words[-1] if phrase.words else ""
        usual = words.USUAL_ASSEMBLY.get(phrase.name or "") or words.USUAL_ASSEMBLY.get(last)
        if usual and not (fresh and topic.rule == "assembly-of-opener"):
            return usual, "assembly-usual"
        if last in words.STRUCTURE and topic.assembly not in words.STRUCTURE[last]:
            return self._structure_spoken_of(phrase, last) or remembered, "assembly-of-structure"
        return topic.assembly, topic.rule

    def _remembered(self, name: str) -> str | None:
        """The assembly that earlier sessions mostly gave a part of this name; of equals the latest."""
        told = list(self.memory.assemblies_of(name))
        return max(told, key=told.count) if told else None

    def _structure_spoken_of(self, phrase: Phrase, last: str) -> str | None:
        """The assembly last turned to in which there are such things: no spar is in the brakes just spoken of."""
        return next((topic.assembly for at, topic in reversed(self.topics) if at < phrase.head
                     and topic.assembly in words.STRUCTURE[last]), None)

    def _turn(self, phrase: Phrase, mention: Mention) -> None:
        """Note a change of what is talked about: of the assembly, or of its side."""
        if mention.kind != "thing" or mention.part is None or mention.assembly is None or mention.role == "likened":
            return
        if phrase.kind == "pointer" and not phrase.assembly:
            return
        topic = self.topics[-1][1]
        whole = bool(phrase.words) and phrase.assembly == mention.assembly and self._is_assembly(phrase)
        told = phrase.assembly is not None or (mention.rules[1] == "assembly-usual" and mention.role == "shown")
        inherited = mention.rules[1] == topic.rule and phrase.assembly is None
        if mention.role == "opener" and inherited:
            self._set(mention, replace(topic, at=mention.at))
        elif mention.role == "opener":
            keep = topic.side if topic.assembly == mention.assembly and not whole else None
            side = mention.side if whole and mention.own_side else keep
            self._set(mention, Topic(mention.assembly, side, mention.sentence, "assembly-of-opener", mention.at))
        elif mention.side in words.OTHER_SIDE and mention.own_side and mention.role != "oblique" and (
                whole or (topic.side and mention.assembly == topic.assembly)):
            self._set(mention, Topic(mention.assembly, mention.side, mention.sentence, "assembly-running", topic.at))
        elif told and mention.assembly != topic.assembly and (
                mention.role in TURNING_ROLES or topic.sentence < 0):
            self._set(mention, Topic(mention.assembly, None, mention.sentence, "assembly-running", mention.at))

    def _is_assembly(self, phrase: Phrase) -> bool:
        """True if the phrase names an assembly as a whole: "the left wing", "the wing skeleton"."""
        name = phrase.name or ""
        bare = name.rpartition(" ")[0] if phrase.words[-1] in words.UNNAMED_REGIONS else name
        return bare in self._assembly_names

    def _set(self, mention: Mention, topic: Topic) -> None:
        self.topics.append((mention.at, topic))
