"""Sheets of tags: one label per face, on the stock of a template, from any position of a part-used sheet."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from typing import BinaryIO

from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.tagcode import STUB, addressed, suffixed
from tagtrack.paper.card_layout import card_ink
from tagtrack.paper.fonts import CAPITAL, POINT, Font
from tagtrack.paper.grid import check_offset, corner, places, sheets
from tagtrack.paper.ink import Ink, Page, Stroke, Symbol, Text, frame, moved
from tagtrack.paper.pdf import write_pdf
from tagtrack.paper.small_layout import small_ink
from tagtrack.paper.symbol import across
from tagtrack.paper.tag_frame import holds_full_layout
from tagtrack.paper.tag_layout import tag_ink
from tagtrack.paper.template import Template
from tagtrack.paper.text import fit

# what has a position to leave a stub at
_STUBBED = frozenset({FaceKind.PART, FaceKind.BLANK})
# beside the line along which a tag is cut in two, in millimetres
_CUT = 0.5
_CARDS = frozenset({FaceKind.ZONE, FaceKind.PLACE, FaceKind.PERSON, FaceKind.BLANK})

# a ruler shorter than this shows nothing
_LEAST_RULER = 30
# what the ruler and its figures take of a label's width
_RULER_ROOM = 9.0

# most printers leave this much of the sheet's edge white
_UNPRINTABLE = 5.0
_PROOF_SIZE = 6.5


def face_ink(face: TagFace, template: Template) -> tuple[Ink, ...]:
    """Return one label's ink, in millimetres from its top left corner; refuse a code no symbol can hold."""
    # the cut is no part of a symbol's quiet zone
    wide = template.width - template.eyelet - (template.stub + _CUT if template.stub else 0.0)
    ink = moved(_laid_out(face, wide, template.height, template.safe), template.eyelet, 0.0)
    if template.stub and face.kind in _STUBBED:
        edge = template.width - template.stub
        half = small_ink(stub_of(face), wide=template.stub - _CUT, high=template.height, safe=template.safe)
        inside = template.safe + 0.2
        cut = Stroke(points=((edge, inside), (edge, template.height - inside)), pen=0.2, dashed=True)
        ink += (cut, *moved(half, edge + _CUT, 0.0))
    return ink


def holds_address(face: TagFace, template: Template) -> bool:
    """Return whether a symbol of the label has room for the shop's address before the code."""
    wanted = addressed(face.code, face.address)
    return any(isinstance(mark, Symbol) and mark.code == wanted for mark in face_ink(face, template))


def _laid_out(face: TagFace, wide: float, high: float, safe: float) -> tuple[Ink, ...]:
    if not holds_full_layout(wide, high, safe):
        return small_ink(face, wide=wide, high=high, safe=safe)
    layout = card_ink if face.kind in _CARDS else tag_ink
    return layout(face, wide=wide, high=high, safe=safe)


def stub_of(face: TagFace) -> TagFace:
    """Return the half that stays at the position: the same code with the suffix S, and what belongs there."""
    return TagFace(
        code=suffixed(face.code, STUB), kind=face.kind, side=face.side, title=face.title,
        registration=face.registration, job=face.job, marks=face.marks, warnings=("STUB, STAYS",),
        address=face.address,
    )  # fmt: skip


