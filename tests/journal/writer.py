"""A program that waits for a line, then records acts and prints each id once it was confirmed.

Tests run it, several at once, and kill it.

    python writer.py JOURNAL PREFIX COUNT
"""

from __future__ import annotations

import os
import sys

from tagtrack.core.errors import Conflict
from tagtrack.journal.store import AppendFile


def main(path, prefix, count):
    journal = AppendFile.open(path)
    journal.documents()
    os.write(1, b"ready\n")
    sys.stdin.readline()
    for number in range(int(count)):
        doc = {"id": f"{prefix}-{number}", "note": "x" * (number % 700)}
        while True:
            seen = journal.snapshot()
            try:
                journal.append(doc, expected=seen.head.seq)
            except Conflict:
                continue
            break
        # Past Python's buffer: what is printed here was promised to a person.
        os.write(1, f"{doc['id']}\n".encode())


if __name__ == "__main__":
    main(*sys.argv[1:])
