"""Gloves tap twice, and people change over in the middle: one tap is one press, and the page stays what it was."""

from __future__ import annotations

import re
from html import unescape

from hangar.conftest import opened_phone, sign_in
from hangar.served import FAIRING, JOB, WEIGHT, Device
from hangar.test_flow import scan

from tagtrack.core.places import Place, PlaceKind
from tagtrack.shop import tagging
from tagtrack.shop.ports import Who


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
    phone.goto(f"/job/{JOB}/t/{bag}?scanned=1")
    phone.route("**/press", _slowly)
    phone.fill("input[name=count]", "3")
    before = len(shop.acts())
    twice(phone, "button[name=word]")
    counted(phone)
    assert len(shop.acts()) == before + 1


def test_a_double_tap_on_a_line_and_on_undo_counts_once(phone, shop):
    shop.say("zone tail LEFT", FAIRING)
    phone.goto(f"/job/{JOB}/t/{shop.tag('elevator tip fairing, LEFT')}?scanned=1")
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


def test_whoever_changes_over_comes_back_to_the_very_same_position(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING, WEIGHT)
    badge = tagging.badge(shop.shop, Who("KT"), "MB")
    there = f"/job/{JOB}/look?at=elevator%20balance%20weight,%20LEFT"
    with opened_phone(browser, address) as page:
        page.goto(there)
        scan(page, badge)
        page.wait_for_selector("#pin")
        page.fill("#pin", "918273")
        page.click("text=Sign in for this shift")
        page.wait_for_url("**/look?at=*weight*")
        assert page.inner_text("h1") == "elevator balance weight"
        assert page.inner_text("a.who b") == "MB"
        # and by the link, where there are no scripts
        page.goto("/people?back=" + page.evaluate("encodeURIComponent(location.pathname + location.search)"))
        page.click("button.name:has-text('KT')")
        page.wait_for_url("**/look?at=*weight*")


def test_a_way_back_holds_the_whole_address_and_leads_nowhere_else(shop):
    shop.say("zone tail LEFT", FAIRING)
    device = Device(shop.app())
    device.sign_in()
    for path in (f"/job/{JOB}/at?at=elevator tip fairing, LEFT", f"/job/{JOB}/findings?asked=0"):
        page = device.get(path).text
        back = unescape(re.search(r'class="who" href="([^"]*)"', page)[1])
        answer = device.get(back)
        target = unescape(re.search(r'name="back" value="([^"]*)"', answer.text)[1])
        assert device.get(target).status_code == 200
        assert target.partition("?")[2]
        heads = [re.search(r"<h1>([^<]*)</h1>", shown)[1] for shown in (page, device.get(target).text)]
        assert heads[0] == heads[1]
    assert "//elsewhere" not in device.get("/people?back=//elsewhere").text
    # an answer to a press has no address of its own: from there too one comes back to where it was pressed
    told = device.post(f"/job/{JOB}/press", {"line": "status", "back": f"/job/{JOB}/findings?asked=0"}).text
    assert f"/people?back=/job/{JOB}/findings?asked%3D0" in told


def test_what_was_only_looked_at_is_not_scanned_by_a_change_of_person(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING)
    code = shop.tag("elevator tip fairing, LEFT")
    with opened_phone(browser, address) as page:
        sign_in(page, "MB")
        page.click("#live a.row:has-text('elevator tip fairing')")
        page.wait_for_selector("text=memory is not evidence")
        page.click("a.who")
        page.click("#answer a.button.main.two")
        page.click("button.name:has-text('KT')")
        page.wait_for_selector("a.who b:has-text('KT')")
        page.wait_for_selector("text=memory is not evidence")
        # whoever scanned it stays at it
        scan(page, code)
        page.wait_for_url("**/t/*scanned=1")
        page.click("a.who")
        page.click("#answer a.button.main.two")
        page.click("button.name:has-text('MB')")
        page.wait_for_url("**/t/*scanned=1")
        assert "memory is not evidence" not in page.inner_text("main")


def test_that_the_record_was_exchanged_is_shown_by_the_page_till_it_was_read(browser, address, shop):
    path = shop.root / "jobs" / JOB / "journal.jsonl"
    older = path.read_bytes()
    shop.say("zone tail LEFT", FAIRING)
    with opened_phone(browser, address) as page:
        page.goto(f"/job/{JOB}")
        page.wait_for_selector("#live a.row")
        put_back = path.with_suffix(".back")
        put_back.write_bytes(older)
        put_back.replace(path)
        page.wait_for_selector("#answer .full.wrong:has-text('was exchanged for another one')")
        # also where the page was left before anybody had read it
        page.reload()
        page.wait_for_selector("#answer .full.wrong:has-text('was exchanged for another one')")
        page.click("#answer button.main")
        page.wait_for_selector("#live .empty")
        with page.expect_response("**/changes"):
            page.reload()
        page.wait_for_timeout(300)
        assert page.is_hidden("#answer")


def test_findings_that_stand_are_told_as_such_and_not_as_a_press_that_was_refused(phone, shop):
    # the part is back on and its screws are not: wrong now, and not only still open
    shop.say("zone tail LEFT", FAIRING)
    shop.say("zone tail LEFT", shop.tag("elevator tip fairing, LEFT"), "on", "dropped 1 AN525-10R8")
    for word in ("check", "status"):
        phone.fill("#scan-line", word)
        phone.click("form.scan button")
        phone.wait_for_selector("#answer .full.found:has-text('FINDINGS STAND')")
        assert "not recorded" not in phone.inner_text("#answer")
        # what a line is under is seen, and each is answered where the way goes on to
        sizes = [phone.locator(f"#answer p.{rank}").first.evaluate("p => parseFloat(getComputedStyle(p).fontSize)")
                 for rank in ("first", "deep")]  # fmt: skip
        assert sizes[0] > sizes[1]
        # no line shows through below the way on
        foot = phone.locator("#answer .after").bounding_box()
        assert foot["y"] + foot["height"] >= phone.viewport_size["height"] - 1
        phone.click("#answer button.main")
        phone.wait_for_url("**/findings")


def test_the_list_of_words_keeps_two_examples_apart(shop):
    device = Device(shop.app())
    device.sign_in()
    assert "<code>finger no</code>, <code>finger yes</code>:" in device.get(f"/job/{JOB}/words").text


def test_a_reason_that_is_too_long_is_told_so(shop):
    device = Device(shop.app())
    device.sign_in()
    shop.say("zone tail LEFT", FAIRING)
    told = device.press("scrap because " + "worn " * 700, tag=shop.tag("elevator tip fairing, LEFT"))
    assert told["lines"][0] == "that reason is too long"


def test_on_a_small_phone_the_sign_in_button_is_in_sight_and_a_photo_needs_no_second_press(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING)
    with opened_phone(browser, address, viewport={"width": 360, "height": 640}) as page:
        page.goto("/people?who=MB")
        page.wait_for_selector(".pad button")
        box = page.locator("text=Sign in for this shift").bounding_box()
        assert box["y"] + box["height"] <= 640
        page.goto(f"/job/{JOB}/t/{shop.tag('elevator tip fairing, LEFT')}")
        page.wait_for_selector("text=Take a photo")
        assert page.is_hidden("text=Keep it")
