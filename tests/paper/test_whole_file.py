"""A file is there whole, or not there."""

from __future__ import annotations

import errno
import os

import pytest

from tagtrack.core.errors import Full
from tagtrack.paper.whole_file import write_atomically


def test_a_new_file_holds_what_was_written_and_nothing_is_left_beside_it(tmp_path):
    file = tmp_path / "tags.pdf"
    write_atomically(file, b"first")
    write_atomically(file, b"second")
    assert file.read_bytes() == b"second"
    assert [entry.name for entry in tmp_path.iterdir()] == ["tags.pdf"]


def test_a_folder_that_is_not_there_is_told_in_words(tmp_path):
    with pytest.raises(Full) as full:
        write_atomically(tmp_path / "none" / "tags.pdf", b"x")
    assert "tags.pdf" in full.value.what
    assert full.value.expected
    assert full.value.todo


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_and_no_half_of_the_new_one(tmp_path, monkeypatch, step):
    file = tmp_path / "tags.pdf"
    write_atomically(file, b"old")

    def full(*_arguments):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, step, full)
    with pytest.raises(Full, match="No space left"):
        write_atomically(file, b"new")
    assert file.read_bytes() == b"old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["tags.pdf"]


def test_a_folder_in_the_files_place_is_told_and_left_alone(tmp_path):
    place = tmp_path / "tags.pdf"
    place.mkdir()
    (place / "inside").write_bytes(b"x")
    with pytest.raises(Full):
        write_atomically(place, b"new")
    assert [entry.name for entry in tmp_path.iterdir()] == ["tags.pdf"]
    assert (place / "inside").exists()
