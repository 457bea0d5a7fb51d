"""How much an append costs beside the bare minimum: open, append, fsync and close of the same bytes.

    python tests/journal/bench_append.py [FOLDER]

Floor and journal take turns, one append each, so that whatever else the machine does falls on both. Trust
the ratios, not the times. FOLDER is where the files are written, by default the system's temporary folder:
a folder in memory has no real fsync and shows what the program itself costs.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from journal.samples import act, lines_of  # noqa: E402 - found only now, so that it runs from anywhere

from tagtrack.journal.store import AppendFile  # noqa: E402 - same
from tagtrack.journal.tiny import JournalDB  # noqa: E402 - same

SIZES = (100, 10_000)
SERIES = 5
TURNS = 300


def timed(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def bare(path, data):
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(handle, data)
    os.fsync(handle)
    os.close(handle)


def ways(folder, size):
    """Return ways to append one act, by name, each to a journal of its own with this many acts before."""
    start = b"".join(lines_of(act(number) for number in range(size)))

    def place(name):
        path = folder / f"{name}-{size}.jsonl"
        path.write_bytes(start)
        return path

    plain, tiny, insert = AppendFile.open(place("plain")), JournalDB(place("tiny")), JournalDB(place("insert"))
    return {
        "AppendFile.append": lambda doc: plain.append(doc, expected=plain.head().seq),
        "JournalDB.append": lambda doc: tiny.append(doc, expected=tiny.head().seq),
        "JournalDB.insert": insert.insert,
    }


def series(floor_path, append, size, turn):
    """Return the median times of the floor and of one way, taken in turns."""
    floors, times = [], []
    for number in range(turn * TURNS, (turn + 1) * TURNS):
        doc = act(size + number)
        data = lines_of([doc])[1]
        floors.append(timed(lambda data=data: bare(floor_path, data)))
        times.append(timed(lambda doc=doc: append(doc)))
    return statistics.median(floors), statistics.median(times)


def main(folder):
    print(f"medians of {SERIES} series of {TURNS} appends, floor and journal in turns; in {folder}")
    ratios = {}
    for size in SIZES:
        for name, append in ways(folder, size).items():
            append(act(size + SERIES * TURNS))  # warm: loaded, opened, locked once
            runs = [series(folder / "floor", append, size, turn) for turn in range(SERIES)]
            each = sorted(mine / floor for floor, mine in runs)
            ratios[name, size] = statistics.median(each)
            floor = statistics.median(floor for floor, _ in runs)
            print(
                f"{name:18} {size:6} lines  x{ratios[name, size]:.2f} of the floor"
                f"  (series x{each[0]:.2f} to x{each[-1]:.2f}, floor {floor * 1e6:.0f} us)"
            )
    for name in dict.fromkeys(name for name, _ in ratios):
        growth = ratios[name, SIZES[1]] / ratios[name, SIZES[0]]
        print(f"{name:18} growth from {SIZES[0]} to {SIZES[1]} lines: x{growth:.2f}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as temporary:
        main(Path(temporary))
