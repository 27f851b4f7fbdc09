"""Names of others, left out: every name that the journal knows is replaced by a role, in every text that goes out.

Names are those of helpers and hired people in `journal.toml`, of persons in the records, and of vendors. The program
cannot know a name that nobody told it; the log says so.
"""
from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

ROLES = {"helper": "helper", "paid": "hired", "maker": "maker", "vendor": "seller"}
SHORTEST = 3  # letters of a part of a name that is replaced by itself: "Jo" alone would hit too many words


class Mask:
    """Replaces names. In a text written with capitals only capitalised names count ("Mark", not "mark")."""

    def __init__(self, people: Iterable[tuple[str, str]] = (), keep: Iterable[str] = ()) -> None:
        """`people` are (kind, name); names of `keep` stay (the builders, and the person that was asked for)."""
        kept = {part for name in keep for part in (name, *name.split())}
        self._tags: dict[str, str] = {}
        counts: dict[str, int] = {}
        for kind, name in people:
            if not re.search(r"[^\W\d_]", name) or name == name.lower() or name in kept or name in self._tags:
                continue  # "the factory", "my son": nobody's name
            counts[kind] = counts.get(kind, 0) + 1
            tag = f"[{ROLES.get(kind, kind)} {counts[kind]}]"
            self._tags[name] = tag
            for part in name.split():
                if len(part) >= SHORTEST and part[:1].isupper() and part not in kept:
                    self._tags.setdefault(part, tag)
        longest = sorted(self._tags, key=lambda name: (-len(name), name))
        pattern = rf"(?<!\w)(?:{'|'.join(map(re.escape, longest))})(?!\w)"
        self._exact = re.compile(pattern) if longest else None
        self._any = re.compile(pattern, re.IGNORECASE) if longest else None
        self._folded = {name.casefold(): tag for name, tag in self._tags.items()}

    def text(self, text: str) -> str:
        """A text without the names."""
        if not self._exact or not self._any:
            return text
        if text == text.lower():
            return self._any.sub(lambda found: self._folded[found[0].casefold()], text)
        return self._exact.sub(lambda found: self._tags[found[0]], text)

    def value(self, value: Any) -> Any:
        """The same for every text in a value of JSON; keys stay."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, list | tuple):
            return [self.value(item) for item in value]
        if isinstance(value, dict):
            return {key: self.value(item) for key, item in value.items()}
        return value
