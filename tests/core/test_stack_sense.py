"""What is asked of a stack: lock, cotter pin, washers, mixed lists; and the limit that torque is held against."""

from __future__ import annotations

import pytest

from tagtrack.core import stack_sense
from tagtrack.core.callout import Decoder
from tagtrack.core.hardware import parse
from tagtrack.tables.loader import load

DECODER = Decoder(load())


def asked(stack, lock=""):
    return stack_sense.questions(DECODER, parse(stack)[0], lock)


# AC 43.13-1B paragraphs 7-64 and 7-127: castle nuts and drilled pins are locked by a cotter pin or safety wire
@pytest.mark.parametrize(
    "stack",
    [
        "[AN3-5 AN960-10 | AN960-10 AN310-3]",
        "2 AN4-7, 2 AN310-4",
        "[AN23-9 AN960-10 | AN320-3]",
        "[AN393-11 | AN960-10]",
        "[MS20392-2C11 | AN960-10]",
        "1 AN393-11",
    ],
)
def test_a_castle_nut_or_a_drilled_pin_without_its_lock_is_asked_about(stack):
    for lock in ("", "none", "self-locking"):
        assert [q for q in asked(stack, lock) if "is locked by a cotter pin or lockwire" in q]
    for lock in ("cotter", "lockwire"):
        assert asked(stack, lock) == ()


@pytest.mark.parametrize(
    "stack",
    [
        "[AN3-5 | AN310-3 MS24665-132]",
        "[AN3-5 | AN310-3 MS20995C32]",
        "2 AN3-5, 2 AN310-3, 2 cotter pins",
        "2 AN3-5, 2 AN310-3, 1 safety wire",
        "[AN393-11 AN960-10 | AN380-2-2]",
        "2 MS20392-2C11, 2 'split pin'",
        # without a hole in the shank only that is asked
        "[AN3-5A | MS21044N3]",
    ],
)
def test_one_with_its_lock_is_not(stack):
    assert asked(stack) == ()


def test_a_pin_of_a_number_that_is_not_listed_is_a_pin_all_the_same():
    (only,) = asked("[AN3-5 | AN310-3 MS24665-214]")
    assert "'214' is no number" in only


@pytest.mark.parametrize(
    ("stack", "told"),
    [
        ("4 AN3-5, 4 AN310-3, 2 MS24665-132", "2 cotter pins for 4 castle nuts or drilled pins?"),
        ("2 AN393-11, 1 split pin", "1 cotter pin for 2 castle nuts or drilled pins?"),
        ("[2 AN393-11 | MS24665-132]", "1 cotter pin for 2"),
    ],
)
def test_fewer_cotter_pins_than_what_they_lock_are_asked_about(stack, told):
    """Common practice, no source: to each its own."""
    (only,) = asked(stack)
    assert told in only
    assert asked(stack, "lockwire") == ()
    assert asked(f"{stack}, 1 lockwire" if "[" not in stack else stack.replace("]", " lockwire]")) == ()


def test_a_left_hand_nut_on_a_bolt_is_asked_about():
    (only,) = asked("[AN5-11A | AN316-5L]")
    assert "left-hand" in only
    assert asked("[AN5-11A | AN316-5R]") == ()


def test_a_self_locking_castle_nut_is_made_for_a_drilled_shank():
    assert asked("[AN3-10 AN960-10 | MS17825-3 MS24665-132]") == ()


def test_an_undrilled_shank_under_a_castle_nut_is_asked_once():
    (only,) = asked("[AN3-5A | AN310-3]")
    assert "not drilled for a cotter pin" in only


