"""Every stated length of human work time, whose it is, of which days, and whether it belongs in the ledger.

In: a parsed passage, its times and acts, and the memory of earlier sessions. Out: `Hours` records. Each hour is
counted once: the hours of a day cover the jobs of that day, what is told twice counts the first time, totals,
estimates, drying and driving never count.
"""
from __future__ import annotations

import datetime as dt
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from witnessmark.model import Act, Hours
from witnessmark.reading.dates import TimeMention
from witnessmark.reading.hour_amounts import Amount, day_spans, find_amounts, masked
from witnessmark.reading.hour_ledger import count_once
from witnessmark.reading.hour_scopes import NOTHING, OTHER, SESSION, TASK, TOTAL, Around, scope_of
from witnessmark.reading.hour_sums import told_together
from witnessmark.reading.hour_tallies import find_tallies, sentence_spans
from witnessmark.reading.hour_workers import Setting, Worker, Workers
from witnessmark.reading.memory import Memory
from witnessmark.reading.numbers import Folded, fold
from witnessmark.reading.people import People
from witnessmark.reading.text import Passage
from witnessmark import edtf_days

ACT_REACH = 2  # cues between a length and the act that it tells of


@dataclass(frozen=True)
class _Talk:
    """The passage as lines: `line` with days, clock ranges and lengths masked, and its sentences."""

    passage: Passage
    folded: Folded
    line: str
    sentences: tuple[tuple[int, int], ...]
    times: tuple[tuple[int, int, TimeMention], ...]
    acts: Sequence[Act]
    day: dt.date

    def sentence_of(self, character: int) -> int:
        return next((i for i, (start, end) in enumerate(self.sentences) if start <= character < end), 0)

    def cue_of(self, character: int) -> int:
        return self.passage.cue_of(self.passage.doc[self.folded.token_span(character, character + 1)[0]])

    def words(self, start: int, end: int) -> str:
        return self.line[start:end]


def find_hours(passage: Passage, times: Sequence[TimeMention], acts: Sequence[Act], memory: Memory,
               day: dt.date) -> tuple[Hours, ...]:
    """The hours told in a passage, in order; `day` is the recording's local day.

    `acts` are the acts of the same passage: a length told with a job takes its day and its doer.
    """
    folded = fold(passage.doc)
    if not folded.text:
        return ()
    talk, amounts = _talk(passage, folded, times, acts, day)
    people = Workers(passage.doc, folded, People(passage.doc, memory))
    records: list[Hours] = []
    for index, amount in enumerate(amounts):
        records += _records(talk, people, amounts, index, records)
    return count_once(records, memory)


def _talk(passage: Passage, folded: Folded, times: Sequence[TimeMention], acts: Sequence[Act],
          day: dt.date) -> tuple[_Talk, list[Amount]]:
    doc = passage.doc
    sentences = sentence_spans(doc, folded)
    known = find_amounts(doc, folded, times)
    days = day_spans(folded, times)
    line = masked(folded, days, "~")
    line = masked(folded, [(a.start, a.end) for a in known if a.form == "clock"], "%", line)
    line = masked(folded, [(a.start, a.end) for a in known if a.form != "clock"], "^", line)
    cues = [passage.cue_of(doc[folded.token_span(start, start + 1)[0]]) for start, _ in sentences]
    tallies = find_tallies(doc, folded, line, known, sentences, cues)
    line = masked(folded, [(a.start, a.end) for a in tallies], "^", line)
    amounts = told_together(folded, line, sorted([*known, *tallies], key=lambda amount: amount.start))
    placed = tuple((folded.offset_of(t.start), _end_of(folded, t), t) for t in times if t.edtf and t.kind != "clock")
    return _Talk(passage, folded, line, tuple(sentences), placed, acts, day), amounts


def _end_of(folded: Folded, time: TimeMention) -> int:
    last = folded.offset_of(time.end - 1)
    end = folded.text.find(" ", last)
    return len(folded.text) if end < 0 else end


def _records(talk: _Talk, people: Workers, amounts: Sequence[Amount], index: int, earlier: Sequence[Hours]) -> list[Hours]:
    """The records of one length: none, one, or one for each kind of person."""
    amount = amounts[index]
    sentence = talk.sentence_of(amount.start)
    start, end = talk.sentences[sentence]
    left = talk.words(max([start, *(a.end for a in amounts[:index])]), amount.start)
    right = talk.words(amount.end, min([end, *(a.start for a in amounts[index + 1:])]))
    mention, rule = _time_of(talk, amounts, index, start, end)
    act = _act_of(talk, amount, left, right)
    whole = talk.words(start, amount.start) + " ^ " + talk.words(amount.end, end)
    before = talk.words(*talk.sentences[sentence - 1]) if sentence else ""
    edtf = mention.edtf if mention else None
    scope, why = scope_of(Around(left, right, whole, before, amount.low, amount.form, _days(edtf), bool(edtf)))
    if scope == NOTHING:
        return []
    clause = tuple(talk.passage.doc[talk.folded.token_span(start, start + 1)[0]:talk.folded.token_span(amount.start, amount.end)[0]])
    if any(a.end > start for a in amounts[:index]):
        first = max(a.end for a in amounts[:index])
        clause = tuple(t for t in clause if talk.folded.offset_of(t.i) >= first) or clause
    doer = act if scope == TASK or sentence == talk.sentence_of(amount.start) else None
    workers: tuple[Worker | None, ...] = people.of(
        Setting(left, right, whole, clause, doer, _act_words(talk, act)), scope)
    if scope == OTHER and why != "driving" and why != "flying":
        workers = (None,)
    date = _date(talk, scope, mention, act, earlier)
    return [_record(talk, amount, sentence, scope, why, rule, worker, date, act) for worker in workers]


