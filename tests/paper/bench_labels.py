"""What the symbols of a sheet cost, in time and bytes, beside the same sheet of text alone; a long print's memory.

    python tests/paper/bench_labels.py [LABELS]

A Letter sheet of 30 labels of 2-5/8 x 1 in, five lines of text and one symbol on each. All take turns in one run; trust
the ratios, not the times. *Encoding too*: nothing is known of a code. *Drawing*: the same without making the symbols'
modules, which is measured by itself. *Printed again*: what is drawn of each symbol is known.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryFile

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from camera.bench import codes  # noqa: E402 - found only now, so that it runs from anywhere
from journal.bench_append import timed  # noqa: E402 - same
from journal.bench_journal import goal  # noqa: E402 - same
from paper.samples import BAG, RICH  # noqa: E402 - same

from tagtrack.paper import symbol  # noqa: E402 - same
from tagtrack.paper.ink import Page, Symbol, Text  # noqa: E402 - same
from tagtrack.paper.labels import tags_pdf  # noqa: E402 - same
from tagtrack.paper.pdf import write_pdf  # noqa: E402 - same
from tagtrack.paper.template import named  # noqa: E402 - same

LINES = ("elevator balance weight", "LEFT", "2 AN3-5A, 4 AN960-10", "WO 2026-014  N123AB", "KT 2026-03-02")
MODULE = 0.75
SHORT = 990


def pages(every, *, with_symbols):
    """Yield sheets of 30: three across, ten down, labels of 66.7 x 25.4 mm."""
    for first in range(0, len(every), 30):
        ink = []
        for place, code in enumerate(every[first : first + 30]):
            x, y = 5 + place % 3 * 70, 13 + place // 3 * 25.4
            ink += [Text(x=x + 25, y=y + 5 + 4 * row, text=text, size=8) for row, text in enumerate((code, *LINES[1:]))]
            if with_symbols:
                ink.append(Symbol(x=x + 4, y=y + 4, code=code, module=MODULE))
        yield Page(width=215.9, height=279.4, ink=tuple(ink))


def written(sheets):
    out = BytesIO()
    write_pdf(sheets, out=out, title="bench")
    return out.getvalue()


def forgotten():
    for kept in (symbol.operators, symbol.rectangles, symbol.matrix):
        kept.cache_clear()


def drawing():
    every = codes(SHORT, seed=11)
    text, full = ([*pages(every, with_symbols=which)] for which in (False, True))
    written(text)
    seen = {"floor": [], "drawing": [], "encoding too": [], "printed again": []}
    for _ in range(5):
        seen["floor"].append(timed(lambda: written(text)))
        forgotten()
        seen["encoding too"].append(timed(lambda: written(full)))
        encoding = timed(lambda: [symbol.matrix.__wrapped__(code) for code in every])
        seen["drawing"].append(seen["encoding too"][-1] - encoding)
        seen["printed again"].append(timed(lambda: written(full)))
    medians = {way: statistics.median(times) for way, times in seen.items()}
    print(f"{SHORT} labels, text alone: {medians['floor'] / SHORT * 1e6:.0f} us a label")
    for way, most in (("drawing", 5.0), ("encoding too", 15.0), ("printed again", 4.0)):
        goal(way, medians[way] / medians["floor"], most)
    each = (len(written(full)) - len(written(text))) / SHORT
    print(f"symbol: {each:.0f} bytes a label, goal at most 250: {'holds' if each <= 250 else 'DOES NOT HOLD'}")


LONG = """
import resource, sys
sys.path[:0] = sys.argv[1:3]
from paper.bench_labels import long_print
size, seconds = long_print(int(sys.argv[3]))
print(size, seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def long_print(count):
    """Print so many real tags, part and bag by turns and each of a name of its own, into a file; bytes and seconds."""
    faces = [
        replace(face, code=code, title=f"{face.title} {n}")
        for n, code in enumerate(codes_fast(count)) for face in [(RICH, BAG)[n % 2]]
    ]  # fmt: skip
    with TemporaryFile() as out:
        seconds = timed(lambda: tags_pdf(faces, named("letter-4x2in-10up"), out=out))
        return out.tell(), seconds


def codes_fast(count):
    """Codes by counting: looking for one that is new among 10,000 would be the larger part of the bench."""
    from tagtrack.core.tagcode import ALPHABET, issuable, with_check

    number, found = 31**6, []
    while len(found) < count:
        number += 7919
        body = "".join(ALPHABET[number // 31**place % 31] for place in range(7))
        if issuable(body):
            found.append(with_check(body))
    return found


def memory(count):
    """Print a half of it and all of it, each in a process of its own: memory at most, beside each other.

    Half is more than what is kept of symbols in any case. The tags themselves, which the caller holds, are counted too.
    """
    roots = [str(Path(__file__).parents[n]) for n in (2, 1)]
    most = {}
    for labels in (count // 2, count):
        words = [sys.executable, "-c", LONG, *roots, str(labels)]
        ran = subprocess.run(words, check=True, capture_output=True, text=True)
        size, seconds, most[labels] = map(float, ran.stdout.split())
        print(f"{labels} tags of a 4 x 2 in sheet: {seconds:.1f} s, {size / labels:.0f} bytes a tag, "
              f"{most[labels] / 1024:.0f} MB of memory at most", flush=True)  # fmt: skip
    grown = (most[count] - most[count // 2]) * 1024 / (count - count // 2)
    goal("bytes of memory for each further tag, a thousand", grown / 1000, 1.0)


if __name__ == "__main__":
    drawing()
    memory(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
