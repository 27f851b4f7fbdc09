"""One page: a query on the journal's database in a thread of its own, and a template around what it found."""
from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from typing import Any

from datasette.utils.asgi import Request, Response
from sqlite_utils import Database

from witnessmark.errors import WitnessmarkError
from witnessmark.serving.state import pages_of
from witnessmark.store import open_to_read

Read = Callable[[Database], dict[str, Any] | None]
NAVIGATION = (("/", "Days"), ("/ask", "Ask"), ("/parts", "Parts"), ("/open", "Still to do"), ("/hours", "Hours"),
              ("/money", "Money"), ("/check", "To check"))
NOT_FOUND, REFUSED = 404, 400
SAID = re.compile(r"[?&]said=[^&]*")


async def ask(datasette: Any, read: Callable[[Database], Any]) -> Any:
    """What `read` makes of the database, which is opened for it anew: an index may have replaced the file."""
    journal = pages_of(datasette).journal

    def work() -> Any:
        db = open_to_read(journal.database)
        try:
            return read(db)
        finally:
            db.close()

    return await asyncio.to_thread(work)


async def page(datasette: Any, request: Request, template: str, read: Read, here: str = "", status: int = 200,
               ) -> Response:
    """The page that `template` makes of what `read` finds; None is a page that there is not."""
    try:
        found = await ask(datasette, read)
    except WitnessmarkError as error:
        return await refuse(datasette, request, str(error), REFUSED)
    if found is None:
        return await refuse(datasette, request, "There is nothing of that name in this journal.", NOT_FOUND)
    return await show(datasette, request, template, found, here, status)


async def refuse(datasette: Any, request: Request, sentence: str, status: int) -> Response:
    """A page that says in one sentence why there is nothing else."""
    return await show(datasette, request, "refused", {"sentence": sentence}, "", status)


async def show(datasette: Any, request: Request, template: str, found: dict[str, Any], here: str, status: int,
               ) -> Response:
    """A template filled in, with what every page shows."""
    pages = pages_of(datasette)
    settings = pages.journal.settings
    always = {"journal": settings, "journal_title": settings.title or pages.journal.root.name,
              "navigation": NAVIGATION, "here": here, "may_write": pages.guard.may_write, "token": pages.guard.token,
              "back": SAID.sub("", request.full_path), "currency": settings.currency, "said": _said(request)}
    text = await datasette.render_template(f"log/{template}.html", {**always, **found}, request=request)
    return Response.html(text, status=status)


def number(text: str | None) -> int:
    """The whole number in an address; 0 for none or nonsense."""
    return int(text) if text and re.fullmatch(r"[0-9]{1,6}", text) else 0


def _said(request: Request) -> str | None:
    """The corrections that were just written, if their ids look like some."""
    said = request.args.get("said") or ""
    return said if re.fullmatch(r"[0-9a-f]{6,40}(\.[0-9a-f]{6,40})?", said) else None
