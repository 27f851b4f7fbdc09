"""What earlier sessions of the same journal said: exactly their records, no hidden state.

So the store can rebuild it at any time, and reading in order of recording gives the same result as reading
again after a new file came in between.
"""
from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace

from witnessmark.edtf_days import day_window
from witnessmark.model import Act, Hours, OpenItem, Purchase, Reading


@dataclass(frozen=True, slots=True)
class Memory:
    """The records of earlier sessions, oldest first."""

    acts: tuple[Act, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    open_items: tuple[OpenItem, ...] = ()
    hours: tuple[Hours, ...] = ()

    def after(self, reading: Reading) -> Memory:
        """The memory that the next session starts from."""
        return replace(self, acts=self.acts + reading.acts, purchases=self.purchases + reading.purchases,
                       open_items=self.open_items + reading.open_items, hours=self.hours + reading.hours)

    @property
    def last_day(self) -> dt.date | None:
        """The day of the session before, as its records tell it: the latest day of work, or the day after the last
        one that an open date allows; None where nothing was told."""
        dates = {record.date for record in self.acts} | {record.date for record in self.hours}
        ends = [(day_window(date)[1], date) for date in dates if date]
        return max((last + dt.timedelta(days=date.startswith("../")) for last, date in ends if last), default=None)

    def assemblies_of(self, part: str) -> Iterable[str]:
        """The assemblies that this part was said to belong to, the latest first."""
        return (act.assembly for act in reversed(self.acts) if act.part == part and act.assembly)
