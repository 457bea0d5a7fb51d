"""How fast callouts are read, beside one plain regular expression match of the same texts; and what the tables cost.

    python tests/bench_callouts.py
"""

from __future__ import annotations

import itertools
import re
import statistics
import subprocess
import sys
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1])]

from tagtrack.core.callout import Decoder  # noqa: E402 - found only now, so that it runs from anywhere
from tagtrack.tables.loader import load  # noqa: E402 - same

TEXTS = [
    *(f"AN{d}{m}-{n}{a}" for d, m, n, a in itertools.product((3, 4, 5, 6, 7, 8), ("", "C", "H"), range(10, 18), "A")),
    *(f"AN960{m}-{s}{thin}" for m, s, thin in itertools.product(("", "C"), (10, 416, 516, 616), ("", "L"))),
    *(f"MS21044{m}{s}" for m, s in itertools.product("NC", (3, 4, 5, 6, 7, 8))),
    *(f"AN525-{t}R{n}" for t, n in itertools.product((8, 10, 832), range(4, 17))),
    *(f"{n} trim screws, short" for n in range(50)),
]


def timed(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main():
    decoder = Decoder(load())
    # the first reading compiles the shapes; the second, with nothing kept, is what is measured
    for text in TEXTS:
        decoder.read(text)
    plain = re.compile(r"(AN|MS|NAS)(\d+)([A-Z]*)-?(\d*)([A-Z]*)(\d*)")
    reading, floors = [], []
    for _ in range(7):
        decoder.read.cache_clear()
        reading.append(timed(lambda: [decoder.read(text) for text in TEXTS]) / len(TEXTS))
        floors.append(timed(lambda: [plain.fullmatch(text) for text in TEXTS]) / len(TEXTS))
    mine, floor = statistics.median(reading), statistics.median(floors)
    print(f"{len(TEXTS)} callouts: {1 / mine:,.0f} a second, x{mine / floor:.1f} of one plain match")
    # what every command that opens a job has imported anyway
    start = "import sys, hashlib, pathlib, tagtrack.core.reconcile"
    tables = f"{start}; from tagtrack.tables.loader import load; load()"
    times = {start: [], tables: []}
    for _ in range(11):
        for program, seen in times.items():
            seen.append(timed(lambda p=program: subprocess.run([sys.executable, "-c", p], check=True)))
    without, loaded = (min(times[each]) for each in (start, tables))
    more = (loaded - without) * 1000
    print(f"the tables add {more:.0f} ms to a program: x{loaded / without:.2f} of one without them")


if __name__ == "__main__":
    main()
