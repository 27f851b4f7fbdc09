"""The strip of the whole build: one bar a day, as tall as much was done, drawn as SVG that scales to any width."""
from __future__ import annotations

import datetime as dt
import itertools
from collections import Counter
from collections.abc import Sequence
from typing import Any

from markupsafe import Markup, escape

from witnessmark import words

HEIGHT, BASE, WIDE = 100, 84, 1000
NARROWEST = 16  # of the field behind the day that is shown, so that it is seen beside its bar
MOST_LINKED_DAYS = 150  # beyond this a day is too thin to be touched, and the strip leads to months
FULL_AT_LEAST = 4  # acts of the tallest bar, so that a day with one act in a quiet build does not look like a feat
MOST_MONTH_LABELS = 9
LABELLED_PARTS = 4  # months that a year must have in the strip to be named under it


def draw(days: Sequence[dict[str, Any]], here: str = "") -> dict[str, Any] | None:
    """`svg` (with links that scale), `labels` (text, share of the width, link) and the first and last day.

    `days` are those of `page_days.bars`; `here` is the day, month or year that is being shown. None for no days.
    """
    if not days:
        return None
    first, last = (dt.date.fromisoformat(days[at]["day"]) for at in (0, -1))
    first = first.replace(day=1)
    last = (last.replace(day=28) + dt.timedelta(days=4)).replace(day=1) - dt.timedelta(days=1)
    scale = _Scale(first, (last - first).days + 1)
    tallest = max(FULL_AT_LEAST, *(day["own"] + day["others"] for day in days))
    drawn = [*_ground(scale, here), _bars(days, scale, tallest), *_links(days, scale)]
    svg = Markup('<svg class="strip" viewBox="0 0 {} {}" preserveAspectRatio="none" aria-hidden="true" '
                 'focusable="false">{}</svg>').format(WIDE, HEIGHT, Markup("").join(drawn))
    return {"svg": svg, "labels": _labels(scale), "first": days[0]["day"], "last": days[-1]["day"]}


class _Scale:
    """Days to places along the strip."""

    def __init__(self, first: dt.date, count: int) -> None:
        self.first, self.count = first, count
        self.last = first + dt.timedelta(days=count - 1)
        self.day = WIDE / count

    def x(self, day: dt.date | str) -> float:
        at = dt.date.fromisoformat(day) if isinstance(day, str) else day
        return round((at - self.first).days * self.day, 2)


def _ground(scale: _Scale, here: str) -> list[Markup]:
    """The base line, and what is being shown as a pale field."""
    drawn = []
    if here:
        begin, end = _bounds(here, scale)
        wider = max(NARROWEST - (end - begin), 0) / 2
        drawn.append(Markup('<rect class="here" x="{}" y="0" width="{}" height="{}"/>').format(
            round(begin - wider, 2), round(end - begin + 2 * wider, 2), HEIGHT))
    drawn.append(Markup('<line class="base" x1="0" x2="{}" y1="{}" y2="{}"/>').format(WIDE, BASE, BASE))
    return drawn


def _bounds(here: str, scale: _Scale) -> tuple[float, float]:
    """The begin and end along the strip of a day, month or year."""
    begin = dt.date.fromisoformat((here + "-01-01")[:10] if len(here) == 4 else (here + "-01")[:10])
    days = 366 if len(here) == 4 else 31 if len(here) == 7 else 1
    end = begin + dt.timedelta(days=days)
    if len(here) < 10:
        end = end.replace(day=1)
    return max(scale.x(begin), 0), min(scale.x(end), WIDE)


def _bars(days: Sequence[dict[str, Any]], scale: _Scale, tallest: int) -> Markup:
    """All bars as two paths (the builder's work, the others' on top of it) and the pictures as ticks below."""
    width = max(scale.day * 0.72, 1.0)
    own, others, ticks = [], [], []
    for day in days:
        x = round(scale.x(day["day"]) + scale.day / 2, 2)
        middle = BASE - 80 * day["own"] / tallest
        top = middle - 80 * day["others"] / tallest
        if day["own"]:
            own.append(f"M{x} {BASE}V{middle:.1f}")
        if day["others"]:
            others.append(f"M{x} {middle:.1f}V{top:.1f}")
        if day["pictures"] or day["clips"]:
            ticks.append(f"M{x} {BASE + 5}v9")
    drawn = Markup('<path class="{}" stroke-width="{}" d="{}"/>')
    return Markup("").join(drawn.format(name, round(width, 2), "".join(path))
                           for name, path in (("own", own), ("others", others), ("tick", ticks)) if path)


def _links(days: Sequence[dict[str, Any]], scale: _Scale) -> list[Markup]:
    """Fields that lead to a day, or to a month in a long build, reaching half-way to their neighbours."""
    if len(days) > MOST_LINKED_DAYS:
        return [_link(f"/days/{month}", words.month(month), *_bounds(month, scale)) for month in _months(scale)]
    places = [scale.x(day["day"]) + scale.day / 2 for day in days]
    edges = [0.0, *((one + two) / 2 for one, two in itertools.pairwise(places)), float(WIDE)]
    return [_link(f"/days/{day['day']}", f"{words.short_day(day['day'])}: {_told(day)}", edges[at], edges[at + 1])
            for at, day in enumerate(days)]


def _link(target: str, title: str, begin: float, end: float) -> Markup:
    return Markup('<a href="{}" tabindex="-1"><rect class="touch" x="{}" y="0" width="{}" height="{}">'
                  "<title>{}</title></rect></a>").format(target, round(begin, 2), round(max(end - begin, 0), 2), HEIGHT,
                                                         escape(title))


def _told(day: dict[str, Any]) -> str:
    parts = [words.plural(day["own"], "job") + " by the builder" if day["own"] else "",
             words.plural(day["others"], "job") + " by others" if day["others"] else "",
             words.plural(day["pictures"], "picture") if day["pictures"] else ""]
    return ", ".join(part for part in parts if part) or "talk only"


def _months(scale: _Scale) -> list[str]:
    found, at = [], scale.first
    while at <= scale.last:
        found.append(f"{at:%Y-%m}")
        at = (at.replace(day=28) + dt.timedelta(days=4)).replace(day=1)
    return found


def _labels(scale: _Scale) -> list[dict[str, Any]]:
    """Months where they have room, else years; `parts` is how many months wide each is, `short` is for a phone."""
    months = _months(scale)
    if len(months) <= MOST_MONTH_LABELS:
        named = [(words.month(month), month) for month in months]
        return [_label(name[:3], name[:3], name, month, 1) for name, month in named]
    years = Counter(month[:4] for month in months)
    # A year with only a month or two in the build has no room for its name; its field leads there all the same.
    return [_label(year, f"’{year[2:]}", year, year, parts) if parts >= LABELLED_PARTS else
            _label("", "", year, year, parts) for year, parts in years.items()]


def _label(text: str, short: str, whole: str, target: str, parts: int) -> dict[str, Any]:
    return {"text": text, "short": short, "whole": whole, "href": f"/days/{target}", "parts": parts}
