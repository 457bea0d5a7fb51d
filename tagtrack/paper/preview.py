"""Pictures of the pages of a PDF of ours, so that what is seen before printing is exactly what prints."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from threading import Lock

from tagtrack.core.errors import Refusal

# below, nothing can be read; above, one Letter page takes more than 100 megabytes
_LEAST_DPI, _MOST_DPI = 18, 600

# PDFium is not made for two threads at once
_ONE_AT_A_TIME = Lock()


def pages_as_png(pdf: bytes | Path, *, dpi: int = 150) -> Iterator[bytes]:
    """Yield each page of a PDF, or of a file of that name, as the bytes of a PNG file, at so many dots to the inch.

    A resolution of no use is refused at once. One page is held at a time.
    """
    if not _LEAST_DPI <= dpi <= _MOST_DPI:
        raise Refusal(
            "the preview cannot have that resolution",
            expected=f"{_LEAST_DPI} to {_MOST_DPI} dots to the inch",
            came=str(dpi),
            todo="150 shows a page well on a screen",
        )
    return _pictures(pdf, dpi)


def is_preview(file: Path, *, dpi: int) -> bool:
    """Return whether a file is there and looks like a preview of ours: a grey PNG of that resolution, no photo."""
    from PIL import Image, UnidentifiedImageError  # noqa: PLC0415 - a large library that only previews need

    try:
        with Image.open(file) as picture:
            return (picture.format, picture.mode) == ("PNG", "L") and round(picture.info.get("dpi", (0, 0))[0]) == dpi
    except (OSError, UnidentifiedImageError, Image.DecompressionBombError):
        return False


def _pictures(pdf: bytes | Path, dpi: int) -> Iterator[bytes]:
    import pypdfium2  # noqa: PLC0415 - a large library that only previews need

    with _ONE_AT_A_TIME:
        document = pypdfium2.PdfDocument(pdf)
        pages = len(document)
    try:
        for number in range(pages):
            picture = BytesIO()
            with _ONE_AT_A_TIME:
                page = document[number]
                bitmap = page.render(scale=dpi / 72, grayscale=True)
                bitmap.to_pil().save(picture, "PNG", dpi=(dpi, dpi))
                bitmap.close()
                page.close()
            yield picture.getvalue()
    finally:
        with _ONE_AT_A_TIME:
            document.close()
