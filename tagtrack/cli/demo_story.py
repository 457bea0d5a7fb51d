"""The demo job: an invented aircraft, an invented shop, invented people. Nothing here is real.

Each step is a line of the scan loop, with what is to be seen. `<tag POSITION>` and `<bag POSITION>` stand for the
codes that the job gave out. A step with `caught` is a mistake, and the answer must be loud or a question.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the scan loop, or a heading where there is no line."""

    line: str = ""
    says: str = ""
    # a mistake that the program must catch, told in a few words
    caught: str = ""


AIRCRAFT = {
    "registration": "X-DEMO",
    "make": "Invented Aircraft",
    "model": "Demonstrator 2",
    "serial": "0001",
    "task": "replace worn elevator hinge bushing, left (INVENTED JOB)",
    "kind": "repair",
}
DATA = ("invented maintenance manual, chapter 27, revision 0",)
PEOPLE = (("AE", "Ada Example", "D-1001", "mechanic"), ("BS", "Ben Sample", "D-1002", "inspector"))

_WEIGHT = "mark UP, arrow FWD; mount INBD; critical; 2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!]; lock cotter"
_BRACKET = "mark OUTBD, arrow UP; mount FWD; critical; 4x [AN3-4A AN960-10 | AN960-10 MS21044N3]; lock self-locking"
_LOOKED = (
    "assembly: right part, right way up; locking: every pin or nut in place; travel: full and free; "
    "sense: elevator UP; tension: not affected; interaction: clear of the fairing"
)

APART: tuple[Step, ...] = (
    Step(says="Everything here is invented: the aircraft X-DEMO, its shop, its people and the work on it"),
    Step(says="Taking apart, left side"),
    Step("zone tail LEFT"),
    Step("off elevator tip fairing LEFT; 12 AN525-10R8; closes elevator balance weight L + hinge bracket L"),
    Step(f"off elevator balance weight LEFT; {_WEIGHT}"),
    Step(f"off hinge bracket LEFT; {_BRACKET}"),
    Step("disconnect bonding strap LEFT; keyed; goes to stud on the hinge rib; under elevator tip fairing L"),
    Step(says="Right side: the same, and where it is not the same, the count says so"),
    Step("zone tail RIGHT"),
    Step("same elevator tip fairing RIGHT; 11 AN525-10R8"),
    Step("<answer pair-differs>"),
    Step("same elevator balance weight RIGHT"),
    Step("same hinge bracket RIGHT"),
    Step(says="In the tail cone: two wires that could be exchanged, and caps put on"),
    Step("zone tail CENTRE"),
    Step("disconnect trim motor wires CENTRE; A: terminal 3 red sleeve; B: terminal 4 white sleeve; function"),
    Step("put 2 blue caps at trim motor wires CENTRE"),
    Step("setting elevator down stop CENTRE; as found 3.5 threads"),
    Step("point tail cone aft bulkhead CENTRE"),
    Step("shortage"),
    Step("status"),
)

