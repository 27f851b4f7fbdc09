"""What each task is usually done to: a preference among the things that a pronoun may stand for (data/affinity.toml)."""
from __future__ import annotations

import functools
import tomllib
from importlib import resources


@functools.cache
def usual_things(task: str) -> frozenset[str]:
    """The last words of the names of things that this task is usually done to; empty where it may be anything."""
    data = _data()
    return frozenset(word for name in data["tasks"].get(task, ()) for word in data["groups"].get(name, (name,)))


@functools.cache
def _data() -> dict[str, dict[str, list[str]]]:
    text = resources.files("witnessmark.reading").joinpath("data", "affinity.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