def tags_pdf(
    faces: Sequence[TagFace],
    template: Template,
    *,
    out: BinaryIO,
    start: int = 1,
    offset_mm: tuple[float, float] = (0.0, 0.0),
    proof: str = "",
    progress: Callable[[int, int], None] = lambda number, total: None,  # noqa: ARG005 - called by position
) -> int:
    """Write a PDF with one label per face and return the number of sheets; the same faces always give the same bytes.

    `start` is the first free label of a part-used sheet, from 1, row by row. `offset_mm` moves everything right and
    down. `proof` (job, record check number) stands with the sheet's number in its top margin, where there is one.
    `progress` is told after each label how many of how many are laid out. Each sheet is written when it is laid out
    and forgotten. Refused before a byte is written: no faces, a place that the sheet does not have, a label too small
    for a tag, a code that no symbol can hold.
    """
    if not faces:
        raise Refusal(
            "there are no tags to print", expected="at least one tag", came="none", todo="name the tags to print"
        )
    total = sheets(template, len(faces), start=start)
    check_offset(offset_mm)
    for face in faces:
        across(face.code)
        if template.stub and face.kind in _STUBBED:
            across(stub_of(face).code)
    # whether a label has room for a tag is the same for all with a stub, and for all without
    for face in {face.kind in _STUBBED: face for face in faces}.values():
        face_ink(face, template)

    def pages() -> Iterator[Page]:
        at = places(template, len(faces), start=start, offset_mm=offset_mm)
        done = 0
        for number, group in groupby(zip(at, faces, strict=True), key=lambda pair: pair[0].sheet):
            marks: list[Ink] = list(_proof(template, proof, number, total))
            for place, face in group:
                marks += moved(face_ink(face, template), place.x, place.y)
                done += 1
                progress(done, len(faces))
            yield Page(width=template.sheet_width, height=template.sheet_height, ink=tuple(marks))

    return write_pdf(pages(), out=out, title="Tags")


def outlines_pdf(template: Template, *, out: BinaryIO, offset_mm: tuple[float, float] = (0.0, 0.0)) -> None:
    """Write one sheet with every label's edge and number, to be held against the stock before tags are printed."""
    marks: list[Ink] = []
    for place in places(template, template.per_sheet, offset_mm=offset_mm):
        marks += moved(_outline(template, f"label {place.position}"), place.x, place.y)
    marks += _ruler(template)
    page = Page(width=template.sheet_width, height=template.sheet_height, ink=tuple(marks))
    write_pdf((page,), out=out, title="Label outlines")


def _outline(template: Template, name: str) -> tuple[Ink, ...]:
    """Return a label's edge, its safe edge, what is kept free or cut off, and its name, from its top left corner."""
    wide, high, safe = template.width, template.height, template.safe
    across = [template.eyelet] * bool(template.eyelet) + [wide - template.stub] * bool(template.stub)
    # left of the words runs the ruler
    begin, end = template.eyelet + safe + _RULER_ROOM, wide - template.stub - safe - 1.0
    note = fit(f"{name}   {wide:.1f} x {high:.1f} mm", Font.REGULAR, room=end - begin, size=10, least=4)
    base = high / 2 + CAPITAL * note.size * POINT / 2
    return (
        frame(0, 0, wide, high, pen=0.2),
        frame(safe, safe, wide - 2 * safe, high - 2 * safe, pen=0.1, dashed=True),
        *(Stroke(points=((x, safe), (x, high - safe)), pen=0.1, dashed=True) for x in across),
        Text(x=(begin + end - note.width) / 2, y=base, text=note.text, size=note.size),
    )


def _ruler(template: Template) -> tuple[Ink, ...]:
    """Return a ruler of centimetres down a column of labels: a printer that shrinks the page shows by it."""
    length = int(min(template.sheet_height - 20, 200) // 10) * 10
    if length < _LEAST_RULER:
        return ()
    x, top = corner(template, template.columns // 2 + 1)[0] + template.eyelet + template.safe + 1.0, 10.0
    marks: list[Ink] = [Stroke(points=((x, top), (x, top + length)), pen=0.15)]
    for millimetres in range(0, length + 1, 5):
        whole = millimetres % 10 == 0
        y = top + millimetres
        marks.append(Stroke(points=((x, y), (x + (4.0 if whole else 2.0), y)), pen=0.15))
        if whole:
            marks.append(Text(x=x + 4.6, y=y + CAPITAL * 6 * POINT / 2, text=f"{millimetres // 10}", size=6))
    words = f"{length // 10} cm on your own ruler? If not, print at 100 %, without 'fit to page'."
    line = fit(words, Font.REGULAR, room=template.sheet_width - x - _UNPRINTABLE, size=6, least=4)
    marks.append(Text(x=x + 1, y=top - 2.0, text=line.text, size=line.size))
    return tuple(marks)


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
