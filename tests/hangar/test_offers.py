"""What an answer asks beside what it records stays till it was read, and is answered by one press."""

from __future__ import annotations

import re

import pytest
from hangar.conftest import opened_phone
from hangar.served import JOB, WEIGHT, Device
from hangar.test_flow import choose

from tagtrack.hangar.offers import Offer, asks, offered

PART = "elevator balance weight, LEFT"
OFF = "off elevator balance weight LEFT; mark UP, arrow FWD; mount INBD; 2 AN3-5A"
FEWER = ("off tip fairing LEFT; 12 AN525-10R8", "off tip fairing RIGHT; 11 AN525-10R8")


@pytest.fixture
def device(shop):
    shop.say("zone tail LEFT")
    signed_in = Device(shop.app())
    signed_in.sign_in()
    return signed_in


def remove(page, position, hardware) -> None:
    page.goto(f"/job/{JOB}/off")
    page.fill("#off-position", position)
    choose(page, "side", "LEFT")
    page.fill("#off-hardware", hardware)
    page.click("button.main:has-text('OFF')")
    page.wait_for_function("() => Queue.waiting().length === 0")


def test_whether_it_is_critical_is_one_press_and_stands_till_then(phone, shop):
    # answers that go by themselves go at once
    phone.add_init_script("const slow = setTimeout; window.setTimeout = (f, t, ...more) => slow(f, 0, ...more);")
    remove(phone, "cap", "2 AN3-5A")
    phone.wait_for_selector("#answer", state="hidden")
    assert len(shop.state().positions) == 1
    remove(phone, "elevator balance weight", "2 AN3-5A")
    phone.evaluate("new Promise(done => setTimeout(() => setTimeout(done)))")
    told = phone.inner_text("#answer")
    assert "RECORDED: MORE TO DO" in told
    assert "also elevator" not in told
    phone.click("#answer button:text-is('It is CRITICAL')")
    phone.wait_for_function("() => Queue.waiting().length === 0")
    assert [known.critical for known in shop.state().positions.values()] == [False, True]


def test_it_is_one_press_without_scripts_too(browser, address, shop):
    with opened_phone(browser, address, java_script_enabled=False) as page:
        page.goto(f"/job/{JOB}/off")
        page.fill("#off-position", "elevator balance weight")
        choose(page, "side", "LEFT")
        page.fill("#off-hardware", "2 AN3-5A")
        page.click("button.main:has-text('OFF')")
        page.click("main .after button:text-is('It is CRITICAL')")
        assert "KNOWN OF" in page.inner_text("main")
    assert [known.critical for known in shop.state().positions.values()] == [True]


def test_a_screw_that_was_missing_as_found_goes_back_by_one_press(device, shop):
    assert not device.press(FEWER[0])["stays"]
    answer = device.press(FEWER[1])
    assert answer["recorded"]
    assert answer["stays"]
    assert answer["tone"] == "open"
    (offer,) = answer["offers"]
    assert offer["words"] == "Missing as found: 12 AN525-10R8 go back on tip fairing RIGHT"
    assert not any("because ..." in line for line in answer["lines"])
    assert device.press(offer["line"])["recorded"]
    joint = next(j for j in shop.state().joints.values() if str(j.positions[0]) == "tip fairing, RIGHT")
    assert [line.count for line in joint.back] == [12]


def test_the_mark_that_tells_left_from_right_is_one_press(device, shop):
    device.press("off trim tab LEFT; mark UP; none; mount INBD")
    answer = device.press("off trim tab RIGHT; mark UP; none; mount INBD")
    assert answer["stays"]
    (offer,) = answer["offers"]
    assert offer["words"] == f"Marked now: {offer['line'].partition('; ')[2]}, on trim tab LEFT + RIGHT"
    assert device.press(offer["line"])["recorded"]
    assert {len(part.marks.each) for part in shop.state().parts.values()} == {2}


def test_what_asks_nothing_goes_by_itself(device):
    answer = device.press(WEIGHT)
    assert (answer["tone"], answer["stays"], answer["offers"]) == ("done", False, [])


def test_what_is_refused_or_asked_first_offers_nothing_beside_it(device):
    device.press("zone tail RIGHT")
    answer = device.press(OFF)
    assert answer["asked"]
    assert (answer["stays"], answer["offers"]) == (False, [])


def test_only_the_words_that_are_pressed_leave_the_answer():
    lines = ("OFF  cap", "     ? it is odd.  It is?  also cap LEFT; critical", "came:     one was missing: back of it")
    told, offers = offered(lines)
    assert told == ("OFF  cap", "     ? it is odd.  Is it?", lines[2])
    assert offers == (Offer("also cap LEFT; critical", "It is CRITICAL"),)
    assert asks(told)
    assert not asks(("OFF  cap", "     mark UP", "     and why? nobody knows"))


def test_every_question_beside_an_answer_is_known_here(shop):
    """Every mark with which the program asks beside what it records, each by the line that brings it about."""
    alike = ("off tab LEFT; mark UP; 4 AN3-5A; mount INBD", "off tab RIGHT; mark UP; 4 AN3-5A; mount INBD")
    odd = ("off yoke LEFT; 2x [AN3-5A | AN310-3]",)
    for lines in (alike, odd, FEWER, (OFF,)):
        told = shop.say(*lines)[-1].split("\n")
        marked = [line for line in told if re.match(r"\s+(\?|[A-Z]{4,} [A-Z]+ ) ?", line)]
        assert marked
        assert asks(told), told
