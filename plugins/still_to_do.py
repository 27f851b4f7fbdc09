"""Still to do: what the talk left to do, to buy, to fix, or away; each can be closed."""
from __future__ import annotations

import datetime as dt
from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark.answers import ledgers
from witnessmark.answers.page_ledgers import with_source_kinds
from witnessmark.serving.page import page

HERE = "/open"
MOST_LINES = 300


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/open$", still_to_do)]


async def still_to_do(datasette: Any, request: Any) -> Response:
    """Open jobs grouped by `?by=`, oldest first."""
    by = request.args.get("by") or "kind"

    def read(db: Database) -> dict[str, Any]:
        found = ledgers.open_jobs(db, by)
        today = dt.date.today()
        lines = with_source_kinds(db, found["lines"][:MOST_LINES])
        for line in lines:
            line["age"] = age(today, line["day"])
            line["group"] = line[by] or ledgers.EMPTY[by]
        return {**found, "title": "Still to do", "ways": ledgers.OPEN_BY, "lines": lines,
                "left_out": max(len(found["lines"]) - MOST_LINES, 0)}

    return await page(datasette, request, "open", read, HERE)


def age(today: dt.date, day: str | None) -> str:
    """How long ago a day is, roughly, in words."""
    if not day:
        return "age not known"
    days = (today - dt.date.fromisoformat(day)).days
    if days < 14:
        return "today" if days <= 0 else f"{days} day{'s' if days > 1 else ''} old"
    if days < 60:
        return f"{days // 7} weeks old"
    return f"{days // 30} months old" if days < 730 else f"{days // 365} years old"
