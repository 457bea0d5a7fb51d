"""From the fields of a form to one line of the scan loop. Pure: the page's forms say nothing that a line cannot."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from tagtrack.core.check_rest import ROWS
from tagtrack.core.errors import Refusal
from tagtrack.core.records import LossOutcome


@dataclass(frozen=True, slots=True)
class Fields:
    """The fields of a form, each with every value that came under its name."""

    values: Mapping[str, Sequence[str]]

    def get(self, name: str, default: str = "") -> str:
        """Return the first value, or the default."""
        return next(iter(self.values.get(name, ())), default)

    def getlist(self, name: str) -> Sequence[str]:
        """Return every value."""
        return self.values.get(name, ())


def line_of(fields: Fields) -> str:
    """Return the line that a form says; refuse a form that is not known."""
    form = fields.get("form", "say")
    if form not in FORMS:
        raise Refusal(f"'{form}' is no form of this page", expected=", ".join(FORMS), came=form,
                      todo="load the page again")  # fmt: skip
    return FORMS[form](fields)


def _said(fields: Fields) -> str:
    return fields.get("line")


def _off(fields: Fields) -> str:
    """`off POSITION SIDE; marks; hardware; ...` of the removal form."""
    where = _where(fields)
    marks = [f"{feature} {way}" for feature in ("mark", "arrow") if (way := fields.get(feature))]
    hardware = _one(fields.get("hardware").strip(), fields.get("usual").strip())
    kept = fields.get("kept")
    clauses = [
        f"off {where}", ", ".join(marks), f"mount {fields.get('mount')}" if fields.get("mount") else "",
        "critical" if fields.get("critical") else "", hardware, kept if kept != "bag" else "",
        *(f"{word} {said}" for word in ("put", "closes", "pn", "sn") if (said := _clause(fields.get(word)))),
        fields.get("more"),
    ]  # fmt: skip
    return "; ".join(clause.strip() for clause in clauses if clause.strip())


def _where(fields: Fields, of: str = "side") -> str:
    """Return the position and side of what came off or apart; both have to be said."""
    position, side = _clause(fields.get("position")), fields.get(of)
    if not position or not side:
        raise Refusal("what came off, and on which side?", expected="the position and LEFT, CENTRE or RIGHT",
                      came=f"{position or 'no position'}, {side or 'no side'}", todo="say both")  # fmt: skip
    return f"{position} {side}"


def _apart(fields: Fields) -> str:
    """`disconnect POSITION SIDE; A: terminal 3; B: terminal 4; keyed; critical`."""
    ends = [f"{end}: {said}" for end in "AB" if (said := _clause(fields.get(f"end-{end}")))]
    told = [word for word in ("keyed", "critical") if fields.get(word)]
    return "; ".join((f"disconnect {_where(fields, 'wire-side')}", *ends, *told))


def _one(typed: str, chosen: str) -> str:
    """Return the hardware that was typed or chosen; which of them, where both say something else, is asked."""
    if typed and chosen and typed != chosen:
        raise Refusal("two things are said about its hardware: which is it?", expected="one of the two",
                      came=f"typed {typed}, and chosen {chosen}",
                      todo="clear what was typed, or choose: none of these")  # fmt: skip
    return typed or chosen


def _same(fields: Fields) -> str:
    """`same`, with the position where it is named, and a count that differs."""
    position, side = _clause(fields.get("position")), fields.get("side")
    line = f"same {position} {side}".strip() if position else "same"
    other = fields.get("hardware").strip()
    return f"{line}; {other}" if other else line


def _on(fields: Fields) -> str:
    """The marks as seen, by name, in the order in which they were recorded; `on` where there are none."""
    seen = [f"{feature} {way}" for feature in fields.getlist("feature") if (way := fields.get(f"way-{feature}"))]
    return f"{'trial' if fields.get('trial') else 'on'} {' '.join(seen)}".strip()


def _all_in(fields: Fields) -> str:
    """`all in new finger no tight VALUE safe`, as far as each was pressed."""
    if everything := fields.get("everything"):
        # one press for all of it, with the torque that was typed
        words = ["all in", "new" if " new" in everything else "", "finger no" if "finger" in everything else "",
                 f"tight {fields.get('torque').strip()}", "safe"]  # fmt: skip
        return " ".join(word.strip() for word in words if word.strip())
    words = ["all in" if fields.get("all") else "", "new" if fields.get("new") else ""]
    words.append(f"finger {fields.get('finger')}" if fields.get("finger") else "")
    if fields.get("tight") or fields.get("torque"):
        words.append(f"tight {fields.get('torque').strip()}")
    words.append("safe" if fields.get("safe") else "")
    return " ".join(word.strip() for word in words if word.strip())


def _count(fields: Fields) -> str:
    """`in 3 AN960-10`, `new 2 MS24665-132`, `out ...`, `lost ...`, for one count and callout."""
    word = fields.get("word", "in")
    count, spec = fields.get("count", "1").strip(), fields.get("spec").strip()
    if not spec:
        raise Refusal("which piece is it?", expected="one of the pieces that are named there", came="none",
                      todo="choose it, and press again")  # fmt: skip
    return f"{word} {count} {spec}"


def _inspect(fields: Fields) -> str:
    """`inspect POSITION SIDE; assembly: SEEN; ...`, only the rows that say something."""
    rows = [f"{row}: {_clause(fields.get(f'row-{row}'))}" for row, _ in ROWS if fields.get(f"row-{row}").strip()]
    return "; ".join((f"inspect {_clause(fields.get('position'))}", *rows))


def _complete(fields: Fields) -> str:
    """`complete AREA; clear: SEEN; covers: SEEN`."""
    rows = [f"{row}: {_clause(fields.get(row))}" for row in ("clear", "covers") if fields.get(row).strip()]
    return "; ".join((f"complete {_clause(fields.get('zone'))}", *rows))


def _connect(fields: Fields) -> str:
    """`connect CODE; terminal 3`: an end was put where its finder read the terminal."""
    return f"connect {_clause(fields.get('code'))}; {_clause(fields.get('terminal'))}"


def _tags(fields: Fields) -> str:
    """`tags back 52`: counted in the hand."""
    return f"tags back {fields.get('count').strip()}"


def _worded(fields: Fields) -> str:
    """A word, what it is about, and what was seen or why: `look POSITION SIDE: seen`, `answer MARK because why`."""
    word, about, text = fields.get("word"), fields.get("about"), fields.get("text").strip()
    between = " because " if word in _WITH_REASON else ": "
    return f"{word} {about}{between}{text}" if text else f"{word} {about}".strip()


def _accept(fields: Fields) -> str:
    """`case L1 accepted by NAME: how`: a loss that two people give up; the PIN is asked for after it."""
    second = _clause(fields.get("second")).replace(":", " ")
    outcome = fields.get("outcome", LossOutcome.ACCEPTED.value)
    return f"case {fields.get('about')} {outcome} by {second}: {fields.get('text').strip()}"


_WITH_REASON = frozenset({"answer", "design", "scrap", "void", "reprint", "undo", "condition"})

FORMS: Mapping[str, Callable[[Fields], str]] = {
    "say": _said, "off": _off, "apart": _apart, "same": _same, "on": _on, "all-in": _all_in, "count": _count,
    "inspect": _inspect, "complete": _complete, "worded": _worded,
    "accept": _accept, "tags": _tags, "connect": _connect,
}  # fmt: skip


def _clause(text: str) -> str:
    """Return a field as one clause: a semicolon would begin another."""
    return text.replace(";", ",").strip()
