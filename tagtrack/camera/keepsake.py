"""A photo as it is kept: upright, without the place where it was taken, as large as a screen shows; and a small one."""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

from PIL import Image, ImageOps

from tagtrack.camera.receiving import received

# the longer side, in pixels, and JPEG's quality: a tag in the large one can still be read
LARGE, SMALL = 2048, 480
_LARGE_QUALITY, _SMALL_QUALITY = 82, 78


@dataclass(frozen=True, slots=True)
class Keepsake:
    """A photo to be kept, as two JPEG files."""

    large: bytes
    small: bytes


def keepsake(data: bytes, name: str) -> Keepsake:
    """Return a photo as it is kept; refuse what is no picture.

    It is drawn anew, so that nothing comes along that was hidden in the file: place, owner, what stands behind its end.
    """
    with received(data, name) as picture:
        # a JPEG is decoded at the smallest size that is large enough
        picture.draft("RGB", (LARGE, LARGE))
        upright = _without_clear_parts(ImageOps.exif_transpose(picture))
    upright.thumbnail((LARGE, LARGE), Image.Resampling.LANCZOS)
    large = _jpeg(upright, _LARGE_QUALITY)
    upright.thumbnail((SMALL, SMALL), Image.Resampling.LANCZOS)
    return Keepsake(large, _jpeg(upright, _SMALL_QUALITY))


def _without_clear_parts(picture: Image.Image) -> Image.Image:
    if not picture.has_transparency_data:
        return picture.convert("RGB")
    clear = picture.convert("RGBA")
    white = Image.new("RGBA", clear.size, "white")
    return Image.alpha_composite(white, clear).convert("RGB")


def _jpeg(picture: Image.Image, quality: int) -> bytes:
    out = BytesIO()
    # a picture made anew carries nothing of the old one's notes
    clean = Image.new("RGB", picture.size)
    clean.paste(picture)
    clean.save(out, "JPEG", quality=quality, optimize=True)
    return out.getvalue()
