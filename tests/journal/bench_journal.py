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
TURNS = 200


def sqlite(path, documents):
    base = sqlite3.connect(path, isolation_level=None)
    base.execute("pragma journal_mode=wal")
    base.execute("pragma synchronous=full")
    base.execute("create table acts (seq integer primary key, id text unique, doc text)")
    base.execute("begin")
    base.executemany("insert into acts (id, doc) values (?, ?)", ((d["id"], json.dumps(d)) for d in documents))
    base.execute("commit")
    return base


def recorded(journal, doc):
    journal.record(doc, expected=journal.head().seq, given_away=True)


def appends(folder):
    medians = {}
    for size in SIZES:
        path = folder / f"journal-{size}.jsonl"
        path.write_bytes(b"".join(lines_of(act(n) for n in range(size))))
        plain = AppendFile.open(path)
        base = sqlite(folder / f"base-{size}.sqlite", (act(n) for n in range(size)))
        seen = {"bare": [], "journal": [], "SQLite": []}
        for number in range(TURNS):
            doc = act(size + number)
            data = lines_of([doc])[1]
            seen["bare"].append(timed(lambda data=data: bare(folder / "floor", data)))
            seen["journal"].append(timed(partial(recorded, plain, doc)))
            row = (doc["id"], json.dumps(doc))
            seen["SQLite"].append(timed(partial(base.execute, "insert into acts (id, doc) values (?, ?)", row)))
        for way, times in seen.items():
            medians[way, size] = statistics.median(times)
        floor = medians["bare", size]
        told = ", ".join(f"{way} x{medians[way, size] / floor:.2f}" for way in ("journal", "SQLite"))
        print(f"append at {size} events, beside a bare append and fsync: {told}")
    for way in ("journal", "SQLite"):
        print(f"{way}: at {SIZES[1]} events x{medians[way, SIZES[1]] / medians[way, SIZES[0]]:.2f} of at {SIZES[0]}")
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
    print(f"verified load of 50,000 events: x{ratio:.2f} of hashing and parsing alone")
    tracemalloc.start()
    chain = chain_of(data[: len(data) // 10])
    size, _ = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    print(f"memory: {size / len(chain.documents):.0f} bytes an event of {len(data) // 50_000} bytes on disk")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as temporary:
        appends(Path(temporary))
    loads()
