"""The journal under torture: kills, cut tails, flipped bits, many writers, copies and backups while others write.

    python tests/journal/torture.py [--short]

Prints one line for each trial, with what was lost. Everything must be 0; the exit code is 1 where it is not.
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(Path(__file__).parents[1])]

from journal.samples import act, ids, lines_of  # noqa: E402 - found only now, so that it runs from anywhere
from journal.test_processes import confirmed_by, started, started_as  # noqa: E402 - same

from tagtrack.cli.wiring import DEFAULT_SITE, means  # noqa: E402 - same
from tagtrack.core.errors import Conflict, Trouble  # noqa: E402 - same
from tagtrack.core.events import TagEnded  # noqa: E402 - same
from tagtrack.core.records import TagEnd  # noqa: E402 - same
from tagtrack.core.tagcode import BODY  # noqa: E402 - same
from tagtrack.journal.acts import Folder  # noqa: E402 - same
from tagtrack.journal.backup import back_up  # noqa: E402 - same
from tagtrack.journal.mirror import chain_of  # noqa: E402 - same
from tagtrack.journal.store import AppendFile  # noqa: E402 - same
from tagtrack.journal.tiny import JournalDB  # noqa: E402 - same
from tagtrack.journal.unpacked import copy_out  # noqa: E402 - same
from tagtrack.shop import setup  # noqa: E402 - same
from tagtrack.shop.desk import Shop  # noqa: E402 - same
from tagtrack.shop.lines.loop import Loop  # noqa: E402 - same
from tagtrack.shop.ports import Who  # noqa: E402 - same

SHORT = "--short" in sys.argv
failures = []


def told(trial, **figures):
    """Print a trial; every figure but the first is a loss, and must be 0."""
    (first, count), *losses = figures.items()
    print(f"{trial}: {count} {first.replace('_', ' ')}; " + ", ".join(f"{n} {w.replace('_', ' ')}" for w, n in losses),
          flush=True)  # fmt: skip
    failures.extend(f"{trial}: {word}" for word, number in losses if number)


def kills(folder):
    """kill -9 at random moments with two writers at work; what was confirmed must be there, once."""
    path = folder / "kills.jsonl"
    AppendFile.create(path, "job", "torture").close()
    chance = random.Random(1)
    confirmed, unreadable, after = [], 0, 0
    rounds = 10 if SHORT else 260
    for number in range(rounds):
        pair = started(path, 1_000_000, f"{number}a", f"{number}b")
        for process in pair:
            time.sleep(chance.random() / 25)
            process.kill()
        for process in pair:
            confirmed += confirmed_by(process)
        try:
            with AppendFile.open(path) as journal:
                journal.append(act(10**6 + number), expected=None)
        except Trouble:
            unreadable += 1
            break
        after += 1
    with AppendFile.open(path) as journal:
        recorded = ids(journal.documents())
        # whoever died without an answer asks again, by the same id
        for one in confirmed[-50:]:
            journal.append({"id": one, "note": "again"}, expected=None)
        doubled = len(journal.documents()) - len(set(recorded))
    told("kill -9, two writers", kills=2 * after, confirmed_and_lost=len(set(confirmed) - set(recorded)),
         unreadable_files=unreadable, doubled_after_retries=doubled)  # fmt: skip


def tails(_):
    """The last record cut, or NUL-filled, at every byte: recognised, kept, nothing else lost."""
    lines = lines_of(act(n) for n in range(5))
    whole = b"".join(lines)
    last = len(lines[-1])
    wrong = trials = 0
    for keep in range(1, last):
        for filler in (b"", b"\0" * (last - keep)):
            chain = chain_of(whole[: -last + keep] + filler)
            trials += 1
            wrong += chain.damage is not None or chain.head.seq != 5 or not chain.unfinished
    told("last record cut or NUL-filled at every byte", trials=trials, taken_wrongly=wrong)


def bits(_):
    """Single bits flipped, lines deleted or exchanged, before the last record: all refused."""
    lines = lines_of(act(n) for n in range(8))
    whole = b"".join(lines)
    good = len(whole) - len(lines[-1])
    chance = random.Random(2)
    passed = trials = 0
    for _ in range(500 if SHORT else 6000):
        flipped = bytearray(whole)
        bit = chance.randrange(good * 8)
        flipped[bit // 8] ^= 1 << bit % 8
        trials += 1
        passed += chain_of(bytes(flipped)).damage is None
    for one in range(1, len(lines) - 1):
        for other in range(one + 1, len(lines) - 1):
            order = lines[:]
            order[one], order[other] = order[other], order[one]
            trials += 1
            passed += chain_of(b"".join(order)).damage is None
        trials += 1
        passed += chain_of(b"".join(lines[:one] + lines[one + 1 :])).damage is None
    told("bits flipped, lines deleted or exchanged", trials=trials, let_pass=passed)


MANY = """
import sys, threading
from tagtrack.core.errors import Conflict
from tagtrack.journal.store import AppendFile
path, name, count = sys.argv[1], sys.argv[2], int(sys.argv[3])
journal = AppendFile.open(path)
def work(thread):
    for number in range(count):
        while True:
            try:
                journal.append({"id": f"{name}-{thread}-{number}"}, expected=journal.head().seq)
                break
            except Conflict:
                continue
