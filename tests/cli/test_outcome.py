"""How a command ends: every kind of trouble has its exit code and its words, and no traceback reaches a user."""

from __future__ import annotations

import errno
import io

import pytest

from tagtrack.cli.main import run
from tagtrack.cli.outcome import Exit, guarded
from tagtrack.core.errors import Conflict, Damaged, Fault, Full, Objection, Refusal, Slip


def raising(trouble):
    def work():
        raise trouble

    return work


@pytest.mark.parametrize(
    ("trouble", "code", "head"),
    [
        (Refusal("no", expected="yes", came="no", todo="say yes"), Exit.REFUSED, "REFUSED: no"),
        (Slip("misread"), Exit.REFUSED, "REFUSED: misread"),
        (Conflict("others wrote"), Exit.REFUSED, "REFUSED"),
        (Objection("really?", kind="swapped"), Exit.REFUSED, "REFUSED: really?"),
        (Fault("torn"), Exit.FAULT, "FAULT: torn"),
        (Damaged("line 3"), Exit.FAULT, "FAULT: line 3"),
        (Full("no room"), Exit.FAULT, "FAULT: no room"),
        (OSError(28, "No space left on device", "/x/tags.pdf"), Exit.FAULT, "No space left on device: /x/tags.pdf"),
        (BrokenPipeError(), Exit.FAULT, "STOPPED: nobody reads the answers any more"),
        (OSError("odd"), Exit.FAULT, "FAULT: odd"),
        (KeyboardInterrupt(), Exit.CLEAN, "STOPPED"),
        (ValueError("a fault of ours"), Exit.CRASH, "CRASH: the program failed: ValueError: a fault of ours"),
    ],
)
def test_each_trouble_has_its_code_and_its_words(trouble, code, head, capsys):
    assert guarded(raising(trouble)) == code
    told = capsys.readouterr().err
    assert head in told
    assert "Traceback" not in told


def test_the_parts_of_a_refusal_are_told_below_each_other(capsys):
    guarded(raising(Refusal("no", expected="yes", came="no", todo="say yes")))
    assert capsys.readouterr().err == "REFUSED: no\n  expected: yes\n  came:     no\n  do:       say yes\n"


def test_developers_may_ask_for_the_traceback(monkeypatch, capsys):
    monkeypatch.setenv("TAGTRACK_TRACEBACK", "1")
    guarded(raising(ValueError("x")))
    assert "Traceback" in capsys.readouterr().err


def test_nothing_wrong_is_zero():
    assert guarded(lambda: None) == 0


def test_messages_that_nobody_reads_do_not_change_the_exit_code(monkeypatch):
    class Gone:
        def isatty(self):
            return False

        def write(self, text):
            raise BrokenPipeError(text)

    monkeypatch.setattr("sys.stderr", Gone())
    assert guarded(raising(Refusal("no"))) == Exit.REFUSED


def test_a_reader_that_goes_away_stops_the_command_and_is_no_crash(monkeypatch):
    class Gone(io.StringIO):
        def write(self, text):
            raise BrokenPipeError(errno.EPIPE, "Broken pipe", text)

    monkeypatch.setattr("sys.argv", ["tagtrack", "templates"])
    monkeypatch.setattr("sys.stdout", Gone())
    monkeypatch.setattr("sys.stderr", told := io.StringIO())
    with pytest.raises(SystemExit) as leaving:
        run()
    assert leaving.value.code == Exit.FAULT
    assert told.getvalue().startswith("STOPPED: nobody reads the answers any more")


def test_a_shell_is_told_how_to_complete_words(monkeypatch, capsys):
    monkeypatch.setenv("_TAGTRACK_COMPLETE", "fish_source")
    monkeypatch.setattr("sys.argv", ["tagtrack"])
    with pytest.raises(SystemExit) as leaving:
        run()
    assert leaving.value.code == 0
    assert "complete" in capsys.readouterr().out
