"""Speech: a recording, a subtitle file or a note becomes a `Transcript`.

In: a `Capture` of the journal with the settings and the trade vocabulary (`transcribe`), or a subtitle file or note
of the builder's (`subtitles.read`, `notes.read`). Out: a `Transcript` with the words as they were heard and as they
are read, their times and probabilities. Never: a change to the builder's file, a word without the raw words beside
it where it was repaired, a second transcription of a file that was already heard, the network at import.
"""
from witnessmark.speech.transcribe import remembered, transcribe

__all__ = ["remembered", "transcribe"]
