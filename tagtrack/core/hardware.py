"""Hardware as a mechanic writes it: counts, callouts, and stacks from head to nut.

A stack in order is written in brackets, head first, with a bar where the parts are gripped:

>>> stack = parse("2x [AN3-5A AN960-10 | AN960-10 MS21044N3]")[0]
>>> stack.times, [line.text for line in stack.lines], stack.grip
(2, ['AN3-5A', 'AN960-10', 'AN960-10', 'MS21044N3'], 2)
>>> totals((stack,))
{'AN3-5A': 2, 'AN960-10': 4, 'MS21044N3': 2}

A flat list is taken too; its order is unknown. Free words are welcome:

>>> parse("11 trim screws, short; 2 AN960-10")[0].lines
(Line(count=11, text='trim screws, short', once=False), Line(count=2, text='AN960-10', once=False))

An exclamation mark behind a callout says that the piece is used once: `MS24665-132!`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import lru_cache

from tagtrack.core.axes import Direction, direction_or_none
from tagtrack.core.errors import Refusal
from tagtrack.core.frozen import value
from tagtrack.core.spelling import clean

# more of one spec in one joint than any light aircraft has; a larger number is a slip of the keys
MOST = 999

_FAMILY = re.compile(r"^(?:AN|MS|NASM|NAS)[0-9]")
_COUNT = re.compile(r"^(?P<count>[-+]?[0-9]+)(?: ?[x×*] ?| |$)(?P<rest>.*)$", re.IGNORECASE)
_TIMES = re.compile(r"^(?:(?P<times>[-+]?[0-9]+) ?[x×*]? ?)?\[(?P<inside>[^\[\]]*)\](?P<rest>.*)$", re.IGNORECASE)


@lru_cache(8192)
def spec_key(text: str) -> str:
    """Return the form by which two spellings of one callout are the same: upper case, folded dashes, no blanks.

    Blanks inside a free description stay, so that `trim screws short` and `trimscrews` differ.

    >>> spec_key("an 960 – 10"), spec_key("trim screws, Short")
    ('AN960-10', 'TRIM SCREWS, SHORT')
    """
    upper = re.sub(r"-{2,}", "-", clean(text).upper())
    tight = upper.replace(" ", "")
    return tight if _FAMILY.match(tight) else upper


@value
class Line:
    """So many of one spec, as typed. `once`: a piece that is never used a second time."""

    count: int
    text: str
    once: bool = False

    @property
    def spec(self) -> str:
        """The key of the callout; equivalents are a matter of reading, never written here."""
        return spec_key(self.text)

    def __str__(self) -> str:
        return f"{self.count} {self.text}{'!' if self.once else ''}"


@value
class Stack:
    """One fastener set, `times` over. `grip` counts the lines on the head's side; None: order unknown."""

    lines: tuple[Line, ...]
    times: int = 1
    grip: int | None = None
    # the way the head points; None: not said
    head: Direction | None = None

    @property
    def fasteners(self) -> int:
        """How many fasteners it is: the heads of ordered stacks, the pieces of a list of one spec, else 1 (a set)."""
        if self.is_set:
            return 1
        return self.lines[0].count * (self.times if self.grip is not None else 1)

    @property
    def is_set(self) -> bool:
        """Whether it is a list of several specs: which of them are the fasteners is not known."""
        return self.grip is None and len(self.lines) != 1

    def __str__(self) -> str:
        if self.grip is None:
            return ", ".join(map(str, self.lines))
        shown = [_in_brackets(line) for line in self.lines]
        inside = " ".join([*shown[: self.grip], "|", *shown[self.grip :]])
        return f"{self.times}x [{inside}]" + (f" head {self.head.value}" if self.head else "")


def _in_brackets(line: Line) -> str:
    text = line.text if " " not in line.text else f"'{line.text}'"
    return (f"{line.count} " if line.count != 1 else "") + text + ("!" if line.once else "")


def totals(stacks: Iterable[Stack]) -> dict[str, int]:
    """Return how many of each spec the stacks hold in all, in the order in which they first stand."""
    found: dict[str, int] = {}
    for stack in stacks:
        for line in stack.lines:
            found[line.spec] = found.get(line.spec, 0) + line.count * stack.times
    return found


def total_lines(stack: Stack) -> tuple[Line, ...]:
    """Return the stack as a flat list: one line per spec with its total count."""
    first: dict[str, Line] = {}
    for line in stack.lines:
        first.setdefault(line.spec, line)
    return tuple(Line(n, first[spec].text, first[spec].once) for spec, n in totals((stack,)).items())


def with_counts(stacks: Iterable[Stack], lines: Iterable[Line]) -> tuple[tuple[Stack, ...], tuple[Line, ...]]:
    """Return the stacks with other counts of what they hold, and the lines of which none of them holds any.

    In an ordered stack the count of its head piece says how many stacks there are; of its other pieces just as many
    as those hold are taken.
    """
    counts = {line.spec: line for line in lines}
    made = tuple(_with_counts(stack, counts) for stack in stacks)
    return made, tuple(counts.values())


def _with_counts(stack: Stack, counts: dict[str, Line]) -> Stack:
    # each count is taken out once it was used
    if stack.grip is not None:
        head = counts.pop(stack.lines[0].spec, None)
        made = replace(stack, times=head.count if head else stack.times)
        for spec, count in totals((made,)).items():
            # what is just as many as the stacks hold says nothing else; any other count may mean either
            if spec in counts and counts[spec].count == count:
                del counts[spec]
        return made
    found = [counts.pop(line.spec, None) for line in stack.lines]
    lines = tuple(replace(line, count=other.count) if other else line
                  for line, other in zip(stack.lines, found, strict=True))  # fmt: skip
    return replace(stack, lines=lines)


