"""Two people at one job, looks that say that something is not right, and the wrong thing in hand."""

from __future__ import annotations

import pytest
from builders import Play
from stories import KNOWLEDGE, findings, kinds, refit, told

from tagtrack.core import places
from tagtrack.core.findings import Kind
from tagtrack.core.leftover import report
from tagtrack.core.observations import said_not_right, sounds_wrong
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop import setup
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who

# -- two people -------------------------------------------------------------------------------------------------------


def test_a_number_that_was_undone_is_never_given_out_again(play):
    other = Loop(play.job, "MB")
    play("off horn LEFT; 2 AN3-5A")
    other.line("off stop LEFT; 4 AN525-10R8")
    play("undo")
    play("off clamp LEFT; 1 AN3-7A")
    assert [str(p.home) for p in play.job.state.parts.values()] == ["stop, LEFT", "clamp, LEFT"]
    assert list(play.job.state.parts) == ["p2", "p3"]
    assert list(play.job.state.joints) == ["j2", "j3"]


def test_a_case_that_was_undone_leaves_the_others_alone(play):
    play.lines("off horn LEFT; 2 AN3-5A\n! lost 1 AN3-5A\noff stop LEFT; 2 AN525-10R8\n! lost 1 AN525-10R8")
    first = next(act for act in play.job.acts if "Lost" in {type(e).__name__ for e in act.events})
    play(f"undo {first.id}")
    play.lines("off clamp LEFT; 2 AN3-7A\n! lost 1 AN3-7A")
    assert {loss.case: loss.what for loss in play.job.state.losses.values()} == {"L2": "AN525-10R8", "L3": "AN3-7A"}


@pytest.mark.parametrize("line", ["on", "up fwd", "scrap because cracked", "replace; pn 5", "lost", "down"])
def test_a_part_in_hand_that_somebody_undid_is_in_hand_no_more(play, line):
    play.lines("off horn LEFT; mark UP, arrow FWD; 2 AN3-5A")
    off = play.job.acts[-1].id
    play.lines("? <tag horn, LEFT>")
    other = Loop(play.job, "MB")
    other.line(f"undo {off} because it never came off")
    other.line("off stop LEFT; 2 AN3-6A")
    reply = play(line, None)
    assert reply.act is None
    assert "in hand" not in play.loop.prompt
    assert "stop" not in told(reply)


def test_nobody_signs_off_with_himself(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    play.lines("tags back 2")
    play.close_out()
    assert "second person" in told(play("sign off with KT", Tone.WRONG))
    assert "second person" in told(play("sign off with Kari Testad", Tone.WRONG))
    play("sign off with MB")


def test_whoever_worked_on_a_member_does_not_inspect_the_assembly(play):
    play.lines("off elevator LEFT; critical; lock none; 2 AN3-5A\noff bearing LEFT; 1 AN3-7A; part of elevator LEFT")
    play.lines(refit("elevator, LEFT") + "all in tight\n~ by MB\n" + refit("bearing, LEFT") + "all in tight")
    assert "worked on" in told(play("inspect elevator LEFT; assembly: as drawn", Tone.WRONG))


def test_a_ruling_by_design_that_is_undone_is_forgotten_for_the_type(play):
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone tail RIGHT\noff horn RIGHT; 3 AN3-5A")
    (asked,) = [f for f in findings(play) if f.kind is Kind.PAIR_DIFFERS]
    play(f"design {asked.short} because the right one has a lamp")
    ruled = play.job.acts[-1].id
    assert play.job.shop.state.by_design["invented demo 2"]
    play(f"undo {ruled}")
    assert not play.job.shop.state.by_design["invented demo 2"]
    play(f"undo {play.job.acts[-1].id}")
    assert play.job.shop.state.by_design["invented demo 2"]
    following = setup.open_job(play.job.shop, Who("KT"), job="WO-2", registration="X-TWO", make="Invented",
                               model="Demo 2")  # fmt: skip
    assert following.state.rulings


# -- what somebody saw ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("crack 20 mm long", "crack"), ("cotter pin missing", "missing"), ("jams at half", "jams"),
        ("rubs on the fairing", "rubs"), ("does not light", "does not"), ("it isn't tight", "isn't"),
        ("8 of 9 tools back", "8 of 9"), ("one panel still off", "still off"), ("DOWN, should be UP", "should be"),
        ("upside down", "upside down"), ("slack", "slack"), ("pin not in", "not in"),
        ("no crack", ""), ("clean, no cracks, no tools", ""), ("nothing loose or missing", ""),
        ("9 of 9 tools back", ""),
        ("both pins bent", ""), ("none missing", ""), ("free of corrosion", ""), ("not opened, because sealed", ""),
        ("not affected", ""), ("full and free", ""), ("tip fairing on, 11 screws", ""), ("no sign of leaks", ""),
        ("identical to the left one", ""),
    ],
)  # fmt: skip
def test_words_that_sound_like_a_defect(said, words):
    assert sounds_wrong(said) == words


@pytest.mark.parametrize(
    ("said", "wrong"),
    [("not right: crack", "crack"), ("NOT RIGHT, crack", "crack"), ("wrong", "not right"), ("failed: dark", "dark"),
     ("right", ""), ("nothing wrong", "")],
)  # fmt: skip
def test_a_look_that_says_it_is_not_right(said, wrong):
    assert said_not_right(said) == wrong


