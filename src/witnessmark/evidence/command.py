"""evidence: the inspector's log, worksheet and bag, and their check."""
from __future__ import annotations

import dataclasses
import datetime as dt
import sys
from pathlib import Path
from typing import Any

import click

from witnessmark.commands.shell import folder_argument, json_option, print_answer, print_table

DAY = click.DateTime(formats=["%Y-%m-%d"])
FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@folder_argument
@click.option("--out", type=click.Path(path_type=Path), help="Make a bag with log, worksheet, records here.")
@click.option("--check", "checked", type=click.Path(path_type=Path), metavar="BAG",
              help="Check a bag and compare it with FOLDER (with the bag itself as FOLDER: only check it).")
@click.option("--head", metavar="HASH", help="What a register's hash from a dated print or e-mail stands for.")
@click.option("--gaps", "only_gaps", is_flag=True, help="Only show what is missing, and the worksheet's totals.")
@click.option("--from", "first", type=DAY, metavar="DAY", help="Only from this day on (2025-03-01).")
@click.option("--until", "last", type=DAY, metavar="DAY", help="Only up to this day.")
@click.option("--assembly", help="Only this assembly (an id, such as wing).")
@click.option("--person", help="Only by this person (a name, or builder, helper, paid, maker).")
@click.option("--money", is_flag=True, help="With purchases and amounts; they are left out otherwise.")
@click.option("--names", is_flag=True, help="With names of others; they are left out otherwise.")
@click.option("--places", is_flag=True, help="With the places at which pictures were taken; left out otherwise.")
@click.option("--originals", is_flag=True, help="With copies of all originals (places in them included).")
@click.option("--no-pictures", is_flag=True, help="Without pictures in the log.")
@click.option("--worksheet", type=FILE, help="Your figures (CSV); otherwise worksheet.csv in FOLDER, if there is one.")
@click.option("--checklist", type=FILE, help="Another checklist (CSV); otherwise checklist.csv in FOLDER, if there.")
@click.option("--date", "made", type=DAY, metavar="DAY", help="The day to print as the log's; none otherwise.")
@json_option
def evidence(folder: Path, out: Path | None, checked: Path | None, head: str | None, only_gaps: bool,
             first: dt.datetime | None, last: dt.datetime | None, made: dt.datetime | None, worksheet: Path | None,
             checklist: Path | None, as_json: bool, **chosen: Any) -> None:
    """Make the inspector's log, worksheet and bag of FOLDER at --out, or --check a bag.

    No airworthiness finding and no legal advice: the inspector decides, and the log must be read and signed by you.
    """
    if checked:
        _check(folder, checked, as_json)
        return
    if head:
        _head(folder, head, as_json)
        return
    if not out and not only_gaps:
        raise click.UsageError("say where the bag is to be made with --out, or use --check, --head or --gaps")
    choice = _choice(first, last, made, **chosen)
    if only_gaps:
        _gaps(folder, choice, worksheet, checklist, as_json)
    else:
        assert out
        _make(folder, out, choice, worksheet, checklist, as_json)


def _choice(first: dt.datetime | None, last: dt.datetime | None, made: dt.datetime | None, no_pictures: bool,
            assembly: str | None, **chosen: Any) -> Any:
    from witnessmark.errors import WitnessmarkError
    from witnessmark.evidence.choice import Choice
    from witnessmark.trade.vocabulary import built_in

    if assembly and assembly not in built_in().assemblies:
        raise WitnessmarkError(f"{assembly} is no assembly: use one of {', '.join(built_in().assemblies)}")
    if first and last and last < first:
        raise WitnessmarkError("the period ends before it begins: exchange --from and --until")
    return Choice(_day(first), _day(last), assembly, pictures=not no_pictures, made=_day(made), **chosen)


def _day(moment: dt.datetime | None) -> dt.date | None:
    return moment.date() if moment else None


def _make(folder: Path, out: Path, choice: Any, worksheet: Path | None, checklist: Path | None, as_json: bool) -> None:
    from witnessmark.commands.asking import reading
    from witnessmark.commands.progress import Bar
    from witnessmark.evidence import bag, payload

    with reading(folder) as (journal, db), Bar() as bar:
        about = bag.make(out, lambda place: payload.write(journal, db, choice, place, bar, worksheet, checklist),
                         lambda about: payload.info(about, choice))
    print_answer(as_json, {"written": str(out), **about}, _show_made)


def _show_made(value: dict[str, Any]) -> None:
    click.echo(f"{value['written']} is written: {value['records_in_the_log']} records in "
               f"{', '.join(value['log'])}, {value['originals']} originals listed.")
    for sentence in value["worksheet"]["in_words"][:3]:
        click.echo(f"  {sentence}")
    for kind, count in value["gaps"].items():
        click.echo(f"  gaps: {count} × {kind}")
    for fault in value["register"]["faults"]:
        click.echo(f"  {fault}")
    click.echo(f"  Register's last hash: {value['register']['head']}\n"
               "  Print it or mail it to somebody today: it fixes everything that is registered so far.\n"
               "  Read the log, correct what is wrong, and sign its last page. The inspector decides.")


def _gaps(folder: Path, choice: Any, worksheet: Path | None, checklist: Path | None, as_json: bool) -> None:
    from witnessmark.commands.asking import reading
    from witnessmark.evidence import payload, tables

    with reading(folder) as (journal, db):
        _, _, sheet, found = payload.prepare(journal, db, choice, worksheet, checklist)
    print_answer(as_json, {"gaps": [dataclasses.asdict(gap) for gap in found], "worksheet": tables.totals(sheet)},
                 _show_gaps)


def _show_gaps(value: dict[str, Any]) -> None:
    print_table(f"{len(value['gaps'])} gaps", ("kind", "what", "in detail"),
                ((gap["kind"], gap["what"], gap["detail"]) for gap in value["gaps"]))
    for sentence in value["worksheet"]["in_words"]:
        click.echo(sentence)


def _check(folder: Path, place: Path, as_json: bool) -> None:
    """Exit code 1 where anything is changed, lost or broken."""
    from witnessmark.commands.progress import Bar
    from witnessmark.evidence.check import check
    from witnessmark.journal import open_journal

    alone = folder.resolve() == place.resolve()
    with Bar() as bar:
        report = check(place, None if alone else open_journal(folder).root, bar)
    print_answer(as_json, report.as_row(), _show_report)
    if not report.is_good:
        sys.exit(1)


def _head(folder: Path, head: str, as_json: bool) -> None:
    from witnessmark.evidence.check import head_of
    from witnessmark.journal import open_journal

    found = head_of(open_journal(folder).register, head)
    print_answer(as_json, found, _show_head)
    if found["faults"]:
        sys.exit(1)


def _show_head(value: dict[str, Any]) -> None:
    click.echo(f"It stands for the first {value['lines']} lines of the register, the last of which was written "
               f"{value['registered']}.")
    for fault in value["faults"]:
        click.echo(fault)
    if not value["faults"]:
        click.echo("The chain before it is whole: those files were there, as they were, when the hash was printed.")


def _show_report(value: dict[str, Any]) -> None:
    for finding in value["findings"]:
        click.echo(f"{finding['what']} ({finding['where']}): {finding['path']}: {finding['detail']}")
    compared = " and agrees with the folder" if value["compared_with_folder"] else ""
    click.echo(f"The bag is whole{compared}." if value["good"] else
               "The bag, or the folder, is no longer as it was: see above.")
