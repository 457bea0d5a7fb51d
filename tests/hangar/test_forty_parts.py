"""Quick or it is not used: forty parts, two hundred fasteners, on the page, in at most 300 scans and presses.

Counted: every scan, every press of a button, tile or link, and the first field of a form that is typed into; to go on
to its next field is the keyboard's own key. The tags were printed ahead from a list, as for a job that comes often;
where answers stay on the screen for a moment, the test does not wait.
"""

from __future__ import annotations

from hangar.conftest import opened_phone, sign_in
from hangar.served import JOB, PINS
from hangar.test_flow import scan

from tagtrack.core.check_rest import ROWS
from tagtrack.core.hardware import totals
from tagtrack.shop import planning, tagging
from tagtrack.shop.ports import Who

PAIRS = 20
IN_HOLE = range(14, 20)
CRITICAL = range(4)
MOST = 300
HURRY = "const slow = window.setTimeout; window.setTimeout = (f, t, ...more) => slow(f, Math.min(t, 40), ...more);"


def name(number: int) -> str:
    return f"cover {number}"


class Hands:
    """Scans and presses on a page, counted."""

    def __init__(self, page, shop) -> None:
        self.page, self.shop, self.count = page, shop, 0

    def scan(self, code: str, lands: str = "") -> None:
        self.count += 1
        scan(self.page, code)
        if lands:
            self.page.wait_for_url(f"**/t/{lands}?scanned=1")

    def press(self, what: str) -> None:
        self.count += 1
        self.page.click(what)

    def type(self, **fields: str) -> None:
        self.count += 1
        for field, text in fields.items():
            self.page.fill(f"[name='{field.replace('_', '-')}']", text)

    def recorded(self, before: int) -> None:
        """Wait until the record has grown, and the answer has gone."""
        for _ in range(200):
            if len(self.shop.acts()) > before:
                break
            self.page.wait_for_timeout(25)
        assert len(self.shop.acts()) > before, self.page.inner_text("body")[:400]
        self.page.wait_for_selector("#answer", state="hidden")
        self.page.wait_for_load_state()

    def done(self, what: str) -> None:
        before = len(self.shop.acts())
        self.press(what)
        self.recorded(before)


def planned(shop) -> list[str]:
    """Print the tags of the left side ahead, and return their codes in order."""
    rows = ["position,side,hardware,marks,mount,critical,keep"]
    for number in range(PAIRS):
        marks = '"mark UP, arrow FWD",INBD,yes' if number in CRITICAL else ",,"
        keep = "in hole" if number in IN_HOLE else "bag"
        rows.append(f"{name(number)},LEFT,5x [AN3-5A AN960-10 | AN960-10 MS21044N3],{marks},{keep}")
    job = shop.shop.open(JOB)
    act = planning.plan(job, Who("KT"), planning.read_list("\n".join(rows).encode()))
    return [event.tag for event in act.events]


def take_apart(hands, cards, tags) -> None:
    hands.scan(cards["tail LEFT"])
    hands.page.wait_for_selector(".zone:has-text('tail LEFT')")
    for tag in tags:
        hands.scan(tag, lands=tag)
        hands.done("button.main:has-text('found just so')")
    hands.scan(cards["tail RIGHT"])
    hands.page.wait_for_selector(".zone:has-text('tail RIGHT')")
    hands.press("a.home")
    hands.press("text=Take off")
    for number in range(PAIRS):
        hands.done(f"button:text-is('{name(number)} RIGHT')")


def put_back(hands, shop, side) -> None:
    for number in range(PAIRS):
        here = f"{name(number)}, {side}"
        hands.scan(shop.tag(here), lands=shop.tag(here))
        if number in CRITICAL:
            hands.press("label.tile:has(input[name=way-mark][value=UP])")
            hands.press("label.tile:has(input[name=way-arrow][value=FWD])")
            hands.done("button.main:text-is('ON: mark UP, arrow FWD')")
        else:
            hands.done("button.main:text-is('ON')")
        if number not in IN_HOLE:
            bag = shop.tag(here, "bag")
            hands.scan(bag, lands=bag)
        hands.done("button.main:has-text('TIGHT, SAFE')")
        if number in CRITICAL:
            hands.press("text=Inspect, or command a movement")
            hands.page.fill("#commanded", "stick back")
            hands.count += 1
            hands.done("button:text-is('Commanded')")


def inspect(hands) -> None:
    hands.press("a.who")
    hands.press("#answer button.name:has-text('MB')")
    hands.page.wait_for_selector("a.who b:has-text('MB')")
    hands.page.goto(f"/job/{JOB}")
    hands.press("a.home")
    hands.press("section:has(h2:has-text('second person')) a.button >> nth=0")
    for _ in range(2 * len(CRITICAL)):
        seen = {f"row_{row}": "it moves UP" if row == "sense" else "seen, both sides" for row, _ in ROWS}
        hands.type(**seen, pin=PINS["MB"])
        here = hands.page.url
        hands.done("button.main:has-text('INSPECTED')")
        # the next one comes by itself
        hands.page.wait_for_url(lambda url, here=here: url != here)
    assert hands.page.url.endswith(f"/job/{JOB}")
    hands.press("a.who")
    hands.press("#answer button.name:has-text('KT')")
    hands.page.wait_for_selector("a.who b:has-text('KT')")


def close_up(hands, shop) -> None:
    hands.page.goto(f"/job/{JOB}")
    hands.press("text=Close up")
    for side in ("LEFT", "RIGHT"):
        form = hands.page.locator(f"section:has(h2:text-is('tail {side}')) form")
        form.locator("[name=clear]").fill("14 of 14 tools back")
        form.locator("[name=covers]").fill("all twenty on")
        hands.count += 1
        before = len(shop.acts())
        hands.count += 1
        form.locator("button").click()
        hands.recorded(before)
    hands.type(count=str(len(shop.shop.open(JOB).open_tags())))
    hands.done("button:text-is('COUNTED')")
    hands.page.fill("#sign-pin", PINS["KT"])
    hands.count += 1
    hands.press("button.main:has-text('SIGN OFF')")
    hands.page.wait_for_selector("main:has-text('SIGNED OFF by KT')")


def test_forty_parts_come_off_and_go_back_in_at_most_300_scans_and_presses(browser, address, shop):
    tags = planned(shop)
    cards = {}
    for area in ("tail LEFT", "tail RIGHT"):
        act = tagging.hang_zone_card(shop.shop.open(JOB), Who("KT"), area)
        cards[area] = act.events[0].tag
    phone = opened_phone(browser, address)
    phone.context.add_init_script(HURRY)
    with phone as page:
        sign_in(page, "MB")
        sign_in(page, "KT")
        hands = Hands(page, shop)
        take_apart(hands, cards, tags)
        state = shop.state()
        assert len(state.parts) == 40
        assert totals(joint.stack for joint in state.joints.values())["AN3-5A"] == 200
        assert sum(known.critical for known in state.positions.values()) == 8
        for side in ("LEFT", "RIGHT"):
            hands.scan(cards[f"tail {side}"])
            page.wait_for_selector(f".zone:has-text('tail {side}')")
            put_back(hands, shop, side)
        inspect(hands)
        close_up(hands, shop)
    assert shop.state().signed is not None
    print(f"{hands.count} scans and presses")
    assert hands.count <= MOST