def test_a_defect_is_asked_about_and_stands_once_it_is_said_to_be_one(play):
    play.lines("point rib LEFT")
    assert "does not sound right" in told(play("look rib LEFT: crack 20 mm long", Tone.ASK))
    play("look rib LEFT: not right, crack 20 mm long")
    (finding,) = [f for f in findings(play) if f.kind is Kind.NOT_LOOKED_AT and f.position]
    assert finding.seen == "not right, by KT: crack 20 mm long"
    play(f"answer {finding.short} because within the limits of the manual, measured by MB")
    assert not [f for f in findings(play) if f.position]
    play("look rib LEFT: not right, crack 20 mm long")
    assert [f for f in findings(play) if f.position], "an answer from before holds no more"
    play("look rib LEFT: stop drilled and patched, clean")
    assert not [f for f in findings(play) if f.position]


def test_a_second_look_that_says_not_right_leaves_the_row_open(play):
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    play.lines("~ by MB\ninspect horn LEFT; assembly: not right, washer under the head; travel: full")
    rows = {f.thing: f.seen for f in findings(play) if f.kind is Kind.NOT_INSPECTED}
    assert rows["assembly of horn"] == "not right, by MB: washer under the head"
    assert "travel of horn" not in rows
    assert "what was seen" in told(play("inspect horn LEFT; again", Tone.WRONG))


COMMANDED = """
~ zone tail LEFT
off elevator LEFT; critical; lock none; 2 AN3-5A
? <tag elevator, LEFT>
on
? <bag elevator, LEFT>
all in tight
command elevator LEFT: stick back
~ by MB
"""


def test_a_reversed_control_is_not_cleared_by_another_command(play):
    play.lines(COMMANDED + "? inspect elevator LEFT; sense: DOWN\nyes, because that is what I saw")
    assert Kind.TURNED in kinds(play)
    play.lines("~ by KT\ncommand elevator LEFT: stick forward")
    assert any(f.thing == "sense of elevator" and f.kind is Kind.NOT_INSPECTED for f in findings(play))
    play.lines("~ by MB\ninspect elevator LEFT; sense: DOWN")
    assert not [f for f in findings(play) if f.thing == "sense of elevator"]


def test_both_ways_at_once_are_asked_about(play):
    play.lines(COMMANDED)
    assert "DOWN is said" in told(play("inspect elevator LEFT; sense: UP, then DOWN", Tone.ASK))


def test_an_area_closed_out_before_the_last_work_in_it_is_asked_again(play):
    play.lines("off horn LEFT; 2 AN3-5A")
    play("complete tail LEFT; clear: 9 of 9 tools back; covers: all on", Tone.WRONG)
    play.lines(refit("horn, LEFT") + "all in tight")
    assert {f.seen for f in findings(play) if f.area == "tail LEFT" and not f.position} == {
        "said before the last work there"
    }
    play.lines("clear tail LEFT: 9 of 9 tools back\ncovers tail LEFT: none was off")
    assert not [f for f in findings(play) if f.area == "tail LEFT"]


def test_a_setting_changed_only_after_the_second_look_ends_it_and_as_found_is_said_once(play):
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    play.lines("~ by MB\ninspect horn LEFT; assembly: as drawn; locking: no pin; travel: full; sense: not affected; "
               "tension: none; interaction: free\n~ by KT\nsetting horn LEFT; as found 3 threads")  # fmt: skip
    assert Kind.NOT_INSPECTED not in kinds(play)
    play("setting horn LEFT; as left 5 threads because the travel was short")
    assert Kind.NOT_INSPECTED in kinds(play)
    assert "read as found before" in told(play("setting horn LEFT; as found 5 threads", Tone.ASK))
    play("no", Tone.NOTE)
    play("setting horn LEFT; as left 3 Threads")
    assert Kind.SETTING not in kinds(play)


# -- answers ----------------------------------------------------------------------------------------------------------


def test_of_two_joints_alike_each_is_answered_for_itself(play):
    stack = "1x [AN3-5A AN960-10 | MS21044N3]"
    play.lines(f"off horn LEFT; {stack}; {stack}\n" + refit("horn, LEFT"))
    play("in 2 AN3-5A, 2 MS21044N3", Tone.WRONG)
    play("finger no tight")
    first, second = [f for f in findings(play) if f.kind is Kind.SHORT]
    assert first.short != second.short
    play(f"answer {first.short} because the owner brings one")
    assert [f.short for f in findings(play) if f.kind is Kind.SHORT] == [second.short]


def test_an_answer_ends_with_the_thing_it_was_about(play):
    play.lines("put 1 rig pin at horn LEFT")
    (pin,) = [f for f in findings(play) if f.kind is Kind.STILL_ABOARD]
    play.lines(f"answer {pin.short} because it stays for the next shift\ntake 1 rig pin\nput 1 rig pin at horn LEFT")
    assert Kind.STILL_ABOARD in kinds(play)


# -- the wrong thing in hand ------------------------------------------------------------------------------------------

SIDES = """
~ zone tail LEFT
off horn LEFT; 2 AN3-5A
~ zone tail RIGHT
off horn RIGHT; 2 AN3-6A
? <tag horn, RIGHT>
on
~ zone tail LEFT
? <tag horn, LEFT>
on
"""


