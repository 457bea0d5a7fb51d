"""Real processes: writing at once, and killed at any moment."""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

from journal.samples import act, ids, written

from tagtrack.journal.store import AppendFile

ROOT = Path(__file__).parents[2]
HERE = Path(__file__).parent


def started(path, count, *prefixes):
    """Start a writer for each prefix, and let them go at the same moment."""
    return started_as("writer.py", [(path, prefix, str(count)) for prefix in prefixes])


def started_as(program, arguments):
    """Start a program beside this file once for each of the arguments, and let them go at the same moment."""
    pythonpath = os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")])
    processes = [
        subprocess.Popen(
            [sys.executable, HERE / program, *each],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": pythonpath},
        )
        for each in arguments
    ]
    for process in processes:
        assert process.stdout.readline() == b"ready\n"
    for process in processes:
        process.stdin.write(b"go\n")
        process.stdin.flush()
    return processes


def confirmed_by(process):
    return process.communicate(timeout=60)[0].decode().split()


def test_two_processes_that_expect_the_last_line_lose_nothing_double_nothing_and_leave_no_gap(path):
    written(path, 0)
    processes = started(path, 200, "a", "b")
    confirmed = [confirmed_by(process) for process in processes]
    assert [process.returncode for process in processes] == [0, 0]
    assert confirmed == [[f"{name}-{number}" for number in range(200)] for name in "ab"]
    with AppendFile.open(path) as journal:
        recorded = ids(journal.documents())
        assert sorted(recorded) == sorted(confirmed[0] + confirmed[1])
        assert (journal.verify().good, journal.head().seq) == (401, 401)


def test_twenty_kills_lose_nothing_that_was_confirmed(path):
    written(path, 20)
    chosen = random.Random(20)
    confirmed = []
    for series in range(10):
        pair = started(path, 1_000_000, f"{series}a", f"{series}b")
        for process in pair:
            time.sleep(chosen.random() / 20)
            process.kill()
        for process in pair:
            confirmed += confirmed_by(process)
        with AppendFile.open(path) as journal:
            recorded = ids(journal.documents())
            assert set(confirmed) <= set(recorded)
            assert len(set(recorded)) == len(recorded)
            # Nothing stands in the way of the next record, whatever was going on when they died.
            journal.append(act(1000 + series), expected=len(recorded) + 1)
    assert len(confirmed) > 20
