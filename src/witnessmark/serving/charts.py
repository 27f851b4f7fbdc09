"""Bar charts of the ledgers, drawn by matplotlib as SVG that stands in a page: no style of its own, links on its bars.

Months stand side by side in their order; other groups lie under one another, the largest first, with their names in
full. What others did stands on what the builder did in another colour, never mixed with it. Colours come from the page
(classes), so that one drawing serves light and dark.
"""
from __future__ import annotations

import functools
import io
import re
import threading
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from typing import Any, NamedTuple

from markupsafe import Markup

SVG, XLINK = "http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink"
DPI = 72
SHAPES = {"wide": (13.0, 4.6, 15), "narrow": (5.2, 5.2, 17)}  # inches wide and high, points of the letters
MOST_LABELS = {"wide": 12, "narrow": 4}
MOST_GROUPS = 20  # bars of a chart by size; the table under it has all groups
BAR_HEIGHT, MARGIN = 0.42, 0.7  # inches
LONGEST_NAME = {"wide": 34, "narrow": 16}
THICK = 0.7
DARK_INK, BAR, OTHERS, RANGE = "#010101", "#020202", "#040404", "#030303"
CLASS_OF = {DARK_INK: "ink", BAR: "bar", OTHERS: "others", RANGE: "range"}
SLANTED: dict[str, Any] = {"rotation": 45, "ha": "right", "rotation_mode": "anchor"}
DROPPED = ("metadata",)
_lock = threading.Lock()  # matplotlib's fonts and text cache are not made for several threads


class Bar(NamedTuple):
    """One group: what is sure of it, of which `others` is not the builder's, and how much more it may be."""

    name: str
    link: str
    low: float
    high: float
    others: float = 0.0

    def told(self, unit: str) -> str:
        """The bar in words."""
        more = f" to {self.high:g}" if self.high != self.low else ""
        return f"{self.name}: {self.low:g}{more} {unit}{f', {self.others:g} of it by others' if self.others else ''}"


def bars(title: str, about: str, found: Sequence[Bar], unit: str, by_size: bool = False) -> Markup:
    """A chart in two widths, of which the page shows one; "" for no bars."""
    if not found:
        return Markup("")
    shown = tuple(sorted(found, key=lambda bar: -bar.high)[:MOST_GROUPS] if by_size else found)
    return Markup("").join(Markup(_drawn(title, about, shown, unit, shape, by_size)) for shape in SHAPES)


@functools.lru_cache(maxsize=64)
def _drawn(title: str, about: str, found: tuple[Bar, ...], unit: str, shape: str, by_size: bool) -> str:
    with _lock:
        text = _figure(found, unit, shape, by_size)
    return _fit_for_page(text, title, about, shape, {bar.link: bar.told(unit) for bar in found})


def _figure(found: tuple[Bar, ...], unit: str, shape: str, by_size: bool) -> str:
    import matplotlib as mpl
    from matplotlib.figure import Figure

    wide, high, points = SHAPES[shape]
    if by_size:
        high = len(found) * BAR_HEIGHT + MARGIN
    with mpl.rc_context({"svg.fonttype": "none", "font.size": points, "font.family": "sans-serif",
                         "svg.hashsalt": shape, "axes.edgecolor": DARK_INK, "text.color": DARK_INK,
                         "axes.labelcolor": DARK_INK, "xtick.color": DARK_INK, "ytick.color": DARK_INK}):
        figure = Figure(figsize=(wide, high), dpi=DPI, layout="constrained")
        axes = figure.add_subplot()
        _put_bars(axes, found, by_size)
        (_name_rows if by_size else _name_columns)(axes, found, unit, shape)
        axes.spines[["top", "right"]].set_visible(False)
        figure.patch.set_visible(False)
        axes.patch.set_visible(False)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue()


def _put_bars(axes: Any, found: tuple[Bar, ...], lying: bool) -> None:
    """The bars with their links: the builder's part, the others' on it, and open above them what it may be more."""
    layers: list[tuple[list[float], list[float], dict[str, Any]]] = [
        ([bar.low - bar.others for bar in found], [0.0 for _ in found], {"color": BAR}),
        ([bar.others for bar in found], [bar.low - bar.others for bar in found], {"color": OTHERS}),
        ([bar.high - bar.low for bar in found], [bar.low for bar in found],
         {"facecolor": "none", "edgecolor": RANGE, "linewidth": 1.5, "linestyle": "--"})]
    for number, (lengths, starts, look) in enumerate(layers):
        kept = [at for at, length in enumerate(lengths) if length or number == 0]
        sizes, begins = [lengths[at] for at in kept], [starts[at] for at in kept]
        drawn = (axes.barh(kept, sizes, left=begins, height=THICK, **look) if lying
                 else axes.bar(kept, sizes, bottom=begins, width=THICK, **look))
        for patch, at in zip(drawn, kept, strict=True):
            patch.set_url(found[at].link)


def _name_columns(axes: Any, found: tuple[Bar, ...], unit: str, shape: str) -> None:
    step = -(-len(found) // MOST_LABELS[shape])
    slanted = {} if len(found) <= 6 and shape == "wide" else SLANTED
    axes.set_xticks(list(range(len(found)))[::step], [_short(bar.name) for bar in found][::step], **slanted)
    axes.set_ylabel(unit)


def _name_rows(axes: Any, found: tuple[Bar, ...], unit: str, shape: str) -> None:
    longest = LONGEST_NAME[shape]
    names = [bar.name if len(bar.name) <= longest else bar.name[:longest - 1] + "…" for bar in found]
    axes.set_yticks(range(len(found)), names)
    axes.locator_params(axis="x", nbins=5)
    axes.set_ylim(len(found) - 0.5, -0.5)  # the first on top
    axes.set_xlabel(unit)


def _short(name: str) -> str:
    found = re.fullmatch(r"([A-Z][a-z]{2})[a-z]* (\d{4})", name)
    return f"{found[1]} {found[2]}" if found else name


def _fit_for_page(text: str, title: str, about: str, shape: str, named: dict[str, str]) -> str:
    """The drawing as part of a page: named for readers, its style as attributes and classes, bars as links."""
    ET.register_namespace("", SVG)
    ET.register_namespace("xlink", XLINK)
    root = ET.fromstring(text[text.index("<svg"):])
    _strip(root, f"{shape}-")
    for link in root.iter(f"{{{SVG}}}a"):
        link.set("aria-label", named[link.attrib["href"]])
        ET.SubElement(link, f"{{{SVG}}}title").text = named[link.attrib["href"]]
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
