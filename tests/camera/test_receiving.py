"""Pictures from a phone or the network: upright, stripped, bounded; whatever is wrong with one is a sentence.

What a kept picture says of itself is read with Pillow's own EXIF reader. The pictures are drawn.
"""

from __future__ import annotations

import contextlib
import random
import struct
import threading
import warnings
import zlib
from io import BytesIO

import pytest
from camera.bench import codes, photo
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tagtrack.camera import receiving
from tagtrack.camera.keepsake import LARGE, SMALL, keepsake
from tagtrack.camera.ladder import see
from tagtrack.core.errors import Refusal

CODES = codes(3, seed=4)
ORIENTATION, GPS, MAKER = 0x0112, 0x8825, 0x010F


def picture(size=(1200, 800), kind="JPEG", **how):
    made = Image.new("RGB", size, (200, 190, 180))
    made.paste((20, 30, 200), (0, 0, size[0] // 4, size[1] // 4))
    out = BytesIO()
    made.save(out, kind, **how)
    return out.getvalue()


def with_notes(turned=6):
    exif = Image.Exif()
    exif[ORIENTATION] = turned
    exif[MAKER] = "an invented maker"
    exif[GPS] = {1: "N", 2: (48.0, 12.0, 30.5), 3: "E", 4: (11.0, 33.0, 1.0)}
    return picture(exif=exif)


def huge(wide, high, kind=b"\x89PNG"):
    """A PNG that says so many pixels in a few bytes."""
    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    return kind + b"\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 99)) + chunk(b"IEND", b"")


def test_a_photo_is_kept_upright_and_says_nothing_of_place_and_maker():
    sent = with_notes()
    assert GPS in Image.open(BytesIO(sent)).getexif()
    kept = keepsake(sent, "p.jpg")
    for data in (kept.large, kept.small):
        read = Image.open(BytesIO(data))
        assert len(read.getexif()) == 0
        assert not {"exif", "comment", "xmp", "icc_profile"} & read.info.keys()
        assert read.format == "JPEG"
        # held on its side: what was the upper left is the upper right
        blue = read.convert("RGB").getpixel((read.width - 5, 5))
        assert blue[2] > 150 > blue[0]
    assert Image.open(BytesIO(kept.large)).size == (800, 1200)
    assert max(Image.open(BytesIO(kept.small)).size) == SMALL


def test_a_large_photo_becomes_what_a_screen_shows_and_a_small_one_is_not_blown_up():
    assert Image.open(BytesIO(keepsake(picture((4000, 3000)), "p").large)).size == (LARGE, LARGE * 3 // 4)
    assert Image.open(BytesIO(keepsake(picture((300, 200)), "p").large)).size == (300, 200)


def test_a_tag_in_a_photo_of_a_phone_can_still_be_read_in_what_is_kept():
    out = BytesIO()
    photo(CODES, module=9, size=(4000, 3000)).save(out, "JPEG", quality=90)
    kept = Image.open(BytesIO(keepsake(out.getvalue(), "p").large)).convert("L")
    assert {sighting.code for sighting in see(kept)} == set(CODES)


def test_what_stands_behind_the_end_of_a_picture_is_gone():
    kept = keepsake(picture() + b"<script>alert(1)</script>", "p.jpg")
    assert b"<script" not in kept.large + kept.small


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "JPEG"])
def test_every_kind_of_picture_is_taken_by_what_it_is(kind):
    kept = keepsake(picture((640, 480), kind), "photo.jpg")
    assert Image.open(BytesIO(kept.large)).size == (640, 480)


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "CMYK", "1", "I;16"])
def test_clear_grey_and_printers_pictures_are_taken(mode):
    out = BytesIO()
    made = Image.new("L", (64, 48), 255).convert(mode) if mode != "RGBA" else Image.new("RGBA", (64, 48), (0, 0, 0, 0))
    made.save(out, "JPEG" if mode == "CMYK" else "PNG")
    kept = Image.open(BytesIO(keepsake(out.getvalue(), "p").large))
    # what is clear becomes white paper, not black
    assert kept.getpixel((10, 10))[1] > 200


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "is empty"),
        (b"hello, no picture", "is no picture"),
        (picture(kind="GIF"), "is no picture"),
        (picture(kind="TIFF"), "is no picture"),
        (picture(kind="BMP"), "is no picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "is no picture"),
        (b"%PDF-1.7", "is no picture"),
        (b"\0\0\0\x18ftypheic" + bytes(90), "HEIC"),
        (picture()[:4000], "is damaged"),
        (picture()[:30], "is no picture|is damaged"),
        (picture(kind="PNG")[:200], "is damaged"),
        (huge(20_000, 20_000), "too large a picture"),
        (huge(30_000, 30_000), "too large a picture"),
        (huge(4200, 4200), "too large a picture"),
        (huge(2**31 - 1, 2**31 - 1), "too large a picture"),
        (picture((9000, 7200), quality=1), "too large a picture"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_is_no_picture_or_too_large_is_refused_in_words(data, told):
    for take in (receiving.received_grey, keepsake):
        with pytest.raises(Refusal, match=told) as caught:
            take(data, "photo.jpg")
        assert caught.value.todo


def test_a_picture_bomb_costs_no_memory():
    """400 megapixels of one grey would be 400 MB; what Python took is measured by its own counter."""
    import tracemalloc

    tracemalloc.start()
    with pytest.raises(Refusal):
        keepsake(huge(20_000, 20_000), "bomb.png")
    assert tracemalloc.get_traced_memory()[1] < 2_000_000
    tracemalloc.stop()


SOUND = [picture((90, 60)), picture((90, 60), "PNG"), picture((90, 60), "WEBP"), with_notes()]


@settings(max_examples=250, deadline=None)
@given(st.sampled_from(SOUND), st.integers(0, 2**32))
def test_a_picture_with_any_bytes_wrong_is_taken_or_refused_and_nothing_else(sound, seed):
    chance = random.Random(seed)
    hurt = bytearray(sound)
    for _ in range(chance.randint(1, 12)):
        hurt[chance.randrange(len(hurt))] = chance.randrange(256)
    hurt = hurt[: chance.choice((len(hurt), chance.randrange(1, len(hurt))))]
    with warnings.catch_warnings():
        # the library warns of odd notes in a picture
        warnings.simplefilter("ignore")
        for take in (keepsake, receiving.received_grey):
            with contextlib.suppress(Refusal):
                take(bytes(hurt), "hurt.jpg")


def test_two_pictures_are_worked_on_at_a_time_and_a_third_waits():
    started, go = threading.Semaphore(0), threading.Event()

    def work():
        with receiving.turn():
            started.release()
            go.wait(10)

    threads = [threading.Thread(target=work) for _ in range(2)]
    for thread in threads:
        thread.start()
    for _ in threads:
        assert started.acquire(timeout=10)
    with pytest.raises(receiving.Busy), receiving.turn(patience=0.05):
        pytest.fail("a third had a turn")
    go.set()
    for thread in threads:
        thread.join()
    with receiving.turn(patience=0.05):
        pass


def test_a_few_more_may_wait_and_the_rest_are_told_at_once():
    with contextlib.ExitStack() as inside:
        for _ in range(receiving.AT_ONCE + 2):
            inside.enter_context(receiving.admitted())
        with pytest.raises(receiving.Busy, match="still being worked on"), receiving.admitted():
            pytest.fail("one too many was let in")
    with receiving.admitted():
        pass


@pytest.mark.parametrize("data", [b"no picture", picture()[:4000], huge(2**31 - 1, 2**31 - 1)])
def test_the_bound_that_is_told_is_the_one_that_holds_here(data):
    with pytest.raises(Refusal) as caught:
        keepsake(data, "x")
    assert "at most 64 megapixels" in caught.value.expected


def test_odd_notes_in_a_picture_are_taken_or_refused():
    """A rotation that is no number makes the library fail in ways of its own; found by chance, kept."""
    exif = Image.Exif()
    exif[ORIENTATION] = 6
    sent = bytearray(picture((90, 60), exif=exif))
    at = sent.index(b"Exif\0\0") + 6
    # the kind of the one entry becomes a fraction, a float, text: all that TIFF 6.0 has
    for kind in range(1, 14):
        sent[at + 10 : at + 12] = struct.pack("<H" if sent[at : at + 2] == b"II" else ">H", kind)
        with contextlib.suppress(Refusal):
            keepsake(bytes(sent), "odd.jpg")
