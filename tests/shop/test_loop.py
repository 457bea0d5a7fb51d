"""The scan loop itself: questions that wait, people who change, words nearly right, tags with no business here."""

from __future__ import annotations

import pytest
from builders import Play, job

from tagtrack.core.reconcile import reconcile
from tagtrack.core.tagcode import shown, suffixed, with_check
from tagtrack.shop import tagging
from tagtrack.shop.lines.loop import WORDS
from tagtrack.shop.lines.talk import Tone

APART = """
~ zone tail LEFT
off weight LEFT; mark UP, arrow FWD; 2x [AN3-5A AN960-10 | AN310-3]
off cover LEFT; 4 AN525-10R8; closes weight L
~ zone tail RIGHT
same weight RIGHT
~ zone tail LEFT
"""


@pytest.fixture
def play():
    playing = Play()
    playing.lines(APART)
    return playing


def free_code(play, job_name):
    """Return a fresh code that the shop gave out to a job ('' for a blank)."""
    return play.job.shop.issue(play.loop.bench.who(), 1, job_name)[0]


# -- questions that wait ------------------------------------------------------------------------------------------


def test_a_question_waits_for_yes_with_a_reason(play):
    play.lines("~ at weight LEFT\n! <tag weight, RIGHT>\n? up fwd")
    before = len(play.job.acts)
    assert play("yes", Tone.WRONG).act is None, "yes alone is no reason"
    reply = play("yes, because the left one is at the painter", Tone.WRONG)
    assert len(play.job.acts) == before + 1
    assert reply.act.despite == "the left one is at the painter"


def test_no_records_nothing(play):
    play.lines("~ at weight LEFT\n! <tag weight, RIGHT>\n? up fwd")
    before = len(play.job.acts)
    play("no", Tone.NOTE)
    assert "no word of the loop" in play("yes, because late", Tone.WRONG).lines[0]
    assert len(play.job.acts) == before


def test_something_else_in_between_drops_the_question(play):
    play.lines("~ at weight LEFT\n! <tag weight, RIGHT>\n? up fwd\n~ zone tail LEFT")
    assert play("yes, because late", Tone.WRONG).act is None


def test_a_near_miss_is_asked_and_may_be_meant(play):
    reply = play("off weigth LEFT; none", Tone.ASK)
    assert "much like 'weight'" in reply.lines[0]
    play("yes, because it is called so on the drawing")
    assert "weigth, LEFT" in map(str, play.job.state.positions)


def test_numbered_panels_are_no_near_misses(play):
    play.lines("off panel 1 LEFT; 4 AN525-10R8\noff panel 2 LEFT; 4 AN525-10R8\noff upper panel LEFT; none")


# -- people -------------------------------------------------------------------------------------------------------


def test_a_badge_says_who_works_now(play):
    code = tagging.badge(play.job.shop, play.loop.bench.who(), "MB")
    assert tagging.badge(play.job.shop, play.loop.bench.who(), "MB") == code
    play(code, Tone.NOTE)
    assert play.loop.prompt.startswith("MB")
    assert play("put 1 rag at weight LEFT").act.by == "MB"


def test_an_unknown_person_is_told_with_those_who_are_known(play):
    reply = play("by XX", Tone.WRONG)
    assert "KT or MB" in " ".join(reply.lines)


# -- tags ---------------------------------------------------------------------------------------------------------


def test_a_blank_tag_gets_its_meaning_and_the_next_one_is_its_bag(play):
    part, bag = free_code(play, ""), free_code(play, "")
    play(shown(part), Tone.NOTE)
    play("off horn LEFT; 2 AN3-5A")
    play(shown(bag))
    assert play.tag("horn, LEFT") == part
    assert play.bag("horn, LEFT") == bag
    assert play.job.shop.state.issued[part[:7]] == play.job.name


