"""Photos that a device sent: a tag, or a whole bench of forty in a few. Drawn, not taken; see `bench`."""

from __future__ import annotations

from io import BytesIO

import pytest
from camera.bench import codes, photo
from PIL import Image

from tagtrack.camera.looking import MOST_PHOTOS, read_photos, symbols_in
from tagtrack.core.errors import Refusal

BENCH = codes(40)


def jpeg(tags, **how):
    out = BytesIO()
    photo(tags, **how).save(out, "JPEG", quality=90)
    return out.getvalue()


def test_one_photo_accounts_for_forty_tags():
    (looked,) = read_photos([("bench.jpg", jpeg(BENCH, module=3))], frozenset(BENCH))
    assert set(looked.codes) == set(BENCH)
    assert not looked.refused


def test_several_photos_are_looked_at_together_and_a_bad_one_keeps_nobody_from_the_others():
    small = {"module": 4, "size": (1600, 1200)}
    photos = [("a.jpg", jpeg(BENCH[:3], **small)), ("b.jpg", b"no photo"), ("c.jpg", jpeg(BENCH[2:6], **small))]
    first, bad, last = read_photos(photos, frozenset(BENCH[:6]))
    assert {*first.codes, *last.codes} == set(BENCH[:6])
    assert "is no picture" in bad.refused
    assert bad.codes == ()
    assert bad.shown({}) == b""
    shown = Image.open(BytesIO(last.shown({BENCH[3]: "bag: weight, LEFT"})))
    assert shown.size == (1600, 1200)


def test_what_is_no_tag_of_ours_is_told_as_what_it_says():
    import qrcode

    out = BytesIO()
    qrcode.make("https://example.org/T/hello").get_image().save(out, "PNG")
    (looked,) = read_photos([("x.png", out.getvalue())], frozenset())
    assert looked.foreign == ("https://example.org/T/hello",)
    assert looked.codes == ()


@pytest.mark.parametrize("count", [0, MOST_PHOTOS + 1])
def test_no_photo_and_more_than_are_taken_at_once_are_refused(count):
    with pytest.raises(Refusal, match="photos at once"):
        read_photos([("x.jpg", b"x")] * count, frozenset())


def test_a_tag_before_the_camera_is_read_and_a_small_one_by_looking_again():
    assert [s.code for s in symbols_in(jpeg(BENCH[:1], module=5, size=(900, 700)), "x")] == BENCH[:1]
    # small and soft: the plain look finds nothing
    soft = jpeg(BENCH[:1], module=2, size=(900, 700), blur=1.0, seed=2)
    assert symbols_in(soft, "x", patient=False) == ()
    assert [s.code for s in symbols_in(soft, "x")] == BENCH[:1]


def test_a_photo_without_a_tag_and_one_that_is_none_are_told_apart():
    assert symbols_in(jpeg([], module=3, size=(600, 400)), "x") == ()
    with pytest.raises(Refusal, match="is no picture"):
        symbols_in(b"nothing", "x")
