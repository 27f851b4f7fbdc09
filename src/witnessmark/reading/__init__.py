"""Reading: what a narration says was done, by whom, when, in how many hours, for how much, and what is left.

In: a `Session` (its words and the local moment of recording), the trade `Lexicon`, and the `Memory` of the
sessions recorded before it. Out: a `Reading` and the memory that the next session starts from.
Never: a file, a database, the clock of this computer, or a record that the words do not carry.
"""
from __future__ import annotations

from witnessmark.model import Reading, Session
from witnessmark.reading.acts import find_acts
from witnessmark.reading.dates import find_times
from witnessmark.reading.hours import find_hours
from witnessmark.reading.memory import Memory
from witnessmark.reading.open_items import find_open_items
from witnessmark.reading.purchase_days import with_days
from witnessmark.reading.purchases import find_purchases, survey
from witnessmark.reading.text import parse
from witnessmark.trade.lexicon import Lexicon

WRITTEN = ("subtitle", "note")  # origins of words that somebody wrote; the others are a recogniser's


def read(session: Session, lexicon: Lexicon, memory: Memory) -> tuple[Reading, Memory]:
    """What one session says, and the memory for the next; sessions are to be read in order of recording."""
    passage = parse(session.transcript, memory)
    times = find_times(passage, session.recorded, memory.last_day)
    acts = find_acts(passage, lexicon, memory, session.day, times)
    heard = session.transcript.origin not in WRITTEN
    goods = survey(passage, lexicon, times, heard)
    purchases = find_purchases(passage, lexicon, times, acts, memory, heard, goods)
    hours = find_hours(passage, times, acts, memory, session.day, lexicon)
    items = find_open_items(passage, lexicon, acts, purchases, goods)
    reading = Reading(acts=acts, hours=hours, purchases=with_days(purchases, passage, times), open_items=items)
    return reading, memory.after(reading)
