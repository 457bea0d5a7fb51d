"""A file is there whole, or not there."""

from __future__ import annotations

import errno
import os

import pytest

from tagtrack.core.errors import Full, Refusal
from tagtrack.paper.whole_file import growing, write_atomically


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


def test_a_file_that_grows_page_by_page_is_not_there_before_its_last_byte(tmp_path):
    file = tmp_path / "tags.pdf"
    file.write_bytes(b"old")
    with growing(file) as stream:
        stream.write(b"first page, ")
        stream.flush()
        assert file.read_bytes() == b"old"
        stream.write(b"second page")
    assert file.read_bytes() == b"first page, second page"
    assert [entry.name for entry in tmp_path.iterdir()] == ["tags.pdf"]


def full_while_it_grows(stream):
    stream.write(b"half a page")
    raise OSError(errno.ENOSPC, "No space left on device")


def refused_while_it_grows(stream):
    stream.write(b"half a page")
    raise Refusal("a code that cannot be", expected="one that can", came="it", todo="another")


@pytest.mark.parametrize(("ends", "told"), [(full_while_it_grows, Full), (refused_while_it_grows, Refusal)])
def test_what_ends_in_the_middle_leaves_the_old_file_and_nothing_beside_it(tmp_path, ends, told):
    file = tmp_path / "tags.pdf"
    file.write_bytes(b"old")
    with pytest.raises(told), growing(file) as stream:
        ends(stream)
    assert file.read_bytes() == b"old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["tags.pdf"]
