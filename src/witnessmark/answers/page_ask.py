"""The page with one box: a question about a day, or words to be found. Read-only."""
from __future__ import annotations

import re
from typing import Any

from sqlite_utils import Database

from witnessmark.answers import asking, finding, page_parts
from witnessmark.model import Settings
from witnessmark.store.loading import query

Row = dict[str, Any]
MOST_LINES = 40
LONGEST_QUESTION = 300
ASKING = re.compile(r"^(?:(?:on )?(?:which|what) (?:day|date)s?|when|did|have|has)\b|\?"
                    r"|\b(?:i|we|get|got|be|been|have|has)\b", re.I)
"""Words of asking, which nobody says when he tells of the work."""
WHEN = re.compile(r"^(?:(?:on )?(?:which|what) (?:day|date)s?|when)\b", re.I)


def ask(db: Database, words: str, settings: Settings) -> Row:
    """`answers` (performed, best first), `by_others`, `only_planned` and `near`, with record ids; `hits` of the words.

    `asked` is the question as it was understood, None where the words name no work. Where the best answer is the
    builder's own work, what somebody else did stands apart in `by_others`. `clip` is the source of the best answer,
    `thing` the part that the words name, if the journal has it.
    """
    words = " ".join(words[:LONGEST_QUESTION].split())
    found: Row = {"asked": None, "answers": [], "by_others": [], "only_planned": [], "near": [], "clip": None,
                  "thing": None}
    if not words:
        return {**found, "hits": [], "sought": {}}
    asked = _question(words, settings)
    about = asked.part or asked.assembly
    if (asked.tasks and (about or ASKING.search(words))) or (about and WHEN.search(words)):
        found |= {"asked": asked, **_answers(db, words, settings)}
        for line in found["near"]:
            line["reason"] = _reason(asked, line)
    if asked.part and page_parts.is_told_of(db, asked.part, asked.assembly):
        found["thing"] = {"part": asked.part, "assembly": asked.assembly}
    return {**found, **finding.find(db, ASKING.sub("", words) or words, settings)}


def _answers(db: Database, words: str, settings: Settings) -> Row:
    lines = {name: [_placed(db, line) for line in part[:MOST_LINES]]
             for name, part in asking.when(db, words, settings).items()}
    best = next(iter(lines["answers"]), None)
    if best is None:
        return lines
    others = [line for line in lines["answers"] if line["who"] != "builder"] if best["who"] == "builder" else []
    clip = next(iter(query(db, "SELECT * FROM sources WHERE id = ?", [best.get("source_id")])), None)
    return {**lines, "answers": [line for line in lines["answers"] if line not in others], "by_others": others,
            "clip": clip}


def _reason(asked: Any, line: Row) -> str:
    """Why a line is near what was asked, but not it."""
    if asked.side and line["side"] and asked.side != line["side"]:
        return "the other side"
    return "somebody else" if asked.person else ""


def _question(words: str, settings: Settings) -> Any:
    from witnessmark.answers.questions import parse_question

    return parse_question(words, asking.lexicon_of(settings))


def _placed(db: Database, line: Row) -> Row:
    """A line of an answer with the ids of its record and source."""
    place = next(iter(query(db, """SELECT a.id, a.source_id, a.picture, s.kind AS source_kind, s.day AS told, a.quote,
            a.confidence AS sure
        FROM acts AS a JOIN sources AS s ON s.id = a.source_id
        WHERE s.path = ? AND a.task = ? AND a.start = ? AND a.part IS ? AND a.side IS ?""",
                            [line["source"], line["task"], line["start"], line["part"], line["side"]])), {})
    return {**line, **place, "fit": line["confidence"], "confidence": place.get("sure")}
