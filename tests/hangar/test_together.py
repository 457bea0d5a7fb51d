"""Several people and devices: who is at work, change-over, what one does is seen by the others."""

from __future__ import annotations

import re

import pytest
from hangar.conftest import TABLET, chromium, opened_phone, sign_in
from hangar.served import FAIRING, JOB, PINS, WEIGHT, Device, serving
from hangar.test_camera import close_up, jpeg
from hangar.test_flow import scan

from tagtrack.core.records import Person
from tagtrack.shop import setup, tagging
from tagtrack.shop.ports import Who


def test_what_one_does_is_seen_on_the_others_board_within_seconds(browser, address, shop):
    with opened_phone(browser, address, "MB", **TABLET) as tablet:
        shop.say("zone tail LEFT", FAIRING)
        tablet.wait_for_selector("#live .row:has-text('elevator tip fairing')", timeout=8000)
        assert "KT" in tablet.inner_text("#live")


def test_a_badge_changes_over_in_one_scan_and_the_first_time_asks_for_the_pin(phone, shop):
    badges = {who: tagging.badge(shop.shop, Who("KT"), who) for who in PINS}
    assert phone.inner_text("a.who b") == "KT"
    scan(phone, badges["MB"])
    phone.wait_for_url(re.compile("who=MB"))
    phone.fill("#pin", PINS["MB"])
    phone.click("text=Sign in for this shift")
    phone.wait_for_selector("a.who b:has-text('MB')")
    scan(phone, badges["KT"])
    phone.wait_for_selector("a.who b:has-text('KT')")
    scan(phone, badges["MB"])
    phone.wait_for_selector("a.who b:has-text('MB')")


def test_one_press_changes_over_between_two_people_who_are_signed_in(phone):
    sign_in(phone, "MB")
    phone.click("a.who")
    phone.click("#answer button.name:has-text('KT')")
    phone.wait_for_selector("a.who b:has-text('KT')")


def test_the_pin_is_typed_on_a_pad_with_gloves(browser, address):
    with opened_phone(browser, address, who="") as page:
        page.goto("/people?who=KT")
        page.click(".pad button:has-text('clear')")
        for figure in PINS["KT"]:
            page.click(f".pad button:text-is('{figure}')")
        page.click("text=Sign in for this shift")
        page.wait_for_url("**/job/*")


def test_who_looks_at_a_job_does_not_join_it(shop):
    person = setup.note_person(shop.shop, Who("KT"), initials="NN", full_name="Nora Neu")
    assert isinstance(person, Person)
    from tagtrack.hangar.pins import Pins

    Pins(shop.folder.secrets_file).set("NN", "593827")
    before = len(shop.acts())
    device = Device(shop.app())
    device.sign_in("NN", "593827")
    for path in ("", "/off", "/findings", "/close", "/words", "/camera", "/sweep"):
        assert device.get(f"/job/{JOB}{path}").status_code == 200
    assert len(shop.acts()) == before
    assert device.press("put 1 rag at tail")["recorded"]
    assert shop.acts()[-1].by == "NN"


def test_a_signed_off_job_is_still_looked_at(shop):
    shop.say("sign off")
    assert shop.state().signed
    device = Device(shop.app())
    device.sign_in("MB")
    for path in ("", "/off", "/findings", "/close"):
        assert device.get(f"/job/{JOB}{path}").status_code == 200
    told = device.press("put 1 rag at tail")
    assert (told["tone"], told["recorded"]) == ("wrong", False)


def test_a_signed_off_job_offers_nothing_that_it_would_refuse(shop):
    shop.say("zone tail LEFT", FAIRING)
    tag = shop.tag("elevator tip fairing, LEFT")
    device = Device(shop.app())
    device.sign_in("MB")
    paths = {"": ">Take off<", "/off": "What comes off?", "/close": "COMPLETE: tail LEFT", f"/t/{tag}": ">Keep it<"}
    for path, offer in paths.items():
        assert offer in device.get(f"/job/{JOB}{path}").text
    shop.say("zone tail LEFT", tag, "on", shop.tag("elevator tip fairing, LEFT", "bag"), "all in tight",
             "complete tail LEFT; clear: 9 of 9 tools; covers: tip fairing on", "tags back 2", "sign off")  # fmt: skip
    assert shop.state().signed
    for path, offer in paths.items():
        page = device.get(f"/job/{JOB}{path}").text
        assert offer not in page
        assert "SIGNED OFF" in page.upper()


