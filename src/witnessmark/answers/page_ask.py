"""The page with one box: a question about a day, or words to be found. Read-only."""
from __future__ import annotations

import re
from typing import Any

from sqlite_utils import Database

from witnessmark.answers import asking, finding
from witnessmark.model import Settings
from witnessmark.store.loading import query

Row = dict[str, Any]
MOST_LINES = 40
LONGEST_QUESTION = 300
ASKING = re.compile(r"^(?:(?:on )?(?:which|what) (?:day|date)s?|when|did|have|has)\b|\?"
                    r"|\b(?:i|we|get|got|be|been|have|has)\b", re.I)
"""Words of asking, which nobody says when he tells of the work."""


def ask(db: Database, words: str, settings: Settings) -> Row:
    """`answers` (performed, best first), `only_planned`, `other_side` and `near` with record ids; `hits` of the words.

    `asked` is the question as it was understood, None where the words name no work.
    """
    words = " ".join(words[:LONGEST_QUESTION].split())
    found: Row = {"asked": None, "answers": [], "only_planned": [], "near": []}
    if not words:
        return {**found, "hits": [], "sought": {}}
    asked = _question(words, settings)
    if asked.tasks:
        lines = asking.when(db, words, settings)
        found = {"asked": asked, **{name: [_placed(db, line) for line in part[:MOST_LINES]]
                                    for name, part in lines.items()}}
    return {**found, **finding.find(db, ASKING.sub("", words) or words, settings)}


def _question(words: str, settings: Settings) -> Any:
    from witnessmark.answers.questions import parse_question
    from witnessmark.trade.lexicon import Lexicon

    return parse_question(words, Lexicon.load(settings.vocabulary))


def _placed(db: Database, line: Row) -> Row:
    """A line of an answer with the ids of its record and source."""
    place = next(iter(query(db, """SELECT a.id, a.source_id, a.picture, s.day AS told, a.quote, a.confidence AS sure
        FROM acts AS a JOIN sources AS s ON s.id = a.source_id
        WHERE s.path = ? AND a.task = ? AND a.start = ? AND a.part IS ? AND a.side IS ?""",
                            [line["source"], line["task"], line["start"], line["part"], line["side"]])), {})
    return {**line, **place, "fit": line["confidence"], "confidence": place.get("sure")}
