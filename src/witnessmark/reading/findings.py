"""Findings: acts in the making, and how the same work told twice becomes one.

Duplicates are merged at the cue that says most, and a later correction in the same narration wins.
"""
from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from spacy.tokens import Token

from witnessmark.reading.reference import Thing
from witnessmark.reading.standing import PERFORMED, Standing
from witnessmark.reading.when import When

NEAR = 3  # sentences within which a plan and a "not yet" on the same thing are one statement
FAR = 10  # sentences back that "scratch that" reaches
FASTENING = frozenset({"rivet", "bolt", "bond", "weld", "cover", "layup", "cleco"})
HEDGES = frozenset({"think", "guess", "believe", "thought", "suppose", "pretty"})
RETRACTS = re.compile(r"\b(?:scratch that|strike that|no wait|wait no|correction|i mean|i tell a lie)\b")
CORRECTIONS = frozenset({"no", "nope", "wait", "scratch", "actually", "hm", "hmm", "sorry", "strike", "turns"})


@dataclass(frozen=True)
class Finding:
    """One act in the making: its predicate, standing, thing and time.

    `sentence` is the number of its sentence, `sure` 0 to 1, `explicit` tells that the thing was said and not
    elided; `kind` is verb, nominal, state, gap, event ("I did that") or fragment; `light` marks everyday verbs.
    """

    verb: Token
    task: str
    standing: Standing
    thing: Thing
    when: When
    sentence: int
    sure: float = 1.0
    explicit: bool = True
    kind: str = "verb"
    light: bool = False

    @property
    def performed(self) -> bool:
        return self.standing.status in PERFORMED

    @property
    def says(self) -> float:
        """How much it says: a named thing, a time, a person."""
        return self.explicit + self.when.explicit + (self.standing.person is not None) + self.sure / 2


def merged(findings: Iterable[Finding]) -> list[Finding]:
    """The findings with duplicates and corrected statements taken together, in text order."""
    kept: list[Finding] = []
    for finding in findings:
        for at in range(len(kept) - 1, -1, -1):
            joined = _join(kept[at], finding)
            if joined is not None:
                kept[at] = joined
                break
        else:
            kept.append(finding)
    kept = [f for f in kept if not any(_replaced(f, g) for g in kept)]
    kept = [_doubted(finding) for finding in _without_denials(_without_echoes(kept))]
    return sorted(kept, key=lambda finding: finding.verb.i)


def _join(earlier: Finding, later: Finding) -> Finding | None:
    """One finding for both, or None where they are two."""
    if earlier.task != later.task or not _same_thing(earlier, later):
        return None
    if earlier.performed and later.performed:
        return _both_performed(earlier, later)
    if later.standing.status == "not-done" and earlier.performed:
        if not _taken_back(earlier, later):
            return None
        return later if earlier.thing.part is None else replace(later, thing=earlier.thing)
    if earlier.standing.status == later.standing.status:
        return max(earlier, later, key=lambda finding: finding.says)
    near = later.sentence - earlier.sentence <= NEAR
    unfinished = {earlier.standing.status, later.standing.status} == {"planned", "not-done"}
    if unfinished and near:
        return earlier
    if earlier.standing.status == "planned" and later.performed and later.kind == "event":
        return replace(later, thing=earlier.thing)
    if earlier.standing.status == "planned" and later.performed and near and _was_meant(earlier.standing):
        return later
    return None


def _same_thing(earlier: Finding, later: Finding) -> bool:
    a, b = earlier.thing, later.thing
    if later.kind == "event" and b is a:
        return True
    vague = "part-by-pointer" in b.rules and "pointer-placed" not in b.rules
    denied = later.standing.status == "not-done" and earlier.performed and vague
    outright = any(t.lower_ in ("scratch", "strike", "correction") for t in later.verb.sent)
    if denied and later.sentence - earlier.sentence <= (FAR if outright else NEAR) and compatible(a.side, b.side):
        return _taken_back(earlier, later)
    if not same_part(a.part, b.part):
        return False
    if a.part is None or b.part is None:
        return later.sentence - earlier.sentence <= NEAR and compatible(a.side, b.side)
    return compatible(a.side, b.side) and compatible(a.assembly, b.assembly)


def _both_performed(earlier: Finding, later: Finding) -> Finding | None:
    first, second = earlier.standing, later.standing
    if first.believed and not second.believed and second.status == "done":  # "the left ones were": some of it holds
        return later if later.when.explicit or not earlier.when.explicit else replace(later, when=earlier.when)
    if earlier.when.explicit and later.when.explicit and earlier.when.edtf != later.when.edtf:
        return None
    if first.who != second.who and not vague_doer(first) and not vague_doer(second):
        return later if _corrected_between(earlier, later) else None
    best = max(earlier, later, key=lambda finding: finding.says)
    when = earlier.when if earlier.when.explicit else later.when
    doer = second if vague_doer(first) and not vague_doer(second) else first
    status = "doing" if "doing" in (first.status, second.status) and not when.explicit else best.standing.status
    return replace(best, when=when, standing=replace(best.standing, who=doer.who, person=doer.person, status=status),
                   sure=max(earlier.sure, later.sure))


