"""The network drops: presses wait in the browser, none is lost, doubled, or credited to somebody else."""

from __future__ import annotations

import random

import pytest
from hangar.conftest import opened_phone, sign_in
from hangar.served import FAIRING, JOB, PINS, Device, Process
from hangar.test_flow import scan

from tagtrack.core.places import Place, PlaceKind
from tagtrack.shop import tagging
from tagtrack.shop.ports import Who

PUT = "put 1 blue cap at tail"


def caps(shop) -> int:
    """Return how many caps the record says are aboard."""
    lots = shop.state().holdings.get(Place(PlaceKind.ABOARD, "tail"), {})
    return sum(lots.values())


def wait(page, count: int) -> None:
    page.wait_for_function("n => Queue.waiting().length === n", arg=count)


def put_cap(page) -> None:
    page.evaluate("""line => {
        const form = document.querySelector("form.scan");
        const fields = [...new FormData(form)].filter(([name]) => name !== "line");
        Queue.add(form.getAttribute("action"), [...fields, ["line", line]], document.body.dataset.who, line);
        Queue.send();
    }""", PUT)  # fmt: skip


@pytest.fixture
def served(shop):
    process = Process(shop.root)
    yield process
    process.kill()


def test_a_killed_server_loses_no_press(browser, served, shop):
    with opened_phone(browser, served.address) as page:
        served.kill()
        for _ in range(5):
            put_cap(page)
        page.wait_for_selector("#waiting:has-text('WAITING: 5')")
        assert caps(shop) == 0
        served.start()
        wait(page, 0)
    assert caps(shop) == 5
    assert {act.by for act in shop.acts()} == {"KT"}


def test_answers_that_are_lost_do_not_make_a_press_count_twice(browser, address, shop):
    with opened_phone(browser, address) as page:
        lost = []

        def swallow(route):
            if len(lost) < 2:
                lost.append(route.fetch().status)
                route.abort()
            else:
                route.continue_()

        page.route("**/scan", swallow)
        put_cap(page)
        wait(page, 0)
    assert lost == [200, 200]
    assert caps(shop) == 1


def test_a_press_that_the_program_cannot_take_holds_up_no_other(browser, address, shop):
    with opened_phone(browser, address) as page:
        failed = []

        def fail(route):
            key = route.request.post_data.partition("key=")[2][:24]
            if not failed or failed[0] == key:
                failed.append(key)
                route.fulfill(status=500, json={"tone": "wrong", "lines": ["the program failed here"]})
            else:
                route.continue_()

        page.route("**/scan", fail)
        put_cap(page)
        put_cap(page)
        wait(page, 0)
        assert [press["lines"] for press in page.evaluate("Queue.refused()")] == [["the program failed here"]]
    assert len(failed) == 3
    assert caps(shop) == 1


def test_the_act_says_what_the_devices_clock_said(browser, address, shop):
    with opened_phone(browser, address) as page:
        put_cap(page)
        wait(page, 0)
    assert shop.acts()[-1].device_at.endswith("Z")


def test_presses_made_without_a_network_outlive_the_closed_page(browser, address, shop):
    phone = opened_phone(browser, address)
    with phone as page:
        phone.context.set_offline(True)
        for _ in range(3):
            put_cap(page)
        page.wait_for_selector("#waiting:has-text('no connection')")
        page.close()
        phone.context.set_offline(False)
        again = phone.context.new_page()
        again.goto(f"/job/{JOB}")
        wait(again, 0)
    assert caps(shop) == 3


def test_what_waits_when_somebody_signs_out_is_sent_and_nothing_pressed_after_is(browser, address, shop):
    phone = opened_phone(browser, address)
    with phone as page:
        left_open = phone.context.new_page()
        left_open.goto(f"/job/{JOB}")
        phone.context.route("**/scan", lambda route: route.abort())
        put_cap(page)
        page.wait_for_timeout(100)
        page.goto("/people")
        page.click("button:has-text('KT goes: sign out')")
        page.wait_for_selector("h2:has-text('Sign in with your PIN')")
        assert page.locator("button:has-text('KT goes')").count() == 0
        assert caps(shop) == 0
        phone.context.unroute("**/scan")
        wait(page, 0)
        assert caps(shop) == 1
        put_cap(left_open)
        left_open.wait_for_selector("#waiting:has-text('sign in as KT')")
    assert caps(shop) == 1


