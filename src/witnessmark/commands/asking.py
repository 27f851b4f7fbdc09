"""find, when, records, explain, hours, spend, open."""
from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
from sqlite_utils import Database

from witnessmark.commands.shell import folder_argument, json_option, print_answer


@contextlib.contextmanager
def reading(folder: Path) -> Iterator[Database]:
    """The database of a journal, open to read."""
    from witnessmark.journal import open_journal
    from witnessmark.store import open_to_read

    db = open_to_read(open_journal(folder).database)
    try:
        yield db
    finally:
        db.close()


@click.command()
@folder_argument
@click.option("--source", help="Only the session of this file.")
@json_option
def records(folder: Path, source: str | None, as_json: bool) -> None:
    """All that was extracted."""
    from witnessmark.answers.records import sessions

    with reading(folder) as db:
        print_answer(as_json, {"sessions": sessions(db, source)}, show_records)


def show_records(value: dict[str, Any]) -> None:
    for session in value["sessions"]:
        click.echo(f"{session['recorded']}  {session['source']}")


@click.command()
@folder_argument
@click.argument("question", nargs=-1, required=True)
@json_option
def when(folder: Path, question: tuple[str, ...], as_json: bool) -> None:
    """The days on which a thing was truly done, best first; else what was only planned."""
    with reading(folder):
        print_answer(as_json, {"answers": [], "only_planned": []}, show_records)


COMMANDS = (records, when)
