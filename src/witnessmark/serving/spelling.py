"""Spellings that the builder can confirm with one click, so that the journal learns them. Pure functions."""
from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from witnessmark.store.taught import NAMES

if TYPE_CHECKING:
    from witnessmark.trade.lexicon import Lexicon

Row = dict[str, Any]
VOCABULARY_OF = {"tool": "tools", "consumable": "consumables", "hardware": "hardware", "material": "materials",
                 "part": "parts", "kit": "parts", "safety-gear": "safety_gear"}
"""Purchase category → the section of the vocabulary that its things stand in."""
LONGEST = 3  # words of a spelling; what differs more was said otherwise


def of_record(kind: str, row: Mapping[str, Any]) -> Row | None:
    """The name in a record that a change of it may teach: `field`, `word`, `kind` of vocabulary; None for none."""
    field = NAMES.get(kind)
    section = VOCABULARY_OF.get(str(row.get("category"))) if kind == "purchases" else "parts"
    if field is None or section is None or not row.get(field):
        return None
    return {"field": field, "word": row[field], "kind": section}


def of_repair(cue: Mapping[str, Any], lexicon: Lexicon) -> list[Row]:
    """What a cue's repair took for another spelling of a thing of the trade: `heard`, `meant`, `kind`."""
    if not cue.get("heard"):
        return []
    heard, meant = (re.findall(r"[\w'-]+", str(cue[name]).lower()) for name in ("heard", "text"))
    found = []
    for what, a, b, c, d in difflib.SequenceMatcher(None, heard, meant, autojunk=False).get_opcodes():
        before, after = " ".join(heard[a:b]), " ".join(meant[c:d])
        if what != "replace" or max(b - a, d - c) > LONGEST or re.search(r"\d", before + after):
            continue
        thing = lexicon.thing(after)
        if thing is not None and thing.category in VOCABULARY_OF:
            found.append({"heard": before, "meant": after, "kind": VOCABULARY_OF[thing.category]})
    return found
