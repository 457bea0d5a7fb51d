"""How a long line is broken in a terminal: between words, what continues it set in under its own text."""

from __future__ import annotations

import re
import shutil
import textwrap
from typing import TextIO

# where the text of a line begins: behind its mark, behind a column, behind the name of a part of a message
_TEXT = re.compile(r"^ *(?:.{0,36}\S {2,}|(?:expected|came|do): +|-> )?")
# what is read as one: a tag's code in its groups, a count with its callout
ONE = re.compile(r"(?<=\b[0-9A-Z]{4}) (?=[0-9A-Z]{4}\b)|(?<=[\s(]\d) (?=[A-Z]{2})|(?<=[\s(]\d\d) (?=[A-Z]{2})")
KEPT = "\u00a0"
# a terminal narrower than this is broken by itself; and what continues keeps at least so much room
_LEAST = 30


def broken(line: str, width: int) -> str:
    """Return the line broken between words to the width in characters; words, codes and counts stay whole.

    >>> print(broken("    expected: the position with its side: LEFT, RIGHT or CENTRE", 44))
        expected: the position with its side:
                  LEFT, RIGHT or CENTRE
    """
    if len(line) <= width or width < _LEAST:
        return line
    match = _TEXT.match(line)
    lead = len(line) - len(line.lstrip())
    inset = match.end() if match else lead
    if inset == lead or inset > width - _LEAST:
        inset = lead + 2
    filled = textwrap.fill(
        ONE.sub(KEPT, line), width, subsequent_indent=" " * inset, break_long_words=False, break_on_hyphens=False
    )
    return filled.replace(KEPT, " ")


def fitted(line: str, stream: TextIO) -> str:
    """Return the line as it is to be shown there: broken in a terminal, whole in a file or pipe."""
    return broken(line, shutil.get_terminal_size().columns) if stream.isatty() else line
