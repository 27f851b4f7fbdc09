"""Bar charts of the ledgers, drawn by matplotlib as SVG that stands in a page: no style of its own, links on its bars.

Colours come from the page (classes), so that one drawing serves light and dark.
"""
from __future__ import annotations

import functools
import io
import re
import threading
import xml.etree.ElementTree as ET
from typing import Any

from markupsafe import Markup

SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
DPI = 72
SHAPES = {"wide": (13.0, 4.6, 14), "narrow": (5.2, 5.2, 14)}  # inches wide and high, points of the letters
MOST_LABELS = {"wide": 12, "narrow": 5}
DARK_INK, BAR, RANGE = "#010101", "#020202", "#030303"
CLASS_OF = {DARK_INK: "ink", BAR: "bar", RANGE: "range"}
SLANTED: dict[str, Any] = {"rotation": 45, "ha": "right", "rotation_mode": "anchor"}
DROPPED = ("metadata",)
_lock = threading.Lock()  # matplotlib's fonts and text cache are not made for several threads

Bar = tuple[str, float, float, str]


def bars(title: str, about: str, found: tuple[Bar, ...], unit: str) -> Markup:
    """A chart in two widths, of which the page shows one. `found` are (name, low, high, link)."""
    if not found:
        return Markup("")
    return Markup("").join(Markup(_drawn(title, about, found, unit, shape)) for shape in SHAPES)


@functools.lru_cache(maxsize=64)
def _drawn(title: str, about: str, found: tuple[Bar, ...], unit: str, shape: str) -> str:
    with _lock:
        text = _figure(found, unit, shape)
    named = {link: f"{name}: {low:g}{f' to {high:g}' if high != low else ''} {unit}" for name, low, high, link in found}
    return _fit_for_page(text, title, about, shape, named)


def _figure(found: tuple[Bar, ...], unit: str, shape: str) -> str:
    import matplotlib as mpl
    from matplotlib.figure import Figure

    wide, high, points = SHAPES[shape]
    with mpl.rc_context({"svg.fonttype": "none", "font.size": points, "font.family": "sans-serif",
                         "svg.hashsalt": shape, "axes.edgecolor": DARK_INK, "text.color": DARK_INK,
                         "axes.labelcolor": DARK_INK, "xtick.color": DARK_INK, "ytick.color": DARK_INK}):
        figure = Figure(figsize=(wide, high), dpi=DPI, layout="constrained")
        axes = figure.add_subplot()
        _put_bars(axes, found)
        step = -(-len(found) // MOST_LABELS[shape])
        axes.set_xticks(list(range(len(found)))[::step], [_short(name) for name, *_ in found][::step],
                        **({} if len(found) <= 6 and shape == "wide" else SLANTED))
        axes.set_ylabel(unit)
        axes.spines[["top", "right"]].set_visible(False)
        figure.patch.set_visible(False)
        axes.patch.set_visible(False)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _put_bars(axes: Any, found: tuple[Bar, ...]) -> None:
    """The bars with their links: the sure part of a range full, what may be more open above it."""
    ranges = [(at, bar) for at, bar in enumerate(found) if bar[1] != bar[2]]
    sure = axes.bar(range(len(found)), [low for _, low, _, _ in found], color=BAR, width=0.7)
    more = axes.bar([at for at, _ in ranges], [upper - low for _, (_, low, upper, _) in ranges],
                    bottom=[low for _, (_, low, _, _) in ranges], facecolor="none", edgecolor=RANGE, linewidth=1.5,
                    linestyle="--", width=0.7)
    for patch, bar in zip([*sure, *more], [*found, *(bar for _, bar in ranges)], strict=True):
        patch.set_url(bar[3])


def _short(name: str) -> str:
    found = re.fullmatch(r"([A-Z][a-z]{2})[a-z]* (\d{4})", name)
    if found:
        return f"{found[1]} {found[2]}"
    return name if len(name) <= 18 else name[:17] + "…"


def _fit_for_page(text: str, title: str, about: str, shape: str, named: dict[str, str]) -> str:
    """The drawing as part of a page: named for readers, its style as attributes and classes, bars as links."""
    ET.register_namespace("", SVG)
    ET.register_namespace("xlink", XLINK)
    root = ET.fromstring(text[text.index("<svg"):])
    _strip(root, f"{shape}-")
    for link in root.iter(f"{{{SVG}}}a"):
        link.set("aria-label", named[link.attrib["href"]])
    for name in ("width", "height"):
        root.attrib.pop(name, None)
    root.set("class", "chart narrow" if shape == "narrow" else "chart wide-only")
    root.set("role", "group")
    root.set("aria-labelledby", f"{shape}-title {shape}-about")
    for at, (tag, words) in enumerate((("title", title), ("desc", about))):
        element = ET.Element(f"{{{SVG}}}{tag}", {"id": f"{shape}-{'title' if tag == 'title' else 'about'}"})
        element.text = words
        root.insert(at, element)
    return ET.tostring(root, encoding="unicode")


def _strip(element: Any, prefix: str) -> None:
    """Style attributes to presentation attributes, colours to classes, ids made the drawing's own; recursively."""
    for child in list(element):
        if child.tag.rpartition("}")[2] in DROPPED or child.tag == f"{{{SVG}}}style":
            element.remove(child)
        else:
            _strip(child, prefix)
    for name, value in _styles(element.attrib.pop("style", "")):
        element.set(name, value)
    for name in ("fill", "stroke"):
        colour = element.attrib.get(name)
        if colour in CLASS_OF:
            del element.attrib[name]
            element.set("class", f"{element.get('class', '')} {name}-{CLASS_OF[colour]}".strip())
    for name, value in list(element.attrib.items()):
        if name == "id":
            element.set(name, prefix + value)
        elif name == f"{{{XLINK}}}href" and element.tag == f"{{{SVG}}}a":
            for old in (name, "target"):
                element.attrib.pop(old, None)
            element.set("href", value)
            element.set("tabindex", "-1")  # the table below leads to the same lines, without a stop for each bar
        elif "#" in value and name not in ("fill", "stroke", "href"):
            element.set(name, re.sub(r"#(?=[A-Za-z])", f"#{prefix}", value))


def _styles(style: str) -> list[tuple[str, str]]:
    found = []
    for part in style.split(";"):
        name, _, value = (piece.strip() for piece in part.partition(":"))
        if name == "font":
            size = re.match(r"(?:\w+ )*?([\d.]+px)", value)
            found += [("font-size", size[1])] if size else []
        elif name:
            found.append((name, value))
    return found
