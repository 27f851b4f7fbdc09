"""Captions, keywords and times in XMP (ISO 16684-1) and IPTC (IIM 4.2), inside a picture or in a sidecar."""
from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring
from PIL import Image, IptcImagePlugin

from witnessmark.media.exif import decode, parse_when
from witnessmark.media.moments import Found
from witnessmark.model import Basis

RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}"
DC = "{http://purl.org/dc/elements/1.1/}"
XMP = "{http://ns.adobe.com/xap/1.0/}"
PHOTOSHOP = "{http://ns.adobe.com/photoshop/1.0/}"
EXIF = "{http://ns.adobe.com/exif/1.0/}"
LIGHTROOM = "{http://ns.adobe.com/lightroom/1.0/}"

CAPTION_NAMES = (DC + "description", PHOTOSHOP + "Headline", DC + "title", EXIF + "UserComment")
KEYWORD_NAMES = (DC + "subject", LIGHTROOM + "hierarchicalSubject")
TIME_NAMES = (EXIF + "DateTimeOriginal", PHOTOSHOP + "DateCreated", XMP + "CreateDate")
LONGEST = 2_000
MOST_KEYWORDS = 64


@dataclass(frozen=True, slots=True)
class Labels:
    """What people wrote beside a picture: captions best first, keywords, and the time it is said to be from."""

    captions: tuple[str, ...] = ()
    keywords: tuple[str, ...] = ()
    taken: Found | None = None
    problems: tuple[str, ...] = ()


def from_xmp(packet: bytes | str, basis: Basis = "xmp") -> Labels:
    """Read an XMP packet; entities and external references are refused (they have no place in it)."""
    raw = packet.encode() if isinstance(packet, str) else packet
    try:
        tree = fromstring(raw.strip(b"\0 \r\n\t"))
    except (ParseError, DefusedXmlException, ValueError, LookupError):
        return Labels(problems=("XMP is damaged: its captions cannot be read",))
    values: dict[str, list[str]] = {}
    for description in tree.iter(RDF + "Description"):
        for name, value in description.attrib.items():
            values.setdefault(name, []).append(value)
        for child in description:
            values.setdefault(child.tag, []).extend(_items(child))
    captions = [value for name in CAPTION_NAMES for value in values.get(name, [])]
    keywords = [value.split("|")[-1] for name in KEYWORD_NAMES for value in values.get(name, [])]
    return Labels(distinct(captions), distinct(keywords)[:MOST_KEYWORDS], _taken(values, basis))


def _items(node: Element) -> list[str]:
    """The text of a property: its own, that of the items of its list, or of several languages the default one."""
    items = node.findall(f"*/{RDF}li")
    if not items:
        return [node.text or ""]
    language = "{http://www.w3.org/XML/1998/namespace}lang"
    items.sort(key=lambda item: item.get(language, "x-default") != "x-default")
    return [item.text or "" for item in (items[:1] if node.find(RDF + "Alt") is not None else items)]


def _taken(values: dict[str, list[str]], basis: Basis) -> Found | None:
    for name in TIME_NAMES:
        for written in values.get(name, []):
            parsed = parse_when(written)
            if parsed:
                when, precision = parsed
                return Found(when, precision, basis, "offset" if when.tzinfo else "none")  # type: ignore[arg-type]
    return None


def from_iptc(image: Image.Image) -> Labels:
    """Read the IPTC records of an opened JPEG or TIFF."""
    try:
        info: dict[tuple[int, int], Any] = IptcImagePlugin.getiptcinfo(image) or {}  # type: ignore[arg-type]
    except Exception:  # Pillow raises whatever a damaged record leads it to
        return Labels(problems=("IPTC is damaged: its captions cannot be read",))
    captions = [word for key in ((2, 120), (2, 105), (2, 5)) for word in _words(info.get(key))]
    return Labels(distinct(captions), distinct(_words(info.get((2, 25))))[:MOST_KEYWORDS], _iptc_time(info))


def _words(value: Any) -> list[str]:
    if value is None:
        return []
    return [decode(item) for item in (value if isinstance(value, list) else [value]) if isinstance(item, bytes)]


def _iptc_time(info: dict[tuple[int, int], Any]) -> Found | None:
    """Date created (2:55) and time created (2:60), "20240309" and "164000-0700"."""
    day, clock = "".join(_words(info.get((2, 55)))[:1]), "".join(_words(info.get((2, 60)))[:1])
    if len(day) != 8 or not day.isdigit():
        return None
    written = f"{day[:4]}-{day[4:6]}-{day[6:]}"
    if len(clock) >= 6 and clock[:6].isdigit():
        written += f" {clock[:2]}:{clock[2:4]}:{clock[4:6]}{clock[6:]}"
    parsed = parse_when(written)
    if not parsed:
        return None
    when, precision = parsed
    return Found(when, precision, "exif", "offset" if when.tzinfo else "none", "from IPTC")  # type: ignore[arg-type]


def distinct(texts: Iterable[str]) -> tuple[str, ...]:
    """The texts without blanks and repetitions, in their order, each on one line and of bearable length."""
    found: dict[str, str] = {}
    for text in texts:
        clean = " ".join(text.split())[:LONGEST]
        if clean:
            found.setdefault(clean.casefold(), clean)
    return tuple(found.values())


def merge(*labels: Labels) -> Labels:
    """Several readings as one, the first ones first."""
    return Labels(distinct(text for label in labels for text in label.captions),
                  distinct(word for label in labels for word in label.keywords)[:MOST_KEYWORDS],
                  next((label.taken for label in labels if label.taken), None),
                  tuple(problem for label in labels for problem in label.problems))
