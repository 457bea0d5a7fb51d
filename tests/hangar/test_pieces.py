"""Single pieces by press: what was dropped, what was found again, what is had from stock, what was used before."""

from __future__ import annotations

import pytest
from hangar.served import JOB, WEIGHT, Device

from tagtrack.hangar.pieces import pieces_of

PART = "elevator balance weight, LEFT"


@pytest.fixture
def device(shop):
    shop.say("zone tail LEFT", WEIGHT)
    shop.say("zone tail LEFT", shop.tag(PART), "up fwd")
    signed_in = Device(shop.app())
    signed_in.sign_in()
    return signed_in


def pressed(device, shop, word, count="1", spec="AN960-10"):
    fields = {"form": "count", "word": word, "count": count, "spec": spec}
    return device.press("", tag=shop.tag(PART, "bag"), area="tail LEFT", **fields)


def bag_page(device, shop) -> str:
    return device.get(f"/job/{JOB}/t/{shop.tag(PART, 'bag')}?scanned=1").text


def pieces(shop):
    job = shop.shop.open(JOB)
    return pieces_of(job, next(each for each in job.state.positions if str(each) == PART))


def test_a_washer_is_dropped_found_and_put_in_by_presses_alone(device, shop):
    page = bag_page(device, shop)
    assert all(f'value="{spec}"' in page for spec in pieces(shop).known)
    assert pieces(shop).known == ("AN3-5", "AN960-10", "AN310-3", "MS24665-132")
    assert pieces(shop).lacking == ()
    assert any("LOST" in line for line in pressed(device, shop, "lost")["lines"])
    assert not pressed(device, shop, "in", "4")["recorded"]
    device.press("", form="worded", word="case", about="L1 found", text="under the stabilizer")
    device.press("", form="all-in", everything="all in new", tag=shop.tag(PART, "bag"), area="tail LEFT")
    # the bag is empty by now: the one on the bench is offered by itself
    assert pieces(shop).lacking == (("AN960-10", 1),)
    assert "<b>AN960-10</b>: 1 to go in, and not in its bag" in bag_page(device, shop)
    assert pressed(device, shop, "in")["recorded"]
    assert pieces(shop).lacking == ()
    # tight and safe was taken back with it: the pins were bent, and stand there to be taken out
    assert pieces(shop).worn == (("MS24665-132", 2),)
    page = bag_page(device, shop)
    assert page.index('value="out 2 MS24665-132"') < page.index('value="tight safe"')
    device.press("out 2 MS24665-132", tag=shop.tag(PART, "bag"), area="tail LEFT")
    assert pieces(shop).worn == ()
    assert 'value="new">NEW from stock: MS24665-132' in bag_page(device, shop)
    for line in ("new", "tight safe"):
        assert device.press(line, tag=shop.tag(PART, "bag"), area="tail LEFT")["tone"] == "done"
    assert "Done here" in bag_page(device, shop)


def test_what_is_lost_is_no_piece_that_goes_in_and_a_new_one_from_stock_is(device, shop):
    pressed(device, shop, "lost")
    device.press("", form="all-in", everything="all in new", tag=shop.tag(PART, "bag"), area="tail LEFT")
    assert pieces(shop).lacking == (("AN960-10", 1),)
    assert not pressed(device, shop, "in")["recorded"]
    assert pressed(device, shop, "new")["recorded"]
    assert pieces(shop).lacking == ()


def test_a_piece_comes_out_again_by_press(device, shop):
    pressed(device, shop, "in", "4")
    assert pressed(device, shop, "out", "2")["recorded"]
    assert "AN960-10</b>: 2 here" in bag_page(device, shop)


def test_which_piece_has_to_be_said(device, shop):
    answer = pressed(device, shop, "lost", spec="")
    assert not answer["recorded"]
    assert any("which piece" in line for line in answer["lines"])
