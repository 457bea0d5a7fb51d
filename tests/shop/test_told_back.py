"""What the program says back: what it understood of a removal, which marks would be enough, how many of what."""

from __future__ import annotations

import re

import pytest
from builders import Play

from tagtrack.core.spelling import how_many
from tagtrack.shop.lines.talk import Tone


@pytest.fixture
def play():
    made = Play()
    made("zone tail LEFT", Tone.NOTE)
    return made


def told(reply):
    return "\n".join(reply.lines)


# -- what came off ----------------------------------------------------------------------------------------------------


def test_a_removal_is_said_back_as_it_was_understood(play):
    said = told(play("off weight LEFT; mark UP, arrow FWD; mount INBD; critical; 2x [AN3-5 | AN310-3 MS24665-132!]; "
                     "lock cotter; pn 99-1; sn 5; under fairing LEFT; put shelf 2; measured 5/8"))  # fmt: skip
    assert said.startswith("OFF  weight, LEFT (CRITICAL)")
    for each in ("mark UP, arrow FWD", "mount INBD", "lock cotter", "pn 99-1", "sn 5", "under fairing, LEFT",
                 "at shelf 2", "2x [AN3-5 | AN310-3 MS24665-132!]", "measured 5/8"):  # fmt: skip
        assert each in said


def test_a_side_that_is_not_said_to_be_critical_as_its_twin_is_is_asked(play):
    first = play("off horn LEFT; critical; lock none; mark UP, arrow FWD; mount INBD; 2 AN3-5A")
    assert "is critical, and this one" not in told(first)
    play("zone tail RIGHT", Tone.NOTE)
    assert "? the horn, LEFT is critical" in told(play("off horn RIGHT; mark UP, arrow FWD; mount INBD; 2 AN3-5A"))
    play("undo")
    again = play("off horn RIGHT; critical; lock none; mark UP, arrow FWD; mount INBD; 2 AN3-5A")
    assert "is critical, and this one" not in told(again)


def test_what_was_not_said_is_not_said_back(play):
    said = told(play("off lid LEFT; 4 AN525-10R8"))
    assert "CRITICAL" not in said
    assert "mount" not in said
    assert "     at bench" in said.splitlines()


def test_where_the_hardware_went_is_said_back(play):
    assert "4 AN525-10R8: in its hole" in told(play("off lid LEFT; 4 AN525-10R8; in hole"))
    assert "not counted yet" in told(play("off cover LEFT; count later"))


def test_the_ends_of_a_wire_are_said_back(play):
    said = told(play("disconnect motor LEFT; A: terminal 3 red; B: terminal 4; function; critical"))
    assert "A: terminal 3 red; B: terminal 4; function; CRITICAL" in said
    assert "goes to: J3" in told(play("disconnect plug LEFT; goes to J3"))


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("loosened clamp LEFT; 1 AN4-6A", ["1 AN4-6A"]), ("drilled skin LEFT; 6 MS20470AD4-4", ["6 MS20470AD4-4"]),
        ("aside line LEFT; 1 AN4-6A; in hole", ["moved aside on the aircraft", "1 AN4-6A: in its hole"]),
        ("aside line LEFT; 1 AN4-6A", ["1 AN4-6A", "scan the bag's tag, or say: hole"]),
    ],
)
def test_what_was_disturbed_without_coming_off_is_said_back_too(play, line, said):
    answer = [line.strip() for line in play(line).lines]
    assert [each for each in said if each not in answer] == []


def test_a_setting_left_otherwise_than_found_is_asked_why_at_once(play):
    play("setting rod LEFT; as found 4 threads")
    assert "as found it was 4 threads. Say why" in told(play("setting rod LEFT; as left 3 threads"))
    assert "Say why" not in told(play("setting rod LEFT; as left 3 threads because set to the manual"))
    assert "Say why" not in told(play("setting rod LEFT; as left 4 Threads"))


# -- marks that are enough --------------------------------------------------------------------------------------------


def proposed(reply):
    """Return the lines that the answer proposes to type."""
    return re.findall(r"^ *(marked .*)$", told(reply), re.MULTILINE)


