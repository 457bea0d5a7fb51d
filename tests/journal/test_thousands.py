"""A shop of many work orders, looked at whole: one record open at a time, and a bar where somebody waits."""

from __future__ import annotations

import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest
from cli.console import Console
from journal.bench_shop import made

from tagtrack.cli import progress

COUNT = 60


@pytest.fixture
def many(tmp_path):
    """A shop of sixty work orders."""
    made(tmp_path / "many", COUNT)
    return Console(tmp_path / "many")


@pytest.fixture
def few_files():
    """As many open files as the program has now, and ten more; usual systems allow a thousand, or 256."""
    resource = pytest.importorskip("resource", reason="open files cannot be limited there")
    if not Path("/proc/self/fd").is_dir():
        pytest.skip("this system does not list open files")
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    highest = max(int(path.name) for path in Path("/proc/self/fd").iterdir())
    resource.setrlimit(resource.RLIMIT_NOFILE, (highest + 20, hard))
    yield
    resource.setrlimit(resource.RLIMIT_NOFILE, (soft, hard))


@pytest.mark.usefixtures("few_files")
def test_many_work_orders_are_listed_and_verified_with_few_open_files(many):
    assert many("jobs").out.count("6 open, 0 wrong now") == COUNT
    assert many("verify").out.count("good, record check number") == COUNT + 1
    (many.root / "index.json").unlink()
    refused = many("status", code=4)
    assert "which work order?" in refused.err


def test_one_that_cannot_be_read_or_understood_hides_no_other(many):
    (many.root / "jobs/WO-7/journal.jsonl").unlink()
    (many.root / "jobs/WO-9/journal.jsonl").write_bytes(b"")
    listed, verified = many("jobs", code=5).out, many("verify", code=5).out
    assert listed.count("open, ") == COUNT - 2
    assert verified.count("good, record check number") == COUNT - 1
    for name in ("WO-7 ", "WO-9 "):
        assert [line for line in listed.splitlines() if line.startswith(name) and "NOT READABLE" in line]
        assert [line for line in verified.splitlines() if line.startswith(name) and "good" not in line]


def test_nothing_of_how_far_it_is_comes_into_a_pipe(many, monkeypatch):
    monkeypatch.setattr(progress, "_PATIENCE_S", 0)
    assert many("jobs").err == many("verify").err == ""


SHOWN = """
import sys
from tagtrack.cli import progress
progress._PATIENCE_S = float(sys.argv.pop(1))
from tagtrack.cli.main import run
run()
"""


@pytest.mark.parametrize(("patience_s", "shown"), [("0", True), ("999", False)])
@pytest.mark.parametrize("command", ["jobs", "verify"])
def test_at_a_terminal_somebody_who_waits_sees_how_far_it_is_apart_from_the_answers(many, patience_s, shown, command):
    handle, inside = pty.openpty()
    running = subprocess.Popen(
        [sys.executable, "-c", SHOWN, patience_s, "--shop", str(many.root), command], stderr=inside,
        stdout=subprocess.PIPE, env={**os.environ, "TERM": "xterm", "PYTHONPATH": str(Path(__file__).parents[2])},
    )  # fmt: skip
    os.close(inside)
    answers = running.communicate()[0].decode()
    seen = b""
    while True:
        try:
            piece = os.read(handle, 65536)
        except OSError:
            # what a Linux pseudo terminal says when nobody has its other end any more
            break
        if not piece:
            break
        seen += piece
    os.close(handle)
    assert (b"reading the records" in seen) is shown
    assert (b"100%" in seen) is shown
    assert "reading" not in answers
    assert answers.count("WO-") == COUNT
