"""Media: what each of the builder's files is, and when it was made.

In: the journal folder and one path in it. Out: a `Capture`: kind, length, size, camera, caption, and a `Moment`
that says when the file was made, how exactly and how that is known. Files are opened for reading only.
Never: change, move or rename a file, follow a caption into what was done, or let one bad file stop the others.
"""
from witnessmark.media.ingest import ingest, sha256_of
from witnessmark.media.kinds import kind_of

__all__ = ["ingest", "kind_of", "sha256_of"]
