"""A shop of thousands of work orders beside a shop of one: a line of the scan loop, and the commands that look.

    python tests/journal/bench_shop.py [WORK ORDERS] [FOLDER]

Both shops take turns in one run. Trust the ratios, not the times. The loop is what a person waits for all day: it must
not notice how large the shop is. A command starts anew each time and reads the shop's own record, which grows with the
number of tags that were ever given out.
"""

from __future__ import annotations

import json
import re
import statistics
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from builders import Play, means  # noqa: E402 - found only now, so that it runs from anywhere
from builders import job as invented  # noqa: E402 - same
from cli.console import Console  # noqa: E402 - same
from journal.bench_append import timed  # noqa: E402 - same
from journal.samples import lines_of  # noqa: E402 - same

from tagtrack.cli import wiring  # noqa: E402 - same
from tagtrack.core.tagcode import issuable, with_check  # noqa: E402 - same
from tagtrack.journal.acts import Folder  # noqa: E402 - same
from tagtrack.shop.desk import Shop  # noqa: E402 - same
from tagtrack.shop.lines.loop import Loop  # noqa: E402 - same

TURNS = 80
LINES = """
off panel 1 LEFT; 12 AN525-10R8
off weight 2 LEFT; mark UP, arrow FWD; 2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!]
off bracket 3 LEFT; 4 AN3-4A
"""


def made(root, count):
    """Write a shop of so many work orders, with three things off in each and tags of its own."""
    play = Play(invented())
    play.lines(LINES)
    every = {name: record.documents for name, record in play.job.shop.records.every.items()}
    ours = [d for d in every[""] if any(event["kind"] in ("JobOpened", "TagsIssued") for event in d["events"])]
    documents = [d for d in every[""] if d not in ours]
    text = json.dumps([ours, every["WO-1"]])
    codes = {code for d in ours for event in d["events"] for code in event.get("codes", ())}
    any_code = re.compile("|".join(codes))
    fresh = means(2)
    for number in range(1, count + 1):
        new = {code: with_check(body(fresh)) for code in codes}
        named = text.replace('"WO-1"', f'"WO-{number}"')
        mine, record = json.loads(any_code.sub(lambda found, new=new: new[found[0]], named))
        documents += [{**d, "id": f"{number}-{d['id']}"} for d in mine]
        folder = root / "jobs" / f"WO-{number}"
        folder.mkdir(parents=True)
        (folder / "journal.jsonl").write_bytes(b"".join(lines_of(record, "job", f"WO-{number}")))
    (root / "shop.jsonl").write_bytes(b"".join(lines_of(documents, "shop", "Invented shop")))


def body(fresh):
    while not issuable(found := fresh.new_body()):
        pass
    return found


def opened(root):
    shop = Shop(Folder(root, wiring.DEFAULT_SITE), wiring.means())
    loop = Loop(shop.open("WO-1"), "KT")
    loop.line("zone tail LEFT")
    return loop


def compared(name, small, large, turns=TURNS, bar=""):
    """Let both take turns, and print the ratio of their medians."""
    times = [(timed(small), timed(large)) for _ in range(turns)]
    one, many = (statistics.median(each) for each in zip(*times, strict=True))
    print(f"{name:<36} x{many / one:.2f}  ({one * 1e3:.1f} and {many * 1e3:.1f} ms){bar}", flush=True)


def main(count, folder):
    roots = {1: folder / "one", count: folder / "many"}
    for size, root in roots.items():
        made(root, size)
    print(f"a shop of {count} work orders beside a shop of one")
    loops = {size: opened(root) for size, root in roots.items()}
    numbers = iter(range(10**9))

    def line(size):
        return lambda: loops[size].line(f"point spot {next(numbers)} LEFT")

    compared("a line of the scan loop, recorded", line(1), line(count), 300, "  goal: at most x1.3")
    consoles = {size: Console(root) for size, root in roots.items()}
    code = next(iter(loops[1].bench.job.state.tags))
    other = next(iter(loops[count].bench.job.state.tags))
    compared("where CODE, a command", lambda: consoles[1]("where", code), lambda: consoles[count]("where", other), 10)
    said = [lambda size=size: consoles[size]("say", "--by", "KT", "--job", "WO-1", "next") for size in roots]
    compared("say, a command", *said, 10)
    first = timed(lambda: consoles[count]("jobs"))
    again = statistics.median(timed(lambda: consoles[count]("jobs")) for _ in range(5))
    print(f"jobs: the first time {first:.1f} s, by the index {again:.2f} s: {again / count * 1e6:.0f} us a work order")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[2] if len(sys.argv) > 2 else None) as temporary:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 5_000, Path(temporary))
