"""When a thing was truly done: acts chosen for a question, and nothing that the words do not carry.

In: a `Question` and the acts of a journal with their sources. Out: `Answers`: the days of performed work, best
first; what was only planned or said not to be done; what was done to something near it (the other side, another
part of the same name). An empty list of answers is an answer: nothing says that it was ever done.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from witnessmark.answers.questions import Question
from witnessmark.model import Act
from witnessmark.trade import Lexicon
from witnessmark.trade.inflect import normal

LEFT_OUT = frozenset(
    {"the", "a", "an", "of", "all", "both", "left", "right", "port", "starboard", "my", "our", "new", "old", "and"}
)
# Assemblies whose parts are told under one or the other; common practice, no source.
RELATED = (
    frozenset({"landing-gear", "wheels-brakes"}),
    frozenset({"elevator", "trim-tab"}),
    frozenset({"flight-controls", "aileron"}),
    frozenset({"flight-controls", "elevator"}),
    frozenset({"flight-controls", "rudder"}),
    frozenset({"flight-controls", "fuselage"}),
    frozenset({"electrical", "lighting"}),
    frozenset({"electrical", "avionics"}),
    frozenset({"electrical", "instrument-panel"}),
    frozenset({"avionics", "instrument-panel"}),
    frozenset({"fuel-system", "wing"}),
    frozenset({"engine", "exhaust"}),
    frozenset({"engine", "engine-mount"}),
    frozenset({"engine", "cowling"}),
    frozenset({"fuselage", "firewall"}),
    frozenset({"firewall", "engine-mount"}),
    frozenset({"pitot-static", "wing"}),
    frozenset({"fuselage", "cabin-interior"}),
    frozenset({"fuselage", "baggage-compartment"}),
    frozenset({"fuselage", "canopy-windshield"}),
    frozenset({"fuselage", "doors"}),
    frozenset({"wheels-brakes", "fairings"}),
    frozenset({"engine", "fuel-system"}),
    frozenset({"engine", "electrical"}),
)
FAIR, WEAK = 0.6, 0.5  # a match below WEAK is none; one below FAIR of the best is left out beside it
LESS_TOLD = 0.55  # a "rib" where a tip rib is asked for: an answer only where nothing fits better


@dataclass(frozen=True, slots=True)
class Told:
    """An act with the source that tells it, and that source's local day (ISO date)."""

    act: Act
    source: str
    recorded: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """One line of an answer: an act, where it was told, and how well it fits what was asked (0 to 1)."""

    date: str | None
    task: str
    part: str | None
    side: str | None
    who: str | None
    source: str
    start: float
    quote: str
    confidence: float
    status: str = "done"
    assembly: str | None = None
    person: str | None = None


@dataclass(frozen=True, slots=True)
class Answers:
    """`answers`: performed, best first; `only_planned`: planned or not done; `near`: done, but not what was asked."""

    question: Question
    answers: tuple[Answer, ...] = ()
    only_planned: tuple[Answer, ...] = ()
    near: tuple[Answer, ...] = field(default=())


def answer(question: Question, records: Iterable[Told], lexicon: Lexicon) -> Answers:
    """The answers that a journal's acts give to a question."""
    matcher = _Matcher(question, lexicon)
    done, planned, near = [], [], []
    for told in records:
        strength, side_fits = matcher.strength(told.act)
        if strength < WEAK or told.act.status == "advice":
            continue
        line = _line(told, strength)
        if not side_fits or not matcher.person_fits(told.act):
            near.append(line)
        elif told.act.performed:
            done.append(line)
        else:
            planned.append(line)
    return Answers(question, _best(done), tuple(planned), tuple(near))


def _line(told: Told, strength: float) -> Answer:
    act = told.act
    return Answer(
        act.date,
        act.task,
        act.part,
        act.side,
        act.who,
        told.source,
        act.start,
        act.quote,
        round(strength * act.confidence, 3),
        act.status,
        act.assembly,
        act.person,
    )


