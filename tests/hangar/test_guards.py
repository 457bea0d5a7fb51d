"""What another site, a guessed name, a forged press or a slipped-in text can do: nothing."""

from __future__ import annotations

import json
import re
import secrets
from urllib.parse import parse_qs, urlsplit

import pytest
from hangar.served import FAIRING, JOB, PINS, WEIGHT, Device, hop_of

from tagtrack.core.errors import Full
from tagtrack.core.records import LossOutcome
from tagtrack.hangar.pins import Pins
from tagtrack.shop import setup
from tagtrack.shop.ports import Who

JSON = {"Accept": "application/json"}


@pytest.fixture
def device(shop):
    found = Device(shop.app())
    found.sign_in()
    return found


def count(shop) -> int:
    return len(shop.acts())


def test_a_change_without_the_devices_token_is_refused(device, shop):
    before = count(shop)
    for token in ("", "0" * 32, "é"):
        device.token = token
        assert device.post(f"/job/{JOB}/press", {"line": FAIRING}).status_code == 403
    assert count(shop) == before


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://localhost", "http://localhost:81", ""])
def test_a_change_from_another_origin_is_refused(device, shop, origin):
    before = count(shop)
    answer = device.post(f"/job/{JOB}/press", {"line": FAIRING}, headers={"Origin": origin})
    assert answer.status_code == 403
    assert count(shop) == before


def test_a_change_from_our_own_origin_is_taken(device):
    answer = device.post(f"/job/{JOB}/press", {"line": "zone tail"}, headers={"Origin": "http://localhost"})
    assert answer.status_code == 200


@pytest.mark.parametrize("host", ["evil.example", "192.168.1.77", "localhost.evil.example", "a b"])
def test_a_name_that_was_made_to_point_here_is_refused(shop, host):
    client = shop.app().test_client()
    assert client.get("/people", headers={"Host": host}).status_code == 400


def test_another_device_cannot_use_a_token_of_this_one(device, shop):
    other = Device(shop.app())
    other.sign_in("MB")
    stolen = device.press_token()
    answer = other.post(f"/job/{JOB}/press", {"line": FAIRING, "as": stolen}, headers=JSON)
    assert (answer.status_code, answer.get_json()["sign_in"]) == (401, True)


@pytest.mark.parametrize("path", ["/", f"/job/{JOB}", f"/job/{JOB}/changes", f"/job/{JOB}/off", f"/job/{JOB}/findings",
                                  f"/job/{JOB}/close", f"/job/{JOB}/words", f"/job/{JOB}/camera", f"/job/{JOB}/sweep",
                                  f"/job/{JOB}/paper/report.pdf", f"/job/{JOB}/photo/{'0' * 64}",
                                  f"/job/{JOB}/swept/x", f"/job/{JOB}/look?at=x L", f"/job/{JOB}/at?at=x L",
                                  f"/job/{JOB}/t/AAAA2222"])  # fmt: skip
def test_nothing_is_shown_to_whoever_is_not_signed_in(shop, path):
    client = shop.app().test_client()
    hop = client.get(path)
    assert "Set-Cookie" not in hop.headers
    assert "X-WALK" not in hop.text
    answer = client.get(hop_of(hop.text))
    assert answer.status_code == 401
    assert "Who works here?" in answer.text
    assert "X-WALK" not in answer.text


@pytest.mark.parametrize("path", ["press", "scan", "photo", "photo-scan", "frame", "sweep"])
def test_nothing_is_taken_from_whoever_is_not_signed_in(shop, path):
    stranger = Device(shop.app())
    stranger.arrive()
    before = count(shop)
    answer = stranger.post(f"/job/{JOB}/{path}", {"line": FAIRING}, headers={"X-Form-Token": stranger.token})
    assert answer.status_code == 401
    assert count(shop) == before


