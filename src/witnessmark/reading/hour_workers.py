"""Whose hours they are: one entry for each kind of person, with a factor for the number of people.

"Two guys, three hours apiece" is six person-hours of helpers; "the two of us" is the builder and a helper.
"""
from __future__ import annotations

import re
from dataclasses import dataclass

from spacy.tokens import Doc, Token

from witnessmark.model import Act
from witnessmark.reading.numbers import Folded
from witnessmark.reading.people import BUILDER, HELPER, MAKER, MONEY_WORDS, PAID, People

_N = r"#\d+"
_FAMILY = (r"(?:wife|husband|son|daughter|brother|sister|dad|father|mum|mom|mother|grandson|granddaughter|nephew|niece|neighbou?r|buddy|mate|friend|partner"
           r"|missus|bride|uncle|cousin|pal|girlfriend|boyfriend|kid|kids|boys|girls|better half|other half)")
BOTH = re.compile(
    rf"\b(?:both of us|(?:all|the) (?P<n>{_N}|both|pair) of us|each of us|us both|us each"
    rf"|(?P<first>[a-z]+) and (?:i|me|myself)\b|(?:me|myself|i) and (?:my )?(?P<second>[a-z]+)(?! (?:was|had|did|would|has|is|put|came)))")
# With "each" behind it: "me and my cousin put in five hours each", "I worked with my brother, two hours each".
EACH_OF_TWO = re.compile(BOTH.pattern.replace("(?! (?:was|had|did|would|has|is|put|came))", "") + r"|\bwith (?:my )?(?P<third>[a-z]+)\b")
FOR_ME = re.compile(r"^ ?(?:hours )?(?:(?:(?:that|this|the same|last) (?:day|night|evening|morning|afternoon|weekend)|today|~_*) ?)?(?:, )?"
                    r"(?:for me|of mine|mine|from yours truly|of me\b|me only|just me|on my own|by myself|of my (?:own|time))")
OWN_TRIP = re.compile(r"\bdriving\b|\b(?:i|we|i'd|i've|we've)\b[^.]*\b(?:drove|driven|drive|drives|flew|flown|fly|don't count|not counting|haul\w*|travel\w*)\b"
                      r"|\b(?:drove|driven|drive|flew|flown)\b[^.]*\b(?:i|me|my)\b|\b(?:he|she|they|[a-z]+'s) (?:drove|flew)\b|which i|^ *drove\b")
OURS = re.compile(r"\b(?:for me|for myself|from (?:yours truly|me)|yours truly|mine|of me|me only|just me|by myself|on my own|myself|my own|my time|i)\b")
THEIRS = re.compile(rf"\b(?:for (?:him|her|them|(?:my )?{_FAMILY})|(?:of|from) (?:his|her|their|them|him)\b(?! (?:spent|on|for|went|was|were|just|gone)\b)|from the {_N} of them|(?:his|her|their) (?:time|hours|column|share)"
                    rf"|put (?:him|her|them) down|of other people's)")
EACH = re.compile(r"\b(?:each(?! (?:evening|night|day|morning|afternoon|week|way|side|one|of (?:those|these)|(?!that )[a-z]+ (?:takes|took)))|apiece|a head|per person|a man|per man|each of us|man hours each)\b")
LEDGER = frozenset({"tally", "total", "book", "notebook", "logbook", "log", "ledger", "hour", "hours", "clock", "time", "column"})
_CROWD = re.compile(rf"(?P<n>{_N}) (?:of (?:them|the \w+)(?! (?:spent on|on|for|went on|just|alone|hours)\b)|(?:[a-z]+ )?(?:guys|fellows|fellas|blokes|lads|chaps|men|women|people|friends|mates|buddies|helpers|kids|volunteers|members|others|of them))"
                    r"|\b(?P<two>(?:the )?(?:pair|both) of them|they both|both of them|(?!i |me )[a-z]+ and (?:his |her |my |their )?(?!i\b|me\b)[a-z]+ (?:came|helped|were|from|each|put|did|both|turned|showed|worked|stayed|gave|spent|dropped))")

