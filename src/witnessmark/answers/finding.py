"""Search: any words, and any word of the trade for the same thing, in what was said, in records, captions and names."""
from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlite_utils import Database

from witnessmark.answers.asking import lexicon_of
from witnessmark.model import Settings
from witnessmark.store.loading import query

if TYPE_CHECKING:
    from witnessmark.trade.lexicon import Lexicon

LONGEST_NAME = 4
SHOWS = 0.5  # a tag that is less sure says what a picture might show
MOST_WORDS_FOR_A_TASK = 24
SMALL_WORDS = frozenset({"a", "an", "and", "did", "for", "in", "my", "of", "on", "our", "the", "to", "was", "were",
                         "with"})


@dataclass(frozen=True, slots=True)
class Sought:
    """One thing that is sought: the words as typed, and other words that mean the same."""

    typed: str
    alike: tuple[str, ...] = ()


def find(db: Database, words: str, settings: Settings, limit: int = 25) -> dict[str, Any]:
    """What was said or written of these words: first where they stand, then where other words mean the same.

    `hits` have `kind` (words, caption, picture), `source`, `day`, `captured`, `start`, `end` (seconds; null without
    sound), `text`, `source_id`, `exact`; `sought` maps each word typed to the words that were taken to mean the same.
    """
    sought = expand(words, lexicon_of(settings))
    hits: dict[tuple[str, Any], dict[str, Any]] = {}
    for exact in (True, False):
        if sought and len(hits) < limit:
            for hit in _search(db, sought, exact, limit):
                hits.setdefault((hit["source_id"], hit["start"]), {**hit, "exact": exact})
    return {"hits": list(hits.values())[:limit], "sought": {term.typed: list(term.alike) for term in sought}}


def expand(words: str, lexicon: Lexicon) -> list[Sought]:
    """The terms in a search, longest names first; "quoted words" are taken as they are."""
    sought: list[Sought] = []
    for quoted, plain in re.findall(r'"([^"]+)"|([^"]+)', words):
        if quoted:
            sought.append(Sought(" ".join(re.findall(r"\w+", quoted))))
        else:
            sought += _terms(re.findall(r"\w+", plain.lower()), lexicon)
    kept = [term for term in sought if term.typed and term.typed not in SMALL_WORDS]
    return kept or [term for term in sought if term.typed]


def _terms(words: Sequence[str], lexicon: Lexicon) -> Iterator[Sought]:
    at = 0
    while at < len(words):
        for length in range(min(LONGEST_NAME, len(words) - at), 0, -1):
            phrase = " ".join(words[at:at + length])
            alike = _alike(phrase, lexicon)
            if alike or length == 1:
                yield Sought(phrase, tuple(word for word in alike if word != phrase))
                at += length
                break


def _alike(phrase: str, lexicon: Lexicon) -> tuple[str, ...]:
    """Other words for the thing, assembly or task that a phrase names; nothing if it names none."""
    thing = lexicon.thing(phrase)
    if thing is not None and phrase.removesuffix("s") in {name.replace("-", " ").removesuffix("s")
                                                          for name in (thing.name, *thing.synonyms)}:
        return (thing.name, *thing.synonyms)
    for _, synonyms in lexicon.assemblies.values():
        if phrase in synonyms:
            return tuple(synonyms)
    tasks = [form.task for form in lexicon.task_forms(phrase) if not form.light][:1]
    return tuple(word for word, meanings in lexicon.task_question_words.items()
                 if meanings[:1] == tuple(tasks))[:MOST_WORDS_FOR_A_TASK] if tasks else ()


def match_text(sought: Sequence[Sought], exact: bool, apart: bool = False) -> str:
    """A query in the language of SQLite's FTS5: every term in one of its forms. Words are quoted, so none is syntax.

    `apart` takes the words of a form wherever they stand: a tag has its assembly and its part in columns of their own.
    """
    groups = []
    for term in sought:
        forms = (term.typed,) if exact else (term.typed, *term.alike)
        groups.append("(" + " OR ".join(_quoted(form, apart) for form in forms) + ")")
    return " AND ".join(groups)


def _quoted(form: str, apart: bool) -> str:
    plain = form.replace('"', " ").replace("-", " ")
    words = plain.split() if apart else [plain]
    return "(" + " AND ".join(f'"{word}"' for word in words) + ")" if words else f'"{plain}"'


# For each search table: the kind of a hit, the table searched, how its rows lead to sources, clip and text.
SEARCHES = (("words", "cues", "s.id = r.source_id", 'r.start, r."end", r.text'),
            ("record", "acts", "s.id = r.source_id", 'r.start, r."end", r.quote AS text'),
            ("record", "purchases", "s.id = r.source_id", 'r.start, r."end", r.quote AS text'),
            ("caption", "sources", "s.id = r.id", 'NULL AS start, NULL AS "end", coalesce(r.caption, r.path) AS text'),
            ("picture", "photos", "s.id = r.source_id", 'NULL AS start, NULL AS "end", r.text_seen AS text'),
            ("picture", "photo_tags", f"s.id = r.source_id AND r.confidence >= {SHOWS}",
             """NULL AS start, NULL AS "end", trim(coalesce(r.side, '') || ' ' || coalesce(r.assembly, '') || ' ' ||
             coalesce(r.part, '') || ' ' || coalesce(r.task, '')) AS text"""))


def _search(db: Database, sought: Sequence[Sought], exact: bool, limit: int) -> list[dict[str, Any]]:
    hits = []
    for kind, table, joined, clip in SEARCHES:
        match = match_text(sought, exact, apart=table == "photo_tags")
        hits += query(db, f"""SELECT '{kind}' AS kind, s.path AS source, s.id AS source_id, s.day, s.captured, {clip}
            FROM {table}_fts JOIN {table} AS r ON r.rowid = {table}_fts.rowid JOIN sources AS s ON {joined}
            WHERE {table}_fts MATCH ? ORDER BY bm25({table}_fts), s.captured_utc, start LIMIT ?""", [match, limit])
    return hits
