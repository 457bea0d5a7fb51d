"""Tags as ink: nothing leaves its label, nothing covers anything else, nothing is dropped without a word."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from paper.samples import BAG, BARE, BLANK, FACES, PERSON, PLACE, RICH, STUFFED, TEMPLATES, WIRE, ZONE

from tagtrack.core.axes import Direction, Side
from tagtrack.core.callout import Decoder
from tagtrack.core.cautions import TAG
from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.hardware import parse
from tagtrack.core.stack_shape import shape_of
from tagtrack.core.tagcode import STUB, suffixed
from tagtrack.paper.diagram import diagram, height_for, marks_in
from tagtrack.paper.ink import Box, Stroke, Symbol, Text, extent
from tagtrack.paper.labels import face_ink
from tagtrack.paper.symbol import QUIET
from tagtrack.paper.tag_frame import LEAST_MODULE, holds_full_layout, in_groups
from tagtrack.paper.template import named
from tagtrack.tables.loader import load

STOCKS = [named(name) for name in TEMPLATES]
FULL = [s for s in STOCKS if holds_full_layout(s.width - s.eyelet - s.stub, s.height, s.safe)]
SMALL = replace(STOCKS[0], name="small", width=80.0, height=42.0)
HAIR = 0.02


def texts(face, stock=STOCKS[1]):
    return [mark.text for mark in face_ink(face, stock) if isinstance(mark, Text)]


def overlap(one, two):
    return min(one[2], two[2]) - max(one[0], two[0]) > HAIR and min(one[3], two[3]) - max(one[1], two[1]) > HAIR


def assert_sound(face, stock):
    ink = face_ink(face, stock)
    safe = stock.safe
    for mark in ink:
        left, top, right, bottom = extent(mark)
        assert left <= right
        assert top <= bottom
        assert left >= safe - HAIR, mark
        assert right <= stock.width - safe + HAIR, mark
        assert top >= safe - HAIR, mark
        assert bottom <= stock.height - safe + HAIR, mark
    words = [(mark, extent(mark)) for mark in ink if isinstance(mark, Text) and mark.text]
    for (one, a), (two, b) in combinations(words, 2):
        assert not overlap(a, b), (one, two)
    black = [extent(mark) for mark in ink if isinstance(mark, Box)]
    for mark, box in words:
        on_black = any(overlap(box, dark) for dark in black)
        assert on_black == (mark.tone == 1.0), mark
    symbols = [mark for mark in ink if isinstance(mark, Symbol)]
    for symbol in symbols:
        quiet = QUIET * symbol.module
        x, y, side = symbol.x, symbol.y, symbol.side
        assert symbol.module >= LEAST_MODULE
        to_edge = min(x, y, stock.width - x - side, stock.height - y - side)
        assert to_edge >= quiet - HAIR, "the quiet zone leaves the label"
        zone = (x - quiet, y - quiet, x + side + quiet, y + side + quiet)
        for mark in ink:
            assert mark is symbol or not overlap(extent(mark), zone), mark


@pytest.mark.parametrize("stock", [*STOCKS, SMALL], ids=lambda stock: stock.name)
@pytest.mark.parametrize("face", FACES, ids=lambda face: face.code)
def test_nothing_leaves_its_label_or_covers_anything_else(face, stock):
    assert_sound(face, stock)


WORDS = st.text(max_size=60) | st.text("abc WÄ-/,", max_size=400)
FACE = st.builds(
    TagFace,
    code=st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=10),
    kind=st.sampled_from(FaceKind),
    side=st.none() | st.sampled_from(Side),
    title=WORDS,
    registration=WORDS,
    job=WORDS,
    marks=WORDS | st.just("mark UP, arrow FWD"),
    marks_note=WORDS,
    hardware=st.lists(WORDS, max_size=20).map(tuple),
    hardware_note=WORDS,
    bag=WORDS,
    goes_to=WORDS,
    warnings=st.lists(WORDS, max_size=6).map(tuple),
    mount=WORDS | st.just("mount: INBD face"),
    goes_back=WORDS,
    area=WORDS,
    by=WORDS,
    proof=WORDS,
)


@given(FACE, st.sampled_from([*STOCKS, SMALL]))
@settings(max_examples=60, deadline=None)
def test_any_face_at_all_is_set_without_a_collision(face, stock):
    # such a code is never given out: its stub's would not fit a symbol
    assume(not stock.stub or "*" not in suffixed(face.code, STUB))
    assert_sound(face, stock)


def test_the_cut_of_a_stub_is_outside_the_quiet_zones_at_both_sides_of_it():
    """A short code has a symbol that reaches to the edge of its room."""
    (stock,) = [stock for stock in STOCKS if stock.stub]
    assert_sound(TagFace(code="0", kind=FaceKind.PART, side=Side.RIGHT), stock)


def test_a_tag_says_everything_that_its_face_says():
    said = " ".join(texts(RICH))
    always = ("L", "LEFT", "7K3M 9QXT", "PART", "N123AB", "WO 2026-014", "KT 2026-03-02")
    for word in (*always, "CRITICAL", "LIFE-LIMITED"):
        assert word in said
    for word in (RICH.title, RICH.marks, RICH.marks_note, *RICH.hardware, RICH.hardware_note, RICH.proof, TAG):
        assert word.replace(" ", "") in said.replace(" ", "")


def test_a_bag_says_which_of_how_many_and_a_wire_says_where_it_goes():
    assert "BAG 1 OF 2" in texts(BAG)
    assert "endAgoesto:terminal3" in "".join(texts(WIRE)).replace(" ", "")


@pytest.mark.parametrize("stock", FULL, ids=lambda stock: stock.name)
def test_hardware_that_does_not_fit_is_counted_and_never_dropped(stock):
    said = texts(STUFFED, stock)
    more = [text for text in said if text.startswith("+ ") and text.endswith(": see list")]
    hidden = int(more[0].split()[1]) if more else 0
    shown = [text for text in said if "washer" in text or "AN9" in text]
    assert len(shown) + hidden == len(STUFFED.hardware)
    # what does show is the beginning, in stack order
    assert [text.split()[0] for text in shown] == [str(n) for n in range(1, len(shown) + 1)]


@pytest.mark.parametrize("stock", FULL, ids=lambda stock: stock.name)
@pytest.mark.parametrize("count", range(1, 13))
def test_the_stack_is_drawn_beside_its_lines_and_never_across_them(stock, count):
    """Also where the lines stand in two columns."""
    stack = shape_of(Decoder(load()), parse("2x [AN4-12 AN960-416 | AN960-416 AN310-4 MS24665-132!] head UP")[0])
    lines = tuple(f"{number} AN960-{number}" for number in range(1, count + 1))
    bare, drawn = (face_ink(replace(BAG, hardware=lines, stack=shown), stock) for shown in (None, stack))
    written = [extent(mark) for mark in bare if isinstance(mark, Text)]
    added = [extent(mark) for mark in drawn if mark not in bare]
    assert not [(a, b) for a in added for b in written if overlap(a, b)]


def test_a_single_hidden_line_is_told_in_the_singular_or_shown():
    for count in range(1, 40):
        face = replace(BAG, hardware=tuple(f"{n} AN960-{n}" for n in range(1, count + 1)))
        said = texts(face)
        more = [text for text in said if text.startswith("+ ")]
        shown = [text for text in said if "AN960-" in text]
        assert len(shown) + (int(more[0].split()[1]) if more else 0) == count
        assert not more or "more line" in more[0]


def test_warnings_are_inverse_and_what_is_hidden_of_them_is_counted():
    many = replace(RICH, warnings=tuple(f"WARNING NUMBER {n}" for n in range(20)))
    white = [mark.text for mark in face_ink(many, STOCKS[1]) if isinstance(mark, Text) and mark.tone == 1.0]
    assert white[-1] == f"+{20 - (len(white) - 1)} MORE"
    assert white[0] == "WARNING NUMBER 0"


@pytest.mark.parametrize("stock", [*FULL, SMALL], ids=lambda stock: stock.name)
def test_warnings_each_wider_than_the_label_leave_room_for_the_count_of_the_hidden(stock):
    face = replace(RICH, warnings=tuple(f"{n} DO NOT ROTATE THE PROPELLER WHILE THIS TAG IS ON" * 3 for n in range(9)))
    assert_sound(face, stock)
    white = [mark for mark in face_ink(face, stock) if isinstance(mark, Text) and mark.tone == 1.0]
    assert white[-1].text == f"+{9 - (len(white) - 1)} MORE"
    assert all(mark.size > 4 for mark in white)


@given(st.lists(st.text("WÄ i", min_size=1, max_size=40), max_size=14).map(tuple), st.sampled_from([*FULL, SMALL]))
@settings(max_examples=60, deadline=None)
def test_shown_and_counted_warnings_are_all_the_warnings(warnings, stock):
    face = replace(RICH, warnings=tuple(f"x{warning}" for warning in warnings))
    assert_sound(face, stock)
    white = [mark.text for mark in face_ink(face, stock) if isinstance(mark, Text) and mark.tone == 1.0]
    counted = int(white.pop().split()[0]) if white and white[-1].endswith(" MORE") else 0
    assert len(white) + counted == len(warnings)


@pytest.mark.parametrize("face", [ZONE, PLACE, PERSON])
def test_a_card_carries_its_name_larger_than_anything_but_the_sides_letter(face):
    ink = [mark for mark in face_ink(face, STOCKS[1]) if isinstance(mark, Text)]
    name = [mark for mark in ink if mark.text in face.title and len(mark.text) > 1]
    others = [mark for mark in ink if mark not in name and mark.text not in {"L", "R", "C"}]
    assert "".join(mark.text for mark in name).replace(" ", "") == face.title.replace(" ", "")
    assert min(mark.size for mark in name) > 1.2 * max(mark.size for mark in others)
    assert face.kind.value.upper() in [mark.text for mark in ink]


def test_only_what_comes_off_again_says_so():
    assert all(TAG in texts(face) for face in (RICH, BAG, WIRE, ZONE, BARE))
    assert not any(TAG in texts(face) for face in (PLACE, PERSON))


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.code)
def test_the_first_symbol_is_of_the_standard_size_on_both_stocks(face):
    for stock in STOCKS[:2]:
        modules = [mark.module for mark in face_ink(face, stock) if isinstance(mark, Symbol)]
        assert modules[0] == 0.75
        assert modules[1:] in ([], [LEAST_MODULE])


@pytest.mark.parametrize("face", FACES, ids=lambda face: face.code)
def test_every_module_is_a_whole_number_of_dots_of_a_203_dpi_printer(face):
    for stock in STOCKS:
        for module in (mark.module for mark in face_ink(face, stock) if isinstance(mark, Symbol)):
            assert module in (0.75, 0.625, 0.5)


def test_a_code_is_printed_in_groups_of_four():
    assert [in_groups(code) for code in ("7K3M9QXT", "7K3M9QXAT", "7K3")] == ["7K3M 9QXT", "7K3M 9QXA T", "7K3"]


def test_a_label_too_small_for_a_tag_is_refused():
    with pytest.raises(Refusal, match="too small"):
        face_ink(RICH, replace(SMALL, width=36.0, height=18.0))


def test_marks_are_found_in_the_words_and_nothing_is_made_up():
    assert marks_in("mark UP, arrow FWD, wicks AFT", Side.LEFT) == {"mark": Direction.UP, "arrow": Direction.FWD}
    assert marks_in("mark INBD", Side.CENTRE) == {}
    assert marks_in("mark sideways, a question mark", Side.LEFT) == {}
    assert marks_in("", None) == {}


def centre(mark):
    left, top, right, bottom = extent(mark)
    return (left + right) / 2, (top + bottom) / 2


@pytest.mark.parametrize(("side", "sign"), [(Side.LEFT, -1), (Side.CENTRE, -1), (Side.RIGHT, 1)])
def test_forward_is_drawn_as_it_is_seen_from_that_side(side, sign):
    ink = diagram({"arrow": Direction.FWD}, side, x=0, y=0, wide=20)
    (word,) = [mark for mark in ink if isinstance(mark, Text)]
    head = [mark for mark in ink if isinstance(mark, Stroke) and mark.filled][-1]
    assert (centre(head)[0] - 10) * sign > 5
    assert (centre(word)[0] - 10) * sign > 0


@pytest.mark.parametrize("side", Side)
@pytest.mark.parametrize("way", Direction)
def test_every_direction_is_drawn_inside_its_space_and_hidden_faces_are_dashed(side, way):
    marks = marks_in(f"mark {way.value}, arrow {way.value}", side)
    ink = diagram(marks, side, x=0, y=0, wide=20)
    for mark in ink:
        left, top, right, bottom = extent(mark)
        assert min(left, top) >= -HAIR
        assert right <= 20 + HAIR
        assert bottom <= height_for(20) + HAIR
    hidden = {Direction.DOWN, Direction.AFT, Direction.INBD}
    hidden |= {Direction.LEFT} if side is Side.RIGHT else {Direction.RIGHT}
    dashed = any(isinstance(mark, Stroke) and mark.dashed for mark in ink)
    assert dashed == ("mark" in marks and way in hidden)


@pytest.mark.parametrize("stock", [s for s in STOCKS if s not in FULL], ids=lambda stock: stock.name)
@pytest.mark.parametrize("face", [RICH, STUFFED, WIRE], ids=lambda face: face.kind.value)
def test_a_small_tag_keeps_side_position_and_code_and_says_what_it_has_no_room_for(stock, face):
    said = texts(face, stock)
    assert face.side.letter in said
    assert face.side.value in said
    assert in_groups(face.code) in said
    assert face.title.split()[0][:5] in "".join(said)
    told = "".join(said)
    if face.hardware and face.hardware[-1] not in told:
        assert "see list" in told.casefold()


@pytest.mark.parametrize("template", TEMPLATES)
def test_a_blank_has_a_symbol_at_either_end_wherever_the_label_is_longer_than_two_and_a_half_inches(template):
    """It lies in oil like any other tag, and what it says in clear is only its code."""
    stock = named(template)
    symbols = [mark for mark in face_ink(BLANK, stock) if isinstance(mark, Symbol) and mark.code == BLANK.code]
    assert len(symbols) == (2 if stock.width - stock.eyelet - stock.stub > 62 else 1)
    if len(symbols) == 2:
        one, other = sorted(symbols, key=lambda mark: mark.x)
        assert other.x - one.x > (stock.width - stock.eyelet - stock.stub) / 2
