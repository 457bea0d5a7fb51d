"""A PDF document that puts each page into its stream as soon as the page is complete, and forgets it.

ReportLab collects all pages, and writes the file when it is saved: a long print of tags would hold all of them. What a
PDF needs at its end is small: the fonts, the list of pages, and where each object began.
"""

from __future__ import annotations

from typing import Any, BinaryIO

from reportlab.pdfbase.pdfdoc import (
    PDFCrossReferenceTable,
    PDFDocument,
    PDFFile,
    PDFIndirectObject,
    PDFObject,
    PDFObjectReference,
    PDFTrailer,
)


class _Settled(PDFObject):  # type: ignore[misc] # the library has no types
    """Stands for an object that is in the stream already."""


_SETTLED = _Settled()


class PageStream(PDFDocument):  # type: ignore[misc] # the library has no types
    """Takes the place of a canvas's own document. Nothing is written before the first page is complete."""

    def __init__(self, out: BinaryIO) -> None:
        # invariant leaves out the clock and makes the document's own id from its content
        super().__init__(compression=1, invariant=1)
        self._file = PDFFile(self._pdfVersion)
        self._out = out

    def addPage(self, page: Any) -> None:  # noqa: N802 - the library's name
        """Take a complete page: its operators and its own entry go into the stream at once."""
        name = self.thisPageName()
        super().addPage(page)
        self.Pages.pages[-1] = PDFObjectReference(name)
        self._settle(name)
        # its operators got their number while the page was formatted
        self._settle(self.Reference(page.Contents).name)

    def SaveToFile(self, filename: object, canvas: Any) -> None:  # noqa: N802 - same
        """Write what stands at a PDF's end: fonts, the list of pages, and where everything is."""
        del filename
        self.GetPDFData(canvas)

    def format(self) -> bytes:
        """Write all that is not written yet; nothing is left to return."""
        root, info = self.Reference(self.Catalog), self.Reference(self.info)
        number = 1
        # while one is formatted it may name more
        while number in self.numberToId:
            name = self.numberToId[number]
            if name not in self.idToOffset:
                self._settle(name)
            number += 1
        table = PDFCrossReferenceTable()
        table.addsection(0, [self.numberToId[each] for each in range(1, number)])
        begins = self._file.add(table.format(self))
        self._flush()
        trailer = PDFTrailer(startxref=begins, Size=number, Root=root, Info=info, ID=self.ID())
        self._file.add(trailer.format(self))
        self._flush()
        return b""

    def _settle(self, name: str) -> None:
        content = PDFIndirectObject(name, self.idToObject[name]).format(self)
        self.idToOffset[name] = self._file.add(content)
        self.idToObject[name] = _SETTLED
        self._flush()

    def _flush(self) -> None:
        self._out.writelines(self._file.strings)
        self._file.strings.clear()
