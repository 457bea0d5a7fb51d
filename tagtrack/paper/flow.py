"""A column of print that runs over as many pages as it needs: lines, tables, frames, and what repeats on a new page.

Lengths are in millimetres from the top left of the page, sizes in points.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from tagtrack.paper.characters import paragraphs
from tagtrack.paper.fonts import CAPITAL, POINT, Font
from tagtrack.paper.ink import Box, Ink, Stroke, Text, frame
from tagtrack.paper.text import wrap

# from line to line, of the size: wider than on a tag, because it is read sitting down
PITCH = 1.32

# air above and below a table's row where nothing else is said, and beside each cell
ROW_AIR = 0.9
_CELL_AIR = 2.8
_CELL_INSET = 0.7
_RULE = 0.15

# a row higher than this share of a page may be parted; a lower one goes to the next page whole
_PARTED = 0.25


class Flow:
    """Places print downwards between the top and bottom of its pages. `pages` is complete after `finish`."""

    def __init__(self, *, left: float, right: float, top: float, bottom: float, row_air: float = ROW_AIR) -> None:
        self.left = left
        self.right = right
        self.top = top
        self.bottom = bottom
        self.row_air = row_air
        self.y = top
        self.pages: list[tuple[Ink, ...]] = []
        self._ink: list[Ink] = []
        self._frame_top: float | None = None
        self._heading: Callable[[], None] | None = None
        self._running: Callable[[], None] | None = None

    @property
    def width(self) -> float:
        """Between left and right, inside a frame if one is open."""
        return self.right - self.left

    def put(self, *ink: Ink) -> None:
        """Put ink on the page as it is."""
        self._ink += ink

    def on_new_page(self, running: Callable[[], None]) -> None:
        """Have something done at the top of every page after the first."""
        self._running = running

    def need(self, height: float) -> None:
        """Go to a new page unless there is so much room, or the page is fresh anyway."""
        if self.y + height > self.bottom and self._ink:
            self.new_page()

    def new_page(self) -> None:
        """End this page: close its frame, and open on the next one what was open here."""
        was_framed = self._frame_top is not None
        self._close_frame(self.bottom)
        self.pages.append(tuple(self._ink))
        self._ink = []
        self.y = self.top
        if self._running is not None:
            self._running()
        if was_framed:
            self._frame_top = self.y
            self.y += 2.5
        if self._heading is not None:
            self._heading()

    def open_frame(self, inset: float) -> None:
        """Begin a frame round what follows; it is closed and opened again at page ends."""
        self._frame_top = self.y
        self.left += inset
        self.right -= inset

    def close_frame(self, inset: float) -> None:
        """End the frame."""
        self._close_frame(self.y)
        self.left -= inset
        self.right += inset

    def finish(self) -> None:
        """End the last page."""
        self.pages.append(tuple(self._ink))
        self._ink = []

    def text(self, text: str, font: Font, size: float, *, after: float = 0.0) -> None:
        """Set a text, its own lines kept, wrapped to the width, over page ends if need be."""
        for paragraph in paragraphs(text):
            for line in wrap(paragraph, font, room=self.width, size=size) or ("",):
                self.need(PITCH * size * POINT)
                self.put(Text(x=self.left, y=self._base(size), text=line, size=size, font=font))
                self.y += PITCH * size * POINT
        self.y += after

    def table(
        self,
        columns: Sequence[str],
        rows: Sequence[Sequence[str]],
        widths: Sequence[float],
        *,
        size: float,
        fonts: Sequence[Font],
        ruled: bool = True,
    ) -> None:
        """Set a table with a width and a font per column; its headings, if it has any, stand again on each page."""

        def heading() -> None:
            self._row(columns, widths, size=size, fonts=[Font.BOLD] * len(columns), ruled=True, tone=0.87)

        if columns:
            # headings alone at the foot of a page help nobody
            self.need(6 * PITCH * size * POINT)
            page, began = len(self.pages), self.y
            heading()
            # headings so long that they would fill the next pages stand only once
            if len(self.pages) == page and self.y - began < (self.bottom - self.top) * _PARTED:
                self._heading = heading
        for row in rows:
            self._row(row, widths, size=size, fonts=fonts, ruled=ruled)
        self._heading = None

    def _row(
        self,
        cells: Sequence[str],
        widths: Sequence[float],
        *,
        size: float,
        fonts: Sequence[Font],
        ruled: bool = False,
        tone: float | None = None,
    ) -> None:
        """Set one row; a row too high for the page goes on at the next."""
        pitch = PITCH * size * POINT
        blocks = [
            [
                line
                for paragraph in paragraphs(cell)
                for line in wrap(paragraph, font, room=width - _CELL_AIR, size=size) or ("",)
            ]
            for cell, width, font in zip(cells, widths, fonts, strict=True)
        ]
        left = max((len(block) for block in blocks), default=0)
        done = 0
        parted = left * pitch > (self.bottom - self.top) * _PARTED
        while left:
            self.need(pitch * (min(left, 2) if parted else left) + 2 * self.row_air)
            room = int((self.bottom - self.y - 2 * self.row_air) / pitch + 1e-9)
            now = max(1, min(left, room))
            high = now * pitch + 2 * self.row_air
            if tone is not None:
                self.put(Box(x=self.left, y=self.y, width=self.width, height=high, tone=tone))
            x = self.left
            for block, width, font in zip(blocks, widths, fonts, strict=True):
                for row, line in enumerate(block[done : done + now]):
                    base = self._base(size) + self.row_air + row * pitch
                    self.put(Text(x=x + (_CELL_INSET if ruled else 0.0), y=base, text=line, size=size, font=font))
                x += width
            self.y += high
            done, left = done + now, left - now
            if ruled:
                self.put(Stroke(points=((self.left, self.y), (self.right, self.y)), pen=_RULE))

    def _base(self, size: float) -> float:
        """Return the base line of a line of that size that begins here: capitals in the middle of the pitch."""
        return self.y + (PITCH + CAPITAL) / 2 * size * POINT

    def _close_frame(self, bottom: float) -> None:
        if self._frame_top is not None:
            inset = 3.0
            x, wide = self.left - inset, self.width + 2 * inset
            self.put(frame(x, self._frame_top, wide, bottom - self._frame_top, pen=0.8))
            self._frame_top = None
