"""How answers look and behave: three levels, both answers to a question in sight, nothing lost that was typed."""

from __future__ import annotations

import html
import re

import pytest
from hangar.conftest import opened_phone, sign_in
from hangar.served import FAIRING, JOB, PINS, WEIGHT, Device, serving
from hangar.test_flow import answer, scan

from tagtrack.core.check_rest import ROWS
from tagtrack.shop.ports import Who

PART = "elevator balance weight, LEFT"
FINISHED = ("up fwd", "all in new tight safe")
# what is seen of a thing's middle: itself, or something that lies over it
SEEN = """node => { const box = node.getBoundingClientRect();
  if (box.top < 0 || box.bottom > innerHeight || box.left < 0 || box.right > innerWidth) return false;
  const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
  return node.contains(top); }"""


def to_be_looked_at(shop) -> str:
    """Bring a critical part to where a second person looks at it, and return the address of that page."""
    shop.say("zone tail LEFT", WEIGHT)
    shop.say("zone tail LEFT", shop.tag(PART), FINISHED[0], shop.tag(PART, "bag"), FINISHED[1])
    return f"/job/{JOB}/look?at=elevator balance weight L"


@pytest.mark.parametrize("size", [(320, 568), (360, 640), (768, 1024), (568, 320)])
def test_both_answers_to_a_long_question_are_in_sight(browser, address, shop, size):
    hidden = ("trim actuator with its bracket", "lower pulley cluster", "rear bellcrank", "static line drain",
              "tail light ballast", "bonding strap and clamp", "yoke stop bolt", "rudder horn balance arm",
              "inner guide tube seal", "control lock cam")  # fmt: skip
    shop.say("zone tail LEFT", *(f"off {name} LEFT; 2 AN3-5A" for name in hidden))
    shop.say("zone tail LEFT", f"{FAIRING} + {' + '.join(f'{name} L' for name in hidden)}")
    with opened_phone(browser, address, viewport={"width": size[0], "height": size[1]}) as page:
        page.goto(f"/job/{JOB}/t/{shop.tag('elevator tip fairing, LEFT')}?scanned=1")
        page.click("button:text-is('tail LEFT')")
        page.click("button.main:text-is('ON')")
        page.wait_for_selector("#answer .full.ask")
        assert size[0] > 400 or page.evaluate("document.querySelector('#answer').scrollHeight") > size[1]
        for what in ("button:has-text('No: nothing was recorded')", "button:has-text('RECORD IT')", "#because"):
            assert page.locator(f"#answer {what}").evaluate(SEEN), what


def test_the_answers_to_a_question_are_in_sight_without_scripts_too(browser, address, shop):
    shop.say("zone tail LEFT", WEIGHT)
    how = {"viewport": {"width": 320, "height": 568}, "java_script_enabled": False}
    with opened_phone(browser, address, **how) as page:
        page.fill("#scan-line", "zone tail LEFT")
        page.click("form.scan button")
        page.click("main a.main")
        page.fill("#scan-line", shop.tag(PART))
        page.click("form.scan button")
        page.click("label.tile:has(input[name=way-mark][value=DOWN])")
        page.click("label.tile:has(input[name=way-arrow][value=AFT])")
        page.click("button.main:has-text('ON')")
        for what in ("a:has-text('No: nothing was recorded')", "button:has-text('RECORD IT')", "#because"):
            box = page.locator(what).bounding_box()
            assert box["y"] >= 0, what
            assert box["y"] + box["height"] <= 568, what


