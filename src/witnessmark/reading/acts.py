"""Acts: from clauses of work with their standing to records, one for each (task, part) that the talk states."""
from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from spacy.tokens import Token

from witnessmark.model import Act
from witnessmark.reading.clauses import Clause, find_clauses, refined
from witnessmark.reading.dates import TimeMention
from witnessmark.reading.doubts import questions, sureness
from witnessmark.reading.ellipsis import Gap, find_gaps, find_states
from witnessmark.reading.findings import PERFORMED, Finding, compatible, merged, same_part, vague_doer
from witnessmark.reading.grammar import is_conjunct, verb_group
from witnessmark.reading.memory import Memory
from witnessmark.reading.nominal import find_nominal
from witnessmark.reading.people import table
from witnessmark.reading.reference import Thing, Tracker
from witnessmark.reading.standing import Standing, nominal_standing, standing, state_standing
from witnessmark.reading.text import Passage
from witnessmark.reading.vocabulary import Vocabulary
from witnessmark.reading.when import Calendar, When, continues
from witnessmark.trade.lexicon import Lexicon

COATINGS = ("prime", "paint", "seal")
GAP_REACH = 3  # sentences back in which the work stands that an elliptic sentence speaks of
LEAST_SURE_CLAIM = 0.65  # below this the builder is not said to have done it
LEAST_SURE = 0.3  # below this a finding is left out altogether


