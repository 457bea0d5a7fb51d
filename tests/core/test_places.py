"""Places and movements: every movement has two ends, and no place ever holds less than nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core import places
from tagtrack.core.errors import Refusal
from tagtrack.core.places import BENCH, SCRAP, STOCK, UNCOUNTED, Item, ItemKind, Move, Place, PlaceKind

PLACES = [STOCK, SCRAP, UNCOUNTED, BENCH, Place(PlaceKind.BAG, "7K4M9QXQ"), Place(PlaceKind.JOINT, "j1"),
          Place(PlaceKind.HOLE, "j1"), Place(PlaceKind.LOST, "L1"), Place(PlaceKind.ABOARD, "tail LEFT")]  # fmt: skip
ITEMS = [places.used("AN960-10"), places.new("AN960-10"), places.used("AN3-5A"), Item(ItemKind.TEMPORARY, "cap")]
moves = st.builds(Move, st.sampled_from(ITEMS), st.integers(1, 9), st.sampled_from(PLACES), st.sampled_from(PLACES))


@given(st.lists(moves, max_size=60))
def test_the_sum_over_all_places_never_changes(many):
    holdings = {}
    for move in many:
        try:
            places.moved(holdings, move)
        except Refusal:
            continue
        for item in ITEMS:
            assert sum(places.held(holdings, place, item) for place in PLACES) == 0
        for place, lots in holdings.items():
            assert all(lots.values()), "no empty lot is kept"
            if place not in (STOCK, UNCOUNTED):
                assert min(lots.values()) > 0


@given(moves)
def test_a_refused_movement_moves_nothing(move):
    holdings = {}
    if move.source in (STOCK, UNCOUNTED):
        return
    with pytest.raises(Refusal) as told:
        places.moved(holdings, move)
    assert holdings == {}
    assert "recount" in told.value.todo


@pytest.mark.parametrize("count", [0, -1, 1000, 10**9])
def test_an_absurd_count_cannot_be_moved(count):
    with pytest.raises(Refusal):
        Move(ITEMS[0], count, STOCK, BENCH)


@pytest.mark.parametrize("place", [*PLACES, Place(PlaceKind.POSITION, "elevator, left; odd: name, LEFT")])
def test_a_stored_place_reads_back_and_is_told_in_shop_words(place):
    assert Place.read(str(place)) == place
    assert places.told(place)
    assert "PlaceKind" not in places.told(place)


@pytest.mark.parametrize("item", ITEMS)
def test_a_stored_item_reads_back(item):
    assert Item.read(str(item)) == item


def test_an_unknown_kind_is_told():
    with pytest.raises(ValueError, match="moon"):
        Place.read("moon:1")
    with pytest.raises(ValueError, match="moon"):
        Item.read("moon:1")
