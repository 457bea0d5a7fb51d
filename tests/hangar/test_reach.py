"""Every page for every hand and eye: axe-core, target sizes, no sideways scroll, on phone, tablet and desk.

axe-core (Mozilla Public License 2.0, `axe/LICENSE`) lies beside the tests, so that no network is needed. The rules are
those for WCAG 2.0 to 2.2 A and AA and best practice; the label-in-name rule (WCAG 2.5.3) has to be asked for by name.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hangar.conftest import PHONE, opened_phone
from hangar.served import FAIRING, JOB, WEIGHT

from tagtrack.hangar.kept import sealed
from tagtrack.hangar.pins import Pins
from tagtrack.shop.ports import Who

AXE = Path(__file__).parent / "axe" / "axe.min.js"
RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]},
    "rules": {"label-content-name-mismatch": {"enabled": True}},
}
LEAST = 48
COUNT_LEAST = 72
PAGES = ("people", "pin", "board", "off", "part", "part at work", "bag", "blank", "looked at", "findings", "inspect",
         "close", "words", "camera", "sweep", "position", "home", "missing", "wire", "vouch",
         "not recorded")  # fmt: skip

SMALL = """least => [...document.querySelectorAll("a, button, input:not([type=hidden]), summary, label.tile, select")]
  .filter(e => e.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) && !e.matches(".unseen, .file"))
  .map(e => [e.outerHTML.slice(0, 90), e.getBoundingClientRect()])
  .filter(([, r]) => r.width < least - 0.5 || r.height < least - 0.5)
  .map(([html, r]) => `${Math.round(r.width)}x${Math.round(r.height)} ${html}`)"""

# words that stick out of what is pressed, and initials that break
OUT = """() => [...document.querySelectorAll("a.button, button, .tile span, a.who, a.who b, summary")]
  .filter(e => e.checkVisibility())
  .filter(e => (e.clientWidth && e.scrollWidth > e.clientWidth + 1) || (e.matches("a.who b") && e.offsetHeight > 40))
  .map(e => `${e.scrollWidth} in ${e.clientWidth}: ${e.textContent.trim().slice(0, 60)}`)"""
# a field that is focused and lies behind something (WCAG 2.2, 2.4.11)
BEHIND = """() => [...document.querySelectorAll("main input:not([type=hidden]):not(.file), main button, main summary")]
  .filter(e => e.checkVisibility() && !e.disabled).filter(e => {
    e.focus();
    const box = e.getBoundingClientRect();
    const middle = Math.max(0, box.top) + Math.min(box.height, innerHeight) / 2;
    const top = document.elementFromPoint(box.left + box.width / 2, middle);
    return !(e.contains(top) || (e.labels && [...e.labels].some(label => label.contains(top))));
  }).map(e => e.outerHTML.slice(0, 90))"""


@pytest.fixture
def paths(shop):
    """Return the address of each page, in a job where something is off, wrong, and to be looked at."""
    shop.say("zone tail LEFT", WEIGHT, FAIRING, "loosened stop bolt LEFT; 1 AN3-5A", "lost 1 AN3-5A",
             "zone wing RIGHT", "off wing root fairing RIGHT; 20 AN525-10R8; in hole", "zone tail",
             "disconnect tail light wire CENTRE; A: terminal 3; B: terminal 4")  # fmt: skip
    bag = shop.tag("elevator balance weight, LEFT", "bag")
    for case, by, other in (("L2", "KT", "MB"), ("L3", "MB", "KT")):
        shop.say("zone tail LEFT", bag, "lost 1 AN960-10", f"case {case} accepted by {other}: swept, magnet", by=by)
    assert [loss.alone for loss in shop.state().losses.values()] == [False, True, True]
    (blank,) = shop.shop.issue(Who("KT"), 1)
    job, key = f"/job/{JOB}", Pins(shop.folder.secrets_file).key()

    def kept(line: str, of: str = "") -> str:
        return sealed(key, {"line": line, "of": of})

    return {
        "people": "/people", "pin": "/people?who=MB", "board": job, "off": f"{job}/off", "home": "/",
        "part": f"{job}/t/{shop.tag('elevator balance weight, LEFT')}?scanned=1",
        "part at work": f"{job}/t/{shop.tag('elevator tip fairing, LEFT')}?scanned=1",
        "bag": f"{job}/t/{shop.tag('elevator balance weight, LEFT', 'bag')}?scanned=1",
        "blank": f"{job}/t/{blank}?scanned=1",
        "looked at": f"{job}/t/{shop.tag('wing root fairing, RIGHT')}", "findings": f"{job}/findings",
        "inspect": f"{job}/look?at=elevator balance weight L", "close": f"{job}/close", "words": f"{job}/words",
        "camera": f"{job}/camera", "sweep": f"{job}/sweep", "position": f"{job}/at?at=stop bolt L",
        "vouch": f"{job}/vouch?kept={kept('case L1 accepted by MB: swept twice', 'MB KT')}",
        "not recorded": f"{job}/vouch?kept={kept('inspect weight L; assembly: ' + 'a long word ' * 30)}",
        "missing": "/nowhere", "wire": f"{job}/t/{shop.tag('tail light wire, CENTRE', 'connection')}?scanned=1",
    }  # fmt: skip


@pytest.mark.parametrize("width", [320, 360, 1280])
def test_every_page_is_reached_by_every_hand_and_eye(browser, address, paths, width):
    wrong = []
    # axe is code of its own, which our policy forbids: here alone it is let in
    how = {"viewport": {"width": width, "height": 740}, "bypass_csp": True}
    if width == 1280:
        how |= {"has_touch": False, "is_mobile": False}
    with opened_phone(browser, address, **{**PHONE, **how}) as page:
        assert paths.keys() == set(PAGES)
        for name, path in paths.items():
            page.goto(path)
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            page.add_script_tag(path=AXE)
            for broken in page.evaluate("rules => axe.run(document, rules)", RULES)["violations"]:
                wrong += [f"{name}: {broken['id']}: {node['html'][:120]}" for node in broken["nodes"]]
            wide = page.evaluate("document.documentElement.scrollWidth")
            wrong += [f"{name}: {wide} wide"] if wide > width else []
            wrong += [f"{name}: {small}" for small in page.evaluate(SMALL, LEAST)]
            wrong += [f"{name}: sticks out: {words}" for words in page.evaluate(OUT)]
            wrong += [f"{name}: behind something: {field}" for field in page.evaluate(BEHIND)]
    assert wrong == [], "\n".join(wrong)


@pytest.mark.parametrize("height", [330, 640])
def test_what_is_typed_into_lies_behind_nothing_also_over_a_keyboard(browser, address, paths, height):
    wrong = []
    with opened_phone(browser, address, viewport={"width": 360, "height": height}) as page:
        for name, path in paths.items():
            page.goto(path)
            page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            wrong += [f"{name}: {field}" for field in page.evaluate(BEHIND)]
    assert wrong == [], "\n".join(wrong)


@pytest.mark.parametrize("width", [320, 1280])
def test_a_signed_work_order_is_reached_too(browser, address, shop, width):
    shop.say("sign off")
    how = {"viewport": {"width": width, "height": 740}, "bypass_csp": True}
    with opened_phone(browser, address, **how) as page:
        page.goto(f"/job/{JOB}/close")
        page.click("summary:has-text('Take the sign-off back')")
        page.add_script_tag(path=AXE)
        assert page.evaluate("rules => axe.run(document, rules)", RULES)["violations"] == []
        assert page.evaluate(SMALL, LEAST) == page.evaluate(OUT) == page.evaluate(BEHIND) == []
        assert page.evaluate("document.documentElement.scrollWidth") == width


def test_long_names_break_no_initials_and_push_nobody_out(browser, address, shop):
    area = "tail cone, fin and rudder with all their controls"
    shop.say(f"zone {area} LEFT", FAIRING)
    with opened_phone(browser, address, viewport={"width": 320, "height": 568}) as page:
        page.click("section:has(h2:has-text('Where do you work')) button")
        page.wait_for_selector(".zone")
        assert page.evaluate(OUT) == []
        assert page.evaluate("document.documentElement.scrollWidth") == 320


def test_both_marks_and_on_are_in_sight_at_once(browser, address, paths):
    with opened_phone(browser, address, viewport={"width": 360, "height": 640}) as page:
        page.goto(paths["part at work"])
        page.click("button:text-is('tail LEFT')")
        page.wait_for_selector("#answer", state="hidden")
        page.goto(paths["part"])
        boxes = [each.bounding_box() for each in page.locator(".seat .tile, .seat button").all()]
        assert len(boxes) == 13
        foot = page.locator("form.scan").bounding_box()["y"]
        assert all(box["y"] >= 0 and box["y"] + box["height"] <= foot for box in boxes)
        # ON covers none of them
        assert max(box["y"] + box["height"] for box in boxes[:-1]) <= boxes[-1]["y"]


def test_count_buttons_are_large_enough_for_gloves(phone, paths):
    phone.goto(paths["bag"])
    phone.click("summary:has-text('A piece of it')")
    boxes = [button.bounding_box() for button in phone.locator(".counter button").all()]
    assert len(boxes) == 11
    assert all(box["width"] >= COUNT_LEAST and box["height"] >= COUNT_LEAST for box in boxes)


@pytest.mark.parametrize(
    ("planted", "rule"),
    [
        ("<p style='color:#bbb'>pale</p>", "color-contrast"),
        ("<input id='naked'>", "label"),
        ("<img src='/static/mark.svg'>", "image-alt"),
        ("<button aria-label='one more'>+1 washer</button>", "label-content-name-mismatch"),
    ],
)
def test_a_planted_fault_is_found(browser, address, planted, rule):
    with opened_phone(browser, address, bypass_csp=True) as page:
        page.evaluate("html => document.querySelector('main').insertAdjacentHTML('beforeend', html)", planted)
        page.add_script_tag(path=AXE)
        found = page.evaluate("rules => axe.run(document, rules)", RULES)["violations"]
        assert rule in {broken["id"] for broken in found}


def test_an_answer_without_scripts_is_reached_too(browser, address, paths):
    with opened_phone(browser, address, bypass_csp=True) as page:
        for line in ("zone tail LEFT", "take 9 rags", "off rudder tip RIGHT; 2 AN3-5A"):
            page.goto(paths["board"])
            page.evaluate("document.querySelectorAll('[data-press]').forEach(form => delete form.dataset.press)")
            page.fill("#scan-line", line)
            page.click("form.scan button")
            page.wait_for_selector("main .full")
            page.add_script_tag(path=AXE)
            assert page.evaluate("rules => axe.run(document, rules)", RULES)["violations"] == []
            assert page.evaluate(SMALL, LEAST) == []


def test_the_answer_that_fills_the_screen_is_reached_too(browser, address, paths):
    with opened_phone(browser, address, bypass_csp=True) as page:
        page.goto(paths["part at work"])
        for line in ("zone tail LEFT", "take 9 rags"):
            page.fill("#scan-line", line)
            page.click("form.scan button")
            page.wait_for_selector("#answer .full")
            page.add_script_tag(path=AXE)
            assert page.evaluate("rules => axe.run('#answer', rules)", RULES)["violations"] == []
            assert page.evaluate("document.activeElement.id") == "answer-head"
            page.wait_for_timeout(900)