class ActFinder:
    """Reads the acts of one passage in text order."""

    def __init__(self, passage: Passage, lexicon: Lexicon, memory: Memory, day: dt.date,
                 times: Sequence[TimeMention]) -> None:
        self.passage, self.memory, self.day = passage, memory, day
        self.vocabulary = Vocabulary(passage, lexicon, [i for time in times for i in range(time.start, time.end)])
        self.people = passage.people(memory)
        self.tracker = Tracker(passage, lexicon, memory)
        self.calendar = Calendar(passage.doc, times, day)
        clauses = [*find_clauses(passage.doc, self.vocabulary), *find_states(passage.doc, self.vocabulary)]
        verbs = frozenset(clause.verb.i for clause in clauses)
        clauses += find_nominal(self.vocabulary, verbs)
        self.clauses = sorted(clauses, key=lambda clause: clause.verb.i)
        self.gaps = list(find_gaps(passage.doc, self.vocabulary, self.clauses))
        self.sentence_of = {token.i: number for number, sentence in enumerate(passage.sentences) for token in sentence}
        self._verbs_of: dict[int, list[Token]] = {}
        for clause in self.clauses:
            self._verbs_of.setdefault(self.sentence_of[clause.verb.i], []).append(clause.verb)
        self.findings: list[Finding] = []

    def find(self) -> tuple[Act, ...]:
        """The acts, merged, in text order."""
        places: list[Clause | Gap] = [*self.clauses, *self.gaps]
        for place in sorted(places, key=lambda place: place.verb.i):
            found = self._of_clause(place) if isinstance(place, Clause) else self._of_gap(place)
            self.findings += found
        self._date_by_comment()
        self._person_by_comment()
        kept = merged([finding for finding in self.findings if self._holds(finding)])
        return tuple(self._act(finding) for finding in kept)

    # ---- clauses -----------------------------------------------------------------

    def _of_clause(self, clause: Clause) -> list[Finding]:
        judged = self._advised(clause, self.judged(clause))
        things = self._things(clause, clause.task)
        named = things if clause.task != "drill-out" else self._things(clause)  # the task alone makes "them" rivets
        names = {head.i: thing.part for head, thing in zip(clause.objects, named, strict=False)}
        settled = refined(clause, names, self.vocabulary)
        if settled is None:
            return []
        if settled.task != clause.task:
            things = self._things(settled, settled.task)
        clause = settled
        if clause.task == "drill-out":
            things = [_rivets(head, thing) for head, thing in zip(clause.objects or (None,), things, strict=True)]
        if things:
            judged = self._remembered(judged, clause.task, things[0])
        if judged.status is None or _is_talk_of_work(clause) or _is_aside(clause) or self._is_answered(clause):
            return []
        judged = self._of_then(clause.verb, judged)
        when = self._when(clause.verb, judged)
        if when.kind == "future" and judged.status in PERFORMED and "past" not in judged.rules:
            judged = judged.by("future-time", status="planned")
        elif judged.status == "doing" and when.explicit:
            judged = judged.by("narrative-present", status="done")
        return [self._finding(clause, judged, thing, when) for thing in things]

    def _of_then(self, verb: Token, judged: Standing) -> Standing:
        """ "Yesterday, hanging the exhaust.": an -ing form alone, beside a time gone by, tells what was done then."""
        if judged.status != "doing" or "gerund-fragment" not in judged.rules:
            return judged
        time = self.calendar.of(verb, self._verbs_beside(verb))
        gone = time is not None and time.kind == "past" and time.rule != "weekday"
        return judged.by("past-progressive", status="done", tense="past") if gone else judged

    def _things(self, clause: Clause, task: str | None = None) -> list[Thing]:
        return [self.tracker.resolve(head, clause.verb, task) for head in clause.objects or (None,)]

    def _remembered(self, judged: Standing, task: str, thing: Thing) -> Standing:
        """ "The fittings got welded": by him at whose place earlier sessions left them; "he" is who did such work."""
        nobody, he = "passive-own" in judged.rules, "pronoun-unknown-person" in judged.rules
        if judged.status not in ("done", "doing", "not-done", "planned") or not (nobody or he):
            return judged
        for act in reversed(self.memory.acts):
            if act.task != task or act.who is None:
                continue
            if he and act.who in ("helper", "paid"):
                return judged.by("person-remembered", who=act.who, person=act.person)
            if nobody and same_part(act.part, thing.part) and compatible(act.side, thing.side):
                hired = act.who == "paid"
                return judged.by("person-remembered", who=act.who, person=act.person) if hired else judged
        return judged

    def judged(self, clause: Clause) -> Standing:
        """The standing of a clause by its words alone, before times and memory."""
        if clause.kind == "nominal" and any(c.lower_ in ("no", "without") for o in clause.verb.children
                                            for c in o.children if o.dep_ in ("dobj", "attr")):
            return Standing("not-done").by("negated")
        if clause.kind == "fragment":
            return Standing("done", tense="past").by("fragment").by("subject-elided")
        judge = {"state": state_standing, "nominal": nominal_standing}.get(clause.kind, standing)
        return judge(clause.verb, self.people)

    def _advised(self, clause: Clause, judged: Standing) -> Standing:
        """ "If you ream yours, go slow": the work in the condition is what the advice is about, if no other is."""
        about_you = judged.status is None and "subject-you" in judged.rules and (
            "condition" in judged.rules or "time-to-come" in judged.rules)
        alone = about_you and len(self._verbs_beside(clause.verb)) == 1
        return replace(judged, status="advice", who=None) if alone else judged

    def _is_answered(self, clause: Clause) -> bool:
        """ "Testing the lines, no.": the answer in the same sentence is the statement."""
        here = self.sentence_of[clause.verb.i]
        return any(gap.asked is clause and self.sentence_of[gap.verb.i] == here for gap in self.gaps)

    def _verbs_beside(self, verb: Token) -> list[Token]:
        """The predicates of work in the sentence of a verb."""
        return self._verbs_of.get(self.sentence_of[verb.i], [])

    def _finding(self, clause: Clause, judged: Standing, thing: Thing, when: When) -> Finding:
        sure = judged.sure * when.sure * sureness(clause, thing, self.vocabulary)
        return Finding(clause.verb, clause.task, judged, thing, when, self.sentence_of[clause.verb.i], sure,
                       explicit=bool(clause.objects), kind=clause.kind, light=clause.sense.light)

    # ---- gaps ---------------------------------------------------------------------

    def _of_gap(self, gap: Gap) -> list[Finding]:
        before = self._told_before(gap)
        task = self._asked_task(gap) if gap.asked is not None else before.task if before is not None else None
        if gap.coats:
            task = self._coating(gap)
        if task is None:
            return []
        judged = self._gap_standing(gap)
        if judged.status is None or (judged.status == "advice" and not gap.coats) or self._told_again(gap):
            return []
        if gap.event and before is not None and before.standing.status == "advice" and self._told_next(gap, task):
            return []
        when = self._when(gap.verb, judged)
        if gap.event and before is not None:
            things = [before.thing]
            self._done_by(before, judged)
        else:
            things = [self.tracker.resolve(head, gap.verb, task) for head in gap.things or (None,)]
        return [Finding(gap.verb, task, judged, thing, when, self.sentence_of[gap.verb.i],
                        judged.sure * thing.confidence * when.sure, explicit=bool(gap.things),
                        kind="event" if gap.event else "gap") for thing in things]

    def _done_by(self, told: Finding, judged: Standing) -> None:
        """ "She did all that herself": names who did what the sentence before told without a doer."""
        if judged.status == "done" and judged.who in ("helper", "paid", "maker"):
            self.findings = [replace(f, standing=replace(f.standing, who=judged.who, person=judged.person))
                             if f.sentence == told.sentence and f.performed and vague_doer(f.standing) else f
                             for f in self.findings]

    def _asked_task(self, gap: Gap) -> str | None:
        """The task of the question before, its sense chosen by the thing that the answer names."""
        if gap.asked is None:
            return None
        parts = [self.tracker.resolve(head, gap.verb, gap.asked.task).part for head in gap.things or (None,)]
        settled = refined(gap.asked, {head.i: parts[0] for head in gap.asked.objects}, self.vocabulary)
        return settled.task if settled is not None else gap.asked.task

    def _coating(self, gap: Gap) -> str | None:
        """The task of "its two coats": the coating told last, here or in an earlier session."""
        told = [f.task for f in self.findings] or [act.task for act in self.memory.acts]
        return next((task for task in reversed(told) if task in COATINGS), None)

    def _told_before(self, gap: Gap) -> Finding | None:
        here = self.sentence_of[gap.verb.i]
        recent = [f for f in self.findings if not (not gap.event and f.light) and here - f.sentence <= GAP_REACH
                  and f.standing.status is not None
                  and f.verb.i < gap.verb.i]
        if gap.event and gap.answer is False:  # "I thought so, but I didn't": denies what was not told as a fact
            recent = [f for f in recent if f.standing.believed or f.standing.status in ("advice", "planned")]
        return recent[-1] if recent else None

    def _told_again(self, gap: Gap) -> bool:
        """ "The ribs I did myself. Last night I bent all five": the verb comes in the next sentence."""
        if not gap.pro_verb or gap.event or self.calendar.of(gap.verb, ()) is not None:
            return False
        here = self.sentence_of[gap.verb.i]
        live = verb_group(gap.verb).progressive
        return any(self.sentence_of[c.verb.i] == here + 1 and c.group.negation is None and (
            c.group.progressive if live else c.group.tense == "past" and not any(
                self.vocabulary.thing(o) for o in c.objects)) for c in self.clauses)

    def _told_next(self, gap: Gap, task: str) -> bool:
        """ "You prime it first. I did it last. I riveted the skin on Monday.": the next sentence tells on what."""
        here = self.sentence_of[gap.verb.i]
        return any(self.sentence_of[c.verb.i] == here + 1 and c.task == task and c.group.tense == "past"
                   and any(self.vocabulary.thing(o) for o in c.objects) for c in self.clauses)

    def _gap_standing(self, gap: Gap) -> Standing:
        if gap.alike and self.findings:
            return self.findings[-1].standing
        if gap.pro_verb or gap.coats:
            judged = standing(gap.verb, self.people)
            told = self._told_before(gap)
            if "subject-elided" in judged.rules and told is not None and told.standing.who == "helper" and told.performed:
                return judged.by("pronoun-person", who="helper", person=told.standing.person)  # "Did the right one Sunday"
            return judged
        return Standing("done" if gap.answer else "not-done", tense="past").by("elliptic-answer")

    # ---- dates --------------------------------------------------------------------

    def _when(self, verb: Token, judged: Standing) -> When:
        if judged.status == "doing":
            return self._when_doing(verb)
        time = self.calendar.of(verb, self._verbs_beside(verb))
        told = judged.tense == "past" and judged.status in PERFORMED and judged.rules[:1] != ("fragment",)
        if time is not None and not (time.kind == "future" and told):
            kind = "future" if "past" not in judged.rules and self.calendar.is_set_for(time) else time.kind
            return When(time.edtf, f"time-{time.rule}", explicit=True, kind=kind)
        if judged.who == "maker":
            return When(self.calendar.before, "maker-earlier", 0.9)
        if continues(verb.sent) and self.findings and self.findings[-1].when.explicit:
            return replace(self.findings[-1].when, rule="story-goes-on")
        return When(f"{self.day:%Y-%m-%d}", "own-day", 0.95)

    def _when_doing(self, verb: Token) -> When:
        """Of a present progressive: now, or the day that is told with it, past ("on the eighth I'm drilling it, and it
        cracks") or to come ("I'm drilling that tonight", "he's painting it Wednesday")."""
        today = When(f"{self.day:%Y-%m-%d}", "own-day", 1.0, kind=self._future_of(verb))
        time = self.calendar.with_verb(verb)
        if time is None or verb_group(verb).perfect:
            return today
        if time.rule.startswith("weekday") or self.calendar.is_tonight(time):
            return replace(today, kind="future")
        past = time.kind == "past" and time.exact
        return When(time.edtf, f"time-{time.rule}", explicit=True, kind="past") if past else today

    def _future_of(self, verb: Token) -> str:
        time = self.calendar.of(verb, self._verbs_beside(verb))
        return time.kind if time is not None else "present"

    def _date_by_comment(self) -> None:
        """ "That was Saturday" dates what was told in the sentence before."""
        for number, sentence in enumerate(self.passage.sentences):
            time = self.calendar.later_comment(sentence)
            if time is None and number not in self._verbs_of:
                time = self.calendar.afterthought(sentence)
            if time is None:
                continue
            self.findings = [
                replace(f, when=When(time.edtf, f"time-{time.rule}", explicit=True, kind=time.kind))
                if number - 1 <= f.sentence <= number and f.verb.i < time.start and not f.when.explicit
                and f.standing.status == "done" else f for f in self.findings]

    def _person_by_comment(self) -> None:
        """ "That was all Jess": who did what was told in the same sentence or the one before."""
        for token in self.passage.doc:
            if token.lemma_ != "be" or verb_group(token).tense != "past":
                continue
            subject = verb_group(token).subject
            names = [c for c in token.children if c.dep_ == "attr" and c.i > token.i]
            if subject is None or subject.lower_ != "that" or not names:
                continue
            someone = self.people.who(names[0])
            if someone.kind in ("helper", "paid", "maker"):
                here = self.sentence_of[token.i]
                self.findings = [replace(f, standing=f.standing.by("that-was-person", who=someone.kind,
                                                                   person=someone.name))
                                 if here - 1 <= f.sentence <= here and f.verb.i < token.i and f.performed else f
                                 for f in self.findings]

    # ---- records ------------------------------------------------------------------

    def _holds(self, finding: Finding) -> bool:
        """False for what is too unsure to be worth a record, or names nothing."""
        firm = finding.thing.part in table()["paid"]["places"] and finding.task != "clean"  # one's own shop is cleaned
        if (finding.thing.part is None and finding.sure < 0.6) or firm:
            return False
        claimed = finding.performed and finding.standing.who == "builder" and not finding.standing.believed
        return finding.sure >= (LEAST_SURE_CLAIM if claimed else LEAST_SURE)

    def _act(self, finding: Finding) -> Act:
        judged, cue = finding.standing, self.passage.cue_of(finding.verb)
        line = self.passage.cues[cue]
        return Act(cue=cue, start=line.start, end=line.end, quote=line.text, task=finding.task,
                   part=finding.thing.part, assembly=finding.thing.assembly, side=finding.thing.side,
                   count=finding.thing.count, status=judged.status or "done", who=judged.who, person=judged.person,
                   date=finding.when.edtf if judged.status in PERFORMED else None,
                   confidence=round(finding.sure, 3),
                   rules=(*judged.rules, *finding.thing.rules, finding.when.rule),
                   doubts=questions(finding.sure, judged, finding.thing, finding.verb))


