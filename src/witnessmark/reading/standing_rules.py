"""What a standing is, and the named rules and word classes of data/standing.toml."""
from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass, replace
from importlib import resources
from typing import Any

from witnessmark.reading.people import BUILDER

PERFORMED = ("done", "doing")


@dataclass(frozen=True, slots=True)
class Standing:
    """What the words say of one predicate.

    `status` is an id of the published list, or None where the words state nothing (a question, a condition);
    `who` likewise, None for advice; `person` the name or phrase of a helper, hired hand or maker; `rules` the
    names of the rules that decided, innermost first; `sure` 0 to 1; `tense` past, present, future or none;
    `believed` tells that it was only believed then, `told` that it was told so before: either may be taken back.
    """

    status: str | None
    who: str | None = BUILDER
    person: str | None = None
    rules: tuple[str, ...] = ()
    sure: float = 1.0
    tense: str = "none"
    believed: bool = False
    told: bool = False

    def by(self, rule: str, **changes: Any) -> Standing:
        """This standing with fields changed by a rule of the data file, and less sure by that rule's figure."""
        return replace(self, rules=(*self.rules, rule), sure=self.sure * rules()[rule]["sure"], **changes)


@functools.cache
def data() -> dict[str, Any]:
    text = resources.files("witnessmark.reading").joinpath("data", "standing.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@functools.cache
def rules() -> dict[str, dict[str, Any]]:
    """Rule name → what it says in one sentence, and how sure it is; the triggers with them."""
    triggers = {trigger["name"]: {"says": trigger["says"], "sure": 1.0} for trigger in data()["trigger"]}
    return triggers | data()["rules"]


@functools.cache
def verb_class(name: str) -> frozenset[str]:
    return frozenset(data()["classes"][name])