def test_loose_hardware_may_go_back_into_its_hole(play):
    play.lines(f"~ {shown(free_code(play, ''))}\noff horn LEFT; 2 AN3-5A\nhole")
    assert (
        play.job.state.joints_of(next(p for p in play.job.state.positions if p.name == "horn"))[0].kept.kind.value
        == "hole"
    )
    assert "no loose hardware" in play("hole", Tone.WRONG).lines[0]


def test_a_tag_in_use_cannot_be_used_again(play):
    reply = play(f"off horn LEFT; none; tag {play.tag('cover, LEFT')}", Tone.WRONG)
    assert "in use already" in reply.lines[0]


def test_a_void_tag_says_what_replaces_it(play):
    old = play.tag("weight, LEFT")
    play(f"reprint {shown(old)} because torn off")
    new = play.tag("weight, LEFT")
    assert new != old
    assert shown(new) in play(shown(old), Tone.WRONG).lines[0]
    play(f"void {shown(play.bag('cover, LEFT'))} because soaked in oil")
    assert "is void" in play(shown(play.bag("cover, LEFT")), Tone.WRONG).lines[0]


def test_a_wire_end_keeps_its_letter_when_its_tag_is_replaced(play):
    play("disconnect trim wires CENTRE; A: 3; B: 4")
    end = next(t.code for t in play.job.state.tags.values() if t.thing == "trim wires, CENTRE|B")
    play(f"reprint {shown(end)} because lost")
    fresh = [t.code for t in play.job.state.tags.values() if t.thing == "trim wires, CENTRE|B" and t.end is None]
    assert [code[7] for code in fresh] == ["B"]
    assert fresh == [suffixed(fresh[0], "B")]


def test_a_misread_code_is_told_as_a_slip_and_never_as_not_found(play):
    code = play.tag("weight, LEFT")
    for wrong in (code[:3] + ("X" if code[3] != "X" else "Y") + code[4:], code[1] + code[0] + code[2:]):
        if wrong != code:
            assert "misread" in play(shown(wrong), Tone.WRONG).lines[0]


def test_a_code_that_was_never_given_out_is_told_as_such(play):
    stranger = with_check("2345678")
    assert "never issued here" in play(stranger, Tone.WRONG).lines[0]


def test_tags_are_listed_and_counted_back(play):
    play.lines("~ zone tail LEFT\n? <tag weight, LEFT>\nup fwd\n? <bag weight, LEFT>\nall in tight")
    listed = play("tags", Tone.NOTE)
    assert len(listed.lines) == 1 + len(play.job.open_tags())
    play(f"tags back {play.tag('weight, LEFT')} {shown(play.bag('weight, LEFT'))}")
    assert "is not out" in play(f"tags back {play.tag('weight, LEFT')}", Tone.WRONG).lines[0]
    assert "still in use" in play(f"tags back {play.tag('cover, LEFT')}", Tone.WRONG).lines[0]
    assert "are out" in play("tags back 40", Tone.WRONG).lines[0]
    assert "no tag code" in play("tags back everything", Tone.WRONG).lines[0]


# -- where things lie ---------------------------------------------------------------------------------------------


def test_a_scanned_place_tells_where_a_part_or_a_bag_lies(play):
    place = tagging.name_place(play.job.shop, play.loop.bench.who(), "shelf 2")
    assert tagging.name_place(play.job.shop, play.loop.bench.who(), "shelf 2") == place
    play.lines(f"~ zone tail LEFT\n? <tag weight, LEFT>\n{place}\n? <bag weight, LEFT>\n{place}")
    (missing,) = [
        f for f in reconcile(play.job.state).findings if str(f.position) == "weight, LEFT" and f.kind.value == "missing"
    ]
    assert missing.seen == "at shelf 2"
    assert "(shelf 2)" in missing.advice
    assert "what is put" in Play(play.job)(place, Tone.WRONG).lines[0]


def test_moving_a_part_to_where_it_is_says_so(play):
    place = tagging.name_place(play.job.shop, play.loop.bench.who(), "bench")
    play.lines("~ zone tail LEFT\n? <tag weight, LEFT>")
    assert "already" in play(place, Tone.WRONG).lines[0]


