"""The kinds of trouble the program tells people about.

Three kinds are never mixed. A *finding* is a value (see `findings`): something about the aircraft
is not as it should be. A *refusal* is an exception: what was asked cannot be recorded, nothing was
written. A *fault* is an exception: the shop's own files or machine are in trouble.

Every message has the same four parts, because a mechanic with dirty hands reads only one of them:
what is wrong, what was expected, what came, and what to do next.
"""

from __future__ import annotations


class Trouble(Exception):  # noqa: N818 - a refusal is not an error of the program
    """What went wrong, in four parts that are told to a person."""

    def __init__(self, what: str, *, expected: str = "", came: str = "", todo: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.expected = expected
        self.came = came
        self.todo = todo

    def lines(self) -> tuple[str, ...]:
        """Return the message as lines for a screen, leaving out the parts that are empty."""
        parts = (
            self.what,
            f"expected: {self.expected}" if self.expected else "",
            f"came:     {self.came}" if self.came else "",
            f"do:       {self.todo}" if self.todo else "",
        )
        return tuple(part for part in parts if part)

    def __str__(self) -> str:
        return "\n".join(self.lines())


class Refusal(Trouble):
    """What was asked cannot be recorded as asked. Nothing was written."""


class SideUnsaid(Refusal):
    """A position was typed without its side."""


class Slip(Refusal):
    """A code that was misread or mistyped: its check character does not fit."""


class Conflict(Refusal):
    """Somebody else recorded something in between. Nothing was written; read again and retry."""


class Objection(Refusal):
    """What was asked is wrong, but may really have been done.

    It is asked first; given again with a reason it is recorded, and the reason with it.
    """

    def __init__(
        self, what: str, *, kind: str, expected: str = "", came: str = "", todo: str = ""
    ) -> None:
        super().__init__(what, expected=expected, came=came, todo=todo)
        self.kind = kind

    @property
    def asked(self) -> str:
        """What was asked, with its kind before it: by this a reason is held to the question that it was given to."""
        return f"{self.kind}: {self.what}"


class Fault(Trouble):
    """The shop's own files or machine are in trouble: a damaged record, an unreadable template."""


class Damaged(Fault):
    """A record on disk is not what was written. What is readable stays readable; writing stops."""


class Full(Fault):
    """A record could not be written to disk, and is not there: no room, no right, a failing disk."""
