"""`corrections.jsonl`: what the builder put right or confirmed. Lines are only ever added; taking one back is one more.

A line is `{"id", "do", "kind", "sha256", "path", "start", "cue", "from", "to", "why", "when"}`:

- `do`: `change` (fields `to`), `confirm` (it is right as it stands), `reject` (it was never said or done), `add` (a
  record that the program did not find), `close` (an open item is done with), `word` (another spelling of a trade word:
  `kind` is a kind of `[vocabulary.…]`, `from` and `to` are `{"word"}`), `clock` (what has to be added to the clock of
  a camera: `from` is `{"model"}`, `to` is `{"offset"}` as in journal.toml), `undo` (the line whose id is in `to.id`);
- `kind`: acts, hours, purchases, open_items, photo_tags or camera;
- `sha256`, `start` (seconds), `cue`: the words that it is bound to, whatever the file is called now and with whichever
  weights it is heard again; `path` is where the file was, for people;
- `from`: the record's own fields as they were when it was corrected, by which it is found again.
"""
from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal, get_args

from witnessmark.journal import lines
from witnessmark.journal.register import now
from witnessmark.journal.settings import parse_offset
from witnessmark.model import Camera, Settings

Do = Literal["change", "confirm", "reject", "add", "close", "word", "clock", "undo"]


@dataclass(frozen=True, slots=True)
class Correction:
    """One line of the file, with its number."""

    id: str
    do: Do
    kind: str = ""
    sha256: str = ""
    path: str = ""
    start: float = 0.0
    cue: int | None = None
    from_: dict[str, Any] = field(default_factory=dict)
    to: dict[str, Any] = field(default_factory=dict)
    why: str = ""
    when: str = ""
    number: int = 0


@dataclass(frozen=True, slots=True)
class Corrections:
    """All lines in order, those that were taken back, and what could not be read."""

    lines: tuple[Correction, ...] = ()
    undone: frozenset[str] = frozenset()
    faults: tuple[str, ...] = ()
    key: str = ""

    @property
    def standing(self) -> tuple[Correction, ...]:
        """Those that still hold, in order."""
        return tuple(line for line in self.lines if line.do != "undo" and line.id not in self.undone)


def load(path: Path) -> Corrections:
    """Read the file. A line that is no correction is reported in `faults` and stays where it is."""
    found, faults = [], []
    for line in lines.read(path):
        correction = _parse(line)
        if correction is None:
            faults.append(f"{path.name}, line {line.number}: this is no correction: it is left aside")
        else:
            found.append(correction)
    key = hashlib.sha256(b"\n".join(line.id.encode() for line in found)).hexdigest()[:16] if found else ""
    return Corrections(tuple(found), _undone(found), tuple(faults), key)


def _parse(line: lines.Line) -> Correction | None:
    value = line.value
    if value is None or value.get("do") not in get_args(Do) or not isinstance(value.get("id"), str):
        return None
    fields = {name: value.get(name) for name in ("kind", "sha256", "path", "why", "when")}
    start, cue = value.get("start", 0.0), value.get("cue")
    from_, to = value.get("from", {}), value.get("to", {})
    if (not all(isinstance(text, str | None) for text in fields.values()) or not isinstance(start, int | float)
            or not isinstance(cue, int | None) or not isinstance(from_, dict) or not isinstance(to, dict)):
        return None
    texts = {name: text or "" for name, text in fields.items()}
    return Correction(value["id"], value["do"], start=float(start), cue=cue, from_=from_, to=to, number=line.number,
                      **texts)


def _undone(found: Iterable[Correction]) -> frozenset[str]:
    """The ids taken back; an undo that was itself taken back does not count."""
    undone: set[str] = set()
    for line in reversed(list(found)):
        if line.do == "undo" and line.id not in undone:
            undone.add(str(line.to.get("id")))
    return frozenset(undone)


def append(path: Path, correction: Correction) -> Correction:
    """Write one more line; the correction is returned with the id and the moment that it was given."""
    dated = dataclasses.replace(correction, when=correction.when or now())
    content = {"do": dated.do, "kind": dated.kind, "sha256": dated.sha256, "path": dated.path, "start": dated.start,
               "cue": dated.cue, "from": dated.from_, "to": dated.to, "why": dated.why, "when": dated.when}
    before = lines.count(path)
    digest = hashlib.sha256(json.dumps([before, content], sort_keys=True).encode()).hexdigest()[:12]
    lines.append(path, {"id": digest, **content})
    return dataclasses.replace(dated, id=digest, number=before + 1)


def in_force(settings: Settings, corrections: Corrections) -> Settings:
    """The settings with what the builder confirmed or accepted since: spellings, and the clocks of cameras."""
    return with_clocks(with_words(settings, corrections), corrections)


def with_clocks(settings: Settings, corrections: Corrections) -> Settings:
    """The settings with the camera clocks that the builder accepted; what journal.toml says of a camera comes first."""
    accepted: dict[str, Camera] = {}
    for line in corrections.standing:
        model, offset = str(line.from_.get("model", "")), parse_offset(str(line.to.get("offset", "")))
        if line.do == "clock" and model and offset is not None and settings.camera(model) is None:
            accepted[model.casefold()] = Camera(model, offset, line.when)
    return dataclasses.replace(settings, cameras=(*settings.cameras, *accepted.values())) if accepted else settings


def with_words(settings: Settings, corrections: Corrections) -> Settings:
    """The settings with the spellings that the builder confirmed added to his vocabulary."""
    vocabulary = {kind: dict(words) for kind, words in settings.vocabulary.items()}
    for line in corrections.standing:
        name, form = str(line.to.get("word", "")), str(line.from_.get("word", ""))
        if line.do == "word" and name and form:
            words = vocabulary.setdefault(line.kind, {})
            words[name] = tuple(dict.fromkeys((*words.get(name, ()), form)))
    return dataclasses.replace(settings, vocabulary=vocabulary)
