"""Days: the whole build, a year, a month, a day; a recording and a picture by themselves."""
from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark.answers import ledgers, page_days
from witnessmark.answers.asking import lexicon_of
from witnessmark.serving import spelling, strip
from witnessmark.serving.media import served_type
from witnessmark.serving.page import page
from witnessmark.serving.state import pages_of

HERE = "/"
MOST_INEXACT = 300
ID = r"(?P<id>[0-9a-f]{8,64})"


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/$", build), (r"^/days/(?P<year>\d{4})$", year), (r"^/days/(?P<month>\d{4}-(?:0[1-9]|1[0-2]))$", month),
            (r"^/days/(?P<day>\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01]))$", day), (r"^/days/not-exact$", inexact),
            (rf"^/clip/{ID}$", clip), (rf"^/picture/{ID}$", picture)]


async def build(datasette: Any, request: Any) -> Response:
    """The whole build: its strip, its figures, its months."""
    def read(db: Database) -> dict[str, Any]:
        days = page_days.bars(db)
        return {"title": "Days", "strip": strip.draw(days), "totals": ledgers.totals(db),
                "months": page_days.months(days)[::-1], "shown": page_days.pictures_of_months(db),
                "inexact": len(page_days.inexact(db))}

    return await page(datasette, request, "days", read, HERE)


async def year(datasette: Any, request: Any) -> Response:
    """The months of a year."""
    name = request.url_vars["year"]

    def read(db: Database) -> dict[str, Any] | None:
        days = page_days.bars(db)
        months = page_days.months(row for row in days if row["day"].startswith(name))
        earlier, later = beside(name, {row["day"][:4] for row in days})
        return {"title": name, "strip": strip.draw(days, name), "months": months, "year": name, "before": earlier,
                "after": later, "shown": page_days.pictures_of_months(db, name)} if months else None

    return await page(datasette, request, "year", read, HERE)


async def month(datasette: Any, request: Any) -> Response:
    """The days of a month."""
    name = request.url_vars["month"]

    def read(db: Database) -> dict[str, Any] | None:
        found, days = page_days.month(db, name), page_days.bars(db)
        earlier, later = beside(name, {row["day"][:7] for row in days})
        return {"title": "", "month": name, "days": found, "strip": strip.draw(days, name), "before": earlier,
                "after": later} if found else None

    return await page(datasette, request, "month", read, HERE)


def beside(name: str, names: Iterable[str]) -> tuple[str | None, str | None]:
    """The names next before and after one, of those in the journal."""
    known = sorted(names)
    return (next((other for other in reversed(known) if other < name), None),
            next((other for other in known if other > name), None))


async def day(datasette: Any, request: Any) -> Response:
    """All of one day."""
    name = request.url_vars["day"]

    def read(db: Database) -> dict[str, Any] | None:
        found = page_days.day(db, name)
        return {**found, "title": "", "strip": strip.draw(page_days.bars(db), name)} if found else None

    return await page(datasette, request, "day", read, HERE)


async def inexact(datasette: Any, request: Any) -> Response:
    """Work that was done, on no one day that is known."""
    def read(db: Database) -> dict[str, Any]:
        found = page_days.inexact(db)
        return {"title": "Work whose day is not known exactly", "acts": found[:MOST_INEXACT],
                "left_out": max(len(found) - MOST_INEXACT, 0)}

    return await page(datasette, request, "inexact", read, HERE)


async def clip(datasette: Any, request: Any) -> Response:
    """A recording or note: player at `?t=` seconds, all its words, what was read from them."""
    at, settings = seconds(request.args.get("t")), pages_of(datasette).journal.settings

    def read(db: Database) -> dict[str, Any] | None:
        found = page_days.clip(db, request.url_vars["id"], at)
        if found is None:
            return None
        for cue in found["cues"]:
            cue["repairs"] = spelling.of_repair(cue, lexicon_of(settings)) if cue["heard"] else []
        return {**found, "title": "", "at": at}

    return await page(datasette, request, "clip", read, HERE)


def seconds(text: str | None) -> float:
    """The seconds in an address; 0 for none or nonsense."""
    return float(text) if text and re.fullmatch(r"\d{1,6}(\.\d{1,3})?", text) else 0.0


async def picture(datasette: Any, request: Any) -> Response:
    """A picture with what it shows and how that is known."""
    def read(db: Database) -> dict[str, Any] | None:
        found = page_days.picture(db, request.url_vars["id"])
        if found is None:
            return None
        return {**found, "title": "", "shown_whole": served_type(found["source"]).startswith("image/")}

    return await page(datasette, request, "picture", read, HERE)
