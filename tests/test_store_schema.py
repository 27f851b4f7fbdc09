"""The database as it is published: its columns, its views, its versions, and what it does with odd values."""
from __future__ import annotations

import dataclasses
import sqlite3
from pathlib import Path

import made_journals
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_journals import Told

from witnessmark.errors import JournalError
from witnessmark.model import Capture, Moment, Reading, Session
from witnessmark.store import database, loading, rows, schema

FIRST, SECOND, THIRD = "2025-03-09T16:40:00-06:00", "2025-03-20T20:00:00-06:00", "2025-04-12T10:00:00-06:00"


def test_every_field_of_a_record_has_its_column() -> None:
    for kind, record in rows.RECORD_TYPES.items():
        fields = {field.name for field in dataclasses.fields(record)}
        assert fields <= set(schema.TABLES[kind].columns), kind


def test_every_table_view_and_column_is_described() -> None:
    told = schema.describe()["tables"]
    assert set(told) == {*schema.TABLES, *schema.VIEWS}
    assert all(table["description"] for table in told.values())
    assert all(about for name in schema.TABLES for about in told[name]["columns"].values())


def test_the_database_has_what_is_described(tmp_path: Path) -> None:
    db, _ = database.open_to_write(tmp_path / "journal.db")
    assert {*schema.TABLES} <= set(db.table_names()) and set(db.view_names()) == set(schema.VIEWS)
    for name in schema.VIEWS:
        assert list(db.query(f"SELECT * FROM {name}")) == []
    assert db.journal_mode == "delete"  # one file, complete by itself after every transaction


def test_it_can_be_read_by_a_reader_that_may_not_write(tmp_path: Path) -> None:
    journal = made_journals.database(tmp_path / "j", [Told(FIRST, [(0, 5, "I primed a rib.")])])
    assert not list(journal.program.glob("journal.db-*"))
    conn = sqlite3.connect(f"file:{journal.database}?mode=ro&immutable=1", uri=True)
    assert conn.execute("SELECT count(*) FROM cues").fetchone() == (1,)
    with pytest.raises(sqlite3.OperationalError, match="readonly"):
        conn.execute("DELETE FROM cues")


def test_search_follows_what_is_written_and_taken_out(tmp_path: Path) -> None:
    from witnessmark.store import writing

    journal = made_journals.database(tmp_path / "j", [Told(FIRST, [(0, 5, "I primed a gusset.")])])
    db, _ = database.open_to_write(journal.database)

    def hits(word: str) -> int:
        return int(db.execute("SELECT count(*) FROM cues_fts WHERE cues_fts MATCH ?", [word]).fetchone()[0])

    assert hits("prime") == 1 and hits("gussets") == 1  # by the stem of a word (Porter, 1980)
    writing.remove_source(db, next(iter(db.query("SELECT id FROM sources")))["id"])
    assert hits("gusset") == 0
    db.execute("INSERT INTO cues_fts(cues_fts) VALUES ('integrity-check')")
    db.close()


def test_ids_stay_the_same_when_the_same_words_are_read_again(tmp_path: Path) -> None:
    told = Told(FIRST, [(0, 5, "I primed and riveted a rib.")], {"acts": [
        {"cue": 0, "task": task, "part": "rib", "date": "2025-03-09"} for task in ("prime", "rivet")]})
    ids = []
    for name in ("one", "other"):
        journal = made_journals.database(tmp_path / name, [told])
        db = database.open_to_read(journal.database)
        ids.append([row["id"] for row in db.query("SELECT id FROM acts ORDER BY task")])
        db.close()
    assert ids[0] == ids[1] and len(set(ids[0])) == 2


def test_a_missing_database_and_other_versions_are_refused_with_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "j" / ".witnessmark" / "journal.db"
    with pytest.raises(JournalError, match="witnessmark index"):
        database.open_to_read(path)
    path.parent.mkdir(parents=True)
    for content, says in ((b"no database" * 100, "cannot be read"), (b"", "older")):
        path.write_bytes(content)
        with pytest.raises(JournalError, match=says):
            database.open_to_read(path)


def test_spend_takes_returns_off_and_counts_only_what_was_bought_or_ordered(tmp_path: Path) -> None:
    from witnessmark.answers import ledgers

    lines = [("bought", 10, 11), ("ordered", 100, 100), ("planned", 999, 999), ("considered", 999, 999),
             ("received", 999, 999), ("returned", 20, 25), ("bought", None, None)]
    told = Told(FIRST, [(0, 5, "Shopping.")], {"purchases": [
        {"cue": 0, "item": f"thing {number}", "category": "tool", "status": status, "amount_low": low,
         "amount_high": high, "date": "2025-03-09"} for number, (status, low, high) in enumerate(lines)]})
    db = database.open_to_read(made_journals.database(tmp_path / "j", [told]).database)
    for by in ledgers.SPEND_BY:
        value = ledgers.spend(db, by)
        assert (value["low"], value["high"], value["unpriced"]) == (10 + 100 - 25, 11 + 100 - 20, 1)
        assert sum(group["low"] for group in value["groups"]) == value["low"]
    db.close()


