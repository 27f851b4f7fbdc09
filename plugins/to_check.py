"""To check: what the program is unsure of, one at a time, with the readings offered."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark.answers import page_check, page_why
from witnessmark.serving import forms, rules, spelling
from witnessmark.serving.page import number, page

HERE = "/check"


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/check$", check)]


async def check(datasette: Any, request: Any) -> Response:
    """The worst of what is unsure, or the one after `?skip=` others."""
    skip = number(request.args.get("skip"))

    def read(db: Database) -> dict[str, Any]:
        found = page_check.unsure(db, skip)
        for one in [found["first"], *found["following"]]:
            if one:
                one.update(said=forms.said(one["kind"], one["record"]), name=forms.KIND_NAMES[one["kind"]])
        if found["first"]:
            kind, row = found["first"]["kind"], found["first"]["record"]
            found |= {"source": page_check.source_of(db, row), "readings": forms.readings(kind, row),
                      "question": forms.question(kind, row), "rules": [rules.plain(rule) for rule in row["rules"]],
                      "form": forms.fields(kind, row, page_why.fields_of(kind)),
                      "spelling": spelling.of_record(kind, row)}
        return {**found, "title": "To check", "last": page_check.last_correction(db)}

    return await page(datasette, request, "check", read, HERE)
