"""`when`: a question in plain words, put to the acts of the journal."""
from __future__ import annotations

import dataclasses
from typing import Any

from sqlite_utils import Database

from witnessmark.model import Act, Settings
from witnessmark.store.loading import query
from witnessmark.store.rows import record_of


def when(db: Database, question: str, settings: Settings) -> dict[str, Any]:
    """`answers`: work that was performed, best first; `only_planned`; `near`: done, but not quite what was asked.

    Each line has date, task, part, side, who, source, start, quote, confidence, status, assembly, person.
    """
    from witnessmark.answers.questions import parse_question
    from witnessmark.answers.when import Told, answer
    from witnessmark.trade.lexicon import Lexicon

    lexicon = Lexicon.load(settings.vocabulary)
    asked = parse_question(question, lexicon)
    tasks = f"WHERE r.task IN ({', '.join('?' * len(asked.tasks))})" if asked.tasks else ""
    told = []
    for row in query(db, f"""SELECT r.*, s.path, s.day FROM acts AS r JOIN sources AS s ON s.id = r.source_id {tasks}
            ORDER BY s.captured_utc, r.source_id, r.cue, r.id""", asked.tasks):
        act = record_of("acts", row)
        assert isinstance(act, Act)
        told.append(Told(act, row["path"], row["day"] or ""))
    found = answer(asked, told, lexicon)
    return {name: [dataclasses.asdict(line) for line in getattr(found, name)]
            for name in ("answers", "only_planned", "near")}
