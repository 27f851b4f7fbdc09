"""`new`: the first settings file of a journal."""
from __future__ import annotations

import locale
from collections.abc import Sequence
from pathlib import Path

from witnessmark.errors import JournalError
from witnessmark.journal import settings, template

QUESTIONS = {"title": "What is the journal called", "aircraft": "What is being built (name, kind of construction)",
             "timezone": "Time zone of your days", "currency": "Currency"}


def proposals(folder: Path) -> dict[str, str]:
    """What to propose for each question: this computer's zone and currency, the folder's name."""
    return {"title": folder.resolve().name, "aircraft": "", "timezone": _zone(), "currency": _currency()}


def _zone() -> str:
    """This computer's zone by the link that Unix systems keep; UTC where that does not tell."""
    try:
        name = str(Path("/etc/localtime").resolve()).partition("zoneinfo/")[2]
    except OSError:
        return "UTC"
    return name or "UTC"


def _currency() -> str:
    try:
        locale.setlocale(locale.LC_MONETARY, "")
    except locale.Error:
        return "USD"
    return str(locale.localeconv()["int_curr_symbol"]).strip() or "USD"


def write(folder: Path, title: str, aircraft: str, timezone: str, currency: str, builders: Sequence[str] = (),
          helpers: Sequence[str] = (), hired: Sequence[str] = ()) -> Path:
    """Write `journal.toml` into the folder, which is made if need be. Raises JournalError where that cannot be."""
    text = template.text(title, aircraft, timezone, currency, builders, helpers, hired)
    settings.parse(text)
    path = folder / settings.NAME
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise JournalError(f"{path} is there already: change it with a text editor") from None
    except OSError as error:
        raise JournalError(f"{path} cannot be written ({error.strerror}): choose another folder") from None
    return path
