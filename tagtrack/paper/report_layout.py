"""A sheet as pages of ink: verdict first and large, loud sections boxed, then the rest, cautions, signatures, foot.

Lengths are in millimetres, sizes in points; they are our own choices for a sheet read at a desk and filed.
"""

from __future__ import annotations

from dataclasses import dataclass

from tagtrack.core.sheets import NAME, Section, Sheet, Signature, Table
from tagtrack.core.stack_shape import StackShape
from tagtrack.paper.characters import paragraphs
from tagtrack.paper.flow import PITCH, ROW_AIR, Flow
from tagtrack.paper.fonts import CAPITAL, POINT, Font, drawable, width
from tagtrack.paper.ink import Box, Ink, Page, Stroke, Text, block_ink, frame, moved
from tagtrack.paper.shares import shares, weights_of
from tagtrack.paper.stack_drawing import Figure, lettered
from tagtrack.paper.text import fit, fit_block, height_of, wrap

_MARGIN = 15.0
# under the print: rule, two lines of foot, and what printers cannot reach
_FOOT_ROOM = 13.0
_FRAME_INSET = 3.0

# of the width, the most that a drawing beside a note takes; and the gap between them
_PICTURE, _PICTURE_GAP = 0.5, 5.0

# room under a signature's line for what it asks for, and between two that stand side by side
_UNDER_PEN, _BESIDE_PEN = 8.0, 8.0
# shares of the width that the lines for a pen take; any other takes as much as a name
_SHARES = {"Signature": 0.36, NAME: 0.29, "Certificate number": 0.2, "Date": 0.15}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Setting:
    """How large a sheet is set, in points, and how close, in millimetres."""

    top: float = 15
    above_foot: float = 4
    title: float = 17
    verdict: float = 22
    verdict_pad: float = 4.0
    heading: float = 11.5
    loud_heading: float = 15
    loud: float = 10.5
    gap: float = 3.5
    row_air: float = ROW_AIR
    # room above a signature's line for a hand with a pen
    ink_room: float = 13.0
    # whether a section that is no table goes without a rule under its heading
    plain_notes: bool = False


_AT_A_DESK = _Setting()
_STANDING = _Setting(
    top=12, above_foot=2, title=14, verdict=17, verdict_pad=2.5, heading=10, loud_heading=11, loud=9, gap=2,
    row_air=0.4, ink_room=8, plain_notes=True,
)  # fmt: skip


def report_pages(sheet: Sheet, *, wide: float, high: float) -> tuple[Page, ...]:
    """Return the sheet as pages of that size in millimetres, every cell whole, the foot on each."""
    how = _STANDING if sheet.dense else _AT_A_DESK
    bottom = high - _FOOT_ROOM - how.above_foot
    flow = Flow(left=_MARGIN, right=wide - _MARGIN, top=how.top, bottom=bottom, row_air=how.row_air)
    flow.on_new_page(lambda: _running_head(flow, sheet.title))
    _head(flow, sheet, how)
    for section in sheet.sections:
        (_loud if section.loud else _plain)(flow, section, how)
    _cautions(flow, sheet.cautions, how)
    for signatures in [sheet.signatures] if sheet.dense else [(each,) for each in sheet.signatures]:
        _signatures(flow, signatures, how)
    flow.finish()
    total = len(flow.pages)
    return tuple(
        Page(width=wide, height=high, ink=(*ink, *_foot(sheet.foot, number, total, wide, high)))
        for number, ink in enumerate(flow.pages, start=1)
    )


