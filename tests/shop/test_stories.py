"""Each mistake that the program must find: it is made, it is told, it is mended, and the job can be signed off.

Every story begins with the same little job, written as a mechanic types it. `!` before a line: the answer is loud;
`?`: a question; `~`: a note; nothing: done.
"""

from __future__ import annotations

import pytest
from builders import Play, job

from tagtrack.core.findings import AT_ONCE, BY_DESIGN, Kind
from tagtrack.core.leftover import report
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import position
from tagtrack.shop import setup
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who

WEIGHT = "2x [AN3-5A AN960-10 | AN960-10 AN310-3 MS24665-132!]; lock cotter"
APART = f"""
~ zone tail LEFT
off tip fairing LEFT; 4 AN525-10R8; closes balance weight L
off balance weight LEFT; mark UP, arrow FWD; mount INBD; {WEIGHT}
~ zone tail RIGHT
same tip fairing RIGHT
same balance weight RIGHT
"""
BACK_LEFT = """
~ zone tail LEFT
? <tag balance weight, LEFT>
up fwd
? <bag balance weight, LEFT>
all in new tight safe
"""
BACK_RIGHT = BACK_LEFT.replace("LEFT", "RIGHT")
COVER_LEFT = """
~ zone tail LEFT
? <tag tip fairing, LEFT>
on
? <bag tip fairing, LEFT>
all in tight
"""
COVER_RIGHT = COVER_LEFT.replace("LEFT", "RIGHT")


def played(*texts):
    play = Play()
    for text in texts:
        play.lines(text)
    return play


def test_the_ordinary_job_raises_nothing_on_the_way_and_nothing_at_the_end():
    play = Play()
    for text in (APART, BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT):
        play.lines(text)
        assert reconcile(play.job.refresh(), asked=False).unanswered == ()
    play.close()
    assert reconcile(play.job.state).findings == ()


