"""The command line: which command is where. No logic."""
from __future__ import annotations

import importlib

import click

import witnessmark
from witnessmark.commands.shell import Guarded

COMMANDS = {
    "new": ("witnessmark.commands.keeping", "Make a folder a journal."),
    "index": ("witnessmark.commands.indexing", "Index what is new or changed; safe to stop and repeat."),
    "watch": ("witnessmark.commands.indexing", "The same, whenever files have arrived and stopped growing."),
    "find": ("witnessmark.commands.asking", "Search words, parts and captions."),
    "when": ("witnessmark.commands.asking", "The days on which a thing was truly done."),
    "records": ("witnessmark.commands.asking", "All that was extracted."),
    "explain": ("witnessmark.commands.asking", "Why the program says what it says."),
    "hours": ("witnessmark.commands.ledgers", "The ledger of hours."),
    "spend": ("witnessmark.commands.ledgers", "The ledger of money."),
    "open": ("witnessmark.commands.ledgers", "What is still to do, to buy, to fix or away."),
    "correct": ("witnessmark.commands.correcting", "Put a record right, once and for all."),
    "evidence": ("witnessmark.evidence.command", "The inspector's log, worksheet and bag."),
    "export": ("witnessmark.commands.keeping", "Write the journal out in another form."),
    "serve": ("witnessmark.commands.keeping", "The pages, on this computer only."),
    "doctor": ("witnessmark.commands.keeping", "What is installed, and what is wrong with a journal."),
}
"""Command → the module with a click command of that name (`open_` for open), and its help in short."""


class Commands(Guarded):
    """The commands, each loaded when it is used, so that every one starts quickly."""

    def list_commands(self, context: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, context: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        module, _ = COMMANDS[name]
        found = getattr(importlib.import_module(module), name + "_" * (name == "open"))
        return found if isinstance(found, click.Command) else None

    def format_commands(self, context: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, about) for name, (_, about) in COMMANDS.items()])


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(witnessmark.__version__, package_name="witnessmark")
def main() -> None:
    """Turn shop recordings and photos into a dated, searchable, truthful build log."""
