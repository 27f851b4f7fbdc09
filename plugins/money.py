"""Money: what was spent, by month, category, vendor and assembly."""
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

HERE = "/money"


@hookimpl
def register_routes() -> list[tuple[str, Any]]:
    return [(r"^/money$", money), (r"^/money\.csv$", as_csv)]


def named(by: str, name: str) -> str:
    """A group's name in words."""
    return words.month(name) if by == "month" else words.assembly(name) if by == "assembly" else name


async def money(datasette: Any, request: Any) -> Response:
    """The ledger of money, grouped by `?by=`, with the lines of the group `?only=`."""
    by = request.args.get("by") or "month"

    def read(db: Database) -> dict[str, Any]:
        found = page_ledgers.money(db, by, request.args.get("only"))
        for group in found["groups"]:
            group["name"] = named(by, group[by])
            group["href"] = "/money?" + urlencode({"by": by, "only": group[by]}) + "#lines"
        for line in found["lines"]:
            line.update(amount_low=line["low"], amount_high=line["high"])
        chart = charts.bars(f"Money spent by {by}", f"The table below gives the same figures by {by}.",
                            [charts.Bar(group["name"], group["href"], group["low"], group["high"])
                             for group in found["groups"]], found["currency"] or "", by_size=by != "month")
        return {**found, "title": "Money", "ways": ledgers.SPEND_BY, "chart": chart,
                "named": named(by, found["only"] or "")}

    return await page(datasette, request, "money", read, HERE)


async def as_csv(datasette: Any, request: Any) -> Response:
    """Every line of the ledger."""
    text = await ask(datasette, lambda db: page_ledgers.all_lines(db, "money"))
    return Response(text, headers={"Content-Disposition": 'attachment; filename="money.csv"'},
                    content_type="text/csv; charset=utf-8")