def _corrected_between(earlier: Finding, later: Finding) -> bool:
    """ "I riveted it. Correction. Tom riveted it": the second telling is the true one."""
    between = [t.lower_ for t in earlier.verb.doc[earlier.verb.i:later.verb.i]]
    return later.sentence - earlier.sentence <= NEAR and bool({"correction", "scratch", "wait", "actually", "rather"} & set(between))


def _replaced(earlier: Finding, later: Finding) -> bool:
    """ "Today I riveted it, no, scratch that, I match drilled it": another task of the same thing, said instead."""
    if not (earlier.performed and later.performed) or earlier.task == later.task or not 0 <= later.sentence - earlier.sentence < 2:
        return False
    between = earlier.verb.doc[earlier.verb.i + 1:later.verb.i].text.lower() if later.verb.i > earlier.verb.i else ""
    return bool(RETRACTS.search(between)) and same_part(earlier.thing.part, later.thing.part)


def _was_meant(judged: Standing) -> bool:
    """ "I said I'd rivet it Friday", "was going to": a plan of the past, which what was done after fulfils."""
    return judged.tense == "past" or judged.rules[:1] in (("modal-would",), ("past-progressive",), ("past",))


def vague_doer(judged: Standing) -> bool:
    """True where nobody was named: a passive, a causative, a thing as subject."""
    return any(rule in judged.rules for rule in ("passive-own", "causative-own", "causative-paid", "thing-subject",
                                                 "had-fronted",
                                                 "subject-elided", "elliptic-answer"))


def _taken_back(earlier: Finding, later: Finding) -> bool:
    """True where the later "not done" corrects the earlier "done"."""
    if earlier.standing.believed or earlier.standing.told or (later.kind == "gap"
                                                              and later.sentence - earlier.sentence <= 2
                                     and "part-by-pointer" in later.thing.rules):
        return True
    doc = earlier.verb.doc
    if any(t.lower_ in ("scratch", "strike", "correction") for t in later.verb.sent):
        return later.sentence - earlier.sentence <= FAR
    if later.sentence - earlier.sentence > NEAR or "again" in [t.lower_ for t in later.verb.sent]:
        return False
    between = [t.lower_ for t in doc[earlier.verb.sent.start:later.verb.i]]
    return bool(set(between) & (CORRECTIONS | HEDGES)) and not (earlier.when.explicit and later.thing.side)


def _without_denials(findings: list[Finding]) -> list[Finding]:
    """ "I didn't make those, the shop did": the denial says who did not, and is no work left undone."""
    return [f for f in findings if not (f.standing.status == "not-done" and "subject-builder" in f.standing.rules
                                        and any(
        g.performed and g.standing.who != "builder" and 0 <= g.sentence - f.sentence <= NEAR and g.verb.i > f.verb.i
        and same_part(f.thing.part, g.thing.part) and compatible(f.thing.side, g.thing.side) for g in findings))]


def _without_echoes(findings: list[Finding]) -> list[Finding]:
    """ "The skin went on, I riveted it": the fastening says how; and a belief that a later sentence narrows down."""
    def echoed(f: Finding) -> bool:
        if f.task == "install" and f.performed and (f.light or f.kind == "state"):
            return any(g.task in FASTENING and g.performed and abs(g.sentence - f.sentence) <= 1
                       and same_part(f.thing.part, g.thing.part) for g in findings)
        if f.standing.believed:
            return any(g.task == f.task and g.standing.status == "not-done" and 0 <= g.sentence - f.sentence <= NEAR + 1
                       for g in findings if g is not f)
        return f.verb.lemma_ == "buck" and any(
            g.task == "rivet" and g is not f and 0 <= f.sentence - g.sentence <= 1 and g.performed for g in findings)

    kept = [f for f in findings if not echoed(f)]
    for echo in findings:
        if echo.task == "install" and echo.when.explicit and echoed(echo):
            kept = [replace(f, when=echo.when) if f.task in FASTENING and not f.when.explicit and f.performed
                    and abs(f.sentence - echo.sentence) <= 1 and same_part(f.thing.part, echo.thing.part) else f for f in kept]
    return kept


def _doubted(finding: Finding) -> Finding:
    """A belief of the past that nothing confirmed is not claimed."""
    if not finding.standing.believed:
        return finding
    return replace(finding, standing=replace(finding.standing, status="not-done"), sure=min(finding.sure, 0.5))


def words_of(part: str | None) -> frozenset[str]:
    """The words of a part's name, for comparing names of different length."""
    return frozenset((part or "").lower().replace("-", " ").split())


def same_part(first: str | None, second: str | None) -> bool:
    """True for the same name, or one that is the other with fewer words before the same head noun."""
    a, b = words_of(first), words_of(second)
    if not a or not b or a == b:
        return True
    heads = (first or "").split()[-1:] == (second or "").split()[-1:]
    return heads and (a <= b or b <= a)


def compatible(first: str | None, second: str | None) -> bool:
    """True where two sides or assemblies may be the same."""
    return first is None or second is None or first == second
