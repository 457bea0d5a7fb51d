"""What is told to whoever types, said for whoever presses: where the page has a button or form, that is named. Pure.

Everything that can be typed works on the page too, so that a hint without a button of its own stays as it is. What
people themselves said is never changed: each pattern is a hint as the program words it, with its colons.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_MARK = r"([0-9A-F]{6})"
_CASE = r"case (L\d+)"
# one answer may hold several lines
HINTS = tuple((re.compile(typed, re.MULTILINE), pressed) for typed, pressed in (
    # a question has both its buttons below it
    (r"^really so\? type:.*$", ""),
    (r"\s+then say: new$", ""),
    (r"scan (a|the) bag's tag, or say: hole$", r"scan \1 bag's tag, or press on its page: It is back in its hole"),
    (r"says it too: by (\w+), then: case L\d+ .*$",
     r"says it too: change over to \1, open Check, press: \1 SAYS IT TOO"),
    (rf"{_CASE} searched WHERE: how;   case L\d+ found: where;", r"open Check, case \1: FOUND, or Searched;"),
    (rf"{_CASE} searched AREA: how; then case L\d+ found: where; or not aboard by NAME: how, or accepted by NAME: how$",
     r"open Check, case \1"),
    (rf"{_CASE} searched AREA: how, before", r"Check, case \1: Searched, before"),
    (rf"(?:search first: )?{_CASE} searched [^:]+: how$", r"search, and say how: open Check, case \1: Searched"),
    (rf"design {_MARK} because \.\.\., or answer \1 because \.\.\.",
     r"open Check, \1: By design of the type, or Answer"),
    (rf"(design|answer) {_MARK} because \.\.\.", r"open Check, \2: Answer it"),
    (r"(?:look at the list|or answer it after): check$", "open Check"),
    (r"look at (?:the list|what is open): status$", "look at the board"),
    (r"look at the history: tagtrack log$", "look at its page: History"),
    (r"(?<=: )inspect [^;:]+; not available: REASON$", "press Inspect: No second person is to be had"),
    (r"^(\s*-> |\s*|do:\s+)somebody who did none of this work(?: looks)?: inspect [^;]+; [a-z ]+: what was seen$",
     r"\1somebody who did none of this work looks: Inspect, on its page"),
    (r"the one who watches says which way it moved: inspect [^;]+; sense: \.\.\.$",
     "the one who watches says which way it moved: Inspect, in the row sense"),
    (r"the other one says: command [^:]+: what was moved;   then again$",
     "the other one says what was moved: Inspect, Commanded; then again"),
    (r"and say so: tight$", "and press TIGHT"),
    (r"and say so: safe$", "and press SAFE"),
    (r"try it, and say: at [^:]+, then: finger no;   it does run on: finger yes, and fit new ones$",
     "try it, scan its tag or bag, and say what it does there; where it does run on, fit new ones"),
    (r"scan (its bag|the bag's tag),? (?:and|then) say: all in$", r"scan \1, and press ALL IN"),
    # what was kept in its hole has no bag, and is shown with its part
    (r"(?:and )?say(?: so)?: at [^:;]+, then: (?:all in|in \d+ [^;]+)(?=;   or|$)", "scan its tag, and press ALL IN"),
    (r"check again, then: sign off$", "Check again, then Close up: SIGN OFF"),
    (r"undo the sign-off first: undo sign-off because \.\.\.$", "first open Close up: Take the sign-off back"),
    (r"complete AREA; clear: what was counted; covers: which are on$", "open Close up, and say both of the area"),
    (r"look, and say what you saw: (?:clear|covers) [^:]+: \.\.\.$", "look, and say what you saw: Close up"),
    (r"connect it and say so: connect TAG$", "connect it, scan its tag, and press CONNECTED"),
    (r"^(\s*it lies on the bench: put it in): in \d+ .+$", r"\1: scan its bag, and press IN"),
    (r"to try the fit say: trial; to hold it", "to try the fit press Trial fit; to hold it"),
    (r"(?i)(scan the zone card(?: of where you are)?), or say: (?:at POSITION(?: SIDE)?|zone [^:;]+)$",
     r"\1, or choose it on the board"),
    (r"a lost tag is ended with: void CODE because \.\.\.$",
     "a lost tag is ended there: Close up, A tag is lost or torn"),
    (r"count the tags that came back; all of them: tags back \d+$",
     "count the tags that came back: Close up, Tags back in the box"),
))  # fmt: skip
# a line without any of these holds no hint; every press is answered, and most answers hold none
_TELLING = ("say", "type:", "case L", "because ...", ": check", ": status", "tagtrack log", "inspect ", ": sign off",
            "AREA;", "tags back", "put it in: ")  # fmt: skip


def by_press(lines: Sequence[str]) -> tuple[str, ...]:
    """Return what is told, with the page's own buttons in the place of words to be typed; without what goes empty."""
    return tuple(line for line in map(_said, lines) if line.strip())


def _said(line: str) -> str:
    if not any(word in line for word in _TELLING):
        return line
    for typed, pressed in HINTS:
        line = typed.sub(pressed, line)
    return line
