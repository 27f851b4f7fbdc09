"""Gaps: what an inspector may ask for and the journal does not show. Pure functions over what was collected."""
from __future__ import annotations

import datetime as dt
import itertools
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from witnessmark import edtf_days, words
from witnessmark.evidence.checklist import read_rows, words_of
from witnessmark.evidence.entries import what
from witnessmark.evidence.gather import Collected, Row
from witnessmark.evidence.worksheet import Worksheet

WEEKS_BEFORE = 6  # in which a picture of the inside is looked for; common practice, no source
SILENCE_DAYS = 60  # without any recording, note or photo; common practice, no source
TAG_AT_LEAST = 0.5  # confidence from which a picture counts as one of its assembly
AT_WORK = ("at work", "builder")
"""Words of a caption or keyword that mark a picture as showing the builder at work, beside his name."""
ROW, CLOSED, SILENCE, VAGUE, AT_WORK_MISSING, FIGURE, REGISTER = (
    "row without evidence", "closed without a picture", "long silence", "vague day", "nobody shown at work",
    "figure not checked", "register")


@dataclass(frozen=True, slots=True)
class Gap:
    """One thing that is missing: its kind, what it is about, and in detail."""

    kind: str
    what: str
    detail: str


def find(found: Collected, worksheet: Worksheet) -> list[Gap]:
    """All gaps, by kind, each kind in order of time or of the checklist."""
    return [*_register(found), *_closed(found), *_at_work(found), *_silences(found), *_vague(found), *_figures(found),
            *_rows(worksheet)]


def counted(gaps: Sequence[Gap]) -> dict[str, int]:
    """The number of gaps of each kind, in the order in which they come."""
    return dict(Counter(gap.kind for gap in gaps))


def _register(found: Collected) -> Iterator[Gap]:
    for fault in found.register.faults:
        yield Gap(REGISTER, "The register’s chain is broken", fault)
    for source in found.sources.values():
        if source["sha256"] not in found.register.known:
            yield Gap(REGISTER, source["path"], "indexed, but not in the register")
        elif source["state"] != "present":
            yield Gap(REGISTER, source["path"], "registered, but no longer in the folder")


def _rows(worksheet: Worksheet) -> Iterator[Gap]:
    for line in worksheet.applying:
        if not line.own and not line.others:
            yield Gap(ROW, f"{line.row} {line.task}", "no record shows who did it, when and how")


def _closed(found: Collected) -> Iterator[Gap]:
    """Assemblies closed with no picture of them in the weeks before: each kind of closing, side and assembly once."""
    _, rules = read_rows(None, "closings.csv")
    first: dict[tuple[str, str, str], Row] = {}
    for act in found.all_performed:
        for rule in rules:
            if _closes(rule, act):
                first.setdefault((rule["closing"], act["assembly"], act["side"] or ""), act)
    for (closing, assembly, side), act in first.items():
        if not _seen_before(found, assembly, act):
            name = " ".join(filter(None, (side, words.assembly(assembly).lower())))
            yield Gap(CLOSED, f"{name[:1].upper()}{name[1:]}: {closing}", f"{words.date(act['date'])}; no picture of "
                      f"it in the {WEEKS_BEFORE} weeks before and on that day")


def _closes(rule: dict[str, str], act: Row) -> bool:
    if act["task"] not in rule["tasks"].split("|") or act["assembly"] not in rule["assemblies"].split("|"):
        return False
    said = words_of(act["part"])
    parts = [words_of(part) for part in rule["parts"].split("|") if part]
    return not parts or (bool(said) and any(part[-1] == said[-1] and set(part) <= set(said) for part in parts))


def _seen_before(found: Collected, assembly: str, act: Row) -> bool:
    """A photo of the assembly, or a film of work on it, in the weeks before it was closed, that day included."""
    last = act["last_day"] or act["first_day"]
    if not last:
        return False
    start = (dt.date.fromisoformat(act["first_day"] or last) - dt.timedelta(weeks=WEEKS_BEFORE)).isoformat()
    if any(tag["assembly"] == assembly and tag["confidence"] >= TAG_AT_LEAST and tag["day"] and not tag["is_receipt"]
           and start <= tag["day"] <= last for tag in found.tags):
        return True
    return any(other["assembly"] == assembly and found.sources[other["source_id"]]["has_video"]
               and start <= (found.sources[other["source_id"]]["day"] or "") <= last
               for other in found.all_performed if other["id"] != act["id"])


def _silences(found: Collected) -> Iterator[Gap]:
    days = sorted({row["day"] for row in found.sources.values() if row["day"] and row["kind"] != "document"})
    for before, after in itertools.pairwise(days):
        length = (dt.date.fromisoformat(after) - dt.date.fromisoformat(before)).days
        if length > SILENCE_DAYS:
            yield Gap(SILENCE, f"{words.short_day(before)} to {words.short_day(after)}",
                      f"{length} days without a recording, a note or a photo")


def _vague(found: Collected) -> Iterator[Gap]:
    for act in found.all_performed:
        if act["who"] == "builder" and not edtf_days.is_exact(act["date"]):
            yield Gap(VAGUE, what("acts", act), f"{words.date(act['date'])}; "
                      f"told in {found.sources[act['source_id']]['path']} at {words.clock(act['start'])}")


def _at_work(found: Collected) -> Iterator[Gap]:
    """One gap where no picture's caption or keyword has the builder's name or says that he is at work."""
    marks = [name.casefold() for name in found.journal.get("builders") or ()] + list(AT_WORK)
    photos = [row for row in found.sources.values() if row["kind"] == "photo"]
    if found.all_performed and not any(mark in _labels(photo) for photo in photos for mark in marks):
        yield Gap(AT_WORK_MISSING, "No picture is marked as showing the builder at work",
                  "write his name, or “at work”, into the caption or the keywords of such pictures")


def _labels(photo: Row) -> str:
    return " ".join(filter(None, (photo["caption"], *(photo["keywords"] or ())))).casefold()


def _figures(found: Collected) -> Iterator[Gap]:
    """Hours and amounts that the program is unsure of and nobody has confirmed."""
    for table in ("hours", "purchases"):
        for row in found.everything[table]:
            problems = [*(row["doubts"] or ()), *(row.get("receipt_problems") or ())]
            counts = row["counted"] if table == "hours" else row["status"] in ("bought", "ordered")
            if counts and problems and not row["correction"]:
                yield Gap(FIGURE, what(table, row), "; ".join(problems))

