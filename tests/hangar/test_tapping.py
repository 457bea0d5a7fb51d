"""Gloves tap twice, and people change over in the middle: one tap is one press, and the page stays what it was."""

from __future__ import annotations

from hangar.conftest import opened_phone
from hangar.served import FAIRING, JOB

from tagtrack.core.places import Place, PlaceKind


def _slowly(route) -> None:
    """A network that takes its time: the second tap comes before the answer to the first."""
    route.request.frame.page.wait_for_timeout(250)
    route.continue_()


def twice(page, selector: str) -> None:
    """Tap twice, as a glove does, within one round of the network."""
    page.eval_on_selector(selector, "b => { b.click(); setTimeout(() => b.click(), 120); }")


def counted(page) -> None:
    page.wait_for_selector("#answer .full")
    page.wait_for_function("() => Queue.waiting().length === 0")


def test_a_double_tap_on_a_count_counts_once(phone, shop):
    shop.say("zone tail LEFT", FAIRING)
    bag = shop.tag("elevator tip fairing, LEFT", "bag")
    shop.say("zone tail LEFT", shop.tag("elevator tip fairing, LEFT"), "on")
    phone.goto(f"/job/{JOB}/t/{bag}")
    phone.route("**/press", _slowly)
    phone.fill("input[name=count]", "3")
    before = len(shop.acts())
    twice(phone, "button[name=word]")
    counted(phone)
    assert len(shop.acts()) == before + 1


def test_a_double_tap_on_a_line_and_on_undo_counts_once(phone, shop):
    shop.say("zone tail LEFT", FAIRING)
    phone.goto(f"/job/{JOB}/t/{shop.tag('elevator tip fairing, LEFT')}")
    phone.route("**/press", _slowly)
    phone.click("summary:has-text('Something else')")
    phone.fill("#more-line", "put 1 rag at tail")
    twice(phone, "button:text-is('Say')")
    counted(phone)
    assert sum(shop.state().holdings[Place(PlaceKind.ABOARD, "tail")].values()) == 1
    phone.wait_for_selector("#answer", state="hidden")
    before = len(shop.acts())
    twice(phone, "button:has-text('Undo my last step')")
    counted(phone)
    assert len(shop.acts()) == before + 1


def test_without_a_network_too_one_press_is_kept_of_two_taps_and_who_meant_two_is_told(browser, address, shop):
    phone = opened_phone(browser, address)
    with phone as page:
        phone.context.set_offline(True)
        for _ in range(2):
            page.fill("#scan-line", "put 1 rag at tail")
            page.click("form.scan button")
        page.wait_for_timeout(2600)
        page.fill("#scan-line", "put 1 rag at tail")
        page.click("form.scan button")
        page.wait_for_selector("#answer:has-text('it counts once')")
        assert page.evaluate("Queue.waiting().length") == 1
        phone.context.set_offline(False)
        page.wait_for_function("() => Queue.waiting().length === 0")
    assert sum(shop.state().holdings[Place(PlaceKind.ABOARD, "tail")].values()) == 1


def test_the_same_word_said_again_after_another_tag_is_a_press_of_its_own(browser, address):
    phone = opened_phone(browser, address)
    with phone as page:
        phone.context.set_offline(True)
        for word in ("22223333", "on", "22224444", "on"):
            page.fill("#scan-line", word)
            page.click("form.scan button")
        assert page.evaluate("Queue.waiting().map(press => press.words)") == ["22223333", "on", "22224444", "on"]
        page.evaluate("localStorage.clear()")
