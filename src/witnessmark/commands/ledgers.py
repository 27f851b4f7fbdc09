"""hours, spend, open."""
from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from witnessmark.answers import ledgers, pictures
from witnessmark.commands.asking import picture_column, picture_of, reading
from witnessmark.commands.shell import clock, folder_argument, json_option, print_answer, print_table, span

lines_option = click.option("--lines", is_flag=True, help="Print every line, not only the sums.")


@click.command()
@folder_argument
@click.option("--by", type=click.Choice(ledgers.HOURS_BY), default="month", show_default=True, help="Group by this.")
@lines_option
@json_option
def hours(folder: Path, by: str, lines: bool, as_json: bool) -> None:
    """Hours worked, each counted once, by month, assembly, person, task or kind of person."""
    with reading(folder) as (_, db):
        found = ledgers.hours(db, by)
        found["lines"] = pictures.with_days(db, found["lines"])
        print_answer(as_json, found, lambda value: show_hours(value, lines))


def show_hours(value: dict[str, Any], lines: bool) -> None:
    people = list(value["who"])
    rows = [(group["group"], *(_of(group, who) for who in people)) for group in value["groups"]]
    print_table("Hours worked", (value["by"], *people), [*rows, ("all", *(_of(value, who) for who in people))],
                right=people)
    if lines:
        shown = value["lines"]
        print_table("", ("date", "who", "hours", "assembly", "source", "at", "words", *picture_column(shown)),
                    ((line["date"], line["person"], span(line["low"], line["high"]), line["assembly"], line["source"],
                      clock(line["start"]), line["quote"], *picture_of(line, shown)) for line in shown),
                    right=("hours", "at"))


def _of(group: dict[str, Any], who: str) -> str:
    return span(*group["who"].get(who, (None, None)))


@click.command()
@folder_argument
@click.option("--by", type=click.Choice(ledgers.SPEND_BY), default="month", show_default=True, help="Group by this.")
@lines_option
@json_option
def spend(folder: Path, by: str, lines: bool, as_json: bool) -> None:
    """Money spent (bought or ordered, returns taken off), by month, category, vendor or assembly."""
    with reading(folder) as (_, db):
        found = ledgers.spend(db, by)
        found["lines"] = pictures.with_receipts(db, found["lines"])
        found["receipts_alone"] = ledgers.receipts_alone(db)
        print_answer(as_json, found, lambda value: show_spend(value, lines))


def show_spend(value: dict[str, Any], lines: bool) -> None:
    money = f"{value['currency']}"
    rows = [(group[value["by"]], span(group["low"], group["high"]), group["unpriced"] or "")
            for group in value["groups"]]
    print_table("Money spent", (value["by"], money, "without a price"),
                [*rows, ("all", span(value["low"], value["high"]), value["unpriced"] or "")],
                right=(money, "without a price"))
    if lines:
        print_table("", ("date", "item", money, "status", "vendor", "source", "at", "receipt"),
                    ((line["date"], line["item"], span(line["low"], line["high"]), line["status"], line["vendor"],
                      line["source"], clock(line["start"]), "; ".join((line.get("receipt", ""),
                      *line.get("receipt_problems", ())))) for line in value["lines"]), right=(money, "at"))
    if value["receipts_alone"]:
        print_table("Receipts of which nobody spoke, not counted above", ("date", "vendor", money, "source", "doubts"),
                    ((line["date"], line["vendor"], span(line["total"], line["total"]), line["source"],
                      "; ".join(line["problems"])) for line in value["receipts_alone"]), right=(money,))


@click.command("open")
@folder_argument
@click.option("--by", type=click.Choice(ledgers.OPEN_BY), default="kind", show_default=True, help="Group by this.")
@json_option
def open_(folder: Path, by: str, as_json: bool) -> None:
    """What is still to do, to buy, to fix or away, oldest first."""
    with reading(folder) as (_, db):
        print_answer(as_json, ledgers.open_jobs(db, by), show_open)


def show_open(value: dict[str, Any]) -> None:
    by = value["by"]
    for group in value["groups"]:
        lines = [line for line in value["lines"] if (line[by] or ledgers.EMPTY[by]) == group[by]]
        print_table(f"{group[by]}: {group['count']}", ("since", "part", "task", "assembly", "source", "at", "words"),
                    ((line["day"], line["part"], line["task"], line["assembly"], line["source"], clock(line["start"]),
                      line["quote"]) for line in lines), right=("at",))
    if not value["groups"]:
        click.echo("Nothing is open.")
