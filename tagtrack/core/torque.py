"""Torque as mechanics type it, in whatever unit their wrench shows, made comparable in inch-pounds.

>>> round(float(inch_pounds("to 28 Nm")), 1), float(inch_pounds("25 ft-lb")), inch_pounds("per data")
(247.8, 300.0, None)
"""

from __future__ import annotations

import re
from fractions import Fraction

# the international foot and pound-force of 1959, by definition: 1 in = 0.0254 m, 1 lbf = 4.4482216152605 N
_NEWTON_METRE = 1 / (Fraction("0.0254") * Fraction("4.4482216152605"))
# standard gravity, by definition
_KILOGRAM_METRE = Fraction("9.80665") * _NEWTON_METRE

# blanks stand in brackets, so that a verbose pattern may hold these
_BETWEEN = r"[ .\-/*·⋅∙•×]*"
_INCH = r"(?:inch(?:es)?|ins?)"
_FOOT = r"(?:foot|feet|ft)"
_POUND = r"(?:pounds?|lbs?f?|lbf?s)(?:[ -]?force)?"
_UNITS: tuple[tuple[str, str, Fraction], ...] = (
    ("inch_pound", f"{_INCH}{_BETWEEN}{_POUND}|{_POUND}{_BETWEEN}{_INCH}", Fraction(1)),
    ("foot_pound", f"{_FOOT}{_BETWEEN}{_POUND}|{_POUND}{_BETWEEN}{_FOOT}", Fraction(12)),
    ("tenfold", f"da[ ]?N{_BETWEEN}m|m{_BETWEEN}da[ ]?N", 10 * _NEWTON_METRE),
    ("tenth", f"d[ ]?N{_BETWEEN}m", _NEWTON_METRE / 10),
    ("hundredth", f"c[ ]?N{_BETWEEN}m", _NEWTON_METRE / 100),
    ("newton", f"N{_BETWEEN}m|newton{_BETWEEN}met(?:er|re)s?", _NEWTON_METRE),
    ("kilogram_centimetre", f"kgf?{_BETWEEN}cm", _KILOGRAM_METRE / 100),
    ("kilogram_metre", f"kgf?{_BETWEEN}m|m{_BETWEEN}kgf?", _KILOGRAM_METRE),
)
# what makes a number before it a torque, as a pattern for any case
UNIT = "(?:" + "|".join(pattern for _, pattern, _ in _UNITS) + r")(?![A-Za-z])"
_NUMBER = r"(?:\d+(?:\.\d+)?|\.\d+)"
_VALUE = re.compile(
    rf"(?i)(?<![\d.])(?P<numbers>{_NUMBER}(?:[ ]*(?:-|\+|to|plus)[ ]*{_NUMBER}){{0,3}})[ -]?(?:"
    + "|".join(f"(?P<{name}>{pattern})" for name, pattern, _ in _UNITS)
    + ")(?![A-Za-z])"
)
_FACTORS = {name: factor for name, _, factor in _UNITS}


def inch_pounds(text: str) -> Fraction | None:
    """Return the greatest torque that the text names, in inch-pounds, or None where it names none with a unit.

    Of a range it is the upper end; a figure and its drag, `20 + 5 in-lb`, are added.
    """
    found = []
    for match in _VALUE.finditer(text):
        numbers = [Fraction(number) for number in re.findall(_NUMBER, match["numbers"])]
        added = re.search(r"\+|plus", match["numbers"], re.IGNORECASE)
        unit = next(name for name in _FACTORS if match[name])
        found.append((sum(numbers) if added else max(numbers)) * _FACTORS[unit])
    return max(found, default=None)
