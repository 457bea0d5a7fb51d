"""From a finding to where it is put right, from a wire to its record, from the end to the report: all by press."""

from __future__ import annotations

import html
import re

import pytest
from hangar.conftest import opened_phone
from hangar.served import FAIRING, JOB, WEIGHT, Device

PART = "elevator balance weight, LEFT"
ONE_LINE = """() => [...document.querySelectorAll("form.scan button, form.scan .button")].filter(each => {
  const words = document.createRange(); words.selectNodeContents(each);
  return new Set([...words.getClientRects()].map(line => line.top)).size > 1; }).map(each => each.textContent)"""


@pytest.fixture
def device(shop):
    signed_in = Device(shop.app())
    signed_in.sign_in()
    return signed_in


def leads(device) -> set[tuple[str, str]]:
    """Return the kind of each finding and where its button leads."""
    page = device.get(f"/job/{JOB}/findings").text
    each = re.findall(r'<li class="finding.*?<b>(.*?)</b>.*?</li>', page, re.DOTALL)
    found = re.findall(r'<li class="finding.*?<b>([^<]*)</b>.*?<a class="button" href="([^"]*)"', page, re.DOTALL)
    assert len(each) == len(found)
    return {(kind, html.unescape(where)) for kind, where in found}


def test_every_finding_leads_to_where_it_is_put_right(device, shop):
    shop.say("zone tail LEFT", WEIGHT, FAIRING, "loosened flap track LEFT; 2 AN3-5A",
             "disconnect tail light wire CENTRE; A: terminal 3; B: terminal 4")  # fmt: skip
    shop.say("zone tail LEFT", shop.tag(PART), "up fwd", shop.tag(PART, "bag"), "all in new tight safe")
    found = leads(device)
    assert ("missing", f"/job/{JOB}/t/{shop.tag('elevator tip fairing, LEFT')}") in found
    assert ("not inspected", f"/job/{JOB}/look?at=elevator+balance+weight,+LEFT") in found
    assert {where for kind, where in found if kind == "not looked at"} == {f"/job/{JOB}/close"}
    assert ("tags out", f"/job/{JOB}/close") in found
    assert ("not tight", f"/job/{JOB}/at?at=flap+track,+LEFT") in found
    for _, where in found:
        assert device.get(where).status_code == 200


def test_a_wire_comes_apart_by_the_form(device, shop):
    assert 'name="end-A"' in device.get(f"/job/{JOB}/off").text
    fields = {"form": "apart", "position": "beacon wire", "end-A": "terminal 3", "end-B": "terminal 4"}
    assert any("which side" in line for line in device.press("", **fields)["lines"])
    assert device.press("", **fields, **{"wire-side": "CENTRE"})["recorded"]
    assert sorted(end.as_found for end in shop.state().ends.values()) == ["terminal 3", "terminal 4"]


def test_what_a_cover_closes_is_a_field_of_its_own(device, shop):
    shop.say("zone tail LEFT", WEIGHT)
    fields = {"form": "off", "position": "elevator tip fairing", "side": "LEFT", "hardware": "12 AN525-10R8",
              "closes": PART.replace(",", ""), "pn": "77-2", "sn": "5"}  # fmt: skip
    assert device.press("", **fields)["recorded"]
    (known,) = [each for each in shop.state().positions.values() if each.closes_up]
    assert [str(each) for each in known.closes_up] == [PART]
    part = shop.state().part_from(next(each for each in shop.state().positions if each.name == "elevator tip fairing"))
    assert part.numbers == "P/N 77-2, S/N 5"


def test_which_face_it_bolts_on_by_stands_on_its_page(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "off tip cap LEFT; mount FWD; none")
    assert "mount: INBD face" in device.get(f"/job/{JOB}/t/{shop.tag(PART)}").text
    assert "mount: FWD face" in device.get(f"/job/{JOB}/t/{shop.tag('tip cap, LEFT')}").text


def test_the_report_is_one_press_from_the_sign_off_and_tags_are_counted_once(device, shop):
    shop.say("zone tail LEFT", "off tip cap LEFT; none")
    page = device.get(f"/job/{JOB}/close").text
    assert f"/job/{JOB}/paper/report.pdf" in page
    assert 'name="count"' in page
    shop.say("zone tail LEFT", shop.tag("tip cap, LEFT"), "on", "tags back 1",
             "complete tail LEFT; clear: 9 of 9 tools back; covers: tip cap on")  # fmt: skip
    page = device.get(f"/job/{JOB}/close").text
    assert "No tag is out" in page
    assert 'name="count"' not in page
    shop.say("sign off")
    assert f"/job/{JOB}/paper/report.pdf" in device.get(f"/job/{JOB}/close").text


def test_on_the_smallest_phone_no_word_of_the_bar_breaks(browser, address):
    with opened_phone(browser, address, viewport={"width": 320, "height": 568}) as page:
        assert page.evaluate(ONE_LINE) == []


def scanned(device, code) -> str:
    """Scan a code, and return the page that it leads to."""
    answer = device.post(f"/job/{JOB}/scan", {"line": code}, headers={"Accept": "application/json"}).get_json()
    return device.get(answer["go"]).text


def test_the_bag_of_the_other_side_says_so_before_it_is_emptied(device, shop):
    shop.say("zone tail LEFT", WEIGHT)
    shop.say("zone tail RIGHT", "same elevator balance weight RIGHT")
    bags = [shop.tag(f"elevator balance weight, {side}", "bag") for side in ("LEFT", "RIGHT")]
    device.press("zone tail LEFT")
    belongs = [re.findall(r"This belongs to ([^.]*)", scanned(device, bag)) for bag in bags]
    assert belongs == [[], ["elevator balance weight, RIGHT"]]


def test_what_is_finished_says_so(device, shop):
    shop.say("zone tail LEFT", "off tip cap LEFT; 4 AN525-10R8")
    bag = shop.tag("tip cap, LEFT", "bag")
    shop.say("zone tail LEFT", shop.tag("tip cap, LEFT"), "on", bag, "all in")
    assert "Done here" not in device.get(f"/job/{JOB}/t/{bag}?scanned=1").text
    shop.say(bag, "tight")
    assert "Done here, by the record" in device.get(f"/job/{JOB}/t/{bag}?scanned=1").text


def test_what_turns_out_to_be_critical_is_one_press_on_its_page(device, shop):
    shop.say("zone tail LEFT", "off elevator horn LEFT; 2 AN3-5A")
    tag = shop.tag("elevator horn, LEFT")
    page = device.get(f"/job/{JOB}/t/{tag}?scanned=1").text
    (line,) = re.findall(r'value="(also [^"]*; critical)"', page)
    assert device.press(line, tag=tag)["recorded"]
    assert [known.critical for known in shop.state().positions.values()] == [True]
    assert "; critical" not in device.get(f"/job/{JOB}/t/{tag}?scanned=1").text


def test_a_lost_tag_is_ended_where_tags_are_counted(device, shop):
    shop.say("zone tail LEFT", "off tip cap LEFT; none")
    assert 'value="void"' in device.get(f"/job/{JOB}/close").text
    answer = device.press("", form="worded", word="void", about=shop.tag("tip cap, LEFT"), text="torn off")
    assert answer["recorded"]


def test_who_did_the_work_changes_over_from_the_look(device, shop):
    shop.say("zone tail LEFT", WEIGHT)
    page = device.get(f"/job/{JOB}/look?at={PART}").text
    (where,) = re.findall(r'href="([^"]*)">Change over first', page)
    there = device.get(html.unescape(where))
    assert there.status_code == 200
    assert f"/job/{JOB}/look" in there.text
