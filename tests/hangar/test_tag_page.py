"""What the page of a tag offers next, at each step of a part's way back."""

from __future__ import annotations

import html
import re

import pytest
from hangar.served import FAIRING, JOB, WEIGHT, Device

from tagtrack.core.tagcode import STUB, suffixed
from tagtrack.hangar.tag_page import Next, tag_page
from tagtrack.shop import planning
from tagtrack.shop.ports import Who

PART = "elevator balance weight, LEFT"


@pytest.fixture
def off(shop):
    shop.say("zone tail LEFT", WEIGHT, FAIRING)
    return shop


def page(shop, code):
    return tag_page(shop.shop.open(JOB), code)


def test_each_step_offers_the_next(off):
    tag, bag = off.tag(PART), off.tag(PART, "bag")
    assert page(off, tag).next is Next.SEAT
    assert page(off, tag).asked == ("mark", "arrow")
    assert page(off, bag).where_from == f"the {PART} itself is not on yet"
    off.say("zone tail LEFT", tag, "up fwd")
    assert page(off, tag).next is Next.FETCH_BAG
    assert page(off, tag).lies == "on the aircraft"
    assert page(off, bag).next is Next.FASTEN
    assert dict(page(off, bag).lots) == {"AN3-5": 2, "AN960-10": 4, "AN310-3": 2}
    assert [line.text for line in page(off, bag).renewed] == ["MS24665-132"]
    off.say(tag, bag, "all in")
    for code in (tag, bag):
        assert page(off, code).next is Next.TIGHTEN
    assert page(off, bag).lies == "empty, by the record"
    off.say(tag, bag, "new", "tight safe")
    assert page(off, tag).next is Next.INSPECT
    assert any("a second person looks" in line for line in page(off, tag).owes)
    assert [step.by for step in page(off, tag).history][:1] == ["KT"]


@pytest.mark.parametrize(
    ("line", "twin"),
    [
        ("off elevator balance weight LEFT; mark UP, arrow FWD; critical; 2 AN3-5", ""),
        ("off cap LEFT; mark UP, arrow FWD; 2 AN3-5A", ""),
        ("off cap LEFT; mark UP, arrow FWD; 2 AN3-5A", "off cap RIGHT; mark UP, arrow AFT; 2 AN3-5A"),
        ("off cap LEFT; 2 AN3-5A", "off cap RIGHT; 2 AN3-5A"),
        ("off tail cone CENTRE; mark UP, arrow FWD; 8 AN525-10R8", ""),
        ("off tail cone CENTRE; mark UP, arrow FWD; critical; 8 AN525-10R8", ""),
    ],
)
def test_marks_are_asked_on_the_page_exactly_where_the_loop_asks_for_them(shop, line, twin):
    shop.say("zone tail", line, *([twin] if twin else []))
    home = next(iter(shop.state().positions))
    tag = shop.tag(str(home))
    (_, told) = shop.say("zone tail", tag)
    assert bool(page(shop, tag).asked) == ("which way do they point" in told)


def test_of_a_part_on_the_centre_line_no_marks_are_asked_unless_it_is_critical(shop):
    shop.say("zone tail", "off tail cone CENTRE; mark UP, arrow FWD; 8 AN525-10R8")
    assert page(shop, shop.tag("tail cone, CENTRE")).asked == ()


def test_what_is_not_critical_is_done_when_it_is_tight(shop):
    shop.say("zone tail LEFT", "off cap LEFT; 2 AN3-5A; in hole")
    tag = shop.tag("cap, LEFT")
    assert page(shop, tag).asked == ()
    shop.say("zone tail LEFT", tag, "on")
    assert page(shop, tag).next is Next.FASTEN
    shop.say(tag, "all in tight")
    assert page(shop, tag).next is Next.NOTHING


def test_self_locking_nuts_are_to_be_tried_by_finger(shop):
    shop.say("zone tail LEFT", "off bracket LEFT; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]")
    bag = shop.tag("bracket, LEFT", "bag")
    assert page(shop, bag).nuts == ("MS21044N3",)
    device = Device(shop.app())
    device.sign_in()
    assert "TRIED BY FINGER" in device.get(f"/job/{JOB}/t/{bag}?scanned=1").text


def test_a_stub_shows_what_belongs_there(off):
    assert page(off, suffixed(off.tag(PART), STUB)).position == page(off, off.tag(PART)).position


def test_a_planned_tag_offers_what_the_list_says(shop):
    rows = planning.read_list(b"position,side,hardware\ntip cap,LEFT,4 AN525-10R8\n")
    (planned,) = planning.plan(shop.shop.open(JOB), Who("KT"), rows).events
    shown = page(shop, planned.tag)
    assert (shown.next, shown.face.title) == (Next.REMOVE, "tip cap")
    device = Device(shop.app())
    device.sign_in()
    assert "OFF, found just so" in device.get(f"/job/{JOB}/t/{planned.tag}?scanned=1").text
    assert device.press("off", tag=planned.tag, area="tail LEFT")["recorded"]
    assert shop.tag("tip cap, LEFT") == planned.tag


def test_a_job_without_tags_has_no_tags_to_print(shop):
    device = Device(shop.app())
    device.sign_in()
    answer = device.get(f"/job/{JOB}/paper/tags.pdf")
    assert answer.status_code == 400
    assert "no tag" in answer.text


def test_the_polled_head_moves_when_somebody_records(shop):
    device = Device(shop.app())
    device.sign_in()
    before = device.get(f"/job/{JOB}/changes").get_json()
    shop.say("zone tail LEFT", FAIRING)
    assert device.get(f"/job/{JOB}/changes").get_json() != before


def test_the_next_look_is_one_that_somebody_else_worked_for(off):
    off.say("zone tail LEFT", off.tag(PART), "up fwd", off.tag(PART, "bag"), "all in new tight safe")
    device = Device(off.app())
    device.sign_in()
    assert device.get(f"/job/{JOB}/look").headers["Location"] == f"/job/{JOB}"
    device.sign_in("MB")
    assert "elevator+balance+weight" in device.get(f"/job/{JOB}/look").headers["Location"].replace("%20", "+")
    assert "Waits for a second person" in device.get(f"/job/{JOB}").text


def test_every_link_of_every_page_leads_to_a_page(off):
    off.say("zone tail LEFT", "loosened stop bolt LEFT; 1 AN3-5A; critical", "point pulley LEFT", off.tag(PART),
            "up fwd", off.tag(PART, "bag"), "all in new tight safe")  # fmt: skip
    device = Device(off.app())
    device.sign_in("MB")
    to_see, seen = [f"/job/{JOB}"], set()
    while to_see:
        path = to_see.pop()
        seen.add(path)
        answer = device.get(path, follow_redirects=True)
        assert answer.status_code == 200, path
        links = re.findall(r'href="(/job/[^"]+)"', answer.text) if answer.mimetype == "text/html" else []
        to_see += {html.unescape(link) for link in links} - seen - set(to_see)
    assert {path.split("?")[0].split("/")[-1] for path in seen} >= {"at", "look", "findings", "close", "off", "words"}
