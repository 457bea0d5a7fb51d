"""An older copy is put in the place of a record while a loop is open: what counts is what the file says now."""

from __future__ import annotations

import shutil

import pytest
from builders import Play, means

from tagtrack.journal.acts import Folder
from tagtrack.shop import setup
from tagtrack.shop.desk import Shop
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who


@pytest.fixture
def shop(tmp_path):
    made = Shop(Folder.create(tmp_path / "shop", "Example Hangar", "test"), means())
    setup.note_person(made, Who("KT"), initials="KT", full_name="Kari Testad")
    return made


def exchanged(file, older):
    """Put another file under the name, as a restore does: never the same file written over."""
    shutil.copy(older, file.with_name("restored"))
    file.with_name("restored").replace(file)


def test_a_loop_goes_on_from_the_copy_that_was_restored(shop, tmp_path):
    play = Play(setup.open_job(shop, Who("KT"), job="WO-1", registration="X-TEST"))
    file = shop.records.job_file("WO-1")
    play("off elevator fairing LEFT; 12 AN525-10R8")
    shutil.copy(file, tmp_path / "older")
    play("off tail cone cover LEFT; 4 AN525-10R8")
    exchanged(file, tmp_path / "older")
    assert "tail cone" not in "\n".join(play("status", None).lines)
    play("off rudder fairing CENTRE; 2 AN525-10R8")
    assert [str(p) for p in play.job.state.positions] == ["elevator fairing, LEFT", "rudder fairing, CENTRE"]
    assert len(play.job.acts) == len(shop.records.job("WO-1").acts())


def test_a_restored_record_of_the_same_length_is_not_taken_for_the_one_before(shop, tmp_path):
    play = Play(setup.open_job(shop, Who("KT"), job="WO-1", registration="X-TEST"))
    file = shop.records.job_file("WO-1")
    shutil.copy(file, tmp_path / "older")
    play("off elevator fairing LEFT; 12 AN525-10R8")
    shutil.copy(file, tmp_path / "mine")
    exchanged(file, tmp_path / "older")
    play("off rudder fairing CENTRE; 2 AN525-10R8")
    exchanged(file, tmp_path / "mine")
    told = play("off elevator fairing LEFT; 12 AN525-10R8", Tone.WRONG)
    assert "already off" in "\n".join(told.lines)
    assert [str(p) for p in play.job.state.positions] == ["elevator fairing, LEFT"]


def test_the_shops_own_record_restored_knows_no_more_than_it_says(shop, tmp_path):
    file = shop.records.root / "shop.jsonl"
    shutil.copy(file, tmp_path / "older")
    setup.note_person(shop, Who("KT"), initials="MB", full_name="Mo Beispiel")
    exchanged(file, tmp_path / "older")
    assert list(shop.state.people) == ["KT"]