def _days(edtf: str | None) -> int:
    first, last = edtf_days.day_window(edtf)
    return (last - first).days + 1 if first and last else 1


def _time_of(talk: _Talk, amounts: Sequence[Amount], index: int, start: int, end: int) -> tuple[TimeMention | None, str]:
    """The day said for a length in its sentence: right behind it, before it, or shared by the sentence."""
    amount = amounts[index]
    inside = [(s, e, t) for s, e, t in talk.times if start <= s < end]
    within = next((t for s, _, t in inside if amount.start <= s < amount.end), None)
    if within:
        return within, "day inside"
    nxt = min((a.start for a in amounts[index + 1:] if a.start < end), default=end)
    prev = max((a.end for a in amounts[:index] if a.end > start), default=start)
    behind = [(s, t) for s, _, t in inside if amount.end <= s < nxt]
    ahead = [(s, e, t) for s, e, t in inside if prev <= s < amount.start]
    for s, t in behind[:1]:
        gap = talk.words(amount.end, s)
        tight = "," not in gap and " and " not in gap and "." not in gap and len(gap.split()) <= 5
        if tight or (not ahead and nxt == end):
            return t, "day behind"
    if ahead:
        own = [x for x in ahead if not _belongs_behind(talk, prev, start, x[0])]
        if own:
            return own[-1][2], "day before"
    shared = [t for s, _, t in inside if s < amount.start]
    if shared:
        return shared[-1], "day of the sentence"
    return (behind[0][1], "day behind") if behind else (None, "no day said")


def _belongs_behind(talk: _Talk, prev: int, start: int, at: int) -> bool:
    """True for the day that closes the length before: "three hours on Saturday and four"."""
    gap = talk.words(prev, at)
    return prev > start and not re.search(r"[,.;]| and ", gap) and len(gap.split()) <= 5


def _act_of(talk: _Talk, amount: Amount, left: str, right: str) -> Act | None:
    """The act that a length tells of: named around it, in its sentence, or the last one told before it."""
    cue = talk.cue_of(amount.start)
    done = [act for act in talk.acts if act.performed]
    words = set(re.findall(r"[a-z]+", f"{left} {right}"))
    named = [act for act in done if act.cue <= cue + 1 and _names(act, words)]
    if named:
        return min(named, key=lambda act: abs(act.cue - cue))
    near = [act for act in done if 0 <= cue - act.cue <= ACT_REACH]
    return max(near, key=lambda act: act.cue) if near else None


def _names(act: Act, words: set[str]) -> bool:
    """True where the words name the act's part or its kind of work ("the riveting", "the ribs")."""
    task = act.task.split("-")[-1]
    forms = {task + "ing", task + task[-1] + "ing", task.rstrip("e") + "ing"}
    part = (act.part or "").split()[-1:] or [""]
    plain = {part[0], part[0] + "s", part[0] + "es"} if part[0] else set()
    return bool(words & (forms | plain))


def _act_words(talk: _Talk, act: Act | None) -> str:
    if act is None:
        return ""
    return " ".join(talk.words(s, e) for s, e in talk.sentences if talk.cue_of(s) == act.cue)


def _date(talk: _Talk, scope: str, mention: TimeMention | None, act: Act | None, earlier: Sequence[Hours]) -> str | None:
    """The days of a session or a job: as said, else those of the job told, else the recording's own."""
    if scope not in (SESSION, TASK):
        return None
    if mention and mention.kind != "future":
        return mention.edtf
    if scope == TASK and act and act.date:
        return act.date
    return talk.day.isoformat()


def _record(talk: _Talk, amount: Amount, sentence: int, scope: str, why: str, rule: str, worker: Worker | None,
            date: str | None, act: Act | None) -> Hours:
    cue = talk.cue_of(amount.start)
    last = talk.cue_of(max(amount.end - 1, amount.start))
    start, end = talk.sentences[sentence]
    span = talk.folded.token_span(start, max(end - 1, start))
    factor = worker.factor if worker else 1
    task = act.task if act and scope == TASK else None
    return Hours(
        cue=cue, start=talk.passage.cues[cue].start, end=talk.passage.cues[last].end,
        quote=talk.passage.doc[span[0]:span[1]].text.strip(), confidence=0.9 if amount.form != "bare" else 0.75,
        rules=tuple(filter(None, (amount.rule, why, rule, worker.rule if worker else ""))),
        low=round(amount.low * factor, 2), high=round(amount.high * factor, 2), scope=scope,
        who=worker.who if worker else None, person=worker.person if worker else None, date=date,
        approx=amount.approx, assembly=act.assembly if act and scope == TASK else None, task=task)


__all__ = ["SESSION", "TOTAL", "find_hours", "replace"]