def _best(lines: list[Answer]) -> tuple[Answer, ...]:
    """The best lines first, one for each day and source; weak ones only where no better one is there."""
    ordered = sorted(lines, key=lambda line: -line.confidence)
    strongest = max((line.confidence for line in ordered), default=0.0)
    kept: dict[tuple[str | None, str], Answer] = {}
    for line in ordered:
        if line.confidence >= FAIR * strongest:
            kept.setdefault((line.date, line.source), line)
    return tuple(kept.values())


class _Matcher:
    """How well an act fits a question."""

    def __init__(self, question: Question, lexicon: Lexicon) -> None:
        self.question, self.lexicon = question, lexicon
        self.assembly_words = {
            key: {normal(word) for name in names for word in name.split()}
            for key, (_, names) in lexicon.assemblies.items()
        }
        self.asked = self._words(question.part)
        self.whole = self._is_whole(question.part, question.assembly)

    def strength(self, act: Act) -> tuple[float, bool]:
        """How well task, thing and assembly fit (0 to 1), and whether the side fits."""
        if self.question.tasks and act.task not in self.question.tasks:
            return 0.0, True
        thing = self._thing(act)
        assembly = self._assembly(act)
        strength = min(thing, 1.0) * assembly
        if self.question.tasks and act.task != self.question.tasks[0]:
            strength *= 0.9
        side, fits = self._side(act)
        return strength * side, fits

    def person_fits(self, act: Act) -> bool:
        asked = self.question.person
        return (
            asked is None
            or bool(act.person and asked.lower() in act.person.lower())
            or (act.person is None and act.who == "paid" and asked.lower() in ("shop", "painter", "welder", "mechanic"))
        )

    # -- the thing

    def _words(self, name: str | None) -> list[str]:
        return [word for word in (normal(w) for w in (name or "").replace("-", " ").split()) if word not in LEFT_OUT]

    def _thing(self, act: Act) -> float:
        """1.0 for the same name, less where one of the two tells less of it, 0.0 for another thing."""
        if not self.asked:
            return 1.0
        told = self._words(act.part)
        if not told:
            return 0.0
        if told == self.asked:
            return 1.0
        ours, theirs = (
            self._core(self.asked, self.question.assembly),
            self._core(told, act.assembly or self.question.assembly),
        )
        if ours[-1] != theirs[-1] and not self._same_sort(ours, theirs):
            return 0.0
        mine, other = set(ours[:-1]), set(theirs[:-1])
        if mine == other:
            return 1.0
        if mine <= other:
            return 0.95
        if other <= mine:
            told_side = self.question.side is not None and self.question.side == act.side
            return 0.85 if told_side or len(theirs) > 1 else LESS_TOLD
        return 0.0

    def _core(self, words: list[str], assembly: str | None) -> list[str]:
        """A name without the words of its assembly: "rudder skin" on the rudder is its skin; a whole assembly stays."""
        kept = [word for word in words if word not in self.assembly_words.get(assembly or "", ())]
        return kept if kept and kept[-1] == words[-1] else words

    def _same_sort(self, ours: list[str], theirs: list[str]) -> bool:
        """True where the vocabulary has both names for one thing ("windscreen", "windshield")."""
        one, other = self.lexicon.thing(" ".join(ours)), self.lexicon.thing(" ".join(theirs))
        return one is not None and other is not None and one.name == other.name

    def _is_whole(self, part: str | None, assembly: str | None) -> bool:
        words = set(self._words(part))
        return bool(words) and words <= self.assembly_words.get(assembly or "", set())

    # -- assembly and side

    def _assembly(self, act: Act) -> float:
        asked = self.question.assembly
        if asked is None or act.assembly == asked:
            return 1.0
        if act.assembly is None:
            return 0.8 if len(self.asked) > 1 else 0.6
        if frozenset({asked, act.assembly}) in RELATED:
            return 0.9
        told = self._words(act.part)
        same_name = len(set(told) & set(self.asked)) >= 2 and told[-1] == self.asked[-1]
        return 0.75 if same_name or (set(told) & self.question.around and told == self.asked) else 0.0

    def _side(self, act: Act) -> tuple[float, bool]:
        asked = self.question.side
        if asked is None or asked == act.side or "both" in (asked, act.side):
            return 1.0, True
        if act.side is None:
            return 0.7, True
        return 1.0, False
