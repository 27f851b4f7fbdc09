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

from spacy.tokens import Doc, Token

from witnessmark import edtf_days
from witnessmark.model import Act, Hours
from witnessmark.reading.dates import TimeMention
from witnessmark.reading.hour_amounts import Amount, day_spans, find_amounts, masked
from witnessmark.reading.hour_ledger import AGAIN, SAME, count_once
from witnessmark.reading.hour_scopes import NOTHING, OTHER, SESSION, TASK, Around, scope_of
from witnessmark.reading.hour_sums import PERSON_HOURS, SUMMED, told_together
from witnessmark.reading.hour_tallies import find_tallies, sentence_spans
from witnessmark.reading.hour_workers import FOR_ME, OWN_TRIP, THEIRS, Setting, Worker, Workers
from witnessmark.reading.memory import Memory
from witnessmark.reading.numbers import Folded, fold
from witnessmark.reading.text import Passage
from witnessmark.trade import Lexicon

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
    work_words: frozenset[int] = frozenset()
    names: tuple[str, ...] = ()

    def sentence_of(self, character: int) -> int:
        return next((i for i, (start, end) in enumerate(self.sentences) if start <= character < end), 0)

    def cue_of(self, character: int) -> int:
        return self.passage.cue_of(self.passage.doc[self.folded.token_span(character, character + 1)[0]])

    def without_names(self, words: str) -> str:
        """The words with each name of a helper as "he"."""
        return re.sub(rf"\b(?:{'|'.join(map(re.escape, self.names))})\b", "he", words) if self.names else words

    def words(self, start: int, end: int) -> str:
        return self.line[start:end]

    def names_work(self, sentence: int) -> bool:
        """True where a sentence names a part, an assembly or a kind of work, or points at one ("on that")."""
        start, end = self.sentences[sentence]
        if end <= start:
            return False
        first, last = self.folded.token_span(start, end)
        return any(first <= token < last for token in self.work_words) or bool(_ON_THAT.search(self.line[start:end]))


_ON_THAT = re.compile(r"\b(?:on|for|doing) (?:that|it|those|them|these)\b|\bthat took\b")
NO_JOB = frozenset(["be", "do", "go", "have", "get", "come", "work", "spend", "run", "sit", "put", "take", "make", "count"])


def find_hours(passage: Passage, times: Sequence[TimeMention], acts: Sequence[Act], memory: Memory,
               day: dt.date, lexicon: Lexicon) -> tuple[Hours, ...]:
    """The hours told in a passage, in order; `day` is the recording's local day.

    `acts` are the acts of the same passage: a length told with a job takes its day and its doer.
    """
    folded = fold(passage.doc)
    if not folded.text:
        return ()
    people = Workers(passage.doc, folded, passage.people(memory))
    talk, amounts = _talk(passage, folded, times, acts, day, tuple(sorted(people.names)))
    talk = replace(talk, work_words=_work_words(passage, lexicon))
    records: list[Hours] = []
    for index in range(len(amounts)):
        records += _records(talk, people, amounts, index, records)
    return count_once(records, memory)


def _work_words(passage: Passage, lexicon: Lexicon) -> frozenset[int]:
    """The tokens that name a part, an assembly or a kind of work, as a noun or a verb."""
    named = {term.end - 1 for term in passage.terms(lexicon) if term.kind in ("part", "assembly", "task")}
    verbs = {token.i for token in passage.doc if (token.pos_ == "VERB" or token.tag_ in ("VBG", "VBN", "VBD"))
             and token.lemma_.lower() not in NO_JOB and lexicon.verb_of(token)}
    return frozenset(named | verbs)


