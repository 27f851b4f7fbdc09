"""Why: one record with its words, its rules and its corrections; and the list of all corrections."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark.answers import page_why
from witnessmark.journal.settings import VOCABULARY_KINDS
from witnessmark.serving import forms, rules
from witnessmark.serving.page import page


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/why/(?P<id>[0-9a-f]{8,64})$", why), (r"^/corrections$", corrections)]


async def why(datasette: Any, request: Any) -> Response:
    """One record."""
    def read(db: Database) -> dict[str, Any] | None:
        found = page_why.why(db, request.url_vars["id"])
        if found is None:
            return None
        return {**found, "title": "Why", "rules": [(rule, rules.plain(rule)) for rule in found["record"]["rules"]],
                "sentence": forms.said(found["kind"], found["record"]),
                "form": forms.fields(found["kind"], found["record"], found["fields"])}

    return await page(datasette, request, "why", read)


async def corrections(datasette: Any, request: Any) -> Response:
    """All corrections, those first that no longer find their record."""
    return await page(datasette, request, "corrections",
                      lambda db: {"title": "Corrections", "word_kinds": VOCABULARY_KINDS, **page_why.corrections(db)})
