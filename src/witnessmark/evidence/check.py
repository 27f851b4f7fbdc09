"""Checking: a bag against itself, the register's chain, and both against the folder; everything odd is named.

Any bag is checked as the bagit library does it. A bag that this program made is checked byte by byte beyond that (its
tag manifest, which no other file covers, can only be what it is), and compared with the journal's folder: what was
changed, added, moved or lost since, in the originals, the register and the corrections.
"""
from __future__ import annotations

import dataclasses
import hashlib
import json
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from witnessmark.errors import WitnessmarkError
from witnessmark.evidence import bag
from witnessmark.evidence.payload import ABOUT, hash_of_lines
from witnessmark.journal import lines, register, scan
from witnessmark.journal import settings as settings_file
from witnessmark.journal.folder import CORRECTIONS, REGISTER
from witnessmark.media import sha256_of
from witnessmark.pipeline.progress import Progress, Silent
from witnessmark.plugins import kind_of

CHANGED, ADDED, LOST, MOVED, BROKEN = "changed", "added", "lost", "moved", "broken"
BAG, FOLDER = "bag", "folder"
HARMLESS = (ADDED, MOVED)  # in the folder: a journal grows, and files are put in order; settings change, too
ORIGINALS = "originals.jsonl"
HEAD_DIGITS = 16  # of a hash as the log's pages bear it at their foot


@dataclass(frozen=True, slots=True)
class Finding:
    """One difference: `what` happened to `path` (with its line, in a ledger), `where`, and why that is known."""

    what: str
    where: str
    path: str
    detail: str

    @property
    def is_fault(self) -> bool:
        return self.where == BAG or not (self.what in HARMLESS or self.path == settings_file.NAME)


@dataclass(frozen=True, slots=True)
class Report:
    """All findings; `compared` tells whether there was a folder to compare with."""

    findings: tuple[Finding, ...]
    compared: bool

    @property
    def is_good(self) -> bool:
        return not any(finding.is_fault for finding in self.findings)

    def as_row(self) -> dict[str, Any]:
        return {"good": self.is_good, "compared_with_folder": self.compared,
                "findings": [dataclasses.asdict(finding) for finding in self.findings]}


def check(place: Path, root: Path | None = None, progress: Progress | None = None) -> Report:
    """Check the bag at `place`, and compare it with the journal's folder `root`. Raises WitnessmarkError for no bag."""
    place = place.expanduser().absolute()
    if not (place / "data").is_dir() and not (place / bag.DECLARATION).is_file():
        raise WitnessmarkError(f"{place} is no bag: give the folder that holds {bag.DECLARATION}")
    watched = progress or Silent()
    found = [*_itself(place, watched), *_chain(place / "data" / REGISTER, BAG)]
    about = _about(place)
    if root and about is None:
        found.append(Finding(LOST, BAG, f"data/{ABOUT}", "this bag cannot be compared with the folder: "
                                                         "it is damaged, or another program made it"))
    elif root and about is not None:
        found += [*_chain(root / REGISTER, FOLDER), *_register(place / "data" / REGISTER, root / REGISTER),
                  *_corrections(about, root / CORRECTIONS), *_settings(about, root), *_originals(place, root, watched)]
    return Report(tuple(dict.fromkeys(found)), root is not None and about is not None)


def _itself(place: Path, watched: Progress) -> Iterator[Finding]:
    bagit = bag.library()
    try:
        opened = bagit.Bag(str(place))
    except (bagit.BagError, ValueError, OSError, LookupError) as error:
        yield Finding(BROKEN, BAG, _named(place, str(error)), f"the bag cannot be read: {error}")
        opened = None
    listed: dict[str, dict[str, str]] = opened.entries if opened else _listed(place)
    yield from _entries(place, listed, watched)
    if opened:
        try:
            opened.validate(completeness_only=True)
        except (bagit.BagError, ValueError, OSError) as error:
            if not getattr(error, "details", None):
                yield Finding(BROKEN, BAG, bag.INFO if "Oxum" in str(error) else bag.DECLARATION, str(error))
    yield from _own_manifests(place, opened)


def _named(place: Path, message: str) -> str:
    """The tag file that an error of the library speaks of."""
    names = sorted((entry.name for entry in place.iterdir() if entry.is_file()), key=len, reverse=True)
    return next((name for name in names if name in message), bag.DECLARATION)


def _listed(place: Path) -> dict[str, dict[str, str]]:
    """What the manifests list, read without the library, for a bag that it refuses."""
    found: dict[str, dict[str, str]] = {}
    for name in (bag.MANIFEST, bag.TAG_MANIFEST):
        text = (place / name).read_bytes().decode("utf-8", "replace") if (place / name).is_file() else ""
        for line in text.splitlines():
            digest, _, path = line.partition(" ")
            if path.strip():
                found.setdefault(path.strip(), {})[bag.ALGORITHM] = digest
    return found


def _entries(place: Path, listed: dict[str, dict[str, str]], watched: Progress) -> Iterator[Finding]:
    """Every listed file against its hashes, and every file that is there against the list."""
    there = {unicodedata.normalize("NFC", path): path for path in _files(place)}
    names = {unicodedata.normalize("NFC", path): hashes for path, hashes in listed.items()}
    watched.stage("Checking the bag", len(names))
    for path, hashes in sorted(names.items()):
        watched.step(path)
        if path not in there:
            yield Finding(LOST, BAG, path, "it is listed in a manifest, but not in the bag")
        elif any(_digest(place / there[path], algorithm) not in (None, expected.lower())
                 for algorithm, expected in hashes.items()):
            yield Finding(CHANGED, BAG, path, "its hash is not the one in the manifest")
    for path in sorted(there.keys() - names.keys()):
        if path.startswith("data/"):
            yield Finding(ADDED, BAG, path, "no manifest lists it")


