"""Safety: the gate before every page, and the door for visitors with the secret."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response

from witnessmark.serving import safety
from witnessmark.serving.page import refuse, show
from witnessmark.serving.state import is_ours, pages_of


@hookimpl
def asgi_wrapper(datasette: Any) -> Any:
    def wrap(app: Any) -> Any:
        return safety.Gate(app, pages_of(datasette).guard) if is_ours(datasette) else app

    return wrap


@hookimpl
def skip_csrf(datasette: Any, scope: Any) -> bool:
    """The pages have a token of their own, which also those without a cookie must send."""
    return bool(is_ours(datasette) and scope["path"] in safety.WRITING)


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/enter$", enter)]


async def enter(datasette: Any, request: Any) -> Response:
    """Ask for the secret; whoever knows it gets a cookie that opens the pages."""
    guard = pages_of(datasette).guard
    if request.method != "POST" or guard.secret is None:
        return await show(datasette, request, "enter", {"title": "Enter"}, "", 200)
    sent = await request.post_vars()
    if not safety.is_secret(sent.get("secret", ""), guard.secret):
        return await refuse(datasette, request, "That is not the secret of this journal.", 403)
    answer = Response.redirect("/", status=303)
    answer.set_cookie(safety.COOKIE, guard.secret, httponly=True, samesite="strict", max_age=30 * 86400)
    return answer
