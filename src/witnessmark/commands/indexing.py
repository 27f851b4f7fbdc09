"""index, watch."""
from __future__ import annotations

import dataclasses
import json
import shlex
from pathlib import Path
from typing import Any

import click

from witnessmark.commands.shell import folder_argument, json_option, print_answer, span


@click.command()
@folder_argument
@json_option
@click.option("--wait", type=click.FloatRange(min=0), default=0, help="Seconds to wait for another index or watch.")
def index(folder: Path, as_json: bool, wait: float) -> None:
    """Index what is new or changed in FOLDER; safe to stop and to repeat."""
    from witnessmark.commands.progress import Bar
    from witnessmark.journal import open_journal
    from witnessmark.pipeline import index as run

    with Bar() as bar:
        summary = run(open_journal(folder), bar, wait)
    print_answer(as_json, {**dataclasses.asdict(summary), "nothing_new": summary.nothing_new}, show_summary)
    if not as_json:
        click.echo(f"See it in a browser: witnessmark serve {shlex.quote(str(folder))}")


def show_summary(value: dict[str, Any]) -> None:
    """What a run did, what is wrong, and what the journal holds."""
    done = [f"{value[name]} {word}" for name, word in (("new", "new"), ("changed", "changed"), ("moved", "moved"),
            ("gone", "gone"), ("transcribed", "transcribed"), ("read", "read")) if value[name]]
    click.echo("Nothing new." if value["nothing_new"] else f"Indexed: {', '.join(done)}.")
    for path, cause in value["unreadable"].items():
        click.echo(f"  cannot be read: {cause if path in cause else f'{path}: {cause}'}")
    for note in value["notes"]:
        click.echo(f"  note: {note}")
    totals = value["totals"]
    hours = ", ".join(f"{who} {span(sums[0], sums[1], 1)}" for who, sums in totals["hours"].items()) or "none said"
    period = f" from {totals['first_day']} to {totals['last_day']}" if totals["first_day"] else ""
    unpriced = f" ({totals['unpriced']} without a price)" if totals["unpriced"] else ""
    click.echo(f"  {totals['days']} days{period}; {totals['sessions']} sessions, {totals['photos']} photos\n"
               f"  acts: {totals['acts']} by the builder, {totals['acts_of_others']} by others, "
               f"{totals['not_performed']} planned, advised or not done\n"
               f"  hours: {hours}\n"
               f"  money: {span(*totals['spent'])} {totals['currency']} spent{unpriced}\n"
               f"  open jobs: {totals['open_jobs']}")


@click.command()
@folder_argument
@click.option("--settle", type=click.FloatRange(min=0.1), default=5.0, show_default=True,
              help="Seconds for which a file must stay the same before it is taken.")
@click.option("--polling", is_flag=True, help="Look at the folder again and again, as some network shares need.")
@json_option
def watch(folder: Path, settle: float, polling: bool, as_json: bool) -> None:
    """Index FOLDER whenever files have arrived in it and stopped growing, until Ctrl-C; with --json one line a run."""
    from witnessmark.journal import open_journal
    from witnessmark.pipeline.watch import watch as run

    journal = open_journal(folder)
    click.echo(f"Watching {journal.root}; press Ctrl-C to stop.", err=True)
    run(journal, lambda found: show_round(found, as_json), settle=settle, polling=polling or None)


def show_round(found: Any, as_json: bool) -> None:
    if as_json:
        value = {"problem": found} if isinstance(found, str) else dataclasses.asdict(found)
        click.echo(json.dumps(value, ensure_ascii=False))
    elif isinstance(found, str):
        click.echo(f"witnessmark: {found}", err=True)
    else:
        show_summary({**dataclasses.asdict(found), "nothing_new": found.nothing_new})
