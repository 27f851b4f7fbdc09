"""Second stage: the words of every source, and what they say, in order of recording.

What a session gives depends on its words, its moment, the rules, and what earlier sessions said. Each of them is
kept beside the reading as a fingerprint, so that a session is read again exactly when one of them has changed, and
the result is the same as that of reading all of them from the first on.
"""
from __future__ import annotations

import datetime as dt
import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlite_utils import Database

from witnessmark.errors import NoWeights, UnreadableFile
from witnessmark.faults import concerns_own_files, log_fault
from witnessmark.journal import Journal
from witnessmark.journal.corrections import Corrections
from witnessmark.model import Capture, Reading, Session, Settings, Transcript
from witnessmark.pipeline import keys
from witnessmark.pipeline.hints import likely_names
from witnessmark.pipeline.progress import Progress, Summary
from witnessmark.pipeline.vague import as_vague_as
from witnessmark.plugins import hook
from witnessmark.store import loading, rows, writing
from witnessmark.store.schema import RECORD_TABLES

if TYPE_CHECKING:
    from witnessmark.reading.memory import Memory
    from witnessmark.trade.lexicon import Lexicon

START = "start"
SESSIONS = """SELECT s.id, s.sha256, coalesce(s.captured_utc, s.registered) AS recorded, r.recorded AS read_at, r.input,
    r.before, r.after FROM sources AS s LEFT JOIN readings AS r ON r.source_id = s.id
    WHERE s.kind IN ('recording', 'transcript', 'note') OR s.subtitle IS NOT NULL OR r.source_id IS NOT NULL
    ORDER BY recorded, s.id"""


@dataclass
class Sessions:
    """One pass over the sessions of a journal."""

    journal: Journal
    db: Database
    settings: Settings
    corrections: Corrections
    summary: Summary
    progress: Progress
    unheard: frozenset[str]
    memory: Memory | None = None
    weights_missing: str = ""

    def run(self) -> None:
        """Read every session that has to be read."""
        key = keys.rules_key(self.settings)
        order = list(self.db.query(SESSIONS))
        self.progress.stage("sessions", sum(row["input"] != key for row in order))
        chain = START
        for row in order:
            if (row["input"], row["before"], row["read_at"]) == (key, chain, row["recorded"]):
                self._remember(row["id"])
                chain = row["after"]
            else:
                chain = self._read(row, key, chain)
        if self.weights_missing:
            self.summary.notes.append(self.weights_missing)

    @functools.cached_property
    def lexicon(self) -> Lexicon:
        # Imported late: the language model comes with it, which takes seconds that most runs need not spend.
        from witnessmark.trade.lexicon import Lexicon

        return Lexicon.load(self.settings.vocabulary)

    def _remember(self, identity: str) -> None:
        """An unchanged session joins the memory, once there is one: before the first reading nobody asks for it."""
        if self.memory is not None:
            kept = next(iter(self.db.query("SELECT reading FROM readings WHERE source_id = ?", [identity])))
            self.memory = self.memory.after(rows.reading_from_json(kept["reading"]))

    def _read(self, row: dict[str, Any], key: str, chain: str) -> str:
        """Read one session and keep it; the fingerprint of the memory after it is returned."""
        source = loading.query(self.db, "SELECT * FROM sources WHERE id = ?", [row["id"]])[0]
        capture = loading.load_capture(source)
        self.progress.step(capture.path)
        transcript = self._transcript(capture, source, row["input"] != key)
        if transcript is None:
            return chain
        if self.memory is None:
            self.memory = loading.load_memory(self.db, (row["recorded"], row["id"]))
        recorded = loading.recorded_of(capture, row["recorded"], self.settings.timezone)
        session = Session(capture.path, recorded, transcript, capture.duration)
        reading = as_vague_as(capture.moment, session.day, self._extract(session, self.memory))
        after = keys.memory_after(chain, row["id"], row["recorded"], rows.reading_to_json(reading))
        writing.write_reading(
            self.db, row["id"], transcript, reading, recorded=dt.datetime.fromisoformat(row["recorded"]),
            fingerprints={"input": key, "before": chain, "after": after}, corrections=self.corrections.standing)
        self.memory = self.memory.after(reading)
        self.summary.read += 1
        return after

    def _transcript(self, capture: Capture, source: dict[str, Any], renewed: bool) -> Transcript | None:
        """The words; None where they cannot be had now but may be had later (no weights)."""
        kept = loading.load_transcript(self.db, source["id"])
        gone = source["state"] == "gone"
        if (kept is not None and not renewed) or (gone and capture.kind != "recording"):
            return self._with_word_times(capture, kept) if kept else _no_words()
        try:
            transcript = hook().transcribe_source(
                root=self.journal.root, capture=capture, subtitle=source["subtitle"], settings=self.settings,
                lexicon=self.lexicon, progress=self.progress.share, hints=likely_names(self.db))
        except NoWeights as error:
            self.weights_missing = str(error)
            return kept
        except OSError as error:
            return kept or self._out_of_reach(capture, gone, error)
        except UnreadableFile as error:
            return self._without_words(capture, kept if gone else None, str(error))
        except Exception as error:  # one file must not stop the others
            return self._without_words(capture, kept, log_fault(self.journal, error, f"the words of {capture.path}"))
        self.summary.transcribed += capture.path in self.unheard
        return transcript or _no_words()

    def _with_word_times(self, capture: Capture, kept: Transcript) -> Transcript:
        """The database keeps lines, the speech room words: a reading from either must be the same."""
        if capture.kind != "recording":
            return kept
        from witnessmark.speech import remembered

        heard = remembered(self.journal.root, capture, self.settings)
        same = heard is not None and [cue.text for cue in heard.cues] == [cue.text for cue in kept.cues]
        return heard if heard is not None and same else kept

    def _out_of_reach(self, capture: Capture, gone: bool, error: OSError) -> Transcript | None:
        """A disk that fails to read may be back the next time; one that fails to write stops everything."""
        if concerns_own_files(error, self.journal):
            raise error
        if gone:
            return _no_words()
        self.summary.unreadable[capture.path] = f"it cannot be read ({error.strerror}): it is tried again next time"
        return None

    def _without_words(self, capture: Capture, kept: Transcript | None, problem: str) -> Transcript | None:
        """A file whose words cannot be made out; None where it is not the file that was taken in any more."""
        if kept is not None:
            return kept
        self.summary.unreadable[capture.path] = problem
        try:
            as_it_was = (self.journal.root / capture.path).stat().st_size == capture.size
        except OSError:
            as_it_was = False
        return _no_words(problem) if as_it_was else None

    def _extract(self, session: Session, memory: Memory) -> Reading:
        """The records of all extractors together, as sure as the words that they were read from; only English is
        read."""
        if session.transcript.language != "en" or not session.transcript.cues:
            return Reading()
        try:
            found = hook().extract_records(session=session, lexicon=self.lexicon, memory=memory)
        except Exception as error:
            self.summary.notes.append(log_fault(self.journal, error, session.source))
            return Reading()
        from witnessmark.speech import certainty

        tables: dict[str, Any] = {kind: tuple(record for reading in reversed(found) if reading
                                              for record in getattr(reading, kind)) for kind in RECORD_TABLES}
        return certainty.weighed(Reading(**tables), session.transcript)


def _no_words(problem: str = "") -> Transcript:
    return Transcript((), "none", problems=(problem,) if problem else ())
