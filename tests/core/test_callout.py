"""What a callout means. Each expected value stands with the standard or page that it is from."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core import kinship, stack_sense
from tagtrack.core.callout import NOTHING_KNOWN, Decoder
from tagtrack.core.catalogue import Kin, Status, inches, told_inches
from tagtrack.core.hardware import parse
from tagtrack.core.kinship import relation
from tagtrack.tables.loader import load

DECODER = Decoder(load())
read = DECODER.read

# decoded by hand from the rules of the standard that is named
DECODED = [
    # NASM3-20: diameter in sixteenths (AN3 is No. 10), dash in inches and eighths, A: shank not drilled
    ("AN3-4A", {"thread": "10-32", "head": "plain", "shank": "not drilled", "grip": "1/8", "length": "17/32"}),
    ("AN4H10A", {"thread": "1/4-28", "head": "drilled for lockwire", "grip": "9/16", "length": "1-1/32"}),
    ("AN3C5A", {"material": "corrosion-resistant steel", "grip": "1/4"}),
    ("AN4-15A", {"grip": "1-3/16", "length": "1-21/32"}),
    ("AN6-20", {"thread": "3/8-24", "shank": "drilled for a cotter pin", "grip": "1-7/16"}),
    ("AN5H-27A", {"thread": "5/16-24", "grip": "2-7/16"}),
    ("AN4DD10A", {"material": "2024 aluminium alloy"}),
    # AN173-186, letters and dash from memory
    ("AN173-5A", {"thread": "10-32", "fit": "close-tolerance", "shank": "not drilled"}),
    # NAS6203 sheet: grip in sixteenths
    ("NAS6203-4", {"grip": "1/4", "thread length": ".323", "wrench": "3/8"}),
    # clevis bolts: length in sixteenths
    ("AN23-9", {"thread": "10-32", "length": "9/16", "shank": "drilled for a cotter pin"}),
    ("AN24-14A", {"thread": "1/4-28", "length": "7/8", "load": "shear only"}),
    # clevis pins: length in thirty-seconds
    ("MS20392-2C11", {"diameter": "3/16", "length": "11/32"}),
    ("AN393-11", {"diameter": "3/16", "length": "11/32"}),
    # NAS1149 Rev 4 Table I
    ("AN960-10L", {"inside": "0.203", "outside": "0.438", "thickness": "0.032"}),
    ("AN960C416", {"material": "corrosion-resistant steel", "inside": "0.265", "thickness": "0.063"}),
    ("NAS1149F0363P", {"material": "carbon steel", "thickness": "0.063", "for bolt": "No. 10"}),
    ("NAS1149D0432K", {"material": "aluminium alloy", "finish": "anodised", "thickness": "0.032", "for bolt": "1/4"}),
    ("AN960-4", {"inside": "0.125", "for bolt": "No. 4"}),
    ("NAS1149F0416P", {"thickness": "0.016"}),
    # FAA-H-8083-30: castle nuts; MS21083 and NASM21042 sheets: self-locking nuts
    ("AN310-4", {"lock": "castle", "load": "tension", "thread": "1/4-28"}),
    ("AN320-4", {"lock": "castle", "load": "shear only"}),
    ("AN365-1032A", {"insert": "nylon", "thread": "10-32"}),
    ("MS20365-1032", {"insert": "not stated (nylon or all-metal)"}),
    ("MS21044N3", {"insert": "nylon", "thread": "10-32", "material": "steel"}),
    ("MS21042-3", {"insert": "none (all-metal)", "thread": "10-32"}),
    ("MS21042-04", {"thread": "4-40"}),
    ("MS21042-4", {"thread": "1/4-28"}),
    ("AN310D5R", {"hand": "right", "thread": "5/16-24"}),
    # cotter pins
    ("AN380-2-2", {"diameter": "1/16", "length": "1/2"}),
    ("AN380-4-5", {"diameter": "1/8", "length": "1-1/4"}),
    ("MS24665-134", {"diameter": "1/16", "length": "3/4"}),
    ("MS24665-353", {"diameter": "1/8", "length": "1"}),
    # screws: length in sixteenths, R: cross recess
    ("AN525-832R8", {"grade": "structural", "thread": "8-32", "length": "1/2", "drive": "cross recess"}),
    ("AN525-10R8", {"thread": "10-32", "length": "1/2"}),
    ("AN526C832R8", {"grade": "not structural", "material": "corrosion-resistant steel"}),
    ("AN509-8R8", {"head angle": "100 deg", "grade": "structural", "length": "1/2"}),
    ("MS27039-1-08", {"thread": "10-32", "length": "1/2"}),
    # rivets: diameter in thirty-seconds, length in sixteenths
    ("MS20426AD4-5", {"diameter": "1/8", "length": "5/16", "alloy": "2117-T4 (dimple)"}),
    ("MS20426AD3-3.5", {"diameter": "3/32", "length": "7/32"}),
    ("MS20995C32", {"material": "corrosion-resistant steel", "diameter": ".032"}),
    ("MS21919WDG6", {"size": "3/8", "cushion": "chloroprene", "heat limit": "212 F"}),
    ("AN931-16-22", {"inside": "1", "hole": "1-3/8"}),
    # NAS620 Rev 8 and NAS1291 Rev 16; NAS6603 sheet: thread length; AC 43.13-1B: washers with a countersink
    ("NAS620-10", {"inside": "0.195", "outside": "0.354"}),
    ("NAS1291-3", {"thread": "10-32", "insert": "none (all-metal)"}),
    ("NAS1291C04M", {"thread": "4-40", "material": "corrosion-resistant steel"}),
    ("NAS6604-19", {"grip": "1-3/16", "thread": "1/4-28", "thread length": ".425"}),
    ("NAS6303-6D", {"material": "A-286", "grip": "3/8", "shank": "drilled for a cotter pin"}),
    ("NAS6806-8", {"material": "titanium alloy", "thread": "3/8-24"}),
    ("MS20002C6", {"countersunk": "yes"}),
    # FAA-H-8083-30: nuts that do not lock themselves
    ("AN340-8", {"lock": "none"}),
    ("AN345C10", {"lock": "none", "material": "corrosion-resistant steel"}),
    ("AN335-6L", {"hand": "left"}),
    # from memory
    ("MS21046C3", {"thread": "10-32", "insert": "none (all-metal)", "material": "corrosion-resistant steel"}),
    ("AN363-1032", {"thread": "10-32", "lock": "self-locking"}),
    ("AN455AD4-4", {"diameter": "1/8", "length": "1/4"}),
    ("MS28775-012", {"number": "012"}),
]


@pytest.mark.parametrize(("text", "expected"), DECODED, ids=[text for text, _ in DECODED])
def test_a_callout_is_read_field_by_field(text, expected):
    callout = read(text)
    assert callout.recognised, callout.trouble
    assert {name: callout.fact(name) for name in expected} == expected
    assert callout.text == text, "what was written stays as it was written"


# printed grip and length, to three places, of a kit maker's published hardware table (AN3 to AN6)
PRINTED = """
AN3 3 .063 .469; 4 .125 .531; 5 .250 .656; 6 .375 .781; 7 .500 .906; 10 .625 1.031; 11 .750 1.156; 12 .875 1.281
AN3 13 1.000 1.406; 14 1.125 1.531
AN4 3 .063 .469; 4 .063 .531; 5 .188 .656; 6 .313 .781; 7 .438 .906; 10 .563 1.031; 11 .688 1.156; 12 .813 1.281
AN4 13 .938 1.406; 14 1.063 1.531
AN5 4 .063 .594; 5 .188 .719; 6 .313 .844; 7 .438 .969; 10 .563 1.094; 11 .688 1.219; 12 .813 1.344
AN5 13 .938 1.469; 14 1.063 1.594
AN6 5 .063 .703; 6 .188 .828; 7 .313 .953; 10 .438 1.078; 11 .563 1.203; 12 .688 1.328; 13 .813 1.453; 14 .938 1.578
"""
BOLTS = [(line.split()[0], *each.split()[-3:]) for line in PRINTED.strip().splitlines() for each in line.split(";")]


@pytest.mark.parametrize(("bolt", "dash", "grip", "length"), BOLTS)
def test_grip_and_length_are_those_of_the_printed_table(bolt, dash, grip, length):
    callout = read(f"{bolt}-{dash}A")
    assert abs(callout.number("grip") - Fraction(grip)) <= Fraction(1, 2000)
    assert abs(callout.number("length") - Fraction(length)) <= Fraction(1, 2000)
    assert callout.facts["grip"].status in (Status.READ, Status.DERIVED)


def test_the_rule_agrees_with_every_printed_bolt():
    """The table holds both; taken from the rule alone the figures must be the same."""
    catalogue = DECODER.catalogue
    for (_, _, code, dash), printed in catalogue.grips.items():
        rule = catalogue.lengths["AN3-20", "d", code]
        nominal = Fraction(int(dash) // 10) + Fraction(int(dash) % 10, 8)
        assert printed["grip"].number == max(nominal - rule.grip_less, rule.least_grip), (code, dash)


@pytest.mark.parametrize("text", ["AN9-20", "AN173-5A"])
def test_a_grip_that_no_source_gives_is_unknown(text):
    assert read(text).number("grip") is None


def test_a_doubtful_figure_says_so():
    assert "unverified" in str(read("AN8-13A").facts["grip"])
    assert "unverified" in str(read("MS24694-S5").facts["length"])


# numbers that break their tables, and what the nearest right ones are
BROKEN = {
    "AN3-8A": "AN3-10A", "AN4-19": "AN4-17", "AN11-5A": "AN10-5A", "AN13-5A": "AN12-5A", "AN4-10B": "AN4-10A",
    "AN3-2A": "AN3-3A", "NAS1149F0332R": "NAS1149C0332R", "NAS1149-F0332P": "NAS1149F0332P", "MS21042-7": "MS21042-6",
    "MS24665-133": "MS24665-132", "AN960-46": "AN960-416", "MS20426AD4-5.25": "MS20426AD4-5.5", "AN3-1OA": "AN3-10A",
    "AN96O-10": "AN960-10", "NAS1149F0490P": "NAS1149F1490P",
}  # fmt: skip


@pytest.mark.parametrize(("text", "near"), BROKEN.items())
def test_a_number_that_breaks_its_table_is_told_with_the_nearest_right_ones(text, near):
    callout = read(text)
    assert not callout.recognised
    assert callout.trouble
    assert callout.text == text
    assert near in DECODER.offers(text)


@pytest.mark.parametrize("text", ["trim screws, short", "שייבה", "", "🛩", "11", "bolt", "AN", "washer AN"])
def test_free_words_are_welcome_and_not_recognised(text):
    callout = read(text)
    assert not callout.recognised
    assert callout.trouble == ""
    assert DECODER.offers(text) == ()


def test_a_standards_number_that_the_tables_do_not_hold_is_told_as_that():
    assert read("MS99999-1").trouble == "this number is not in the tables"
    assert not NOTHING_KNOWN.read("AN3-5A").recognised


SPELLINGS = [
    ("AN960-C10L", "AN960C10L"),
    ("MS24694S72", "MS24694-S72"),
    ("MS20470-AD4-4", "MS20470AD4-4"),
    ("MS21919-WDG12", "MS21919WDG12"),
    ("AN525-8-R9", "AN525-8R9"),
    ("AN5H-27A", "AN5H27A"),
    ("an4h30a", "AN4H-30A"),
    ("AN 960 – 10", "AN960-10"),
    ("AN365-1032A", "MS20365-1032A"),
    ("NASM3-5A", "AN3-5A"),
    ("NASM310-4", "AN310-4"),
    # a leading nought, and a thread by its screw number or written out, say the same: NASM3-20, MS27039, AN525
    ("AN3-05A", "AN3-5A"),
    ("MS27039-1-8", "MS27039-1-08"),
    ("AN525-1032R8", "AN525-10R8"),
    ("AN526-832R6", "AN526-8R6"),
    ("MS20426AD4-05", "MS20426AD4-5"),
    # MS20995 and AN936 in the forms in use
    ("MS20995-C32", "MS20995C32"),
    ("AN936-A10", "AN936A10"),
    ("AN936A-10", "AN936A10"),
    ("AN935416L", "AN935-416L"),
    ("MS21044-N3", "MS21044N3"),
    ("MS24665132", "MS24665-132"),
    ("MS3533844", "MS35338-44"),
    ("MS203922C11", "MS20392-2C11"),
    ("MS35207263", "MS35207-263"),
    # the prefix of converted sheets
    ("NASM173-5A", "AN173-5A"),
    ("NASM24-14A", "AN24-14A"),
    ("NASM20392-2C11", "MS20392-2C11"),
    ("NASM27039-1-08", "MS27039-1-08"),
    ("NASM24694S5", "MS24694-S5"),
    # with the noun of the piece, as it is said and as it is kept
    ("AN3-5A bolts", "AN3-5A"),
    ("AN3-5ABOLTS", "AN3-5A"),
    ("bolt AN3-5A", "AN3-5A"),
    ("castle nuts AN310-3", "AN310-3"),
    ("AN310-3 castle nuts", "AN310-3"),
    ("MS21044N3 self-locking nut", "MS21044N3"),
    ("AN960-10, flat washer", "AN960-10"),
    ("MS24665-132 cotter pins", "MS24665-132"),
    ("AN960-10 washers", "AN960-10"),
]


@pytest.mark.parametrize(("one", "other"), SPELLINGS)
def test_spellings_of_one_part_are_one(one, other):
    assert read(one).same == read(other).same != ""
    assert kinship.counts_as(DECODER, one, other)


@pytest.mark.parametrize(
    ("text", "normal"),
    [
        # without R the screw has a slot: its number keeps its hyphen, or 8-32 by 1/2 would read 832 by nothing
        ("AN507C832-8", "AN507C-832-8"),
        ("AN520-10-10", "AN520-10-10"),
        ("AN520-10R10", "AN520-10R10"),
        ("AN316-4", "AN316-4"),
        ("AN936A10", "AN936A-10"),
        ("MS21919F6", "MS21919F6"),
        ("AN24-14A", "AN24-14A"),
    ],
)
def test_the_normal_form_is_one_that_people_write(text, normal):
    assert read(text).normal == normal


def test_a_length_that_is_read_both_ways_is_unknown():
    """AN381: one source says quarters of an inch, memory sixteenths."""
    callout = read("AN381-2-8")
    assert callout.number("length") is None
    assert "unverified" in str(callout.facts["length"])


def test_a_hyphen_that_is_missing_is_told():
    assert read("MS354894").trouble == "its hyphens stand elsewhere"
    assert DECODER.offers("MS354894")[0] == "MS35489-4"


@pytest.mark.parametrize("text", ["AN42-10", "AN73-5", "AN737TW22", "AN505-832R6", "AN116-8"])
def test_of_another_standards_number_no_part_is_said_to_be_wrong(text):
    assert read(text).trouble == "this number is not in the tables"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("AN960PD10", "AN960KD10"),
        ("AN365-1032A", "AN365-1032C"),
        ("AN525-10R8", "AN525-8R8"),
        ("MS21042-4", "MS21042-04"),
        ("MS20995CU20", "MS20995CY20"),
        ("AN3-5A", "AN3-50A"),
    ],
)
def test_numbers_that_only_resemble_each_other_stay_two(one, other):
    assert read(one).same != read(other).same
    assert not kinship.counts_as(DECODER, one, other)


def test_a_noun_behind_a_number_that_breaks_its_table_hides_nothing():
    assert read("AN3-8A bolts").trouble == read("AN3-8A").trouble
    assert "AN3-10A" in DECODER.offers("AN3-8A bolts")
    assert read("MS24665-214 cotter pins").kind == "cotter pin"


@pytest.mark.parametrize("text", ["AN3-5A nut", "AN960-10 lockwasher", "AN310-4 washer", "nut AN3-5A", "pin, own"])
def test_a_noun_of_another_piece_is_not_passed_over(text):
    assert not read(text).recognised


@pytest.mark.parametrize(
    ("text", "family", "kind"),
    [
        ("MS24665-214", "MS24665", "cotter pin"),
        ("NASM24665-999", "MS24665", "cotter pin"),
        ("MS20995X99", "MS20995", "lockwire"),
        ("AN310-4X", "AN310", "nut"),
        ("MS21042-7", "MS21042", "nut"),
        # the figures go on: it is some other standard
        ("AN3104-1", "", ""),
        ("MS209951", "", ""),
        ("AN99-1", "", ""),
    ],
)
def test_of_a_number_that_is_not_listed_the_family_is_known(text, family, kind):
    callout = read(text)
    assert (callout.recognised, callout.family, callout.kind) == (False, family, kind)
    assert callout.trouble


@given(st.sampled_from([text for text, _ in DECODED]), st.data())
def test_mutated_callouts_never_raise_and_what_is_recognised_reads_back(text, data):
    for _ in range(data.draw(st.integers(0, 3))):
        place = data.draw(st.integers(0, len(text)))
        put = data.draw(st.sampled_from("ABCDHLNRS-0123456789 .é"))
        text = text[:place] + put + text[place + data.draw(st.integers(0, 1)) :]
    callout = read(text)
    if callout.recognised:
        again = read(callout.normal)
        assert (again.normal, again.same, dict(again.facts)) == (callout.normal, callout.same, dict(callout.facts))


@given(st.text(max_size=40))
def test_no_text_breaks_the_reader(text):
    assert read(text).text == text


@pytest.mark.parametrize(
    ("one", "other", "kin"),
    [
        ("AN3-5A", "NASM3-5A", Kin.SAME),
        ("AN960-10", "NAS1149F0363P", Kin.SUCCESSOR),
        ("NAS1149F0463P", "AN960-416", Kin.SUCCESSOR),
        ("MS20365-1032A", "MS21044N3", Kin.SUCCESSOR),
        ("AN426AD4-5", "MS20426AD4-5", Kin.SUCCESSOR),
        ("AN365-1032", "MS21044N3", Kin.ALTERNATE),
        ("MS21044N3", "MS21042-3", Kin.ALTERNATE),
        # the nut of NTSB ANC02LA034
        ("AN365-720C", "MS21044C7", Kin.NEVER),
        ("AN365-720C", "MS21044N7", Kin.NEVER),
        ("AN3-5A", "NAS6203-4", Kin.NEVER),
        ("AN525-10R8", "AN526-10R8", Kin.NEVER),
        # tension and shear nuts: AC 43.13-1B Table 7-1; MS21083 as the successor of AN364 by an owner's handbook
        ("AN365-1032A", "AN364-1032A", Kin.NEVER),
        ("MS21044N3", "MS21083N3", Kin.NEVER),
        ("AN365-428A", "MS21083N4", Kin.NEVER),
        ("AN364-1032A", "MS21044N3", Kin.NEVER),
        ("AN364-1032A", "MS21083N3", Kin.SUCCESSOR),
        ("NAS1291-3", "MS21042-3", Kin.SUCCESSOR),
        # AN bolts must not stand in for NAS bolts: a helicopter maintenance manual, chapter 20
        ("AN4-11A", "NAS6604-11", Kin.NEVER),
        ("AN526-832R6", "MS35206-243", Kin.ALTERNATE),
    ],
)
def test_relations_are_those_of_the_standards(one, other, kin):
    known = kinship.relation(DECODER, one, other)
    assert known.kin is kin
    assert known.source in DECODER.catalogue.sources
    assert kinship.counts_as(DECODER, one, other) is (kin in (Kin.SAME, Kin.SUCCESSOR))


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("cotter pin", "COTTER PINS", True),
        ("trim screws, short", "trim screw, short", True),
        ("trim screws, short", "trim screws, long", False),
        ("brass", "bras", False),
        ("AN3-8A", "AN3-8AS", False),
        ("MS24665-214", "MS24665-215", False),
    ],
)
def test_one_piece_and_several_of_it_are_the_same_in_words(one, other, same):
    assert kinship.counts_as(DECODER, one, other) is same


def test_nothing_known_relates_nothing():
    assert kinship.relation(DECODER, "AN3-5A", "AN3-6A") is None
    assert kinship.relation(DECODER, "trim screw", "AN3-6A") is None


ALIKE = [
    ("AN4-10A", "AN4-11A", "one grip longer", True),
    ("AN3-4", "AN3-4A", "its shank is not drilled", True),
    ("AN4H10A", "AN4-10A", "its head is plain", True),
    ("AN4-10A", "AN4C10A", "it is of corrosion-resistant", True),
    ("AN310-4", "AN320-4", "for shear only", True),
    ("MS21044N3", "MS21042-3", "all-metal", True),
    ("AN960-10", "AN960-10L", "thinner", False),
    ("AN960-4", "AN960-416", "its size is 1/4", True),
    ("MS35206-263", "MS35207-263", "its thread is 10-32", True),
    ("AN525-10R8", "AN526-10R8", "not structural", True),
    ("MS24665-132", "MS24665-151", "corrosion-resistant", True),
    ("MS21042-4", "MS21042-04", "4-40", True),
    ("MS21919WDG6", "MS21919WDE6", "ethylene propylene", False),
    ("AN4-14", "AN24-14", "clevis bolt", True),
    ("AN316-4R", "AN316-4L", "left-hand", True),
    ("AN3-5A", "AN173-5A", "close-tolerance", True),
    ("AN8-13A", "AN8-16A", ".375 in longer", True),
    ("AN525-10R8", "AN525-10R9", "longer", True),
    ("AN310-3", "AN365-1032A", "its lock is self-locking", True),
    ("AN960-10", "NAS620-10", "outside diameter is 0.354", False),
    ("NAS6204-10", "NAS6304-10", "it is of A-286", True),
]


@pytest.mark.parametrize(("one", "other", "words", "grave"), ALIKE)
def test_what_is_taken_for_each_other_is_worked_out_from_the_fields(one, other, words, grave):
    found = kinship.look_alike(DECODER, one, other)
    assert words in found.words
    assert found.grave is grave
    assert kinship.look_alike(DECODER, other, one) is not None, "it works both ways"


@pytest.mark.parametrize(
    ("one", "other"),
    [("AN3-5A", "AN3-20A"), ("AN3-5A", "AN4-5A"), ("AN3-5A", "AN960-10"), ("AN3-5A", "NASM3-5A"), ("words", "AN3-5A")],
)
def test_what_is_far_apart_is_no_look_alike(one, other):
    assert kinship.look_alike(DECODER, one, other) is None


@pytest.mark.parametrize(
    ("spec", "always", "finger"),
    [
        ("MS24665-132", True, False),
        ("MS20995C32", True, False),
        ("MS20470AD4-4", True, False),
        ("AN935-10", True, False),
        ("MS21044N3", False, True),
        ("AN3-5A", False, False),
    ],
)
def test_what_is_used_once_is_known(spec, always, finger):
    """AC 43.13-1B paragraphs 7-38, 7-122 and 7-127; rivets are common practice, no source."""
    assert kinship.always_new(DECODER, spec) is always
    assert kinship.finger_test(DECODER, spec) is finger


@pytest.mark.parametrize(
    ("stack", "lock", "asked"),
    [
        ("[AN3-5A AN960-10 | AN310-3 MS24665-132]", "", "is not drilled for a cotter pin"),
        ("[AN3-5A | AN365-428A]", "", "AN365-428A is 1/4-28, but AN3-5A is 10-32"),
        ("[AN4-5A AN960-10 | MS21044N4]", "", "does not go through AN960-10"),
        ("[AN4H-5A AN960-416 | MS21044N4]", "", "no lockwire is recorded"),
        ("[AN24-14 | AN310-4]", "", "for shear only"),
        ("[AN3-8A | MS21044N3]", "", "meant AN3-10A"),
        ("[AN3-5A | MS24665-132]", "", "a cotter pin, but the shank"),
    ],
)
def test_what_does_not_go_together_is_asked(stack, lock, asked):
    assert any(asked in question for question in stack_sense.questions(DECODER, parse(stack)[0], lock))


@pytest.mark.parametrize(
    ("stack", "lock"),
    [
        ("[AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]", "cotter"),
        ("[AN4H-5A | MS21044N4]", "lockwire"),
        ("11 trim screws, short", ""),
        ("[AN24-14 AN960-416 | AN320-4 MS24665-134]", "cotter"),
    ],
)
def test_a_sound_stack_raises_no_question(stack, lock):
    assert stack_sense.questions(DECODER, parse(stack)[0], lock) == ()


@pytest.mark.parametrize(
    ("stack", "span", "asked"),
    [
        # AN4-10A: grip 9/16 by the builder's table of NASM3-20; AN960-416 is .063 thick
        ("[AN4-10A AN960-416 | AN960-416 MS21044N4]", "9/16", "what it must span is .625 in: threads would bear"),
        ("[AN4-10A | AN960-416 MS21044N4]", "3/8", "with all washers are .438 in: the nut would run onto the shank"),
        ("[AN4-10A | AN960-416 MS21044N4]", ".640", "threads would bear"),
    ],
)
def test_a_grip_that_does_not_fit_what_was_measured_is_asked(stack, span, asked):
    (told,) = stack_sense.questions(DECODER, parse(stack)[0], span=span)
    assert asked in told


@pytest.mark.parametrize(
    ("stack", "span"),
    [
        ("[AN4-10A AN960-416 | AN960-416 MS21044N4]", "1/2"),
        ("[AN4-10A | AN960-416 MS21044N4]", "9/16"),
        # within the tolerance of the grip, .016
        ("[AN4-10A | AN960-416 MS21044N4]", ".578"),
        # nothing is asked where the grip is unknown, or the order is
        ("[AN9-20A | MS21044N9]", "5"),
        ("2 AN4-10A, 4 AN960-416, 2 MS21044N4", "5"),
    ],
)
def test_a_grip_that_fits_raises_no_question(stack, span):
    assert stack_sense.questions(DECODER, parse(stack)[0], span=span) == ()


@pytest.mark.parametrize(
    ("stack", "running"),
    [
        # AC 43.13-1B Table 7-2
        ("[AN7-12A | AN365-720A]", "at least 8 in-lb"),
        ("[AN8-14A | MS21044N8]", "at least 10 in-lb"),
        ("[AN3-5A | MS21044N3]", "no figure for this size"),
        ("[AN3-5 | AN310-3]", ""),
    ],
)
def test_how_hard_a_used_self_locking_nut_runs_is_told(stack, running):
    found = stack_sense.reference(DECODER, parse(stack)[0])
    assert running in found.running
    assert bool(found.running) == bool(running)


@pytest.mark.parametrize(
    ("stack", "torque", "most"),
    [
        # AC 43.13-1B Table 7-1
        ("[AN3-5 | AN310-3]", "20-25", "40"),
        ("[AN4-5 | AN320-4]", "30-40", "60"),
        ("[AN6-10A | AN365-624A]", "160-190", "390"),
        # not named in the table: no number
        ("[AN3-5A | MS21044N3]", "", ""),
        ("[AN3C-5 | AN310-3]", "", ""),
        ("[AN3-5 | AN310C-3]", "", ""),
        ("[NAS6203-4 | AN310-3]", "", ""),
    ],
)
def test_reference_torque_is_given_only_where_the_table_has_it(stack, torque, most):
    found = stack_sense.reference(DECODER, parse(stack)[0])
    assert (found.torque, found.most) == (torque, most)


def test_there_is_no_reference_without_a_bolt():
    assert stack_sense.reference(DECODER, parse("11 trim screws, short")[0]) is None


@pytest.mark.parametrize(
    ("text", "value"),
    [
        (".063", Fraction(63, 1000)),
        ("9/16", Fraction(9, 16)),
        ("1-1/4", Fraction(5, 4)),
        ("words", None),
        ("1/0", None),
    ],
)
def test_lengths_are_exact(text, value):
    assert inches(text) == value


@given(st.fractions(min_value=0, max_value=5, max_denominator=64).filter(lambda f: 64 % f.denominator == 0))
def test_a_length_is_told_as_it_is_read(length):
    assert inches(told_inches(length)) == length


def test_every_relation_of_the_tables_is_found_by_the_numbers_that_it_names():
    """A row under another spelling than the reader's own would never be found, and nobody would notice."""
    lost = [pair for pair in DECODER.catalogue.relations if relation(DECODER, *pair) is None]
    assert lost == []


@pytest.mark.parametrize(
    ("old", "new"),
    [("AN509-8R22", "MS24694S19"), ("AN509-8R8", "MS24694-S5"), ("AN515-8R8", "MS35206-245"),
     ("AN526-832R6", "MS35206-243"), ("AN520-10R8", "MS35207-263")],
)  # fmt: skip
def test_screws_that_stand_for_each_other_are_of_one_thread_and_length(old, new):
    """AN509-8R22 as MS24694S19 was read in an owner's parts list; the others are from memory, and only alternates."""
    assert relation(DECODER, old, new).kin is (Kin.SUCCESSOR if new == "MS24694S19" else Kin.ALTERNATE)
    assert DECODER.read(old).fact("thread") == DECODER.read(new).fact("thread")
    assert DECODER.read(old).number("length") == DECODER.read(new).number("length")
