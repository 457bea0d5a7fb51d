"""Tag codes, held against python-stdnum's ISO/IEC 7064 MOD 37-2."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from tagtrack.core import tagcode
from tagtrack.core.errors import Refusal, Slip
from tagtrack.core.tagcode import ALPHABET, BODY, SUFFIXES
from tagtrack.shop.lines.loop import WORDS

# the alphanumeric mode of a QR symbol, ISO/IEC 18004
QR_ALPHANUMERIC = set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")

bodies = st.text(ALPHABET, min_size=BODY, max_size=BODY).filter(tagcode.issuable)
codes = st.builds(lambda body, letter: tagcode.with_check(body + letter), bodies, st.sampled_from(("", *SUFFIXES)))


@given(st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=30))
def test_the_check_character_is_that_of_another_program(text):
    assert tagcode.check_character(text) == mod_37_2.calc_check_digit(text)
    assert mod_37_2.is_valid(tagcode.with_check(text))


@given(codes)
def test_every_wrong_character_is_a_slip(code):
    for place, right in enumerate(code):
        for wrong in "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ":
            if wrong != right:
                with pytest.raises(Slip):
                    tagcode.read(code[:place] + wrong + code[place + 1 :])


@given(codes)
def test_every_exchange_of_two_characters_is_a_slip(code):
    for one in range(len(code)):
        for other in range(one + 1, len(code)):
            if code[one] != code[other]:
                swapped = list(code)
                swapped[one], swapped[other] = swapped[other], swapped[one]
                with pytest.raises(Slip):
                    tagcode.read("".join(swapped))


@given(codes)
def test_a_code_is_read_however_people_set_it(code):
    spellings = (
        code, code.lower(), tagcode.shown(code), tagcode.shown(code).replace(" ", "-"), f"  {code} ", " ".join(code),
        f"http://192.168.1.20:8080/t/{code}", f"HTTPS://SHOP.LOCAL/T/{code}/",
        f"http://old-name.example.org/hangar/t/{code.lower()}", f"HTTP://[FD00::7]:8765/T/{code}",
        # a hand scanner that is set to a German, and one that is set to a Spanish keyboard
        f"HTTPÖ--192.168.1.20Ö8765-T-{code}", f"HTTPÑ--192.168.1.20Ñ8765-T-{code}",
    )  # fmt: skip
    for spelling in spellings:
        assert tagcode.looks_like_code(spelling)
        assert tagcode.read(spelling) == code


@given(codes)
def test_a_code_fits_the_smallest_symbol(code):
    assert len(code) <= 10
    assert set(code) <= QR_ALPHANUMERIC
    assert not set(code) & set("01ILO*")


@given(bodies, st.sampled_from(SUFFIXES))
def test_a_suffix_keeps_the_body_and_has_its_own_check(body, letter):
    code = tagcode.suffixed(tagcode.with_check(body), letter)
    assert tagcode.suffix(code) == letter
    assert tagcode.read(code)[:BODY] == body
    assert tagcode.suffix(tagcode.with_check(body)) == ""


@pytest.mark.parametrize(
    "text", ["7K4M9Q0Q", "7K4M9QIQ", "7K4M 9QXO", "SHORT2", "7K4M9QXQ7K4M9QXQ", "", "7K4M9QX*", "7K4M9QXQ\n7K4M9QXQ"]
)
def test_what_cannot_be_a_code_is_a_slip_that_says_what_to_do(text):
    with pytest.raises(Slip) as told:
        tagcode.read(text)
    assert told.value.expected
    assert told.value.todo


def test_a_left_out_character_is_named():
    with pytest.raises(Slip, match="the figure 0"):
        tagcode.read("7K4M9Q0Q")


def test_a_code_with_an_ambiguous_check_character_is_never_issued():
    left_out = [b for b in ("2222222", "7K4M9QX", "ABCDEF2") if not tagcode.issuable(b)]
    for body in left_out:
        checks = {tagcode.check_character(body + s) for s in ("", *SUFFIXES)}
        assert checks - set(ALPHABET) or sum(c.isdigit() for c in body) < 2
    assert not tagcode.issuable("7K4M9Q")
    assert not tagcode.issuable("ABCDEFG")


@pytest.mark.parametrize("word", WORDS)
def test_no_word_of_the_loop_looks_like_a_code(word):
    assert not tagcode.looks_like_code(word)


@pytest.mark.parametrize(
    "line", ["up fwd", "all in tight safe", "tight 25", "in 12 AN3", "case L1", "off panel 12 LEFT"]
)
def test_no_line_of_the_loop_looks_like_a_code(line):
    assert not tagcode.looks_like_code(line)


@pytest.mark.parametrize("text", ["http://shop/T/7K4M9QXR", "HTTP://SHOP/T/7K4M9QX0"])
def test_an_address_with_a_misread_code_is_no_code(text):
    assert tagcode.looks_like_code(text)
    with pytest.raises(Slip):
        tagcode.read(text)


@pytest.mark.parametrize("text", ["http://shop/T/", "httpx", "https is no word", "http://shop/T/7K4M9QXQ?x=1&y=2 off"])
def test_other_addresses_and_words_are_no_code(text):
    assert not tagcode.looks_like_code(text)


@pytest.mark.parametrize(
    ("text", "address"),
    [
        ("http://192.168.1.20:8765/", "HTTP://192.168.1.20:8765"),
        (" https://shop.local ", "HTTPS://SHOP.LOCAL"),
        ("http://hangar-pc:80", "HTTP://HANGAR-PC:80"),
    ],
)
def test_the_shops_address_is_taken_in_capitals(text, address):
    assert tagcode.shop_address(text) == address
    assert set(tagcode.addressed("7K4M9QXQ", address)) <= QR_ALPHANUMERIC


@pytest.mark.parametrize(
    "text",
    ["", "shop.local", "ftp://shop", "http://", "http://shop/page", "http://a b", "http://sh_op", "http://ü.local",
     "http://[fd00::7]:8765", "http://shop:123456", "http://-", "http://" + "a" * 40],
)  # fmt: skip
def test_what_cannot_stand_on_tags_is_refused(text):
    with pytest.raises(Refusal, match="cannot be the address"):
        tagcode.shop_address(text)