def _talk(passage: Passage, folded: Folded, times: Sequence[TimeMention], acts: Sequence[Act],
          day: dt.date, names: tuple[str, ...]) -> tuple[_Talk, list[Amount]]:
    doc = passage.doc
    sentences = sentence_spans(doc, folded)
    known, no_lengths = find_amounts(doc, folded, times)
    days = day_spans(folded, times)
    line = masked(folded, days, "~")
    line = masked(folded, [(a.start, a.end) for a in known if a.form == "clock"], "%", line)
    line = masked(folded, [(a.start, a.end) for a in known if a.form != "clock"], "^", line)
    line = masked(folded, no_lengths, "!", line)
    cues = [passage.cue_of(doc[folded.token_span(start, start + 1)[0]]) for start, _ in sentences]
    work = _sentences_of_work(folded, line, sentences, cues, acts)
    tallies = find_tallies(doc, folded, line, known, sentences, cues, work, names)
    line = masked(folded, [(a.start, a.end) for a in tallies], "^", line)
    amounts = told_together(folded, line, sorted([*known, *tallies], key=lambda amount: amount.start))
    placed = tuple((folded.offset_of(t.start), _end_of(folded, t), t) for t in times
                   if t.edtf and t.kind != "clock" and not _is_bound(passage.doc, t))
    return _Talk(passage, folded, line, tuple(sentences), placed, acts, day, names=names), amounts


def _sentences_of_work(folded: Folded, line: str, sentences: Sequence[tuple[int, int]], cues: Sequence[int],
                       acts: Sequence[Act]) -> list[int]:
    """The sentences that tell of an act of work, by its cue and its words."""
    return [index for index, (start, end) in enumerate(sentences)
            if any(act.cue == cues[index] and _is_named(act, line[start:end]) for act in acts)]


def _is_named(act: Act, text: str) -> bool:
    words = set(re.findall(r"[a-z]+", text))
    stem = act.task.split("-")[-1].rstrip("e")[:5]
    return _names(act, words) or any(word.startswith(stem) for word in words if len(stem) > 2)


def _is_bound(doc: Doc, time: TimeMention) -> bool:
    """ "Since March", "until Friday": no day of work, but the end of a stretch."""
    return doc[time.start].lower_ in ("since", "until", "till", "by")


def _end_of(folded: Folded, time: TimeMention) -> int:
    last = folded.offset_of(time.end - 1)
    end = folded.text.find(" ", last)
    return len(folded.text) if end < 0 else end


def _records(talk: _Talk, people: Workers, amounts: Sequence[Amount], index: int, earlier: Sequence[Hours]) -> list[Hours]:
    """The records of one length: none, one, or one for each kind of person."""
    amount = amounts[index]
    sentence = talk.sentence_of(amount.start)
    left, right = _windows(talk, amounts, index)
    again = _told_again(earlier, amount, left, right)
    if again:
        return [_record(talk, amount, sentence, again.scope, "told again", "no day said",
                        Worker(again.who or "", person=again.person), again.date, None)]
    mention, rule = _time_of(talk, amounts, index, *talk.sentences[sentence])
    act, far = _act_of(talk, amount, left, right)
    goes_on = bool(earlier) and _goes_on(amounts, index, talk.without_names(left)) and sentence == talk.sentence_of(amounts[index - 1].end - 1)
    scope, why = _scope(talk, amount, sentence, left, right, mention, rule, act)
    if goes_on and why != "part of that" and earlier[-1].scope in (SESSION, TASK) and scope in (SESSION, TASK):
        scope, why = earlier[-1].scope, "goes on"
    if scope == NOTHING:
        return []
    if earlier and earlier[-1].scope == OTHER and _WAY_BACK.match(right) and sentence == talk.sentence_of(amounts[index - 1].start):
        scope, why = OTHER, "driving"
    inside = f" {talk.words(amount.start, amount.end)}" if SUMMED in amount.rule else ""
    setting = Setting(left, right, f"{left}{inside} ^ {right}", _clause(talk, amounts, index), act, _act_words(talk, act), far, inside)
    workers = _workers(people, setting, scope, why, amount, talk.without_names(left), [h for h in earlier if goes_on and h.quote == earlier[-1].quote])
    date = _date(talk, scope, mention or _day_of_story(talk, amount, sentence, scope), act)
    times = _per_day(right, date, amount.rule, talk, amount)
    if times > 1:
        amount = replace(amount, low=amount.low * times, high=amount.high * times)
    return [_record(talk, amount, sentence, scope, why, rule, worker, date, act) for worker in workers]


