"""PINs: kept as hashes for the owner alone, limited by name. The waits are by a clock that the test sets."""

from __future__ import annotations

import hashlib
import json
import os
import threading

import pytest

from tagtrack.core.errors import Fault, Refusal
from tagtrack.hangar.pins import FREE_TRIES, Locked, Pins, WrongPin, readable_by_others

PIN, OTHER = "480513", "731904"


class Clock:
    now = 0.0

    def __call__(self):
        return self.now


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def pins(tmp_path, clock):
    made = Pins(tmp_path / "secrets", clock)
    made.set("KT", PIN)
    made.set("MB", OTHER)
    return made


def wrong(pins, initials="KT", pin=OTHER):
    with pytest.raises(WrongPin) as caught:
        pins.check(initials, pin)
    return caught.value


def test_the_right_pin_is_taken_and_anothers_is_not(pins):
    pins.check("KT", PIN)
    pins.check("MB", OTHER)
    wrong(pins)
    wrong(pins, "MB", PIN)


@pytest.mark.usefixtures("pins")
def test_the_hash_is_scrypt_as_rfc_7914_has_it_and_the_pin_stands_nowhere(tmp_path):
    text = (tmp_path / "secrets").read_text()
    assert PIN not in text
    entry = json.loads(text)["pins"]["KT"]
    made = hashlib.scrypt(PIN.encode(), salt=bytes.fromhex(entry["salt"]), n=32768, r=8, p=1, maxmem=2**26)
    assert made.hex() == entry["hash"]


def test_two_people_of_one_pin_have_two_hashes(pins, tmp_path):
    pins.set("MB", PIN)
    kept = json.loads((tmp_path / "secrets").read_text())["pins"]
    assert kept["KT"]["hash"] != kept["MB"]["hash"]


@pytest.mark.skipif(os.name != "posix", reason="elsewhere the system knows no such rights")
def test_nobody_else_may_read_the_file(pins, tmp_path):
    file = tmp_path / "secrets"
    assert file.stat().st_mode & 0o777 == 0o600
    assert not readable_by_others(file)
    file.chmod(0o644)
    assert readable_by_others(file)
    pins.set("KT", OTHER)
    assert not readable_by_others(file)


@pytest.mark.parametrize(
    "pin", ["", "12345", "48051x", "48 0513", "٤٨٠٥١٣", "000000", "121212", "123456", "987654", "9" * 65]
)
def test_a_pin_that_is_short_or_guessed_first_is_refused(pins, pin):
    with pytest.raises(Refusal):
        pins.set("KT", pin)
    pins.check("KT", PIN)


def test_the_tries_that_are_left_are_told(pins):
    assert "4 more" in wrong(pins).todo
    for _ in range(FREE_TRIES - 2):
        wrong(pins)
    assert "has to wait" in wrong(pins).todo


def test_after_five_wrong_ones_even_the_right_one_waits_and_others_do_not(pins, clock):
    for _ in range(FREE_TRIES):
        wrong(pins)
    with pytest.raises(Locked) as caught:
        pins.check("KT", PIN)
    assert caught.value.seconds == 30
    pins.check("MB", OTHER)
    clock.now += 31
    pins.check("KT", PIN)


def test_guesses_from_elsewhere_keep_nobody_from_the_device_that_he_worked_at(pins):
    for _ in range(5):
        wrong(pins)
    with pytest.raises(Locked):
        pins.check("KT", PIN)
    pins.check("KT", PIN, "a tablet")
    for _ in range(5):
        with pytest.raises(WrongPin):
            pins.check("KT", OTHER, "a tablet")
    with pytest.raises(Locked):
        pins.check("KT", PIN, "a tablet")


def test_each_further_wrong_one_waits_twice_as_long_up_to_a_quarter_of_an_hour(pins, clock):
    for _ in range(FREE_TRIES):
        wrong(pins)
    waits = []
    for _ in range(14):
        with pytest.raises(Locked) as caught:
            pins.check("KT", PIN)
        waits.append(caught.value.seconds)
        clock.now += caught.value.seconds + 1
        wrong(pins)
    assert waits[:6] == [30, 60, 120, 240, 480, 900]
    assert set(waits[6:]) == {900}


def test_a_right_one_wipes_the_count(pins):
    for _ in range(FREE_TRIES - 1):
        wrong(pins)
    pins.check("KT", PIN)
    assert "4 more" in wrong(pins).todo


def test_a_new_pin_ends_the_wait_also_where_another_process_set_it(pins, tmp_path):
    for _ in range(FREE_TRIES):
        wrong(pins)
    Pins(tmp_path / "secrets").set("KT", "905172")
    pins.check("KT", "905172")


def test_a_hundred_guesses_at_once_are_five_tries(pins):
    told = []

    def guess():
        try:
            pins.check("KT", OTHER)
        except Refusal as refusal:
            told.append(type(refusal))

    threads = [threading.Thread(target=guess) for _ in range(100)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert told.count(WrongPin) == FREE_TRIES
    assert told.count(Locked) == 95


def test_who_has_no_pin_is_told_how_to_get_one(pins):
    pins.forget("KT")
    pins.forget("KT")
    assert not pins.has("KT")
    with pytest.raises(Refusal, match="no PIN yet") as caught:
        pins.check("KT", PIN)
    assert caught.value.todo == "set it there: tagtrack pin KT"


def test_the_stamp_of_a_sign_in_lapses_with_its_pin(pins):
    before = pins.stamp("KT")
    assert before == pins.stamp("KT")
    pins.set("KT", PIN)
    assert pins.stamp("KT") not in (before, "")
    pins.forget("KT")
    assert pins.stamp("KT") == ""


def test_the_key_is_made_once_and_outlives_a_new_pin(pins, tmp_path):
    key = pins.key()
    pins.set("KT", OTHER)
    assert Pins(tmp_path / "secrets").key() == key
    assert len(key) == 32


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"key": "x", "pins": {}}', '{"key": "", "pins": {"KT": {}}}',
                                  '{"key": "", "pins": {"KT": 3}}'])  # fmt: skip
def test_a_damaged_file_is_a_fault_and_is_not_written_over(tmp_path, text):
    file = tmp_path / "secrets"
    file.write_text(text)
    with pytest.raises(Fault, match="is damaged"):
        Pins(file).set("KT", PIN)
    assert file.read_text() == text


def test_a_file_that_cannot_be_read_is_a_fault(tmp_path):
    (tmp_path / "secrets").mkdir()
    with pytest.raises(Fault, match="cannot be read"):
        Pins(tmp_path / "secrets").has("KT")


def test_what_is_set_changed_or_deleted_at_the_shops_computer_holds_at_once(pins, tmp_path):
    """The page asks at every press, and looks into the file only where that is another than before."""
    terminal = Pins(tmp_path / "secrets")
    before = pins.stamp("KT")
    assert pins.has("KT")
    assert not pins.has("XY")
    terminal.set("XY", OTHER)
    terminal.set("KT", OTHER)
    assert pins.has("XY")
    assert pins.stamp("KT") != before
    pins.check("KT", OTHER)
    terminal.forget("KT")
    assert not pins.has("KT")
    (tmp_path / "secrets").write_text("{")
    with pytest.raises(Fault, match="damaged"):
        pins.has("XY")
    (tmp_path / "secrets").unlink()
    assert not pins.has("XY")
    pins.set("XY", PIN)
    assert pins.has("XY")
