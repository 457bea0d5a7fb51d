"""Sheets of tags: one label per face, on the stock of a template, from any position of a part-used sheet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import BinaryIO

from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.paper.card_layout import card_ink
from tagtrack.paper.fonts import CAPITAL, POINT, Font
from tagtrack.paper.grid import check_offset, corner, places, sheets
from tagtrack.paper.ink import Ink, Page, Text, frame, moved
from tagtrack.paper.pdf import write_pdf
from tagtrack.paper.tag_layout import tag_ink
from tagtrack.paper.template import Template
from tagtrack.paper.text import fit

_CARDS = frozenset({FaceKind.ZONE, FaceKind.PLACE, FaceKind.PERSON, FaceKind.BLANK})

# most printers leave this much of the sheet's edge white
_UNPRINTABLE = 5.0
_PROOF_SIZE = 6.5


def face_ink(face: TagFace, template: Template) -> tuple[Ink, ...]:
    """Return one label's ink, in millimetres from its top left corner; refuse a code no symbol can hold."""
    layout = card_ink if face.kind in _CARDS else tag_ink
    return layout(face, wide=template.width, high=template.height, safe=template.safe)


def tags_pdf(
    faces: Sequence[TagFace],
    template: Template,
    *,
    out: BinaryIO,
    start: int = 1,
    offset_mm: tuple[float, float] = (0.0, 0.0),
    proof: str = "",
) -> int:
    """Write a PDF with one label per face and return the number of sheets; the same faces always give the same bytes.

    `start` is the first free label of a part-used sheet, from 1, row by row. `offset_mm` moves everything right and
    down. `proof` (job, record check number) stands with the sheet's number in its top margin, where there is one.
    Refused before a byte is written: no faces, a place that the sheet does not have, a code that no symbol can hold.
    """
    if not faces:
        raise Refusal(
            "there are no tags to print", expected="at least one tag", came="none", todo="name the tags to print"
        )
    total = sheets(template, len(faces), start=start)
    check_offset(offset_mm)
    inks = [face_ink(face, template) for face in faces]

    def pages() -> Iterator[Page]:
        at = places(template, len(faces), start=start, offset_mm=offset_mm)
        for number, group in groupby(zip(at, inks, strict=True), key=lambda pair: pair[0].sheet):
            marks: list[Ink] = list(_proof(template, proof, number, total))
            for place, ink in group:
                marks += moved(ink, place.x, place.y)
            yield Page(width=template.sheet_width, height=template.sheet_height, ink=tuple(marks))

    return write_pdf(pages(), out=out, title="Tags")


def outlines_pdf(template: Template, *, out: BinaryIO, offset_mm: tuple[float, float] = (0.0, 0.0)) -> None:
    """Write one sheet with every label's edge and number, to be held against the stock before tags are printed."""
    marks: list[Ink] = []
    for place in places(template, template.per_sheet, offset_mm=offset_mm):
        marks.append(frame(place.x, place.y, template.width, template.height, pen=0.2))
        inside = template.safe
        marks.append(
            frame(
                place.x + inside,
                place.y + inside,
                template.width - 2 * inside,
                template.height - 2 * inside,
                pen=0.1,
                dashed=True,
            )
        )
        note = fit(
            f"label {place.position}   {template.width:.1f} x {template.height:.1f} mm",
            Font.REGULAR,
            room=template.width - 2 * inside - 2,
            size=10,
            least=4,
        )
        base = place.y + template.height / 2 + CAPITAL * note.size * POINT / 2
        marks.append(Text(x=place.x + (template.width - note.width) / 2, y=base, text=note.text, size=note.size))
    page = Page(width=template.sheet_width, height=template.sheet_height, ink=tuple(marks))
    write_pdf((page,), out=out, title="Label outlines")


def _proof(template: Template, proof: str, number: int, total: int) -> tuple[Ink, ...]:
    """Return the line in the top margin; a roll has no margin, and there each tag's own foot must do."""
    _, top = corner(template, 1)
    base = top - 1.5
    if not proof or base - CAPITAL * _PROOF_SIZE * POINT < _UNPRINTABLE:
        return ()
    words = f"{proof}   sheet {number} of {total}"
    room = template.sheet_width - 2 * (_UNPRINTABLE + template.left)
    line = fit(words, Font.REGULAR, room=room, size=_PROOF_SIZE, least=4)
    return (Text(x=template.left + _UNPRINTABLE, y=base, text=line.text, size=line.size),)
