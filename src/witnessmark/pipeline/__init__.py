"""The pipeline: from a folder to its database, in stages that can be stopped anywhere and taken up again.

In: a `Journal` and what to tell the user on the way (`Progress`). Out: the journal's database, and a `Summary`.
Stages: `intake` (files → captures, register), `backlog` (new recordings heard), `sessions` (words → records, in order
of recording), `pictures` (tags), `finish` (corrections, links). Each is driven by what the database lacks, not by what
an earlier stage did, so that a run that was killed is completed by the next. Never: two writers at once, or a change
to the builder's files.
"""
from witnessmark.pipeline.index import index
from witnessmark.pipeline.progress import Progress, Silent, Summary

__all__ = ["Progress", "Silent", "Summary", "index"]