def test_guesses_are_limited_by_name_and_others_are_let_in(shop):
    device = Device(shop.app())
    device.arrive()
    statuses = [device.post("/people", {"who": "KT", "pin": f"{n:06}"}).status_code for n in range(8)]
    assert statuses == [403] * 5 + [429] * 3
    assert device.post("/people", {"who": "KT", "pin": PINS["KT"]}).status_code == 429
    assert device.post("/people", {"who": "MB", "pin": PINS["MB"]}).status_code == 303


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(shop):
    kept = Device(shop.app()).arrive().headers["Set-Cookie"]
    assert "HttpOnly" in kept
    assert "SameSite=Strict" in kept
    assert "Secure" not in kept
    assert "Secure" in Device(shop.app(https=True)).arrive().headers["Set-Cookie"]


def test_every_answer_forbids_code_in_the_page_and_being_framed(device):
    for path in ("/people", f"/job/{JOB}", "/nowhere", "/static/page.js"):
        headers = device.get(path).headers
        policy = headers["Content-Security-Policy"]
        assert "unsafe" not in policy
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Referrer-Policy"] == "same-origin"


def test_pages_hold_no_code_and_no_style_of_their_own(device, shop):
    shop.say("zone tail LEFT", WEIGHT, FAIRING)
    code = shop.tag("elevator balance weight, LEFT")
    for path in (f"/job/{JOB}", f"/job/{JOB}/t/{code}", f"/job/{JOB}/off", f"/job/{JOB}/close", f"/job/{JOB}/findings"):
        text = device.get(path).text
        assert not re.search(r"<script(?![^>]*src=)|\son\w+=|\sstyle=|javascript:", text)


def test_what_people_type_is_text_wherever_it_shows(device, shop):
    shop.say("zone <script>alert(1)</script>", "off <img src=x onerror=alert(1)> LEFT; 2 AN3-5")
    for path in (f"/job/{JOB}", f"/job/{JOB}/findings", f"/job/{JOB}/off", f"/job/{JOB}/close"):
        text = device.get(path).text
        assert "<img src=x" not in text
        assert "<script>alert" not in text


@pytest.mark.parametrize("path", ["/static/../app.py", "/static/%2e%2e/pins.py", "/static/..%2fpins.py", "/secrets",
                                  "/static//etc/passwd", f"/job/{JOB}/photo/..%2f..%2fjournal.jsonl",
                                  f"/job/{JOB}/photo/../journal.jsonl", "/job/..%2f..%2fetc/photo/x",
                                  f"/job/{JOB}/paper/..%2fjournal.pdf"])  # fmt: skip
def test_nothing_outside_its_folders_is_served(device, path):
    answer = device.get(path, follow_redirects=True)
    assert answer.status_code in (400, 404)
    assert "import" not in answer.text
    assert '"sha"' not in answer.text


@pytest.mark.parametrize("back", ["http://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)"])
def test_nobody_is_sent_to_another_site(device, back):
    answer = device.post("/people/now", {"who": "KT", "back": back})
    assert answer.headers["Location"] == "/"


def test_nobody_becomes_somebody_else_by_a_word_or_a_code(device, shop):
    before = count(shop)
    for line in ("by MB", "BY: MB", "by  mb"):
        assert device.press(line)["tone"] == "wrong"
    device.press(FAIRING)
    assert {act.by for act in shop.acts()[before:]} == {"KT"}


def test_an_inspection_and_a_sign_off_ask_for_the_pin(device, shop):
    shop.say("zone tail LEFT", WEIGHT)
    before = count(shop)
    for line in ("inspect elevator balance weight LEFT; assembly: seen", "sign off", "SIGN off", "Inspect: x L; a: b"):
        answer = device.post(f"/job/{JOB}/press", {"line": line}, headers=JSON).get_json()
        assert not answer["recorded"], line
        answer = device.post(f"/job/{JOB}/press", {"line": line, "pin": "000000"}, headers=JSON)
        assert answer.status_code in (400, 403, 429), line
    assert count(shop) == before


WAYS_TO_GIVE_UP = ("case L1 accepted by MB: we looked", "case L1 acceptedby MB: we looked",
                   "case L1 ACCEPTED by Mo Beispiel: we looked", "case L1 not aboard by MB: swept")  # fmt: skip