@pytest.mark.parametrize("place", ["~ zone tail LEFT", "~ at horn LEFT"])
@pytest.mark.parametrize("line", ["all in tight", "in 2 AN3-6A"])
def test_the_other_sides_bag_is_stopped_before_anything_goes_in(play, place, line):
    play.lines(SIDES + place)
    assert "you are at" in told(play("<bag horn, RIGHT>", Tone.ASK))
    assert "STOP: this is the bag of horn, RIGHT" in told(play(line, Tone.ASK))
    play.lines("~ no\n~ zone tail RIGHT\n? <bag horn, RIGHT>\nall in tight")


def test_the_other_sides_wire_is_stopped(play):
    play.lines("disconnect light LEFT; keyed\n~ zone tail RIGHT\nsame light RIGHT\n~ zone tail LEFT")
    assert "STOP: this is light, RIGHT" in told(play("<wire light, RIGHT keyed>", Tone.WRONG))
    play("<wire light, LEFT keyed>")


def test_after_a_stop_the_hardware_in_hand_is_nobodys(play):
    play.lines(SIDES.replace("2 AN3-5A", "2 AN3-5A; in hole").replace("2 AN3-6A", "2 AN3-6A; in hole"))
    play("off horn RIGHT", Tone.ASK)
    play.lines("~ no\n~ zone tail RIGHT\noff horn RIGHT\n~ zone tail LEFT\n! <tag horn, RIGHT>")
    assert "of what?" in told(play("all in tight", Tone.WRONG))


