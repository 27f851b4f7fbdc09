"""new, export, serve, doctor."""
from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from witnessmark.commands.shell import folder_argument, json_option, print_answer
from witnessmark.errors import WitnessmarkError


@click.command()
@folder_argument
@click.option("--title", help="What the journal is called.")
@click.option("--aircraft", help="What is being built: name and kind of construction.")
@click.option("--timezone", help='The zone of your days: "America/Denver".')
@click.option("--currency", help='Three letters of ISO 4217: "USD".')
@click.option("--builder", "builders", multiple=True, help="Who builds; may be given several times.")
@click.option("--helper", "helpers", multiple=True, help="An unpaid helper; may be given several times.")
@click.option("--hired", multiple=True, help="Somebody you pay; may be given several times.")
@json_option
def new(folder: Path, title: str | None, aircraft: str | None, timezone: str | None, currency: str | None,
        builders: tuple[str, ...], helpers: tuple[str, ...], hired: tuple[str, ...], as_json: bool) -> None:
    """Make FOLDER a journal: write a commented journal.toml, asking for what is not given."""
    from witnessmark.journal import starting

    given = {"title": title, "aircraft": aircraft, "timezone": timezone, "currency": currency}
    proposed = starting.proposals(folder)
    for name, question in starting.QUESTIONS.items():
        if given[name] is None:
            given[name] = click.prompt(question, default=proposed[name], err=True)
    if not builders:
        builders = tuple(click.prompt("Who builds (names, with commas)", default="", show_default=False, err=True,
                                      ).replace(",", " ").split())
    path = starting.write(folder, builders=builders, helpers=helpers, hired=hired,
                          **{name: value or "" for name, value in given.items()})
    print_answer(as_json, {"written": str(path)}, lambda value: click.echo(
        f"{value['written']} is written: put recordings and photos into {folder}, then `witnessmark index {folder}`"))


@click.command()
@folder_argument
@click.argument("form")
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Where to write it.")
@json_option
def export(folder: Path, form: str, out: Path, as_json: bool) -> None:
    """Write the journal out in another FORM; `witnessmark export FOLDER list --out -` names them."""
    from witnessmark.commands.asking import reading
    from witnessmark.plugins import hook

    forms = {name: made for found in reversed(hook().exports()) for name, made in found.items()}
    if form == "list":
        print_answer(as_json, {name: made.about for name, made in forms.items()}, show_pairs)
        return
    if form not in forms:
        raise WitnessmarkError(f"{form} is no form of export: use one of {', '.join(forms)}")
    with reading(folder) as (journal, db):
        forms[form].write(journal, db, out)
    print_answer(as_json, {"written": str(out)}, lambda value: click.echo(f"{value['written']} is written"))


def show_pairs(value: dict[str, Any]) -> None:
    for name, about in value.items():
        click.echo(f"{name}: {about}")


@click.command()
@folder_argument
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen at.")
@click.option("--port", type=click.IntRange(0, 65535), default=8017, show_default=True, help="The port to listen at.")
@click.option("--secret", envvar="WITNESSMARK_SECRET", help="What visitors from elsewhere must know; corrections are "
              "taken from another computer or a phone only with one.")
def serve(folder: Path, host: str, port: int, secret: str | None) -> None:
    """Show the pages of FOLDER in a browser, on this computer only, unless --host says otherwise."""
    from witnessmark import serving
    from witnessmark.journal import open_journal

    journal = open_journal(folder)
    click.echo(f"The pages are at http://{host}:{port}/ until you press Ctrl-C.", err=True)
    serving.serve(journal, host, port, secret)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), required=False)
@json_option
def doctor(folder: Path | None, as_json: bool) -> None:
    """What is installed, which speech weights there are, and what is wrong with FOLDER."""
    from witnessmark.doctor import examine

    print_answer(as_json, examine(folder), show_findings)


def show_findings(value: dict[str, Any]) -> None:
    click.echo(f"witnessmark {value['witnessmark']}, Python {value['python']}")
    show_pairs({name: found or "not installed" for name, found in value["packages"].items()})
    show_pairs({f"extra {name}": "installed" if there else f'not installed: pip install "witnessmark[{name}]"'
                for name, there in value["extras"].items()})
    click.echo(f"speech weights: {value['weights']}")
    if "problems" in value:
        click.echo(f"{len(value['problems'])} problems" if value["problems"] else "Nothing is wrong with the folder.")
        show_pairs({f"  {name}": cause for name, cause in value["problems"].items()})
