"""What somebody types while the page is made anew under the hand: it stays, and the page shows what is true now."""

from __future__ import annotations

import pytest
from hangar.conftest import opened_phone
from hangar.served import FAIRING, JOB, WEIGHT, Device
from hangar.test_flow import answer, scan

BAG = "elevator balance weight, LEFT"


@pytest.fixture
def bag(phone, shop):
    """A phone that shows a bag with three lots, whose part is on."""
    shop.say("zone tail LEFT", WEIGHT)
    shop.say("zone tail LEFT", shop.tag(BAG), "up fwd")
    phone.goto(f"/job/{JOB}/t/{shop.tag(BAG, 'bag')}?scanned=1")
    return phone


def counted(spec: str) -> str:
    return f"form.count:has(input[name=spec][value='{spec}']) input[name=count]"


def go_on(page) -> None:
    page.click("#answer button.main:not(.two)")
    page.wait_for_selector("#answer", state="hidden")


def test_a_bag_shows_what_it_holds_after_a_part_of_it_went_in(bag):
    bag.fill(counted("AN960-10"), "3")
    bag.click("form.count:has(input[value='AN960-10']) button[name=word]")
    assert "IN 3 AN960-10" in answer(bag)
    go_on(bag)
    bag.wait_for_selector("label:has-text('AN960-10: 1 here')")
    assert bag.input_value(counted("AN960-10")) == "1"
    assert bag.input_value(counted("AN3-5")) == "2"


def test_what_is_typed_into_another_field_meanwhile_stays_with_its_focus_and_caret(bag):
    bag.route("**/press", lambda route: (bag.wait_for_timeout(300), route.continue_()))
    bag.fill(counted("AN960-10"), "3")
    bag.click("form.count:has(input[value='AN960-10']) button[name=word]")
    # before the answer is there
    bag.fill("[name=torque]", "per data")
    bag.locator("label.tile:has(input[name=tight])").click()
    answer(bag)
    go_on(bag)
    bag.focus("[name=torque]")
    bag.evaluate("document.querySelector('[name=torque]').setSelectionRange(4, 8)")
    bag.wait_for_selector("label:has-text('AN960-10: 1 here')")
    assert bag.input_value("[name=torque]") == "per data"
    assert bag.is_checked("[name=tight]")
    bag.keyboard.type("27-30")
    assert bag.input_value("[name=torque]") == "per 27-30"


def test_a_field_that_was_changed_again_before_its_answer_came_keeps_the_new_word(bag):
    bag.route("**/press", lambda route: (bag.wait_for_timeout(300), route.continue_()))
    bag.fill(counted("AN960-10"), "3")
    bag.click("form.count:has(input[value='AN960-10']) button[name=word]")
    bag.fill(counted("AN960-10"), "7")
    answer(bag)
    go_on(bag)
    bag.wait_for_selector("label:has-text('AN960-10: 1 here')")
    assert bag.input_value(counted("AN960-10")) == "7"


def test_a_count_of_a_lot_that_is_used_up_does_not_pass_to_the_next(bag, shop):
    bag.fill(counted("AN310-3"), "1")
    shop.say(shop.tag(BAG), shop.tag(BAG, "bag"), "in 2 AN3-5")
    bag.fill("#scan-line", "put 1 rag at tail")
    bag.click("form.scan button")
    answer(bag)
    bag.wait_for_selector("form.count:has(input[type=hidden][value='AN3-5'])", state="detached")
    assert bag.input_value(counted("AN310-3")) == "1"
    assert bag.input_value(counted("AN960-10")) == "4"


def test_a_reason_that_is_being_typed_stays_while_others_work(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING, "lost 1 AN525-10R8")
    with opened_phone(browser, address) as page:
        page.goto(f"/job/{JOB}/findings")
        page.click("summary:has-text('Answer it') >> nth=0")
        field = "#" + page.locator("details[open] [name=text]").get_attribute("id")
        page.click(field)
        page.keyboard.type("as the maker's ")
        before = page.get_attribute("#live", "data-head")
        other = Device(shop.app())
        other.sign_in("MB")
        other.press("put 1 rag at tail")
        page.wait_for_function("head => document.querySelector('#live').dataset.head !== head", arg=before)
        page.keyboard.type("letter says")
        assert page.locator("details[open]").count() == 1
        assert page.input_value(field) == "as the maker's letter says"


def test_after_an_answer_the_next_scan_is_typed_into_no_field(bag, shop):
    bag.fill(counted("AN960-10"), "3")
    bag.keyboard.press("Enter")
    answer(bag)
    bag.wait_for_selector("#answer", state="hidden")
    bag.wait_for_load_state()
    scan(bag, shop.tag(BAG))
    bag.wait_for_url(f"**/t/{shop.tag(BAG)}?scanned=1")


def test_the_key_that_ends_a_torque_presses_nothing(bag, shop):
    before = len(shop.acts())
    bag.fill("[name=torque]", "22 in-lb")
    bag.keyboard.press("Enter")
    bag.wait_for_timeout(500)
    assert bag.is_hidden("#answer")
    assert len(shop.acts()) == before


def test_after_an_answer_the_hand_is_where_it_was(bag):
    bag.focus("summary:has-text('History')")
    bag.evaluate("Answer.tell('note', ['one', 'two'])")
    assert bag.evaluate("document.activeElement.id") == "answer-head"
    go_on(bag)
    assert bag.evaluate("document.activeElement.textContent") == "History"


def test_what_was_refused_stays_to_be_put_right(phone, shop):
    phone.goto(f"/job/{JOB}/off")
    phone.fill("#off-position", "tip cap")
    phone.locator("label.tile:has(input[name=side][value=LEFT])").click()
    phone.fill("#off-hardware", "2x [AN3-5 |")
    phone.click("button.main:has-text('OFF')")
    answer(phone)
    before = len(shop.acts())
    phone.click("#answer button.main:not(.two)")
    phone.wait_for_selector("#answer", state="hidden")
    phone.wait_for_timeout(400)
    assert phone.input_value("#off-position") == "tip cap"
    assert phone.is_checked("[name=side][value=LEFT]")
    phone.fill("#off-hardware", "12 AN525-10R8")
    phone.click("button.main:has-text('OFF')")
    answer(phone)
    phone.wait_for_selector("#answer", state="hidden")
    assert len(shop.acts()) > before
    assert phone.input_value("#off-position") == ""
