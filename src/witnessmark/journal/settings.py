"""`journal.toml`, the builder's settings: read, checked, and every fault named with its line and what is allowed."""
from __future__ import annotations

import datetime as dt
import difflib
import re
import tomllib
import zoneinfo
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NoReturn

from witnessmark.errors import JournalError
from witnessmark.model import Camera, Settings

NAME = "journal.toml"
JOURNAL_KEYS = ("title", "aircraft", "timezone", "currency", "builders", "helpers", "hired")
CAMERA_KEYS = ("model", "offset", "accepted")
VOCABULARY_KINDS = ("parts", "assemblies", "tasks", "tools", "materials", "consumables", "hardware", "safety_gear")
SECTIONS = ("journal", "camera", "speech", "vocabulary")
OFFSET = re.compile(r"(?P<sign>[+-]?)\s*(?=\d)(?:(?P<days>\d+)\s*d)?\s*(?:(?P<hours>\d+)\s*h)?\s*"
                    r"(?:(?P<minutes>\d+)\s*m(?:in)?)?\s*(?:(?P<seconds>\d+(?:\.\d+)?)\s*s)?")
OFFSET_HELP = 'an offset such as "+365d 7h", "-1h", "+2m 30s"'


class _Reader:
    """One settings file while it is being checked; it knows its text, so that faults can name their line."""

    def __init__(self, text: str) -> None:
        self.lines = text.splitlines()

    def fail(self, section: str, key: str | None, message: str, nth: int = 0) -> NoReturn:
        line = self.line_of(section, key, nth) or (self.line_of(f"{section}.{key}", None) if key else None)
        raise JournalError(f"{NAME}{f', line {line}' if line else ''}: {message}")

    def line_of(self, section: str, key: str | None, nth: int = 0) -> int | None:
        """The line of a key in the nth section of a name; of the section where the key is None or not found."""
        heading = re.compile(rf"\s*\[+\s*{re.escape(section)}\s*\]+")
        found, inside = None, -1
        for number, line in enumerate(self.lines, 1):
            if re.match(r"\s*\[", line):
                inside = inside + 1 if heading.match(line) else (inside if inside < nth else nth + 1)
                if heading.match(line) and inside == nth:
                    found = number
            elif key and found and inside == nth and re.match(rf"\s*[\"']?{re.escape(key)}[\"']?\s*[.=]", line):
                return number
        return found

    def text(self, section: str, table: dict[str, Any], key: str, default: str = "", nth: int = 0) -> str:
        value = table.get(key, default)
        if not isinstance(value, str):
            self.fail(section, key, f'{key} must be a text in quotes, such as {key} = "{value}"', nth)
        return value.strip()

    def names(self, section: str, table: dict[str, Any], key: str) -> tuple[str, ...]:
        value = table.get(key, [])
        if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
            self.fail(section, key, f'{key} must be a list of texts, such as {key} = ["one", "another"]')
        return tuple(name.strip() for name in value if name.strip())

    def only(self, section: str, table: Any, allowed: Iterable[str], nth: int = 0) -> dict[str, Any]:
        """`table`, provided that it is one and holds only the allowed keys."""
        if not isinstance(table, dict):
            self.fail(section, None, f"{section} must be a section: write [{section}] on a line of its own")
        for key in table:
            if key not in allowed:
                self.fail(section, key, f"{key} is no setting of [{section}]{_meant(key, allowed)}; allowed are "
                                        f"{', '.join(allowed)}", nth)
        return table


def _meant(given: str, allowed: Iterable[str]) -> str:
    close = difflib.get_close_matches(given, list(allowed), 1)
    return f" (did you mean {close[0]}?)" if close else ""


def read(path: Path) -> Settings:
    """The settings in a file. Raises JournalError, with the line and the allowed values, for what cannot be used."""
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except OSError as error:
        raise JournalError(f"{path} cannot be opened ({error.strerror}): check that it may be read") from None
    except UnicodeDecodeError as error:
        line = path.read_bytes()[:error.start].count(b"\n") + 1
        raise JournalError(f"{NAME}, line {line}: this is not UTF-8 text: save the file as UTF-8") from None
    return parse(text)