@pytest.mark.parametrize(
    "clauses",
    ["mark UP, arrow FWD", "mark UP", "mark UP; mount INBD", "mark INBD", "arrow FWD; mount UP", "critical; lock none"],
)
def test_the_marks_that_are_proposed_end_the_question(play, clauses):
    play(f"off horn LEFT; {clauses}; 2 AN3-5A")
    play("zone tail RIGHT", Tone.NOTE)
    asked = play(f"off horn RIGHT; {clauses}; 2 AN3-5A")
    assert "LOOKS ALIKE" in told(asked)
    lines = proposed(asked)
    assert [line.split(";")[0] for line in lines] == ["marked horn LEFT + RIGHT"]
    for line in lines:
        answer = play(line)
    assert "LOOKS ALIKE" not in told(answer)
    assert "pair-looks-alike" not in play.kinds()


def test_where_in_and_out_is_missing_a_mark_that_points_so_is_proposed(play):
    play("off horn LEFT; mark UP, arrow FWD; 2 AN3-5A")
    play("zone tail RIGHT", Tone.NOTE)
    assert proposed(play("off horn RIGHT; mark UP, arrow FWD; 2 AN3-5A")) == [
        "marked horn LEFT + RIGHT; dot INBD",
    ]  # fmt: skip


# -- a lost tag, by what it hung on -----------------------------------------------------------------------------------


def test_a_lost_tag_is_printed_anew_by_the_name_of_what_it_hung_on(play):
    play("off horn LEFT; 2 AN3-5A")
    old = play.tag("horn, LEFT")
    said = told(play("reprint horn LEFT because lost"))
    assert play.job.state.tags[old].end is not None
    assert play.tag("horn, LEFT") != old
    assert "new tag" in said
    assert "hang it only on what you know it to be" in said


def test_a_bag_and_the_end_of_a_wire_are_named_too(play):
    play("off horn LEFT; 2 AN3-5A")
    play("disconnect plug LEFT; A: 3; B: 4")
    bag = play.bag("horn, LEFT")
    play("reprint bag of horn LEFT because oily")
    play("void plug LEFT B because torn off")
    ended = {code for code, tag in play.job.state.tags.items() if tag.end is not None}
    assert ended == {bag, next(c for c, tag in play.job.state.tags.items() if tag.thing == "plug, LEFT|B")}


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("reprint plug LEFT because lost", "which tag of plug, LEFT?"),
        ("reprint bag of plug LEFT because lost", "no such tag of plug, LEFT is out"),
        ("reprint horm LEFT because lost", "did you mean horn, LEFT?"),
        ("reprint horn LEFT", "a reason is needed"),
    ],
)
def test_a_tag_that_is_not_told_apart_is_asked_for(play, line, said):
    play("off horn LEFT; 2 AN3-5A")
    play("disconnect plug LEFT; A: 3; B: 4")
    assert said in told(play(line, Tone.WRONG))


# -- how many ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "said"), [(0, "0 findings"), (1, "1 finding"), (2, "2 findings"), (11, "11 findings")]
)
def test_one_is_not_many(count, said):
    assert how_many(count, "finding") == said


def test_one_finding_is_one_finding_wherever_it_is_told(play):
    play.lines("off horn LEFT; none\n? <tag horn, LEFT>\non\nclear tail LEFT: 9 of 9 tools\ncovers tail LEFT: all on")
    assert "1 FINDING" in play("check", Tone.WRONG).lines
    assert "1 finding stands without an answer" in told(play("sign off", Tone.WRONG))
    assert "1 TAG OUT" in told(play("tags", Tone.NOTE))
    assert "2 tags counted, 1 is out" in told(play("tags back 2", Tone.WRONG))


def test_tags_that_are_out_are_counted_back_and_not_taken_out_of_the_aircraft(play):
    play.lines("off horn LEFT; none\n? <tag horn, LEFT>\non")
    lines = play("check", Tone.WRONG).lines
    assert "COUNT THE TAGS BACK" in lines
    assert "TAKE IT OUT OF THE AIRCRAFT" not in lines


def test_a_difference_of_a_pair_that_stands_is_not_told_again_when_one_of_it_comes_off_once_more():
    play = Play()
    play.lines("~ zone tail LEFT\noff horn LEFT; mark UP, arrow FWD; 3 AN3-5A\n~ zone tail RIGHT")
    assert "PAIR DIFFERS" in "\n".join(play("off horn RIGHT; mark UP, arrow FWD; 2 AN3-5A").lines)
    play.lines("~ zone tail LEFT\n? <tag horn, LEFT>\nup fwd")
    assert "PAIR DIFFERS" not in "\n".join(play("off horn LEFT; mark UP, arrow FWD").lines)