# kind, what is done before it, the mistake, the mend, what is left to do
STORIES = [
    (
        Kind.MISSING, "a weight stays on the bench",
        [BACK_RIGHT, COVER_RIGHT], "", [BACK_LEFT, COVER_LEFT],
    ),
    (
        Kind.SHORT, "one washer stays in the bag",
        [BACK_RIGHT, COVER_RIGHT],
        """
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        up fwd
        ? <bag balance weight, LEFT>
        ! in 2 AN3-5A, 3 AN960-10, 2 AN310-3
        ! new
        """,
        ["in 1 AN960-10\ntight safe", COVER_LEFT],
    ),
    (
        Kind.OVER, "a third washer goes under the head",
        [BACK_LEFT, BACK_RIGHT, COVER_RIGHT], "~ at balance weight LEFT\n! new 1 AN960-10",
        # its pins were bent before the joint was opened for that washer
        ["out 1 AN960-10, 2 MS24665-132\nnew\ntight safe", COVER_LEFT],
    ),
    (
        Kind.SWAPPED, "the right weight goes on at the left",
        [],
        """
        ~ at balance weight LEFT
        ! <tag balance weight, RIGHT>
        ? up fwd
        ! yes, because the left one is being painted
        """,
        ["off balance weight LEFT; none", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.TURNED, "a weight goes on upside down",
        [BACK_RIGHT, COVER_RIGHT],
        """
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        ? down fwd
        ! yes, because it looked right
        ? <bag balance weight, LEFT>
        all in new tight safe
        """,
        ["off balance weight LEFT; bag", BACK_LEFT, COVER_LEFT],
    ),
    (
        Kind.WRONG_HARDWARE, "bolts one grip longer from stock",
        [BACK_RIGHT, COVER_RIGHT],
        """
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        up fwd
        ! new 2 AN3-6A
        """,
        ["out 2 AN3-6A\n? <bag balance weight, LEFT>\nall in new tight safe", COVER_LEFT],
    ),
    (
        Kind.REUSED, "the old cotter pins go back",
        [BACK_RIGHT, COVER_RIGHT],
        """
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        up fwd
        ? <bag balance weight, LEFT>
        all in
        ! in 2 MS24665-132
        """,
        ["out 2 MS24665-132\nnew\ntight safe", COVER_LEFT],
    ),
    (
        Kind.NOT_TIGHT, "nobody tightens",
        [BACK_RIGHT, COVER_RIGHT],
        "~ zone tail LEFT\n? <tag balance weight, LEFT>\nup fwd\n? <bag balance weight, LEFT>\nall in new",
        ["tight safe", COVER_LEFT],
    ),
    (
        Kind.NOT_SAFETIED, "the pins are not said to be in",
        [BACK_RIGHT, COVER_RIGHT],
        "~ zone tail LEFT\n? <tag balance weight, LEFT>\nup fwd\n? <bag balance weight, LEFT>\nall in new tight",
        ["safe", COVER_LEFT],
    ),
    (
        Kind.SETTING, "a stop is never read again",
        [], "setting down stop CENTRE; as found 3.5 threads",
        ["setting down stop CENTRE; as left 3.5 threads", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.SETTING, "a stop is left otherwise, and nobody says why",
        [], "setting down stop CENTRE; as found 3.5 threads\nsetting down stop CENTRE; as left 4 threads",
        ["setting down stop CENTRE; as left 4 threads because the data asks for 4",
         BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.LEFT_OVER, "a spare washer lies in a bag",
        [BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT], "recount <bag balance weight, LEFT> 1 AN960-10",
        ["? <bag balance weight, LEFT>\nstock 1 AN960-10 because it came from another job"],
    ),
    (
        Kind.STILL_DISCONNECTED, "a strap hangs loose",
        [], "~ zone tail LEFT\ndisconnect bonding strap LEFT; keyed; goes to hinge rib",
        ["<wire bonding strap, LEFT keyed>", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.STILL_DISCONNECTED, "two wires are exchanged",
        [],
        """
        disconnect trim wires CENTRE; A: terminal 3; B: terminal 4
        ? connect trim wires CENTRE; A; terminal 4
        ! yes, because so it is
        ? connect trim wires CENTRE; B; terminal 3
        ! yes, because so it is
        """,
        ["connect trim wires CENTRE; A\nconnect trim wires CENTRE; B", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.STILL_DISCONNECTED, "the function of a connection is never checked",
        [], "disconnect trim wires CENTRE; keyed; function\nconnect trim wires CENTRE",
        ["function trim wires CENTRE: trim up, tab down", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.STILL_ABOARD, "caps are forgotten",
        [BACK_LEFT, BACK_RIGHT], "put 2 caps at balance weight LEFT",
        ["take 2 caps", COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.STILL_ABOARD, "chips of drilled rivets are not said to be out",
        [], "~ zone tail LEFT\ndrilled splice plate LEFT; 6 MS20470AD4-4\n~ at splice plate LEFT\nnew 6 MS20470AD4-4",
        ["chips out splice plate LEFT: vacuumed", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.TAGS_OUT, "the tags are never counted back",
        [BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT], "clear tail LEFT: 9 of 9 tools",
        ["tags back 8"],
    ),
    (
        Kind.LOST, "a washer falls into the tail",
        [], "? <bag balance weight, LEFT>\n! dropped 1 AN960-10",
        ["case L1 found: under the stringer",
         "~ zone tail LEFT\n? <tag balance weight, LEFT>\nup fwd\n? <bag balance weight, LEFT>\n! all in new\n"
         "in 1 AN960-10\ntight safe", BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.CLOSED_BEFORE_COMPLETE, "a fairing goes on over a weight that is still off",
        [BACK_RIGHT, COVER_RIGHT],
        """
        ~ zone tail LEFT
        ? <tag tip fairing, LEFT>
        ? on
        ! yes, because the hangar door has to be shut
        """,
        ["off tip fairing LEFT; none", BACK_LEFT, COVER_LEFT],
    ),
    (
        Kind.NOT_LOOKED_AT, "a bulkhead that could be reached is not looked at",
        [], "point aft bulkhead CENTRE",
        ["look aft bulkhead CENTRE: clean", BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT],
    ),
    (
        Kind.UNSERVICEABLE, "a cracked weight goes on",
        [BACK_RIGHT, COVER_RIGHT],
        """
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        condition unserviceable because cracked at the hole
        ? up fwd
        ! yes, because to move the aircraft
        """,
        [],
    ),
    (
        Kind.PAIR_DIFFERS, "one side has a screw fewer",
        [],
        "~ zone tail LEFT\noff tip light LEFT; 4 AN526-632R8\n~ zone tail RIGHT\nsame tip light RIGHT; 3 AN526-632R8",
        [],
    ),
    (
        Kind.PAIR_LOOKS_ALIKE, "one mark that both sides' parts would show",
        [],
        "~ zone tail LEFT\noff tip light LEFT; mark UP; mount INBD; 4 AN526-632R8\n~ zone tail RIGHT\n"
        "same tip light RIGHT",
        [],
    ),
    (
        Kind.DIFFERS_FROM_DATA, "the data asks for more than was found",
        [],
        "~ zone tail LEFT\noff skid LEFT; 3 AN525-10R8; per data 4 AN525-10R8 per 53-10",
        [],
    ),
    (
        Kind.NOT_INSPECTED, "nobody has a second look at a critical part",
        [BACK_LEFT, BACK_RIGHT, COVER_LEFT, COVER_RIGHT], """
        ~ zone tail CENTRE
        off trim rod CENTRE; 1 AN23-10; critical; lock none; in hole
        ? <tag trim rod, CENTRE>
        on
        all in tight
        """,
        ["~ by MB\ninspect trim rod CENTRE; assembly: right; locking: none; travel: full and free; "
         "sense: not affected; tension: none; interaction: clear"],
    ),
]  # fmt: skip


def once(told):
    """Return a story's name for the test's id."""
    return told if isinstance(told, str) and "\n" not in told and len(told) < 70 else ""


@pytest.mark.parametrize(("kind", "name", "before", "mistake", "mend"), STORIES, ids=[s[1] for s in STORIES])
def test_a_mistake_is_found_by_its_name_and_goes_when_it_is_mended(kind, name, before, mistake, mend):
    play = played(APART, *before)
    assert kind not in [f.kind for f in reconcile(play.job.state, asked=False).findings], name
    play.lines(mistake)
    found = [f for f in reconcile(play.job.refresh()).unanswered if f.kind is kind]
    assert found, name
    assert all(f.expected and f.seen and f.advice for f in found)
    at_once = [f for f in reconcile(play.job.state, asked=False).unanswered if f.kind is kind]
    assert bool(at_once) is (kind in AT_ONCE)
    if not mend:
        return
    for text in mend:
        play.lines(text)
    play.close()


@pytest.mark.parametrize("kind", [k for k in Kind if k is not Kind.NOT_THIS_JOB])
def test_there_is_a_story_for_every_kind(kind):
    assert kind in [story[0] for story in STORIES]


def test_a_tag_of_another_job_is_told_at_once_and_stands_until_it_is_answered():
    play = played(APART)
    other = job(name="WO-2", seed=2)
    shop = play.job.shop
    shop.issue(play.loop.bench.who(), 1, "WO-9")
    code = next(c for c, owner in shop.state.issued.items() if owner == "WO-9")
    from tagtrack.core.tagcode import shown, with_check

    code = with_check(code)
    reply = play(code, tone=None)
    assert "NOT THIS JOB" in reply.lines[0]
    assert reply.act is None
    play.lines(f"! seen {shown(code)} at balance weight LEFT")
    assert "not-this-job" in play.kinds(asked=False)
    strange = with_check(next(b for b in other.shop.state.issued))
    assert "never issued here" in play(strange, tone=None).lines[0]
    mark = next(f.short for f in reconcile(play.job.state).unanswered if f.kind is Kind.NOT_THIS_JOB)
    play(f"answer {mark} because the tag fell from a jacket, the part is in its own job")
    assert "not-this-job" not in play.kinds(asked=False)


def test_an_unserviceable_part_is_replaced_and_disposed_of():
    play = played(APART, BACK_RIGHT, COVER_RIGHT)
    play.lines("""
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        condition unserviceable because cracked at the hole
        replace; sn 77; up fwd
    """)
    assert "the old balance weight" in [f.thing for f in reconcile(play.job.refresh()).unanswered]
    play("scrap because cracked at the hole")
    play.lines("? <bag balance weight, LEFT>\nall in new tight safe")
    play.lines(COVER_LEFT)
    play.close()


def test_a_difference_between_the_sides_is_asked_once_and_answered():
    play = Play()
    play.lines("~ zone tail LEFT\noff tip light LEFT; 4 AN526-632R8\n~ zone tail RIGHT")
    reply = play("same tip light RIGHT; 3 AN526-632R8")
    assert any("PAIR DIFFERS" in line for line in reply.lines)
    mark = next(f.short for f in reconcile(play.job.state).unanswered if f.kind is Kind.PAIR_DIFFERS)
    play(f"design {mark} because the right one has a lens screw fewer")
    assert "pair-differs" not in play.kinds()


ALIKE = "~ zone tail LEFT\noff tip light LEFT; mark UP; mount INBD; 4 AN526-632R8"


def test_a_mark_that_is_missing_is_asked_for_once_both_sides_are_off_and_no_more_when_it_is_there():
    play = played(ALIKE)
    assert "pair-looks-alike" not in play.kinds()
    play("zone tail RIGHT", Tone.NOTE)
    told = "\n".join(play("same tip light RIGHT").lines)
    assert "needed: marks that tell left from right: one that points FWD or AFT" in told
    play.lines("marked tip light LEFT; arrow FWD\nmarked tip light RIGHT; arrow FWD")
    assert "pair-looks-alike" not in play.kinds()
    (mark,) = play.job.state.part_from(position("tip light LEFT")).marks.each[1:]
    assert str(mark) == "arrow FWD"


def test_what_is_so_by_the_design_of_the_type_is_not_asked_again_in_the_next_job_on_that_type():
    play = played(ALIKE, "~ zone tail RIGHT\nsame tip light RIGHT; 3 AN526-632R8")
    for finding in reconcile(play.job.state).unanswered:
        if finding.kind in BY_DESIGN:
            play(f"design {finding.short} because the holes are not the same")
    assert not {"pair-looks-alike", "pair-differs"} & set(play.kinds())

    def again(make, model):
        name = f"WO-{model or 'NONE'}".replace(" ", "-")
        next_one = Play(setup.open_job(play.job.shop, Who("KT"), job=name, registration="X-ELSE", make=make,
                                       model=model))  # fmt: skip
        next_one.lines(f"{ALIKE}\n~ zone tail RIGHT\nsame tip light RIGHT; 3 AN526-632R8")
        return {kind for kind in next_one.kinds() if kind.startswith("pair")}

    assert again("invented", "demo 2") == set()
    assert again("Invented", "Demo 3") == {"pair-looks-alike", "pair-differs"}
    assert again("Invented", "") == {"pair-looks-alike", "pair-differs"}, "without a model no type is known"


def test_a_missing_part_is_so_by_no_design():
    play = played(ALIKE)
    missing = next(f for f in reconcile(play.job.state).unanswered if f.kind is Kind.MISSING)
    assert "no design makes this so" in play(f"design {missing.short} because it is like that", None).lines[0]


RUDDER = """
~ zone tail LEFT
off aileron LEFT; critical; 1 AN23-10; in hole
? <tag aileron, LEFT>
on
all in tight safe
"""


def test_a_control_that_moves_the_wrong_way_stops_the_inspection_and_stands_if_it_is_recorded():
    play = played(RUDDER, "command aileron LEFT: stick left\n~ by MB")
    stopped = play("inspect aileron LEFT; sense: DOWN", None)
    assert stopped.lines[0] == "STOP: aileron, LEFT MOVES THE WRONG WAY"
    assert "stick left: UP" in stopped.lines[1]
    play("yes, because the owner wants to see it")
    assert "turned" in play.kinds()
    play("inspect aileron LEFT; sense: trailing edge UP")
    assert "turned" not in play.kinds()


@pytest.mark.parametrize(
    ("lines", "told"),
    [
        ("~ by MB", "which way the aileron moves is seen by two people"),
        ("~ by MB\ncommand aileron LEFT: stick left", "which way the aileron moves is seen by two people"),
        ("command aileron LEFT: stick left\n~ by MB", ""),
    ],
)
def test_a_sense_check_takes_two_people(lines, told):
    play = played(RUDDER, lines)
    reply = play("inspect aileron LEFT; sense: UP", None)
    assert reply.lines[0] == told if told else reply.act


def test_a_sense_check_says_a_direction():
    play = played(RUDDER, "command aileron LEFT: stick left\n~ by MB")
    assert play("inspect aileron LEFT; sense: as it should", None).lines[0] == "which way did it move?"
    play("inspect aileron LEFT; sense: not affected")


def test_a_life_limited_part_is_known_by_its_serial_number_and_so_is_its_replacement():
    play = Play()
    assert "life-limited" in play("off strut LEFT; life 1200 h left; 1 AN23-10", None).lines[0]
    play.lines("off strut LEFT; life 1200 h left; sn 77; 1 AN23-10\n? <tag strut, LEFT>")
    assert "life-limited" in play("replace; pn 9; sn 78", None).lines[0]
    told = play("replace; pn 9; sn 78; life 2000 h left").lines
    assert any("14 CFR 43.10" in line for line in told)
    new = play.job.state.part_from(position("strut LEFT"))
    assert (new.serial, new.life) == ("78", "2000 h left")


def test_a_washer_more_on_purpose_is_no_finding():
    play = played(APART, BACK_RIGHT, COVER_RIGHT)
    play.lines("""
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        up fwd
        ? <bag balance weight, LEFT>
        all in new
        added 1 AN960-10L because the cotter hole did not line up
        tight safe
    """)
    play.lines(COVER_LEFT)
    play.close()


def test_another_washer_instead_leaves_the_first_one_to_be_accounted_for():
    play = played(APART, BACK_RIGHT, COVER_RIGHT)
    play.lines(
        """
        ~ zone tail LEFT
        ? <tag balance weight, LEFT>
        up fwd
        ? <bag balance weight, LEFT>
        in 2 AN3-5A, 3 AN960-10, 2 AN310-3
        used 1 AN960-10L instead of 1 AN960-10 because it lines up the cotter hole
        new
        tight safe
    """.replace("        in 2", "        ! in 2")
    )
    assert "1 AN960-10" in [f.seen for f in reconcile(play.job.refresh()).unanswered if f.kind is Kind.LEFT_OVER]
    play.lines("? <bag balance weight, LEFT>\nscrap 1 AN960-10 because worn")
    play.lines(COVER_LEFT)
    play.close()


def renewed(play):
    """Return old, new, and where the old is, of the hardware on the report, by spec."""
    sheet = report(play.job.state, reconcile(play.job.state), play.job.head, printed="2026-03-02")
    (section,) = [s for s in sheet.sections if s.heading == "Replaced and scrapped"]
    return {(row[1], row[2], row[3]) for row in section.table.rows if row[0].startswith("hardware")}


def test_cotter_pins_that_went_in_new_stand_beside_the_old_ones_on_the_report():
    play = played(APART)
    assert renewed(play) == {("4 MS24665-132", "-", "scrap")}
    play.lines(BACK_LEFT)
    assert renewed(play) == {("4 MS24665-132", "2 MS24665-132", "scrap")}
    play.lines(BACK_RIGHT)
    assert renewed(play) == {("4 MS24665-132", "4 MS24665-132", "scrap")}


def test_what_went_in_new_without_an_old_one_thrown_away_stands_there_too():
    play = played(APART, BACK_LEFT, "added 1 AN960-10L because the cotter hole did not line up\ntight safe")
    assert ("-", "1 AN960-10L", "-") in renewed(play)
