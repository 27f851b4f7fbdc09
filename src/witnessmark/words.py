"""Ids, dates and figures as people say them. Pure functions; the pages use them as filters."""
from __future__ import annotations

import datetime as dt
import re
from collections.abc import Iterable, Mapping

from witnessmark import edtf_days
from witnessmark.trade.vocabulary import built_in

MONTHS = ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
          "November", "December")
SEASONS = {"21": "spring", "22": "summer", "23": "autumn", "24": "winter"}
DONE = {
    "layout": "laid out", "cut": "cut", "drill": "drilled", "match-drill": "match drilled", "ream": "reamed",
    "deburr": "deburred", "countersink": "countersunk", "dimple": "dimpled", "bend": "bent or formed",
    "weld": "welded", "fabricate": "made", "clean": "cleaned", "conversion-coat": "conversion coated",
    "prime": "primed", "paint": "painted", "cleco": "clecoed", "rivet": "riveted", "drill-out": "drilled out",
    "bolt": "bolted", "torque": "torqued", "safety-wire": "safety wired", "bond": "bonded", "layup": "laid up",
    "seal": "sealed", "sand": "sanded or scuffed", "fill": "filled", "cover": "covered", "fit": "trial fitted",
    "assemble": "assembled", "install": "installed", "remove": "removed", "wire": "wired", "crimp": "crimped",
    "route": "routed", "flare": "flared", "rig": "rigged", "inspect": "inspected", "test": "tested",
    "weigh": "weighed", "inventory": "counted over"}
"""The past of every task of the label guide."""
STATUS = {"done": "done", "doing": "being done as it was told", "planned": "planned, not done",
          "not-done": "said not to be done", "advice": "advice or instructions, nothing done",
          "bought": "bought", "ordered": "ordered", "considered": "only priced, not bought", "returned": "returned",
          "received": "received"}
WHO = {"builder": "builder", "helper": "unpaid helper", "paid": "for hire", "maker": "maker of the kit or part"}
WHO_MANY = {"builder": "Builder", "helper": "Unpaid helpers", "paid": "For hire", "maker": "Makers"}
KINDS = {"to-do": "To do", "to-buy": "To buy", "to-fix": "To fix", "waiting": "Away or on order"}
BASES = {"container": "the clock in the recording", "exif": "the camera's clock (EXIF)", "xmp": "its XMP label",
         "file-name": "its file name", "sidecar": "a label file beside it", "file-time": "the time of the file",
         "none": "nothing"}
COATED = frozenset({"prime", "paint", "conversion-coat", "seal", "fill", "cover"})
"""Tasks whose number is one of coats; of others it is one of pieces or passes."""
HARMFUL = frozenset({"prime", "paint", "clean", "conversion-coat", "seal", "bond", "layup", "fill", "cover", "sand"})
"""Tasks with solvents, primers, resins, dust or isocyanates; common practice, no source."""
CAUTION = ("Solvents, primers, paints, resins and sealants: read the maker's data sheet and wear the breathing "
           "protection that it names; isocyanates need more than a filter mask.")
TAG_BASES = {"recording": "taken while it was said", "day": "told of the same day", "folder": "its folder",
             "caption": "its caption", "keyword": "a keyword", "file-name": "its file name",
             "text": "words in the picture", "builder": "the builder said so"}


def day(text: str | None) -> str:
    """2025-03-15 as "Saturday 15 March 2025"."""
    if not text:
        return "day not known"
    at = dt.date.fromisoformat(text)
    return f"{at:%A} {at.day} {MONTHS[at.month - 1]} {at.year}"


def short_day(text: str | None) -> str:
    """2025-03-15 as "15 March 2025"."""
    if not text:
        return "day not known"
    at = dt.date.fromisoformat(text)
    return f"{at.day} {MONTHS[at.month - 1]} {at.year}"


def month(text: str) -> str:
    """2025-03 as "March 2025"; any other text as it is."""
    if not re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", text):
        return text
    return f"{MONTHS[int(text[5:]) - 1]} {text[:4]}"


def date(edtf: str | None) -> str:
    """An EDTF date in words, no more exact than it is: "about 6 March 2024", "15 March 2024 or earlier"."""
    if not edtf:
        return "no date"
    if "/" in edtf:
        first, last = edtf.split("/", 1)
        if first in ("", ".."):
            return f"{_simple(last)} or earlier"
        return f"{_simple(first)} or later" if last in ("", "..") else f"{_simple(first)} to {_simple(last)}"
    return _simple(edtf)