def _windows(talk: _Talk, amounts: Sequence[Amount], index: int) -> tuple[str, str]:
    """The words before and after a length, within its sentence, up to the neighbouring lengths.

    Where the next length goes on with this one ("three on Saturday and four on Sunday, each of us"), what is said
    behind it holds for both.
    """
    amount = amounts[index]
    start, end = talk.sentences[talk.sentence_of(amount.start)]
    left = talk.words(max([start, *(a.end for a in amounts[:index] if a.end <= amount.start)]), amount.start)
    after = [a for a in amounts[index + 1:] if a.start < end]
    right = talk.words(amount.end, after[0].start if after else end)
    if after and _goes_on(amounts, index + 1, right):
        right += " ; " + talk.words(after[0].end, after[1].start if len(after) > 1 else end)
    return left, right


_JOINT = re.compile(r"(?:(?:,|and|then|on|the|~_*|about|another|maybe|for|plus|over|both|in|more|before lunch|before|after|alone|for|him|me|her|them|he|she) ?)*")


_WAY_BACK = re.compile(r" (?:hours )?(?:back|home|return|the other way)\b")


def _goes_on(amounts: Sequence[Amount], index: int, between: str) -> bool:
    """True for a bare figure that only goes on with the length before it: "... and four on the Sunday"."""
    words = between.strip() + " "
    again = bool(re.search(r"\b(?:another|then)\b", words)) or amounts[index].form == "bare"
    return index > 0 and again and bool(_JOINT.fullmatch(words)) and bool(re.search(r"\band\b|,", between))


def _scope(talk: _Talk, amount: Amount, sentence: int, left: str, right: str, mention: TimeMention | None, rule: str,
           act: Act | None) -> tuple[str, str]:
    start, end = talk.sentences[sentence]
    whole = talk.words(start, amount.start) + " ^ " + talk.words(amount.end, end)
    before = talk.words(*talk.sentences[sentence - 1]) if sentence else ""
    own = mention is not None and mention.kind != "future" and rule != "day of the sentence"
    told = act is not None and any(_stands_in(talk, a, start, amount.start) for a in talk.acts if a.performed)
    days = mention.edtf if mention and own else act.date if act else None
    if rule == "day inside" and amount.form != "clock":
        right = f" ~{right}"
    left, right, whole = (talk.without_names(words) for words in (left, right, whole))
    return scope_of(Around(left, right, whole, before, amount.low, amount.form, _days(days), own, told,
                           act is not None or talk.names_work(sentence)))


def _stands_in(talk: _Talk, act: Act, start: int, end: int) -> bool:
    """True where an act is told in this stretch of a sentence: its cue, and its part or its work named there."""
    if act.cue != talk.cue_of(start) and act.cue != talk.cue_of(max(end - 1, start)):
        return False
    if re.search(r"\b(?:did|done|made|finished|fixed|sorted|got) (?:that|it|those|this|them|these)\b", talk.words(start, end)):
        return True
    return _is_named(act, talk.words(start, end))


def _told_again(earlier: Sequence[Hours], amount: Amount, left: str, right: str) -> Hours | None:
    """The record that this length repeats: said so ("like I said"), or the length alone once more ("Six hours!")."""
    echo = bool(earlier) and not re.search(r"[a-z]", left + right) and abs(earlier[-1].high - amount.high) < SAME
    if not (echo or AGAIN.search(f"{left} ^ {right}")):
        return None
    alike = [h for h in reversed(earlier) if abs(h.low - amount.low) < SAME and abs(h.high - amount.high) < SAME
             and h.scope in (SESSION, TASK)]
    return next((h for h in alike if h.who == "builder"), alike[0] if alike else None)


