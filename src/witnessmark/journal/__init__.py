"""The journal's folder: its settings, what is new, changed, moved or gone, the register and the corrections.

In: a folder. Out: its `Settings`, the files in it and how they differ from what is known, the lines of
`register.jsonl` and `corrections.jsonl`. Never: a change to a file of the builder's, or to a line that was written.
"""
from witnessmark.journal.folder import Journal, open_journal

__all__ = ["Journal", "open_journal"]