def test_what_waits_is_credited_to_who_pressed_it_whoever_works_when_it_is_sent(browser, address, shop):
    phone = opened_phone(browser, address)
    with phone as page:
        sign_in(page, "MB")
        page.goto("/people")
        page.click("button.name:has-text('KT')")
        page.wait_for_url("**/job/*")
        page.route("**/scan", lambda route: route.abort())
        put_cap(page)
        page.wait_for_timeout(100)
        page.goto("/people")
        page.click("button.name:has-text('MB')")
        page.wait_for_url("**/job/*")
        put_cap(page)
        assert page.evaluate("Queue.waiting().map(p => p.who)") == ["KT", "MB"]
        page.unroute("**/scan")
        wait(page, 0)
    assert [act.by for act in shop.acts()[-2:]] == ["KT", "MB"]


def test_a_sign_in_that_ended_in_the_middle_of_a_count_loses_nothing(browser, address, shop):
    phone = opened_phone(browser, address)
    with phone as page:
        put_cap(page)
        wait(page, 0)
        phone.context.clear_cookies()
        put_cap(page)
        page.wait_for_timeout(500)
        assert page.evaluate("Queue.waiting().length") == 1
        sign_in(page, "KT")
        wait(page, 0)
    assert caps(shop) == 2


def test_a_refused_press_is_kept_and_shown_to_who_made_it(browser, address):
    phone = opened_phone(browser, address)
    with phone as page:
        phone.context.set_offline(True)
        page.fill("#scan-line", "take 3 red caps")
        page.click("form.scan button")
        page.wait_for_selector("#waiting:has-text('take 3 red caps')")
        # by now the person has turned to something else: no answer jumps into the way
        page.wait_for_timeout(6100)
        phone.context.set_offline(False)
        page.wait_for_selector("#waiting:has-text('NOT RECORDED')")
        assert "KT: take 3 red caps" in page.inner_text("#waiting")
        page.click("text=KT has seen it")
        page.wait_for_selector("#waiting", state="hidden")


def test_a_tablet_with_a_wrong_clock_is_no_trouble(browser, address, shop):
    phone = opened_phone(browser, address)
    phone.context.add_init_script("const real = Date.now; Date.now = () => real() - 400 * 86400e3;")
    with phone as page:
        put_cap(page)
        wait(page, 0)
    assert caps(shop) == 1
    act = shop.acts()[-1]
    assert act.device_at < act.at


def test_a_double_press_of_a_page_without_scripts_counts_once(shop):
    device = Device(shop.app())
    device.sign_in()
    key = "ab" * 12
    first, second = (device.press(PUT, key=key) for _ in range(2))
    assert (first["tone"], second["tone"], second["again"]) == ("done", "done", True)
    assert first["lines"] == second["lines"]
    assert caps(shop) == 1


def test_a_press_that_was_done_before_the_server_was_started_anew_is_known_by_the_record(shop):
    device = Device(shop.app())
    token = device.sign_in()
    key = "cd" * 12
    device.press(PUT, key=key)
    fresh = Device(shop.app())
    fresh.client = device.client
    fresh.client.application = shop.app()
    fresh.token = device.token
    again = fresh.press(PUT, key=key, **{"as": token})
    assert again["again"]
    assert again["lines"][0] == "this press was recorded before, as:"
    assert caps(shop) == 1


