"""The code keeps the house's rules: linter, types, and files that stay readable."""
from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LONGEST_FILE = 500
PLACES = ("src", "plugins", "tests")


@pytest.mark.parametrize("command", [("ruff", "check", "."), ("mypy",)], ids=lambda command: command[0])
def test_tool_is_content(command: tuple[str, ...]) -> None:
    result = subprocess.run([sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True)
    assert result.returncode == 0, result.stdout + result.stderr


def test_no_file_is_too_long() -> None:
    lengths = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines())
               for place in PLACES for path in (ROOT / place).rglob("*.py")}
    assert not {path: lines for path, lines in lengths.items() if lines > LONGEST_FILE}
