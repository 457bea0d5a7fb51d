"""WHAT WAS RECORDED: append-only journals on disk. The only folder that knows TinyDB."""

Read in this order: `line` (one line as bytes), `chain` (lines that follow one another), `disk` and `lock` (what
is asked of the system), `mirror` (a file and its verified lines), `store` (the journal), `tiny` (the
journal as a TinyDB database, which is how the program uses it).
"""
