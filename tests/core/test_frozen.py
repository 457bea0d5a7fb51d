"""What frozen values promise: made and changed as the standard library does it, and the first one is untouched."""

from __future__ import annotations

from dataclasses import KW_ONLY, FrozenInstanceError, asdict, dataclass, field, fields, replace

import pytest

from tagtrack.core.axes import Side
from tagtrack.core.frozen import changed, value
from tagtrack.core.records import Position
from tagtrack.core.things import PositionState

KNOWN = PositionState(position=Position("elevator fairing", Side.LEFT), area="tail", cycle=1, acts=("a",))


def test_a_changed_value_is_what_the_standard_library_makes_of_it():
    """`dataclasses.replace` of the standard library is the measure, field by field."""
    ours, theirs = changed(KNOWN, cycle=2, acts=("a", "b")), replace(KNOWN, cycle=2, acts=("a", "b"))
    assert type(ours) is PositionState
    assert [getattr(ours, f.name) for f in fields(ours)] == [getattr(theirs, f.name) for f in fields(theirs)]
    assert ours == theirs


def test_the_first_value_stays_as_it_was():
    changed(KNOWN, cycle=9)
    assert KNOWN.cycle == 1


def test_a_changed_value_is_frozen():
    with pytest.raises(FrozenInstanceError):
        changed(KNOWN, cycle=2).cycle = 3


def test_a_field_that_does_not_exist_is_refused():
    with pytest.raises(AttributeError, match="cycles"):
        changed(KNOWN, cycles=2)


@value
class Washer:
    """A value of every shape that a field can have."""

    spec: str
    count: int = 1
    _: KW_ONLY
    once: bool = False

    def __post_init__(self) -> None:
        if self.count < 1:
            raise ValueError(f"{self.count} of {self.spec}")


@dataclass(frozen=True, slots=True)
class Standard:
    """The same, as the standard library makes it."""

    spec: str
    count: int = 1
    _: KW_ONLY
    once: bool = False


@pytest.mark.parametrize(("given", "named"), [
    (("AN960-10",), {}), (("AN960-10", 3), {}), (("AN960-10",), {"once": True}), ((), {"count": 2, "spec": "AN960-8"}),
])  # fmt: skip
def test_a_value_is_made_as_the_standard_library_makes_it(given, named):
    """`dataclasses.dataclass` of the standard library is the measure, field by field."""
    ours, theirs = Washer(*given, **named), Standard(*given, **named)
    assert asdict(ours) == asdict(theirs)
    assert type(ours) is Washer
    assert ours == Washer(*given, **named)
    assert hash(ours) == hash(Washer(*given, **named))
    assert repr(ours) == repr(theirs).replace("Standard", "Washer")


@pytest.mark.parametrize(("given", "named"), [((), {}), (("a", 1, True), {}), (("a",), {"counts": 2})])
def test_what_the_standard_library_refuses_is_refused_in_its_words(given, named):
    with pytest.raises(TypeError) as theirs:
        Standard(*given, **named)
    with pytest.raises(TypeError) as ours:
        Washer(*given, **named)
    assert str(ours.value) == str(theirs.value).replace("Standard", "Washer")


def test_a_value_is_frozen_and_looks_at_what_it_was_given():
    with pytest.raises(FrozenInstanceError):
        Washer("AN960-10").count = 3
    with pytest.raises(ValueError, match="0 of AN960-10"):
        Washer("AN960-10", 0)
    assert replace(Washer("AN960-10", once=True), count=4) == Washer("AN960-10", 4, once=True)


def test_a_default_that_is_made_anew_each_time_is_refused():
    with pytest.raises(TypeError, match="made anew each time"):

        @value
        class Bag:
            pieces: list[str] = field(default_factory=list)
