"""What cannot be is refused with what was expected, what came and what to do, and nothing is written."""

from __future__ import annotations

from pathlib import Path

import pytest
from builders import Play, job, shop
from hypothesis import given, settings
from hypothesis import strategies as st

from tagtrack.core.errors import Objection, Refusal
from tagtrack.shop import setup
from tagtrack.shop.lines.loop import WORDS
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who

APART = """
~ zone tail LEFT
off weight LEFT; mark UP, arrow FWD; 2x [AN3-5A AN960-10 | AN310-3 MS24665-132!]
off cover LEFT; 4 AN525-10R8; closes weight L
off bag of bolts LEFT; count later
disconnect wire CENTRE; keyed
setting stop CENTRE; as found 3
point bulkhead CENTRE; under cover LEFT
put 2 caps at weight LEFT
put 1 caps at cover LEFT
"""

# one line of the loop each, typed into the job above
REFUSED = Path(__file__).with_name("refused_lines.txt").read_text(encoding="utf-8").splitlines()


@pytest.fixture
def play():
    playing = Play()
    playing.lines(APART)
    fresh = Play(playing.job)
    fresh("zone tail LEFT", None)
    return fresh


@pytest.mark.parametrize("line", REFUSED)
def test_a_bad_line_is_refused_in_four_parts_and_writes_nothing(play, line):
    before = list(play.job.acts)
    reply = play(line, None)
    assert reply.tone in (Tone.WRONG, Tone.ASK), reply.lines
    assert reply.act is None
    assert list(play.job.acts) == before
    told = "\n".join(reply.lines)
    assert "expected:" in told or "?" in told
    assert "do:" in told or "type" in told or "where are you" in told


@settings(max_examples=300)
@given(st.sampled_from(sorted(WORDS)), st.text(max_size=40))
def test_no_text_behind_any_word_breaks_the_loop(word, text):
    play = Play()
    play.lines("off weight LEFT; 2 AN3-5A")
    play(f"{word} {text}", None)


@settings(max_examples=200)
@given(st.text(max_size=60))
def test_no_text_at_all_breaks_the_loop(text):
    Play()(text, None)


@pytest.mark.parametrize("initials", ["", "K1", "TOOLONG", "K T", "--"])
def test_initials_are_letters(initials):
    with pytest.raises(Refusal) as told:
        setup.note_person(shop(), Who("KT"), initials=initials, full_name="Some One")
    assert told.value.todo


def test_initials_belong_to_one_person():
    made = shop()
    with pytest.raises(Refusal, match="belong to Kari"):
        setup.note_person(made, Who("KT"), initials="KT", full_name="Somebody Else")
    before = made.head()
    setup.note_person(
        made, Who("KT"), initials="KT", full_name="Kari Testad", certificate="1001", certificate_kind="A&P"
    )
    assert made.head() == before, "the same facts again record nothing"


@pytest.mark.parametrize("name", ["", "../etc", "CON", "a/b", "x" * 41, "nul.txt", ".hidden", "WO 1/2", "ends."])
def test_a_work_orders_name_must_do_for_a_folder_anywhere(name):
    with pytest.raises(Refusal) as told:
        setup.open_job(shop(), Who("KT"), job=name, registration="X-TEST")
    assert told.value.todo


def test_a_work_order_is_opened_once_and_by_somebody_who_is_known():
    opened = job()
    with pytest.raises(Refusal, match="exists already"):
        setup.open_job(opened.shop, Who("KT"), job="wo-1", registration="X-TEST")
    with pytest.raises(Refusal, match="nobody here"):
        setup.open_job(opened.shop, Who("ZZ"), job="WO-5", registration="X-TEST")
    with pytest.raises(Refusal, match="did you mean WO-1"):
        opened.shop.open("WO-l")


def test_somebody_who_came_later_is_taken_into_the_job_when_he_works():
    opened = job()
    setup.note_person(opened.shop, Who("KT"), initials="NN", full_name="New Name")
    play = Play(opened)
    play("by NN", None)
    assert opened.state.people["NN"].name == "New Name"


def test_an_objection_is_a_refusal_until_there_is_a_reason():
    assert issubclass(Objection, Refusal)
