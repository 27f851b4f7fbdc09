"""`when`: a question in plain words, put to the acts of the journal."""
from __future__ import annotations

import dataclasses
import functools
from typing import TYPE_CHECKING, Any

from sqlite_utils import Database

from witnessmark.model import Act, Settings
from witnessmark.store.loading import query
from witnessmark.store.rows import record_of

if TYPE_CHECKING:
    from witnessmark.trade.lexicon import Lexicon

Own = tuple[tuple[str, tuple[tuple[str, tuple[str, ...]], ...]], ...]


def lexicon_of(settings: Settings) -> Lexicon:
    """The trade's words with the builder's own, kept for the next question."""
    return _lexicon(tuple((kind, tuple((name, tuple(forms)) for name, forms in sorted(own.items())))
                          for kind, own in sorted(settings.vocabulary.items())))


@functools.lru_cache(maxsize=4)
def _lexicon(own: Own) -> Lexicon:
    from witnessmark.trade.lexicon import Lexicon

    return Lexicon.load({kind: dict(names) for kind, names in own})


def when(db: Database, question: str, settings: Settings) -> dict[str, Any]:
    """`answers`: work that was performed, best first; `only_planned`; `near`: done, but not quite what was asked.

    Each line has date, task, part, side, who, source, start, quote, confidence, status, assembly, person.
    """
    from witnessmark.answers.questions import parse_question
    from witnessmark.answers.when import Told, answer

    lexicon = lexicon_of(settings)
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
