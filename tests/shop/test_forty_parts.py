"""Quick or it is not used: a job of forty parts and two hundred fasteners in at most 300 lines, opening to sign-off."""

from __future__ import annotations

from builders import Play

from tagtrack.core.check_rest import ROWS
from tagtrack.core.hardware import totals

PAIRS = 20
IN_HOLE = range(14, 20)  # 6 pairs: 12 parts
CRITICAL = range(4)  # 4 pairs: 8 parts
SIDES = ("LEFT", "RIGHT")
MOST_LINES = 300


def name(number):
    return f"cover {number}"


def removal(number):
    said = [f"off {name(number)} LEFT"]
    if number in CRITICAL:
        said.append("mark UP, arrow FWD; mount INBD; critical")
    said.append("5x [AN3-5A AN960-10 | AN960-10 MS21044N3]")
    if number in IN_HOLE:
        said.append("in hole")
    return "; ".join(said)


def take_apart(play):
    play("zone tail LEFT", None)
    for number in range(PAIRS):
        play(removal(number))
    play("zone tail RIGHT", None)
    for number in range(PAIRS):
        play(f"same {name(number)} RIGHT")


def put_back(play, side):
    play(f"zone tail {side}", None)
    for number in range(PAIRS):
        here = f"{name(number)}, {side}"
        play(f"<tag {here}>", None)
        play("up fwd" if number in CRITICAL else "on")
        if number not in IN_HOLE:
            play(f"<bag {here}>", None)
        play("all in tight safe")


def inspect(play):
    for side in SIDES:
        for number in CRITICAL:
            play(f"command {name(number)} {side}: stick back")
    play("by MB", None)
    for side in SIDES:
        for number in CRITICAL:
            seen = {row: "it moves UP" if row == "sense" else "seen, both sides" for row, _ in ROWS}
            play(f"inspect {name(number)} {side}; " + "; ".join(f"{row}: {what}" for row, what in seen.items()))
    play("by KT", None)


def test_forty_parts_come_off_and_go_back_in_at_most_300_lines():
    play = Play()
    take_apart(play)
    state = play.job.state
    assert len(state.parts) == 40
    bolts = totals(joint.stack for joint in state.joints.values())["AN3-5A"]
    assert bolts == 200
    bags = {tag.thing for tag in state.tags.values() if tag.role.value == "bag"}
    assert len(bags) == 28
    assert sum(known.critical for known in state.positions.values()) == 8
    for side in SIDES:
        put_back(play, side)
    inspect(play)
    for side in SIDES:
        play(f"complete tail {side}; clear: 14 of 14 tools back; covers: all twenty on")
    play.close()
    assert play.job.state.signed is not None
    assert play.count <= MOST_LINES
