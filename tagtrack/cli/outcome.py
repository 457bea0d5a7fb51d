"""How a command ends: the exit codes, and the one place where trouble becomes a message."""

from __future__ import annotations

import os
import sys
import traceback
from collections.abc import Callable
from contextlib import suppress
from enum import IntEnum, unique

from tagtrack.core.errors import Fault, Trouble


@unique
class Exit(IntEnum):
    """Every exit code that a script may meet."""

    # done; for `check`: no finding stands without an answer
    CLEAN = 0
    # the program itself failed; please report it
    CRASH = 1
    # click: an unknown command or option
    USAGE = 2
    # `check`: something stands that nobody has answered
    FINDINGS = 3
    # what was asked cannot be recorded; nothing was written
    REFUSED = 4
    # the shop's own files or machine are in trouble
    FAULT = 5


def guarded(work: Callable[[], None]) -> int:
    """Run a command and return its exit code, turning every trouble into a message on standard error."""
    try:
        work()
    except Fault as fault:
        _say("FAULT", fault.lines())
        return Exit.FAULT
    except Trouble as refusal:
        _say("REFUSED", refusal.lines())
        return Exit.REFUSED
    except KeyboardInterrupt:
        _say("STOPPED", ("what was answered before this is recorded; nothing is half-written",))
        return Exit.CLEAN
    except BrokenPipeError:
        _say("STOPPED", ("nobody reads the answers any more; what was answered before this is recorded",))
        return Exit.FAULT
    except OSError as problem:
        where = f": {problem.filename}" if problem.filename else ""
        _say("FAULT", (f"{problem.strerror or problem}{where}", "do:       look at disk, folder and your rights"))
        return Exit.FAULT
    except Exception as crash:  # noqa: BLE001 - no traceback reaches a user; this is the last place to see to that
        _say("CRASH", (f"the program failed: {type(crash).__name__}: {crash}",
                       "nothing that was answered before is lost",
                       "do:       run it again with TAGTRACK_TRACEBACK=1 and send what it prints to its developers"))
        if os.environ.get("TAGTRACK_TRACEBACK"):
            traceback.print_exc()
        return Exit.CRASH
    return Exit.CLEAN


def _say(head: str, lines: tuple[str, ...]) -> None:
    from tagtrack.cli.wrapping import fitted

    first, *rest = lines
    # where even the messages are read by nobody, the exit code must do
    with suppress(OSError):
        print(fitted(f"{head}: {first}", sys.stderr), file=sys.stderr)  # noqa: T201 - a broken click must not hide the message
        for line in rest:
            print(fitted(f"  {line}", sys.stderr), file=sys.stderr)  # noqa: T201 - same