def test_a_key_is_good_for_one_press_of_one_person(shop):
    app = shop.app()
    device, other = Device(app), Device(app)
    device.sign_in()
    other.sign_in("MB")
    key = "ef" * 12
    device.press(PUT, key=key)
    assert other.press(PUT, key=key)["tone"] == "wrong"
    assert device.press("put 2 rags at tail", key=key)["tone"] == "wrong"
    assert caps(shop) == 1


def test_two_people_put_back_the_same_part_in_the_same_second(shop):
    shop.say("zone tail LEFT", FAIRING)
    app = shop.app()
    devices = [Device(app), Device(app)]
    for device, who in zip(devices, PINS, strict=True):
        device.sign_in(who)
    tag = shop.tag("elevator tip fairing, LEFT")
    told = [device.press("on", tag=tag, area="tail LEFT") for device in devices]
    assert [answer["recorded"] for answer in told] == [True, False]
    assert told[1]["tone"] in ("wrong", "note")
    installed = [act for act in shop.acts() if any(type(e).__name__ == "Installed" for e in act.events)]
    assert [act.by for act in installed] == ["KT"]


@pytest.mark.parametrize("seed", range(100))
def test_counts_are_exact_whatever_is_lost_on_the_way(shop, seed):
    chance = random.Random(seed)
    device = Device(shop.app())
    token = device.sign_in()
    waiting = [f"{seed:012x}{n:012x}" for n in range(chance.randint(1, 6))]
    wanted = len(waiting)
    while waiting:
        match chance.choice(("sent", "lost before", "lost after", "killed")):
            case "sent":
                assert device.press(PUT, key=waiting[0], **{"as": token})["recorded"]
                waiting.pop(0)
            case "lost after":
                device.press(PUT, key=waiting[0], **{"as": token})
            case "killed":
                device.client.application = shop.app()
            case _:
                pass
    assert caps(shop) == wanted


def test_without_a_network_a_badge_still_changes_over_and_each_press_is_its_own_persons(browser, address, shop):
    badges = {who: tagging.badge(shop.shop, Who("KT"), who) for who in PINS}
    phone = opened_phone(browser, address)
    with phone as page:
        sign_in(page, "MB")
        page.click("a.who")
        page.click("#answer button.name:has-text('KT')")
        page.wait_for_selector("a.who b:has-text('KT')")
        page.wait_for_selector("#answer", state="hidden")
        page.wait_for_load_state()
        page.wait_for_timeout(800)
        phone.context.set_offline(True)
        put_cap(page)
        scan(page, badges["MB"])
        page.wait_for_selector("a.who b:has-text('MB')")
        put_cap(page)
        phone.context.set_offline(False)
        wait(page, 0)
        assert [act.by for act in shop.acts()[-2:]] == ["KT", "MB"]
        page.goto(f"/job/{JOB}")
        page.wait_for_selector("a.who b:has-text('MB')")


def test_without_a_network_the_badge_of_somebody_who_is_not_signed_in_stops_the_work(browser, address, shop):
    badge = tagging.badge(shop.shop, Who("KT"), "MB")
    phone = opened_phone(browser, address)
    with phone as page:
        phone.context.set_offline(True)
        scan(page, badge)
        page.wait_for_selector("#answer .full.wrong:has-text('MB is not signed in here')")
        page.click("#answer button.main")
        scan(page, "22223333")
        page.wait_for_selector("#answer .full.wrong:has-text('nothing was recorded')")
        assert page.evaluate("Queue.waiting().length") == 0


def test_a_browser_that_can_keep_nothing_says_so(browser, address):
    with opened_phone(browser, address) as page:
        page.evaluate("() => { Storage.prototype.setItem = () => { throw new Error('full'); }; }")
        page.fill("#scan-line", PUT)
        page.click("form.scan button")
        page.wait_for_selector("#answer .full.wrong:has-text('could not keep the press')")


