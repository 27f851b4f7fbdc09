"""Media: recordings and pictures by byte ranges, small pictures, captions."""
from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from starlette.responses import FileResponse

from witnessmark.serving import media
from witnessmark.serving.page import ask, refuse
from witnessmark.serving.state import pages_of

ID = r"(?P<id>[0-9a-f]{8,64})"
DAY_SECONDS = 86400
INERT = {"Content-Security-Policy": "default-src 'none'; sandbox"}


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(rf"^/file/{ID}$", original), (rf"^/small/{ID}\.jpg$", small), (rf"^/still/{ID}\.jpg$", still),
            (rf"^/captions/{ID}\.vtt$", captions)]


async def original(datasette: Any, request: Any, scope: Any, receive: Any, send: Any) -> Response | None:
    """A registered file, whole or the range that is asked for."""
    row = await ask(datasette, lambda db: media.source(db, request.url_vars["id"]))
    if row is None:
        return await refuse(datasette, request, "There is no such file in this journal.", 404)
    try:
        path = media.file_of(pages_of(datasette).journal, row)
    except media.Unavailable as error:
        return await refuse(datasette, request, str(error), 404)
    kind = media.served_type(row)
    name = Path(row["path"]).name if kind == media.SAVED else None
    # Media is played by the page's own player; a document in the browser may not become a page of ours.
    answer = FileResponse(path, media_type=kind, filename=name, headers={**INERT, "Cache-Control": "private"})
    await answer(scope, receive, send)
    return None


async def small(datasette: Any, request: Any, scope: Any, receive: Any, send: Any) -> Response | None:
    """The thumbnail of a picture, or a frame of a film."""
    row = await ask(datasette, lambda db: media.source(db, request.url_vars["id"]))
    return await _picture(datasette, request, row and (lambda journal: media.small_picture(journal, row)),
                          scope, receive, send)


async def still(datasette: Any, request: Any, scope: Any, receive: Any, send: Any) -> Response | None:
    """The frame of a film at the second of an act (its id)."""
    row = await ask(datasette, lambda db: next(db.query(
        "SELECT s.*, a.start AS second FROM acts AS a JOIN sources AS s ON s.id = a.source_id WHERE a.id = ?",
        [request.url_vars["id"]]), None))
    return await _picture(datasette, request, row and (lambda journal: media.still(journal, row, row["second"])),
                          scope, receive, send)


async def _picture(datasette: Any, request: Any, make: Any, scope: Any, receive: Any, send: Any) -> Response | None:
    if make is None:
        return await refuse(datasette, request, "There is no such picture in this journal.", 404)
    try:
        path = await asyncio.to_thread(make, pages_of(datasette).journal)
    except media.Unavailable as error:
        return Response.text(str(error), status=404)
    answer = FileResponse(path, media_type="image/jpeg",
                          headers={**INERT, "Cache-Control": f"private, max-age={DAY_SECONDS}"})
    await answer(scope, receive, send)
    return None


async def captions(datasette: Any, request: Any) -> Response:
    """A recording's words as a WebVTT captions track."""
    text = await ask(datasette, lambda db: media.captions(db, request.url_vars["id"]))
    if text is None:
        return Response.text("no words", status=404)
    return Response(text, headers=INERT, content_type="text/vtt; charset=utf-8")
