"""The command line: parse, call, print. No logic."""
from __future__ import annotations

import click

import witnessmark
from witnessmark.commands import asking, indexing, keeping
from witnessmark.commands.shell import Guarded


@click.group(cls=Guarded, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(witnessmark.__version__, package_name="witnessmark")
def main() -> None:
    """Turn shop recordings and photos into a dated, searchable, truthful build log."""


for module in (indexing, asking, keeping):
    for command in module.COMMANDS:
        main.add_command(command)
