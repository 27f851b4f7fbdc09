"""The vocabulary, ready to be asked: terms of a text, senses of a verb, the category of a thing."""
from __future__ import annotations

import functools
from collections import defaultdict
from dataclasses import replace

from spacy.tokens import Doc, Token

from witnessmark.trade import designations
from witnessmark.trade.everyday import Everyday
from witnessmark.trade.inflect import normal
from witnessmark.trade.matcher import Entry, Matcher, Sense, Trie
from witnessmark.trade.matcher import Words as MatcherWords
from witnessmark.trade.terms import TaskForm, Term
from witnessmark.trade.verbs import VerbForms
from witnessmark.trade.vocabulary import Thing, Vocabulary, Words, built_in, with_own_words

# The purchase category of what a designation names; every other family is hardware.
FAMILY_CATEGORY = {"alloy": "material", "drill": "tool", "wire": "material"}
NO_TERM = Entry(None, "")


class Lexicon:
    """Finds the trade's terms in a parsed text and knows what its verbs mean. Made by `Lexicon.load`.

    `tasks` maps a task id to its label, `assemblies` an assembly id to its label and words, `parts` a part's
    name to its assembly (or None), words, purchase category and constructions; `nominal_tasks` maps a noun of
    work ("leak test") to its task.
    """

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._vocabulary = vocabulary
        self._verbs = VerbForms(vocabulary)
        self._everyday = Everyday(vocabulary.everyday_things, vocabulary.everyday_phrases)
        self.tasks = dict(vocabulary.tasks)
        self.assemblies = {key: (item.label, item.synonyms) for key, item in vocabulary.assemblies.items()}
        self.parts = {thing.name: (thing.assembly, thing.synonyms, thing.category, thing.construction)
                      for thing in vocabulary.things if thing.kind == "part"}
        self.nominal_tasks = dict(vocabulary.nominals)
        self._matcher = Matcher(_thing_trie(vocabulary), _assembly_trie(vocabulary), _nominal_trie(vocabulary),
                                MatcherWords(vocabulary.modifiers, _senses(vocabulary)), self._verbs)

    @classmethod
    def load(cls, vocabulary: Words | None = None) -> Lexicon:
        """The lexicon with the builder's own words, if any. Raises JournalError for a word list it cannot use."""
        return cls(with_own_words(built_in(), vocabulary)) if vocabulary else _plain()

    def terms(self, doc: Doc) -> tuple[Term, ...]:
        """All terms in order. Things, assemblies and tasks are three groups; within one, terms never overlap.

        So "elevator skin" is the part [elevator skin] and, in the other group, the assembly [elevator].
        """
        named = _designations(doc)
        matched = list(self._matcher.things(doc))
        things = [left for term, _ in matched if (left := _outside(doc, term, named)) is not None]
        whole = [term for term, is_whole in matched if is_whole]
        assemblies = [term for term in self._matcher.assemblies(doc) if not _belongs_elsewhere(term, whole)]
        found = [*named, *things, *assemblies, *self._matcher.nominals(doc)]
        return tuple(sorted(found, key=lambda term: (term.start, -term.end)))

    def verb_of(self, token: Token) -> str | None:
        """The lemma of the trade verb that this token is a form of, whatever its tag; None if it is none here.

        None as well where it is everyday talk: "cut the grass", "shot a video", "screwed up".

        Of a verb of several words ("match drilled") the last word has it, and the others have none.
        """
        lemma = self._verbs.verb_of(token)
        if lemma is None or self._everyday.is_talk(token, lemma):
            return None
        names = not token.lower_.endswith("ed") and self._matcher.begins_name(token)
        return None if names else lemma

    def task_forms(self, lemma: str) -> tuple[TaskForm, ...]:
        """All senses of a verb's lemma or of a noun of work; any inflected form will do as well."""
        key = lemma.lower()
        if key not in self._verbs.senses:
            key = self._verbs.lemma(key) or key
        senses = list(self._verbs.senses.get(key, ()))
        task = self.nominal_tasks.get(lemma.lower())
        if task and not any(form.task == task for form in senses):
            senses.append(TaskForm(lemma.lower(), task))
        return tuple(senses)

    def thing(self, name: str) -> Thing | None:
        """The thing of this name, or the one that its last words name ("front spar" is a spar)."""
        words = [normal(word) for word in name.replace("-", " ").split()]
        for start in range(len(words)):
            found = self._things.get(" ".join(words[start:]))
            if found:
                return found
        return None

    def category(self, name: Term | str) -> str | None:
        """The purchase category of a thing or a service, by its name or term; None if it is not known."""
        text = name.id if isinstance(name, Term) else name
        named = designations.parse(text)
        if named is not None and named.thing:
            return FAMILY_CATEGORY.get(named.family, "hardware")
        service = self._vocabulary.services.get(text.lower())
        if service:
            return service
        thing = self.thing(text)
        if thing is not None:
            return thing.category
        if text.lower().split()[-1:] in (["kit"], ["set"]):
            return self.category(text.rpartition(" ")[0]) or "part"
        return "service" if self._is_work(text) else None

    def _is_work(self, text: str) -> bool:
        """True for "panel cutting", "engine inspection": work by its last word, so a service where it is bought."""
        words = text.lower().split()
        if not words:
            return False
        named = any(" ".join(words[-count:]) in self.nominal_tasks for count in (1, 2))
        return named or (words[-1].endswith("ing") and bool(self.task_forms(words[-1])))

    @functools.cached_property
    def words(self) -> frozenset[str]:
        """Every single word of the vocabulary, lower case, verbs in all their forms: what a builder may say."""
        named = (name for thing in self._vocabulary.things for name in (thing.name, *thing.synonyms))
        labels = (name for _, synonyms in self.assemblies.values() for name in synonyms)
        return frozenset(word for name in (*named, *labels, *self.nominal_tasks) for word in name.lower().split()
                         ) | self._verbs.words()

    @functools.cached_property
    def _things(self) -> dict[str, Thing]:
        return _by_name(self._vocabulary)

    @functools.cached_property
    def task_question_words(self) -> dict[str, tuple[str, ...]]:
        """Every verb (with its particle) and noun of work with the tasks that it may mean, the most usual first."""
        words: dict[str, list[str]] = defaultdict(list)
        ordered = sorted((form for forms in self._verbs.senses.values() for form in forms),
                         key=lambda form: (form.light, bool(form.objects)))
        for form in ordered:
            key = f"{form.lemma} {form.particle}" if form.particle else form.lemma
            words[key].append(form.task)
        for noun, task in self.nominal_tasks.items():
            words[noun].append(task)
        return {word: tuple(dict.fromkeys(tasks)) for word, tasks in words.items()}