@pytest.mark.parametrize("line", WAYS_TO_GIVE_UP)
def test_nobody_accepts_a_loss_in_another_persons_name(device, shop, line):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
    before = count(shop)
    for how in ({}, {"pin": PINS["KT"]}, {"because": "so", "asked": "0" * 16}):
        assert not device.press(line, **how)["recorded"]
    told = device.press(line)
    assert "PIN of MB" in device.get(told["go"]).text
    assert count(shop) == before
    assert device.press(line, **{"pin-MB": PINS["KT"]})["recorded"] is False
    done = device.press(line, **{"pin-MB": PINS["MB"]})
    # what the words do not take is refused, with the PIN as without it
    assert done["recorded"] or not shop.state().losses["L1"].outcome


def test_a_loss_is_accepted_on_the_findings_page_by_a_form_of_its_own(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
    assert 'value="accept"' in device.get(f"/job/{JOB}/findings").text
    form = {"form": "accept", "about": "L1", "second": "MB", "text": "searched twice: mirror and lamp"}
    page = device.post(f"/job/{JOB}/press", form).text
    assert 'name="pin-MB"' in page
    device.post(f"/job/{JOB}/press", {**form, "pin-MB": PINS["MB"]})
    assert shop.acts()[-1].events[0].second == "Mo Beispiel"
    assert shop.acts()[-1].events[0].how == "searched twice: mirror and lamp"


def test_a_loss_is_proved_not_aboard_by_the_same_form(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
    assert 'name="outcome" value="not aboard"' in device.get(f"/job/{JOB}/findings").text
    form = {"form": "accept", "about": "L1", "second": "MB", "text": "swept, magnet", "outcome": "not aboard"}
    assert 'name="pin-MB"' in device.post(f"/job/{JOB}/press", form).text
    device.post(f"/job/{JOB}/press", {**form, "pin-MB": PINS["MB"]})
    assert shop.state().losses["L1"].outcome is LossOutcome.NOT_ABOARD


def test_the_pin_of_the_second_person_is_that_persons_word(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
    line = "case L1 accepted by Mo Beispiel: searched twice, mirror and lamp"
    told = device.press(line, **{"pin-MB": PINS["MB"]})
    assert "with Mo Beispiel (MB), who said it too" in told["lines"][0]
    assert not any("not confirmed" in line or "says it too" in line for line in told["lines"])
    assert not shop.state().losses["L1"].alone
    assert [act.by for act in shop.acts()][-1] == "KT"


def test_the_pin_of_whoever_writes_it_is_nobody_elses_word(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10", "lost 1 AN960-10")
    setup.note_person(shop.shop, Who("KT"), initials="OO", full_name="Olga Ordner")
    told = device.press("case L1 accepted by OO: searched twice, mirror and lamp", pin=PINS["KT"])
    assert told["recorded"]
    assert "named by Kim Tester (KT), not confirmed" in told["lines"][0]
    # and a PIN goes with the press that it was typed with, and with no other
    assert device.press("case L2 accepted by MB: mirror and lamp", **{"pin-MB": PINS["MB"]})["recorded"]
    assert shop.state().losses["L1"].said_by == ("KT",)
    assert shop.state().losses["L2"].said_by == ("KT", "MB")


def test_a_second_person_who_came_to_the_shop_later_is_told_by_name(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
    setup.note_person(shop.shop, Who("KT"), initials="NN", full_name="Nora Neu")
    Pins(shop.folder.secrets_file).set("NN", "604817")
    told = device.press("case L1 not aboard by NN: swept, magnet", **{"pin-NN": "604817"})
    assert "with Nora Neu (NN), who said it too" in told["lines"][0]


def test_the_second_person_says_it_too_by_a_press_with_the_own_pin(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10", "case L1 accepted by MB: searched twice, mirror and lamp")
    assert shop.state().losses["L1"].alone
    page = device.get(f"/job/{JOB}/findings").text
    assert "MB says it here: sign in" in page
    assert "Mo Beispiel: case L1, AN960-10" in device.get(f"/job/{JOB}").text
    assert "MB SAYS IT TOO" not in page
    device.sign_in("MB")
    page = device.get(f"/job/{JOB}/findings").text
    form = {"form": "worded", "word": "case", "about": "L1 accepted", "text": "looked in the sump as well"}
    assert all(f'name="{name}" value="{value}"' in page for name, value in form.items() if name != "text")
    before = count(shop)
    device.post(f"/job/{JOB}/press", form)
    device.post(f"/job/{JOB}/press", {**form, "pin": PINS["KT"]})
    assert count(shop) == before
    assert "who said it too" in device.post(f"/job/{JOB}/press", {**form, "pin": PINS["MB"]}).text
    assert shop.state().losses["L1"].said_by == ("KT", "MB")
    assert "says it too" not in device.get(f"/job/{JOB}/findings").text.lower()
    assert "case L1" not in device.get(f"/job/{JOB}").text


def test_an_owner_without_a_pin_is_named_under_the_pin_of_who_writes_it(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10", "case L1 searched tail LEFT: mirror and lamp")
    line = "case L1 accepted by the owner: told by telephone"
    assert not device.press(line)["recorded"]
    assert device.press(line, pin=PINS["KT"])["recorded"]


def test_a_missing_pin_is_no_guess_and_innocent_words_ask_for_none(device, shop):
    shop.say("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
    for _ in range(8):
        device.press("case L1 accepted by the owner: told by telephone")
    assert device.press("case L1 searched tail: cover accepted back, mirror")["recorded"]
    assert device.press("case L1 accepted by the owner: told by telephone", pin=PINS["KT"])["recorded"]


def test_a_sign_off_is_taken_back_with_the_pin_alone(device, shop):
    assert device.press("sign off", pin=PINS["KT"])["recorded"]
    signed = shop.acts()[-1].id
    before = count(shop)
    for line in ("undo sign-off because test it", f"undo {signed} because test it", "undo because test it"):
        assert not device.press(line)["recorded"], line
    assert count(shop) == before
    page = device.get(device.press("undo sign-off because test it")["go"]).text
    assert 'name="pin"' in page
    # the page has a form for it
    page = device.get(f"/job/{JOB}/close").text
    assert 'name="about" value="sign-off"' in page
    form = {"form": "worded", "word": "undo", "about": "sign-off", "text": "test it"}
    device.post(f"/job/{JOB}/press", {**form, "pin": PINS["KT"]})
    assert shop.state().signed is None
    assert "TAKE IT BACK" not in device.get(f"/job/{JOB}/close").text


def test_a_link_from_elsewhere_puts_words_into_nobodys_mouth(device, shop):
    real = device.press("sign off")["go"]
    shop.say("zone tail LEFT", WEIGHT)
    told = device.get(f"/job/{JOB}/vouch?line=sign+off&of=KT&kept=sign+off")
    assert told.status_code == 400
    assert "sign off" not in told.text
    look = device.get(f"/job/{JOB}/look?at=elevator+balance+weight+L&row-assembly=seen+it&kept=x")
    assert "seen it" not in look.text
    assert "sign off" in device.get(real).text
    # not the last character: some of its bits stand for nothing
    assert device.get(real[:-5] + ("A" if real[-5] != "A" else "B") + real[-4:]).status_code == 400
    # and nobody is shown what another person was about to say
    device.sign_in("MB")
    other = device.get(real)
    assert other.status_code == 401
    assert "sign off" not in other.text


def test_what_waited_too_long_for_its_page_is_kept_and_shown(device):
    told = device.press("sign off", age="30")
    assert (told["tone"], told["recorded"]) == ("wrong", False)
    assert "/vouch?" in told["go"]


def test_a_forged_press_can_do_nothing_that_the_words_refuse(device, shop):
    shop.say("zone tail LEFT", WEIGHT)
    told = device.press("inspect elevator balance weight LEFT; assembly: seen", pin=PINS["KT"])
    assert told["tone"] == "wrong"
    assert not shop.state().checks


def test_the_pin_stands_in_no_record_and_no_page(device, shop):
    told = device.press("sign off", pin=PINS["KT"])
    assert (told["tone"], told["recorded"]) == ("done", True)
    everything = b"".join(file.read_bytes() for file in shop.root.rglob("*") if file.is_file())
    assert PINS["KT"].encode() not in everything


def test_an_upload_that_is_too_large_is_answered_with_a_sentence(device):
    answer = device.upload(f"/job/{JOB}/photo", ("a.jpg", b"x" * 25 * 2**20))
    assert answer.status_code == 413
    assert "at most 24 MB" in answer.text


def test_a_form_with_more_text_than_any_line_is_refused(device):
    assert device.post(f"/job/{JOB}/press", {"line": "x" * 600_000}).status_code == 413
    long = device.press("off " + "x" * 3000 + " LEFT")
    assert long["tone"] == "wrong"


def test_over_plain_http_there_is_no_authority_to_install(device):
    assert device.get("/authority").status_code == 400


def test_signing_in_makes_another_device_of_a_browser_that_a_stranger_may_have_prepared(shop):
    device = Device(shop.app())
    device.arrive()
    before = device.token
    device.sign_in()
    assert device.token != before


def test_a_new_pin_ends_every_sign_in_that_rests_on_the_old_one(device, shop):
    Pins(shop.folder.secrets_file).set("KT", "604817")
    assert device.get(f"/job/{JOB}").status_code == 401


def test_who_signed_out_is_out(device):
    device.post("/people/out", {"who": "KT"})
    assert device.get(f"/job/{JOB}").status_code == 401


def test_a_copied_cookie_ends_with_the_sign_in(shop):
    app = shop.app()
    device, thief = Device(app), Device(app)
    device.sign_in()
    thief.client.set_cookie("tagtrack", device.client.get_cookie("tagtrack").value)
    assert thief.get(f"/job/{JOB}").status_code == 200
    device.post("/people/out", {"who": "KT"})
    assert thief.get(f"/job/{JOB}").status_code == 401
    thief.token = device.token
    assert thief.post(f"/job/{JOB}/press", {"line": "put 1 rag at tail"}, headers=JSON).status_code == 401


def test_after_a_sign_out_only_what_the_page_named_then_is_believed_however_long_it_waits(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    token = device.sign_in()
    now[0] += 100
    device.post("/people/out", {"who": "KT", "waiting": f"{'ab' * 12} x {'cd' * 12}"})
    before = count(shop)
    now[0] += 1
    # a time that was made up lets nothing through, not even in the next second
    for age in ("50", "3600", "0"):
        forged = {"line": "put 1 rag at tail", "as": token, "age": age}
        assert device.post(f"/job/{JOB}/press", forged, headers=JSON).status_code == 401
    # another device has other keys
    other = Device(shop.app(now=lambda: now[0]))
    theirs = other.sign_in()
    other.post("/people/out", {"who": "KT"})
    waited = {"line": "put 1 rag at tail", "age": "50", "key": "ab" * 12}
    assert other.post(f"/job/{JOB}/press", {**waited, "as": theirs}, headers=JSON).status_code == 401
    assert count(shop) == before
    # the shop's computer was off for the night
    now[0] += 10 * 3600
    assert device.press("put 1 rag at tail", age="36101", key="ab" * 12, **{"as": token})["recorded"]
    assert count(shop) == before + 1


def test_a_sign_out_outlives_a_restart(shop):
    device, thief = Device(shop.app()), Device(shop.app())
    token = device.sign_in()
    stolen = device.client.get_cookie("tagtrack").value
    device.post("/people/out", {"who": "KT", "waiting": "ab" * 12})
    thief.client = shop.app().test_client()
    thief.client.set_cookie("tagtrack", stolen)
    assert thief.get(f"/job/{JOB}").status_code == 401
    device.client = thief.client
    assert device.press("put 1 rag at tail", **{"as": token})["sign_in"]
    assert device.press("put 1 rag at tail", age="9", key="ab" * 12, **{"as": token})["recorded"]


def test_a_copied_cookie_of_before_a_sign_out_ends_no_later_sign_in_and_names_no_keys(shop):
    app = shop.app()
    device, thief = Device(app), Device(app)
    device.sign_in("MB")
    token = device.sign_in("KT")
    thief.token = device.token
    thief.client.set_cookie("tagtrack", device.client.get_cookie("tagtrack").value)
    device.post("/people/out", {"who": "KT"})
    # the device stays the same, as somebody else is still signed in on it
    device.sign_in("KT")
    thief.post("/people/out", {"who": "KT", "waiting": "ab" * 12})
    assert device.get(f"/job/{JOB}").status_code == 200
    forged = {"line": "put 1 rag at tail", "age": "9", "key": "ab" * 12, "as": token}
    assert thief.post(f"/job/{JOB}/press", forged, headers=JSON).status_code == 401


DAMAGED = (b"", b"{", b"\xff", b"[]", b"{}", b'{"era": ""}', b'{"era": "", "gone": [1]}', b'{"gone": []}',
           b'{"era": "", "gone": [["d", "KT", Infinity, []]]}', b'{"era": "", "gone": [["d", "KT", NaN, []]]}',
           b'{"era": "", "gone": [["d", "KT", 1e400, []]]}', b'{"era": "", "gone": [["d", "KT", true, []]]}',
           b'{"era": "", "gone": [["d", "KT", 1, 5]]}', b"[" * 100_000)  # fmt: skip


@pytest.mark.parametrize("what", DAMAGED, ids=range(len(DAMAGED)))
def test_where_it_cannot_be_read_who_went_everybody_signs_in_anew(shop, what):
    device = Device(shop.app())
    device.sign_in()
    shop.folder.sign_outs_file.write_bytes(what)
    device.client, before = shop.app().test_client(), device.client
    device.client.set_cookie("tagtrack", before.get_cookie("tagtrack").value)
    assert device.get(f"/job/{JOB}").status_code == 401
    device.sign_in()
    # once: a further restart ends no sign-in of after the first
    kept = device.client.get_cookie("tagtrack").value
    device.client = shop.app().test_client()
    device.client.set_cookie("tagtrack", kept)
    assert device.get(f"/job/{JOB}").status_code == 200


def test_a_clock_that_is_set_back_keeps_nobody_out(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    device.sign_in("MB")
    token = device.sign_in("KT")
    device.post("/people/out", {"who": "KT"})
    now[0] -= 3600
    device.sign_in("KT")
    assert device.get(f"/job/{JOB}").status_code == 200
    assert device.press("put 1 rag at tail")["recorded"]
    # and what was copied before the sign-out stays worthless
    assert device.press("put 1 rag at tail", **{"as": token})["sign_in"]


def test_a_sign_out_that_cannot_be_written_down_holds_and_says_so(shop, monkeypatch):
    def full(*_, **__):
        raise Full("no room")

    device = Device(shop.app())
    device.sign_in()
    kept = device.client.get_cookie("tagtrack").value
    monkeypatch.setattr("tagtrack.hangar.leaving.write_atomically", full)
    answer = device.post("/people/out", {"who": "KT"})
    assert answer.status_code == 503
    assert "a restart would forget the sign-out" in answer.text
    assert device.get(f"/job/{JOB}").status_code == 401
    device.client.set_cookie("tagtrack", kept)
    assert device.get(f"/job/{JOB}").status_code == 401


def test_sign_outs_are_for_the_owner_alone_and_forgotten_with_the_sign_ins_that_they_ended(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    for _ in range(2):
        device.sign_in()
        device.post("/people/out", {"who": "KT"})
        file = shop.folder.sign_outs_file
        assert len(json.loads(file.read_text())["gone"]) == 1
        now[0] += 61 * 3600
    assert file.stat().st_mode & 0o077 == 0


def test_where_no_sign_in_is_left_another_person_gets_another_device(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    device.sign_in("MB")
    before = device.token
    now[0] += 13 * 3600
    device.sign_in("KT")
    assert device.token != before


def test_guesses_from_the_network_do_not_keep_a_person_from_signing_off(shop):
    app = shop.app()
    device, stranger = Device(app), Device(app)
    device.sign_in()
    stranger.arrive()
    for n in range(6):
        last = stranger.post("/people", {"who": "KT", "pin": f"{n:06}"})
    assert last.status_code == 429
    assert device.press("sign off", pin=PINS["KT"])["recorded"]


def test_an_area_and_a_time_that_are_none_are_left_out(device, shop):
    assert device.press("put 1 rag at tail", area="<b>", device_at="yesterday")["recorded"]
    assert shop.acts()[-1].device_at == ""
    assert device.press("put 1 rag at tail", device_at="2026-03-02T14:05:09Z")["recorded"]
    assert shop.acts()[-1].device_at == "2026-03-02T14:05:09Z"


def test_long_names_of_areas_do_not_make_a_cookie_that_browsers_drop(shop, recwarn):
    names = [f"X-{number}" for number in range(6)]
    for name in names:
        setup.open_job(shop.shop, Who("KT"), job=name, registration="X-INV")
    device = Device(shop.app())
    device.sign_in()
    for name in names:
        # by chance, so that nothing is saved by packing it
        assert device.press(f"zone {secrets.token_hex(60)}", job=name)["tone"] == "note"
    kept = device.client.get_cookie("tagtrack").value
    for name in names:
        long = secrets.token_hex(450)
        device.press(f"zone {long}", job=name)
        # it holds where it was said, and the cookie does not carry it
        assert long in device.get(f"/job/{name}").text
        assert len(device.client.get_cookie("tagtrack").value) <= len(kept) < 2000
    assert not [each for each in recwarn if "too large" in str(each.message)]


def test_a_shift_ends(shop):
    now = [1_000_000.0]
    device = Device(shop.app(now=lambda: now[0]))
    device.sign_in()
    assert device.get(f"/job/{JOB}").status_code == 200
    now[0] += 13 * 3600
    assert device.get(f"/job/{JOB}").status_code == 401


@pytest.mark.parametrize("key", ["", "x", "0" * 23, "../../../../../../x", secrets.token_hex(40)])
def test_a_press_without_a_key_of_ours_is_refused(device, shop, key):
    before = count(shop)
    assert device.post(f"/job/{JOB}/press", {"line": FAIRING, "key": key}).status_code == 400
    assert count(shop) == before


def test_a_failure_of_the_program_is_a_sentence(shop, monkeypatch, caplog):
    device = Device(shop.app())
    device.sign_in()
    monkeypatch.setattr("tagtrack.hangar.pages.board", lambda *_: 1 / 0)
    answer = device.get(f"/job/{JOB}")
    assert answer.status_code == 500
    assert "the program failed here" in answer.text
    assert "Traceback" not in answer.text
    assert "ZeroDivisionError" in caplog.text
    assert "Traceback" not in caplog.text


def test_whoever_comes_from_elsewhere_without_the_cookie_loses_none(shop):
    client = shop.app().test_client()
    hop = client.get('/job/x"><script>?a=<b>')
    assert hop.status_code == 200
    assert "Set-Cookie" not in hop.headers
    assert "<script" not in hop.text
    assert "<b>" not in hop.text
    # what it asks for is the same page
    assert parse_qs(urlsplit(hop_of(hop.text)).query)["a"] == ["<b>"]


def test_nothing_that_another_site_can_have_a_browser_send_takes_the_sign_in_away(shop):
    """A link or form of another site brings no cookie along, and the answer to it must set none."""
    now = [1_000_000.0]
    app = shop.app(now=lambda: now[0])
    there = app.test_client()

    def sets(path, **how) -> bool:
        with there.open(path, **how) as answer:
            answer.get_data()
            return "Set-Cookie" in answer.headers

    for path in ("/people?again=1", f"/job/{JOB}?again=x", f"/job/{JOB}", "/nowhere", "/t/AAAA2222", "/people?again=",
                 "/static/mark.svg", "/authority"):  # fmt: skip
        assert not sets(path), path
        assert not sets(path, headers={"Accept": "application/json"}), path
        assert not sets(path, method="HEAD"), path
    for path in ("/people", "/people/out", "/people/now", f"/job/{JOB}/press", f"/job/{JOB}/photo", "/nowhere"):
        assert not sets(path, method="POST", data={"who": "KT"}), path
    # our own page is asked for at once: what was taken down before is no good
    old = hop_of(there.get("/people").text)
    now[0] += 61
    assert not sets(old)
    assert sets(hop_of(there.get(old).text))