def _head(flow: Flow, sheet: Sheet, how: _Setting) -> None:
    title = fit_block(sheet.title, Font.BOLD, room=flow.width, height=25, size=how.title, least=9)
    flow.put(*block_ink(title, Font.BOLD, x=flow.left, y=flow.y))
    flow.y += title.height + 3
    if sheet.verdict:
        pad = how.verdict_pad
        verdict = fit_block(sheet.verdict, Font.BOLD, room=flow.width - 2 * pad, height=40, size=how.verdict, least=9)
        box_high = verdict.height + 2 * pad - 1
        flow.put(
            frame(flow.left + 0.5, flow.y + 0.5, flow.width - 1, box_high - 1, pen=1.0),
            *block_ink(verdict, Font.BOLD, x=flow.left + pad, y=flow.y + pad),
        )
        flow.y += box_high + how.gap
    if sheet.facts:
        # two pairs to a row: the block is read once, and should leave the page to the findings
        rows = [
            tuple(part for fact in (*sheet.facts[at : at + 2], ("", ""))[:2] for part in fact)
            for at in range(0, len(sheet.facts), 2)
        ]
        shape = [flow.width * share for share in (0.16, 0.34, 0.16, 0.34)]
        fonts = (Font.REGULAR, Font.BOLD, Font.REGULAR, Font.BOLD)
        flow.table((), rows, shape, size=8.5, fonts=fonts, ruled=False)
        flow.y += 2


def _running_head(flow: Flow, title: str) -> None:
    line = fit(f"{title}, continued", Font.REGULAR, room=flow.width, size=8, least=5)
    flow.put(Text(x=flow.left, y=flow.y + CAPITAL * line.size * POINT, text=line.text, size=line.size))
    flow.y += 6


def _plain(flow: Flow, section: Section, how: _Setting) -> None:
    flow.y += how.gap
    figure = _figure(flow, section.picture) if section.picture is not None else None
    flow.need(24 if figure is None else 14 + _beside_height(flow, section.note, figure, size=8.5))
    flow.text(section.heading, Font.BOLD, how.heading)
    if how.plain_notes and section.table is None:
        flow.text(section.note, Font.REGULAR, 8.5)
        return
    flow.put(Stroke(points=((flow.left, flow.y + 0.4), (flow.right, flow.y + 0.4)), pen=0.4))
    flow.y += 1.8
    _body(flow, section, size=8.5)


def _loud(flow: Flow, section: Section, how: _Setting) -> None:
    flow.y += how.gap + 0.5
    flow.need(34)
    room = flow.width - 2 * _FRAME_INSET
    heading = fit_block(section.heading.upper(), Font.BOLD, room=room, height=30, size=how.loud_heading, least=9)
    bar = heading.height + 4.0
    flow.open_frame(_FRAME_INSET)
    flow.put(
        Box(x=flow.left - _FRAME_INSET, y=flow.y, width=flow.width + 2 * _FRAME_INSET, height=bar),
        *block_ink(heading, Font.BOLD, x=flow.left, y=flow.y + 2.2, tone=1.0),
    )
    flow.y += bar + 2.0
    _body(flow, section, size=how.loud)
    flow.y += 1.5
    flow.close_frame(_FRAME_INSET)
    flow.y += 1.5


def _body(flow: Flow, section: Section, *, size: float) -> None:
    if section.picture is not None:
        _beside(flow, section.note, _figure(flow, section.picture), size=size)
    elif section.note:
        flow.text(section.note, Font.REGULAR, size, after=1.2)
    if section.table is not None and section.table.columns:
        table = section.table
        fonts = [Font.REGULAR] * len(table.columns)
        flow.table(table.columns, table.rows, _widths(table, flow.width, size), size=size, fonts=fonts)


def _figure(flow: Flow, picture: StackShape) -> Figure:
    return lettered(picture, wide=flow.width * _PICTURE)


def _beside(flow: Flow, note: str, figure: Figure, *, size: float) -> None:
    """Set a note with the stack drawn at its right, both on one page."""
    taken = figure.width + _PICTURE_GAP
    flow.need(_beside_height(flow, note, figure, size=size))
    top = flow.y
    flow.put(*moved(figure.ink, flow.right - figure.width, top + 0.8))
    flow.right -= taken
    flow.text(note, Font.REGULAR, size, after=1.2)
    flow.right += taken
    flow.y = max(flow.y, top + figure.height + 2)


def _beside_height(flow: Flow, note: str, figure: Figure, *, size: float) -> float:
    """Return the height that a note and its drawing take, at most what a page has."""
    room = flow.width - figure.width - _PICTURE_GAP
    lines = sum(len(wrap(line, Font.REGULAR, room=room, size=size)) or 1 for line in paragraphs(note))
    return min(max(figure.height + 2, lines * PITCH * size * POINT + 1.2), flow.bottom - flow.top - 30)


