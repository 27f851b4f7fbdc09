"""The trade vocabulary: assemblies, parts, tasks, tools, materials, standard designations, the checklist.

In: words of a parsed text. Out: terms with their ids. Never: a file of the journal, a date, a standing.
"""
from witnessmark.trade import designations
from witnessmark.trade.lexicon import Lexicon
from witnessmark.trade.terms import TaskForm, Term

__all__ = ["Lexicon", "TaskForm", "Term", "designations"]
