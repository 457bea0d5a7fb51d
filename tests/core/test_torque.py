"""Torque as typed. Factors: NIST Special Publication 811, appendix B.8, to the digits that it prints (from memory)."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core.torque import inch_pounds

# NIST SP 811: newton metres in one of each
NEWTON_METRES = {
    "lbf in": 0.1129848, "ft-lb": 1.355818, "kgf m": 9.80665, "Nm": 1.0, "dNm": 0.1, "cNm": 0.01, "daNm": 10.0,
}  # fmt: skip


@pytest.mark.parametrize(("unit", "factor"), NEWTON_METRES.items())
def test_the_units_stand_to_each_other_as_in_the_published_table(unit, factor):
    assert float(inch_pounds(f"1 {unit}") / inch_pounds("1 Nm")) == pytest.approx(factor, rel=1e-6)


@pytest.mark.parametrize(
    "text",
    ["250 in-lb", "250 in-lbs", "250 in.lb", "250 inlb", "250inlb", "250 in lbs.", "250 in/lbs", "250 lb-in",
     "250 lbf in", "250 lbf·in", "250 lbf-in", "250 pound inches", "250 inch-pounds", "250 inch pound force",
     "at 250 in-lb", "to 250 in-lb", "= 250 IN-LB", "per data 250 in-lb", "200-250 in-lb", "200 to 250 in-lb",
     "230 + 20 in-lb", "230 plus 20 in lb", "100 in-lb, then 250 in-lb", "250.0 in-lb dry"],
)  # fmt: skip
def test_every_way_of_writing_inch_pounds_is_read(text):
    assert inch_pounds(text) == 250


@pytest.mark.parametrize(
    "text", ["25 ft-lb", "25 ft lbs", "25 ftlb", "25 lb-ft", "25 foot-pounds", "25 lbf ft", "tight at 25 ft.lb"]
)
def test_a_foot_pound_is_twelve_inch_pounds(text):
    assert inch_pounds(text) == 300


@pytest.mark.parametrize("text", ["28 Nm", "28 N·m", "28 N⋅m", "28 N-m", "28 n.m", "28 N m", "28 newton metres"])
def test_newton_metres_are_read(text):
    assert float(inch_pounds(text)) == pytest.approx(28 * 8.8507, rel=1e-5)


@pytest.mark.parametrize(
    "text", ["", "per data", "250", "snug", "4 installed", "2 inner", "3 nuts", "28 nmi", "in-lb", "AN3-5A", "24 in"]
)
def test_what_names_no_unit_is_no_torque(text):
    assert inch_pounds(text) is None


@given(st.integers(1, 99999), st.sampled_from(["in-lb", "lb in", "inlbs", "lbf·in"]))
def test_a_figure_comes_back_exactly(figure, unit):
    assert inch_pounds(f"{figure} {unit}") == figure
    assert inch_pounds(f"at {figure / 4:.2f} {unit}") == Fraction(f"{figure / 4:.2f}")


@given(st.text(alphabet="0123456789.-+ toinlbfNm·kgcda", max_size=60))
def test_no_text_breaks_it(text):
    found = inch_pounds(text)
    assert found is None or found >= 0