BACK: tuple[Step, ...] = (
    Step(says="Putting back. Mistake after mistake is made, and each is caught"),
    Step("zone tail LEFT"),
    Step("<tag elevator balance weight, RIGHT>", caught="the right weight brought to the left side"),
    Step("<tag elevator balance weight, LEFT>"),
    Step("down fwd", caught="the right part, upside down"),
    Step("no"),
    Step("<tag elevator balance weight, LEFT>"),
    Step("up fwd"),
    Step("<bag elevator balance weight, LEFT>"),
    Step("in 2 AN3-5, 3 AN960-10, 2 AN310-3", caught="one washer stays in the bag"),
    Step("in 1 AN960-10"),
    Step("in 2 MS24665-132", caught="the old cotter pins go back"),
    Step("out 2 MS24665-132"),
    Step("new"),
    Step("tight 22 in-lb safe"),
    Step("<tag elevator tip fairing, LEFT>"),
    Step("on", caught="the fairing goes on while the bracket under it is still off"),
    Step("no"),
    Step("<tag hinge bracket, LEFT>"),
    Step("outbd up"),
    Step("new 4 AN3-5A", caught="bolts one grip longer taken from stock"),
    Step("out 4 AN3-5A"),
    Step("<bag hinge bracket, LEFT>"),
    Step("all in finger no tight per data"),
    Step("<tag bonding strap, LEFT>"),
    Step(says="A second look at the left side: not by the one who did it"),
    Step(f"inspect elevator balance weight LEFT; {_LOOKED}", caught="inspecting one's own work"),
    Step("command elevator balance weight LEFT: stick back"),
    Step("command hinge bracket LEFT: stick back"),
    Step("by BS"),
    Step("inspect elevator balance weight LEFT; sense: elevator DOWN", caught="the elevator moves the wrong way"),
    Step("no"),
    Step(f"inspect elevator balance weight LEFT; {_LOOKED}"),
    Step(f"inspect hinge bracket LEFT; {_LOOKED}"),
    Step("by AE"),
    Step("<tag elevator tip fairing, LEFT>"),
    Step("on"),
    Step("<bag elevator tip fairing, LEFT>"),
    Step("all in tight"),
    Step("complete tail LEFT; clear: 9 of 9 tools back, no rags; covers: tip fairing on, 12 screws"),
    Step(says="Right side"),
    Step("zone tail RIGHT"),
    Step("<other job>", caught="a tag of another aircraft"),
    Step("<tag elevator balance weight, RIGHT>"),
    Step("up fwd"),
    Step("<bag elevator balance weight, RIGHT>"),
    Step("dropped 1 AN960-10", caught="one washer dropped: told at once, searched, found"),
    Step("case L1 searched tail RIGHT: mirror and lamp"),
    Step("case L1 found: in the lower skin corner"),
    Step("all in new", caught="the joint is short: the found washer lies on the bench"),
    Step("in 1 AN960-10"),
    Step("tight 22 in-lb safe"),
    Step("<tag hinge bracket, RIGHT>"),
    Step("outbd up"),
    Step("<bag hinge bracket, RIGHT>"),
    Step("all in"),
    Step(says="Called away: for whoever goes on there is the handover sheet, and in short the word"),
    Step("handover"),
)

ON_FROM_THERE: tuple[Step, ...] = (
    Step(says="Going on: a bracket that is in by hand looks like one that is finished"),
    Step("command elevator balance weight RIGHT: stick back"),
    Step("command hinge bracket RIGHT: stick back"),
    Step("by BS"),
    Step(f"inspect elevator balance weight RIGHT; {_LOOKED}"),
    Step(f"inspect hinge bracket RIGHT; {_LOOKED}", caught="a second look asked for at a bracket never made tight"),
    Step("by AE"),
    Step("<tag hinge bracket, RIGHT>"),
    Step("finger no, tight per data"),
    Step("by BS"),
    Step(f"inspect hinge bracket RIGHT; {_LOOKED}"),
    Step("by AE"),
    Step("<tag elevator tip fairing, RIGHT>"),
    Step("on"),
    Step("<bag elevator tip fairing, RIGHT>"),
    Step("in 10 AN525-10R8", caught="one screw stays in the bag"),
    Step("in 1 AN525-10R8"),
    Step("tight"),
    Step(says="Tail cone"),
    Step("zone tail CENTRE"),
    Step("connect trim motor wires CENTRE; A; terminal 4 white sleeve", caught="the two wires exchanged"),
    Step("no"),
    Step("connect trim motor wires CENTRE; A; terminal 3 red sleeve"),
    Step("connect trim motor wires CENTRE; B"),
    Step("function trim motor wires CENTRE: trim UP, tab goes DOWN"),
    Step(says="Asked before sign-off, the check tells what was forgotten"),
    Step("check", caught="caps still on, a setting and a bulkhead never looked at again"),
    Step("take 2 blue caps"),
    Step("complete tail RIGHT; clear: 9 of 9 tools back, no rags; covers: tip fairing on, 11 screws"),
    Step("clear tail CENTRE: mirror and lamp back in the box, nothing left inside"),
    Step("covers tail CENTRE: none was off here"),
    Step("setting elevator down stop CENTRE; as left 3.5 threads"),
    Step("look tail cone aft bulkhead CENTRE: clean, no cracks, no tools"),
    Step("<tags back>"),
    Step("check"),
    Step("sign off"),
)
