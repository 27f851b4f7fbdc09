"""Corrections: checked, appended to `corrections.jsonl`, and laid over the records at once."""
from __future__ import annotations

import contextlib
import dataclasses
from collections.abc import Iterator, Mapping
from typing import Any

from sqlite_utils import Database

from witnessmark import edtf_days
from witnessmark.errors import JournalError, WitnessmarkError
from witnessmark.journal import Journal, corrections
from witnessmark.journal.corrections import Correction, Corrections, Do
from witnessmark.journal.settings import OFFSET_HELP, VOCABULARY_KINDS, offset_text, parse_offset
from witnessmark.pipeline import finish, keys
from witnessmark.store import database, loading, taught, writing
from witnessmark.store.corrected import changeable, identity_of
from witnessmark.store.rows import reading_from_json, record_rows
from witnessmark.store.schema import RECORD_TABLES, TABLES

WAIT_SECONDS = 10
ALLOWED: dict[str, tuple[str, ...]] = {
    "side": ("left", "right", "both"), "who": ("builder", "helper", "paid", "maker"),
    "scope": ("session", "task", "total", "planned", "other"),
    "category": ("tool", "consumable", "hardware", "material", "part", "kit", "service", "safety-gear"),
    "acts.status": ("done", "doing", "planned", "not-done", "advice"),
    "purchases.status": ("bought", "ordered", "planned", "considered", "returned", "received"),
    "open_items.kind": ("to-do", "to-buy", "to-fix", "waiting")}
"""The ids of the label guide."""
REQUIRED = {"acts": ("task", "status"), "hours": ("low", "high", "scope"), "purchases": ("item", "category", "status"),
            "open_items": ("kind",)}
YES, NO = ("yes", "true", "1"), ("no", "false", "0")


def change(journal: Journal, record: str, to: Mapping[str, str | None], why: str = "") -> Correction:
    """Set fields of a record (its id); values as texts, None or "" for "not known"."""
    with _open(journal) as db:
        kind, row = find_record(db, record)
        before = as_told(journal, db, kind, row)
    checked = {name: value_of(kind, name, text) for name, text in to.items()}
    if not checked:
        raise WitnessmarkError("nothing is to be changed: give FIELD=VALUE with one of the fields "
                               f"{', '.join(changeable(kind))}")
    return _append(journal, _about(kind, before, "change", why, checked))


def judge(journal: Journal, record: str, do: Do, why: str = "") -> Correction:
    """`confirm` a record, `reject` it, or `close` an open item."""
    with _open(journal) as db:
        kind, row = find_record(db, record)
        before = as_told(journal, db, kind, row)
    if do == "close" and kind != "open_items":
        raise WitnessmarkError(f"{record} is no open item: only what is still to do can be closed")
    return _append(journal, _about(kind, before, do, why, {}))


def add(journal: Journal, kind: str, source: str, at: float, to: Mapping[str, str | None], why: str = "") -> Correction:
    """Add a record that the program did not find, at a second of a source (path or id)."""
    if kind not in RECORD_TABLES:
        raise WitnessmarkError(f"{kind} is no kind of record: use one of {', '.join(RECORD_TABLES)}")
    checked = {name: value_of(kind, name, text) for name, text in to.items()}
    with _open(journal) as db:
        row = next(iter(loading.query(db, "SELECT * FROM sources WHERE path = ? OR id = ?", [source, source])), None)
        if row is None:
            raise WitnessmarkError(f"{source} is not in this journal: give its path in the folder")
        cues = loading.query(db, "SELECT * FROM cues WHERE source_id = ? AND start <= ? ORDER BY number DESC LIMIT 1",
                             [row["id"], at])
        cue: dict[str, Any] = cues[0] if cues else {"number": 0, "text": "", "end": at}
    missing = [name for name in REQUIRED[kind] if name not in checked]
    if missing:
        raise WitnessmarkError(f"a new record needs {', '.join(missing)}: give each as FIELD=VALUE")
    fields = {"quote": cue["text"], "end": cue["end"], **checked}
    return _append(journal, Correction("", "add", kind, row["sha256"], row["path"], at, cue["number"], to=fields,
                                       why=why))


def undo(journal: Journal, correction: str) -> Correction:
    """Take a correction (its id) back; taking back an undo puts the correction in force again."""
    known = {line.id for line in corrections.load(journal.corrections).lines}
    if correction not in known:
        raise WitnessmarkError(f"there is no correction {correction}: `witnessmark correct FOLDER --list` shows them")
    return _append(journal, Correction("", "undo", to={"id": correction}))


def word(journal: Journal, kind: str, heard: str, meant: str, why: str = "") -> Correction:
    """From now on `heard` is another spelling of the trade word `meant`; sessions are read again by the next index."""
    if kind not in VOCABULARY_KINDS:
        raise WitnessmarkError(f"{kind} is no kind of word: use one of {', '.join(VOCABULARY_KINDS)}")
    return _append(journal, Correction("", "word", kind, from_={"word": heard}, to={"word": meant}, why=why))


def clock(journal: Journal, camera: str, offset: str, why: str = "") -> Correction:
    """What has to be added to a camera's clock ("+365d 7h"); its pictures are dated anew by the next index."""
    length = parse_offset(offset)
    if length is None:
        raise WitnessmarkError(f'the clock cannot be set by "{offset}": write {OFFSET_HELP}')
    if journal.settings.camera(camera):
        raise WitnessmarkError(f"journal.toml sets the clock of {camera} already: change it there")
    with _open(journal) as db:
        models = [row["camera"] for row in db.query(
            "SELECT DISTINCT camera FROM sources WHERE camera IS NOT NULL ORDER BY camera")]
    model = next((known for known in models if known.casefold() == camera.casefold()), None)
    if model is None:
        raise WitnessmarkError(f"no picture of this journal was taken with {camera}: use one of "
                               f"{', '.join(models) or 'none'}")
    fields = {"offset": offset_text(length)}
    return _append(journal, Correction("", "clock", "camera", from_={"model": model}, to=fields, why=why))


