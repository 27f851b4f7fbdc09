"""correct."""
from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from witnessmark.answers.explaining import split
from witnessmark.commands.asking import reading
from witnessmark.commands.shell import folder_argument, json_option, print_answer, print_table
from witnessmark.errors import WitnessmarkError


@click.command()
@folder_argument
@click.argument("record", required=False)
@click.argument("fields", nargs=-1, metavar="[FIELD=VALUE]...")
@click.option("--confirm", "do", flag_value="confirm", help="It is right as it stands.")
@click.option("--reject", "do", flag_value="reject", help="It was never said or done.")
@click.option("--close", "do", flag_value="close", help="This open item is done with.")
@click.option("--undo", metavar="ID", help="Take this correction back.")
@click.option("--add", metavar="KIND", help="Add a record of this kind at RECORD, which is then SOURCE@TIME.")
@click.option("--word", metavar="WORD", help="From now on RECORD is another spelling of this trade word.")
@click.option("--kind", default="parts", show_default=True, help="With --word: the kind of word.")
@click.option("--clock", metavar="OFFSET", help='RECORD is a camera: what has to be added to its clock ("+365d 7h").')
@click.option("--list", "listed", is_flag=True, help="Show all corrections and what became of them.")
@click.option("--why", default="", help="Your reason, kept with the correction.")
@json_option
def correct(folder: Path, record: str | None, fields: tuple[str, ...], do: str | None, undo: str | None,
            add: str | None, word: str | None, kind: str, clock: str | None, listed: bool, why: str,
            as_json: bool) -> None:
    """Put RECORD (an id from `records` or `explain`) right: set FIELD=VALUE, or --confirm, --reject, --close it.

    Each is one line appended to corrections.jsonl, bound to the words, so that it holds when the journal is indexed
    again, with other weights, or with the file moved.
    """
    from witnessmark.journal import open_journal
    from witnessmark.pipeline import correct as corrections

    if listed:
        show_list(folder, as_json)
        return
    journal = open_journal(folder)
    if undo:
        done = corrections.undo(journal, undo)
    elif record is None:
        raise click.UsageError("name a record, or use --undo or --list")
    elif add:
        source, at = split(record)
        done = corrections.add(journal, add, source, at or 0.0, pairs(fields), why)
    elif word:
        done = corrections.word(journal, kind, record, word, why)
    elif clock:
        done = corrections.clock(journal, record, clock, why)
    elif do in ("confirm", "reject", "close"):
        done = corrections.judge(journal, record, do, why)  # type: ignore[arg-type]
    else:
        done = corrections.change(journal, record, pairs(fields), why)
    print_answer(as_json, {"id": done.id, "do": done.do, "kind": done.kind, "from": done.from_, "to": done.to},
                 lambda value: click.echo(f"Written as correction {value['id']}, which --undo takes back."))


def pairs(fields: tuple[str, ...]) -> dict[str, str | None]:
    """FIELD=VALUE words as a mapping."""
    for field in fields:
        if "=" not in field:
            raise WitnessmarkError(f"{field} is not FIELD=VALUE: write, for instance, status=planned")
    return {name.strip(): value.strip() for name, _, value in (field.partition("=") for field in fields)}


def show_list(folder: Path, as_json: bool) -> None:
    from witnessmark.journal import corrections
    from witnessmark.pipeline.correct import as_list

    with reading(folder) as (journal, db):
        lines = as_list(corrections.load(journal.corrections), db)
    print_answer(as_json, {"corrections": lines}, show_lines)


def show_lines(value: dict[str, Any]) -> None:
    print_table(f"{len(value['corrections'])} corrections",
                ("id", "when", "state", "what", "source", "from", "to", "why"),
                ((line["id"], line["when"], line["state"], f"{line['do']} {line['kind']}", line["path"], line["from"],
                  line["to"], line["why"]) for line in value["corrections"]))
