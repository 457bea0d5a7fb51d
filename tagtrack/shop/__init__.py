"""WHAT PEOPLE DO: the verbs of the shop. Each reads the record, asks core, appends one act.

The journal, the clock and the maker of codes are handed in (see `ports`); nothing here opens a file.
"""