def _simple(edtf: str) -> str:
    about = "about " if edtf.endswith("~") else ""
    bare = edtf.rstrip("~")
    year, _, rest = bare.partition("-")
    if rest in SEASONS:
        return f"{about}{SEASONS[rest]} {year}"
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", bare):
        return about + short_day(bare)
    return about + month(bare)


def on_date(edtf: str | None) -> str:
    """An EDTF date in a sentence: "on 6 March 2024", "about 6 March 2024"."""
    return f"on {date(edtf)}" if is_on_day(edtf) else date(edtf)


def moment(text: str | None) -> str:
    """An ISO moment as "15 March 2025, 17:32 UTC"."""
    if not text:
        return "at a time not known"
    at = dt.datetime.fromisoformat(text).astimezone(dt.UTC)
    return f"{short_day(at.date().isoformat())}, {at:%H:%M} UTC"


def is_on_day(edtf: str | None) -> bool:
    """True for one exact day."""
    return edtf_days.is_exact(edtf)


def task(identity: str | None) -> str:
    """A task's label: "Priming"."""
    return built_in().tasks.get(identity or "", identity or "no task said")


def done(identity: str | None) -> str:
    """A task in the past: "primed"."""
    return DONE.get(identity or "", (identity or "worked on").replace("-", " "))


def assembly(identity: str | None) -> str:
    """An assembly's label: "Horizontal stabilizer"."""
    if not identity:
        return "No assembly said"
    known = built_in().assemblies.get(identity)
    return known.label if known else identity


def thing(row: dict[str, object]) -> str:
    """What a record is about: "left flap rib", "rudder: skin" where the name does not tell the assembly."""
    part, where = str(row.get("part") or ""), str(row.get("assembly") or "")
    side = {"left": "left ", "right": "right ", "both": "left and right "}.get(str(row.get("side")), "")
    told = assembly(where).lower() if where else ""
    if not part:
        return side + told if told else "something not named"
    if told and not set(re.findall(r"\w+", told)) & set(re.findall(r"\w+", part.lower())):
        return f"{side}{part} ({told})"
    return side + part


def who(row: Mapping[str, object]) -> str:
    """Who did it: "builder", "Gwen, unpaid helper", "a shop, for hire"."""
    kind, person = row.get("who"), row.get("person")
    role = WHO.get(str(kind), "") if kind else ""
    if person and role:
        return f"{person}, {role}"
    return str(person or role or "nobody named")


def by(row: Mapping[str, object]) -> str:
    """Who did it, in a sentence: "by the builder", "by Gwen, unpaid helper", "for hire, by nobody named"."""
    kind, person = row.get("who"), row.get("person")
    if person:
        return f"by {who(row)}"
    return {"builder": "by the builder", "helper": "by an unpaid helper", "maker": "by the maker of the kit or part",
            "paid": "for hire, by nobody named"}.get(str(kind), "by nobody named")


def status(identity: str | None) -> str:
    """A standing in words."""
    return STATUS.get(identity or "", identity or "")


def caution(rows: Iterable[Mapping[str, object]]) -> str:
    """The usual caution where work is ahead that can hurt, else nothing."""
    return CAUTION if any(row.get("task") in HARMFUL for row in rows) else ""


def clock(seconds: float | None) -> str:
    """A time inside a recording: "1:05", "1:02:05"."""
    whole = int(seconds or 0)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"


def span(low: float | None, high: float | None, digits: int = 2) -> str:
    """A range as people write it: "18.00", "10.00 to 11.00"."""
    if low is None or high is None:
        return "no amount said"
    first, last = (f"{value:,.{digits}f}" for value in (low, high))
    return first if first == last else f"{first} to {last}"


def hours(low: float | None, high: float | None) -> str:
    """A length of work: "3 hours", "1.5 hours", "2 to 3 hours"."""
    if low is None or high is None:
        return "no hours said"
    first, last = (f"{value:,.2f}".rstrip("0").rstrip(".") for value in (low, high))
    return f"{first} {'hour' if first == '1' else 'hours'}" if first == last else f"{first} to {last} hours"


def sure(confidence: float | None) -> str:
    """How sure the program is, in words; the thresholds are the pages' own."""
    value = confidence if confidence is not None else 1.0
    return "sure" if value >= 0.9 else "fairly sure" if value >= 0.75 else "not sure" if value >= 0.5 else "a guess"


def first_upper(text: str) -> str:
    """The text with a capital at its start, the rest as it is."""
    return text[:1].upper() + text[1:]


def plural(count: int, one: str, many: str = "") -> str:
    """"1 job", "3 jobs"."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"
