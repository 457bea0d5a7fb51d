"""Photos that belong to a position, an area, the whole job: recorded once, undone like anything else, and reported."""

from __future__ import annotations

import pytest
from builders import Play

from tagtrack.core.errors import Refusal
from tagtrack.core.leftover import report
from tagtrack.core.reconcile import reconcile
from tagtrack.shop import picturing
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who

PHOTO = "ab" * 32


@pytest.fixture
def play():
    made = Play()
    made.lines("""
        ~ zone tail LEFT
        off weight LEFT; mark UP, arrow FWD; 2 AN3-5A
        off lid LEFT; none
    """)
    return made


def other(play, number=1):
    return play.job.shop.records.photos(play.job.name).put(b"picture %d" % number, b"")


def test_a_photo_belongs_to_the_position_that_is_named(play):
    reply = play(f"photo {PHOTO.upper()} of weight L")
    assert reply.lines == ("PHOTO  weight, LEFT",)
    assert play.job.state.pictures == {"weight, LEFT": (PHOTO,)}


@pytest.mark.parametrize(
    ("before", "subject"),
    [("? <tag weight, LEFT>", "weight, LEFT"), ("~ at weight LEFT", "weight, LEFT"), ("", "lid, LEFT")],
)
def test_without_a_name_it_belongs_to_what_is_in_hand_where_one_stands_or_what_came_off_last(play, before, subject):
    play.lines(before)
    assert play(f"photo {PHOTO}").lines == (f"PHOTO  {subject}",)


def test_it_belongs_to_the_area_where_nothing_is_in_hand_and_else_to_the_job(play):
    fresh = Play(play.job)
    assert fresh(f"photo {PHOTO}").lines == ("PHOTO  the whole job",)
    fresh("zone tail LEFT", Tone.NOTE)
    assert fresh(f"photo {other(play)}").lines == ("PHOTO  zone tail LEFT",)


@pytest.mark.parametrize(
    "line", ["photo", "photo xyz", "photo ../../secrets", f"photo {'cd' * 32}", f"photo {PHOTO} of wing R"]
)
def test_a_photo_that_is_not_kept_or_a_place_that_is_not_known_is_refused(play, line):
    steps = len(play.job.acts)
    play(line, Tone.WRONG)
    assert len(play.job.acts) == steps


def test_the_same_photo_is_recorded_once_at_one_place(play):
    play(f"photo {PHOTO} of weight L")
    play(f"photo {PHOTO} of weight L", Tone.WRONG)
    play(f"photo {PHOTO} of lid L")
    assert play.job.state.pictures == {"weight, LEFT": (PHOTO,), "lid, LEFT": (PHOTO,)}


def test_it_is_undone_like_any_step(play):
    play(f"photo {PHOTO} of weight L")
    play("undo")
    assert play.job.refresh().pictures == {}


def test_an_area_that_the_job_does_not_know_is_refused(play):
    with pytest.raises(Refusal):
        picturing.attach(play.job, Who("KT"), PHOTO, area="engine")


def test_the_report_lists_photos_and_stays_silent_without_any(play):
    def headings():
        sheet = report(play.job.refresh(), reconcile(play.job.state), play.job.head, printed="2026-03-02")
        return {section.heading: section for section in sheet.sections}

    assert "Photos" not in headings()
    play(f"photo {PHOTO} of weight L")
    play(f"photo {other(play)} of weight L")
    picturing.attach(play.job, Who("KT"), other(play, 2))
    rows = headings()["Photos"].table.rows
    assert rows[0][:2] == ("weight, LEFT", "2")
    assert rows[0][2].startswith("abababababab, ")
    assert rows[1][0] == "the whole job"
