"""The invented build of `example_journal/`: its story, what is true in it, and the script that drew and spoke it."""
