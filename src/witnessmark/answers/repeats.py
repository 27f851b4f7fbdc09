"""Which purchase is another telling of one already told: pure functions over rows of `purchases`."""
from __future__ import annotations

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from witnessmark import edtf_days

Row = Mapping[str, Any]
SPENT = ("bought", "ordered")
DELIVERY_DAYS = 120  # between telling of an order and of the paid goods; common practice of kit parts, no source
LEFT_OUT = frozenset({"a", "an", "the", "of", "some", "new", "my", "our", "and", "for", "set", "pack", "box"})


def told_again(purchases: Sequence[Row]) -> dict[str, str]:
    """Purchase id → id of the other telling that counts; `purchases` in order of telling.

    Two tellings in different sessions are one purchase where item and vendor agree, the amounts agree or one is
    missing, and either an order comes before a purchase within the time of a delivery, or their dates may be the same
    day. Of the two the first one with an amount counts.
    """
    again: dict[str, str] = {}
    by_item: dict[frozenset[str], list[Row]] = defaultdict(list)
    for purchase in purchases:
        if purchase["status"] not in SPENT:
            continue
        kept = by_item[item_words(purchase["item"])]
        first = next((other for other in kept if _same(other, purchase)), None)
        if first is None:
            kept.append(purchase)
        elif first["amount_low"] is None and purchase["amount_low"] is not None:
            again.update({identity: purchase["id"] for identity, target in again.items() if target == first["id"]})
            again[first["id"]] = purchase["id"]
            kept[kept.index(first)] = purchase
        else:
            again[purchase["id"]] = first["id"]
    return again


def _same(first: Row, second: Row) -> bool:
    """True where two purchases of the same words may be one."""
    if first["source_id"] == second["source_id"]:
        return False
    if first["vendor"] and second["vendor"] and first["vendor"].casefold() != second["vendor"].casefold():
        return False
    amounts = [(row["amount_low"], row["amount_high"]) for row in (first, second) if row["amount_low"] is not None]
    if len(set(amounts)) > 1:
        return False
    if first["status"] == "ordered" and second["status"] == "bought" and _within_delivery(first, second):
        return True
    return bool(amounts) and edtf_days.overlaps(first["date"], second["date"])


def _within_delivery(first: Row, second: Row) -> bool:
    days = [row["last_day"] or row["first_day"] for row in (first, second)]
    if not all(days):
        return False
    return 0 <= (dt.date.fromisoformat(days[1]) - dt.date.fromisoformat(days[0])).days <= DELIVERY_DAYS


def item_words(item: str | None) -> frozenset[str]:
    """What an item is called, whatever the order, number and small words."""
    words = re.findall(r"[a-z0-9]+", (item or "").lower())
    return frozenset(word.removesuffix("s") for word in words) - LEFT_OUT
