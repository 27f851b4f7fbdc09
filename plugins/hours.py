"""Hours: worked hours by month, assembly, person, task and kind of person."""
from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from datasette import hookimpl
from datasette.utils.asgi import Response
from sqlite_utils import Database

from witnessmark import words
from witnessmark.answers import ledgers, page_ledgers
from witnessmark.serving import charts
from witnessmark.serving.page import ask, page

HERE = "/hours"
NAMES = {"month": words.month, "assembly": words.assembly, "task": words.task,
         "who": lambda name: words.WHO.get(name, name), "person": lambda name: words.WHO.get(name, name)}


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/hours$", hours), (r"^/hours\.csv$", as_csv)]


async def hours(datasette: Any, request: Any) -> Response:
    """The ledger of hours, grouped by `?by=`, with the lines of the group `?only=`."""
    by = request.args.get("by") or "month"

    def read(db: Database) -> dict[str, Any]:
        found = page_ledgers.hours(db, by, request.args.get("only"))
        for group in found["groups"]:
            group["name"] = NAMES[by](group[by])
            group["href"] = "/hours?" + urlencode({"by": by, "only": group[by]}) + "#lines"
        chart = charts.bars(f"Hours worked by {by}", f"The table below gives the same figures by {by}.",
                            tuple((group["name"], group["low"], group["high"], group["href"])
                                  for group in found["groups"]), "hours")
        return {**found, "title": "Hours", "ways": ledgers.HOURS_BY, "chart": chart}

    return await page(datasette, request, "hours", read, HERE)


async def as_csv(datasette: Any, request: Any) -> Response:
    """Every line of the ledger."""
    text = await ask(datasette, lambda db: page_ledgers.all_lines(db, "hours"))
    return Response(text, headers={"Content-Disposition": 'attachment; filename="hours.csv"'},
                    content_type="text/csv; charset=utf-8")