@functools.cache
def _plain() -> Lexicon:
    return Lexicon(built_in())


def _belongs_elsewhere(assembly: Term, names: list[Term]) -> bool:
    """True for "rudder" of "rudder cable", "panel" of "access panel": part of a name that belongs elsewhere."""
    for name in names:
        inside = name.start <= assembly.start and assembly.end <= name.end
        if inside and name.end - name.start > assembly.end - assembly.start:
            is_head = name.assembly is None and assembly.end == name.end
            return is_head or name.kind == "tool" or name.assembly not in (None, assembly.id)
    return False


def _outside(doc: Doc, thing: Term, named: list[Term]) -> Term | None:
    """What a thing's name leaves outside the designations: "bit" of "number 40 bit"; None if nothing."""
    start = max((term.end for term in named if term.start < thing.end and thing.start < term.end), default=thing.start)
    if start >= thing.end:
        return None
    return replace(thing, start=start, text=doc[start:thing.end].text)


def _designations(doc: Doc) -> list[Term]:
    """Designations as terms: `id` is the standard way of writing ("AN470AD4-6")."""
    found = []
    for designation in designations.find(doc):
        span = doc.char_span(designation.start, designation.end, alignment_mode="expand")
        if span is not None:
            found.append(Term(span.start, span.end, "designation", designation.text, span.text))
    return found


def _by_name(vocabulary: Vocabulary) -> dict[str, Thing]:
    names: dict[str, Thing] = {}
    for thing in vocabulary.things:
        for name in (thing.name, *thing.synonyms):
            for written in {name.replace("-", " "), name.replace("-", "")}:
                names.setdefault(" ".join(normal(word) for word in written.split()), thing)
    return names


def _senses(vocabulary: Vocabulary) -> dict[str, tuple[Sense, ...]]:
    senses: dict[str, tuple[Sense, ...]] = {}
    for other in vocabulary.senses:
        entry = Entry(other.thing.kind, other.thing.name, other.thing.assembly) if other.thing else NO_TERM
        senses[other.word] = (*senses.get(other.word, ()), Sense(other.near, other.absent, entry))
    return senses


def _thing_trie(vocabulary: Vocabulary) -> Trie:
    trie = Trie()
    trie.add_all(vocabulary.not_terms, NO_TERM)
    for thing in vocabulary.things:
        trie.add_all((thing.name, *thing.synonyms), Entry(thing.kind, thing.name, thing.assembly))
    return trie


def _assembly_trie(vocabulary: Vocabulary) -> Trie:
    trie = Trie()
    trie.add_all(vocabulary.not_terms, NO_TERM)
    for assembly in vocabulary.assemblies.values():
        trie.add_all(assembly.synonyms, Entry("assembly", assembly.id, assembly.id))
    return trie


def _nominal_trie(vocabulary: Vocabulary) -> Trie:
    trie = Trie()
    for noun, task in vocabulary.nominals.items():
        trie.add(noun, Entry("task", task))
    return trie