_AT_WORK = re.compile(r"^(?: (?:from|at|of|in) (?:the|my|our) [a-z]+(?: [a-z]+)?)?(?: (?!i\b|we\b|my\b)[a-z]+){0,2} (?:helped|worked|stayed|gave|spent|put in|pitched in"
                      r"|(?:came|were|was|turned|showed|stopped|dropped)(?: (?:over|by|out|round|around|in|up|here|there))?)(?! for you)"
                      r"(?: (?!i\b|we\b|i'|we')[a-z',~_]+){0,10} ?$")
_HIRED = re.compile(r"\b(?:paid|pay|paying|charged|charges|charging|billed|bills|invoiced)(?: (?:for|me|us|him|her|them|the [a-z]+|about|only|just))* ?$")
_SHOP_TIME = re.compile(r"^ (?:hours )?of (?:shop|machine|bench|mechanic's|welder's|their|his) (?:time|labou?r)\b|^ (?:hours )?labou?r (?:charge|on the bill|at the shop)")
_OWN_CLAUSE = re.compile(r"\b(?:and|but|so|then|while) (?=(?:i|we|i'm|i'd|i've)\b)")
_BETWEEN_THEM = re.compile(r"^[ ,]*(?:between them|in all|in total|altogether|all told|all up|combined)\b")


@dataclass(frozen=True, slots=True)
class Worker:
    """One kind of person with hours: `who` as published, how many times the length is theirs, the name if said."""

    who: str
    factor: int = 1
    person: str | None = None
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """Where a length stands: words around it, the tokens of its clause up to it, and the act that it tells of.

    `inside` are the words between the pieces of a length told in steps.
    """

    left: str
    right: str
    whole: str
    clause: tuple[Token, ...]
    act: Act | None
    act_words: str = ""
    act_far: bool = False
    inside: str = ""


def _is_had_in(token: Token) -> bool:
    """ "I had a mechanic in": who was had in did the work."""
    after = token.nbor(1).lower_ if token.i + 1 < len(token.doc) else ""
    return token.head.lemma_.lower() in ("have", "get") and after in ("in", "over", "out", "round", "up", "by", "here")


def _builders(act: Act | None) -> bool:
    return act is None or act.who == BUILDER