def text_of(counts: Mapping[str, int]) -> str:
    """Return counts by spec as a flat list in the trade's notation; nothing gives 'nothing'."""
    return ", ".join(f"{n} {spec}" for spec, n in counts.items() if n) or "nothing"


def counted(count: int, what: str) -> int:
    """Return the count; refuse zero, negative and absurd ones."""
    if not 1 <= count <= MOST:
        raise Refusal(
            f"{count} {what} cannot be",
            expected=f"a count from 1 to {MOST}",
            came=str(count),
            todo="count again; leave out what is not there",
        )
    return count


def _line(text: str, *, count: int | None = None) -> Line:
    match = _COUNT.match(text)
    number = count if count is not None else 1
    if match and count is None:
        number, text = int(match["count"]), match["rest"]
    once = text.endswith("!")
    text = text.rstrip("! ").strip("'\" ")
    if not any(c.isalnum() for c in text):
        raise Refusal(
            "a count without hardware",
            expected="a count and what it counts, such as: 4 AN960-10",
            came=text or str(number),
            todo="say what the pieces are; free words will do: 11 trim screws, short",
        )
    if len(text) > 120:
        raise Refusal(
            "the description is too long", expected="at most 120 characters", came=f"{len(text)} characters",
            todo="shorten it",
        )  # fmt: skip
    return Line(counted(number, text), text, once)


def _ordered(match: re.Match[str]) -> Stack:
    inside, rest = match["inside"], match["rest"].strip(" ,")
    sides = inside.split("|")
    if len(sides) > 2:
        raise Refusal(
            "a stack has one grip", expected="one bar, where the parts are: [AN3-5A AN960-10 | AN960-10 MS21044N3]",
            came=f"[{inside}]", todo="keep the bar between what is under the head and what is under the nut",
        )  # fmt: skip
    lists = [_stack_items(part) for part in sides]
    lines = tuple(line for part in lists for line in part)
    if not lines:
        raise Refusal("an empty stack", expected="[head ... | ... nut]", came="[]", todo="name what is in it")
    head = None
    if rest:
        words = rest.split()
        head = direction_or_none(words[-1])
        if words[0].casefold() != "head" or len(words) != 2 or head is None:
            raise Refusal(
                f"'{rest}' behind a stack is not understood", expected="head UP (or DOWN, FWD, AFT, INBD, OUTBD)",
                came=rest, todo="put it into a clause of its own",
            )  # fmt: skip
    times = counted(int(match["times"]), "stacks") if match["times"] else 1
    # without a bar the order is told but the grip is not: all stands on the head's side
    return Stack(lines, times, len(lists[0]), head)


def _stack_items(text: str) -> list[Line]:
    words = re.findall(r"'[^']*'!?|[^\s,]+", text)
    found: list[Line] = []
    waiting: int | None = None
    for word in words:
        if re.fullmatch(r"[-+]?[0-9]+[x×]?", word) and waiting is None:
            waiting = int(word.rstrip("x×"))
            continue
        found.append(_line(word, count=waiting if waiting is not None else 1))
        waiting = None
    if waiting is not None:
        _line(str(waiting))
    return found


def _segments(text: str) -> list[str]:
    """Split at commas and semicolons outside brackets and quotes; glue a comma remark back to its description."""
    parts = re.findall(r"(?:\[[^\]]*\]|'[^']*'|[^,;\[\]])+|[,;]", text)
    segments: list[str] = []
    glue = False
    for part in parts:
        if part in ",;":
            glue = part == ","
            continue
        piece = part.strip()
        if not piece:
            continue
        starts_new = not segments or not glue or "[" in piece or bool(_COUNT.match(piece))
        if starts_new:
            segments.append(piece)
        elif any(c.isdigit() for c in piece):
            raise Refusal(
                f"how many '{piece}'?", expected="a count before each callout: 4 AN960-10, 2 MS21044N3",
                came=text, todo="put the count before it",
            )  # fmt: skip
        else:
            segments[-1] += ", " + piece
    return segments


def parse(text: str) -> tuple[Stack, ...]:
    """Return the stacks that the text names: each bracket one stack, all that stands outside one flat stack.

    Refuses counts of zero, below zero or above 999, and text with nothing to count.
    """
    flat: list[Line] = []
    stacks: list[Stack] = []
    cleaned = clean(text)
    if cleaned.count("[") != cleaned.count("]"):
        raise Refusal(
            "a bracket is missing", expected="2x [AN3-5A AN960-10 | AN960-10 MS21044N3]", came=cleaned,
            todo="close every bracket",
        )  # fmt: skip
    for segment in _segments(cleaned):
        match = _TIMES.match(segment)
        if match:
            stacks.append(_ordered(match))
        else:
            flat.append(_line(segment))
    if flat:
        stacks.append(Stack(tuple(flat)))
    if not stacks:
        raise Refusal(
            "no hardware named", expected="2x [AN3-5A AN960-10 | AN960-10 MS21044N3], or 4 AN525-10R8",
            came=text or "nothing", todo="type count and callout, or 'count later'",
        )  # fmt: skip
    return tuple(stacks)


def parse_flat(text: str) -> tuple[Line, ...]:
    """Return a flat list of counts; brackets are counted out."""
    merged: dict[str, Line] = {}
    for stack in parse(text):
        for line in total_lines(stack):
            before = merged.get(line.spec)
            merged[line.spec] = Line(
                line.count + (before.count if before else 0), line.text, line.once or bool(before and before.once)
            )
    return tuple(merged.values())
