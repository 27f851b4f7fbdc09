"""A disk that fills up, becomes read-only or is pulled out: a sentence, and the next run completes the work.

Real disks (tmpfs in a mount namespace of its own, see odd_disks.py); skipped where the system lets no user have one.
"""
from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from test_pipeline_kills import season  # noqa: F401

UNSHARE = ("unshare", "--map-root-user", "--mount")


def can_mount() -> bool:
    return bool(shutil.which("unshare")) and subprocess.run(
        [*UNSHARE, "mount", "-t", "tmpfs", "tmpfs", "/mnt"], capture_output=True).returncode == 0


@pytest.mark.skipif(not can_mount(), reason="no disk can be mounted here")
def test_full_read_only_and_missing_disks(season: Path, tmp_path: Path) -> None:  # noqa: F811
    place = tmp_path / "disk"
    place.mkdir()
    done = subprocess.run([*UNSHARE, sys.executable, str(Path(__file__).parent / "odd_disks.py"), str(season),
                           str(place)], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    told: list[dict[str, Any]] = [json.loads(line) for line in done.stdout.splitlines()]
    assert all(found["same"] for found in told), [found for found in told if not found["same"]]
    full = [found for found in told if found["what"] == "full"]
    stopped = [found for found in full if found["code"]]
    assert len(stopped) > 10 and any(found["code"] == 0 for found in full)
    for found in stopped:
        assert found["code"] == 1 and found["said"].count("\n") == 1, found
        assert "disk is full" in found["said"] or "No space left" in found["said"], found
    assert all(found["again"] == 0 and found["untouched"] for found in full)
    locked = [found for found in told if found["what"] == "read-only"]
    assert [(found["code"], found["said"].count("\n")) for found in locked] == [(1, 1), (1, 1)]
    assert all("cannot be written" in found["said"] for found in locked)
    assert [found["answered"] for found in locked] == [1, 0]  # what was indexed before can be asked
    (pulled,) = (found for found in told if found["what"] == "pulled out")
    assert pulled["away"] == pulled["pictures"] > 0