# -- words --------------------------------------------------------------------------------------------------------


def test_a_word_that_is_nearly_right_is_offered(play):
    assert "did you mean 'tight'" in " ".join(play("tigth", Tone.WRONG).lines)
    assert "type: help" in " ".join(play("xylophone", Tone.WRONG).lines)
    assert play("", Tone.NOTE).act is None


def test_help_lists_every_word_with_an_example(play):
    told = "\n".join(play("help", Tone.NOTE).lines)
    for word in set(WORDS) - {"dropped", "done"}:
        assert word in told, word


def test_quit_ends_the_loop(play):
    assert play("quit", Tone.NOTE).ends
    assert play("done", Tone.NOTE).ends


def test_a_part_scanned_without_saying_where_asks_where():
    play = Play()
    play.lines("off weight LEFT; mark UP, arrow FWD; 2 AN3-5A\n? <tag weight, LEFT>")
    assert "where are you" in play("on", Tone.ASK).lines[0]
    play.lines("~ at weight LEFT\n? <tag weight, LEFT>\nup fwd")


def test_both_sides_in_one_zone_ask_for_the_side():
    play = Play()
    play.lines("~ zone tail\noff weight LEFT; mark UP, arrow FWD; 2 AN3-5A\nsame\n? <tag weight, LEFT>")
    assert "which side" in play("up fwd", Tone.ASK).lines[0]
    assert "OTHER SIDE" in play("right up fwd", Tone.ASK).lines[0]
    play("no", Tone.NOTE)
    play("left up fwd")


def test_a_part_in_the_wrong_zone_is_stopped(play):
    play("zone nose", Tone.NOTE)
    assert "STOP" in play("<tag weight, LEFT>", Tone.WRONG).lines[0]


def test_what_was_moved_aside_goes_back_by_its_name_but_a_tagged_part_only_by_its_tag(play):
    play.lines("~ zone tail LEFT\naside hose LEFT; 1 hose clamp; in hole\non hose LEFT\nall in tight")
    assert "memory is not evidence" in " ".join(play("on weight LEFT", Tone.WRONG).lines)
    assert "came off in this job" in play("on hinge LEFT", Tone.WRONG).lines[0]


def test_the_bag_must_be_scanned_before_all_is_in(play):
    play.lines("~ zone tail LEFT\n? <tag weight, LEFT>\nup fwd")
    assert "memory is not evidence" in " ".join(play("all in tight", Tone.WRONG).lines)


def test_next_tells_what_waits_for_what(play):
    told = "\n".join(play("next", Tone.NOTE).lines)
    assert "cover, LEFT: for weight, LEFT" in told


def test_status_names_what_is_open_and_what_is_wrong_now(play):
    assert play("status", Tone.NOTE).lines[0].startswith("OPEN")
    play.lines("~ at weight LEFT\n! <tag weight, RIGHT>\n? up fwd\n! yes, because of the painter")
    assert play("status", Tone.WRONG).lines[0].startswith("WRONG NOW: 1")


def test_an_area_is_known_by_its_name(play):
    assert "did you mean tail LEFT" in " ".join(play("complete tail LEFFT", Tone.WRONG).lines)
    assert "FINDINGS" in play("check tail LEFT", Tone.WRONG).lines[0]


def test_a_wire_joins_by_its_tag_and_says_which_end_goes_where(play):
    play.lines("disconnect trim wires CENTRE; A: 3; B: 4; function\n? <wire trim wires, CENTRE A>\n3")
    assert "connected already" in play("<wire trim wires, CENTRE A>", Tone.WRONG).lines[0]
    play("connect <wire trim wires, CENTRE B>")
    assert "never disconnected" in play("connect weight LEFT", Tone.WRONG).lines[0]


def test_the_other_jobs_bag_is_told_by_its_own_name(play):
    second = job(name="WO-2", seed=9)
    code = next(iter(second.open_tags()), "") or second.code(play.loop.bench.who(), second.state)
    assert "never issued" in play(code, Tone.WRONG).lines[0]
