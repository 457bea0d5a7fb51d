"""What is used once, by number or in plain words.

AC 43.13-1B paragraphs 7-38, 7-103 and 7-127 (cotter pins, safety wire), 7-122 (self-locking, pal and speed nuts);
Army TM 1-1500-204-23-6 (tab washers); rivets, gaskets, roll pins and most of the words are common practice, no source.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core import kinship
from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.hardware import spec_key
from tagtrack.core.plain_words import named
from tagtrack.tables.loader import load

DECODER = Decoder(load())

ALWAYS_NEW = [
    # numbers that no table lists: the family alone will do
    "MS24665-214", "NASM24665-999", "AN380-9-9", "AN380C2-2", "MS20995NC40", "MS20995AB32", "MS20995X10", "AN995C32",
    "AN936A10", "AN936-A10", "AN935-99", "MS35338-43", "NASM35338-43", "MS35790-4", "AN356-1032", "MS27151-7",
    "AN900-10", "AN901-8A", "MS35769-11", "AN6227-9", "AN6227B7", "MS28775-012", "MS16562-10", "AN456AD4-4",
    # as mechanics say it
    "cotter pin", "cotter pins", "COTTER PINS", "cotters", "split pin", "split-pins 1/16", "cotter key", "safety wire",
    "lockwire", "lock wire .032", "locking wire", "lockwashers", "lock washer", "No. 10 lock washers",
    "lock washer no. 10", "star washers", "tab washer", "lock plate", "pop rivets", "pal nut", "speed nuts", "gasket",
    "copper crush washer", "packing", "locking tab", "witness wire", "O-ring", "o ring 1/2", "roll pin",
    # as parts catalogues print it
    "PIN, COTTER 1/16 x 1/2", "wire, safety .032", "washer, lock", "washer, steel, lock", "pin, split",
]  # fmt: skip
FINGER_TESTED = [
    "AN363-1032", "NAS679A3", "NAS679A08W", "NAS1021N08", "NAS1291-3", "MS17825-4", "MS17826-4", "MS21046C3",
    "AN365-999", "AN364-1032X", "MS21044N99", "MS21042-7", "MS21045-99", "elastic stop nut", "nylon lock nut",
    "locknuts 10-32", "self-locking nut", "self locking nuts", "fibre lock nut", "nut, self-locking", "nylon nut",
    "nylock nut", "nutplates",
]  # fmt: skip
NEITHER = [
    "AN3-5A", "AN310-4", "AN960-99", "AN340-8", "NAS620-10", "MS20002-6", "trim screws, short",
    "plain washer", "jam nut", "check nut", "castle nut",
    # the words tell of something else
    "bolt drilled for cotter pin", "clevis pin with cotter", "safety wire pliers", "cotter pin puller",
    "cotter pin hole plug", "castle nut, no cotter", "screws with lock washers", "rivet nut", "cotter-pinned nut",
    "safety-wired bolt", "spring washer", "locking pin", "nut, castle, for cotter pin", "bolt and cotter pin",
    "riveted bracket", "clamp w/ lockwire", "rivet gun", "AN960-10 washer, not a lockplated one", "",
]  # fmt: skip


@pytest.mark.parametrize("text", ALWAYS_NEW)
def test_a_piece_that_is_used_once_is_known_by_family_or_word(text):
    for form in (text, spec_key(text)):
        assert kinship.always_new(DECODER, form)
        assert not kinship.finger_test(DECODER, form)
        assert kinship.single_use(DECODER, form).why


@pytest.mark.parametrize("text", FINGER_TESTED)
def test_a_self_locking_nut_is_known_by_family_or_word(text):
    for form in (text, spec_key(text)):
        assert kinship.finger_test(DECODER, form)
        assert not kinship.always_new(DECODER, form)


@pytest.mark.parametrize("text", NEITHER)
def test_what_only_speaks_of_such_a_piece_is_none(text):
    assert kinship.single_use(DECODER, text) is None


@pytest.mark.parametrize(
    ("text", "lock"),
    [
        ("MS24665-214", True),
        ("split pins", True),
        ("AN995C32", True),
        ("washer, lock", True),
        ("tab washer", True),
        ("MS20470AD4-4", False),
        ("gasket", False),
        ("MS21044N3", False),
        ("brass thing", False),
    ],
)
def test_a_lock_is_a_cotter_pin_wire_lockwasher_or_plate(text, lock):
    assert kinship.locks(DECODER, text) is lock


def test_without_tables_no_word_means_anything():
    assert kinship.single_use(NOTHING_KNOWN, "cotter pin") is None
    assert not kinship.locks(NOTHING_KNOWN, "cotter pin")


@given(st.text(alphabet="cotter pinlockwire,.-(&w/ NO1", max_size=60))
def test_no_text_breaks_the_reading_of_words(text):
    rule = named(DECODER.catalogue.single_use_words, text)
    assert rule is None or rule in DECODER.catalogue.single_use
