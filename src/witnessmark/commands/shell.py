"""What all commands share: faults as one sentence, output as JSON or as a table, progress on standard error."""
from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from witnessmark.errors import WitnessmarkError

REFUSED, USAGE = 1, 2


class Guarded(click.Group):
    """A group of commands from which no traceback escapes."""

    def main(self, *args: Any, **kwargs: Any) -> Any:
        try:
            return super().main(*args, **kwargs)
        except WitnessmarkError as error:
            _refuse(str(error))
        except BrokenPipeError:
            # The reader (head, less) has gone: nothing more to say, to nobody.
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(0)
        except Exception as error:
            from witnessmark.faults import system_fault

            _refuse(system_fault(error) or _unforeseen(error))


def _refuse(sentence: str) -> None:
    click.echo(f"witnessmark: {sentence}", err=True)
    sys.exit(REFUSED)


def _unforeseen(error: Exception) -> str:
    from witnessmark.faults import write_log

    folders = [Path(word) / ".witnessmark" for word in sys.argv[2:] if (Path(word) / ".witnessmark").is_dir()]
    where = write_log(folders[0] if folders else Path(tempfile.gettempdir()), error, " ".join(sys.argv[1:2]))
    return (f"a fault of the program ({type(error).__name__}) stopped this command; nothing of yours was changed; "
            f"please report it with the file {where}")


folder_argument = click.argument("folder", type=click.Path(path_type=Path))
json_option = click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")


def print_json(value: Any) -> None:
    """One JSON value on standard output, UTF-8 whatever the terminal says."""
    text = json.dumps(value, ensure_ascii=False, indent=1, default=list)
    sys.stdout.buffer.write(text.encode("utf-8", "replace") + b"\n")
    sys.stdout.flush()


def print_table(title: str, columns: Sequence[str], lines: Iterable[Sequence[Any]], right: Sequence[str] = ()) -> None:
    """A table on standard output; columns named in `right` are set to the right."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console(width=None if sys.stdout.isatty() else 140, highlight=False)
    table = Table(title=Text(title), title_justify="left", header_style="bold", box=None, pad_edge=False)
    for column in columns:
        table.add_column(column, justify="right" if column in right else "left", overflow="fold")
    for line in lines:
        table.add_row(*(Text("" if value is None else str(value)) for value in line))
    console.print(table)


def print_answer(as_json: bool, value: Mapping[str, Any], show: Callable[[Any], None]) -> None:
    """The value as JSON if asked for, else as `show` prints it."""
    if as_json:
        print_json(value)
    else:
        show(value)


def span(low: float | None, high: float | None, digits: int = 2) -> str:
    """A range as people write it: "18", "10 to 11", or nothing."""
    if low is None or high is None:
        return ""
    first, last = (f"{value:,.{digits}f}" for value in (low, high))
    return first if first == last else f"{first} to {last}"


def clock(seconds: float | None) -> str:
    """A time inside a recording: "1:05", "1:02:05"."""
    whole = int(seconds or 0)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
