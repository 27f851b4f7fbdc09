"""One volume of the log, from plain values to PDF/A-2, by typst, in a process of its own.

The template is a file of this package; every text reaches it as a value of a JSON file, never as markup, so nothing
in a text can be executed. Typst keeps what it has laid out in memory, hence a process for each volume: memory is
bounded by a volume, whatever the length of the log.

PDF/A forbids characters that no font on the computer can draw. Those are shown by their code, as [U+1F600]; so are
characters that are invisible or turn the direction of what follows.
"""
from __future__ import annotations

import concurrent.futures
import datetime as dt
import json
import multiprocessing
import re
import tempfile
import unicodedata
from collections.abc import Iterator
from importlib import resources
from pathlib import Path
from typing import Any, Literal

from witnessmark.errors import WitnessmarkError

STANDARDS: tuple[Literal["a-2a"], Literal["ua-1"]] = ("a-2a", "ua-1")
"""ISO 19005-2 level A (for keeping, tagged) and ISO 14289-1 (accessible)."""
TEMPLATE = "log.typ"
DATA, PICTURES = "data.json", "pictures"
PICTURE_WIDTH, PICTURE_QUALITY = 420, 72  # pixels and JPEG quality: about 260 dots an inch in the log's column
MISSING = re.compile(r'the text `"((?:[^"\\]|\\.)*)"` could not be displayed')
ESCAPED = re.compile(r"\\u\{([0-9a-fA-F]+)\}")
WORDS_AT_ONCE = 4000
PROBE = b"""#set text(font: "Libertinus Serif", lang: "en")
#set document(title: "words")
#for word in json(bytes(sys.inputs.words)) [#text(word) ]
"""
LONG_TEXT, LONG = (44, 16), {"table": (22, 9), "title": (70, 70)}
"""Texts without a space that are longer than this may be broken every so many characters, so that none runs off."""
ROUNDS = 8  # of looking for characters without a glyph; each finds all that show at once, a second suffices mostly


def volume(data: dict[str, Any], thumbnails: Path, out: Path, made: dt.datetime) -> None:
    """Write one volume to `out`; pictures named in the data are taken from `thumbnails`, where they are there.

    Raises WitnessmarkError where typst is missing or refuses.
    """
    spawn = multiprocessing.get_context("spawn")
    with concurrent.futures.ProcessPoolExecutor(1, mp_context=spawn) as worker:
        try:
            worker.submit(write, data, thumbnails, out, made).result()
        except concurrent.futures.process.BrokenProcessPool:
            raise WitnessmarkError("the log could not be set: the computer ran out of memory or stopped the process; "
                                   "try again with --no-pictures or a shorter period") from None


def write(data: dict[str, Any], thumbnails: Path, out: Path, made: dt.datetime) -> None:
    """The same in this process."""
    try:
        import typst
    except ImportError:
        raise WitnessmarkError('the log needs typst: pip install "witnessmark[evidence]"') from None
    with tempfile.TemporaryDirectory(prefix="witnessmark-log-") as place:
        root = Path(place)
        template = root / TEMPLATE
        template.write_bytes(resources.files(__package__).joinpath("data", TEMPLATE).read_bytes())
        data = _with_pictures(data, thumbnails, root / PICTURES)
        data = visible(data)
        data["sections"] = [breakable(section, *LONG.get(section["kind"], LONG_TEXT)) for section in data["sections"]]
        data = replaced(data, without_glyph(data))
        for _ in range(ROUNDS):
            (root / DATA).write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
            try:
                typst.compile(str(template), output=str(out), root=str(root), timestamp=made,
                              pdf_standards=list(STANDARDS))
                return
            except typst.TypstError as error:
                lacking = _lacking(error.diagnostic)
                if not lacking:
                    raise WitnessmarkError(f"the log could not be set ({error.message}): please report it") from None
                data = replaced(data, lacking)
        raise WitnessmarkError("the log could not be set: its texts hold characters that no font here can draw; "
                               "install more fonts")