def test_nothing_is_tight_around_a_part_that_is_not_on(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <bag horn, LEFT>")
    assert "itself is not on" in told(play("all in tight", Tone.ASK))
    play("yes, because the tag is torn off")
    play.lines("? <tag horn, LEFT>\non")
    assert Kind.NOT_TIGHT in kinds(play)
    play("tight")
    assert Kind.NOT_TIGHT not in kinds(play)


def test_a_bolt_shared_with_what_goes_on_later_is_made_tight_again(play):
    play.lines("off horn LEFT; none\noff tube LEFT; 1 AN3-12A; clamps horn LEFT")
    play.lines(refit("tube, LEFT") + "all in tight\n? <tag horn, LEFT>\non")
    assert Kind.NOT_TIGHT in kinds(play)


def test_a_count_of_several_joints_is_asked_which(play):
    play.lines("off horn LEFT; 1x [AN3-5A | MS21044N3]; 1x [AN3-6A | MS21044N3]\n" + refit("horn, LEFT"))
    play("all in finger no")
    assert "1 of which?" in told(play("tight 1", Tone.WRONG))
    play("tight 1 AN3-6A")
    assert Kind.NOT_TIGHT in kinds(play)
    play("tight 2")
    assert Kind.NOT_TIGHT not in kinds(play)


def test_what_was_scrapped_does_not_go_back_in(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <bag horn, LEFT>\nscrap 1 AN3-5A because cracked\n" + refit("horn, LEFT"))
    assert "there are not" in told(play("in 2 AN3-5A", Tone.WRONG))


def test_a_cover_that_stays_is_still_closed_too_early_when_its_screws_are_backed_off(play):
    play.lines("off fairing LEFT; 2 AN525-10R8; closes up horn LEFT\noff horn LEFT; 2 AN3-5A\n"
               "? <tag fairing, LEFT>\n? on")
    play("yes, because it rains", Tone.WRONG)
    play.lines("? <bag fairing, LEFT>\nall in tight\n" + refit("horn, LEFT") + "all in tight")
    assert Kind.CLOSED_BEFORE_COMPLETE in kinds(play)
    play.lines("loosened fairing LEFT\ntight")
    assert Kind.CLOSED_BEFORE_COMPLETE in kinds(play)


def test_all_that_is_wrong_is_told_before_one_reason_passes_it(play):
    play.lines("off fairing LEFT; mark UP, arrow FWD; 2 AN525-10R8; closes up horn LEFT\noff horn LEFT; 2 AN3-5A")
    play("<tag fairing, LEFT>", Tone.ASK)
    stopped = told(play("on mark down, arrow fwd", Tone.ASK))
    assert "WRONG WAY ROUND" in stopped
    assert "closes up what is not finished" in stopped


def test_a_replacement_is_stopped_like_the_part_it_replaces(play):
    play.lines("off fairing LEFT; mark UP, arrow FWD; 2 AN525-10R8; closes up horn LEFT\noff horn LEFT; 2 AN3-5A")
    play("<tag fairing, LEFT>", Tone.ASK)
    stopped = told(play("replace; pn 5; down fwd", Tone.ASK))
    assert "WRONG WAY ROUND" in stopped
    assert "closes up" in stopped


# -- dead ends --------------------------------------------------------------------------------------------------------


def test_one_screw_drilled_out_and_the_rest_unscrewed_in_either_order(play):
    play.lines("drilled fairing LEFT; 1 AN525-10R8\noff fairing LEFT; 11 AN525-10R8")
    play.lines("off lid LEFT; 11 AN525-10R8\ndrilled lid LEFT; 1 AN525-10R8")
    out = play.job.state.holdings[places.UNCOUNTED][places.used("AN525-10R8")]
    assert -out == 24


def test_a_bag_with_a_new_tag_is_the_same_bag(play):
    play.lines("off horn LEFT; 2 AN3-5A\nreprint <bag horn, LEFT> because oily\n? <tag horn, LEFT>\non")
    fresh = next(t.code for t in play.job.state.tags.values() if t.role.value == "bag" and t.end is None)
    assert "2 AN3-5A" in told(play(fresh, Tone.ASK))
    play("all in tight")


def test_hardware_on_record_is_counted_already(play):
    play.lines("off horn LEFT; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\noff horn LEFT; count later")
    play.lines(refit("horn, LEFT") + "all in tight")
    assert Kind.LEFT_OVER not in kinds(play)


def test_an_area_is_one_area_however_it_is_spelled(play):
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone TAIL left\noff stop LEFT; 2 AN3-6A")
    assert play.job.state.areas() == ("tail LEFT",)


def test_what_was_moved_aside_can_come_off_altogether(play):
    play.lines("aside tank LEFT; 2 AN3-5A; in hole\noff tank LEFT")
    assert play.job.state.part_from(position("tank LEFT")).place == places.BENCH
    assert play.tag("tank, LEFT")


def test_a_part_that_is_on_can_be_marked(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\ncondition hold because of a scratch\n? on")
    stopped = play("yes, because the inspector is on his way", None)
    del stopped
    play.lines("~ at horn LEFT\ncondition serviceable because MB looked at it")
    assert Kind.UNSERVICEABLE not in kinds(play)


def test_a_count_that_goes_back_is_shared_among_the_joints_and_may_be_none(play):
    play.lines("off horn LEFT; 1x [AN3-5A 2 AN960-10 | MS21044N3]; 1x [AN3-6A 2 AN960-10 | MS21044N3]\n"
               + refit("horn, LEFT"))
    play("back 5 AN960-10 because the hole lines up so")
    assert [{line.spec: line.count for line in j.back}["AN960-10"] for j in play.job.state.joints.values()] == [2, 3]
    play("back 0 AN960-10 because the data call for none")
    assert all("AN960-10" not in {line.spec for line in j.back} for j in play.job.state.joints.values())


def test_a_cover_held_by_some_of_its_screws_is_on_the_aircraft(play):
    play.lines("off fairing LEFT; 4 AN525-10R8\ntemporarily fairing LEFT HELD BY 2 screws")
    part = play.job.state.part_from(position("fairing LEFT"))
    assert part.place.kind is PlaceKind.POSITION
    assert Kind.MISSING in kinds(play), "still open"
    play.lines("? <tag fairing, LEFT>\non\n? <bag fairing, LEFT>\nall in tight")
    assert Kind.MISSING not in kinds(play)


def test_a_part_is_taken_off_where_it_is(play):
    play.lines("off horn LEFT; 2 AN3-5A\n~ zone tail RIGHT\nsame horn RIGHT\n~ at horn RIGHT\n! <tag horn, LEFT>\n? on")
    play("yes, because it was dark", Tone.WRONG)
    play("zone tail LEFT", Tone.NOTE)
    assert "off horn RIGHT" in told(play("off horn LEFT", Tone.WRONG))


def test_new_pieces_count_when_a_bag_is_counted_again(play):
    play.lines("off horn LEFT; 1x [AN3-5A AN960-10 | MS21044N3]\n" + refit("horn, LEFT"))
    play.lines("! in 1 AN3-5A, 1 AN960-10\nnew 1 MS21044N3\ntight\noff horn LEFT")
    bag = play.bag("horn, LEFT")
    play(f"recount {bag} 2 MS21044N3")
    assert sum(play.job.state.holdings[Place(PlaceKind.BAG, bag)].values()) == 4
    play(f"recount {bag} 0 MS21044N3", Tone.ASK)
    play("yes, because they were counted twice when they came off")
    assert places.used("MS21044N3") not in play.job.state.holdings[Place(PlaceKind.BAG, bag)]


def test_words_are_known_in_capitals(play):
    play.lines("off horn LEFT; 2 AN3-5A\nPUT 2 BLUE CAPS AT HORN LEFT\nTAKE 2 BLUE CAPS AT HORN LEFT")
    assert not [p for p in play.job.state.holdings if p.kind is PlaceKind.ABOARD]


def test_the_other_sides_wires_are_wires(play):
    play.lines("disconnect light LEFT; A: terminal 3; B: terminal 4; function\n~ zone tail RIGHT\nsame light RIGHT")
    assert [end.end for end in play.job.state.ends_of(position("light RIGHT"))] == ["A", "B"]
    assert play.job.state.positions[position("light RIGHT")].asks == ("function",)
    play.lines("connect light RIGHT; A; Terminal 3\nconnect light RIGHT; B; 4\nconnect light LEFT; A\n"
               "connect light LEFT; B")
    assert {f.seen for f in findings(play) if f.kind is Kind.STILL_DISCONNECTED} == {"no answer"}
    tags = len(play.job.state.tags)
    play("zone tail LEFT", Tone.NOTE)
    play("disconnect light LEFT; A: terminal 3; B: terminal 4")
    assert len(play.job.state.tags) == tags, "the wire bears its tags already"


def test_a_life_limited_part_is_no_same(play):
    play.lines("off pump LEFT; sn 77; life 1200 h left; 2 AN3-5A; part of engine LEFT; per data 2 AN3-5A per 73-10")
    assert "life-limited" in told(play("same pump RIGHT", Tone.WRONG))


def test_same_takes_the_data_and_the_assembly_along(play):
    play.lines("off pump LEFT; 2 AN3-5A; part of engine LEFT; per data 2 AN3-5A per 73-10\n~ zone tail RIGHT")
    play("same pump RIGHT")
    known = play.job.state.positions[position("pump RIGHT")]
    assert (str(known.parent), known.requirement.reference) == ("engine, RIGHT", "73-10")


# -- what was told, and what was not ----------------------------------------------------------------------------------


def test_one_reason_passes_only_what_was_told(play):
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n~ by MB")
    assert "'worn'" in told(play("inspect horn LEFT; assembly: worn within limits; locking: pin missing", Tone.ASK))
    assert "'missing'" in told(play("yes, because the wear is within limits", Tone.ASK))
    play("no", Tone.NOTE)
    assert not play.job.state.checks
    play("inspect horn LEFT; assembly: worn within limits; locking: pin missing", Tone.ASK)
    play("yes, because the wear is within limits", Tone.ASK)
    play("yes, because none belongs there")
    assert len(play.job.state.checks) == 2


def test_the_wrong_bag_does_not_hide_the_torque(play):
    play.lines(SIDES.replace("2 AN3-6A", "2x [AN3-6A AN960-10 | MS21044N3]") + "? <bag horn, RIGHT>")
    assert "bag of horn, RIGHT" in told(play("all in tight 250 in-lb", Tone.ASK))
    assert "250 in-lb is more" in told(play("yes, because the bags were exchanged", Tone.ASK))
    play("no", Tone.NOTE)


def test_not_available_is_never_put_over_a_look(play):
    play.lines(COMMANDED + "? inspect elevator LEFT; sense: DOWN\nyes, because that is what I saw\n~ by KT")
    play("inspect elevator LEFT; sense: not available, nobody in the cockpit", Tone.WRONG)
    play("inspect elevator LEFT; not available: the inspector went home", Tone.WRONG)
    assert Kind.TURNED in kinds(play)
    play("by MB", Tone.NOTE)
    play("inspect elevator LEFT; assembly: not right, crack 20 mm long")
    play("by KT", Tone.NOTE)
    assert "looked at the assembly" in told(play("inspect elevator LEFT; again; assembly: only a scratch", Tone.WRONG))


def test_a_row_that_is_not_available_and_one_that_is_refused_write_nothing(play):
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight")
    play("inspect horn LEFT; locking: not available, hidden; assembly: as drawn", Tone.WRONG)
    assert not play.job.state.checks


def test_whoever_set_it_too_does_not_inspect_it(play):
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\nsetting horn LEFT; as found 3 threads")
    play.lines(refit("horn, LEFT") + "all in tight\n~ by MB\nsetting horn LEFT; as left 4 threads because set")
    play.lines("~ by KT\nsetting horn LEFT; as left 4 threads because of the travel\n~ by MB")
    assert "worked on" in told(play("inspect horn LEFT; assembly: as drawn", Tone.WRONG))


def test_a_rudder_that_goes_the_other_way_is_a_finding_whatever_pedal_is_named(play):
    play.lines(COMMANDED.replace("elevator LEFT", "rudder CENTRE").replace("elevator, LEFT", "rudder, CENTRE")
               .replace("stick back", "left pedal").replace("zone tail LEFT", "zone tail"))  # fmt: skip
    play("inspect rudder CENTRE; sense: left pedal in, rudder goes RIGHT", Tone.ASK)
    play("yes, because that is what I saw")
    assert Kind.TURNED in kinds(play)


# -- covers -----------------------------------------------------------------------------------------------------------

UNDER = """
off fairing LEFT; 2 AN525-10R8; closes up horn LEFT
off horn LEFT; 2x [AN3-5A | MS21044N3]
setting horn LEFT; as found 3 threads
put 1 rag at horn LEFT
drilled skin LEFT; 4 MS20470AD4-4
point spar LEFT; under fairing LEFT
? <tag horn, LEFT>
on
? <bag horn, LEFT>
all in tight
? <tag fairing, LEFT>
? on
! yes, because it rains
? <bag fairing, LEFT>
all in tight
"""


@pytest.mark.parametrize(
    "line",
    ["look spar LEFT: clean all along", "setting horn LEFT; as left 3 threads", "take 1 rag at horn LEFT",
     "~ at horn LEFT\nfinger no"],
)  # fmt: skip
def test_whatever_is_said_of_what_lies_behind_a_closed_cover_leaves_it_closed_too_early(play, line):
    play.lines(UNDER + line)
    closed = [f for f in findings(play) if f.kind is Kind.CLOSED_BEFORE_COMPLETE]
    assert "after it was closed" in closed[0].seen
    play.lines("temporarily fairing LEFT held by 2 screws\n~ zone tail LEFT\n? <tag fairing, LEFT>\n? on")
    play.lines("! yes, because it is on" + "\n? <bag fairing, LEFT>\ntight")
    assert [f for f in findings(play) if f.kind is Kind.CLOSED_BEFORE_COMPLETE], "it never came off"


def test_a_skin_that_is_riveted_shut_is_closed(play):
    play.lines("drilled skin LEFT; 4 MS20470AD4-4; closes up horn LEFT\noff horn LEFT; 2 AN3-5A\n~ at skin LEFT")
    play("new 4 MS20470AD4-4", Tone.ASK)
    play("yes, because the horn goes in from below", None)
    play.lines("~ zone tail LEFT\n" + refit("horn, LEFT") + "all in tight")
    assert Kind.CLOSED_BEFORE_COMPLETE in kinds(play)


def test_the_screws_of_a_cover_may_hold_what_lies_under_it(play):
    play.lines("off fairing LEFT; 4 AN525-10R8; clamps bracket LEFT; closes bracket LEFT\noff bracket LEFT; none")
    play.lines("? <tag bracket, LEFT>\non\n" + refit("fairing, LEFT") + "all in tight")
    assert Kind.CLOSED_BEFORE_COMPLETE not in kinds(play)


def test_travel_and_sense_hold_no_cover_up(play):
    play.lines("off fairing LEFT; 2 AN525-10R8; closes up horn LEFT\noff horn LEFT; critical; lock none; 2 AN3-5A")
    play.lines(refit("horn, LEFT") + "all in tight\n~ by MB\n"
               "inspect horn LEFT; assembly: as drawn; locking: no pin; tension: none; interaction: free\n~ by KT")
    play.lines(refit("fairing, LEFT") + "all in tight")
    assert Kind.CLOSED_BEFORE_COMPLETE not in kinds(play)


# -- hardware, once more ----------------------------------------------------------------------------------------------


def test_a_shared_bolt_does_not_stand_for_the_parts_own_hardware(play):
    play.lines("off aileron LEFT; 3 AN3-7A, 6 AN960-10; clamps hinge bracket LEFT")
    assert "what holds" in told(play("off hinge bracket LEFT", Tone.WRONG))
    play("off hinge bracket LEFT; 6 AN3-4A, 6 AN960-10")
    assert len(play.job.state.joints) == 2


def test_what_never_came_off_cannot_be_the_same_on_the_other_side(play):
    play.lines("off aileron LEFT; 3 AN3-7A; clamps hinge bracket LEFT\n~ zone tail RIGHT\nsame aileron RIGHT")
    assert "no other side" in told(play("same hinge bracket RIGHT", Tone.WRONG))


def test_hardware_that_went_several_ways_is_typed_for_the_other_side(play):
    play.lines("off skin LEFT; 2 AN525-10R8\ndrilled skin LEFT; 4 MS20470AD4-4")
    assert "the same way" in told(play("same skin RIGHT", Tone.WRONG))


@pytest.mark.parametrize("after", ["new\nsafe", "new safe"])
def test_a_pin_goes_in_after_the_torque(play, after):
    play.lines("off horn LEFT; 1x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132]; lock cotter\n" + refit("horn, LEFT"))
    play.lines("all in tight 22 in-lb\n" + after)
    assert not kinds(play) & {Kind.NOT_TIGHT, Kind.NOT_SAFETIED, Kind.WRONG_HARDWARE}


def test_terminals_are_answered_as_they_were_written(play):
    play.lines("disconnect motor CENTRE; A: terminal 3; B: in line fuse\n? <wire motor, CENTRE A>\nterminal 3")
    play.lines("? <wire motor, CENTRE B>\nin line fuse")
    assert Kind.STILL_DISCONNECTED not in kinds(play)


@pytest.mark.parametrize("goes", ["Goes To J3", "goes to J3", "To J3", "TO J3"])
def test_where_a_plug_goes_is_understood_however_it_is_spelled(play, goes):
    play(f"disconnect plug LEFT; keyed; {goes}")
    (end,) = play.job.state.ends.values()
    assert end.as_found == "J3"


def test_what_was_found_again_goes_in_first(play):
    play.lines("off horn LEFT; 4 AN525-10R8\n? <bag horn, LEFT>\n! dropped 1 AN525-10R8\ncase L1 found: in the cowl")
    play.lines(refit("horn, LEFT") + "! in 1 AN525-10R8\nall in tight")
    assert not kinds(play) & {Kind.SHORT, Kind.LEFT_OVER}


def test_a_loss_that_was_accepted_and_turns_up_is_found(play):
    play.lines("off horn LEFT; 4 AN525-10R8\n! lost 1 AN525-10R8 in left tail")
    play.lines("case L1 accepted BY Olga Owner: all searched")
    play("case L1 found: under the seat")
    assert "is closed" in told(play("case L1 found: again", Tone.WRONG))


def test_an_area_is_found_whichever_way_its_words_stand(play):
    play.lines("off horn LEFT; 4 AN525-10R8\n! lost 1 AN525-10R8 in left tail")
    assert "is lost there" in told(play("complete tail LEFT", Tone.WRONG))


@pytest.mark.parametrize("seed", range(3))
def test_caps_are_caps_one_or_two(seed):
    play = Play()
    play.lines("put 1 blue cap at hose A LEFT\nput 2 blue caps at hose B LEFT\ntake 1 blue cap at hose A LEFT")
    play("take 2 blue caps")
    assert not [p for p in play.job.state.holdings if p.kind is PlaceKind.ABOARD], seed


def test_a_part_said_to_be_on_by_name_leaves_the_person_where_he_is(play):
    play.lines("~ zone nose\noff cowl CENTRE; 4 AN525-10R8\naside baffle RIGHT; 2 AN525-10R8; in hole\non baffle RIGHT")
    assert play.loop.bench.at is None
    play.lines("? <tag cowl, CENTRE>\non")


def test_one_bag_for_two_parts_serves_the_one_that_was_just_put_on(play):
    play("off horn LEFT; 2 AN3-5A")
    play("off stop LEFT; 4 AN525-10R8; bag " + play.bag("horn, LEFT"))
    play.lines(refit("horn, LEFT") + "all in tight\n? <tag stop, LEFT>\non\n? <bag horn, LEFT>\nall in tight")
    assert not kinds(play) & {Kind.SHORT, Kind.OVER, Kind.LEFT_OVER}


def test_a_void_bag_is_emptied_without_its_tag(play):
    play.lines("off horn LEFT; count later\nreprint <bag horn, LEFT> because oily\nfound horn LEFT; 4 AN525-10R8")
    fresh = next(t.code for t in play.job.state.tags.values() if t.role.value == "bag" and t.end is None)
    play.lines(f"? <tag horn, LEFT>\non\n? {fresh}\nall in tight")
    play.lines("off stop LEFT; 2 AN3-6A\nvoid <bag stop, LEFT> because torn off\n? <tag stop, LEFT>\non\nall in tight")
    assert not kinds(play) & {Kind.SHORT, Kind.LEFT_OVER}


def test_none_to_go_back_is_nothing_to_tighten(play):
    play.lines("off horn LEFT; 4 AN525-10R8\n? <tag horn, LEFT>\non\n? <bag horn, LEFT>")
    play.lines("back 0 AN525-10R8 because the data call for none\nstock 4 AN525-10R8 because not needed")
    assert not kinds(play) & {Kind.NOT_TIGHT, Kind.SHORT, Kind.LEFT_OVER}


def test_a_terminal_that_nobody_knew_is_no_finding(play):
    play.lines("disconnect motor CENTRE; A: ; B: \nconnect motor CENTRE; A; 3")
    play("connect motor CENTRE; B; 4 because drawn so")
    assert Kind.STILL_DISCONNECTED not in kinds(play)


# -- the third time ---------------------------------------------------------------------------------------------------

REVERSED = COMMANDED + "? inspect elevator LEFT; sense: DOWN\nyes, because that is what I saw\n~ by KT\n"


def test_a_command_is_not_taken_back_from_under_what_was_seen(play):
    play.lines(REVERSED)
    command = next(act for act in play.job.acts if any(getattr(e, "row", "") == "command" for e in act.events))
    assert "rests on" in told(play(f"undo {command.id}", Tone.WRONG))
    assert Kind.TURNED in kinds(play)


def test_a_question_is_not_taken_back_from_under_its_answer_nor_somebody_elses_look(play):
    play.lines("point rib LEFT\n~ by MB\nlook rib LEFT: not right, crack 20 mm long\n~ by KT")
    assert "rests on" in told(play("undo", Tone.WRONG))
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n~ by MB")
    play("inspect horn LEFT; assembly: not right, crack")
    look = play.job.acts[-1].id
    play("by KT", Tone.NOTE)
    assert "MB saw that" in told(play(f"undo {look}", Tone.WRONG))
    play.lines(f"~ by MB\nundo {look}")


@pytest.mark.parametrize(
    "seen", ["not UP, it goes DOWN", "no UP, DOWN", "nothing up, it went DOWN", "goes DOWNWARD, not UP", "drops"]
)
def test_a_movement_is_read_whatever_stands_before_it(play, seen):
    play.lines(COMMANDED)
    assert "MOVES THE WRONG WAY" in told(play(f"inspect elevator LEFT; sense: {seen}", Tone.ASK))


def test_work_ends_a_good_look_and_never_a_bad_one(play):
    play.lines("off horn LEFT; critical; lock none; 2 AN3-5A\n" + refit("horn, LEFT") + "all in tight\n~ by MB")
    play.lines("inspect horn LEFT; assembly: not right, crack 20 mm long\n~ by KT\n~ at horn LEFT\ntight")
    play("inspect horn LEFT; not available: MB went home", Tone.WRONG)
    assert any("crack" in f.seen for f in findings(play))
    play.lines("~ by MB\ninspect horn LEFT; assembly: stop drilled, as drawn")
    assert not any("crack" in f.seen for f in findings(play))


def test_a_nut_used_once_is_tightened_and_a_pin_is_not(play):
    play.lines("off horn LEFT; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3!]\n" + refit("horn, LEFT"))
    play.lines("all in tight 25 in-lb\nnew")
    assert Kind.NOT_TIGHT in kinds(play)


def test_fewer_than_came_off_is_asked_about(play):
    play.lines("off horn LEFT; 4 AN525-10R8")
    assert "lost 1 AN525-10R8" in told(play("recount <bag horn, LEFT> 3 AN525-10R8", Tone.ASK))
    play("yes, because three came off")
    play("recount <bag horn, LEFT> 4 AN525-10R8")


def test_a_cover_held_by_some_of_its_screws_is_made_tight_again(play):
    play.lines("off fairing LEFT; 4 AN525-10R8\n? <tag fairing, LEFT>\non\n? <bag fairing, LEFT>\nall in tight")
    play.lines("temporarily fairing LEFT held by 2 screws\n? <tag fairing, LEFT>\non")
    assert Kind.NOT_TIGHT in kinds(play)


def test_a_tag_seen_again_is_asked_again(play):
    other = Play(setup.open_job(play.job.shop, Who("KT"), job="WO-2", registration="X-ELSE"))
    other("off lid LEFT; none")
    code = other.tag("lid, LEFT")
    play(f"seen {code} at tail LEFT", Tone.WRONG)
    (asked,) = [f for f in findings(play) if f.kind is Kind.NOT_THIS_JOB]
    play(f"answer {asked.short} because only laid down there")
    assert Kind.NOT_THIS_JOB not in kinds(play)
    play(f"seen {code} at tail LEFT", Tone.WRONG)
    assert Kind.NOT_THIS_JOB in kinds(play)


@pytest.mark.parametrize(
    ("said", "words"),
    [("leaks: none", ""), ("leak check done, dry", ""), ("jam-nut tight", ""), ("slack taken up", ""),
     ("8/32 screws all in", ""), ("travel 15/20 deg", ""), ("worn bushing renewed", ""), ("pin not there", "not there"),
     ("not yet safetied", "not yet safetied"), ("seized", "seized"), ("panel open", "panel open"),
     ("rag still inside", "still inside")],
)  # fmt: skip
def test_more_words_that_sound_like_a_defect_or_do_not(said, words):
    assert sounds_wrong(said) == words


@pytest.mark.parametrize("verdict", ["not correct, shim missing", "incorrect", "no good", "bad", "rejected"])
def test_more_words_that_say_it_is_not_right(verdict):
    assert said_not_right(verdict)


def test_a_pin_of_something_loosened_is_thrown_away_first(play):
    play.lines("loosened crank LEFT; 1x [AN4-11 AN960-416 | AN310-4 MS24665-132]; lock cotter\n~ at crank LEFT")
    play.lines("out 1 MS24665-132\nnew\ntight safe")
    assert not kinds(play) & {Kind.REUSED, Kind.OVER, Kind.NOT_TIGHT, Kind.NOT_SAFETIED}


@pytest.mark.parametrize("line", ["on baffle LEFT; up", "on baffle LEFT up"])
def test_what_was_moved_aside_goes_back_with_its_marks(play, line):
    play.lines("aside baffle LEFT; 4 AN525-10R8; in hole; critical; lock none; mark UP\n" + line)
    assert str(play.job.state.part_from(position("baffle LEFT")).seen) == "mark UP"


def test_what_was_moved_aside_may_be_asked_first(play):
    play.lines("aside baffle LEFT; 4 AN525-10R8; in hole; critical; lock none; mark UP\n? on baffle LEFT\nup")
    assert Kind.NOT_LOOKED_AT not in {f.kind for f in findings(play) if f.position}


def test_a_pair_is_alike_again_once_what_was_missing_goes_back(play):
    play.lines("off lid LEFT; 12 AN525-10R8\n~ zone tail RIGHT\noff lid RIGHT; 11 AN525-10R8")
    assert Kind.PAIR_DIFFERS in kinds(play)
    play("back 12 AN525-10R8 because one was missing as found")
    assert Kind.PAIR_DIFFERS not in kinds(play)


def test_where_a_loss_was_searched_for_is_not_where_it_lies(play):
    play.lines("off horn LEFT; 4 AN525-10R8\n! lost 1 AN525-10R8 in tail LEFT\ncase L1 searched nose: not there")
    (loss,) = play.job.state.losses.values()
    assert loss.areas == ("tail LEFT",)


def test_a_number_names_a_terminal_only_where_it_is_its_own(play):
    play.lines("disconnect motor CENTRE; A: terminal 3 of relay 4; B: ground 2\n? <wire motor, CENTRE A>")
    assert "came from" in told(play("4", Tone.ASK))


def test_a_tag_printed_for_what_was_undone_hangs_on_nothing_else(play):
    play("off flap LEFT; 4 AN525-10R8")
    code = play.tag("flap, LEFT")
    assert code[:4] in told(play("undo"))
    assert "destroy it" in told(play(code, Tone.WRONG))


def test_a_question_that_another_question_pushes_aside_is_said_to_be_dropped(play):
    play.lines("off cuff LEFT; 2 AN3-5A\n? off cuff RIGHT; 2 AN3-5A")
    assert "NOT RECORDED" in play("off cufff LEFT; 2 AN3-5A", Tone.ASK).dropped
    assert "NOT RECORDED" in play("off", Tone.WRONG).dropped


def test_a_self_locking_nut_is_its_own_lock_and_a_bad_one_is_taken_out_first(play):
    play.lines("off horn LEFT; critical; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]\n" + refit("horn, LEFT"))
    assert "must not go back" in told(play("all in finger yes tight"))
    play.lines("out 2 MS21044N3\nnew 2 MS21044N3\ntight")
    assert not kinds(play) & {Kind.REUSED, Kind.OVER, Kind.SHORT, Kind.NOT_SAFETIED}


def test_the_tag_of_a_part_that_was_replaced_leads_to_the_new_ones_hardware(play):
    play.lines("off horn LEFT; 2 AN3-5A\n? <tag horn, LEFT>\nreplace; pn 5\nscrap because worn")
    old = next(p for p in play.job.state.parts.values() if p.replaced_by)
    assert "replaced; the new one is on" in told(play(old.tag, Tone.NOTE))
    play.lines("? <bag horn, LEFT>\nall in tight")


def test_whoever_commands_says_nothing_of_what_should_move(play):
    play.lines("off aileron LEFT; critical; lock none; 2 AN3-5A\n" + refit("aileron, LEFT") + "all in tight")
    assert "UP" not in told(play("command aileron LEFT: stick right"))


def test_the_report_of_a_job_that_a_second_person_looked_at_says_so(play):
    play.lines(COMMANDED + "inspect elevator LEFT; assembly: as drawn; locking: no pin; travel: full; sense: UP; "
               "tension: none; interaction: free")  # fmt: skip
    told_in = [s.heading for s in report(play.job.refresh(), reconcile(play.job.state, KNOWLEDGE), play.job.head,
                                         printed="2026-03-02").sections]  # fmt: skip
    assert "Independent inspection of critical positions" in told_in
    play.lines("~ by KT\n~ at elevator LEFT\ntight 25 in-lb")
    told_in = [s.heading for s in report(play.job.refresh(), reconcile(play.job.state, KNOWLEDGE), play.job.head,
                                         printed="2026-03-02").sections]  # fmt: skip
    assert "INDEPENDENT INSPECTION NOT COMPLETE" in told_in
