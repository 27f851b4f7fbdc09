"""The commands of `witnessmark`, a few to a module: each parses, calls and prints."""
