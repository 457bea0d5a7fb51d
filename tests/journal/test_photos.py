"""Photos on disk: under their own SHA-256, whole or not there, and never by a name that leads elsewhere."""

from __future__ import annotations

import hashlib
import os
import threading

import pytest

from tagtrack.core.errors import Damaged, Full, Refusal
from tagtrack.journal import disk
from tagtrack.journal.photos import Photos


@pytest.fixture
def photos(tmp_path):
    return Photos(tmp_path / "photos")


def test_a_photo_is_kept_under_its_own_sum_with_a_small_one(photos):
    name = photos.put(b"large", b"small")
    assert name == hashlib.sha256(b"large").hexdigest()
    assert photos.large(name).read_bytes() == b"large"
    assert photos.small(name).read_bytes() == b"small"
    photos.check(name)


def test_the_same_photo_again_is_the_same_file(photos, tmp_path):
    assert photos.put(b"large", b"small") == photos.put(b"large", b"small")
    assert len(list((tmp_path / "photos").iterdir())) == 2


def test_many_devices_sending_the_same_photo_leave_it_whole(photos, tmp_path):
    large = os.urandom(300_000)
    threads = [threading.Thread(target=photos.put, args=(large, b"small")) for _ in range(12)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(list((tmp_path / "photos").iterdir())) == 2
    photos.check(hashlib.sha256(large).hexdigest())


@pytest.mark.parametrize(
    "name", ["", "x", "../../secrets", "ab" * 32, "AB" * 32, "ab" * 32 + "/../x", "ab" * 31 + "a\n"]
)
def test_a_name_that_none_has_or_that_leads_elsewhere_is_refused(photos, name):
    photos.put(b"large", b"small")
    assert not photos.has(name)
    for find in (photos.large, photos.small):
        with pytest.raises(Refusal, match="no such photo"):
            find(name)


def test_a_photo_that_was_changed_or_is_gone_is_told(photos):
    name = photos.put(b"large", b"small")
    photos.large(name).write_bytes(b"other")
    with pytest.raises(Damaged, match="was changed"):
        photos.check(name)
    photos.large(name).unlink()
    with pytest.raises(Damaged, match="not there any more"):
        photos.check(name)


def test_a_disk_without_room_leaves_nothing_half(photos, tmp_path, monkeypatch):
    def no_room(handle, data):
        os.write(handle, data[:2])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk, "write_whole", no_room)
    with pytest.raises(Full, match="no room"):
        photos.put(b"large", b"small")
    assert list((tmp_path / "photos").iterdir()) == []
