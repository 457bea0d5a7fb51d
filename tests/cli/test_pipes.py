"""Real processes between other programs: pipes that end, consoles that know few letters, folders without rights."""

from __future__ import annotations

import ctypes
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tagtrack.cli.main import _COMMANDS

PATIENCE_S = 30


def command(root, *words):
    return [sys.executable, "-m", "tagtrack", "--shop", str(root), *words]


def test_where_the_reader_goes_away_what_was_answered_is_recorded_and_the_rest_is_not(job):
    lines = "".join(f"off panel {number} LEFT; none\n" for number in range(200))
    (job.root / "lines.txt").write_text(lines, encoding="utf-8")
    with subprocess.Popen(
        command(job.root, "scan", str(job.root / "lines.txt")), stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as running:
        assert b"panel 0" in running.stdout.readline()
        running.stdout.close()
        told = running.stderr.read().decode()
        assert running.wait(PATIENCE_S) == 5
    assert told == "STOPPED: nobody reads the answers any more; what was answered before this is recorded\n"
    recorded = job("log").out.count("taken off")
    assert 1 <= recorded < 200
    assert job("verify").out.count("good") == 2


def test_where_nobody_reads_even_the_messages_the_exit_code_tells(job):
    """Both ends closed, as by `2>&1 | head` once head has gone."""
    reading, writing = os.pipe()
    os.close(reading)
    ran = subprocess.run(command(job.root, "log"), stdout=writing, stderr=writing, timeout=PATIENCE_S, check=False)
    os.close(writing)
    assert ran.returncode == 5


def test_a_shell_that_completes_words_is_served():
    """The protocol is click's own: the words so far come in variables, the choices go out line by line."""
    asked = {"_TAGTRACK_COMPLETE": "fish_complete", "COMP_WORDS": "tagtrack s", "COMP_CWORD": "s"}
    ran = subprocess.run(
        [sys.executable, "-m", "tagtrack"], capture_output=True, check=False, env={**os.environ, **asked}
    )
    assert ran.returncode == 0, ran.stderr
    offered = {line.split(",")[1].split("\t")[0] for line in ran.stdout.decode().splitlines()}
    assert offered == {name for name in _COMMANDS if name.startswith("s")}
    assert not ran.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="the device that is always full is Linux's own")
def test_answers_that_cannot_be_written_are_a_fault(job):
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run(command(job.root, "log"), stdout=full, stderr=subprocess.PIPE, check=False)
    assert ran.returncode == 5
    assert b"No space left" in ran.stderr


def test_ctrl_c_while_a_file_is_read_leaves_what_was_answered(job):
    with subprocess.Popen(
        command(job.root, "scan", "-"), stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # noqa: PLW1509 - no threads here
    ) as running:  # fmt: skip
        running.stdin.write(b"off panel 1 LEFT; none\n")
        running.stdin.flush()
        while b"OFF  panel 1" not in running.stdout.readline():
            pass
        running.send_signal(signal.SIGINT)
        told = running.stderr.read()
        assert running.wait(PATIENCE_S) == 0
    assert b"nothing is half-written" in told
    assert b"Traceback" not in told
    assert "panel 1, LEFT" in job("status").out


def test_an_ascii_console_takes_names_in_any_script_from_a_file(job):
    names = ("кронштейн", "ברגים", "补助翼", "🛩 wing")
    ran = subprocess.run(
        command(job.root, "scan"), input="".join(f"off {name} LEFT; none\n" for name in names).encode(),
        capture_output=True, check=False, env={**os.environ, "PYTHONIOENCODING": "ascii"},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    told = job("status").out
    for name in names:
        assert f"{name}, LEFT" in told


def test_bytes_that_are_no_text_stay_visible_in_a_name(job):
    """A letter in another code page must not vanish unseen: the name would be another one."""
    ran = subprocess.run(
        command(job.root, "say", "off", os.fsdecode(b"caf\xe9"), "LEFT;", "none"), capture_output=True, check=False
    )
    assert ran.returncode == 0, ran.stderr
    assert "caf\ufffd, LEFT" in job("status").out


def test_what_a_terminal_would_obey_is_not_echoed_from_a_file(job):
    ran = job("scan", typed="off \x1b[2Jpanel\x07 LEFT; none\n", code=0)
    assert "\x1b[2J" not in ran.out
    assert "\x07" not in ran.out


@pytest.fixture
def unwritable(job):
    """A shop whose folders and files may be read but not written."""
    everything = [job.root, *job.root.rglob("*")]
    for path in everything:
        path.chmod(0o555 if path.is_dir() else 0o444)
    yield job
    for path in everything:
        path.chmod(0o755 if path.is_dir() else 0o644)


def without_the_right_to_write_anywhere():
    """Take from root, in the child, what lets root write where the mode forbids it (linux/prctl.h, capability.h)."""
    if os.geteuid() == 0:
        drop_from_bounding_set, dac_override = 24, 1
        if ctypes.CDLL(None, use_errno=True).prctl(drop_from_bounding_set, dac_override, 0, 0, 0) != 0:
            raise OSError(ctypes.get_errno(), "root keeps its rights")


@pytest.mark.parametrize(
    "words",
    [("say", "off", "cover", "LEFT;", "none"), ("zone", "tail", "LEFT"), ("blanks", "2"), ("person", "MB", "Mo")],
    ids=lambda words: words[0],
)
def test_a_shop_that_may_not_be_written_is_a_fault_and_stays_as_it_is(unwritable, words):
    before = {path: path.read_bytes() for path in unwritable.root.rglob("*.jsonl")}
    ran = subprocess.run(
        command(unwritable.root, *words), capture_output=True, check=False,
        preexec_fn=without_the_right_to_write_anywhere,
    )  # fmt: skip
    assert ran.returncode == 5, (ran.stdout, ran.stderr)
    assert b"FAULT" in ran.stderr
    assert b"Traceback" not in ran.stderr
    assert b" ok " not in ran.stdout
    assert {path: path.read_bytes() for path in unwritable.root.rglob("*.jsonl")} == before


@pytest.mark.parametrize("words", [("status",), ("check", "--json"), ("log",), ("verify",), ("report", "--text")])
def test_a_shop_that_may_only_be_read_can_be_read(unwritable, words):
    ran = subprocess.run(
        command(unwritable.root, *words), capture_output=True, check=False,
        preexec_fn=without_the_right_to_write_anywhere,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout
