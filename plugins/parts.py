"""Parts: every part by assembly, and all that the journal has on one of them."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response

from witnessmark.answers import page_parts
from witnessmark.serving.page import page

HERE = "/parts"
MOST_PARTS = 40  # of an assembly in the list of all; its own page has the rest
SHOWN_AT_FIRST = 8  # pictures before the words; the rest is one click away


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/parts$", index), (r"^/part$", part), (r"^/assembly/(?P<id>[a-z-]{1,40})$", assembly)]


async def index(datasette: Any, request: Any) -> Response:
    """All assemblies with their parts."""
    def read(db: Any) -> dict[str, Any]:
        groups = page_parts.index(db)
        for group in groups:
            group["more_parts"] = max(len(group["parts"]) - MOST_PARTS, 0)
            group["parts"] = page_parts.most_told(group["parts"], MOST_PARTS)
        return {"title": "Parts", "assemblies": groups, "shown": page_parts.pictures_of_assemblies(db)}

    return await page(datasette, request, "parts", read, HERE)


async def part(datasette: Any, request: Any) -> Response:
    """One part, in an assembly if `?assembly=` is given."""
    name, where = request.args.get("name") or "", request.args.get("assembly") or None
    return await _history(datasette, request, lambda db: page_parts.part(db, name[:200], where))


async def assembly(datasette: Any, request: Any) -> Response:
    """One assembly."""
    return await _history(datasette, request, lambda db: page_parts.assembly(db, request.url_vars["id"]))


async def _history(datasette: Any, request: Any, find: Any) -> Response:
    def read(db: Any) -> dict[str, Any] | None:
        found = find(db)
        return {**found, "title": "", "shown_at_first": SHOWN_AT_FIRST} if found else None

    return await page(datasette, request, "part", read, HERE)