def _rivets(head: Token | None, thing: Thing) -> Thing:
    """What is drilled out is rivets, where only a pronoun tells what."""
    if (head is not None and head.pos_ in ("NOUN", "PROPN")) or "rivet" in (thing.part or ""):
        return thing
    return replace(thing, part="rivet")


def _is_talk_of_work(clause: Clause) -> bool:
    """ "The riveting was four hours", "Monday's reaming": hours are told of it, and the work itself elsewhere."""
    verb = clause.verb
    if clause.kind != "verb" or not verb.lower_.endswith("ing"):
        return False
    noun_like = any(c.dep_ in ("det", "poss", "amod") and c.i < verb.i for c in verb.children)
    return noun_like and verb.dep_ in ("nsubj", "ROOT", "attr", "pobj", "conj", "nsubjpass", "appos", "dep", "npadvmod")


def _is_aside(clause: Clause) -> bool:
    """ "Her holding, me squeezing", "while I trimmed": said beside other work, without a thing of its own."""
    verb, group = clause.verb, clause.group
    if group.form == "gerund" and group.subject is not None and not group.auxiliaries and not group.shared:
        return True
    if verb.dep_ == "advcl" and not clause.objects and not is_conjunct(verb):
        return True
    return any(prep.lower_ == "for" and any(n.lemma_ in ("year", "decade", "life") for n in prep.children)
               for prep in verb.children)


def find_acts(passage: Passage, lexicon: Lexicon, memory: Memory, day: dt.date,
              times: Sequence[TimeMention]) -> tuple[Act, ...]:
    """The acts of a passage, in text order."""
    return ActFinder(passage, lexicon, memory, day, times).find()
