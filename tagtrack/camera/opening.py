"""A picture file as an upright grey picture, or a sentence about what is wrong with it. Nothing is decoded on trust."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Sequence
from pathlib import Path

from PIL import Image, ImageOps, UnidentifiedImageError

from tagtrack.core.errors import Refusal

# larger than any phone's picture; each million costs some three million bytes while it is read
MOST_PIXELS = 120_000_000
MOST_BYTES = 80_000_000
# behind the name of a picture, in that of its outlined copy
OUTLINED = "-read"
_KINDS = ("JPEG", "PNG", "WEBP")
_ENDINGS = frozenset({".jpg", ".jpeg", ".png", ".webp"})


def pictures(paths: Sequence[Path]) -> Iterator[Path]:
    """Yield the picture files: each path itself, or in a folder every JPEG, PNG and WebP file, by name.

    The outlined copies that an earlier reading left in the folder are no photos of the bench.
    """
    for path in paths:
        if path.is_dir():
            files = sorted(file for file in path.iterdir() if file.suffix.lower() in _ENDINGS)
            yield from (file for file in files if not file.stem.endswith(OUTLINED))
        else:
            yield path


def opened(path: Path) -> Image.Image:
    """Return the picture upright and in grey; refuse what is no picture, is cut off, or is too large to be one."""
    try:
        size = path.stat().st_size
    except OSError as problem:
        raise _refused(path, "cannot be read", problem.strerror or str(problem)) from problem
    if not 0 < size <= MOST_BYTES:
        raise _refused(path, "is empty" if not size else "is too large a file", f"{size} bytes")
    try:
        with warnings.catch_warnings():
            # our own bound is told in words; Pillow's is a warning first
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            with Image.open(path, formats=_KINDS) as picture:
                wide, high = picture.size
                if wide * high > MOST_PIXELS:
                    raise _refused(path, "is too large a picture", f"{wide} x {high} pixels")
                # a camera notes how it was held; a JPEG is turned without its colours
                picture.draft("L", picture.size)
                return ImageOps.exif_transpose(picture).convert("L")
    except Image.DecompressionBombError as problem:
        raise _refused(path, "is too large a picture", "more pixels than any camera has") from problem
    except UnidentifiedImageError as problem:
        raise _refused(path, "is no picture that can be read", "something else than JPEG, PNG or WebP") from problem
    except (OSError, SyntaxError, ValueError) as problem:
        raise _refused(path, "is damaged", str(problem)) from problem


def _refused(path: Path, what: str, came: str) -> Refusal:
    return Refusal(
        f"{path.name} {what}", expected=f"a JPEG, PNG or WebP picture of at most {MOST_PIXELS // 10**6} megapixels",
        came=came, todo="take the photo again, or give another file",
    )  # fmt: skip
