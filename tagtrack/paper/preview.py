"""Pictures of the pages of a PDF of ours, so that what is seen before printing is exactly what prints."""

from __future__ import annotations

from io import BytesIO
from threading import Lock

from tagtrack.core.errors import Refusal

# below, nothing can be read; above, one Letter page takes more than 100 megabytes
_LEAST_DPI, _MOST_DPI = 18, 600

# PDFium is not made for two threads at once
_ONE_AT_A_TIME = Lock()


def pages_as_png(pdf: bytes, *, dpi: int = 150) -> tuple[bytes, ...]:
    """Return each page as the bytes of a PNG file, at so many dots to the inch; refuse a resolution of no use."""
    if not _LEAST_DPI <= dpi <= _MOST_DPI:
        raise Refusal(
            "the preview cannot have that resolution",
            expected=f"{_LEAST_DPI} to {_MOST_DPI} dots to the inch",
            came=str(dpi),
            todo="150 shows a page well on a screen",
        )
    import pypdfium2  # noqa: PLC0415 - a large library that only previews need

    pictures: list[bytes] = []
    with _ONE_AT_A_TIME:
        document = pypdfium2.PdfDocument(pdf)
        try:
            for number in range(len(document)):
                page = document[number]
                bitmap = page.render(scale=dpi / 72, grayscale=True)
                picture = BytesIO()
                bitmap.to_pil().save(picture, "PNG", dpi=(dpi, dpi))
                pictures.append(picture.getvalue())
                bitmap.close()
                page.close()
        finally:
            document.close()
    return tuple(pictures)
