"""The store: readings into SQLite and back.

In: captures, transcripts, readings, corrections. Out: rows, memories, the database that answers and pages query.
Never: a decision about what was said or done; the source of truth stays in the folder.

`open_to_read` and `open_to_write` open `.witnessmark/journal.db`; `schema` and `views` describe it.
"""
from witnessmark.store.database import open_to_read, open_to_write
from witnessmark.store.loading import load_capture, load_memory, load_readings, load_transcript, query
from witnessmark.store.writing import journal_row, write_capture, write_corrections, write_journal, write_reading

__all__ = ["journal_row", "load_capture", "load_memory", "load_readings", "load_transcript", "open_to_read",
           "open_to_write", "query", "write_capture", "write_corrections", "write_journal", "write_reading"]
