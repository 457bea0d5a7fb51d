"""A press is one line of the loop: what is in hand, which question a reason answers, where a scan leads."""

from __future__ import annotations

import re

import pytest
from hangar.served import FAIRING, JOB, WEIGHT, Device

from tagtrack.shop import setup, tagging
from tagtrack.shop.ports import Who

PART = "elevator balance weight, LEFT"
WHY = "the maker's drawing says so"


@pytest.fixture
def device(shop):
    shop.say("zone tail LEFT", WEIGHT, FAIRING)
    found = Device(shop.app())
    found.sign_in()
    found.press("zone tail LEFT")
    return found


def test_a_press_needs_nothing_of_what_was_in_hand_before(device, shop):
    device.press("off aileron cap LEFT; 2 AN3-5A", area="tail LEFT")
    told = device.press("on mark UP arrow FWD", tag=shop.tag(PART))
    assert (told["tone"], told["recorded"]) == ("done", True)
    told = device.press("all in new tight safe", tag=shop.tag(PART, "bag"))
    assert told["tone"] == "done"


def test_a_reason_answers_only_the_question_that_was_read(device, shop):
    tag = shop.tag(PART)
    asked = device.press("on mark UP arrow AFT", tag=tag)
    assert (asked["tone"], asked["recorded"]) == ("ask", False)
    assert asked["asked"]
    assert not any("type: yes" in line for line in asked["lines"])
    other = device.press("on mark DOWN arrow FWD", tag=tag, because=WHY, asked=asked["asked"])
    assert (other["tone"], other["recorded"]) == ("ask", False)
    empty = device.press("on mark UP arrow AFT", tag=tag, because="x", asked=asked["asked"])
    assert not empty["recorded"]
    told = device.press("on mark UP arrow AFT", tag=tag, because=WHY, asked=asked["asked"])
    assert (told["tone"], told["recorded"]) == ("wrong", True)
    assert shop.acts()[-1].despite == WHY


def test_a_question_that_is_settled_meanwhile_is_recorded_without_it(device, shop):
    asked = device.press("on", tag=shop.tag("elevator tip fairing, LEFT"))
    assert "closes up" in "\n".join(asked["lines"])
    shop.say(f"{shop.tag(PART)}", "at elevator balance weight LEFT", "up fwd", shop.tag(PART, "bag"),
             "all in new tight safe", "command elevator balance weight LEFT: stick back")  # fmt: skip
    shop.say("inspect elevator balance weight LEFT; assembly: mark up; locking: both bent; travel: full and free; "
             "sense: elevator UP; tension: not affected; interaction: clear", by="MB")  # fmt: skip
    told = device.press("on", tag=shop.tag("elevator tip fairing, LEFT"), because=WHY, asked=asked["asked"])
    assert (told["tone"], told["recorded"]) == ("done", True)
    assert shop.acts()[-1].despite == ""


def test_without_scripts_the_question_is_a_form(device, shop):
    fields = {"form": "on", "feature": "mark", "way-mark": "DOWN", "tag": shop.tag("elevator balance weight, LEFT")}
    page = device.post(f"/job/{JOB}/press", {**fields, "line": "on mark DOWN arrow FWD", "form": "say"}).text
    assert "It really is so, because" in page
    again = dict(re.findall(r'type="hidden" name="([\w-]+)" value="([^"]*)"', page.split("<main")[1]))
    assert again["line"] == "on mark DOWN arrow FWD"
    told = device.post(f"/job/{JOB}/press", {**again, "because": WHY}).text
    assert "recorded, and wrong" in told
    assert shop.acts()[-1].despite == WHY


def test_a_wires_end_is_taken_in_hand_by_its_scan_and_made_by_a_press(device, shop):
    shop.say("zone tail", "disconnect tail light wire CENTRE; A: terminal 3; B: terminal 4")
    code = shop.tag("tail light wire, CENTRE", "connection")
    before = len(shop.acts())
    scanned = device.post(f"/job/{JOB}/scan", {"line": code}, headers={"Accept": "application/json"}).get_json()
    assert scanned["go"] == f"/job/{JOB}/t/{code}?scanned=1"
    assert len(shop.acts()) == before
    page = device.get(scanned["go"]).text
    assert "on which terminal did you put it" in page
    assert "terminal 3</" not in page.split("Still open")[0]
    told = device.press("", form="connect", code=code, terminal="terminal 3")
    assert told["tone"] == "done"
    assert "connected at terminal 3" in device.get(scanned["go"]).text


def test_a_blank_tag_is_scanned_said_and_its_bag_scanned(device, shop):
    part, bag = shop.shop.issue(Who("KT"), 2)
    scan = lambda code: device.post(f"/job/{JOB}/scan", {"line": code}, headers={"Accept": "application/json"}).get_json()  # noqa: E731, E501 - two calls of one line
    assert scan(part)["go"] == f"/job/{JOB}/t/{part}?scanned=1"
    told = device.press("", form="off", position="aileron cap", side="LEFT", hardware="2 AN3-5A", kept="bag", tag=part)
    assert told["recorded"]
    bagged = scan(bag)
    assert (bagged["recorded"], bagged["go"]) == (True, "")
    assert shop.tag("aileron cap, LEFT") == part
    assert shop.tag("aileron cap, LEFT", "bag") == bag


