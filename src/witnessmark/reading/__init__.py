"""Reading: what a narration says was done, by whom, when, in how many hours, for how much, and what is left.

In: a `Session` (its words and the local moment of recording), the trade `Lexicon`, and the `Memory` of the
sessions recorded before it. Out: a `Reading` and the memory that the next session starts from.
Never: a file, a database, the clock of this computer, or a record that the words do not carry.
"""
