"""Safety: the gate before every page, and the door for visitors with the secret."""
from __future__ import annotations

from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Base400, NotFound, Response
from datasette.views.base import DatasetteError

from witnessmark.faults import log_fault, system_fault
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


@hookimpl(hookwrapper=True)
def handle_exception(datasette: Any, request: Any, exception: Exception) -> Any:
    """Every fault as one sentence, in place of Datasette's own answer, which prints the program's variables."""
    outcome = yield
    if is_ours(datasette):
        outcome.force_result([lambda: faulty(datasette, request, exception)])


async def faulty(datasette: Any, request: Any, error: Exception) -> Response:
    """The page for an error: what Datasette refuses by its own words, a fault of the program with a log."""
    if isinstance(error, NotFound):
        status, sentence = error.status, "There is no such page."
    elif isinstance(error, Base400):
        status, sentence = error.status, str(error)
    elif isinstance(error, DatasetteError):
        status, sentence = error.status, error.title if error.message_is_html else error.message
    else:
        status, sentence = 500, system_fault(error) or log_fault(pages_of(datasette).journal, error, "this page")
    if request.path.partition("?")[0].endswith(".json"):
        return Response.json({"ok": False, "error": sentence, "status": status}, status=status)
    return await refuse(datasette, request, sentence or "This cannot be shown.", status)


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
