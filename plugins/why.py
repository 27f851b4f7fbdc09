"""Why: one record with its words, its rules and its corrections; and the list of all corrections."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark.answers import page_why
from witnessmark.answers.asking import lexicon_of
from witnessmark.journal.settings import VOCABULARY_KINDS
from witnessmark.serving import forms, rules, spelling
from witnessmark.serving.page import number, page
from witnessmark.serving.state import pages_of

LONGEST_WORD = 80


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/why/(?P<id>[0-9a-f]{8,64})$", why), (r"^/corrections$", corrections)]


async def why(datasette: Any, request: Any) -> Response:
    """One record."""
    settings = pages_of(datasette).journal.settings

    def read(db: Database) -> dict[str, Any] | None:
        found = page_why.why(db, request.url_vars["id"])
        if found is None:
            return None
        for cue in found["cues"]:
            cue["repairs"] = spelling.of_repair(cue, lexicon_of(settings)) if cue["heard"] else []
        return {**found, "title": "Why", "spelling": spelling.of_record(found["kind"], found["record"]),
                "rules": [(rule, rules.plain(rule)) for rule in found["record"]["rules"]],
                "sentence": forms.said(found["kind"], found["record"]),
                "form": forms.fields(found["kind"], found["record"], found["fields"])}

    return await page(datasette, request, "why", read)


async def corrections(datasette: Any, request: Any) -> Response:
    """All corrections, those first that no longer find their record; `?heard=&meant=&kind=` fill in a word to teach."""
    word = {name: (request.args.get(name) or "")[:LONGEST_WORD] for name in ("heard", "meant", "kind")}
    skip = number(request.args.get("skip"))
    return await page(datasette, request, "corrections", lambda db: {
        "title": "Corrections", "word_kinds": VOCABULARY_KINDS, "word": word, **page_why.corrections(db, skip)})