def test_nobody_answers_a_question_that_another_persons_press_brought(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING)
    phone = opened_phone(browser, address)
    with phone as page:
        sign_in(page, "MB")
        page.goto("/people")
        page.click("button.name:has-text('KT')")
        page.wait_for_url("**/job/*")
        phone.context.set_offline(True)
        page.fill("#scan-line", "off rudder tip RIGHT; 2 AN3-5A")
        page.click("form.scan button")
        page.wait_for_selector("#waiting:has-text('WAITING: 1')")
        page.click("a.who")
        page.click("#answer button.name:has-text('MB')")
        page.wait_for_selector("a.who b:has-text('MB')")
        before = len(shop.acts())
        # a question comes back: the side that was typed is not that of the zone
        page.evaluate("""() => { const list = JSON.parse(localStorage["tagtrack.waiting"]);
            list[0].fields.push(["area", "tail LEFT"]); localStorage["tagtrack.waiting"] = JSON.stringify(list); }""")
        phone.context.set_offline(False)
        page.wait_for_selector("#waiting li:has-text('KT: off rudder tip RIGHT')")
        assert page.is_hidden("#answer .full.ask")
        assert len(shop.acts()) == before


def test_what_was_recorded_and_is_wrong_is_told_although_it_came_late(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING)
    bag = shop.tag("elevator tip fairing, LEFT", "bag")
    shop.say("zone tail LEFT", shop.tag("elevator tip fairing, LEFT"), "on", bag, "lost 1 AN525-10R8")
    phone = opened_phone(browser, address)
    with phone as page:
        page.goto(f"/job/{JOB}/t/{bag}?scanned=1")
        phone.context.set_offline(True)
        assert page.input_value("input[name=count]") == "11"
        page.click("button[name=word]")
        page.wait_for_selector("#waiting:has-text('WAITING: 1')")
        page.wait_for_timeout(6100)
        phone.context.set_offline(False)
        page.wait_for_selector("#waiting li:has-text('RECORDED, AND WRONG')")
        assert "SHORT" in page.inner_text("#waiting")


def _waiting_for(page, who: str, job: str = JOB) -> None:
    """A press of somebody on a work order that waits, as from before."""
    page.evaluate("""([who, url, line]) => { const form = document.querySelector("form.scan");
        const fields = [...new FormData(form)].filter(([name]) => !["line", "as"].includes(name));
        const as = who === "KT" ? document.body.dataset.as : "none";
        Queue.add(url, [...fields, ["as", as], ["line", line]], who, line);
    }""", [who, f"/job/{job}/scan", PUT])  # fmt: skip


def test_a_press_that_waits_for_somebodys_sign_in_holds_up_nobody_else_and_can_be_set_aside(browser, address, shop):
    with opened_phone(browser, address) as page:
        _waiting_for(page, "MB")
        _waiting_for(page, "KT")
        page.evaluate("Queue.send()")
        wait(page, 1)
        assert caps(shop) == 1
        page.wait_for_selector("#waiting li:has-text('sign in as MB')")
        page.click("#waiting button:has-text('Set it aside')")
        wait(page, 0)
        page.wait_for_selector("#waiting li:has-text('NOT RECORDED: MB')")
        assert "set aside by KT" in page.inner_text("#waiting")
        page.reload()
        page.wait_for_selector("#waiting li:has-text('NOT RECORDED: MB')")
    assert caps(shop) == 1


def test_a_work_order_that_cannot_be_written_holds_up_no_other_and_the_box_names_no_files(browser, address, shop):
    told = "the record at /srv/shop/WO-8/record.jsonl is damaged: " + "ab" * 32
    with opened_phone(browser, address) as page:
        page.route("**/job/WO-8/scan", lambda route: route.fulfill(status=503, json={"tone": "wrong", "lines": [told]}))
        _waiting_for(page, "KT", "WO-8")
        _waiting_for(page, "KT")
        page.evaluate("Queue.send()")
        wait(page, 1)
        page.wait_for_selector("#waiting li:has-text('cannot write WO-8 now')")
        assert "/srv" not in page.inner_text("#waiting")
        assert "abab" not in page.inner_text("#waiting")
    assert caps(shop) == 1