def test_a_stub_a_place_and_a_zone_card_are_scanned_like_tags(device, shop):
    place = tagging.name_place(shop.shop, Who("KT"), "shelf 2")
    card = tagging.hang_zone_card(shop.shop.open(JOB), Who("KT"), "wing RIGHT").events[0].tag
    for code in (shop.tag(PART), place):
        last = device.post(f"/job/{JOB}/scan", {"line": code}, headers={"Accept": "application/json"}).get_json()
    assert last["lines"] == [f"MOVED  {PART}: shelf 2"]
    device.post(f"/job/{JOB}/scan", {"line": card})
    assert "in wing RIGHT" in device.get(f"/job/{JOB}").text
    for code in (place, card, tagging.badge(shop.shop, Who("KT"), "MB")):
        assert device.get(f"/job/{JOB}/t/{code}").status_code == 200


@pytest.mark.parametrize(("line", "told"), [("22223333", "misread"), ("ABCD2345", "tag"), ("7K4M9QXQ", "never issued")])
def test_a_code_that_is_none_of_ours_is_a_sentence(device, line, told):
    answer = device.post(f"/job/{JOB}/scan", {"line": line}, headers={"Accept": "application/json"})
    assert told in " ".join(answer.get_json()["lines"])
    assert answer.get_json()["tone"] == "wrong"


def test_a_tag_of_another_work_order_is_told_and_found_from_anywhere(device, shop):
    other = setup.open_job(shop.shop, Who("KT"), job="WO-8", registration="X-OTHER")
    shop.say("off cowling LEFT; 4 AN525-10R8", job=other.name)
    code = next(iter(shop.state("WO-8").tags))
    answer = device.post(f"/job/{JOB}/scan", {"line": code}, headers={"Accept": "application/json"}).get_json()
    assert "NOT THIS JOB" in answer["lines"][0]
    assert device.get(f"/t/{code}").headers["Location"] == f"/job/WO-8/t/{code}?scanned=1"
    found = device.post("/scan", {"line": code}, headers={"Accept": "application/json"}).get_json()
    assert found["go"] == f"/t/{code}"
    assert device.post("/scan", {"line": code}).headers["Location"] == f"/t/{code}"


def test_a_badge_without_scripts_changes_over_or_asks_for_the_pin(device, shop):
    badge = tagging.badge(shop.shop, Who("KT"), "MB")
    for route in ("/scan", f"/job/{JOB}/scan"):
        assert "/people?who=MB" in device.post(route, {"line": badge}).headers["Location"]
    device.sign_in("MB")
    device.post("/people/now", {"who": "KT", "back": f"/job/{JOB}"})
    assert device.post(f"/job/{JOB}/scan", {"line": badge}).headers["Location"] == f"/job/{JOB}"
    assert 'data-who="MB"' in device.get(f"/job/{JOB}").text


def test_change_over_to_somebody_who_is_not_signed_in_asks_for_the_pin(device):
    assert "who=MB" in device.post("/people/now", {"who": "MB"}).headers["Location"]


def test_a_blank_that_nobody_uses_yet_has_no_page_of_a_job(device, shop):
    (code,) = shop.shop.issue(Who("KT"), 1)
    answer = device.get(f"/t/{code}")
    assert answer.status_code == 400
    assert "not in use yet" in answer.text
    assert device.get("/t/NOCODE").status_code == 400


def test_many_answers_are_remembered_and_the_oldest_forgotten(device, monkeypatch):
    monkeypatch.setattr("tagtrack.hangar.presses._REMEMBERED", 2)
    keys = [f"{n:024x}" for n in range(4)]
    for key in keys:
        device.press("put 1 rag at tail", key=key)
    first = device.press("put 1 rag at tail", key=keys[0])
    assert first["lines"][0] == "this press was recorded before, as:"
    assert device.press("put 1 rag at tail", key=keys[3])["lines"][0].startswith("ABOARD")


def test_a_press_that_the_record_no_longer_holds_is_not_said_to_be_recorded(device, shop):
    record = shop.root / "jobs" / JOB / "journal.jsonl"
    before = record.read_bytes()
    key = "ab" * 12
    assert device.press("put 1 rag at tail", key=key)["recorded"]
    # an older copy is put back under the running server
    copy = shop.root / "older copy"
    copy.write_bytes(before)
    copy.replace(record)
    assert not device.press("put 1 rag at tail", key=key)["recorded"]
    told = device.press("put 1 rag at tail", key=key)
    assert (told["recorded"], told.get("again")) == (True, False), told
    assert record.read_text().count(key) == 1


def test_a_used_key_with_another_line_is_not_said_to_be_done_by_a_server_started_anew(device, shop):
    key = "cd" * 12
    assert device.press("put 1 rag at tail", key=key)["recorded"]
    anew = Device(shop.app())
    anew.sign_in()
    told = anew.press("off aileron cap LEFT; 2 AN3-5A", key=key)
    assert told["tone"] == "note"
    assert "moved" in told["lines"][1]
