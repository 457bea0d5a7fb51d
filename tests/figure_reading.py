"""How many tags are read in drawn photos: plain, by all looks but the repair, with it. Synthetic: no camera was used.

    python tests/figure_reading.py [bench] [lost] [printed] [--few]

Three tables, all of them by default: benches of tags; a symbol that lost a share of its area anywhere; the printed
label, worn. `--few` takes a tenth of the trials. A quarter of an hour on one core.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from camera.bench import codes, photo  # noqa: E402 - found only now, so that it runs from anywhere
from camera.closeup import FINE, closeup, hurt_label  # noqa: E402 - same
from camera.printed import CONDITIONS, worn  # noqa: E402 - same

from tagtrack.camera.ladder import LADDER, see  # noqa: E402 - same
from tagtrack.camera.repair import repaired  # noqa: E402 - same
from tagtrack.paper.thermal import HEADS  # noqa: E402 - same

FEW = "--few" in sys.argv
KINDS = (
    ("40 tags, 3 px a module", 40, {"module": 3}),
    ("40 tags, 2 px a module", 40, {"module": 2}),
    ("160 tags, 3 px a module", 160, {"module": 3}),
    ("40 tags, 4 px, 40 % of them hurt", 40, {"module": 4, "hurt": 0.4}),
)
UNREPAIRED = tuple(look for look in LADDER if not look.repairs)


def bench():
    photos = 1 if FEW else 4
    print("| drawn photo, 4000 x 3000 | tags | plain | with the ladder | wrong reads | ladder, s a photo |")
    print("|---|---|---|---|---|---|")
    for name, count, how in KINDS:
        every = codes(count, seed=count)
        seen = Counter()
        spent = 0.0
        for seed in range(100, 100 + photos):
            picture = photo(every, seed=seed, **how)
            plain = see(picture, patient=False)
            start = time.perf_counter()
            full = see(picture, frozenset(every))
            spent += time.perf_counter() - start
            seen["plain"] += sum(s.code in every for s in plain)
            seen["full"] += sum(s.code in every for s in full)
            seen["wrong"] += sum(bool(s.code) and s.code not in every for s in (*plain, *full))
        tags = count * photos
        print(f"| {name} | {tags} | {seen['plain'] / tags:.3f} | {seen['full'] / tags:.3f} | {seen['wrong']} | "
              f"{spent / photos:.2f} |", flush=True)  # fmt: skip


def tried(picture, code, seen, prefix=""):
    """Look at one close photo three ways; count what was read, and any read of another code."""
    wanted = frozenset([code])
    ways = {"plain": LADDER[:1], "looks": UNREPAIRED, "repair": LADDER}
    for way, looks in ways.items():
        sightings = see(picture, wanted, looks=looks)
        seen[prefix + way] += any(s.code == code for s in sightings)
        seen["wrong"] += sum(bool(s.code) and s.code != code for s in sightings)


def lost():
    trials = 40 if FEW else 400
    every = codes(trials, seed=3)
    print("| of the symbol's area, anywhere | labels | plain | every look but the repair | with repair | corners known "
          "exactly | wrong reads |")  # fmt: skip
    print("|---|---|---|---|---|---|---|")
    for share in (0.01, 0.02, 0.05, 0.08, 0.10):
        seen = Counter()
        for seed, code in enumerate(every):
            tried(closeup(code, share=share, seed=seed), code, seen)
            flat, _ = hurt_label(code, share, seed)
            low, high = 4 * FINE, 25 * FINE
            text, _ = repaired(flat, ((low, low), (high, low), (high, high), (low, high)))
            seen["known"] += text == code
        columns = " | ".join(f"{seen[way] / trials:.3f}" for way in ("plain", "looks", "repair", "known"))
        print(f"| {share:.0%} | {trials} | {columns} | {seen['wrong']} |", flush=True)


def printed():
    trials = 6 if FEW else 60
    every = codes(trials, seed=7)
    print("| printed label | head | one symbol: plain | looks | repair | two symbols: plain | looks | repair | wrong |")
    print("|---|---|---|---|---|---|---|---|---|")
    for condition in CONDITIONS:
        for head in HEADS:
            seen = Counter()
            for seed, code in enumerate(every):
                for two in (False, True):
                    tried(worn(code, head, condition, two=two, seed=seed), code, seen, "two " if two else "one ")
            ways = [f"{many} {way}" for many in ("one", "two") for way in ("plain", "looks", "repair")]
            columns = " | ".join(f"{seen[way] / trials:.2f}" for way in ways)
            print(f"| {condition} | {head} | {columns} | {seen['wrong']} |", flush=True)


def main():
    asked = [word for word in sys.argv[1:] if not word.startswith("-")]
    for table in (bench, lost, printed):
        if not asked or table.__name__ in asked:
            table()
            print()


if __name__ == "__main__":
    main()
