"""Fixtures that tests of all rooms share."""
from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click.testing
import hypothesis
import made_journals
import pytest

# A slow disk or a busy computer is no fault of what is tested.
hypothesis.settings.register_profile("any-computer", deadline=None)
hypothesis.settings.load_profile("any-computer")


@pytest.fixture
def journal_folder(tmp_path: Path) -> Path:
    """An empty journal's folder."""
    return made_journals.folder(tmp_path / "journal")


@pytest.fixture
def run() -> Callable[..., click.testing.Result]:
    """Run a command of witnessmark in this process: run("index", folder) → click's result."""
    from witnessmark.cli import main

    def call(*words: Any, **options: Any) -> click.testing.Result:
        return click.testing.CliRunner().invoke(main, [str(word) for word in words], **options)

    return call


@pytest.fixture(scope="session")
def indexed_example(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of `example_journal/`, indexed by the real command with real speech weights, once for all tests."""
    original = Path(__file__).parents[1] / "example_journal"
    copy = tmp_path_factory.mktemp("example") / "example_journal"
    shutil.copytree(original, copy, ignore=shutil.ignore_patterns(".witnessmark", "*.jsonl"))
    subprocess.run([sys.executable, "-m", "witnessmark", "index", str(copy)], check=True, capture_output=True)
    return copy
