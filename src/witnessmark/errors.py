"""The errors that a user may see.

Each carries one sentence that says what is wrong and what to do about it; the command line prints that
sentence and ends with exit code 1. Anything else that escapes is a defect of the program.
"""


class WitnessmarkError(Exception):
    """Something the user can put right; `str(error)` is the sentence to show."""


class JournalError(WitnessmarkError):
    """The journal folder or its settings cannot be used as they are."""


class UnreadableFile(WitnessmarkError):
    """One file cannot be read; the others go on."""


class NoWeights(WitnessmarkError):
    """No speech weights can be found or trusted."""
