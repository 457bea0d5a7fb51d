"""How a command ends: every kind of trouble has its exit code and its words, and no traceback reaches a user."""

from __future__ import annotations

import pytest

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
