"""The log's first pages and its last: the summary, how it was made and what it cannot say, the page to sign."""
from __future__ import annotations

from collections import Counter, defaultdict
from typing import Any

from witnessmark import edtf_days, words
from witnessmark.evidence import timeliness
from witnessmark.evidence.chapters import table
from witnessmark.evidence.entries import is_unsure, kind_of, what
from witnessmark.evidence.gaps import Gap, counted
from witnessmark.evidence.gather import Collected, Row
from witnessmark.evidence.worksheet import Worksheet

Section = dict[str, Any]
MOST_OTHERS = 8  # lines of others' work in the summary; all of it has a chapter
CAUTIONS = (
    "This log was made by a program from what the builder said, wrote and photographed. It is no airworthiness "
    "finding and no legal advice. Local rules hold, and only the inspector or the authority decides, also on the "
    "major portion.",
    "It must be read, corrected and signed by the builder before it is shown: see its last page.")


def title(found: Collected) -> Section:
    """The first page: whose log, of what, of when, the chain's head, the figures, the cautions."""
    journal, choice = found.journal, found.choice
    facts = [["Aircraft", journal.get("aircraft") or "not given"],
             ["Builder", ", ".join(journal.get("builders") or ()) or "not given"], ["Period", period(found)]]
    if choice.assembly:
        facts.append(["Only", words.assembly(choice.assembly)])
    if choice.person:
        facts.append(["Only work by", choice.person])
    if not choice.is_whole:
        facts.append(["Extract", "not the whole journal; worksheet and gaps are those of the whole"])
    if choice.made:
        facts.append(["Made on", words.short_day(choice.made.isoformat())])
    lines = len(found.register.known)
    return {"kind": "title", "heading": "", "title": journal.get("title") or "Build log",
            "subtitle": "Build log: who did what, when, and what shows it", "facts": facts,
            "head_title": "The register’s last hash (SHA-256)", "head": found.register.head,
            "head_about": (f"It stands for all {words.plural(lines, 'file')} of the register: a dated print or e-mail "
                           "of this line fixes that they existed then, unchanged." if lines else
                           "The register is empty: nothing is fixed yet.") + _broken(found),
            "figures_title": "In figures", "figures": _figures(found), "cautions": list(CAUTIONS)}


def _broken(found: Collected) -> str:
    return " BUT THE REGISTER’S CHAIN IS BROKEN: " + "; ".join(found.register.faults) if found.register.faults else ""


def period(found: Collected) -> str:
    """The period chosen, and where it is open the days that the journal covers."""
    told = sorted(row["day"] for row in found.sources.values() if row["day"])
    first = found.choice.first.isoformat() if found.choice.first else told[0] if told else None
    last = found.choice.last.isoformat() if found.choice.last else told[-1] if told else None
    return f"{words.short_day(first)} to {words.short_day(last)}" if first and last else "no day known"


def _figures(found: Collected) -> list[list[str]]:
    acts = found.performed
    days = {act["first_day"] for act in found.builders if edtf_days.is_exact(act["date"])}
    kinds = Counter(source["kind"] for source in found.shown_sources)
    by = Counter(act["who"] for act in acts)
    hours = [row for row in found.records["hours"] if row["counted"]]
    figures = [["Work told", f"{words.plural(by['builder'], 'act')} by the builder, on "
                             f"{words.plural(len(days), 'exact day')}; {by['helper']} by unpaid helpers"],
               ["Not sure", f"the program is not sure of {sum(map(is_unsure, acts))} of these, which nobody has "
                            "confirmed"],
               ["Not the builder’s", f"{words.plural(by['paid'], 'act')} for hire, {by['maker']} by makers of kit or "
                                     "parts"],
               ["Not done", f"{len(found.records['acts']) - len(acts)} plans, advice and things said not to be done, "
                            "shown as such"],
               ["Hours told", "; ".join(f"{name} {words.hours(*span)}" for name, span in _hours(hours).items())
                or "none"],
               ["Sources", ", ".join(words.plural(kinds[kind], kind)
                                     for kind in ("recording", "transcript", "note", "photo"))],
               ["Registered", "; ".join(f"{count} {name}" for name, count in
                                        timeliness.classes(found.shown_sources)) or "none"]]
    if found.choice.money:
        bought = [row for row in found.records["purchases"] if row["status"] in ("bought", "ordered")
                  and not row["same_as"] and row["amount_low"] is not None]
        spent = [sum(row[name] for row in bought) for name in ("amount_low", "amount_high")]
        figures.append(["Bought, as told", f"{words.span(*spent)} {found.journal.get('currency', '')}, "
                                           "returns not taken off"])
    return figures


def _hours(rows: list[Row]) -> dict[str, list[float]]:
    sums: dict[str, list[float]] = {}
    for row in rows:
        span = sums.setdefault(words.WHO.get(row["who"] or "", "nobody named"), [0.0, 0.0])
        span[0] += row["low"]
        span[1] += row["high"]
    return dict(sorted(sums.items()))


