"""correct, evidence, export."""
from __future__ import annotations

COMMANDS = ()