def test_what_is_done_what_goes_on_and_what_stops_are_three_levels(shop):
    shop.say("zone tail LEFT", FAIRING)
    device = Device(shop.app())
    device.sign_in()
    tag, bag = shop.tag("elevator tip fairing, LEFT"), shop.tag("elevator tip fairing, LEFT", "bag")
    assert device.press("on", tag=tag, area="tail LEFT")["tone"] == "done"
    some = device.press("in 8 AN525-10R8", tag=bag)
    assert (some["tone"], some["recorded"]) == ("open", True)
    assert f"SHORT  4 AN525-10R8 still to go in; it lies, by the record: bag {bag[:4]} {bag[4:]}" in some["lines"]
    # the last screw cannot be found: now it is short, and lies nowhere
    device.press("lost 1 AN525-10R8", tag=bag)
    missing = device.press("in 3 AN525-10R8", tag=bag)
    assert (missing["tone"], missing["recorded"]) == ("wrong", True)
    assert any("Find it; never fit a guess" in line for line in missing["lines"])


def test_hardware_that_lies_loose_is_told_as_more_to_do_and_asked_for(phone, shop):
    bag, blank = shop.shop.issue(Who("KT"), 2)
    shop.say("zone tail LEFT")
    phone.goto(f"/job/{JOB}/t/{blank}?scanned=1")
    phone.fill("#off-position", "elevator tip fairing")
    phone.click("label.tile:has(input[name=side][value=LEFT])")
    phone.fill("#off-hardware", "12 AN525-10R8")
    phone.click("button.main:text-is('OFF')")
    phone.wait_for_selector("#answer .full.open")
    phone.wait_for_selector("#answer", state="hidden")
    # and the page begins at its head again, with what comes next
    phone.wait_for_selector("main:has-text('Its hardware lies loose')")
    phone.wait_for_function("scrollY === 0")
    assert phone.locator("button.main:has-text('ON')").count() == 0
    scan(phone, bag)
    phone.wait_for_selector("#answer .full.done:has-text('hardware of elevator tip fairing, LEFT')")
    phone.wait_for_selector("main:has-text('Its hardware lies loose')", state="detached")
    assert shop.tag("elevator tip fairing, LEFT", "bag") == bag


def test_what_lies_loose_makes_no_later_answer_softer_or_louder(shop):
    (blank,) = shop.shop.issue(Who("KT"), 1)
    device = Device(shop.app())
    device.sign_in()
    off = device.press("off elevator tip fairing LEFT; 12 AN525-10R8", tag=blank, area="tail LEFT")
    assert off["tone"] == "open"
    assert device.press("put 1 rag at tail")["tone"] == "done"
    assert device.press("take 9 rags")["tone"] == "wrong"


def test_what_only_a_keyboard_can_do_is_not_told_on_the_page(shop):
    shop.say("zone tail LEFT", WEIGHT)
    shop.say("zone tail LEFT", shop.tag(PART), "up fwd")
    device = Device(shop.app())
    device.sign_in()
    told = device.press("in 2 AN3-5", tag=shop.tag(PART, "bag"))
    assert "     still to go in, NEW: 2 MS24665-132" in told["lines"]
    assert not any("then say" in line for line in told["lines"])


def test_what_was_done_in_part_is_told_without_an_alarm_and_goes_by_itself(phone, shop):
    shop.say("zone tail LEFT", FAIRING)
    shop.say("zone tail LEFT", shop.tag("elevator tip fairing, LEFT"), "on")
    phone.goto(f"/job/{JOB}/t/{shop.tag('elevator tip fairing, LEFT', 'bag')}?scanned=1")
    phone.fill("input[name=count]", "8")
    phone.click("button[name=word]")
    phone.wait_for_selector("#answer .full.open h1:has-text('RECORDED: MORE TO DO')")
    assert "STOP" not in phone.inner_text("#answer")
    phone.wait_for_selector("#answer", state="hidden")
    phone.wait_for_selector("label:has-text('AN525-10R8: 4 here')")


def rows_of(page) -> dict[str, str]:
    return {row: page.input_value(f"[name='row-{row}']") for row, _ in ROWS}


@pytest.fixture
def looking(browser, address, shop):
    """A phone on which the second person has typed every row of a look."""
    path = to_be_looked_at(shop)
    with opened_phone(browser, address, "MB") as page:
        page.goto(path)
        for row, _ in ROWS:
            if row != "sense":
                page.fill(f"[name='row-{row}']", f"seen: {row}")
        yield page


