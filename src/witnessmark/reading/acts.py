"""Acts: from clauses of work with their standing to records, one for each (task, part) that the talk states."""
from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from spacy.tokens import Token

from witnessmark.model import Act
from witnessmark.reading.clauses import Clause, Vocabulary, find_clauses
from witnessmark.reading.dates import TimeMention
from witnessmark.reading.memory import Memory
from witnessmark.reading.people import People
from witnessmark.reading.reference import Thing, Tracker
from witnessmark.reading.standing import PERFORMED, Standing, standing
from witnessmark.reading.text import Passage
from witnessmark.reading.when import Calendar, When, continues
from witnessmark.trade.lexicon import Lexicon


@dataclass(frozen=True)
class Finding:
    """One act in the making: its clause, standing, thing and time."""

    verb: Token
    task: str
    standing: Standing
    thing: Thing
    when: When
    rules: tuple[str, ...] = ()
    sure: float = 1.0


class ActFinder:
    """Reads the acts of one passage in text order."""

    def __init__(self, passage: Passage, lexicon: Lexicon, memory: Memory, day: dt.date,
                 times: Sequence[TimeMention]) -> None:
        self.passage, self.memory, self.day = passage, memory, day
        self.vocabulary = Vocabulary(passage.doc, lexicon)
        self.people = People(passage.doc, memory)
        self.tracker = Tracker(passage, lexicon, memory)
        self.calendar = Calendar(passage.doc, times, day)
        self.clauses = list(find_clauses(passage.doc, self.vocabulary))
        self.findings: list[Finding] = []

    def find(self) -> tuple[Act, ...]:
        for clause in self.clauses:
            self.findings += self._findings(clause)
        return tuple(self._act(finding) for finding in self.findings)

    def _findings(self, clause: Clause) -> Iterator[Finding]:
        judged = standing(clause.verb, self.people)
        things = [self.tracker.resolve(head, clause.verb, clause.task) for head in clause.objects or (None,)]
        if judged.status is None:
            return
        when = self._when(clause, judged)
        if when.kind == "future" and judged.status in PERFORMED and judged.tense != "past":
            judged = judged.by("future-time", status="planned")
        for thing in things:
            yield Finding(clause.verb, clause.task, judged, thing, when)

    def _when(self, clause: Clause, judged: Standing) -> When:
        others = [other.verb for other in self.clauses if other.verb.sent == clause.verb.sent]
        time = self.calendar.of(clause.verb, others)
        if time is not None:
            return When(time.edtf, f"time-{time.rule}", explicit=True, kind=time.kind)
        if judged.who == "maker":
            return When(self.calendar.before, "maker-earlier", 0.9)
        if continues(clause.verb.sent) and self.findings and self.findings[-1].when.explicit:
            last = self.findings[-1].when
            return replace(last, rule="story-goes-on", explicit=True)
        return When(f"{self.day:%Y-%m-%d}", "own-day", 0.95)

    def _act(self, finding: Finding) -> Act:
        judged, cue = finding.standing, self.passage.cue_of(finding.verb)
        line = self.passage.cues[cue]
        return Act(cue=cue, start=line.start, end=line.end, quote=line.text, task=finding.task,
                   part=finding.thing.part, assembly=finding.thing.assembly, side=finding.thing.side,
                   count=finding.thing.count, status=judged.status or "done", who=judged.who, person=judged.person,
                   date=finding.when.edtf if judged.status in PERFORMED else None,
                   confidence=round(judged.sure * finding.thing.confidence * finding.when.sure, 3),
                   rules=(*judged.rules, *finding.thing.rules, finding.when.rule))


def find_acts(passage: Passage, lexicon: Lexicon, memory: Memory, day: dt.date,
              times: Sequence[TimeMention]) -> tuple[Act, ...]:
    """The acts of a passage, in text order."""
    return ActFinder(passage, lexicon, memory, day, times).find()