def parse(text: str) -> Settings:
    """The settings in a text of `journal.toml`. Raises JournalError."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise JournalError(f"{NAME}: {_toml_fault(str(error))}") from None
    reader = _Reader(text)
    for section in data:
        if section not in SECTIONS:
            where = next((number for number, line in enumerate(reader.lines, 1) if section in line), None)
            raise JournalError(f"{NAME}, line {where}: {section} is not known here{_meant(section, SECTIONS)}; "
                               "the sections are [journal], [[camera]], [speech] and [vocabulary.…]")
    main = reader.only("journal", data.get("journal", {}), JOURNAL_KEYS)
    return Settings(
        title=reader.text("journal", main, "title"), aircraft=reader.text("journal", main, "aircraft"),
        builders=reader.names("journal", main, "builders"), helpers=reader.names("journal", main, "helpers"),
        hired=reader.names("journal", main, "hired"),
        timezone=_timezone(reader, main), currency=_currency(reader, main),
        cameras=_cameras(reader, data.get("camera", [])), speech_model=_speech_model(reader, data.get("speech", {})),
        vocabulary=_vocabulary(reader, data.get("vocabulary", {})))


def _toml_fault(message: str) -> str:
    """tomllib's own words with the line in front: "Invalid value (at line 3, column 9)"."""
    found = re.search(r"\(at (line \d+), column \d+\)|\(at end of document\)", message)
    where = (found.group(1) or "last line") if found else "somewhere"
    said = re.sub(r"\s*\(at .*?\)$", "", message)
    return f'{where}: {said[:1].lower()}{said[1:]}: settings are written as name = "value"'


def _timezone(reader: _Reader, table: dict[str, Any]) -> str:
    name = reader.text("journal", table, "timezone", "UTC")
    try:
        zoneinfo.ZoneInfo(name)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        meant = _meant(name, zoneinfo.available_timezones())
        reader.fail("journal", "timezone", f'timezone "{name}" is not known{meant}; '
                    'allowed are the names of the IANA time zone database, such as "America/Denver" or "Europe/Berlin"')
    return name


def _currency(reader: _Reader, table: dict[str, Any]) -> str:
    code = reader.text("journal", table, "currency", "USD")
    if not re.fullmatch(r"[A-Z]{3}", code):
        reader.fail("journal", "currency", f'currency "{code}" is not known; '
                    'allowed are the three letters of ISO 4217, such as "USD", "CAD", "EUR", "GBP", "AUD", "NZD"')
    return code


def _cameras(reader: _Reader, tables: Any) -> tuple[Camera, ...]:
    if not isinstance(tables, list):
        reader.fail("camera", None, "cameras are written as [[camera]], with two brackets, one for each")
    cameras = []
    for nth, entry in enumerate(tables):
        table = reader.only("camera", entry, CAMERA_KEYS, nth)
        model = reader.text("camera", table, "model", nth=nth)
        if not model:
            reader.fail("camera", "model", 'a camera needs its model as its photos give it: model = "C200"', nth)
        offset = parse_offset(reader.text("camera", table, "offset", "0s", nth))
        if offset is None:
            reader.fail("camera", "offset", f'offset "{table["offset"]}" cannot be read; allowed is {OFFSET_HELP}', nth)
        cameras.append(Camera(model, offset, reader.text("camera", table, "accepted", nth=nth) or None))
    return tuple(cameras)


def parse_offset(text: str) -> dt.timedelta | None:
    """A signed length of time in days, hours, minutes and seconds ("+365d 7h"); None if it is none."""
    found = OFFSET.fullmatch(text.strip())
    if not found:
        return None
    parts = {name: float(found[name] or 0) for name in ("days", "hours", "minutes", "seconds")}
    try:
        length = dt.timedelta(**parts)
    except OverflowError:
        return None
    return -length if found["sign"] == "-" else length


def offset_text(length: dt.timedelta) -> str:
    """A length of time as `parse_offset` reads it, to the second: "+365d 7h", "-2m 30s"."""
    rest = round(abs(length.total_seconds()))
    parts = []
    for unit, seconds in (("d", 86_400), ("h", 3_600), ("m", 60), ("s", 1)):
        count, rest = divmod(rest, seconds)
        parts += [f"{count}{unit}"] if count else []
    return ("-" if length < dt.timedelta(0) else "+") + (" ".join(parts) or "0s")


def _speech_model(reader: _Reader, section: Any) -> str | None:
    return reader.text("speech", reader.only("speech", section, ("model",)), "model") or None


def _vocabulary(reader: _Reader, section: Any) -> dict[str, dict[str, tuple[str, ...]]]:
    kinds = reader.only("vocabulary", section, VOCABULARY_KINDS)
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for kind, table in kinds.items():
        name = f"vocabulary.{kind}"
        if not isinstance(table, dict):
            reader.fail("vocabulary", kind, f"{kind} must be a section: write [{name}] on a line of its own")
        found[kind] = {word: reader.names(name, table, word) for word in table}
    return found
