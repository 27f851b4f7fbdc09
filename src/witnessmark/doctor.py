"""What is installed, which speech weights there are, and what is wrong with a journal's folder."""
from __future__ import annotations

import importlib.util
import platform
import shutil
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import witnessmark
from witnessmark.errors import WitnessmarkError
from witnessmark.journal import Journal, corrections, open_journal, register, scan
from witnessmark.model import Settings

EXTRAS = {"speech": ("faster_whisper",), "ocr": ("rapidocr_onnxruntime", "pypdf"),
          "pages": ("datasette", "starlette", "matplotlib"), "evidence": ("typst", "bagit", "pypdf")}
"""Extra → the modules that it brings."""
PACKAGES = ("spacy", "faster-whisper", "av", "pillow", "sqlite-utils", "datasette")
LOW_DISK = 1_000_000_000  # bytes: room for some hours of thumbnails, transcripts and the database's own copies


def examine(folder: Path | None = None) -> dict[str, Any]:
    """`installed`, `weights`, and for a journal `problems`: mapping of what to what is wrong with it."""
    found: dict[str, Any] = {"witnessmark": witnessmark.__version__, "python": platform.python_version(),
                             "packages": {name: _version(name) for name in PACKAGES},
                             "extras": {name: all(map(importlib.util.find_spec, modules))
                                        for name, modules in EXTRAS.items()}}
    settings = Settings()
    if folder is not None:
        try:
            journal = open_journal(folder)
        except WitnessmarkError as error:
            found["problems"] = {str(folder): str(error)}
        else:
            settings = journal.settings
            found["problems"] = problems(journal)
    found["weights"] = _weights(settings)
    return found


def _version(package: str) -> str | None:
    try:
        return version(package)
    except PackageNotFoundError:
        return None


def _weights(settings: Settings) -> str:
    from witnessmark.speech import weights

    try:
        chosen = weights.find(settings)
    except WitnessmarkError as error:
        return str(error)
    return f"{chosen.name} in {chosen.path}, SHA-256 {chosen.sha256}"


def problems(journal: Journal) -> dict[str, str]:
    """Everything that is wrong with a journal, by path or by what it concerns."""
    from witnessmark.plugins import kind_of

    folder = scan.walk(journal.root, kind_of)
    found = dict(folder.passed_over)
    found.update(_of_disk(journal))
    for fault in (*register.load(journal.register).faults, *corrections.load(journal.corrections).faults):
        found[fault.partition(":")[0]] = fault
    found.update(_of_database(journal))
    return found


def _of_disk(journal: Journal) -> dict[str, str]:
    free = shutil.disk_usage(journal.root).free
    return {} if free > LOW_DISK else {"disk": f"only {free // 1_000_000} MB are free: make room before indexing"}


def _of_database(journal: Journal) -> dict[str, str]:
    from witnessmark.pipeline import clocks
    from witnessmark.store import open_to_read, query

    try:
        db = open_to_read(journal.database)
    except WitnessmarkError as error:
        return {"journal.db": str(error)}
    try:
        found = {row["path"]: "; ".join(row["problems"]) for row in query(
            db, "SELECT path, problems FROM sources WHERE problems <> '[]' AND state = 'present'")}
        for row in query(db, """SELECT s.path, r.problems FROM readings AS r JOIN sources AS s ON s.id = r.source_id
                WHERE r.problems <> '[]' AND s.state = 'present'"""):
            found[row["path"]] = "; ".join(filter(None, (found.get(row["path"]), *row["problems"])))
        for row in query(db, "SELECT path FROM sources WHERE state = 'gone'"):
            found[row["path"]] = "it is no longer in the folder; what was read from it is kept"
        for row in query(db, "SELECT id, path, kind FROM corrections WHERE state = 'unmatched'"):
            found[f"correction {row['id']}"] = f"it no longer finds its record in {row['path']} ({row['kind']})"
        settings = corrections.in_force(journal.settings, corrections.load(journal.corrections))
        found.update({f"camera {proposal.model}": clocks.as_sentence(proposal)
                      for proposal in clocks.proposals(db, settings)})
        return found
    finally:
        db.close()
