"""The plugin manager: the built-in plugin and those of installed packages."""
from __future__ import annotations

import functools
from pathlib import PurePosixPath
from typing import Any

import pluggy

from witnessmark import builtin, hookspecs
from witnessmark.errors import WitnessmarkError
from witnessmark.model import Kind


@functools.cache
def manager() -> pluggy.PluginManager:
    """All plugins; raises WitnessmarkError naming an installed one that cannot be loaded."""
    plugins = pluggy.PluginManager(hookspecs.PROJECT)
    plugins.add_hookspecs(hookspecs)
    plugins.register(builtin, "built-in")
    try:
        plugins.load_setuptools_entrypoints(hookspecs.PROJECT)
        plugins.check_pending()
    except Exception as error:  # whatever another's package does at import
        raise WitnessmarkError(f"an installed plugin cannot be loaded ({type(error).__name__}: {error}): "
                               "update or remove it") from error
    return plugins


def hook() -> Any:
    """The hooks, to be called by keyword."""
    return manager().hook


def kind_of(path: str) -> Kind | None:
    """The kind that a file's name promises; None for files that no journal reads."""
    return _kinds().get(PurePosixPath(path).suffix.lower())


@functools.cache
def _kinds() -> dict[str, Kind]:
    """Suffix → kind; where two plugins name the same suffix, the one registered later holds."""
    return {suffix: kind for found in reversed(hook().file_kinds()) for suffix, (kind, _) in found.items()}