def _with_pictures(data: dict[str, Any], thumbnails: Path, place: Path) -> dict[str, Any]:
    """The data with only those pictures that can be shown, small copies of which are put into `place`."""
    place.mkdir()
    shown: dict[str, str | None] = {}
    for item in _entries(data):
        name = item["picture"]
        if name and name not in shown:
            shown[name] = _small(thumbnails / name, place / f"{len(shown)}.jpg")
        item["picture"] = shown.get(name) if name else None
    return data


def _entries(data: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for section in data["sections"]:
        for day in section.get("days", ()):
            yield from day["entries"]


def _small(picture: Path, copy: Path) -> str | None:
    """The picture's path in the template's folder; None where the file is missing or no picture."""
    from PIL import Image

    try:
        with Image.open(picture) as image:
            image.thumbnail((PICTURE_WIDTH, PICTURE_WIDTH))
            image.convert("RGB").save(copy, "JPEG", quality=PICTURE_QUALITY)
    except (OSError, ValueError, Image.DecompressionBombError):
        return None
    return f"{copy.parent.name}/{copy.name}"


def visible(value: Any) -> Any:
    """A JSON value in which every text shows its control characters by their code; line ends are spaces."""
    if isinstance(value, str):
        return "".join(map(_visible, value)) if not value.isprintable() else value
    if isinstance(value, list | tuple):
        return [visible(item) for item in value]
    if isinstance(value, dict):
        return {key: visible(item) for key, item in value.items()}
    return value


def _visible(character: str) -> str:
    if character in "\n\r\t\u2028\u2029":
        return " "
    # Cc controls, Cf invisible and direction marks, Cs and Co and Cn what is no character; joiners shape letters.
    hidden = unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn") and character not in "\u200c\u200d\u00ad"
    return code(character) if hidden else character


def breakable(value: Any, longest: int, every: int) -> Any:
    """A JSON value whose long words may be broken (by a zero-width space) after every so many characters."""
    if isinstance(value, str):
        return re.sub(rf"\S{{{longest + 1},}}", lambda word: "\u200b".join(
            word[0][at:at + every] for at in range(0, len(word[0]), every)), value)
    if isinstance(value, list):
        return [breakable(item, longest, every) for item in value]
    if isinstance(value, dict):
        return {key: item if key == "picture" else breakable(item, longest, every) for key, item in value.items()}
    return value


def code(character: str) -> str:
    return f"[U+{ord(character):04X}]"


def replaced(value: Any, lacking: frozenset[str]) -> Any:
    """A JSON value whose texts show the lacking characters by their code."""
    if not lacking:
        return value
    table = str.maketrans({character: code(character) for character in lacking})
    if isinstance(value, str):
        return value.translate(table)
    if isinstance(value, list):
        return [replaced(item, lacking) for item in value]
    if isinstance(value, dict):
        return {key: replaced(item, lacking) for key, item in value.items()}
    return value


def without_glyph(data: dict[str, Any]) -> frozenset[str]:
    """The characters in the data's texts that no font here can draw, found by setting the unusual words alone."""
    found = sorted({word for text in _texts(data) if not text.isascii()
                    for word in text.split() if not word.isascii()})
    lacking: frozenset[str] = frozenset()
    for start in range(0, len(found), WORDS_AT_ONCE):
        lacking |= _without_glyph(found[start:start + WORDS_AT_ONCE])
    return lacking


def _without_glyph(found: list[str]) -> frozenset[str]:
    import typst

    lacking: frozenset[str] = frozenset()
    for _ in range(ROUNDS):
        texts = replaced(found, lacking)
        try:
            typst.compile(PROBE, sys_inputs={"words": json.dumps(texts, ensure_ascii=False)}, timestamp=0,
                          pdf_standards=list(STANDARDS))
            break
        except typst.TypstError as error:
            more = _lacking(error.diagnostic)
            if not more - lacking:
                break
            lacking |= more
    return lacking


def _lacking(diagnostic: str) -> frozenset[str]:
    """The characters that typst's diagnostic says cannot be displayed."""
    texts = (ESCAPED.sub(lambda found: chr(int(found[1], 16)), text) for text in MISSING.findall(diagnostic))
    return frozenset(character for text in texts for character in text if not character.isascii())


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, list | dict):
        for item in value.values() if isinstance(value, dict) else value:
            yield from _texts(item)
