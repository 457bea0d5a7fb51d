"""Opening a work order where an earlier opening broke off: the same words take it up, anything else is refused."""

from __future__ import annotations

import pytest
from builders import MemoryRecord, Play, shop

from tagtrack.core.errors import Refusal
from tagtrack.shop import setup
from tagtrack.shop.desk import Shop
from tagtrack.shop.ports import Who

WORDS = {"job": "WO-1", "registration": "X-TEST", "make": "Invented", "model": "Demo 2"}


class PowerCutError(Exception):
    """The lights go out."""


def forgetful(made):
    """Return the shop as if its own record were another one, that knows no work order."""
    made.records.every[""] = MemoryRecord()
    fresh = Shop(made.records, made.means)
    setup.note_person(fresh, Who("KT"), initials="KT", full_name="Kari Testad")
    return fresh


@pytest.fixture(params=["before the first line of the work order", "before the shop's own line"])
def broken_off(request, monkeypatch):
    """A shop in which an opening was cut short."""
    made = shop()
    append, mine = MemoryRecord.append, "shop" in request.param

    def cut(record, act, expected):
        if (record is made.records.shop()) == mine:
            raise PowerCutError
        return append(record, act, expected)

    with monkeypatch.context() as dark:
        dark.setattr(MemoryRecord, "append", cut)
        with pytest.raises(PowerCutError):
            setup.open_job(made, Who("KT"), **WORDS)
    assert "WO-1" in made.records.every
    assert "WO-1" not in made.state.jobs
    return made


def test_the_same_words_take_up_an_opening_that_broke_off(broken_off):
    opened = setup.open_job(broken_off, Who("KT"), **WORDS)
    assert broken_off.state.jobs["WO-1"].registration == "X-TEST"
    assert [type(event).__name__ for act in opened.acts for event in act.events].count("JobOpened") == 1
    Play(broken_off.open("WO-1"))("off elevator fairing LEFT; 12 AN525-10R8")


def test_other_words_do_not_take_up_what_was_begun_for_another_aircraft():
    made = shop()
    setup.open_job(made, Who("KT"), **WORDS)
    fresh = forgetful(made)
    with pytest.raises(Refusal, match="the shop does not know WO-1, but there is a record of it") as told:
        setup.open_job(fresh, Who("KT"), **{**WORDS, "registration": "X-OTHER"})
    assert told.value.came == "a record for X-TEST"
    assert len(fresh.records.every["WO-1"].documents) == 1


def test_a_record_in_which_work_was_done_is_never_taken_for_a_broken_opening():
    made = shop()
    play = Play(setup.open_job(made, Who("KT"), **WORDS))
    play("off elevator fairing LEFT; 12 AN525-10R8")
    with pytest.raises(Refusal, match="there is a record of it"):
        setup.open_job(forgetful(made), Who("KT"), **WORDS)


def test_an_opened_work_order_is_not_opened_twice():
    made = shop()
    setup.open_job(made, Who("KT"), **WORDS)
    with pytest.raises(Refusal, match="WO-1 exists already"):
        setup.open_job(made, Who("KT"), **WORDS)
