"""One line as bytes: exact, canonical, and refused when anything about it is not what was written."""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import unicodedata
from enum import StrEnum

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st
from journal.samples import act, lines_of

from tagtrack.core.errors import Damaged, Fault, Refusal
from tagtrack.journal.line import NO_LINE, check_header, decode, encode, header

LARGEST = 2**53 - 1

texts = st.text(st.characters(exclude_categories=["Cs"])).map(lambda text: unicodedata.normalize("NFC", text))
keys = st.text(st.characters(max_codepoint=127))
values = st.recursive(
    st.none() | st.booleans() | st.integers(-LARGEST, LARGEST) | texts,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(keys, inner, max_size=4),
    max_leaves=12,
)
documents = st.dictionaries(keys, values, max_size=6)


def forged(text):
    """A line with any body at all and a check that fits it."""
    body = text.encode()
    return body + b',"sha":"' + hashlib.sha256(body).hexdigest().encode() + b'"}\n'


class Word(StrEnum):
    LEFT = "LEFT"


@given(documents, st.integers(1, LARGEST), st.binary(min_size=32, max_size=32))
def test_a_document_comes_back_from_its_line_exactly(doc, seq, check):
    line = decode(encode(seq, check.hex(), doc), seq)
    assert (line.doc, line.seq, line.prev) == (doc, seq, check.hex())


@given(documents, st.integers(1, LARGEST))
def test_a_line_is_canonical_json_to_an_independent_program(doc, seq):
    raw = encode(seq, NO_LINE, doc)
    assert raw == rfc8785.dumps(json.loads(raw)) + b"\n"


def test_the_check_is_the_hash_of_the_bytes_before_it_and_stands_last():
    raw = encode(41, "ab" * 32, act(1))
    assert raw.endswith(b',"prev":"' + b"ab" * 32 + b'","seq":41,"sha":"' + raw[-67:-3] + b'"}\n')
    assert hashlib.sha256(raw[:-75]).hexdigest() == json.loads(raw)["sha"] == decode(raw, 41).sha


@pytest.mark.skipif(shutil.which("sha256sum") is None, reason="this system has no sha256sum command")
def test_the_check_can_be_worked_out_by_hand_with_sha256sum():
    raw = encode(1, NO_LINE, act(1))
    answer = subprocess.run(["sha256sum"], input=raw[:-75], capture_output=True, check=True)
    assert answer.stdout[:64] == raw[-67:-3]


@pytest.mark.parametrize(
    ("value", "place"),
    [
        pytest.param({"a": 1.0}, "a", id="a float"),
        pytest.param({"a": float("nan")}, "a", id="not a number"),
        pytest.param({"a": 2**53}, "a", id="an integer too large for other readers"),
        pytest.param({"a": -(2**53)}, "a", id="an integer too small"),
        pytest.param({"a": ["x", {"b": 0.5}]}, "a[1].b", id="a float deep inside"),
        pytest.param({"é": 1}, "the document", id="a key beyond ASCII"),
        pytest.param({1: 1}, "the document", id="a key that is no text"),
        pytest.param({"a": "e\u0301"}, "a", id="text not in NFC"),
        pytest.param({"a": "\ud800"}, "a", id="half of a surrogate pair"),
        pytest.param({"a": (1, 2)}, "a", id="a tuple, which would come back as a list"),
        pytest.param({"a": b"x"}, "a", id="bytes"),
        pytest.param({"a": Word.LEFT}, "a", id="an enum member, which would come back as text"),
        pytest.param({"a": {1}}, "a", id="a set"),
    ],
)
def test_what_would_not_come_back_exactly_is_refused_with_its_place(value, place):
    with pytest.raises(Refusal) as caught:
        encode(1, NO_LINE, value)
    assert f": {place} would not" in caught.value.what


def test_endless_nesting_is_refused():
    endless = []
    endless.append(endless)
    with pytest.raises(Refusal):
        encode(1, NO_LINE, {"a": endless})


