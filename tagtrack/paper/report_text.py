"""A sheet as plain text, 100 columns wide, for a screen, a mail or a printer without pages."""

from __future__ import annotations

import math
from collections.abc import Sequence

from tagtrack.core.sheets import NAME, Section, Sheet, Signature, Table
from tagtrack.paper.characters import columns, paragraphs, printable
from tagtrack.paper.shares import shares, weights_of

WIDTH = 100

_GUTTER = "  "
# a column narrower than this holds no word; more of them than go make the lines longer, never the cells shorter
_LEAST_COLUMN = 4
# columns of the lines for a pen; any other is as long as that for a name
_PEN_LINES = {"Signature": 34, NAME: 28, "Certificate number": 18, "Date": 12}
_ABBREVIATED = {"Certificate number": "Certificate no."}


def report_text(sheet: Sheet) -> str:
    """Return the sheet as lines of at most 100 columns, the last one ended; every cell whole, loud sections framed."""
    lines: list[str] = ["=" * WIDTH, *_wrapped(sheet.title.upper(), WIDTH)]
    if sheet.verdict:
        lines += ["", *_wrapped(sheet.verdict, WIDTH)]
    lines += ["=" * WIDTH]
    lines += _facts(sheet.facts)
    for section in sheet.sections:
        lines += ["", *(_framed(section) if section.loud else _plain(section, WIDTH))]
    if sheet.cautions:
        lines += ["", "CAUTIONS", "-" * len("CAUTIONS")]
        for caution in sheet.cautions:
            first, *more = _wrapped(caution, WIDTH - 2)
            lines += [f"- {first}", *(f"  {line}" for line in more)]
    for signature in sheet.signatures:
        lines += ["", *_signature(signature)]
    if sheet.foot:
        lines += ["", "-" * WIDTH, *_wrapped(sheet.foot, WIDTH)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _facts(facts: Sequence[tuple[str, str]]) -> list[str]:
    if not facts:
        return []
    label_width = min(30, max(columns(printable(label)) for label, _ in facts)) + len(_GUTTER)
    lines: list[str] = []
    for label, value in facts:
        left, right = _wrapped(label, label_width - len(_GUTTER)), _wrapped(value, WIDTH - label_width)
        lines += _beside((left, right), (label_width - len(_GUTTER), WIDTH - label_width))
    return lines


def _plain(section: Section, room: int) -> list[str]:
    heading = _wrapped(section.heading.upper(), room)
    lines = [*heading, "-" * max(columns(line) for line in heading)]
    return lines + _body(section, room)


def _framed(section: Section) -> list[str]:
    """Return a loud section between heavy rules, with a bar down either side."""
    room = WIDTH - 4
    edge = "+" + "=" * (WIDTH - 2) + "+"
    inner = [*_wrapped(section.heading.upper(), room), "=" * room, *_body(section, room)]
    return [edge, *(f"| {_padded(line, room)} |" for line in inner), edge]


def _body(section: Section, room: int) -> list[str]:
    lines = _wrapped(section.note, room) if section.note else []
    if section.table is not None:
        lines += [""] if lines else []
        lines += _table(section.table, room)
    return lines


def _table(table: Table, room: int) -> list[str]:
    count = len(table.columns)
    if not count:
        return []
    free = max(room - len(_GUTTER) * (count - 1), count * _LEAST_COLUMN)
    whole = (table.columns, *table.rows)
    needs = [max(max(columns(line) for line in paragraphs(row[i])) for row in whole) for i in range(count)]
    wide = shares([max(need, _LEAST_COLUMN) for need in needs], weights_of(table.widths, count), free)
    widths = [max(_LEAST_COLUMN, math.floor(width)) for width in wide]
    head = _row(table.columns, widths)
    lines = [*head, _GUTTER.join("-" * width for width in widths)]
    rows = [_row(row, widths) for row in table.rows]
    # where a row takes several lines, an empty line keeps it apart from the next
    airy = any(len(row) > 1 for row in rows)
    for number, row in enumerate(rows):
        lines += [""] if airy and number else []
        lines += row
    return lines


def _row(cells: Sequence[str], widths: Sequence[int]) -> list[str]:
    return _beside([_wrapped(cell, width) for cell, width in zip(cells, widths, strict=True)], widths)


def _beside(blocks: Sequence[Sequence[str]], widths: Sequence[int]) -> list[str]:
    """Return blocks of lines side by side, each padded to its width."""
    deep = max(len(block) for block in blocks)
    return [
        _GUTTER.join(
            _padded(block[number] if number < len(block) else "", width)
            for block, width in zip(blocks, widths, strict=True)
        )
        for number in range(deep)
    ]


def _signature(signature: Signature) -> list[str]:
    widths = [_PEN_LINES.get(blank, _PEN_LINES[NAME]) for blank in signature.blanks]
    rule = _GUTTER.join("_" * width for width in widths)
    told = {**_ABBREVIATED, **({NAME: f"{NAME}: {printable(signature.name)}"} if signature.name else {})}
    captions = [_wrapped(told.get(blank, blank), width) for blank, width in zip(signature.blanks, widths, strict=True)]
    under = _beside(captions, widths)
    return [*_wrapped(signature.role.upper(), WIDTH), *_wrapped(signature.statement, WIDTH), "", "", rule, *under]


def _padded(line: str, width: int) -> str:
    return line + " " * (width - columns(line))


def _wrapped(text: str, room: int) -> list[str]:
    """Return a text's own lines, each wrapped to the room; a word too long for it is broken. Never without a line."""
    return [line for paragraph in paragraphs(text) for line in _wrapped_line(paragraph, room)]


def _wrapped_line(paragraph: str, room: int) -> list[str]:
    lines: list[str] = [""]
    for word in paragraph.split():
        for piece in _broken(word, room):
            joined = f"{lines[-1]} {piece}" if lines[-1] else piece
            if columns(joined) <= room:
                lines[-1] = joined
            else:
                lines.append(piece)
    return lines


def _broken(word: str, room: int) -> list[str]:
    if columns(word) <= room:
        return [word]
    pieces: list[str] = [""]
    for character in word:
        if columns(pieces[-1] + character) > room:
            pieces.append("")
        pieces[-1] += character
    return pieces
