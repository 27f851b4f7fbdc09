"""Cells of CSV files that no spreadsheet takes for a formula, there and back.

A text that begins like a formula gets an apostrophe in front, as OWASP advises ("CSV Injection").
"""
from __future__ import annotations

import json
from typing import Any

FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠", "|", "%")
GUARD = "'"


def safe(value: Any) -> Any:
    """A cell that no spreadsheet executes; numbers stay numbers, lists become JSON."""
    if isinstance(value, list | tuple | dict):
        value = json.dumps(value, ensure_ascii=False)
    if isinstance(value, str):
        value = value.replace("\0", "\N{SYMBOL FOR NULL}")
        return GUARD + value if value.lstrip(" ").startswith(FORMULA) else value
    return value


def plain(cell: str) -> str:
    """What a cell said before it was made safe."""
    rest = cell.removeprefix(GUARD)
    return rest if rest != cell and rest.lstrip(" ").startswith(FORMULA) else cell
