"""The values that travel between the rooms: frozen, without behaviour beyond their own arithmetic.

Field names of records are those of the published column names (README, "The database"). Times inside a
recording are seconds from its start; moments are aware datetimes; dates are EDTF (ISO 8601-2) strings.
"""
from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["recording", "photo", "transcript", "note", "document", "unreadable"]
Precision = Literal["second", "minute", "day", "month", "year", "none"]
Basis = Literal["container", "exif", "xmp", "file-name", "sidecar", "file-time", "none"]
ZoneBasis = Literal["offset", "gps", "utc", "journal", "none"]


@dataclass(frozen=True, slots=True)
class Moment:
    """When something was captured, and how that is known.

    `at` is aware (None if nothing is known); `zone_basis` says where the zone came from: an offset written
    beside the time, GPS time, a container that counts in UTC, or the journal's own zone.
    """

    at: dt.datetime | None
    precision: Precision
    basis: Basis
    zone_basis: ZoneBasis = "none"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Capture:
    """One file of the builder's, as it was found. `path` is relative to the journal, with forward slashes."""

    path: str
    sha256: str
    size: int
    kind: Kind
    media_type: str
    moment: Moment
    duration: float | None = None
    has_video: bool = False
    has_sound: bool = False
    width: int | None = None
    height: int | None = None
    camera: str | None = None
    caption: str | None = None
    keywords: tuple[str, ...] = ()
    gps: tuple[float, float] | None = None
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Word:
    """One recognised word. `heard` holds the raw recognised words where a repair replaced them."""

    text: str
    start: float
    end: float
    probability: float = 1.0
    heard: str | None = None
    repair: str | None = None


@dataclass(frozen=True, slots=True)
class Cue:
    """A timed line of a transcript; `heard` is the raw line where a repair changed it."""

    start: float
    end: float
    text: str
    words: tuple[Word, ...] = ()
    heard: str | None = None


@dataclass(frozen=True, slots=True)
class Transcript:
    """What is said in one source. `origin` names the weights, or "subtitle" or "note"."""

    cues: tuple[Cue, ...]
    origin: str
    language: str = "en"
    problems: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Session:
    """One narration to be read: its source, the local moment it was recorded, its words."""

    source: str
    recorded: dt.datetime
    transcript: Transcript
    duration: float | None = None

    @property
    def day(self) -> dt.date:
        return self.recorded.date()


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What every extracted record carries: its clip, its words, how sure it is, the rules that made it.

    `cue` is the number of the cue in which the decisive words stand; `start` and `end` are seconds of that
    clip; `confidence` is 0 to 1; `doubts` are questions for the builder ("$18 or $80?").
    """

    cue: int
    start: float
    end: float
    quote: str
    confidence: float = 1.0
    rules: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Act(Record):
    """Work on a named thing. `date` is EDTF and None unless the work was performed; `person` as named."""

    task: str
    part: str | None
    assembly: str | None = None
    side: str | None = None
    status: str = "done"
    who: str | None = "builder"
    person: str | None = None
    date: str | None = None
    count: int | None = None

    @property
    def performed(self) -> bool:
        return self.status in ("done", "doing")

    @property
    def is_builders(self) -> bool:
        """True where the log would say that the builder did it."""
        return self.performed and self.who == "builder"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Record):
    """A stated length of human work time, `low` to `high` in hours; `why` says why it counts or not."""

    low: float
    high: float
    scope: str
    who: str | None
    person: str | None = None
    date: str | None = None
    counted: bool = False
    approx: bool = False
    assembly: str | None = None
    task: str | None = None
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase(Record):
    """A thing bought, ordered, priced or returned; amounts in the journal's currency for the whole line."""

    item: str
    category: str
    status: str
    amount_low: float | None = None
    amount_high: float | None = None
    quantity: float | None = None
    vendor: str | None = None
    assembly: str | None = None
    date: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenItem(Record):
    """What the talk leaves to do, buy, fix or wait for; `closed_by` is filled in by the answers."""

    kind: str
    part: str | None
    task: str | None = None
    assembly: str | None = None
    side: str | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """All that one session says."""

    acts: tuple[Act, ...] = ()
    hours: tuple[Hours, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    open_items: tuple[OpenItem, ...] = ()


@dataclass(frozen=True, slots=True)
class Camera:
    """A camera of the builder's; `offset` is added to its clock to get the true time."""

    model: str
    offset: dt.timedelta = dt.timedelta(0)
    accepted: str | None = None


@dataclass(frozen=True, slots=True)
class Settings:
    """journal.toml. `helpers` are unpaid, `hired` are paid names; `vocabulary` maps a kind to its own words."""

    title: str = ""
    aircraft: str = ""
    builders: tuple[str, ...] = ()
    helpers: tuple[str, ...] = ()
    hired: tuple[str, ...] = ()
    timezone: str = "UTC"
    currency: str = "USD"
    cameras: tuple[Camera, ...] = ()
    speech_model: str | None = None
    vocabulary: dict[str, dict[str, tuple[str, ...]]] = field(default_factory=dict)

    def camera(self, name: str | None) -> Camera | None:
        """The settings of a camera by the name that its files give: its model, or maker and model."""
        told = (name or "").casefold()
        return next((camera for camera in self.cameras if told == camera.model.casefold()
                     or told.endswith(" " + camera.model.casefold())), None)


def as_dict(record: Record) -> dict[str, object]:
    """A record's fields as plain values, tuples as lists."""
    return {key: list(value) if isinstance(value, tuple) else value
            for key, value in dataclasses.asdict(record).items()}
