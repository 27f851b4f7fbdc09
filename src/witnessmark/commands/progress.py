"""Progress on standard error, for people; silent where nobody watches."""
from __future__ import annotations

import sys
from types import TracebackType

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
from rich.text import Text

LABELS = {"files": "Looking at files", "listening": "Listening", "sessions": "Reading", "pictures": "Pictures"}


class Bar:
    """`witnessmark.pipeline.Progress` as a bar in the terminal."""

    def __init__(self) -> None:
        self._bar = Progress(TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(),
                             TextColumn("{task.fields[what]}"), TextColumn("{task.fields[left]}"),
                             console=Console(stderr=True), transient=True, disable=not sys.stderr.isatty())
        self._task = self._bar.add_task("", total=0, what="", left="", visible=False)
        self._done = 0

    def __enter__(self) -> Bar:
        self._bar.start()
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None,
                 trace: TracebackType | None) -> None:
        self._bar.stop()

    def stage(self, name: str, total: int) -> None:
        self._done = -1
        self._bar.update(self._task, description=LABELS.get(name, name), total=total, completed=0, what="", left="",
                         visible=total > 0)

    def step(self, what: str) -> None:
        self._done += 1
        self._bar.update(self._task, completed=self._done, what=Text(what).markup)

    def share(self, done: float) -> None:
        self._bar.update(self._task, completed=max(self._done, 0) + done)

    def left(self, seconds: float) -> None:
        self._bar.update(self._task, left=time_left(seconds))


def time_left(seconds: float) -> str:
    """ "about 2 h 10 min left"; empty where nothing is known."""
    minutes = round(seconds / 60)
    if seconds <= 0:
        return ""
    if minutes < 1:
        return "less than a minute left"
    hours, rest = divmod(minutes, 60)
    if hours >= 10:
        return f"about {round(seconds / 3600)} h left"
    return f"about {f'{hours} h ' if hours else ''}{rest} min left"
