"""Forms of the pages: what of a record can be changed, and the readings that are offered for it. Pure functions."""
from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from witnessmark import words
from witnessmark.pipeline.correct import ALLOWED, REQUIRED
from witnessmark.trade.vocabulary import built_in

Row = dict[str, Any]
FIGURE = r"[$£€]?(\d[\d,]*(?:\.\d+)?)"
EITHER_OR = re.compile(rf"{FIGURE} or {FIGURE}\?|\"{FIGURE}\" was heard as \"{FIGURE}\"")
TWINS = re.compile(r"\S+(?: or \S+)+\?")
KIND_NAMES = {"acts": "work", "hours": "hours", "purchases": "money", "open_items": "open job"}
LABELS = {"amount_low": "amount, lowest", "amount_high": "amount, highest", "low": "hours, lowest",
          "high": "hours, highest", "approx": "about", "counted": "counts as hours worked"}
STATUS_KEYS = {"done": "Done", "doing": "Being done", "planned": "Only planned", "not-done": "Not done",
               "advice": "Only advice"}
MONEY_KEYS = {"bought": "Bought", "ordered": "Ordered", "considered": "Only priced", "planned": "Only planned",
              "returned": "Returned", "received": "Received"}


def fields(kind: str, row: Row, names: Sequence[str]) -> list[Row]:
    """The fields of a record's form: `name`, `label`, `value`, `choices` of (value, words), `needed`."""
    return [{"name": name, "label": LABELS.get(name, name.replace("_", " ")), "value": _shown(row.get(name), name),
             "choices": choices(kind, name), "needed": name in REQUIRED[kind]} for name in names]


def _shown(value: Any, name: str) -> str:
    if name in ("counted", "approx"):
        return "yes" if value else "no"
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def choices(kind: str, name: str) -> list[tuple[str, str]]:
    """What a field may be; empty where it is free text."""
    if name == "task":
        return list(built_in().tasks.items())
    if name == "assembly":
        return [(identity, known.label) for identity, known in built_in().assemblies.items()]
    if name in ("counted", "approx"):
        return [("yes", "yes"), ("no", "no")]
    allowed = ALLOWED.get(f"{kind}.{name}") or ALLOWED.get(name) or ()
    named = words.WHO if name == "who" else words.KINDS if name == "kind" else words.STATUS
    return [(value, named.get(value, value)) for value in allowed]


def readings(kind: str, row: Row) -> list[Row]:
    """The other readings that are offered for a record, the likeliest first: `label`, `do`, `to`, `key`."""
    offered = {"acts": _of_act, "purchases": _of_purchase, "hours": _of_hours, "open_items": _of_item}[kind](row)
    return [{**reading, "key": str(number)} for number, reading in enumerate(offered[:9], start=1)]


def _of_act(row: Row) -> list[Row]:
    performed = row["status"] in ("done", "doing")
    offered = []
    if not performed:
        offered.append(_change("Done, by the builder", status="done", who="builder"))
    elif row["who"] != "builder":
        offered.append(_change("By the builder", who="builder", person=""))
    if row["who"] != "helper":
        offered.append(_change("Done, by a helper", status="done", who="helper"))
    if row["who"] != "paid":
        offered.append(_change("Done, for hire", status="done", who="paid"))
    if row["who"] != "maker":
        offered.append(_change("Done by the maker", status="done", who="maker"))
    talk = [_change(label, status=status) for status, label in STATUS_KEYS.items()
            if status not in (row["status"], "done", "doing")]
    return talk + offered if performed else offered + talk


def _of_purchase(row: Row) -> list[Row]:
    amounts = [_change(f"{amount:,.2f}", amount_low=f"{amount:g}", amount_high=f"{amount:g}")
               for amount in amounts_of(row) if (amount, amount) != (row["amount_low"], row["amount_high"])]
    return amounts + [_change(label, status=status) for status, label in MONEY_KEYS.items() if status != row["status"]]


def amounts_of(row: Row) -> list[float]:
    """The amounts that the doubts of a purchase name ("18 or 80?"), for the whole line."""
    found = _figures(row)
    low, count = row["amount_low"], row["quantity"]
    each = bool(low and count and any(abs(number * count - low) < 0.005 for number in found) and low not in found)
    return list(dict.fromkeys(round(number * count, 2) if each else number for number in found))


def _figures(row: Row) -> list[float]:
    """The figures between which a record's doubts ask."""
    return [float(figure.replace(",", "")) for doubt in row["doubts"] for found in EITHER_OR.findall(doubt)
            for figure in found if figure]


def _of_hours(row: Row) -> list[Row]:
    numbers = _figures(row)
    if row["low"] != row["high"]:
        numbers += [row["low"], row["high"]]
    offered = [_change(words.hours(number, number), low=f"{number:g}", high=f"{number:g}")
               for number in dict.fromkeys(numbers)]
    offered.append(_change("Not hours of work", scope="other", counted="no") if row["counted"]
                   else _change("Counts as hours worked", counted="yes"))
    return offered + [_change(f"Hours of: {label}", who=who) for who, label in words.WHO.items() if who != row["who"]]


def _of_item(row: Row) -> list[Row]:
    return [{"label": "Close it", "do": "close", "to": {}},
            *(_change(label, kind=kind) for kind, label in words.KINDS.items() if kind != row["kind"])]


def _change(label: str, **to: str) -> Row:
    return {"label": label, "do": "change", "to": to}


def said(kind: str, row: Row) -> str:
    """A record in one sentence, as the log says it now."""
    if kind == "acts":
        thing = words.thing(row)
        if row["status"] in ("done", "doing"):
            being = "being " if row["status"] == "doing" else ""
            told = f"{thing}: {being}{words.done(row['task'])} {words.on_date(row['date'])}, {words.by(row)}."
        else:
            told = f"{words.task(row['task'])}, {thing}: {words.status(row['status'])}."
    elif kind == "hours":
        counts = "counted as hours worked" if row["counted"] else "not counted as hours worked"
        told = f"{words.hours(row['low'], row['high'])} {words.by(row)}, {words.date(row['date'])}: {counts}."
    elif kind == "purchases":
        price = words.span(row["amount_low"], row["amount_high"]) if row["amount_low"] is not None else "no price said"
        told = f"{row['item']}: {words.status(row['status'])}, {price}{', ' + row['vendor'] if row['vendor'] else ''}."
    else:
        task = f"{words.task(row['task'])}, " if row["task"] else ""
        told = f"{words.KINDS[row['kind']]}: {task}{words.thing(row)}."
    return words.first_upper(told)


def question(kind: str, row: Row) -> str:
    """What the program asks about a record: its own doubt, else the doubt of its kind."""
    if row["doubts"]:
        return " ".join(_asked(doubt) for doubt in row["doubts"])
    if kind == "acts":
        performed = row["status"] in ("done", "doing")
        return "Was this done, or only talked about?" if performed else "Was it really not done?"
    return {"hours": "Is this the time that was worked?", "purchases": "Was this bought, and for so much?",
            "open_items": "Is this still to do?"}[kind]


def _asked(doubt: str) -> str:
    """A doubt as a question: "18 or 80?" asks what was said."""
    if TWINS.fullmatch(doubt):
        return "Was it " + ", or ".join(f"“{word}”" for word in doubt.rstrip("?").split(" or ")) + "?"
    return words.first_upper(doubt)