threads = [threading.Thread(target=work, args=(t,)) for t in range(4)]
[t.start() for t in threads]
[t.join() for t in threads]
"""


def many_writers(folder):
    """4 processes of 4 threads each, every append expecting the line it has read."""
    path = folder / "many.jsonl"
    AppendFile.create(path, "job", "torture").close()
    each = 20 if SHORT else 625
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    processes = [
        subprocess.Popen([sys.executable, "-c", MANY, str(path), f"p{n}", str(each)], env=environment) for n in range(4)
    ]
    codes = [process.wait() for process in processes]
    with AppendFile.open(path) as journal:
        recorded = ids(journal.documents())
        report = journal.verify()
    wanted = {f"p{p}-{t}-{n}" for p in range(4) for t in range(4) for n in range(each)}
    told("4 processes of 4 threads", appends=16 * each, lost=len(wanted - set(recorded)),
         doubled=len(recorded) - len(set(recorded)), gaps=report.head.seq - 1 - len(recorded),
         writers_that_failed=sum(map(bool, codes)))  # fmt: skip


def copies(folder):
    """Plain copies and checked backups, packed and not, while a writer is at full speed: each a true earlier state."""
    shop = folder / "shop"
    (shop / "jobs" / "WO-1").mkdir(parents=True)
    JournalDB.create(shop / "shop.jsonl", "shop", "torture").close()
    path = shop / "jobs" / "WO-1" / "journal.jsonl"
    journal = AppendFile.create(path, "job", "torture")
    stop = threading.Event()

    def write():
        number = 0
        # as long as the trial lasts, but for a file that a slow machine could not copy any more
        while not stop.is_set() and number < 200_000:
            try:
                journal.append(act(number), expected=None)
            except Conflict:
                continue
            number += 1

    writer = threading.Thread(target=write)
    writer.start()
    wrong = kept = 0
    count, backups = (20, 5) if SHORT else (200, 50)
    states = []
    for number in range(count):
        copy = folder / f"copy-{number}.jsonl"
        shutil.copyfile(path, copy)
        chain = chain_of(copy.read_bytes())
        wrong += chain.damage is not None
        states.append(chain.checks[-1] if chain.checks else "")
        copy.unlink()
    for number in range(backups):
        for way in (back_up, copy_out):
            try:
                kept += way(shop, folder / "keep", stamp=f"{number:03}", keep=3)[0].journals == 2
            except Trouble:
                wrong += 1
    stop.set()
    writer.join()
    with AppendFile.open(path) as whole:
        checks = set(chain_of(path.read_bytes()).checks)
        whole.documents()
    told("copies and backups under full writing", copies_and_backups=count + kept, that_do_not_open=wrong,
         that_are_no_earlier_state=len(set(states) - checks - {""}), backups_missing=2 * backups - kept)  # fmt: skip


def claims(folder):
    """kill -9 while two work orders take blank tags into use: a blank is taken in the shop's record, then in the job's.

    Whatever was cut off between the two: no tag belongs to two jobs, none has a meaning that the shop does not know of,
    and one that was taken and has no meaning yet gets it by being scanned again.
    """
    jobs = {"A": "ab", "B": "c"}
    shop = Shop(Folder.create(folder / "shop", "torture", DEFAULT_SITE), means())
    setup.note_person(shop, Who("KT"), initials="KT", full_name="Kari Testad")
    for name in jobs:
        setup.open_job(shop, Who("KT"), job=name, registration=f"X-{name}")
    chance = random.Random(5)
    losses = ("unreadable", "of_two_jobs", "unknown_to_the_shop", "confirmed_and_lost", "unusable")
    counts = dict.fromkeys(("kills", *losses), 0)
    without = 0
    for number in range(6 if SHORT else 170):
        codes = shop.issue(Who("KT"), 40)
        confirmed = claimed_and_killed(folder / "shop", jobs, number, chance)
        counts["kills"] += 3
        try:
            opened = {name: shop.open(name) for name in jobs}
        except Trouble:
            counts["unreadable"] += 1
            break
        for code in codes:
            bound = {name for name, job in opened.items() if code in job.state.tags}
            owner = shop.state.issued[code[:BODY]]
            counts["of_two_jobs"] += len(bound) > 1
            counts["unknown_to_the_shop"] += bool(bound) and bound != {owner}
            counts["confirmed_and_lost"] += code in confirmed and not bound
            if owner and not bound:
                without += 1
                counts["unusable"] += not used(opened, owner, code, f"late {number} {code}")
        # what is left over is not the next round's
        shop.commit(Who("KT"), lambda state, codes=codes: void(state, codes))
    told("kill -9 between a blank's claim and its meaning", **counts)
    print(f"    taken, and killed before they had a meaning: {without}")
    if not SHORT and not without:
        failures.append("no kill fell between the two")


def claimed_and_killed(root, jobs, number, chance):
    """Let three writers take blanks, kill each at a random moment, and return what was confirmed."""
    work = [(name, f"{writer} {number} ") for name, writers in jobs.items() for writer in writers]
    processes = started_as("claimer.py", [(root, name, prefix) for name, prefix in work])
    for process in processes:
        time.sleep(chance.random() / 15)
        process.kill()
    return {code for process in processes for code in confirmed_by(process)}


def used(opened, owner, code, position):
    """Whether the owner's work order takes the blank into use, and the other one is told whose it is."""
    loops = {name: Loop(job, "KT") for name, job in opened.items()}
    refused = all("NOT THIS JOB" in loop.line(code).lines[0] for name, loop in loops.items() if name != owner)
    loops[owner].line(code)
    reply = loops[owner].line(f"off {position} LEFT; none")
    return refused and reply.act is not None and code in opened[owner].state.tags


def void(state, codes):
    """End the blanks that nobody took, so that the next round has its own."""
    return tuple(TagEnded(code, TagEnd.VOID, reason="not used") for code in codes if not state.issued[code[:BODY]])


def main():
    for trial in (kills, tails, bits, many_writers, copies, claims):
        with tempfile.TemporaryDirectory() as folder:
            start = time.monotonic()
            trial(Path(folder))
            print(f"    {time.monotonic() - start:.0f} s", flush=True)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