def find_record(db: Database, record: str) -> tuple[str, dict[str, Any]]:
    """Table and row of a record id. Raises WitnessmarkError where there is none."""
    for kind in RECORD_TABLES:
        found = loading.query(db, f"""SELECT r.*, s.sha256, s.path FROM {kind} AS r
            JOIN sources AS s ON s.id = r.source_id WHERE r.id = ?""", [record])
        if found:
            return kind, found[0]
    raise WitnessmarkError(f"there is no record {record}: `witnessmark records FOLDER` shows their ids")


def as_told(journal: Journal, db: Database, kind: str, row: dict[str, Any]) -> dict[str, Any]:
    """The row under the name that was told, where only a taught spelling gave it another: a correction is bound to
    what was said, so that it holds when the spelling is taken back."""
    spellings = taught.taught(corrections.load(journal.corrections).standing)
    field = taught.NAMES.get(kind)
    if not spellings or not field or not row[field]:
        return row
    kept = db.query("SELECT reading FROM readings WHERE source_id = ?", [row["source_id"]])
    for reading in kept:
        for told in record_rows(row["sha256"], reading_from_json(reading["reading"]), None)[kind]:
            if told["id"] == row["id"] and told[field] and taught.named(told[field], spellings) == row[field]:
                return {**row, field: told[field]}
    return row


def value_of(kind: str, name: str, text: str | None) -> Any:
    """A field's value from its text, checked. Raises WitnessmarkError naming what is allowed."""
    fields = changeable(kind)
    if name not in fields:
        raise WitnessmarkError(f"{name} is no field of {kind}: use one of {', '.join(fields)}")
    if text in (None, "", "none"):
        if name in REQUIRED[kind]:
            raise WitnessmarkError(f"{name} of {kind} cannot be left empty: give it a value")
        return None
    assert text is not None
    allowed = ALLOWED.get(f"{kind}.{name}") or ALLOWED.get(name) or _trade_ids(name)
    if allowed and text not in allowed:
        raise WitnessmarkError(f'{name} cannot be "{text}": use one of {", ".join(allowed)}')
    if name == "date" and not edtf_days.is_valid(text):
        raise WitnessmarkError(f'date cannot be "{text}": write 2024-03-09, 2024-03, 2024-03-09~ for about, '
                               "2024-03-02/2024-03-03 for a span, or ../2024-03-08 for at the latest")
    if name in ("counted", "approx"):
        return _truth(name, text)
    return _number(name, TABLES[kind].columns[name][0], text)


def _truth(name: str, text: str) -> bool:
    if text.lower() not in YES + NO:
        raise WitnessmarkError(f'{name} cannot be "{text}": use yes or no')
    return text.lower() in YES


def _number(name: str, kind: type, text: str) -> Any:
    if kind is str:
        return text
    try:
        return kind(text)
    except ValueError:
        raise WitnessmarkError(f'{name} cannot be "{text}": write a number') from None


def _trade_ids(name: str) -> tuple[str, ...]:
    if name not in ("task", "assembly"):
        return ()
    from witnessmark.trade.lexicon import Lexicon

    lexicon = Lexicon.load()
    return tuple(lexicon.tasks if name == "task" else lexicon.assemblies)


def _about(kind: str, row: Mapping[str, Any], do: Do, why: str, to: dict[str, Any]) -> Correction:
    before = {**identity_of(kind, dict(row)), **{name: row[name] for name in to}}
    return Correction("", do, kind, row["sha256"], row["path"], float(row["start"] or 0), row["cue"], before, to, why)


@contextlib.contextmanager
def _open(journal: Journal) -> Iterator[Database]:
    db = database.open_to_read(journal.database)
    try:
        yield db
    finally:
        db.close()


def _append(journal: Journal, correction: Correction) -> Correction:
    """Write the line first, since it is what must not be lost, then bring the database up to it."""
    with contextlib.ExitStack() as stack:
        try:
            stack.enter_context(journal.lock(WAIT_SECONDS))
        except JournalError:
            # A long index holds the journal; it lays the corrections over its records when it ends.
            return corrections.append(journal.corrections, correction)
        written = corrections.append(journal.corrections, correction)
        apply(journal, corrections.load(journal.corrections))
    return written


def apply(journal: Journal, corrected: Corrections) -> None:
    """Lay the corrections over the database; the caller holds the journal's lock."""
    db, _ = database.open_to_write(journal.database)
    try:
        before = loading.journal_row(db)
        finish.connect(db, corrected, finish.correct_again(db, corrected))
        done = {"corrections_key": corrected.key, "links_key": keys.links_key(db, corrected.key)}
        writing.write_journal(db, {**before, **writing.journal_row(journal.settings), **done})
    finally:
        db.close()


def as_list(corrected: Corrections, db: Database) -> list[dict[str, Any]]:
    """Every correction with what became of it, oldest first."""
    states = {row["id"]: row for row in db.query("SELECT id, state, record_id FROM corrections")}
    return [{**{name.rstrip("_"): value for name, value in dataclasses.asdict(line).items()},
             **{"state": states.get(line.id, {}).get("state", "not applied yet"),
                "record_id": states.get(line.id, {}).get("record_id")}} for line in corrected.lines]
