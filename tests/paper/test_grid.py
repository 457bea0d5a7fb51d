"""Where labels sit, and how many sheets they take."""

from __future__ import annotations

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core.errors import Refusal
from tagtrack.paper import characters, grid, shares
from tagtrack.paper.grid import corner, places, sheets
from tagtrack.paper.template import named

LETTER = named("letter-4x2in-10up")


@pytest.mark.parametrize("module", [characters, grid, shares])
def test_the_examples_in_the_docstrings_run(module):
    tried = doctest.testmod(module)
    assert tried.attempted
    assert not tried.failed


def test_labels_are_counted_row_by_row_from_the_top_left():
    assert corner(LETTER, 1) == pytest.approx((3.96875, 12.7))
    assert corner(LETTER, 2) == pytest.approx((110.33125, 12.7))
    assert corner(LETTER, 3) == pytest.approx((3.96875, 63.5))
    assert corner(LETTER, 10) == pytest.approx((110.33125, 215.9))


@pytest.mark.parametrize("position", [0, -1, 11])
def test_a_position_that_the_sheet_does_not_have_is_refused(position):
    with pytest.raises(Refusal, match="expected: 1 to 10"):
        corner(LETTER, position)
    with pytest.raises(Refusal):
        list(places(LETTER, 1, start=position))


@given(count=st.integers(0, 60), start=st.integers(1, 10))
def test_every_label_has_a_place_of_its_own_and_the_sheets_are_just_enough(count, start):
    at = list(places(LETTER, count, start=start))
    assert len({(p.sheet, p.position) for p in at}) == count
    assert (at[-1].sheet if at else 0) == sheets(LETTER, count, start=start)
    assert not at or (at[0].sheet, at[0].position) == (1, start)


def test_the_offset_moves_every_label_alike():
    moved = places(LETTER, 10, offset_mm=(1.5, -0.5))
    for plain, shifted in zip(places(LETTER, 10), moved, strict=True):
        assert (shifted.x - plain.x, shifted.y - plain.y) == pytest.approx((1.5, -0.5))


@pytest.mark.parametrize("offset", [(11, 0), (0, -11), (float("nan"), 0), (0, float("inf"))])
def test_an_offset_that_no_printer_needs_is_refused(offset):
    with pytest.raises(Refusal, match="offset"):
        list(places(LETTER, 1, offset_mm=offset))