def _digest(path: Path, algorithm: str) -> str | None:
    """A file's hash; None for an algorithm that this computer does not have."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, algorithm).hexdigest()
    except ValueError:
        return None


def _files(place: Path) -> Iterator[str]:
    for path in place.rglob("*"):
        if path.is_file():
            yield path.relative_to(place).as_posix()


def _own_manifests(place: Path, opened: Any) -> Iterator[Finding]:
    """The manifests of a bag of this program must be, byte by byte, those that it would write."""
    info = opened.info if opened else {}
    if opened and info.get("Bag-Software-Agent") != bag.AGENT:
        return
    there = (place / bag.TAG_MANIFEST).read_bytes() if (place / bag.TAG_MANIFEST).is_file() else None
    if there is None:
        yield Finding(LOST, BAG, bag.TAG_MANIFEST, "the list of the bag's own files is missing")
    elif there != bag.tag_manifest(place):
        yield Finding(CHANGED, BAG, bag.TAG_MANIFEST, "it does not list the bag's own files as they are: either it or "
                                                      "a file named above was changed")


def _about(place: Path) -> dict[str, Any] | None:
    try:
        value = json.loads((place / "data" / ABOUT).read_bytes())
    except (OSError, ValueError):
        return None
    return value if isinstance(value, dict) and {"register", "corrections"} <= value.keys() else None


def _chain(path: Path, where: str) -> Iterator[Finding]:
    if path.is_file():
        for fault in register.load(path).faults:
            name, _, detail = fault.partition(": ")
            yield Finding(BROKEN, where, name, detail)


def head_of(path: Path, head: str) -> dict[str, Any]:
    """What a register's hash that was printed or mailed at some date stands for: the number of `lines` up to it, the
    `registered` moment of the last, and the `faults` of the chain before it. Raises WitnessmarkError for a hash that
    is none of this register's, not even in its first digits."""
    wanted = head.strip().rstrip("….").lower()
    for line in lines.read(path) if len(wanted) >= HEAD_DIGITS else ():
        if hashlib.sha256(line.raw).hexdigest().startswith(wanted):
            before = [fault for fault in register.load(path).faults if _line_of(fault) <= line.number]
            return {"lines": line.number, "registered": (line.value or {}).get("registered"), "faults": before}
    raise WitnessmarkError(f"{head} is no hash of this register: compare it with the print, at least {HEAD_DIGITS} "
                           "digits; if it is right, the register was changed before that line")


def _line_of(fault: str) -> int:
    found = re.search(r"line (\d+)", fault)
    return int(found[1]) if found else 0


def _register(kept: Path, there: Path) -> Iterator[Finding]:
    """The register only grows: each line of the bag's stands in the folder's, in the same order, before any other."""
    old, new = lines.read(kept), lines.read(there)
    present = {line.raw for line in new}
    gone = [line for line in old if line.raw not in present]
    for line in gone:
        path = (line.value or {}).get("path", "unknown file")
        changed = line.number <= len(new) and (new[line.number - 1].value or {}).get("path") == path
        yield Finding(CHANGED if changed else LOST, FOLDER, f"{REGISTER}, line {line.number}",
                      f"the line of {path} is no longer as in the bag")
    if not gone and [line.raw for line in new[:len(old)]] != [line.raw for line in old]:
        yield Finding(CHANGED, FOLDER, REGISTER, "its lines stand in another order than in the bag, or some were put "
                                                 "between them")


def _corrections(about: dict[str, Any], there: Path) -> Iterator[Finding]:
    kept = about["corrections"]
    new = lines.read(there)[:kept["lines"]]
    if len(new) < kept["lines"]:
        yield Finding(LOST, FOLDER, CORRECTIONS, f"{kept['lines'] - len(new)} of its lines are gone")
    elif hash_of_lines(new) != kept["sha256"]:
        yield Finding(CHANGED, FOLDER, CORRECTIONS, "its first lines are no longer those of the bag")


def _settings(about: dict[str, Any], root: Path) -> Iterator[Finding]:
    kept = (about.get("settings") or {}).get("sha256")
    if kept and sha256_of(root / settings_file.NAME) != kept:
        yield Finding(CHANGED, FOLDER, settings_file.NAME, "the settings are no longer those of the bag")


def _originals(place: Path, root: Path, watched: Progress) -> Iterator[Finding]:
    """The folder's files now against the list in the bag, every one hashed."""
    listed = {line.value["path"]: line.value["sha256"] for line in lines.read(place / "data" / ORIGINALS) if line.value}
    seen = scan.walk(root, kind_of).files
    watched.stage("Checking the folder", len(seen))
    there = {}
    for file in seen:
        watched.step(file.path)
        there[file.path] = sha256_of(root / file.path)
    elsewhere = {sha256: path for path, sha256 in there.items()}
    for path, sha256 in sorted(listed.items()):
        if path not in there and sha256 in elsewhere:
            yield Finding(MOVED, FOLDER, path, f"it is now {elsewhere[sha256]}")
        elif path not in there:
            yield Finding(LOST, FOLDER, path, "the bag lists it; it is no longer in the folder")
        elif there[path] != sha256:
            yield Finding(CHANGED, FOLDER, path, "its bytes are no longer those that the bag lists")
    old = set(listed.values())
    for path in sorted(there.keys() - listed.keys()):
        if there[path] not in old:
            yield Finding(ADDED, FOLDER, path, "it came after the bag was made")
