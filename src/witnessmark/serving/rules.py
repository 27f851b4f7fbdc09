"""The names of reading rules in plain words, for "why does it say that?". Others are shown as they are."""
from __future__ import annotations

RULES = {
    "past": "the verb is in the past: it happened", "perfect": "the verb says that it has happened by now",
    "progressive": "the verb is in its -ing form: under way or meant", "habit": "the verb is in the present",
    "future": "the verb speaks of the future", "fragment": "a short note without a whole sentence",
    "state": "the words describe how the thing is", "negated": "the words say not",
    "agent": "the words say by whom", "condition": "the sentence is conditional (if, when)",
    "subject-builder": "the speaker says I, or we", "subject-elided": "nobody is named, so the speaker means himself",
    "subject-you": "the speaker says you: advice", "subject-document": "plans or a manual say it: nothing was done",
    "subject-generic": "said of people in general",
    "thing-subject": "the thing is the subject; nobody is said to do it",
    "governor-intends": "the verb before it speaks of intending, needing or wanting",
    "passive-own": "said of the builder's own thing, without naming who did it",
    "causative-own": "“get it done”: had in mind by the builder",
    "causative-paid": "“had it done”: somebody else did it",
    "part-named": "the thing is named",
    "part-by-pointer": "the thing is a pronoun (it, them), taken from the words before",
    "part-by-region": "named by a place on it (inside, edge)", "part-by-coating": "named by what was put on it",
    "part-by-syntax": "taken from its place in the sentence", "part-in-focus": "the thing that the talk is about",
    "part-never-named": "the thing is not named",
    "assembly-in-words": "the assembly is in the thing's name", "assembly-usual": "such a thing always belongs there",
    "assembly-running": "the assembly is what the talk has been about",
    "assembly-of-antecedent": "the assembly of what the pronoun stands for",
    "assembly-of-same-thing": "the assembly of the same thing before",
    "assembly-of-owner": "the words say whose part it is",
    "assembly-from-memory": "an earlier recording told where this part belongs",
    "assembly-of-last-session": "the assembly of the recording before",
    "side-said": "left or right is said", "side-none": "no side is said",
    "side-of-topic": "the side that the talk is about",
    "side-of-goal": "the side of what it was joined to", "side-of-owner": "the side of what it belongs to",
    "side-of-antecedent": "the side of what the pronoun stands for",
    "own-day": "no day is said: the day of the recording", "story-goes-on": "the day of the sentence before goes on",
    "maker-earlier": "a maker's work is earlier than the recording",
    "person-known": "a person named in the journal's settings", "person-maker": "a maker of kits or parts",
    "pronoun-person": "he, she or they: the person named before",
    "verb:buy": "the verb means buying", "verb:order": "the verb means ordering",
    "rejected": "the words say that it was not bought", "price-only": "only a price is told",
    "listed-with": "told in a list with another thing", "sent-away": "sent away for work",
    "unit-price-times-count": "the price of one times their number", "sum:currency-sign": "the sum has a currency sign",
    "sum:currency-word": "the sum has a currency word", "act-not-done": "work that was said not to be done",
    "act-planned": "work that was planned", "defect-noun": "a word for a defect", "defect-state": "described as faulty",
    "on-order": "ordered and not here yet", "remedy-planned": "a remedy is planned for a defect",
    "added-by-builder": "the builder added this himself",
}


def plain(rule: str) -> str:
    """A rule's name in words."""
    if rule in RULES:
        return RULES[rule]
    if rule.startswith("time-"):
        return f"the date comes from words of time ({rule.removeprefix('time-')})"
    return rule.replace(":", ": ").replace("-", " ")
