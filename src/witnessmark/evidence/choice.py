"""What the builder chose to show: period, assembly, person, money, names and places of others, originals."""
from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Choice:
    """One evidence run. Days are inclusive; None leaves a side open. `made` is the day to print, None for none.

    `person` is a name or a kind of person (builder, helper, paid, maker). What is False is left out.
    """

    first: dt.date | None = None
    last: dt.date | None = None
    assembly: str | None = None
    person: str | None = None
    money: bool = False
    names: bool = False
    places: bool = False
    originals: bool = False
    pictures: bool = True
    made: dt.date | None = None

    @property
    def is_whole(self) -> bool:
        """True where no record is left out but for money."""
        return not (self.first or self.last or self.assembly or self.person)

    def takes(self, row: Mapping[str, Any], told: str | None, builders: tuple[str, ...] = ()) -> bool:
        """Whether a record belongs to the choice; `told` is the day of its source.

        A date that may lie in the period does: leaving out what may belong there would hide it.
        """
        return self._in_period(row, told) and (not self.assembly or row.get("assembly") == self.assembly) and (
            not self.person or self._is_by(row, builders))

    def _in_period(self, row: Mapping[str, Any], told: str | None) -> bool:
        dated = bool(row.get("date"))
        first = row.get("first_day") if dated else row.get("day") or told
        last = row.get("last_day") if dated else row.get("day") or told
        return not ((self.first and last and last < self.first.isoformat())
                    or (self.last and first and first > self.last.isoformat()))

    def _is_by(self, row: Mapping[str, Any], builders: tuple[str, ...]) -> bool:
        wanted, person = (self.person or "").casefold(), (row.get("person") or "").casefold()
        if wanted in (person, row.get("who")):
            return True
        alone = len(builders) == 1 and builders[0].casefold() == wanted
        return alone and row.get("who") == "builder" and not person

    def as_row(self) -> dict[str, Any]:
        """The choice as plain values, for the bag."""
        return {"from": self.first and self.first.isoformat(), "until": self.last and self.last.isoformat(),
                "assembly": self.assembly, "person": self.person, "money": self.money, "names": self.names,
                "places": self.places, "originals": self.originals, "pictures": self.pictures}
