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
UNNAMED = {"builder": "builder", "helper": "helpers not named", "paid": "for hire, not named",
           "maker": "makers not named"}
NAMES = {"month": words.month, "assembly": words.assembly, "task": words.task,
         "who": lambda name: words.WHO.get(name, name or "nobody named"),
         "person": lambda name: UNNAMED.get(name, name)}


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/hours$", hours), (r"^/hours\.csv$", as_csv)]


async def hours(datasette: Any, request: Any) -> Response:
    """The ledger of hours, grouped by `?by=`, with the lines of the group `?only=`."""
    by = request.args.get("by") or "month"

    def read(db: Database) -> dict[str, Any]:
        found = page_ledgers.hours(db, by, request.args.get("only"))
        for group in found["groups"]:
            group["name"] = NAMES[by](group["group"])
            group["href"] = "/hours?" + urlencode({"by": by, "only": group["group"]}) + "#lines"
        for line in found["lines"]:
            line["person"] = None if line["person"] == line["who"] else line["person"]
        chart = charts.bars(f"Hours worked by {by}", f"The table below gives the same figures by {by}.",
                            [bar(group) for group in found["groups"]], "hours", by_size=by != "month")
        return {**found, "title": "Hours", "ways": ledgers.HOURS_BY, "chart": chart,
                "named": NAMES[by](found["only"] or "")}

    return await page(datasette, request, "hours", read, HERE)


def bar(group: dict[str, Any]) -> charts.Bar:
    """A group's bar: of its hours those of anybody but the builder apart."""
    own = group["who"].get("builder", [0.0])[0]
    return charts.Bar(group["name"], group["href"], group["low"], group["high"], group["low"] - own)


async def as_csv(datasette: Any, request: Any) -> Response:
    """Every line of the ledger."""
    text = await ask(datasette, lambda db: page_ledgers.all_lines(db, "hours"))
    return Response(text, headers={"Content-Disposition": 'attachment; filename="hours.csv"'},
                    content_type="text/csv; charset=utf-8")