def test_a_wrong_pin_loses_nothing_that_was_typed(looking, shop):
    typed = rows_of(looking)
    before = len(shop.acts())
    looking.fill("#pin", "000000")
    looking.click("button.main:has-text('INSPECTED')")
    assert "that is not the PIN of MB" in answer(looking)
    looking.click("#answer button.main")
    looking.wait_for_selector("#answer", state="hidden")
    looking.wait_for_load_state()
    assert rows_of(looking) == typed
    assert looking.input_value("#pin") == ""
    assert len(shop.acts()) == before
    looking.fill("#pin", PINS["MB"])
    looking.click("button.main:has-text('INSPECTED')")
    assert "INSPECTED elevator balance weight, LEFT" in answer(looking)


def test_no_to_a_question_about_a_look_loses_nothing_that_was_typed(looking, shop):
    looking.fill("[name='row-assembly']", "cracked at the hinge")
    typed = rows_of(looking)
    before = len(shop.acts())
    looking.fill("#pin", PINS["MB"])
    looking.click("button.main:has-text('INSPECTED')")
    looking.wait_for_selector("#answer .full.ask")
    looking.click("#answer button:has-text('No: nothing was recorded')")
    looking.wait_for_selector("#answer", state="hidden")
    looking.wait_for_load_state()
    assert rows_of(looking) == typed
    assert len(shop.acts()) == before
    # and a reason records it, with the PIN that was typed
    looking.fill("#pin", PINS["MB"])
    looking.click("button.main:has-text('INSPECTED')")
    looking.fill("#because", "a scratch in the paint only")
    looking.click("#answer button:has-text('RECORD IT')")
    looking.wait_for_selector("#answer .full.done, #answer .full.wrong")
    assert [act.by for act in shop.acts()[before:]] == ["MB"]


def test_a_look_without_a_network_is_not_kept_in_the_browser_and_loses_nothing(looking, shop):
    typed = rows_of(looking)
    before = len(shop.acts())
    lost = []

    def swallow(route):
        lost.append(route.fetch().status)
        route.abort()

    looking.route("**/press", swallow)
    looking.fill("#pin", PINS["MB"])
    looking.click("button.main:has-text('INSPECTED')")
    assert "no answer from the shop's computer" in answer(looking)
    looking.click("#answer button.main")
    looking.unroute("**/press")
    assert rows_of(looking) == typed
    assert PINS["MB"] not in looking.evaluate("JSON.stringify(localStorage) + JSON.stringify(sessionStorage)")
    looking.fill("#pin", PINS["MB"])
    looking.click("button.main:has-text('INSPECTED')")
    assert "RECORDED" in answer(looking)
    assert lost == [200]
    assert len(shop.acts()) == before + 1


def test_a_sign_in_that_ends_in_the_middle_of_a_look_loses_nothing(browser, shop):
    path = to_be_looked_at(shop)
    now = [1_000_000.0]
    with serving(shop.app(now=lambda: now[0])) as address, opened_phone(browser, address, "MB") as page:
        page.goto(path)
        page.fill("[name='row-assembly']", "mark up, arrow forward")
        now[0] += 13 * 3600
        page.fill("#pin", PINS["MB"])
        page.click("button.main:has-text('INSPECTED')")
        assert "MB is not signed in on this device" in answer(page)
        assert PINS["MB"] not in page.evaluate("JSON.stringify(localStorage) + JSON.stringify(sessionStorage)")
        page.click("#answer button.main")
        page.fill("#pin", PINS["MB"])
        page.click("text=Sign in for this shift")
        page.wait_for_url("**/look?at=*")
        assert page.input_value("[name='row-assembly']") == "mark up, arrow forward"


