"""The word classes of data/hours.toml as pieces of patterns: `<curing>` in a template stands for its words."""
from __future__ import annotations

import functools
import re
import tomllib
from importlib import resources

_CLASS = re.compile(r"<([a-z_]+)>")


@functools.cache
def _table() -> dict[str, list[str]]:
    text = resources.files("witnessmark.reading").joinpath("data/hours.toml").read_text(encoding="utf-8")
    return dict(tomllib.loads(text))


@functools.cache
def alternatives(name: str) -> str:
    """One word class as alternatives, longest first; a star stands for any ending, `'ll` may follow any word."""
    phrases = sorted(_table()[name], key=len, reverse=True)
    return "(?:" + "|".join(_piece(phrase) for phrase in phrases) + ")"


def _piece(phrase: str) -> str:
    before = r"(?<=\w)" if phrase.startswith("'") else r"(?<![\w'])" if phrase[0].isalpha() else ""
    stem = re.escape(phrase.rstrip("*"))
    ends = r"\w*" if phrase.endswith("*") else ""
    return before + stem + ends + (r"(?![\w'])" if phrase[-1].isalpha() or ends else "")


def pattern(template: str) -> re.Pattern[str]:
    """A template with `<name>` for a word class, compiled. Raises KeyError for a class that there is not."""
    return re.compile(_CLASS.sub(lambda match: alternatives(match[1]), template))