@pytest.mark.parametrize(
    ("stack", "told"),
    [
        # holes: NAS6203-6210 sheet, for the diameter; usual and least pins: a light-airplane service manual
        ("[AN3-5 | AN310-3 MS24665-355]", "is 1/8 in thick, the hole in AN3-5 at most .075 in"),
        ("[AN3-5 | AN310-3 MS24665-208]", "is 5/64 in thick, the hole in AN3-5 at most .075 in"),
        ("[AN4-7 | AN310-4 MS24665-283]", "at most .081 in (NAS6203 sheet"),
        ("[AN4-7 | AN310-4 MS24665-283]", "usual for 1/4-28 is MS24665-132 or MS24665-134?"),
        ("[AN6-12 | AN310-6 MS24665-355]", "at most .111 in"),
        ("[AN6-12 | AN310-6 MS24665-132]", "is 1/16 in thick, the least for AN6-12 is .072 in"),
        ("[AN9-20 | AN310-9 AN380-2-2]", "the least for AN9-20 is .086 in"),
        ("[AN23-9 | AN320-3 AN380-4-4]", "at most .075 in"),
    ],
)
def test_a_cotter_pin_too_thick_or_too_thin_is_asked_about(stack, told):
    (only,) = asked(stack)
    assert told in only


@pytest.mark.parametrize(("thread", "fitting"), load().fittings.items())
def test_the_usual_pin_fits_hole_and_least(thread, fitting):
    """Two sources held against each other: what a service manual calls usual goes through the NAS6203 sheet's hole."""
    for pin in fitting.usual_cotter.split(" or "):
        thick = DECODER.read(pin).number("diameter")
        assert float(fitting.least_cotter) <= thick <= load().cotter_holes[thread].number


@pytest.mark.parametrize("stack", ["[AN12-30 | AN310-12 MS24665-355]", "[AN3-5 | AN310-3 AN381-2-8]"])
def test_of_a_hole_or_a_pin_that_no_table_has_nothing_is_asked(stack):
    assert asked(stack) == ()


@pytest.mark.parametrize(
    ("stack", "told"),
    [
        # NAS1149 Table I: holes .203 for No. 10, .265 for 1/4
        ("[AN3-5A AN960-416 | MS21044N3]", "AN960-416 is for a 1/4 bolt, its hole 0.265 in: too large for AN3-5A?"),
        ("[AN4-5A AN960-516 | MS21044N4]", "too large for AN4-5A"),
        ("4 AN525-832R8, 4 AN960-10", "too large for AN525-832R8"),
        ("[AN3-5A NAS1149F0463P | MS21044N3]", "too large for AN3-5A"),
        ("2 AN393-11, 2 AN960-416, 2 MS24665-132", "too large for AN393-11"),
        ("4 AN525-10R8, 4 AN960-8", "does not go through AN960-8"),
    ],
)
def test_a_washer_of_the_wrong_size_is_asked_about(stack, told):
    (only,) = asked(stack)
    assert told in only


SIZES = ((3, "10", "3"), (4, "416", "4"), (5, "516", "5"), (6, "616", "6"), (7, "716", "7"), (8, "816", "8"))


@pytest.mark.parametrize(("bolt", "washer", "nut"), SIZES)
def test_the_washer_of_its_own_size_is_not_and_its_neighbours_are(bolt, washer, nut):
    for _, other, _ in SIZES:
        told = asked(f"[AN{bolt}-20A AN960-{other} | MS21044N{nut}]")
        assert bool(told) is (other != washer), (bolt, other)


@pytest.mark.parametrize("size", ["6", "8", "10", "416"])
def test_screws_go_with_their_washers(size):
    assert asked(f"[AN525-{size}R8 AN960-{size}]") == ()


def test_in_a_list_of_several_bolts_each_piece_may_belong_to_any():
    mixed = "4 AN4-6A, 2 AN3-5A, 8 AN960-416, 4 AN960-10, 4 MS21044N4, 2 MS21044N3"
    assert asked(mixed) == ()
    (only,) = asked(f"{mixed}, 2 AN960-816")
    assert "AN960-816" in only
    assert asked("2 AN3-5A, 2 AN6-12, 2 MS21044N3, 2 AN310-6, 2 MS24665-283") == ()


def test_a_nylon_insert_on_a_small_drilled_shank_is_asked_about():
    """AC 43.13-1A as summed up in public: barred under 5/16 in."""
    for bolt, nut in (("AN3-5", "MS21044N3"), ("AN4-7", "AN365-428A"), ("AN23-9", "MS21083N3")):
        (only,) = asked(f"[{bolt} | {nut}]")
        assert "does it cut the insert" in only
    for stack in ("[AN5-10 | MS21044N5]", "[AN3-5A | MS21044N3]", "[AN3-5 | MS21042-3]"):
        assert asked(stack) == ()


