"""Put right: the page that writes: a correction, a confirmation, a closed job, a word, or one of them taken back."""
from __future__ import annotations

import asyncio
import re
from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response

from witnessmark.errors import WitnessmarkError
from witnessmark.journal import Journal
from witnessmark.journal.corrections import Correction
from witnessmark.pipeline import correct
from witnessmark.serving.page import refuse
from witnessmark.serving.safety import is_token
from witnessmark.serving.state import pages_of

FIELD = "to."
LONGEST = 500
CONTROL = re.compile(r"[\x00-\x1f\x7f]")


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/correct$", put_right)]


async def put_right(datasette: Any, request: Any) -> Response:
    """Write one correction and go back to the page that sent it."""
    pages = pages_of(datasette)
    if request.method != "POST":
        return await refuse(datasette, request, "Corrections are sent from the other pages.", 405)
    sent = await request.post_vars()
    if not is_token(sent.get("token", ""), pages.guard):
        return await refuse(datasette, request, "This page is from before the server was started: go back, load it "
                            "again and repeat the correction.", 403)
    try:
        done = await asyncio.to_thread(_write, pages.journal, sent)
    except WitnessmarkError as error:
        return await refuse(datasette, request, str(error), 400)
    return Response.redirect(_back(sent.get("back", ""), done.id), status=303)


def _write(journal: Journal, sent: dict[str, str]) -> Correction:
    do, record, why = sent.get("do", ""), sent.get("record", ""), _plain(sent.get("why", ""))
    if do == "undo":
        return correct.undo(journal, record)
    if do == "word":
        heard, meant = (_plain(sent.get(name, "")) for name in ("heard", "meant"))
        if not heard or not meant:
            raise WitnessmarkError("both words are needed: what was heard, and what it means")
        return correct.word(journal, sent.get("kind", ""), heard, meant, why)
    if do in ("confirm", "reject", "close"):
        return correct.judge(journal, record, do, why)  # type: ignore[arg-type]
    if do == "change":
        return correct.change(journal, record, _changed(sent), why)
    raise WitnessmarkError("this is no correction: use the buttons of the page")


def _changed(sent: dict[str, str]) -> dict[str, str | None]:
    """The fields whose value differs from the one that the form was filled with (`was.` beside `to.`)."""
    return {name.removeprefix(FIELD): _plain(value) or None for name, value in sent.items()
            if name.startswith(FIELD) and value != sent.get("was." + name.removeprefix(FIELD))}


def _plain(text: str) -> str:
    return CONTROL.sub(" ", text[:LONGEST]).strip()


def _back(target: str, correction: str) -> str:
    """A page of ours to go back to, with the correction named, so that it can be taken back at once."""
    if not re.fullmatch(r"/(?![/\\])[\w/.~%?=&+:-]*", target):
        target = "/check"
    target = re.sub(r"[?&]said=[^&]*", "", target)
    return f"{target}{'&' if '?' in target else '?'}said={correction}"