def test_the_deepest_document_that_is_taken_can_be_read_back():
    doc = {"a": 1}
    for _ in range(59):
        doc = {"a": doc}
    assert decode(encode(1, NO_LINE, doc), 1).doc == doc


def test_every_flipped_bit_of_a_line_is_damage():
    raw = encode(7, NO_LINE, act(1))
    for bit in range(len(raw) * 8):
        flipped = bytearray(raw)
        flipped[bit // 8] ^= 1 << bit % 8
        with pytest.raises(Damaged):
            decode(bytes(flipped), 7)


@pytest.mark.parametrize(
    ("raw", "reason"),
    [
        pytest.param(encode(3, NO_LINE, {})[:-1], "has no end", id="no newline"),
        pytest.param(b"", "has no end", id="nothing"),
        pytest.param(b"\0" * 90 + b"\n", "holds NUL bytes", id="NUL bytes"),
        pytest.param(b"{}\n", "does not end in its check", id="some other JSON"),
        pytest.param(encode(3, NO_LINE, {"a": 1}).replace(b'"a":1', b'"a":2'), "was changed", id="changed"),
        pytest.param(encode(4, NO_LINE, {}), "another line's number", id="another line"),
        pytest.param(forged('{"doc":{"a":1.5},"prev":"","seq":3'), "is not a journal line", id="a fraction"),
        pytest.param(forged('{"doc":{"a":NaN},"prev":"","seq":3'), "is not a journal line", id="not a number"),
        pytest.param(forged('{"doc":[],"prev":"","seq":3'), "is not a journal line", id="no document"),
        pytest.param(forged('{"doc":{},"prev":"","seq":"3"'), "is not a journal line", id="number as text"),
        pytest.param(forged('{"doc":{},"more":1,"prev":"","seq":3'), "is not a journal line", id="a member more"),
        pytest.param(forged("[" * 100_000), "is not a journal line", id="endless nesting"),
        pytest.param(forged("{}"), "is not a journal line", id="two values in a line"),
    ],
)
def test_a_line_that_is_not_as_written_is_told_by_number_and_reason(raw, reason):
    with pytest.raises(Damaged) as caught:
        decode(raw, 3)
    assert caught.value.what.startswith("line 3 ")
    assert reason in caught.value.what


def test_the_number_of_the_first_line_is_a_number_and_not_the_word_true():
    with pytest.raises(Damaged):
        decode(forged('{"doc":{},"prev":"","seq":true'), 1)


@given(st.binary(max_size=300) | st.binary(max_size=60).map(lambda body: forged(body.decode("latin-1"))))
def test_no_bytes_at_all_make_reading_fail_in_another_way(raw):
    with pytest.raises(Damaged):
        decode(raw, 1)


@pytest.mark.parametrize(
    ("doc", "kind"),
    [
        pytest.param(header("job", "x") | {"format": "another"}, Damaged, id="another format"),
        pytest.param(header("job", "x") | {"kind": None}, Damaged, id="no kind"),
        pytest.param(header("job", "x") | {"version": 2}, Fault, id="a later version"),
    ],
)
def test_only_a_header_of_this_format_and_version_opens_a_journal(doc, kind):
    line = decode(encode(1, NO_LINE, doc), 1)
    with pytest.raises(kind) as caught:
        check_header(line)
    assert type(caught.value) is kind


def test_the_stored_form_of_version_1_stays_as_it_is():
    # What is written once is read for ever: these are the lines of the first release.
    first = "d005a89217b7d90801347d76d4571fd0641662d4ebc98949b33e737a878a2b03"
    second = "f71d5b08054e644fd6ae6f2e9191ea463057e826cef516723956deef509d2933"
    assert [line.decode() for line in lines_of([{"id": "a", "n": 2, "by": "Zoë"}])] == [
        '{"doc":{"format":"tagtrack-journal","kind":"job","name":"N1234","version":1},'
        f'"prev":"{"0" * 64}","seq":1,"sha":"{first}"}}\n',
        f'{{"doc":{{"by":"Zoë","id":"a","n":2}},"prev":"{first}","seq":2,"sha":"{second}"}}\n',
    ]
