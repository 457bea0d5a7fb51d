"""The figure: thousands of invented jobs with faults committed on purpose; what is found, what is cried for nothing.

    python tests/figure.py [JOBS] [FIRST]

10,000 jobs by default, on every core. Prints a Markdown table by kind of fault.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from simulation import simulate  # noqa: E402 - found only now, so that it runs from anywhere


def judged(seed):
    """Return what one job came to, as plain values."""
    played = simulate(seed)
    committed = Counter(played.faults)
    missed = Counter(fault for fault, finding in played.because if finding not in played.found)
    wrong_place = len(played.missed)
    return {
        "committed": committed, "missed": missed, "false": len(played.false), "wrong": wrong_place,
        "findings": len(played.because), "explained": played.explained, "faults": len(played.faults),
        "positions": played.positions, "lines": played.lines, "twice": len(played.asked_twice),
    }  # fmt: skip


def main():
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    start = time.monotonic()
    committed, missed, told = Counter(), Counter(), Counter()
    totals = Counter()
    with ProcessPoolExecutor() as pool:
        for number, job in enumerate(pool.map(judged, range(first, first + jobs), chunksize=20), start=1):
            committed += job["committed"]
            missed += job["missed"]
            for name in ("false", "findings", "positions", "lines", "twice", "faults"):
                totals[name] += job[name]
            totals["clean"] += not job["faults"]
            totals["clean and silent"] += not job["faults"] and not job["false"] and not job["twice"]
            size = min(job["faults"], 3)
            told[size, "exchanges"] += len(job["explained"])
            told[size, "told"] += sum(job["explained"])
            if number % 500 == 0:
                print(f"{number} of {jobs} jobs, {time.monotonic() - start:.0f} s", file=sys.stderr)
    print(f"{jobs} jobs (seeds {first} to {first + jobs - 1}), {totals['positions']} positions, "
          f"{totals['lines']} lines, {totals['faults']} faults committed, {totals['findings']} findings due")
    print("\n| fault committed | times | not found |\n|---|---|---|")
    for fault, times in sorted(committed.items()):
        print(f"| {fault} | {times} | {missed[fault]} |")
    print(f"| **all** | {sum(committed.values())} | {sum(missed.values())} |\n")
    print(f"false findings: {totals['false']}; questions asked twice: {totals['twice']}")
    print(f"jobs without a fault: {totals['clean']}, of which silent at the end: {totals['clean and silent']}")
    for size, name in ((1, "one fault"), (2, "two faults"), (3, "three to six faults")):
        count = told[size, "exchanges"]
        share = told[size, "told"] / count if count else 1.0
        print(f"true exchange among the explanations, {name}: {told[size, 'told']} of {count} ({share:.1%})")


if __name__ == "__main__":
    main()
