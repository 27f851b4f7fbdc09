"""Days: the whole build, a year, a month, a day; a recording and a picture by themselves."""
from __future__ import annotations

import re
from typing import Any

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark.answers import ledgers, page_days
from witnessmark.serving import strip
from witnessmark.serving.media import served_type
from witnessmark.serving.page import page

HERE = "/"
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
        return {"title": name, "strip": strip.draw(days, name), "months": months, "year": name,
                "shown": page_days.pictures_of_months(db, name)} if months else None

    return await page(datasette, request, "year", read, HERE)


async def month(datasette: Any, request: Any) -> Response:
    """The days of a month."""
    name = request.url_vars["month"]

    def read(db: Database) -> dict[str, Any] | None:
        found, days = page_days.month(db, name), page_days.bars(db)
        names = [row["month"] for row in page_days.months(days)]
        earlier, later = [other for other in names if other < name], [other for other in names if other > name]
        return {"title": "", "month": name, "days": found, "strip": strip.draw(days, name),
                "before": earlier[-1] if earlier else None, "after": later[0] if later else None} if found else None

    return await page(datasette, request, "month", read, HERE)


async def day(datasette: Any, request: Any) -> Response:
    """All of one day."""
    name = request.url_vars["day"]

    def read(db: Database) -> dict[str, Any] | None:
        found = page_days.day(db, name)
        return {**found, "title": "", "strip": strip.draw(page_days.bars(db), name)} if found else None

    return await page(datasette, request, "day", read, HERE)


async def inexact(datasette: Any, request: Any) -> Response:
    """Work that was done, on no one day that is known."""
    return await page(datasette, request, "inexact",
                      lambda db: {"title": "Work whose day is not known exactly", "acts": page_days.inexact(db)}, HERE)


async def clip(datasette: Any, request: Any) -> Response:
    """A recording or note: player at `?t=` seconds, all its words, what was read from them."""
    at = seconds(request.args.get("t"))

    def read(db: Database) -> dict[str, Any] | None:
        found = page_days.clip(db, request.url_vars["id"])
        return {**found, "title": "", "at": at} if found else None

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
