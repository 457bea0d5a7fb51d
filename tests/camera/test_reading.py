"""Tags in photos: all read that can be, never one wrong. The photos are drawn, not taken; see `bench`."""

from __future__ import annotations

import random
import struct
import zlib
from io import BytesIO

import pytest
from camera.bench import codes, label, photo
from camera.closeup import closeup
from camera.printed import CONDITIONS, worn
from PIL import Image, ImageDraw

from tagtrack.camera.ladder import LADDER, Sighting, see
from tagtrack.camera.opening import opened, pictures
from tagtrack.camera.outline import name_places, outlined
from tagtrack.camera.repair import fixed_modules, repaired
from tagtrack.camera.straight import inside
from tagtrack.core.errors import Refusal
from tagtrack.paper.symbol import matrix

BENCH = codes(40)


def read(picture, expected=BENCH, **how):
    sightings = see(picture, frozenset(expected), **how)
    assert all(sighting.code in expected for sighting in sightings), "a wrong read"
    return {sighting.code for sighting in sightings}


@pytest.mark.parametrize("seed", [1, 2])
def test_forty_tags_on_a_bench_are_all_read(seed):
    assert read(photo(BENCH, module=3, seed=seed)) == set(BENCH)


def test_at_two_pixels_a_module_the_ladder_reads_what_the_plain_look_does_not():
    picture = photo(BENCH, module=2, seed=3)
    plain = {s.code for s in see(picture, patient=False)}
    assert len(plain) < 40
    assert len(read(picture)) >= 40 * 0.99


def test_of_a_bench_with_hurt_tags_nearly_all_are_read():
    found = sum(len(read(photo(BENCH, module=4, seed=seed, hurt=0.4))) for seed in (4, 5))
    assert found >= 80 * 0.95


def test_a_hundred_and_sixty_tags_are_read():
    many = codes(160, seed=9)
    assert len(read(photo(many, module=3, seed=6), many)) >= 160 * 0.99


def test_the_ladder_is_left_when_all_that_is_expected_was_seen():
    sightings = see(photo(BENCH[:5], module=4, size=(1600, 1200)), frozenset(BENCH[:5]))
    assert {s.look for s in sightings} == {"plain"}


def test_a_symbol_that_is_none_of_ours_is_told_and_a_wrong_check_character_is_no_code():
    import qrcode

    wrong = BENCH[0][:-1] + ("2" if BENCH[0][-1] != "2" else "3")
    for text in ("https://example.org/hello", wrong):
        picture = qrcode.make(text).get_image().convert("L")
        (sighting,) = see(picture)
        assert sighting.code == ""
        assert sighting.said == text


def test_what_all_our_symbols_have_in_common_is_what_the_encoder_draws():
    for code in BENCH:
        drawn = matrix(code)
        assert all(drawn[y][x] == black for (x, y), black in fixed_modules().items())


def hurt_where_all_are_alike(code, seed):
    """A close photo of one symbol whose timing and format bits are gone, and some modules of its data."""
    chance = random.Random(seed)
    picture = label(code, 8, chance)
    draw = ImageDraw.Draw(picture)
    side = 8
    for x, y in fixed_modules():
        if 7 < x < 13 or 7 < y < 13 or x == 8 or y == 8:
            draw.rectangle(((x + 4) * side, (y + 4) * side, (x + 5) * side - 1, (y + 5) * side - 1), fill=130)
    return picture.rotate(3, expand=True, fillcolor=120)


def test_a_symbol_without_its_format_bits_is_repaired():
    plain = repaired = 0
    for seed, code in enumerate(BENCH[:20]):
        picture = hurt_where_all_are_alike(code, seed)
        plain += bool(see(picture, patient=False))
        repaired += read(picture, [code]) == {code}
    assert plain < repaired
    assert repaired >= 18


def without_a_finder(code, seed):
    """A close photo of one symbol of which one finder pattern is torn off, turned at random."""
    chance = random.Random(seed)
    picture = label(code, 8, chance)
    x, y = chance.choice(((4, 4), (18, 4), (4, 18)))
    box = ((x - 1) * 8, (y - 1) * 8, (x + 6) * 8, (y + 6) * 8)
    ImageDraw.Draw(picture).ellipse(box, fill=chance.choice((246, 130)))
    ground = Image.new("L", (picture.width + 120, picture.height + 120), 110)
    ground.paste(picture, (60, 60))
    return ground.rotate(chance.random() * 360, resample=Image.Resampling.BICUBIC, expand=True, fillcolor=110)


def test_a_symbol_that_lost_a_finder_pattern_is_read_by_the_other_two():
    """No plain decoder reads these: it needs all three."""
    plain = whole = 0
    for seed, code in enumerate(BENCH[:10]):
        picture = without_a_finder(code, seed)
        plain += any(s.code for s in see(picture, patient=False))
        whole += read(picture, [code]) == {code}
    assert plain == 0
    assert whole >= 9


def test_of_symbols_that_lost_a_twentieth_of_their_area_anywhere_nine_in_ten_are_read():
    plain = whole = 0
    for seed, code in enumerate(BENCH):
        picture = closeup(code, share=0.05, seed=seed)
        plain += any(s.code for s in see(picture, patient=False))
        whole += read(picture, [code]) == {code}
    assert plain < 20
    assert whole >= 36