@pytest.mark.parametrize(("second", "counts"), [
    ({"status": "bought", "date": "2025-03-20"}, 1),  # ordered, then told again when it was paid
    ({"status": "ordered", "date": "2025-03"}, 1),  # the same order told again, less exactly
    ({"status": "ordered", "date": "2025-03-20"}, 2),  # ordered twice, on two days
    ({"status": "bought", "date": "2025-03-20", "amount_low": 90, "amount_high": 90}, 2),  # another price
    ({"status": "bought", "date": "2025-03-20", "vendor": "the other shop"}, 2),
    ({"status": "bought", "date": "2025-11-20"}, 2),  # months later: another one
    ({"status": "bought", "date": "2025-03-20", "item": "drill press"}, 2)])
def test_a_purchase_told_twice_counts_once(tmp_path: Path, second: dict[str, object], counts: int) -> None:
    from witnessmark.answers import ledgers

    first = {"cue": 0, "item": "brake cylinders", "category": "part", "status": "ordered", "amount_low": 80,
             "amount_high": 80, "vendor": "the shop", "date": "2025-03-09"}
    told = [Told(FIRST, [(0, 5, "Ordered.")], {"purchases": [first]}),
            Told(SECOND, [(0, 5, "They are here.")], {"purchases": [{**first, **second}]})]
    db = database.open_to_read(made_journals.database(tmp_path / "j", told).database)
    assert len(ledgers.spend(db)["lines"]) == counts
    db.close()


def test_open_jobs_are_closed_by_later_work_only(tmp_path: Path) -> None:
    item = {"cue": 0, "kind": "to-do", "task": "prime", "part": "flap rib", "assembly": "flap"}
    act = {"cue": 0, "task": "prime", "part": "flap rib", "assembly": "flap", "status": "done"}
    told = [Told(FIRST, [(0, 5, "Primed.")], {"acts": [{**act, "date": "2025-03-09"}]}),
            Told(SECOND, [(0, 5, "Still to prime.")], {"open_items": [item]})]
    later = Told(THIRD, [(0, 5, "Primed again.")], {"acts": [{**act, "date": "2025-04-12"}]})
    for name, sessions, still_open in (("j", told, 1), ("k", [*told, later], 0)):
        db = database.open_to_read(made_journals.database(tmp_path / name, sessions).database)
        assert len(list(db.query("SELECT * FROM open_jobs"))) == still_open
        db.close()


TEXT = st.text(max_size=60).filter(lambda text: "\x00" not in text)


@given(quote=TEXT, part=TEXT, doubts=st.lists(TEXT, max_size=3), start=st.floats(0, 1e6),
       count=st.none() | st.integers(0, 99))
def test_any_record_comes_back_as_it_was(quote: str, part: str, doubts: list[str], start: float,
                                         count: int | None) -> None:
    from witnessmark.model import Act

    act = Act(cue=0, start=start, end=start, quote=quote, task="prime", part=part, date="2025-03-09", count=count,
              doubts=tuple(doubts), rules=("one", "two"))
    reading = Reading(acts=(act,))
    assert rows.reading_from_json(rows.reading_to_json(reading)) == reading
    (row,) = rows.record_rows("ab" * 32, reading, "2025-03-09")["acts"]
    assert rows.record_of("acts", row) == act


@given(precision=st.sampled_from(["second", "minute", "day", "month", "year", "none"]),
       at=st.none() | st.datetimes(timezones=st.timezones()).filter(lambda at: 1900 < at.year < 2190))
def test_any_moment_comes_back_as_exact_as_it_was(precision, at) -> None:
    moment = Moment(at and at.replace(microsecond=0, fold=0), precision, "exif", "offset")
    capture = Capture("a.jpg", "ab" * 32, 1, "photo", "image/jpeg", moment, gps=(1.5, -2.5), keywords=("a", "b"))
    row = rows.source_row(capture, "2025-01-01T00:00:00Z")
    row["keywords"], row["problems"] = list(capture.keywords), []
    back = loading.load_capture(row)
    assert dataclasses.replace(back, moment=moment, gps=capture.gps) == capture
    assert (back.moment.precision, back.moment.basis) == (precision, "exif")
    if moment.at and precision == "second":
        # As written: two zones never agree on an hour that happened twice (PEP 495).
        assert back.moment.at and back.moment.at.isoformat() == moment.at.isoformat()


def test_a_session_comes_back_from_the_database(tmp_path: Path) -> None:
    journal = made_journals.database(tmp_path / "j", [Told(FIRST, [(0, 5, "I primed a rib.")])])
    db = database.open_to_read(journal.database)
    row = loading.query(db, "SELECT * FROM sources")[0]
    session = loading.load_session(db, row, "America/Denver")
    assert isinstance(session, Session)
    assert session.recorded.isoformat() == FIRST and session.transcript.cues[0].text == "I primed a rib."
    db.close()
