"""The scan loop in a real terminal: a hand scanner that types fast, Ctrl-C in the middle, a narrow console."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import subprocess
import sys
import termios
import time

from cli.console import Console

PATIENCE_S = 20


def like_a_login():
    """Make the pseudo terminal the one that Ctrl-C comes from; whoever started us may have turned that off."""
    signal.signal(signal.SIGINT, signal.default_int_handler)
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)


class Terminal:
    """The scan loop on a pseudo terminal."""

    def __init__(self, root, **environment):
        self.handle, inside = pty.openpty()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tagtrack", "--shop", str(root), "scan"],
            stdin=inside, stdout=inside, stderr=inside, start_new_session=True,
            env={**os.environ, "TERM": "xterm", **environment},
            preexec_fn=like_a_login,  # noqa: PLW1509 - there are no threads here
        )  # fmt: skip
        os.close(inside)
        self.seen = ""

    def sees(self, text, times=1, patience_s=PATIENCE_S):
        """Read until the text has been seen so often, or patience ends; tell whether it was."""
        limit = time.monotonic() + patience_s
        while self.seen.count(text) < times and time.monotonic() < limit:
            if select.select([self.handle], [], [], 0.2)[0]:
                try:
                    self.seen += os.read(self.handle, 65536).decode(errors="replace")
                except OSError:
                    break
        return self.seen.count(text) >= times

    def until(self, text, times=1):
        """Read until the text has been seen so often."""
        assert self.sees(text, times), self.seen

    def type(self, text):
        os.write(self.handle, text.encode())

    def end(self):
        try:
            return self.process.wait(PATIENCE_S)
        finally:
            self.process.kill()
            os.close(self.handle)


def test_a_scanner_that_types_lines_faster_than_they_are_answered_loses_none(job):
    terminal = Terminal(job.root)
    terminal.until("scan a tag or type a word")
    terminal.type("".join(f"off panel {number} LEFT; 4 AN525-10R8\r" for number in range(12)))
    terminal.until("OFF  panel 11, LEFT")
    terminal.type("quit\r")
    terminal.until("everything answered above is recorded")
    terminal.until("24 tags to print")
    assert terminal.end() == 0
    assert "OPEN: 24" in job("status").out


def test_codes_scanned_in_one_burst_put_a_part_back(job):
    """A scanner that types sends each code and Enter, and nothing else; a person types the words between."""
    job("say", "off", "weight", "LEFT;", "mark UP, arrow FWD; 2 AN3-5A")
    part, bag = re.findall(r"([0-9A-Z]{4} [0-9A-Z]{4}(?: [0-9A-Z])?)  (?:part|bag)", job("say", "tags").out)
    terminal = Terminal(job.root)
    terminal.until("scan a tag or type a word")
    burst = (part.replace(" ", ""), "at weight left", part.lower(), "up fwd", bag.replace(" ", ""), "all in tight")
    terminal.type("".join(f"{line}\r" for line in burst))
    terminal.until("ALL IN TIGHT  weight, LEFT")
    terminal.type("tags back 2\rclear aircraft: all tools back\rcovers aircraft: none was off\rquit\r")
    terminal.until("everything answered above is recorded")
    assert terminal.end() == 0
    assert "!!!" not in terminal.seen
    assert "CLEAN" in job("check").out


def test_a_wrong_answer_rings_the_bell(job):
    terminal = Terminal(job.root)
    terminal.until(" > ")
    terminal.type("off panel\r")
    terminal.until("which side is 'panel' on?")
    assert "\a" in terminal.seen
    terminal.until(" > ", times=2)
    terminal.type("\x04")
    assert terminal.end() == 0


def test_ctrl_c_leaves_everything_that_was_answered(job):
    terminal = Terminal(job.root)
    terminal.until(" > ")
    terminal.type("off panel 1 LEFT; 4 AN525-10R8\r")
    terminal.until("OFF  panel 1, LEFT")
    terminal.until(" > ", times=2)
    terminal.type("off panel 2 LE")
    terminal.until("off panel 2 LE")
    # the line editor may miss a key press that comes while it draws: one presses again
    for _ in range(PATIENCE_S):
        terminal.type("\x03")
        if terminal.sees("nothing is half-written", patience_s=1):
            break
    terminal.until("nothing is half-written")
    assert terminal.end() == 0
    assert "Traceback" not in terminal.seen
    assert "panel 2" not in job("status").out
    assert "panel 1, LEFT" in job("status").out
    assert job("verify").out.count("good") == 2


def test_a_narrow_console_shows_what_it_can_and_never_ends_the_program(job):
    ran = subprocess.run(
        [sys.executable, "-m", "tagtrack", "--shop", str(job.root), "say", "off", "кронштейн", "LEFT;", "none"],
        capture_output=True, check=False, env={**os.environ, "PYTHONIOENCODING": "latin-1"},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert re.search(rb"OFF  \?+, LEFT", ran.stdout)
    assert "кронштейн" in job("status").out


def test_long_answers_are_broken_between_words(job):
    terminal = Terminal(job.root, COLUMNS="60", LINES="24")
    terminal.until(" > ")
    terminal.type("off panel\r")
    terminal.until("do:  ")
    terminal.until(" > ", times=2)
    terminal.type("quit\r")
    assert terminal.end() == 0
    told = [line.rstrip() for line in re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", terminal.seen).splitlines()]
    at = next(number for number, line in enumerate(told) if "expected:" in line)
    assert told[at].endswith("LEFT, RIGHT or")
    assert told[at + 1] == " " * 14 + "CENTRE (also for the only one of its kind)"


def test_letters_typed_outside_the_code_page_stay_visible_and_never_end_the_loop(job):
    terminal = Terminal(job.root, PYTHONIOENCODING="ascii")
    terminal.until(" > ")
    terminal.type("off wing 补 LEFT; none\r")
    terminal.until("OFF  wing")
    terminal.until(" > ", times=2)
    terminal.type("quit\r")
    assert terminal.end() == 0
    assert "CRASH" not in terminal.seen
    assert "wing \ufffd\ufffd\ufffd, LEFT" in job("status").out


def test_a_shop_folder_that_cannot_be_written_is_told(tmp_path):
    (tmp_path / "file").write_text("not a folder", encoding="utf-8")
    ran = Console(tmp_path / "x")("setup", str(tmp_path / "file" / "hangar"), code=5)
    assert "cannot be made" in ran.err