def test_a_hurt_symbol_is_repaired_from_near_too_where_its_modules_are_large():
    near = [closeup(code, share=0.05, seed=seed, module=22.0) for seed, code in enumerate(BENCH[:6])]
    assert sum(read(picture, [code]) == {code} for picture, code in zip(near, BENCH, strict=False)) >= 5


def test_of_a_symbol_of_which_too_much_is_gone_nothing_is_read_rather_than_something_else():
    for seed, code in enumerate(BENCH[:10]):
        assert read(closeup(code, share=0.35, seed=seed), [code]) <= {code}


def test_corners_that_span_nothing_or_lie_on_blank_paper_are_no_symbol():
    picture = closeup(BENCH[0], share=0.01, seed=1)
    for quad in (((5, 5),) * 4, ((1, 1), (40, 1), (40, 40), (1, 40))):
        assert repaired(picture, quad) == ("", quad)


@pytest.mark.parametrize("condition", CONDITIONS)
@pytest.mark.parametrize("head", ["203", "300"])
def test_a_printed_label_is_read_whatever_befell_it(condition, head):
    """Two of each; `figure_reading.py` counts many."""
    for seed, code in enumerate(BENCH[:2]):
        assert read(worn(code, head, condition, two=True, seed=seed), [code]) == {code}


def test_what_lies_inside_a_square_is_told_whichever_way_round_its_corners_are_named():
    square = ((0, 0), (10, 0), (10, 10), (0, 10))
    for quad in (square, square[::-1]):
        assert inside(quad, 5, 5)
        assert not inside(quad, 11, 5)


def test_every_rung_has_a_name_and_none_returns_a_code_of_an_empty_bench():
    picture = photo([], module=3, size=(1200, 900))
    assert see(picture) == ()
    assert len({look.name for look in LADDER}) == len(LADDER)


def huge_png():
    """A PNG that says 20,000 x 20,000 pixels in a few bytes."""
    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 20_000, 20_000, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


def jpeg():
    out = BytesIO()
    photo(BENCH[:2], module=4, size=(600, 400)).save(out, "JPEG")
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "is empty"),
        (b"this is no picture", "is no picture that can be read"),
        (jpeg()[:2000], "is damaged"),
        (huge_png(), "is too large a picture"),
        (b"GIF89a" + bytes(50), "is no picture that can be read"),
    ],
)
def test_a_file_that_is_no_picture_is_refused_in_words(tmp_path, data, told):
    file = tmp_path / "photo.jpg"
    file.write_bytes(data)
    with pytest.raises(Refusal, match=told):
        opened(file)


def test_a_mislabelled_picture_is_read_by_what_it_is(tmp_path):
    file = tmp_path / "photo.png"
    file.write_bytes(jpeg())
    assert opened(file).size == (600, 400)


def test_a_photo_taken_sideways_is_turned_upright(tmp_path):
    file = tmp_path / "photo.jpg"
    picture = Image.open(BytesIO(jpeg()))
    exif = picture.getexif()
    exif[0x0112] = 6
    picture.save(file, exif=exif)
    assert opened(file).size == (400, 600)


def test_a_folder_gives_its_pictures_by_name(tmp_path):
    for name in ("b.jpg", "a.PNG", "notes.txt", "b-read.jpg"):
        (tmp_path / name).write_bytes(b"x")
    assert [path.name for path in pictures([tmp_path, tmp_path / "b.jpg"])] == ["a.PNG", "b.jpg", "b.jpg"]


def test_names_lie_inside_the_picture_and_neither_on_a_symbol_nor_on_each_other():
    chance = random.Random(5)
    draw = ImageDraw.Draw(Image.new("RGB", (4000, 3000)))
    symbols = [(x, y, x + 90, y + 90) for x, y in ((chance.randrange(3900), chance.randrange(2900)) for _ in range(25))]
    boxes = name_places(draw, ["bag: elevator weight, LEFT"] * 25, symbols, 40, (4000, 3000))
    placed = [box for box in boxes if box]
    assert len(placed) >= 20
    for box in placed:
        assert 0 <= box[0] < box[2] < 4000
        assert 0 <= box[1] < box[3] < 3000
        others = [*symbols, *(other for other in placed if other is not box)]
        assert not any(box[0] < o[2] and o[0] < box[2] and box[1] < o[3] and o[1] < box[3] for o in others)


def test_a_picture_too_small_for_its_names_still_shows_every_outline():
    at = [((x, 40), (x + 30, 40), (x + 30, 70), (x, 70)) for x in (10, 60, 110)]
    sightings = [Sighting(code, code, corners, "plain") for code, corners in zip(BENCH, at, strict=False)]
    names = dict.fromkeys(BENCH, "a name far too long for it" * 3)
    copy = Image.open(BytesIO(outlined(Image.new("L", (160, 120), 90), sightings, names)))
    assert copy.size == (160, 120)
    # black, or white beside it, where the ground was grey
    assert all(abs(copy.getpixel(corners[1])[0] - 90) > 60 for corners in at)


def test_a_picture_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(Refusal, match="cannot be read"):
        opened(tmp_path / "gone.jpg")


def test_the_outlined_copy_shows_every_symbol():
    picture = photo(BENCH[:3], module=4, size=(1200, 900))
    copy = Image.open(BytesIO(outlined(picture, see(picture), {BENCH[0]: "bag: weight, LEFT"})))
    assert copy.size == picture.size
    assert copy.mode == "RGB"
