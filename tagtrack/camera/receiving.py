"""Pictures that come from elsewhere: a phone, the network. Held against narrower bounds, and a few at a time.

A picture that is small as a file can be large in memory: 900 megapixels of one colour are a hundred kilobytes. A JPEG
may be larger than the other kinds, because it can be decoded to a part of its size.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from io import BytesIO
from threading import BoundedSemaphore

from PIL import Image

from tagtrack.camera.opening import checked, grey
from tagtrack.core.errors import Refusal

# pixels by kind; measured: a flat PNG of 62 megapixels in 182 kB takes 490 MiB while it is worked on
MOST: Mapping[str, int] = {"JPEG": 64_000_000, "PNG": 17_000_000, "WEBP": 17_000_000}
AT_ONCE = 2
_PATIENCE = 20.0
_TURNS = BoundedSemaphore(AT_ONCE)
# and so many more may wait: a server has few threads, and most of them are for people who only press
_WAITING = BoundedSemaphore(AT_ONCE + 2)
# how a picture begins that iPhones keep unless they are told otherwise: ISO/IEC 23008-12
_HEIC = (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypmsf1", b"ftyphevc")


class Busy(Refusal):
    """Others' pictures are being worked on; nothing is wrong with this one."""


@contextmanager
def admitted() -> Iterator[None]:
    """Let a device in with its pictures, or refuse at once where others wait already. Round all that asks for turns."""
    if not _WAITING.acquire(blocking=False):
        raise Busy("other photos are still being worked on", expected="a moment without others waiting",
                   came="too many at once", todo="send it again in a moment")  # fmt: skip
    try:
        yield
    finally:
        _WAITING.release()


@contextmanager
def turn(patience: float = _PATIENCE) -> Iterator[None]:
    """Wait until at most one other picture is being worked on; refuse after so many seconds."""
    if not _TURNS.acquire(timeout=patience):
        raise Busy("other photos are still being worked on", expected="a moment without two others", came="no turn",
                   todo="send it again")  # fmt: skip
    try:
        yield
    finally:
        _TURNS.release()


@contextmanager
def received(data: bytes, name: str) -> Iterator[Image.Image]:
    """Open a picture that came as bytes; refuse what is none, before anything of it is decoded."""
    if not data:
        raise Refusal(f"{name} is empty", expected="a photo", came="0 bytes", todo="take the photo again")
    if data[4:12] in _HEIC:
        raise Refusal(
            f"{name} is a HEIC picture, which cannot be read here", expected="a JPEG, PNG or WebP picture", came="HEIC",
            todo="let the phone's camera save JPEG",
        )  # fmt: skip
    with checked(BytesIO(data), name, MOST) as picture:
        yield picture


def received_grey(data: bytes, name: str) -> Image.Image:
    """Return a picture that came as bytes, upright and in grey, to look for tags in it."""
    with received(data, name) as picture:
        return grey(picture)
