"""find, when, records, explain."""
from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

import click
from sqlite_utils import Database

from witnessmark.commands.shell import clock, folder_argument, json_option, print_answer, print_table
from witnessmark.journal import Journal, open_journal


@contextlib.contextmanager
def reading(folder: Path) -> Iterator[tuple[Journal, Database]]:
    """A journal and its database, open to read."""
    from witnessmark.store import open_to_read

    journal = open_journal(folder)
    db = open_to_read(journal.database)
    try:
        yield journal, db
    finally:
        db.close()


@click.command()
@folder_argument
@click.argument("words", nargs=-1, required=True)
@click.option("--limit", type=click.IntRange(min=1), default=25, show_default=True, help="How many hits at most.")
@json_option
def find(folder: Path, words: tuple[str, ...], limit: int, as_json: bool) -> None:
    """Find WORDS, by any word of the trade for the same thing, in what was said, in parts, captions and file names."""
    from witnessmark.answers import pictures
    from witnessmark.answers.finding import find as search

    with reading(folder) as (journal, db):
        found = search(db, " ".join(words), journal.settings, limit)
        print_answer(as_json, {**found, "hits": pictures.with_hits(db, found["hits"])}, show_hits)


def show_hits(value: dict[str, Any]) -> None:
    if not value["hits"]:
        click.echo("Nothing found.")
        return
    print_table(f"{len(value['hits'])} found", ("day", "source", "at", "words", *picture_column(value["hits"])),
                ((hit["day"], hit["source"], clock(hit["start"]) if hit["start"] is not None else "", hit["text"],
                  *picture_of(hit, value["hits"])) for hit in value["hits"]), right=("at",))


def picture_column(lines: Iterable[Mapping[str, Any]]) -> tuple[str, ...]:
    """The heading of the column of pictures, where any line has one."""
    return ("picture",) if any("pictures" in line or "still" in line for line in lines) else ()


def picture_of(line: Mapping[str, Any], lines: Iterable[Mapping[str, Any]]) -> tuple[str, ...]:
    """The cell of that column: the best picture, and how many more there are."""
    if not picture_column(lines):
        return ()
    paths = line.get("pictures") or [line.get("still") or ""]
    more = f" and {len(paths) - 1} more" if len(paths) > 1 else ""
    return (f"{paths[0]}{more}",)


@click.command()
@folder_argument
@click.argument("question", nargs=-1, required=True)
@json_option
def when(folder: Path, question: tuple[str, ...], as_json: bool) -> None:
    """The days on which a thing was truly done, best first; else what was only planned."""
    from witnessmark.answers import pictures
    from witnessmark.answers.asking import when as ask

    with reading(folder) as (journal, db):
        found = ask(db, " ".join(question), journal.settings)
        shown = {name: pictures.with_acts(db, lines) for name, lines in found.items()}
        print_answer(as_json, shown, show_days)


def show_days(value: dict[str, Any]) -> None:
    for title, lines in (("Done", value["answers"]), ("Only planned", value["only_planned"])):
        if title != "Done":  # the frame of a talk about plans shows no work
            lines = [{name: value for name, value in line.items() if name != "still"} for line in lines]
        if lines:
            print_table(title, ("date", "task", "part", "side", "who", "source", "at", "words", *picture_column(lines)),
                        ((line.get("date"), line.get("task"), line.get("part"), line.get("side"), line.get("who"),
                          line.get("source"), clock(line.get("start")), line.get("quote"), *picture_of(line, lines))
                         for line in lines), right=("at",))
    if not value["answers"]:
        click.echo("Nothing in this journal says that it was done." if not value["only_planned"] else
                   "Nothing in this journal says that it was done; it was only planned.")


@click.command()
@folder_argument
@click.option("--source", help="Only the session of this file.")
@json_option
def records(folder: Path, source: str | None, as_json: bool) -> None:
    """All that was extracted, session by session."""
    from witnessmark.answers.records import sessions

    with reading(folder) as (_, db):
        print_answer(as_json, {"sessions": sessions(db, source)}, show_records)


def show_records(value: dict[str, Any]) -> None:
    for session in value["sessions"]:
        click.echo(f"\n{session['recorded']}  {session['source']}")
        for kind, fields in (("acts", ("status", "who", "task", "side", "part", "date")),
                             ("hours", ("scope", "who", "low", "high", "date")),
                             ("purchases", ("status", "item", "amount_low", "amount_high", "vendor", "date")),
                             ("open_items", ("kind", "task", "side", "part"))):
            for record in session[kind]:
                said = "  ".join(str(record[name]) for name in fields if record[name] is not None)
                click.echo(f"  {record['id']}  {clock(record['start']):>7}  {kind:10}  {said}")


@click.command()
@folder_argument
@click.argument("source")
@json_option
def explain(folder: Path, source: str, as_json: bool) -> None:
    """Why the program says what it says of SOURCE, or of the words at SOURCE@TIME (1:05, or seconds)."""
    from witnessmark.answers.explaining import explain as why

    with reading(folder) as (journal, db):
        print_answer(as_json, why(db, source, journal.settings), show_reasons)


def show_reasons(value: dict[str, Any]) -> None:
    click.echo(f"{value['source']}, recorded {value['recorded']} (known by {value['basis']}); "
               f"words: {value['transcript']}")
    for cue in value["cues"]:
        click.echo(f"\n{clock(cue['start']):>7}  “{cue['text']}”")
        if cue["heard"]:
            click.echo(f"         heard as “{cue['heard']}”")
        for line in cue["parse"]:
            click.echo(f"         {line}")
        for record in cue["records"]:
            click.echo(f"         → {record['kind']} {record['id']}: {record['said']} "
                       f"(confidence {record['confidence']:.2f})")
            for rule, why in zip(record["rules"], record["because"], strict=True):
                click.echo(f"           {rule}: {why}")
            for doubt in record["doubts"]:
                click.echo(f"           doubt: {doubt}")
            for line in record["corrections"]:
                click.echo(f"           corrected {line['when']}: {line['do']} {line['to']} {line['why']}")
