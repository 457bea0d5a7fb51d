"""The journal beside SQLite, TinyDB's own storage and bare appends; loading beside hashing and parsing alone.

    python tests/journal/bench_journal.py [FOLDER]

All of them take turns in one run. Trust the ratios, not the times.
"""

from __future__ import annotations

import json
import sqlite3
import statistics
import sys
import tempfile
import tracemalloc
from functools import partial
from hashlib import sha256
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

import tinydb  # noqa: E402 - found only now, so that it runs from anywhere
from journal.bench_append import bare, timed  # noqa: E402 - same
from journal.samples import act, lines_of  # noqa: E402 - same

from tagtrack.journal.mirror import chain_of  # noqa: E402 - same
from tagtrack.journal.store import AppendFile  # noqa: E402 - same

SIZES = (100, 50_000)
TURNS = 400


def sqlite(path, documents):
    base = sqlite3.connect(path, isolation_level=None)
    base.execute("pragma journal_mode=wal")
    base.execute("pragma synchronous=full")
    base.execute("create table acts (seq integer primary key, id text unique, doc text)")
    base.execute("begin")
    base.executemany("insert into acts (id, doc) values (?, ?)", ((d["id"], json.dumps(d)) for d in documents))
    base.execute("commit")
    return base


def goal(what, ratio, most):
    """Print a ratio, what it may be at most, and whether it is."""
    print(f"{what}: x{ratio:.2f}, goal at most x{most:g}: {'holds' if ratio <= most else 'DOES NOT HOLD'}", flush=True)


def recorded(journal, doc):
    journal.record(doc, expected=journal.head().seq, given_away=True)


def appends(folder):
    """Every way at every size, in turns: what else the machine does falls on all of them."""
    ways, seen = {}, {}
    for size in SIZES:
        path = folder / f"journal-{size}.jsonl"
        path.write_bytes(b"".join(lines_of(act(n) for n in range(size))))
        plain = AppendFile.open(path)
        plain.documents()
        ways[size] = plain, sqlite(folder / f"base-{size}.sqlite", (act(n) for n in range(size)))
        seen |= {(way, size): [] for way in ("bare", "journal", "SQLite")}
    for number in range(TURNS):
        for size, (plain, base) in ways.items():
            doc = act(size + number)
            data = lines_of([doc])[1]
            row = (doc["id"], json.dumps(doc))
            seen["bare", size].append(timed(lambda data=data: bare(folder / "floor", data)))
            seen["journal", size].append(timed(partial(recorded, plain, doc)))
            seen["SQLite", size].append(
                timed(partial(base.execute, "insert into acts (id, doc) values (?, ?)", row))
            )
    medians = {key: statistics.median(times) for key, times in seen.items()}
    for size in SIZES:
        ours, floor, base = (medians[way, size] for way in ("journal", "bare", "SQLite"))
        print(f"append at {size} events: bare append and fsync {floor * 1e6:.0f} us, SQLite x{base / floor:.2f} of it")
        goal(f"  the journal beside the bare append, at {size}", ours / floor, 1.5)
        goal(f"  the journal beside SQLite (WAL, synchronous=FULL), at {size}", ours / base, 1.2)
    growth = {way: medians[way, SIZES[1]] / medians[way, SIZES[0]] for way in ("journal", "SQLite")}
    goal(f"append at {SIZES[1]} events beside {SIZES[0]}", growth["journal"], 1.3)
    print(f"  SQLite's own growth: x{growth['SQLite']:.2f}")
    stock = tinydb.TinyDB(folder / "stock.json")
    stock.insert_multiple(act(n) for n in range(2_000))
    times = [timed(lambda n=n: stock.insert(act(n))) for n in range(2_000, 2_010)]
    ratio = statistics.median(times) / medians["bare", SIZES[0]]
    print(f"TinyDB's own storage, at 2000 events, without fsync: x{ratio:.0f}")


def loads():
    data = b"".join(lines_of(act(n) for n in range(50_000)))

    def floor():
        for raw in data.splitlines(keepends=True):
            sha256(raw[:-75]).digest()
            json.loads(raw)

    floors, whole = [], []
    for _ in range(3):
        floors.append(timed(floor))
        whole.append(timed(lambda: chain_of(data)))
    ratio = statistics.median(whole) / statistics.median(floors)
    goal("verified load of 50,000 events beside hashing and parsing alone", ratio, 2.0)
    tracemalloc.start()
    chain = chain_of(data[: len(data) // 10])
    size, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"memory: {size / len(chain.documents):.0f} bytes an event of {len(data) // 50_000} bytes on disk")


def opening(folder):
    """A work order of 3,000 events opened, beside reading and parsing its bytes."""
    path = folder / "job.jsonl"
    path.write_bytes(b"".join(lines_of(act(n) for n in range(3_000))))

    def floor():
        for raw in path.read_bytes().splitlines():
            json.loads(raw)

    def opened():
        with AppendFile.open(path) as journal:
            journal.documents()

    pairs = [(timed(floor), timed(opened)) for _ in range(15)]
    floors, whole = (statistics.median(times) for times in zip(*pairs, strict=True))
    goal("a journal of 3,000 events opened, beside reading and parsing its bytes", whole / floors, 3.0)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as temporary:
        appends(Path(temporary))
        opening(Path(temporary))
    loads()
