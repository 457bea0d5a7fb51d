"""How many tags are read in drawn photos of a bench, plain and with the ladder. Synthetic: no camera was used.

    python tests/figure_reading.py [PHOTOS]

Four photos of each kind by default.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from camera.bench import codes, photo  # noqa: E402 - found only now, so that it runs from anywhere

from tagtrack.camera.ladder import see  # noqa: E402 - same

KINDS = (
    ("40 tags, 3 px a module", 40, {"module": 3}),
    ("40 tags, 2 px a module", 40, {"module": 2}),
    ("160 tags, 3 px a module", 160, {"module": 3}),
    ("40 tags, 4 px, 40 % of them hurt", 40, {"module": 4, "hurt": 0.4}),
)


def main():
    photos = int(sys.argv[1]) if len(sys.argv) > 1 else 4
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
              f"{spent / photos:.2f} |")


if __name__ == "__main__":
    main()
