"""The README's examples are run, in order, in a copy of the indexed example; `...` stands for anything."""
from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def examples() -> list[tuple[str, str]]:
    """Each command of the `console` blocks and the output that the README shows for it."""
    blocks = re.findall(r"^```console\n(.*?)^```$", README, re.DOTALL | re.MULTILINE)
    found = []
    for block in blocks:
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            found.append((command, output))
    return found


def shown(output: str) -> str:
    """Output as it is compared: blanks at line ends and runs of blanks do not matter."""
    return "\n".join(re.sub(r"\s+", " ", line).strip() for line in output.splitlines() if line.strip())


def pattern(output: str) -> str:
    return re.escape(shown(output)).replace(r"\.\.\.", ".*?")


def test_examples_print_what_the_readme_shows(indexed_example: Path) -> None:
    assert len(examples()) >= 5
    for command, output in examples():
        words = shlex.split(command)
        assert words[0] == "witnessmark"
        result = subprocess.run([sys.executable, "-m", *words], cwd=indexed_example.parent, capture_output=True,
                                text=True, env={"COLUMNS": "120", "PATH": ""})
        assert result.returncode == 0, f"{command}: {result.stderr}"
        printed = shown(result.stdout)
        assert re.fullmatch(pattern(output), printed, re.DOTALL), f"{command} printed:\n{result.stdout}"


def test_the_commands_of_setting_up_are_one_line_each() -> None:
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv")]
    assert len(lines) == 2
    assert all("--require-hashes -r requirements.lock" in line for line in lines)


def test_the_lock_file_names_no_index() -> None:
    lock = (ROOT / "requirements.lock").read_text(encoding="utf-8")
    assert not re.search(r"https?://|file:|--(?:extra-)?index-url|--find-links", lock)
    assert lock.count("--hash=sha256:") > lock.count("==")
