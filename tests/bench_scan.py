"""How much a scan costs beside the bare minimum: open, append, fsync and close of the same bytes.

    python tests/bench_scan.py [FOLDER]

A job of 40 positions is worked over and over: off, on, its hardware in and tight, by the lines that a person
types. The floor takes turns with the loop, one append of the same bytes each, so that whatever else the machine
does falls on both. Trust the ratios, not the times. Also printed: what `tagtrack --help` costs beside an empty
click program.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1])]

from tagtrack.cli.wiring import means  # noqa: E402 - found only now, so that it runs from anywhere
from tagtrack.core.callout import Decoder  # noqa: E402 - same
from tagtrack.journal.acts import ActJournal, Folder  # noqa: E402 - same
from tagtrack.shop import setup  # noqa: E402 - same
from tagtrack.shop.desk import Shop  # noqa: E402 - same
from tagtrack.shop.lines.loop import Loop  # noqa: E402 - same
from tagtrack.shop.ports import Who  # noqa: E402 - same
from tagtrack.tables.loader import load  # noqa: E402 - same

SIZES = (100, 10_000)
POSITIONS = 40
TURNS = 600
KINDS = {"off": "something comes off", "up": "a part goes on", "all": "its bag is emptied, and tight"}


def opened(folder):
    """Return a scan loop on a fresh work order in a fresh shop."""
    shop = Shop(Folder.create(folder, "bench", "bench"), means("bench"), Decoder(load()))
    setup.note_person(shop, Who("KT"), initials="KT", full_name="Kari Testad")
    return Loop(setup.open_job(shop, Who("KT"), job="WO-1", registration="X-TEST"), "KT")


def lines(loop):
    """Yield lines that each record one act, for ever: take off, put on, hardware in, tight."""
    state = loop.bench.job.state
    names = [f"cover {number} LEFT" for number in range(POSITIONS)]
    hardware = "; mark UP, arrow FWD; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]; in hole"
    loop.line("zone tail LEFT")
    first = True
    while True:
        for name in names:
            yield f"off {name}{hardware if first else '; in hole'}"
        first = False
        for name in names:
            state = loop.bench.job.state
            part = next(p for p in state.parts.values() if f"{p.home.name} {p.home.side.value}" == name)
            loop.line(part.tag)
            yield "up fwd"
            yield "all in finger no tight"


def bare(path, data):
    """Do the least that keeps these bytes: open, write, fsync, close."""
    handle = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(handle, data)
    os.fsync(handle)
    os.close(handle)


def timed(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def scans(folder):
    """Print the cost of a scan at each size, and how it grows."""
    done = []
    append = ActJournal.append

    def noting(*given):
        line = append(*given)
        done.append(time.perf_counter())
        return line

    ActJournal.append = noting
    loop = opened(folder / "shop")
    journal = folder / "shop" / "jobs" / "WO-1" / "journal.jsonl"
    source = lines(loop)
    ratios = {}
    for size in SIZES:
        while len(loop.bench.job.acts) < size:
            reply = loop.line(next(source))
            assert reply.act is not None, reply.lines
        seen = {}
        for _ in range(TURNS):
            line = next(source)
            before = journal.stat().st_size
            start = time.perf_counter()
            loop.line(line)
            answered = time.perf_counter() - start
            with journal.open("rb") as file:
                file.seek(before)
                data = file.read()
            floor = timed(lambda data=data: bare(folder / "floor", data))
            seen.setdefault(KINDS[line.split()[0]], []).append((floor, done[-1] - start, answered))
        print(f"after {size} acts:")
        for kind, times in seen.items():
            floor, on_disk, answered = (statistics.median(each) for each in zip(*times, strict=True))
            ratios[kind, size] = on_disk / floor
            print(
                f"  {kind:30} on disk at x{on_disk / floor:.2f} of the floor, answered at x{answered / floor:.2f}"
                f"  (floor {floor * 1e6:.0f} us)"
            )
    for kind in KINDS.values():
        growth = ratios[kind, SIZES[1]] / ratios[kind, SIZES[0]]
        print(f"growth from {SIZES[0]} to {SIZES[1]} acts, {kind}: x{growth:.2f}")


def helps():
    """Print what the help text costs beside an empty click program."""
    empty = "import click\n@click.command()\ndef main():\n    pass\nmain(['--help'], standalone_mode=False)"
    mine = "import sys; sys.argv = ['tagtrack', '--help']; from tagtrack.cli.main import run; run()"
    times = {empty: [], mine: []}
    for _ in range(15):
        for program, seen in times.items():
            seen.append(
                timed(lambda p=program: subprocess.run([sys.executable, "-c", p], check=True, capture_output=True))
            )
    ratio = statistics.median(times[mine]) / statistics.median(times[empty])
    print(f"tagtrack --help: x{ratio:.2f} of an empty click program")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as temporary:
        scans(Path(temporary))
    helps()
