"""The work at the aircraft in a real browser: off, back on, wrong way round, by scanner, by typing, by press."""

from __future__ import annotations

import pytest
from hangar.conftest import opened_phone
from hangar.served import FAIRING, JOB, WEIGHT


def scan(page, code: str) -> None:
    """Scan as a hand scanner in keyboard mode does: fast, with Enter behind it, wherever the focus is."""
    page.keyboard.type(code, delay=3)
    page.keyboard.press("Enter")


def answer(page) -> str:
    page.wait_for_selector("#answer .full")
    return page.inner_text("#answer")


def choose(page, name: str, value: str) -> None:
    page.locator(f"label.tile:has(input[name={name}][value='{value}'])").click()


def test_a_part_comes_off_by_the_form_and_is_on_the_board(phone, shop):
    phone.click("text=Take off")
    phone.fill("#off-position", "elevator tip fairing")
    choose(phone, "side", "LEFT")
    phone.fill("#off-hardware", "12 AN525-10R8")
    phone.click("button.main:has-text('OFF')")
    assert "OFF elevator tip fairing, LEFT" in answer(phone)
    phone.click("a.home")
    phone.wait_for_selector("#live .row:has-text('elevator tip fairing')")
    (act,) = [act for act in shop.acts() if any(type(e).__name__ == "TakenOff" for e in act.events)]
    assert (act.by, act.via.value) == ("KT", "page")


def test_wrong_way_round_stops_and_says_the_turn_and_then_goes_on_right(phone, shop):
    shop.say("zone tail LEFT", WEIGHT)
    phone.goto(f"/job/{JOB}")
    phone.click("button:has-text('tail LEFT')")
    answer(phone)
    phone.wait_for_selector(".zone:has-text('tail LEFT')")
    scan(phone, shop.tag("elevator balance weight, LEFT"))
    phone.wait_for_url("**/t/*")
    choose(phone, "way-mark", "UP")
    choose(phone, "way-arrow", "AFT")
    phone.click("button.main:text-is('ON: mark UP, arrow AFT')")
    told = answer(phone)
    assert "WRONG WAY ROUND" in told
    assert "turn it half round the up-and-down axis" in told
    phone.click("#answer button:has-text('No: nothing was recorded')")
    assert shop.state().part_at(next(iter(shop.state().positions))) is None
    phone.wait_for_selector("#answer", state="hidden")
    phone.wait_for_load_state()
    # the part was turned, so both are looked at again: nothing of what was seen before stands there
    phone.wait_for_selector("button.main:disabled:text-is('ON: mark ?, arrow ?')")
    choose(phone, "way-mark", "UP")
    choose(phone, "way-arrow", "FWD")
    phone.click("button.main:text-is('ON: mark UP, arrow FWD')")
    assert "ON elevator balance weight, LEFT" in answer(phone)
    scan(phone, shop.tag("elevator balance weight, LEFT", "bag"))
    phone.wait_for_url("**/t/" + shop.tag("elevator balance weight, LEFT", "bag") + "?scanned=1")
    phone.click("button.main:has-text('TIGHT, SAFE')")
    assert "TIGHT SAFE" in answer(phone)
    joint = next(iter(shop.state().joints.values()))
    assert (joint.tight, joint.safe) == (2, True)


def test_a_mark_that_was_touched_by_mistake_is_put_right_before_anything_is_recorded(phone, shop):
    shop.say("zone tail LEFT", WEIGHT)
    phone.goto(f"/job/{JOB}/t/{shop.tag('elevator balance weight, LEFT')}?scanned=1")
    phone.click("button:has-text('tail LEFT')")
    answer(phone)
    before = len(shop.acts())
    phone.wait_for_selector("button.main:disabled:has-text('ON: mark ?, arrow ?')")
    choose(phone, "way-mark", "UP")
    phone.wait_for_selector("button.main:disabled:text-is('ON: mark UP, arrow ?')")
    choose(phone, "way-arrow", "AFT")
    phone.wait_for_selector("button.main:enabled:text-is('ON: mark UP, arrow AFT')")
    choose(phone, "way-arrow", "FWD")
    phone.wait_for_timeout(500)
    assert len(shop.acts()) == before
    phone.click("button.main:text-is('ON: mark UP, arrow FWD')")
    assert "(mark UP, arrow FWD)" in answer(phone)
    assert shop.acts()[-1].despite == ""


def test_what_is_wrong_but_really_so_is_one_press_and_a_reason(phone, shop):
    shop.say("zone tail LEFT", WEIGHT)
    phone.goto(f"/job/{JOB}/t/{shop.tag('elevator balance weight, LEFT')}?scanned=1")
    phone.click("button:has-text('tail LEFT')")
    answer(phone)
    phone.wait_for_selector("input[name=way-mark]", state="attached")
    choose(phone, "way-mark", "DOWN")
    choose(phone, "way-arrow", "FWD")
    phone.click("button.main:text-is('ON: mark DOWN, arrow FWD')")
    answer(phone)
    phone.fill("#because", "the maker's drawing says so")
    phone.click("#answer button:has-text('RECORD IT')")
    phone.wait_for_selector("#answer .full.wrong")
    assert "recorded, and wrong" in phone.inner_text("#answer")
    assert shop.acts()[-1].despite == "the maker's drawing says so"


@pytest.mark.parametrize("form", ["{}", "http://192.168.9.9:8765/T/{}", "HTTPS://SHOP.LOCAL/t/{}"])
def test_a_scanner_is_heard_wherever_the_focus_is_and_whatever_address_the_tag_holds(phone, shop, form):
    shop.say("zone tail LEFT", FAIRING)
    code = shop.tag("elevator tip fairing, LEFT")
    phone.goto(f"/job/{JOB}")
    phone.focus("a.who")
    scan(phone, form.format(code))
    phone.wait_for_url(f"**/t/{code}?scanned=1")


def test_a_scanner_in_a_text_field_types_into_that_field(phone):
    phone.goto(f"/job/{JOB}/off")
    phone.focus("#off-position")
    phone.keyboard.type("ABCD2345", delay=3)
    assert phone.input_value("#off-position") == "ABCD2345"
    assert phone.url.endswith("/off")


def test_the_whole_flow_works_without_scripts(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING)
    with opened_phone(browser, address, java_script_enabled=False) as page:
        page.fill("#scan-line", shop.tag("elevator tip fairing, LEFT"))
        page.click("form.scan button")
        page.click("button:has-text('tail LEFT')")
        page.click("main a.main")
        page.click("button.main:has-text('ON')")
        assert "RECORDED" in page.inner_text("main")
        page.click("main a.main")
        page.fill("#scan-line", shop.tag("elevator tip fairing, LEFT", "bag"))
        page.click("form.scan button")
        page.fill("input[name=count]", "11")
        page.click("button[name=word][value=in]")
        assert "SHORT" in page.inner_text("main")
    assert next(iter(shop.state().joints.values())).tight == 0
