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
from witnessmark.store.taught import NAMES

FIELD = "to."
LONGEST, MOST_AT_ONCE, SEVERAL = 500, 2, "."
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
    return Response.redirect(_back(sent.get("back", ""), done), status=303)


def _write(journal: Journal, sent: dict[str, str]) -> list[Correction]:
    """The corrections that were written: one, or a change with the spelling that it teaches."""
    do, record, why = sent.get("do", ""), sent.get("record", ""), _plain(sent.get("why", ""))
    if do == "undo":
        return [correct.undo(journal, identity) for identity in record.split(SEVERAL)[:MOST_AT_ONCE]]
    if do == "word":
        return [_word(journal, sent.get("kind", ""), sent.get("heard", ""), sent.get("meant", ""), why)]
    if do in ("confirm", "reject", "close"):
        return [correct.judge(journal, record, do, why)]  # type: ignore[arg-type]
    if do == "change":
        changed = _changed(sent)
        return [correct.change(journal, record, changed, why), *_learned(journal, sent, changed)]
    raise WitnessmarkError("this is no correction: use the buttons of the page")


def _learned(journal: Journal, sent: dict[str, str], changed: dict[str, str | None]) -> list[Correction]:
    """The spelling that a changed name teaches, where the builder asked for it."""
    kind = sent.get("learn")
    return [_word(journal, kind, sent.get(f"was.{name}", ""), meant, "") for name, meant in changed.items()
            if kind and meant and name in NAMES.values() and sent.get(f"was.{name}")]


def _word(journal: Journal, kind: str, heard: str, meant: str, why: str) -> Correction:
    heard, meant = _plain(heard), _plain(meant)
    if not heard or not meant:
        raise WitnessmarkError("both words are needed: what was heard, and what it means")
    return correct.word(journal, kind, heard, meant, why)


def _changed(sent: dict[str, str]) -> dict[str, str | None]:
    """The fields whose value differs from the one that the form was filled with (`was.` beside `to.`)."""
    return {name.removeprefix(FIELD): _plain(value) or None for name, value in sent.items()
            if name.startswith(FIELD) and value != sent.get("was." + name.removeprefix(FIELD))}


def _plain(text: str) -> str:
    return CONTROL.sub(" ", text[:LONGEST]).strip()


def _back(target: str, done: list[Correction]) -> str:
    """A page of ours to go back to, with the corrections named, so that they can be taken back at once."""
    if not re.fullmatch(r"/(?![/\\])[\w/.~%?=&+:-]*", target):
        target = "/check"
    target = re.sub(r"[?&]said=[^&]*", "", target)
    return f"{target}{'&' if '?' in target else '?'}said={SEVERAL.join(one.id for one in done)}"
