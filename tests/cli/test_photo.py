"""Photos attached from the terminal: kept beside the record, none taken unless all are pictures."""

from __future__ import annotations

import hashlib

import pytest
from PIL import Image


@pytest.fixture
def pictures(tmp_path):
    folder = tmp_path / "pictures"
    folder.mkdir()
    for number, name in enumerate(("a.jpg", "b.png")):
        Image.new("RGB", (90 + number, 60), "white").save(folder / name)
    return folder


def test_photos_are_kept_beside_the_record_and_named_in_it(job, pictures):
    job("say", "off", "weight", "LEFT;", "2", "AN3-5A")
    said = job("photo", str(pictures), "--of", "weight L").out.splitlines()
    assert [line.split(",")[0] for line in said] == ["a.jpg: weight", "b.png: weight"]
    kept = [path for path in (job.root / "jobs/WO-1/photos").iterdir() if "small" not in path.name]
    assert len(kept) == 2
    record = (job.root / "jobs/WO-1/journal.jsonl").read_text()
    for path in kept:
        assert hashlib.sha256(path.read_bytes()).hexdigest() == path.stem
        assert path.stem in record
    assert "PHOTOS" in job("report", "--text").out


def test_without_a_place_they_show_the_whole_job(job, pictures):
    assert "the whole job" in job("photo", str(pictures / "a.jpg")).out


@pytest.mark.parametrize("name", ["bad.jpg", "missing.jpg", ""])
def test_one_that_is_no_picture_keeps_all_from_being_taken(job, pictures, name):
    (pictures / "bad.jpg").write_bytes(b"no picture")
    (pictures / "empty").mkdir()
    given = [str(pictures / "a.jpg"), str(pictures / name)] if name else [str(pictures / "empty")]
    assert "picture" in job("photo", *given, code=4).err
    assert not (job.root / "jobs/WO-1/photos").exists()


def test_a_position_that_is_not_known_is_refused(job, pictures):
    assert "no 'weight, LEFT' came off" in job("photo", str(pictures / "a.jpg"), "--of", "weight L", code=4).err


def test_a_photo_that_was_changed_or_is_gone_is_told_by_verify(job, pictures):
    job("photo", str(pictures))
    job("verify")
    one, other = sorted(p for p in (job.root / "jobs/WO-1/photos").iterdir() if "small" not in p.name)
    one.write_bytes(b"another picture")
    assert f"a photo was changed: {one}" in job("verify", code=5).out
    other.unlink()
    ran = job("verify", code=5)
    assert "is not there any more" in ran.out
    assert "2 photos are not what the record names" in ran.err