class Workers:
    """Finds whose hours a length of time is."""

    def __init__(self, doc: Doc, folded: Folded, people: People) -> None:
        self.doc, self.folded, self.people = doc, folded, people
        found = ((token.lower_, people.who(token)) for token in doc if token.pos_ in ("PROPN", "NOUN"))
        self._named = {word: someone for word, someone in found if someone.kind in (HELPER, PAID) and word not in LEDGER}
        self.names = {token.lower_ for token in doc if token.pos_ == "PROPN" and token.lower_ in self._named}

    def of(self, setting: Setting, scope: str) -> tuple[Worker, ...]:
        """The workers of one length; the builder where nobody else is named."""
        near = f"{setting.left} ^ {setting.right}"
        goes = re.search(rf"{_N} (?:[a-z]+ )?(?:sessions?|evenings|nights|days|mornings|weekends|goes|stints)\b", setting.whole)
        each = not goes and bool(EACH.search(setting.right[:40]) or EACH.search(setting.left[-25:]))
        if FOR_ME.match(setting.right):
            return (Worker(BUILDER, rule="for me"),)
        both = self._both(setting.right) or (self._both(setting.left + setting.inside, each) if scope == "task" or each else None)
        if both and scope in ("task", "session"):
            return self._builder_and_helpers(both, setting, "both of us")
        if scope in ("total", "planned", "other"):
            return (self._owner(setting),)
        after = re.match(r" (he|she|they|i|we)(?:'ve|'s|'d)? (?:have |has |had )?(?:spent|put|did|took|worked|reckons?|says?)\b", setting.right)
        if after:
            return (Worker(BUILDER, rule="speaker") if after[1] in ("i", "we") else self._them(setting),)
        crowd = self._crowd(setting)
        each = each or self._all_at_work(setting)
        if _HIRED.search(setting.left) or _SHOP_TIME.match(setting.right):
            return (Worker(PAID, rule="paid for"),)
        if THEIRS.search(setting.right[:45]) or THEIRS.search(_OWN_CLAUSE.split(setting.left)[-1]):
            who, person = self._their_kind(setting)
            return (Worker(who, crowd if each else 1, person, "for them"),)
        named = self.named_after(setting)
        if named:
            return (named,)
        subject = self._subject(setting)
        if subject and subject.who != BUILDER:
            return (Worker(subject.who, crowd if each else 1, subject.person, subject.rule),)
        if subject is None and crowd > 1 and not re.search(r"\b(?:i|we)\b", near):
            return (Worker(HELPER, crowd if each else 1, None, "several helpers"),)
        if each and (re.search(r"\bwe\b", setting.left) or (subject is None and scope == "task" and _builders(setting.act))):
            return (Worker(BUILDER, rule="we each"), Worker(HELPER, rule="we each"))
        if scope == "task":
            told = self._of_act(setting, each, subject)
            if told:
                return told
        return (Worker(BUILDER, rule="speaker"),)

    def _both(self, words: str, each: bool = False) -> re.Match[str] | None:
        """ "The two of us", "Walt and I", "me and him"; not "just me and the nibbler"."""
        for match in (EACH_OF_TWO if each else BOTH).finditer(words):
            if re.search(r"\bjust $", words[:match.start()]):
                continue
            other = match["first"] or match["second"] or match.groupdict().get("third")
            if other is None or other in self._named or re.fullmatch(rf"him|her|them|{_FAMILY}", other):
                return match
        return None

    def _owner(self, setting: Setting) -> Worker:
        """Whose total, estimate or drive it is: the last person named before it, else the builder."""
        if THEIRS.search(setting.right[:30]):
            return self._them(setting)
        named = self.named_after(setting)
        subject = self._subject(setting) if named is None else None
        if subject and subject.rule == "pronoun-unknown-person":
            subject = None
        return named or subject or Worker(BUILDER, rule="speaker")

    def _builder_and_helpers(self, both: re.Match[str], setting: Setting, rule: str) -> tuple[Worker, ...]:
        sign = both.groupdict().get("n")
        count = int(self.folded.value(sign)) if sign and sign.startswith("#") else 2
        return Worker(BUILDER, rule=rule), Worker(HELPER, max(count - 1, 1), self._helper_name(setting), rule)

    def _helper_name(self, setting: Setting) -> str | None:
        return setting.act.person if setting.act else None

    def _crowd(self, setting: Setting) -> int:
        """How many helpers the words around speak of."""
        match = _CROWD.search(setting.whole)
        if not match:
            return 1
        more = 1 if re.search(r"\b[a-z]+ (?:did|put in) (?:the )?same\b", setting.right) else 0
        if match["two"]:
            pair = re.match(r"([a-z]+) and (?:his |her |my |their )?([a-z]+)", match["two"])
            return 2 + more if not pair or {pair[1], pair[2]} & self._named.keys() else 1
        count = self.folded.value(match["n"])
        return int(count) + more if 1 <= count <= 12 else 1

    @staticmethod
    def _all_at_work(setting: Setting) -> bool:
        """ "Three friends stayed for two hours": each of them did, unless it is said to be between them."""
        crowd = _CROWD.search(setting.left)
        if not crowd or not crowd["n"] or _BETWEEN_THEM.match(setting.right):
            return False
        return bool(_AT_WORK.match(setting.left[crowd.end():]))

    def _them(self, setting: Setting) -> Worker:
        who, person = self._their_kind(setting)
        return Worker(who, 1, person, "for them")

    def _their_kind(self, setting: Setting) -> tuple[str, str | None]:
        """A helper, or somebody for hire where the act or the pronoun says so."""
        for token in reversed(setting.clause):
            if token.lower_ in ("he", "she", "him", "her", "his"):
                someone = self.people.who(token)
                if someone.kind in (HELPER, PAID):
                    return someone.kind, someone.name
        if setting.act and setting.act.who in (HELPER, PAID):
            return setting.act.who, setting.act.person
        return HELPER, None

    def named_after(self, setting: Setting) -> Worker | None:
        """ "One hour of Walt", "two hours for my son"."""
        match = re.match(r" ?(?:for|of|from) (?:my )?([a-z]+)(?:'s)?\b", setting.right)
        if not match:
            return None
        word = match[1]
        tokens = setting.clause[-1:] and [t for t in setting.clause[-1].sent if t.lower_ == word]
        for token in tokens or ():
            someone = self.people.who(token)
            if someone.kind in (HELPER, PAID) and (token.pos_ == "PROPN" or re.fullmatch(_FAMILY, word)):
                return Worker(someone.kind, 1, someone.name, "named")
        return None

    def _by_name(self, left: str) -> Worker | None:
        """ "Dale's been here", "Dale's at": a name with a shortened verb, which a parser takes for a genitive."""
        found = list(re.finditer(r"\b([a-z]+)(?:'s|'d)? (?:has|had|been|was|were|got|did|put|at|here|is|stayed|spent|gave|came|worked|helped|in|on|up|over|be|would)\b", left))
        match = found[-1] if found else None
        bare = re.search(r"\b([a-z]+)(?: (?:about|only|just|did|another|maybe|around))* ?$", left)
        if bare and bare[1] in self.names:
            someone = self._named[bare[1]]
            return Worker(someone.kind, 1, someone.name, "name before it")
        if match and match[1] in self.names and not re.search(r"\b(?:i|we|i've|i'm|he|she)\b", left[match.end():]):
            someone = self._named[match[1]]
            return Worker(someone.kind, 1, someone.name, "name and short verb")
        return None

    def _subject(self, setting: Setting) -> Worker | None:
        """The last subject before the length that is a person."""
        named = self._by_name(setting.left)
        if named:
            return named
        for token in reversed(setting.clause):
            if token.dep_ not in ("nsubj", "nsubjpass", "poss", "dobj", "dative") and not (token.dep_ == "conj" and token.head.dep_ == "nsubj"):
                continue
            if token.dep_ == "dobj" and _is_had_in(token) and self.people.who(token).kind in (HELPER, PAID):
                someone = self.people.who(token)
                return Worker(someone.kind, 1, someone.name, "had in")
            if token.dep_ in ("dobj", "dative") and (token.lower_ not in ("him", "her", "me", "us") or token.head.lemma_ not in ("take", "cost")):
                continue
            if token.lower_ in LEDGER:
                continue
            if token.dep_ == "poss" and token.lower_ in ("his", "her", "their", "my", "our", "its", "your"):
                continue
            if token.lower_ in ("it", "they", "that", "which") and token.lower_ != "they":
                continue
            someone = self.people.who(token)
            if token.lower_ in ("he", "she") and setting.act and setting.act.who in (HELPER, PAID) and not setting.act_far:
                return Worker(setting.act.who, 1, setting.act.person, "who did the job")
            if someone.rule == "pronoun-unknown-person" and any(t.lower_ in MONEY_WORDS for t in token.sent):
                return Worker(PAID, rule="pronoun and a price")
            if someone.kind in (BUILDER, HELPER, PAID):
                if token.dep_ == "poss" and someone.kind != BUILDER and not token.text[:1].isupper():
                    continue
                return Worker(someone.kind, 1, someone.name, someone.rule)
        return None

    def _of_act(self, setting: Setting, each: bool, subject: Worker | None) -> tuple[Worker, ...] | None:
        """Who did the work that the length is told of: the act's own doers."""
        act = setting.act
        if act is None or not act.who:
            return None
        if act.who == BUILDER:
            both = self._both(setting.act_words)
            return self._builder_and_helpers(both, setting, "both did it") if both and (each or subject is None) else None
        if act.who in (HELPER, PAID, MAKER) and subject is None:
            who = HELPER if act.who == HELPER else PAID
            return (Worker(who, 1, act.person, "who did the job"),)
        return None