def _clause(talk: _Talk, amounts: Sequence[Amount], index: int) -> tuple[Token, ...]:
    """The tokens of the sentence before a length, without those before the length that precedes it."""
    amount = amounts[index]
    start, _ = talk.sentences[talk.sentence_of(amount.start)]
    first = max([start, *(a.end for a in amounts[:index] if a.end <= amount.start)])
    until = talk.folded.token_span(amount.start, amount.end)[0]
    near = tuple(talk.passage.doc[talk.folded.token_span(first, first + 1)[0]:until])
    return near or tuple(talk.passage.doc[talk.folded.token_span(start, start + 1)[0]:until])


def _workers(people: Workers, setting: Setting, scope: str, why: str, amount: Amount, words: str,
             before: Sequence[Hours]) -> Sequence[Worker | None]:
    if scope == OTHER and (why not in ("driving", "flying") or not OWN_TRIP.search(setting.whole)):
        return (None,)
    if before and not (re.search(r"\b(?:he|she)\b", words) or people.named_after(setting) or FOR_ME.match(setting.right) or THEIRS.search(setting.right[:30])):
        return list(dict.fromkeys(Worker(h.who or "", person=h.person, rule="goes on") for h in before))
    workers = people.of(setting, scope)
    return [replace(worker, factor=1) for worker in workers] if PERSON_HOURS in amount.rule else workers


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


def _act_of(talk: _Talk, amount: Amount, left: str, right: str) -> tuple[Act | None, bool]:
    """The act that a length tells of, named around it or told last before it; and whether that is far off."""
    cue = talk.cue_of(amount.start)
    done = [act for act in talk.acts if act.performed]
    words = set(re.findall(r"[a-z]+", f"{left} {right}"))
    named = [act for act in done if act.cue <= cue + 1 and _names(act, words)]
    if named:
        act = min(named, key=lambda act: abs(act.cue - cue))
        return act, abs(act.cue - cue) > ACT_REACH
    near = [act for act in done if 0 <= cue - act.cue <= ACT_REACH]
    return (max(near, key=lambda act: act.cue) if near else None), False


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


def _date(talk: _Talk, scope: str, mention: TimeMention | None, act: Act | None) -> str | None:
    """The days of a session or a job: as said, else those of the job told, else the recording's own."""
    if scope not in (SESSION, TASK):
        return None
    if mention and mention.kind != "future":
        return mention.edtf
    if scope == TASK and act and act.date:
        return act.date
    return talk.day.isoformat()


_PRESENT = re.compile(r"\b(?:so far|i've|we've|i'm|been|today|now|still|hours \.|hours ,|time \.)")


def _day_of_story(talk: _Talk, amount: Amount, sentence: int, scope: str) -> TimeMention | None:
    """The past day that the talk is at, for hours of a day told without one: "We went nine to three"."""
    start, end = talk.sentences[sentence]
    if scope != SESSION or _PRESENT.search(talk.words(start, end)):
        return None
    cue = talk.cue_of(amount.start)
    before = [t for s, _, t in talk.times if s < start and cue - talk.cue_of(s) <= 1]
    opened = any(_PRESENT.search(talk.words(s, e)) for s, e in talk.sentences[:sentence] if cue - talk.cue_of(s) == 0)
    return before[-1] if before and before[-1].kind == "past" and before[-1].exact and not opened else None


_EVENINGS = re.compile(r"(#\d+) (?:full |whole |long )?(?:evenings|nights|days|mornings|afternoons|weekends|sessions|goes|stints)\b")


def _per_day(right: str, edtf: str | None, rule: str, talk: _Talk, amount: Amount) -> int:
    """ "Two hours an evening" over three evenings is three times two; 1 where the sum was given."""
    start, end = talk.sentences[talk.sentence_of(amount.start)]
    a_time = re.match(r" (?:an?|each|every|per) (?:evening|night|day|morning|afternoon|session|go|time)\b", right)
    apiece = re.match(r" (?:apiece|each)\b", right) and _EVENINGS.search(talk.words(start, amount.start))
    if SUMMED in rule or not (a_time or apiece):
        return 1
    counted = _EVENINGS.search(talk.words(start, end))
    days = int(talk.folded.value(counted[1])) if counted else _days(edtf)
    return days if days <= 14 else 1


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
