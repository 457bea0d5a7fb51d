"""The symbol: version 1, level H, alphanumeric, one mask, read back by an independent decoder."""

from __future__ import annotations

import pytest
import segno
import zxingcpp
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from PIL import Image
from qrcode import constants, util

from tagtrack.core.errors import Refusal
from tagtrack.paper import symbol
from tagtrack.paper.symbol import MASK, MODULES, MOST_CHARACTERS, QUIET, matrix, operators, rectangles

CODES = st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=MOST_CHARACTERS)


def read_back(code):
    picture = Image.new("L", (MODULES + 2 * QUIET,) * 2, 255)
    for y, row in enumerate(matrix(code)):
        for x, black in enumerate(row):
            picture.putpixel((x + QUIET, y + QUIET), 0 if black else 255)
    big = picture.resize((picture.width * 4,) * 2, Image.Resampling.NEAREST)
    return zxingcpp.read_barcodes(big)


@given(CODES)
@settings(max_examples=60)
def test_every_code_is_read_back_by_an_independent_decoder(code):
    (found,) = read_back(code)
    assert found.text == code
    assert found.format == zxingcpp.BarcodeFormat.QRCode


def test_ten_characters_are_just_what_version_1_at_level_h_holds():
    # ISO/IEC 18004:2015 table 7 (data capacity): version 1, level H: 10 alphanumeric characters. The same from
    # qrcode's own table: 9 data codewords = 72 bits; 4 bits of mode, 9 of count, 11 for each two characters.
    bits = util.BIT_LIMIT_TABLE[constants.ERROR_CORRECT_H][1]
    assert bits == 72
    header = 4 + util.mode_sizes_for_version(1)[util.MODE_ALPHA_NUM]
    assert header + 11 * MOST_CHARACTERS // 2 <= bits < header + 11 * MOST_CHARACTERS // 2 + 6
    assert len(matrix("7K3M9QXTAB")) == 21


def format_bits(code):
    """Level and mask as printed beside the upper left finder: ISO/IEC 18004:2015, 7.9, mask 101010000010010."""
    rows = matrix(code)
    first_five = "".join(str(int(rows[8][x])) for x in range(5))
    return int(first_five, 2) ^ 0b10101


@pytest.mark.parametrize("code", ["7K3M9QXT", "A", "0000000000", "ZZZZZZZZZZ"])
def test_level_and_mask_are_pinned(code):
    # two bits of level (H is 10), three of mask
    assert format_bits(code) == (0b10 << 3) | MASK


@pytest.mark.parametrize("code", ["12345678", "7K3M9QXT"])
def test_digits_alone_are_kept_in_alphanumeric_mode_too(code):
    (found,) = read_back(code)
    # 2 is alphanumeric in the symbology identifier's byte stream; a numeric code would have another matrix
    numeric = symbol.qrcode.QRCode(1, constants.ERROR_CORRECT_H, border=0, mask_pattern=MASK)
    numeric.add_data(code)
    numeric.make(fit=False)
    assert found.text == code
    assert (numeric.modules != [list(row) for row in matrix(code)]) == code.isdigit()


@pytest.mark.parametrize("code", ["", "7k3m9qxt", "7K3M 9QXT", "7K3M-9QXT", "7K3M9QXTABC", "ÄBC", "１２", "A\n"])
def test_whatever_is_no_tag_code_is_refused(code):
    with pytest.raises(Refusal, match="cannot be a tag code"):
        matrix(code)


@given(CODES)
@settings(max_examples=40)
def test_the_rectangles_cover_every_black_module_once_and_no_white_one(code):
    covered = [(x + dx, y + dy) for x, y, w, h in rectangles(code) for dx in range(w) for dy in range(h)]
    black = {(x, y) for y, row in enumerate(matrix(code)) for x, dark in enumerate(row) if dark}
    assert len(covered) == len(set(covered))
    assert set(covered) == black


def test_the_symbol_is_one_path_filled_once_in_whole_units():
    words = operators("7K3M9QXT").split()
    assert words.count("f") == 1
    assert words[-1] == "f"
    assert all(word in {"re", "f"} or word.isdigit() for word in words)


def test_a_code_is_encoded_once():
    matrix.cache_clear()
    for _ in range(3):
        matrix("7K3M9QXT")
    assert matrix.cache_info().misses == 1


# ISO/IEC 18004:2015, table 7: alphanumeric characters that versions 1 to 4 hold at levels L, M, Q, H
CAPACITIES = {
    (1, "L"): 25, (1, "M"): 20, (1, "Q"): 16, (1, "H"): 10,
    (2, "L"): 47, (2, "M"): 38, (2, "Q"): 29, (2, "H"): 20,
    (3, "L"): 77, (3, "M"): 61, (3, "Q"): 47, (3, "H"): 35,
    (4, "L"): 114, (4, "M"): 90, (4, "Q"): 67, (4, "H"): 50,
}  # fmt: skip


@pytest.mark.parametrize(("version", "level"), CAPACITIES, ids=str)
def test_the_capacities_of_the_standard_are_those_of_two_encoders(version, level):
    most = CAPACITIES[version, level]
    how = {"error": level, "micro": False, "boost_error": False}
    fits, over = (segno.make("A" * count, **how) for count in (most, most + 1))
    assert (fits.version, over.version) == (version, version + 1)
    assert fits.error == level
    bits = util.BIT_LIMIT_TABLE[getattr(constants, f"ERROR_CORRECT_{level}")][version]
    # 4 bits of mode, 9 of count, 11 for each two characters and 6 for a last one alone
    needed = [13 + count // 2 * 11 + count % 2 * 6 for count in (most, most + 1)]
    assert needed[0] <= bits < needed[1]


@given(CODES)
@settings(max_examples=60, deadline=None)
def test_every_module_is_the_one_that_another_encoder_sets(code):
    # with seven characters and the terminator the bits end on a codeword's boundary; there segno 1.6 puts in a codeword
    # of zeros that ISO/IEC 18004:2015, 7.4.10, does not have. Our codes have eight characters or more
    assume(len(code) != 7)
    other = segno.make(code, version=1, error="H", mode="alphanumeric", mask=MASK, micro=False, boost_error=False)
    assert other.designator == "1-H"
    assert tuple(tuple(map(bool, row)) for row in other.matrix) == matrix(code)


def test_a_code_of_the_longest_kind_fits_and_one_character_more_would_need_a_larger_symbol():
    assert segno.make("Z" * (MOST_CHARACTERS + 1), error="H", micro=False).version == 2
    assert MODULES == 17 + 4 * 1
