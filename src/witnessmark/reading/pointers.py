"""What pronouns, quantities, "the other one", "the lower half" and "its mate" stand for."""
from __future__ import annotations

from dataclasses import replace

from witnessmark.reading import reference_words as words
from witnessmark.reading.left_out import LEADS
from witnessmark.reading.mentions import CANDIDATES, Mention, Mentions, Wanted, placed
from witnessmark.reading.phrases import Phrase
from witnessmark.trade.inflect import singular

CLEAR, FAIRLY_CLEAR = 1.2, 0.4
FLAWS = frozenset({"patch", "spot", "bubble", "crack", "dent", "void", "bit", "ding", "scratch", "split", "rot", "nick"})
TAKES_UP = frozenset({"it", "them", "that", "those", "these", "they"})
FIRM_ROLES = frozenset({"worked", "opener", "shown"})  # what was told of as work, or announced, is no chance noun
REMADE = frozenset({"new", "another", "fresh", "second", "successor", "replacement"})


def clearness(margin: float) -> float:
    """How sure an antecedent is (0 to 1) that stood out by so much; set on labelled talk."""
    return 0.85 if margin >= CLEAR else 0.78 if margin >= FAIRLY_CLEAR else 0.64


class Pointers(Mentions):
    """Resolves the phrases that name nothing themselves."""

    def _mention(self, phrase: Phrase) -> Mention:
        """The mention that a phrase of any kind makes."""
        raise NotImplementedError

    def _pointed(self, phrase: Phrase, base: Mention) -> Mention:
        """A pronoun, a quantity or "the other one": the thing that it stands for, its side perhaps turned over."""
        owner = self._owner(phrase) if phrase.owner_word == "of" else None
        possessor = self._owner(phrase) if phrase.owner_word == "'s" else None
        turned = phrase.side in words.OTHER_SIDE or phrase.other
        plural = None if turned or phrase.text == "one" else phrase.plural or phrase.side == "both"
        wanted = Wanted(plural, phrase.side, turned, bool(REMADE & set(phrase.text.split())), phrase.place,
                        base.tasks)
        found = (owner or self._same_word(phrase) or self._halved(phrase) or self._apposed(phrase) or self._announced(phrase) or self._repeated(phrase)
                 or self.antecedent(phrase.head, wanted, self._not_antecedents(phrase)))
        if found is None or found.part is None:
            return replace(base, kind="none")
        self._merge(phrase, found)
        side, rule = self._pointer_side(phrase, found)
        single = phrase.text.split()[-1] in ("one", "each", "another", "half", "side")
        kept_plural = not single and (phrase.plural or (found.plural and phrase.side is None))
        part, assembly = placed(found.part, phrase.place), phrase.assembly or found.assembly
        if possessor is not None and possessor.part and phrase.other:
            part, assembly = possessor.part, possessor.assembly
        return replace(base, part=part, assembly=assembly, side=side, plural=kept_plural,
                       kind=found.kind, confidence=0.95 if owner else clearness(found.margin),
                       rules=("part-by-of" if owner else "part-by-pointer", "assembly-of-antecedent", rule,
                              *(("pointer-placed",) if phrase.place or phrase.side or phrase.other else ()),
                              *(("antecedent-worked",) if found.role in FIRM_ROLES or "antecedent-worked" in found.rules
                                else ())))

    def _same_word(self, phrase: Phrase) -> Mention | None:
        """ "Cut the left side out", after "the fuselage sides": of what has that very word in its name."""
        word = singular(phrase.text.split()[-1])
        if word not in ("side", "half", "end"):
            return None
        return next((m for m in self.before(phrase.head) if m.head_word == word and m.kind in CANDIDATES), None)

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

    def _announced(self, phrase: Phrase) -> Mention | None:
        """ "The patch on the left float, we riveted it": what the sentence names before its subject, and takes up again."""
        if phrase.text.split()[-1] not in TAKES_UP:
            return None
        token, doc = self.passage.doc[phrase.head], self.passage.doc
        before = doc[token.sent.start:phrase.start]
        subject = phrase.start if token.dep_ in ("nsubj", "nsubjpass") else next(
            (t.i for t in reversed(before) if t.dep_ in ("nsubj", "nsubjpass") and t.pos_ in ("PRON", "PROPN")), None)
        if subject is None:  # "the dry spot on the skin, laid two plies over it"
            subject = next((t.i for t in before if t.text == "," and t.nbor(1).pos_ == "VERB"), None)
        if subject is None:
            return None
        named = [m for m in self.mentions.values() if token.sent.start <= m.at < subject]
        first = named[0] if named else None
        if first is not None and doc[first.at].lemma_.lower() in FLAWS:  # "a dry patch on the skin": work on the skin
            first = next((m for m in named[1:] if m.kind == "thing"), first)
        if first is None or first.part is None or first.kind not in CANDIDATES:
            return None
        if phrase.plural != first.plural and any(first.at < m.at < phrase.start and m.part and m.plural == phrase.plural
                                                 and m.role in ("worked", "object") for m in self.mentions.values()):
            return None  # "electrical, I crimped the cables and routed them"
        lead, rest = doc[token.sent.start:self.phrases[named[0].at].start], doc[first.at + 1:subject]
        if any(t.lower_ not in LEADS and not t.is_punct for t in lead) or any(
                (t.pos_ in ("VERB", "AUX") and t.dep_ not in ("relcl", "acl", "amod")) or t.pos_ == "SCONJ" for t in rest):
            return None
        return first

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
        here = found.sentence == self.sentence_of(phrase.head) and len(between) < 4
        if here and (phrase.side or phrase.place) and all(t.is_punct or t.pos_ == "DET" for t in between):
            self.mentions[found.at] = replace(found, side=phrase.side or found.side, own_side=bool(phrase.side),
                                              part=placed(found.part or "", phrase.place) or None)

    def _not_antecedents(self, phrase: Phrase) -> frozenset[int]:
        """What a pointer cannot stand for: the places that its own clause puts it on or takes it to."""
        token = self.passage.doc[phrase.head]
        if token.dep_ == "pobj" and token.head.head.pos_ == "VERB":  # "glued a piece of spruce into it"
            return frozenset(t.i for put in token.head.head.children if put.dep_ == "dobj" and put.i < token.i
                             for t in put.subtree)
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

    def _owner(self, phrase: Phrase) -> Mention | None:
        """The thing that owns the phrase's, if it is one ("the ribs of the left wing", "its edges")."""
        if phrase.owner is None:
            return None
        token = self.passage.doc[phrase.owner]
        if token.lower_ in words.OWNER_PRONOUNS:
            return self.antecedent(phrase.owner, skip=frozenset({phrase.head}))
        owner = self.phrases.get(phrase.owner)
        if owner is None:
            return None
        mention = self.mentions.get(phrase.owner) or self._mention(owner)
        if mention.kind == "feature" and owner.owner is None:
            return self.antecedent(phrase.owner, skip=frozenset({phrase.head}))
        return mention if mention.part else None