def summary(found: Collected, worksheet: Worksheet, gaps: list[Gap]) -> list[Section]:
    """The second page: each assembly in a line, others' work, the worksheet's figures, what is missing."""
    others = [act for act in found.performed if kind_of("acts", act) == "other"]
    outside = sum(kind_of("acts", act) == "other" for act in found.all_performed) - len(others)
    lines = [f"{words.date(act['date'])}: {what('acts', act)} ({words.who(act)})" for act in others[:MOST_OTHERS]]
    if len(others) > MOST_OTHERS:
        lines.append(f"and {len(others) - MOST_OTHERS} more, in the chapter on work that is not the builder’s")
    if outside:
        lines.append(f"{words.plural(outside, 'act')} more of others’ lie outside this extract")
    missing = [f"{count} × {name}" for name, count in counted(gaps).items()]
    return [table("Summary", ("Assembly", "Builder’s acts", "Helpers’", "Others’", "First day", "Last day", "Pictures"),
                  ("2", "auto", "auto", "auto", "1.2", "1.2", "auto"), _assemblies(found), right=(1, 2, 3, 6),
                  new_page=True),
            {"kind": "list", "heading": "Commercial and factory work", "level": 2,
             "items": lines or ["None was told."]},
            {"kind": "list", "heading": "Worksheet", "level": 2, "items": worksheet.in_words()[:3]},
            {"kind": "list", "heading": "What this journal does not show", "level": 2,
             "items": missing or ["No gap was found."]}]


def _assemblies(found: Collected) -> list[list[str]]:
    grouped: dict[str, list[Row]] = defaultdict(list)
    for act in found.performed:
        grouped[words.assembly(act["assembly"])].append(act)
    seen: dict[str, set[str]] = defaultdict(set)
    for tag in found.tags:
        if tag["rank"] == 0 and not tag["is_receipt"]:
            seen[words.assembly(tag["assembly"])].add(tag["path"])
    rows = []
    for name, acts in sorted(grouped.items()):
        counts = Counter(kind_of("acts", act) for act in acts)
        firsts = sorted(act["first_day"] for act in acts if act["first_day"])
        lasts = sorted(act["last_day"] for act in acts if act["last_day"])
        rows.append([name, *(str(counts[kind]) for kind in ("own", "helper", "other")),
                     words.short_day(firsts[0]) if firsts else "", words.short_day(lasts[-1]) if lasts else "",
                     str(len(seen[name]))])
    return rows


def how_made(found: Collected) -> list[Section]:
    """How the log was made and what it cannot say."""
    choice = found.choice
    left = [f"{count} {kind.replace('_', ' ')}" for kind, count in found.left_out.items() if count]
    fixed = sum(1 for rows in found.records.values() for row in rows if row["correction"])
    total = sum(map(len, found.records.values()))
    made = [
        "The builder filmed, spoke, wrote and photographed; the program turned speech into text where there was no "
        "transcript, and read from the words who did which task to which part, and when. Nothing was taken from "
        "anywhere else. Beside every line stand the words, the file, the second and the file’s hash.",
        "A day is no more exact than what was said: “about”, “or earlier” and spans are printed as such. Work told "
        "without any word of time is put on the day of the telling. How that day is known (the camera’s clock, the "
        "file’s name) is printed too.",
        "Work is called the builder’s only where he says that he did it, alone or with others. Unpaid help, work for "
        "hire and work of makers are told apart by his words alone.",
        f"{fixed} of {total} records were confirmed, added or corrected by the builder. The others are as the program "
        "read them; where it was unsure it says so."]
    cannot = [
        "It cannot say that the work was done well, nor that a thing told was done as told: words and pictures are the "
        "builder’s own.",
        "It cannot hear what was not said. Work without a word, a note or a picture is missing.",
        "Speech can be misheard, names of parts and numbers above all; the recordings decide.",
        "A picture was put beside a line by its time, folder, caption or words; that it shows that very work is "
        "likely, not certain."]
    if left:
        cannot.append(f"Left out by choice or because they lie outside it: {', '.join(left)}.")
    if not choice.money:
        cannot.append("Purchases were left out; words that are quoted may still name amounts.")
    if not choice.names:
        cannot.append("Names of others were left out as far as the journal knows them and roles put in their place; "
                      "names of files are as they are.")
    return [{"kind": "list", "heading": "How this log was made", "new_page": True, "items": made},
            {"kind": "list", "heading": "What it cannot say", "level": 2, "items": cannot},
            {"kind": "contents", "heading": "Contents of this volume", "level": 2}]


def signature(found: Collected) -> Section:
    """The page for the builder's signature."""
    unsure = sum(1 for row in found.performed if not row["correction"])
    return {"kind": "sign", "heading": "Read and signed by the builder", "new_page": True, "paragraphs": [
        "A program made this log. It counts only when the builder has read it, corrected what is wrong, and signed.",
        f"Of {words.plural(len(found.performed), 'act')} told as done {unsure} were neither confirmed nor corrected "
        "one by one.",
        "I have read this log. What it says that I did, I did myself, alone or with the unpaid help that it names. "
        "Work for hire and work of makers is shown as such. What I found wrong I have corrected or marked by hand.",
        "This signature is no airworthiness finding. Whether the aircraft is airworthy, and whether the major portion "
        "was built by amateurs, is found by the inspector alone, under the rules that hold there."],
        "lines": ["Place and date", "Name in print", "Signature of the builder",
                  "Register’s last hash compared with a dated print or e-mail of (date)"]}