def test_an_area_that_was_closed_out_is_shown_as_finished_until_it_is_worked_again(shop):
    shop.say("zone tail LEFT", FAIRING, "zone wing LEFT", "off tip cap LEFT; 2 AN3-5A")
    tag, bag = shop.tag("elevator tip fairing, LEFT"), shop.tag("elevator tip fairing, LEFT", "bag")
    device = Device(shop.app())
    device.sign_in("MB")
    assert "FINISHED" not in device.get(f"/job/{JOB}/close").text
    shop.say("zone tail LEFT", tag, "on", bag, "all in tight",
             "complete tail LEFT; clear: 9 of 9 tools; covers: tip fairing on")  # fmt: skip
    page = device.get(f"/job/{JOB}/close").text
    assert page.count("FINISHED") == 1
    # what is still to be done comes first
    assert page.index("<h2>wing LEFT</h2>") < page.index("<h2>tail LEFT</h2>") < page.index("FINISHED</b> by KT, 20")
    assert "<p>clear: 9 of 9 tools</p>" in page
    shop.say("zone tail LEFT", "off elevator tip fairing LEFT")
    assert "FINISHED" not in device.get(f"/job/{JOB}/close").text


def test_a_stale_page_of_somebody_who_signed_out_can_press_nothing(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    device.sign_in("KT")
    token = device.sign_in("MB")
    now[0] += 60
    device.post("/people/out", {"who": "MB", "waiting": "ab" * 12})
    now[0] += 60
    late = device.post(f"/job/{JOB}/press", {"line": "put 1 rag at tail", "as": token, "age": "1"},
                       headers={"Accept": "application/json"})  # fmt: skip
    assert late.status_code == 401
    queued = device.press("put 1 rag at tail", age="90", key="ab" * 12, **{"as": token})
    assert queued["recorded"]
    assert shop.acts()[-1].by == "MB"


@pytest.mark.parametrize("age", ["nan", "inf", "-inf", "-5", "x", "1e400"])
def test_an_age_that_cannot_be_gives_no_sign_in_back(shop, age):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    token = device.sign_in()
    now[0] += 13 * 3600
    answer = device.post(f"/job/{JOB}/press", {"line": "put 1 rag at tail", "as": token, "age": age})
    assert answer.status_code == 401


def test_a_press_made_before_the_end_of_the_shift_is_taken_after_it(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    token = device.sign_in()
    now[0] += 13 * 3600
    assert device.press("put 1 rag at tail", age="7200", **{"as": token})["recorded"]


def test_zones_of_many_work_orders_do_not_burst_the_cookie(shop):
    app = shop.app()
    device = Device(app)
    device.sign_in()
    for n in range(12):
        setup.open_job(shop.shop, Who("KT"), job=f"WO-{n:036}", registration="X-MANY")
        device.press(f"zone {'very long zone ' * 5}{n}", job=f"WO-{n:036}")
    kept = device.client.get_cookie("tagtrack")
    assert len(kept.value) < 3000


def test_the_papers_of_a_job_come_as_pdf(shop):
    shop.say("zone tail LEFT", WEIGHT)
    device = Device(shop.app())
    device.sign_in()
    board = device.get(f"/job/{JOB}").text
    for kind in ("tags", "report", "reinstallation", "handover"):
        assert f"/job/{JOB}/paper/{kind}.pdf" in board
        answer = device.get(f"/job/{JOB}/paper/{kind}.pdf")
        assert answer.data.startswith(b"%PDF-")
        assert answer.mimetype == "application/pdf"
    assert device.get(f"/job/{JOB}/paper/secrets.pdf").status_code == 400


def test_tags_printed_from_the_page_hold_the_shops_address(shop):
    shop.say("zone tail LEFT", WEIGHT)
    device = Device(shop.app(address="HTTP://192.168.1.20:8765"))
    device.sign_in()
    with_address = device.get(f"/job/{JOB}/paper/tags.pdf").data
    plain = Device(shop.app())
    plain.sign_in()
    assert with_address != plain.get(f"/job/{JOB}/paper/tags.pdf").data


def test_a_tag_opened_by_a_phones_camera_app_lands_on_its_page(browser, address, shop):
    shop.say("zone tail LEFT", FAIRING)
    code = shop.tag("elevator tip fairing, LEFT")
    with opened_phone(browser, address) as page:
        # from another site, as from another app: no cookie of ours comes along the first time
        page.goto("data:text/html,<a id=x href='" + f"{address}/T/{code}" + "'>tag</a>")
        page.click("#x")
        page.wait_for_url(f"**/job/{JOB}/t/{code}?scanned=1")
        assert page.inner_text("h1") == "elevator tip fairing"


def test_home_lists_the_work_orders_and_a_scan_there_finds_the_right_one(browser, address, shop):
    setup.open_job(shop.shop, Who("KT"), job="WO-8", registration="X-OTHER")
    shop.say("zone tail LEFT", FAIRING)
    with opened_phone(browser, address, who="") as page:
        page.goto("/people?who=KT")
        page.fill("#pin", PINS["KT"])
        page.click("text=Sign in for this shift")
        page.wait_for_selector("a.row:has-text('WO-8')")
        assert re.search(r"WO-7.*X-WALK", page.inner_text("main"), re.DOTALL)
        scan(page, shop.tag("elevator tip fairing, LEFT"))
        page.wait_for_url(f"**/job/{JOB}/t/*")


def test_on_an_address_of_the_network_the_page_works_without_what_only_https_gives(play, shop, tmp_path):
    shop.say("zone tail LEFT", FAIRING)
    code = shop.tag("elevator tip fairing, LEFT")
    # a name of its own: to the browser, only the computer itself and https are safe places
    names = ["--host-resolver-rules=MAP shop.test 127.0.0.1", "--no-sandbox"]
    browser = play.chromium.launch(executable_path=chromium(), args=names)
    try:
        with serving(shop.app(hosts=frozenset({"shop.test"}))) as address:
            there = address.replace("127.0.0.1", "shop.test")
            with opened_phone(browser, there) as page:
                assert not page.evaluate("isSecureContext")
                page.goto(f"/job/{JOB}/camera")
                assert page.is_hidden("#live-camera")
                assert "needs https" in page.inner_text("main")
                file = tmp_path / "photo.jpg"
                file.write_bytes(jpeg(close_up(code)))
                page.set_input_files("#scan-file", file)
                page.wait_for_url(f"**/t/{code}?scanned=1")
                page.click("button:has-text('tail LEFT')")
                page.wait_for_selector("#answer .full")
                page.wait_for_selector("button.main:text-is('ON')")
                page.wait_for_selector("#answer", state="hidden")
                page.click("button.main:text-is('ON')")
                page.wait_for_selector("#answer .full.done")
    finally:
        browser.close()


def test_a_late_answer_puts_no_old_cookie_over_a_sign_in(shop):
    device = Device(shop.app())
    device.sign_in()
    for path in (f"/job/{JOB}", f"/job/{JOB}/changes", "/people"):
        assert "Set-Cookie" not in device.get(path).headers


def test_the_zone_that_was_scanned_last_holds_whatever_an_old_page_says(shop):
    shop.say("zone tail LEFT", FAIRING)
    device = Device(shop.app())
    device.sign_in()
    device.press("zone tail LEFT", area="")
    device.press("zone wing RIGHT", area="tail LEFT")
    told = device.press("on", area="tail LEFT", tag=shop.tag("elevator tip fairing, LEFT"))
    assert (told["tone"], told["recorded"]) == ("wrong", False)
    assert "wing RIGHT" in "\n".join(told["lines"])


def test_a_loss_is_searched_and_found_by_press(phone, shop):
    shop.say("zone tail LEFT", FAIRING, "lost 1 AN525-10R8")
    phone.goto(f"/job/{JOB}")
    phone.click("text=Check")
    phone.fill("#case-L1", "mirror and lamp")
    phone.click("button:has-text('not found')")
    phone.wait_for_selector("p.note:has-text('mirror and lamp')")
    phone.fill("#case-L1", "under the mat")
    phone.click("button:has-text('FOUND')")
    phone.wait_for_selector("section:has-text('Lost, case L1')", state="detached")
    assert not shop.state().losses["L1"].stands
