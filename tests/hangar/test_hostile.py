"""What a stranger, a broken phone or bad luck may send: an answer in words each time, and nothing lost."""

from __future__ import annotations

import secrets
import threading
import time
from io import BytesIO
from urllib.parse import quote

from hangar.bench_page import Browser
from hangar.served import FAIRING, JOB, WEIGHT, Device
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from tagtrack.camera import receiving
from tagtrack.shop.lines.loop import WORDS

# an answer of the page itself: taken, sent on, refused in words, too large, too busy
ANSWERS = {200, 303, 400, 401, 403, 404, 405, 413, 429, 503}
SAID = st.one_of(
    st.text(max_size=60),
    st.builds("{} {}".format, st.sampled_from(sorted(WORDS)), st.text(max_size=30)),
    st.builds(
        "{} {}".format, st.sampled_from(sorted(WORDS)),
        st.sampled_from(["elevator tip fairing LEFT", "1 AN525-10R8", "because so", "1 rag", "up fwd", "L1", "x" * 3000]
        ),
    ),
)  # fmt: skip
NAMES = (
    "form", "line", "word", "position", "side", "mark", "count", "spec", "tag", "area", "because", "asked", "age", "as",
    "torque", "hardware", "zone", "about", "text", "feature", "way-mark", "scanned", "back",
)  # fmt: skip
FORMS = ("off", "same", "on", "all-in", "count", "inspect", "worded", "tags", "-1", "1e999")
FIELDS = st.dictionaries(st.sampled_from(NAMES), SAID | st.sampled_from(FORMS), max_size=8)


def test_whatever_a_form_says_is_answered_in_words(shop):
    shop.say("zone tail LEFT", FAIRING, WEIGHT)
    device = Device(shop.app())
    device.sign_in()

    @settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.sampled_from(["press", "scan", "sweep", "photo", "photo-scan"]), FIELDS)
    def check(route, fields):
        for accept in ("application/json", "text/html"):
            answer = device.post(f"/job/{JOB}/{route}", dict(fields), headers={"Accept": accept})
            assert answer.status_code in ANSWERS, (route, fields, answer.text[:300])
            assert "Traceback" not in answer.text

    check()


def test_whatever_an_address_says_is_answered_in_words(shop):
    device = Device(shop.app())
    device.sign_in()

    @settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
    @given(st.text(max_size=30), st.text(max_size=30))
    def check(one, other):
        first, second = quote(one, safe=""), quote(other, safe="")
        for path in (f"/job/{first}", f"/job/{JOB}/t/{first}", f"/job/{JOB}/{first}/{second}", f"/t/{first}",
                     f"/x{first}/{second}", f"/job/{JOB}/at", f"/job/{JOB}/look"):  # fmt: skip
            answer = device.client.get(path, query_string={"at": other, "back": one})
            assert answer.status_code in {*ANSWERS, 302, 308}, path

    check()


def picture() -> bytes:
    out = BytesIO()
    Image.new("L", (60, 40), 255).save(out, "PNG")
    return out.getvalue()


def test_a_flood_of_photos_keeps_nobody_from_pressing(shop, address):
    """Ten photos at once, more than the server has threads, while two others are being worked on for long."""
    shop.say("zone tail LEFT", FAIRING)
    port = int(address.rpartition(":")[2])
    hand, *phones = (Browser(port) for _ in range(11))
    for device in (hand, *phones):
        device.sign_in()
    answers: list[int] = []

    def send(device):
        answers.append(device.upload(f"/job/{JOB}/photo-scan", picture())[0])

    threads = [threading.Thread(target=send, args=(device,)) for device in phones]
    with receiving.turn(), receiving.turn():
        for thread in threads:
            thread.start()
        # four are let in and wait for the two; the rest are told at once to send it again
        for _ in range(400):
            if len(answers) == 6:
                break
            time.sleep(0.05)
        assert answers == [503] * 6
        status, _ = hand.press("put 1 rag at elevator tip fairing LEFT")
        assert status == 200
        assert len(answers) == 6, "it was answered while photos still waited"
    for thread in threads:
        thread.join(40)
    for device in (hand, *phones):
        device.line.close()
    assert answers[6:] == [400] * 4, "those were looked at: no tag in the photo"


def test_an_undo_whose_answer_was_lost_takes_back_one_step_and_not_two(shop):
    shop.say("zone tail LEFT", FAIRING)
    device = Device(shop.app())
    device.sign_in()
    for _ in range(2):
        device.press("put 1 rag at elevator tip fairing LEFT")
    key = secrets.token_hex(12)
    assert device.press("undo", key=key)["recorded"]
    assert device.press("undo", key=key)["again"]
    aboard = [n for place, lots in shop.state().holdings.items() if place.kind.value == "aboard" for n in lots.values()]
    assert aboard == [1]
