"""How much a check costs: beside replaying the record; after one more scan; and explaining a hundred discrepancies.

    python tests/bench_check.py [EVENTS ...]

Trust the ratios, not the times. The 5 ms and the one second are bars of their own, so they are printed too.
"""

from __future__ import annotations

import gc
import statistics
import sys
import time
import tracemalloc
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

from builders import Play, job  # noqa: E402 - found only now, so that it runs from anywhere

from tagtrack.core.callout import Decoder  # noqa: E402 - same
from tagtrack.core.events import HardwareInstalled  # noqa: E402 - same
from tagtrack.core.fold import fold  # noqa: E402 - same
from tagtrack.core.places import STOCK, Move, Place, PlaceKind, new  # noqa: E402 - same
from tagtrack.core.reconcile import reconcile  # noqa: E402 - same
from tagtrack.shop import mending  # noqa: E402 - same
from tagtrack.tables.loader import load  # noqa: E402 - same

SIZES = (1_000, 10_000, 50_000)
STACK = "2x [AN3-5A AN960-10 | AN960-10 MS21044N3]"


def timed(work, turns=5):
    seen = []
    for _ in range(turns):
        gc.collect()
        start = time.perf_counter()
        work()
        seen.append(time.perf_counter() - start)
    return statistics.median(seen)


def started(positions):
    opened = job()
    opened.shop.knowledge = Decoder(load())
    play = Play(opened)
    for side in ("LEFT", "RIGHT"):
        play(f"zone wing {side}", None)
        for number in range(positions // 2):
            play(f"off cover {number} {side}; {STACK}; in hole")
    return play


def events_of(play):
    return sum(len(act.events) for act in play.job.acts)


def worked(events):
    """Return a job of so many events: positions come off, go on, and off again."""
    play = started(min(500, max(20, events // 40)))
    names = [str(p).replace(",", "") for p in play.job.state.positions]
    tags = {str(part.home).replace(",", ""): part.tag for part in play.job.state.parts.values()}
    while True:
        for name in names:
            play(f"at {name}", None)
            play(tags[name], None)
            play("on")
            play("all in finger no tight")
            if events_of(play) >= events:
                return play
        for name in names:
            play(f"zone wing {name.rsplit(maxsplit=1)[-1]}", None)
            play(f"off {name}; in hole")


def checks():
    ratios = {}
    for events in map(int, sys.argv[1:]) if len(sys.argv) > 1 else SIZES:
        play = worked(events)
        acts = play.job.acts
        replay = timed(lambda acts=acts: fold(acts))
        check = timed(lambda play=play: reconcile(play.job.state, play.job.knowledge))
        tracemalloc.start()
        fold(acts)
        _, peak = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        ratios[events] = check / replay
        print(f"{events_of(play):>6} events, {len(play.job.state.positions)} positions: replay {replay * 1e3:.0f} ms, "
              f"check x{check / replay:.2f} of it, picture {peak / 1e6:.1f} MB")
    first, last = min(ratios), max(ratios)
    print(f"growth of that ratio from {first} to {last} events: x{ratios[last] / ratios[first]:.2f}")


def one_scan():
    """After one more line in a job of 500 positions: what the answer costs beside the append (in memory here)."""
    play = started(500)
    names = [str(p).replace(",", "") for p in play.job.state.positions]
    tags = {str(part.home).replace(",", ""): part.tag for part in play.job.state.parts.values()}
    spent, seen = [], []
    record = play.job.shop.records.job(play.job.name)
    append = record.append

    def timed_append(*given):
        start = time.perf_counter()
        head = append(*given)
        spent.append(time.perf_counter() - start)
        return head

    record.append = timed_append
    for name in names[:200]:
        play(f"at {name}", None)
        play(tags[name], None)
        for line in ("on", "all in finger no tight"):
            start = time.perf_counter()
            play(line)
            seen.append(time.perf_counter() - start - spent[-1])
    print(f"one more line in a job of 500 positions: {statistics.median(seen) * 1e3:.2f} ms on top of the append, "
          f"at most {max(seen) * 1e3:.2f} ms")


def explaining():
    """A hundred joints too full and a hundred too empty, all of one callout or its look-alikes."""
    play = started(200)
    state = play.job.state
    joints = list(state.joints.values())
    for number, joint in enumerate(joints):
        place = Place(PlaceKind.JOINT, joint.identity)
        lots = dict(state.holdings[joint.kept])
        moves = [Move(item, count, joint.kept, place) for item, count in lots.items()]
        if number % 2:
            moves.append(Move(new("AN960-10"), 1, STOCK, place))
        else:
            moves = [Move(m.item, m.count - (m.item.name == "AN960-10"), m.source, m.target) for m in moves]
        play.job.commit(play.loop.bench.who(), lambda _, j=joint, m=tuple(moves): (HardwareInstalled(j.identity, m),))
    found = mending.explanations(play.job)
    once = timed(lambda: mending.explanations(play.job), turns=3)
    count = sum(len(each.exchanges) for each in found)
    print(f"{count} discrepancies explained together: {once * 1e3:.0f} ms")


if __name__ == "__main__":
    checks()
    one_scan()
    explaining()
