"""A picture file as an upright grey picture, or a sentence about what is wrong with it. Nothing is decoded on trust."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from io import BytesIO
from pathlib import Path
from threading import Lock

from PIL import Image, ImageOps, UnidentifiedImageError

from tagtrack.core.errors import Refusal

# larger than any phone's picture; each million costs some three million bytes while it is read
MOST_PIXELS = 120_000_000
MOST_BYTES = 80_000_000
# behind the name of a picture, in that of its outlined copy
OUTLINED = "-read"
_KINDS = ("JPEG", "PNG", "WEBP")
_ENDINGS = frozenset({".jpg", ".jpeg", ".png", ".webp"})
# Python's warnings are set for all threads at once
_QUIET = Lock()


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
        raise _refused(path.name, "cannot be read", problem.strerror or str(problem)) from problem
    _check_bytes(path.name, size)
    with checked(path, path.name) as picture:
        return grey(picture)


def grey(picture: Image.Image) -> Image.Image:
    """Return a picture that was opened, upright and in grey."""
    # a camera notes how it was held; a JPEG is turned without its colours
    picture.draft("L", picture.size)
    return ImageOps.exif_transpose(picture).convert("L")


@contextmanager
def checked(source: Path | BytesIO, name: str, most: Mapping[str, int] | None = None) -> Iterator[Image.Image]:
    """Open a picture and hold its size against `most` (pixels by kind) before anything of it is decoded.

    Whatever is wrong with it, then or while it is worked on inside the `with`, is refused in words, naming the picture.
    """
    bound = max(most.values()) if most else MOST_PIXELS
    try:
        with _QUIET, warnings.catch_warnings():
            # our own bound is told in words; Pillow's is a warning first
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(source, formats=_KINDS)
        with picture:
            _check_pixels(name, picture.size, (most or {}).get(picture.format or "", MOST_PIXELS))
            yield picture
    except Image.DecompressionBombError as problem:
        raise _refused(name, "is too large a picture", "more pixels than any camera has", bound) from problem
    except UnidentifiedImageError as problem:
        came = "something else than JPEG, PNG or WebP"
        raise _refused(name, "is no picture that can be read", came, bound) from problem
    except Refusal:
        raise
    except Exception as problem:
        # a hurt picture, or one made to hurt, fails in as many ways as the library has lines: TypeError in its notes,
        # struct.error in its tables, EOFError, SyntaxError
        raise _refused(name, "is damaged", str(problem), bound) from problem


def _check_bytes(name: str, size: int) -> None:
    if not 0 < size <= MOST_BYTES:
        raise _refused(name, "is empty" if not size else "is too large a file", f"{size} bytes")


def _check_pixels(name: str, size: tuple[int, int], most: int) -> None:
    wide, high = size
    if wide * high > most:
        raise _refused(name, "is too large a picture", f"{wide} x {high} pixels", most)


def _refused(name: str, what: str, came: str, most: int = MOST_PIXELS) -> Refusal:
    return Refusal(
        f"{name} {what}", expected=f"a JPEG, PNG or WebP picture of at most {most // 10**6} megapixels",
        came=came, todo="take the photo again, or give another file",
    )  # fmt: skip