def _widths(table: Table, room: float, size: float) -> tuple[float, ...]:
    """Return the columns' widths in millimetres: what they need, else shared by weight; what is spare goes to all."""
    air = 4.0
    needs: list[float] = []
    for number, column in enumerate(table.columns):
        lines = [(line, Font.REGULAR) for row in table.rows for line in paragraphs(row[number])]
        lines += [(line, Font.BOLD) for line in paragraphs(column)]
        needs.append(max(width(drawable(line), font, size) for line, font in lines) + air)
    wide = shares(needs, weights_of(table.widths, len(needs)), room)
    spare = (room - sum(wide)) / len(wide)
    return tuple(column + spare for column in wide)


def _cautions(flow: Flow, cautions: tuple[str, ...], how: _Setting) -> None:
    if not cautions:
        return
    flow.y += how.gap + 0.5
    flow.need(18)
    flow.text("Cautions", Font.BOLD, 8.5)
    rows = [("•", caution) for caution in cautions]
    flow.table((), rows, (4.0, flow.width - 4.0), size=8, fonts=(Font.REGULAR, Font.REGULAR), ruled=False)


def _signatures(flow: Flow, signatures: tuple[Signature, ...], how: _Setting) -> None:
    """Set who signs for what, side by side, and under it the lines for a pen, which never stand on another page."""
    if not signatures:
        return
    left, right = flow.left, flow.right
    column = (flow.width + _BESIDE_PEN) / len(signatures) - _BESIDE_PEN
    words = max(
        sum(len(wrap(line, Font.REGULAR, room=column, size=9)) for line in paragraphs(each.statement))
        for each in signatures
    )
    lines_high = how.ink_room + _UNDER_PEN
    flow.y += how.gap + 0.5
    flow.need(min((words + 1) * PITCH * 10 * POINT + lines_high, flow.bottom - flow.top - 20))
    top = lowest = flow.y
    for number, signature in enumerate(signatures):
        flow.left = left + number * (column + _BESIDE_PEN)
        flow.right = flow.left + column
        if number:
            flow.y = top
        flow.text(signature.role, Font.BOLD, 10)
        flow.text(signature.statement, Font.REGULAR, 9)
        lowest = max(lowest, flow.y) if len(signatures) > 1 else flow.y
    flow.y = lowest
    flow.need(lines_high)
    flow.y += how.ink_room
    for number, signature in enumerate(signatures):
        _pen_lines(flow, signature, x=left + number * (column + _BESIDE_PEN), wide=column)
    flow.left, flow.right = left, right
    flow.y += _UNDER_PEN


def _pen_lines(flow: Flow, signature: Signature, *, x: float, wide: float) -> None:
    asked = {caption: _SHARES.get(caption, _SHARES[NAME]) for caption in signature.blanks}
    for caption, weight in asked.items():
        share = wide * weight / sum(asked.values())
        room = share - 4
        known = caption == NAME and signature.name
        flow.put(Stroke(points=((x, flow.y), (x + room, flow.y)), pen=0.3))
        under = fit(f"{caption}: {signature.name}" if known else caption, Font.REGULAR, room=room, size=8, least=5)
        base = flow.y + 1.2 + CAPITAL * under.size * POINT
        flow.put(Text(x=x, y=base, text=under.text, size=under.size))
        x += share


def _foot(foot: str, number: int, total: int, wide: float, high: float) -> tuple[Ink, ...]:
    """Return the rule at the bottom with the sheet's foot and the page's number."""
    top = high - _FOOT_ROOM
    count = f"page {number} of {total}"
    count_wide = width(count, Font.BOLD, 8)
    right = wide - _MARGIN
    room = right - _MARGIN - count_wide - 6
    words = fit_block(foot, Font.REGULAR, room=room, height=height_of(2, 8), size=8, least=5.5)
    base = top + 2 + CAPITAL * 8 * POINT
    return (
        Stroke(points=((_MARGIN, top), (right, top)), pen=0.3),
        *block_ink(words, Font.REGULAR, x=_MARGIN, y=top + 2),
        Text(x=right - count_wide, y=base, text=count, size=8, font=Font.BOLD),
    )