def test_without_scripts_a_wrong_pin_and_a_no_bring_back_what_was_typed(shop):
    to_be_looked_at(shop)
    device = Device(shop.app())
    device.sign_in("MB")
    look = {"form": "inspect", "position": "elevator balance weight LEFT", "row-assembly": "cracked; at <the> hinge",
            "back": f"/job/{JOB}/look"}  # fmt: skip
    wrong = device.post(f"/job/{JOB}/press", {**look, "pin": "000000"})
    assert wrong.status_code == 403
    assert 'value="cracked; at &lt;the&gt; hinge"' in wrong.text
    assert "Try again" in wrong.text
    asked = device.post(f"/job/{JOB}/press", {**look, "pin": PINS["MB"]})
    assert "RECORD IT" in asked.text
    assert "PIN of MB" in asked.text
    for page in (wrong, asked):
        assert PINS["MB"] not in page.text
        back = re.search(r'<a class="button main" href="([^"]+)"', page.text)[1].replace("&amp;", "&")
        assert 'value="cracked; at &lt;the&gt; hinge"' in device.get(back).text


def form_of(text: str) -> dict[str, str]:
    """Return the hidden fields of the first form of a page that has a line to be recorded, or a way back."""
    fields = re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)">', text)
    return {name: html.unescape(value) for name, value in fields}


def test_without_scripts_a_sign_in_that_ended_brings_back_what_was_typed(shop):
    to_be_looked_at(shop)
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    token = device.sign_in("MB")
    now[0] += 13 * 3600
    device.get(f"/job/{JOB}")
    look = {"form": "inspect", "position": "elevator balance weight LEFT", "row-assembly": "cracked; at <the> hinge",
            "row-locking": "both pins bent", "back": f"/job/{JOB}/look", "pin": PINS["MB"], "as": token}  # fmt: skip
    ended = device.post(f"/job/{JOB}/press", look)
    assert ended.status_code == 401
    assert "MB is not signed in on this device" in ended.text
    assert "PIN of MB" in ended.text
    assert PINS["MB"] not in ended.text
    back = form_of(ended.text)["back"]
    signed = device.post("/people", {"who": "MB", "pin": PINS["MB"], "back": back})
    page = device.get(signed.headers["Location"]).text
    assert 'value="cracked; at &lt;the&gt; hinge"' in page
    assert 'value="both pins bent"' in page
    # in the name of somebody else it is not to be had
    device.sign_in("KT")
    assert "both pins bent" not in device.get(back).text


@pytest.mark.parametrize("route", ["press", "scan"])
def test_without_scripts_any_line_that_met_an_ended_sign_in_is_recorded_by_one_press_after_it(shop, route):
    shop.say("zone tail LEFT", WEIGHT)
    bag = shop.tag(PART, "bag")
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    token = device.sign_in()
    now[0] += 13 * 3600
    device.get(f"/job/{JOB}")
    line = {"press": {"form": "count", "word": "lost", "count": "1", "spec": "AN960-10"},
            "scan": {"line": "lost 1 AN960-10"}}[route]  # fmt: skip
    ended = device.post(f"/job/{JOB}/{route}", {**line, "tag": bag, "area": "tail LEFT", "as": token})
    signed = device.post("/people", {"who": "KT", "pin": PINS["KT"], "back": form_of(ended.text)["back"]})
    page = device.get(signed.headers["Location"]).text
    assert "Not recorded yet" in page
    assert not shop.state().losses
    kept = form_of(page)
    assert kept["line"] == "lost 1 AN960-10"
    assert "LOST  case L1" in device.post(f"/job/{JOB}/press", kept).text
    assert shop.state().losses["L1"].areas == ("tail LEFT",)


def test_a_tag_in_hand_is_no_answer_that_stays(phone, shop):
    shop.say("zone tail LEFT", FAIRING)
    sign_in(phone, "MB")
    scan(phone, shop.tag("elevator tip fairing, LEFT"))
    phone.wait_for_url("**/t/*")
    assert phone.is_hidden("#answer")