@pytest.mark.parametrize(
    ("stack", "limit", "what"),
    [
        # AC 43.13-1B Table 7-1, the two columns of most allowed
        ("[AN3-5 | AN310-3]", 40, "10-32"),
        ("[AN3-5 | AN320-3]", 25, "10-32 with a shear nut"),
        ("[AN3-5A | AN364-1032A]", 25, "10-32 with a shear nut"),
        ("[AN3-5A | MS21083N3]", 25, "10-32 with a shear nut"),
        ("[AN6-10A | AN365-624A]", 390, "3/8-24"),
        ("[AN6-10 | AN320-6]", 240, "3/8-24 with a shear nut"),
        ("2 AN3-5A", 40, "10-32"),
        # several bolts: what any of them may take
        ("2 AN3-5A, 2 AN4-5A", 100, "1/4-28"),
        ("2 AN4-5A, 2 AN3-5A, 2 AN364-428A", 60, "1/4-28 with a shear nut"),
        # the table is for steel
        ("[AN3DD-5A | AN365-1032A]", None, ""),
        ("[AN3-5A | AN310D3]", None, ""),
        # and has no such row: 6-40
        ("[AN21-9A]", None, ""),
    ],
)
def test_the_most_that_the_table_allows_is_that_of_the_nut(stack, limit, what):
    found = stack_sense.reference(DECODER, parse(stack)[0])
    assert (found.limit, found.limit_for) == (limit, what)


def test_of_several_bolts_the_one_that_is_meant_has_its_own_limit():
    stack = parse("4 AN3-5A, 2 AN6-10A, 4 MS21044N3, 2 MS21044N6, 8 AN525-10R8")[0]
    limits = {spec: stack_sense.reference(DECODER, stack, only=spec) for spec in ("AN3-5A", "AN6-10A", "AN525-10R8")}
    assert limits["AN525-10R8"] is None
    assert (limits["AN3-5A"].limit, limits["AN6-10A"].limit) == (40, 390)
    assert stack_sense.reference(DECODER, stack).limit == 390


def referred(text):
    return stack_sense.reference(DECODER, parse(text)[0])


@pytest.mark.parametrize(
    ("stack", "told"),
    [
        # AC 43.13-1B Table 7-1: AN310 on a standard steel bolt, 10-32: 20-25 in-lb, at most 40
        ("[AN3-12 | AN310-3 MS24665-132]", "20-25 in-lb, at most 40"),
        ("[AN23-11 | AN310-3 MS24665-132]", "no number in the table for this bolt"),
        ("[AN3-5A | MS21042-3]", "no number in the table for this nut"),
        ("[AN3-5A | AN310-4]", "no number in the table for this nut"),
        ("[AN3-5A AN960-10]", "no number in the table for a bolt without a nut"),
    ],
)
def test_where_there_is_no_torque_it_is_told_what_has_none(stack, told):
    assert referred(stack).told == told


@pytest.mark.parametrize(
    ("stack", "told"),
    [
        # the clevis bolt's head: public tables; over flats of 10-32: from memory, unverified
        ("[AN23-11 | AN320-3]",
         "head round with slot: a screwdriver; wrench, in inches: nut 3/8 (from memory, unverified)"),
        ("[AN3-5A | MS21042-3]",
         "wrench, in inches: head 3/8 (from memory, unverified), nut smaller than usual (reduced hexagon): measure"),
        ("[AN4-5 | AN310-4]", "wrench, in inches: head 7/16, nut 7/16"),
        ("[AN4-5A AN960-416]", "wrench, in inches: head 7/16"),
        ("[AN12-30 | AN310-12]", ""),
    ],
)
def test_a_wrench_is_told_for_what_takes_one_and_as_well_as_it_is_known(stack, told):
    assert referred(stack).turned_by == told


def test_a_cotter_pin_is_told_for_a_castle_nut_alone():
    assert referred("[AN3-12 | AN310-3]").cotter == "cotter usually MS24665-132, at least .044 in thick"
    assert referred("[AN3-5A | MS21042-3]").cotter == ""
    assert referred("[AN3-5A | MS21044N3]").cotter == ""
