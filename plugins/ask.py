"""Ask: one box for "when was …" and for words."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response

from witnessmark.answers import page_ask
from witnessmark.serving.page import page
from witnessmark.serving.state import pages_of

HERE = "/ask"


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/ask$", ask)]


async def ask(datasette: Any, request: Any) -> Response:
    """The answer to `?q=`."""
    words = request.args.get("q") or ""
    settings = pages_of(datasette).journal.settings
    return await page(datasette, request, "ask", lambda db: {
        "title": words[:80] or "Ask", "q": words, **page_ask.ask(db, words, settings)}, HERE)
