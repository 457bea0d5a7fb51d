"""Any lines, sensible or not: counts are conserved, replay agrees, undoing restores, order does not matter."""

from __future__ import annotations

from builders import Play
from hypothesis import given, settings
from hypothesis import strategies as st

from tagtrack.core import codec
from tagtrack.core.fold import advance, fold
from tagtrack.core.index import Index
from tagtrack.core.places import Move
from tagtrack.core.reconcile import of_position, reconcile
from tagtrack.core.state import State

SPOTS = ["weight LEFT", "weight RIGHT", "cover LEFT", "wire CENTRE"]
STACK = "2x [AN3-5A AN960-10 | AN960-10 AN310-3 MS24665-132!]"

spots = st.sampled_from(SPOTS)
parts = st.sampled_from(["weight, LEFT", "weight, RIGHT", "cover, LEFT"])
counts = st.integers(0, 4)
specs = st.sampled_from(["AN3-5A", "AN960-10", "AN310-3", "MS24665-132", "AN525-10R8", "AN3-6A"])

LINES = st.one_of(
    st.sampled_from(
        [
            "zone tail LEFT",
            "zone tail RIGHT",
            "by KT",
            "by MB",
            "undo",
            "yes, because I really did it",
            "no",
            "on",
            "up fwd",
            "down fwd",
            "fwd up",
            "trial up fwd",
            "all in",
            "all in new tight safe",
            "tight",
            "safe",
            "new",
            "hole",
            f"off weight LEFT; mark UP, arrow FWD; {STACK}",
            "off weight LEFT; bag",
            "same weight RIGHT",
            "off cover LEFT; 4 AN525-10R8; closes weight L",
            "off cover LEFT; in hole",
            "loosened weight LEFT",
            "disconnect wire CENTRE; A: 3; B: 4; function",
            "connect wire CENTRE; A",
            "connect wire CENTRE; B; 3",
            "function wire CENTRE: works",
            "setting wire CENTRE; as found 3",
            "setting wire CENTRE; as left 4 because so it is",
            "point aft bulkhead CENTRE",
            "look aft bulkhead CENTRE: clean",
            "put 2 caps at weight LEFT",
            "take 1 caps",
            "case L1 found: on the floor",
            "case L1 accepted by Olga: searched all over",
            "complete tail LEFT",
            "check",
            "condition unserviceable because cracked",
            "condition serviceable because judged again",
            "replace; up fwd",
            "scrap because worn out",
            "send to shop because worn",
            "tags back 9",
            "undo 123",
            "lost",
            "drilled cover LEFT; 6 MS20470AD4-4",
            "chips out cover LEFT: vacuumed",
            "temporarily cover LEFT held by 2 screws",
            "inspect weight LEFT; sense: up is up",
            "inspect weight LEFT; not available: alone here",
        ]
    ),
    st.builds("<tag {}>".format, parts),
    st.builds("<bag {}>".format, parts),
    st.builds("at {}".format, spots),
    st.builds("{} {} {}".format, st.sampled_from(["in", "new", "out", "lost"]), counts, specs),
    st.builds("tight {}".format, counts),
    st.builds("{} {} {} because it must".format, st.sampled_from(["scrap", "stock", "added", "back"]), counts, specs),
    st.builds("recount <bag {}> {} {}".format, parts, counts, specs),
    st.builds("used 1 {} instead of 1 {} because it fits".format, specs, specs),
)
# so that most jobs are well under way when anything at all may be typed
SCRIPT = [
    "zone tail LEFT",
    f"off weight LEFT; mark UP, arrow FWD; critical; {STACK}",
    "off cover LEFT; 4 AN525-10R8; closes weight L",
    "disconnect wire CENTRE; A: 3; B: 4",
    "zone tail RIGHT",
    "same weight RIGHT",
    "at weight LEFT",
    "<tag weight, LEFT>",
    "up fwd",
    "<bag weight, LEFT>",
    "all in new tight safe",
]
JOBS = st.builds(
    lambda upto, rest: SCRIPT[:upto] + rest, st.integers(0, len(SCRIPT)), st.lists(LINES, min_size=15, max_size=40)
)


def played(lines):
    play = Play()
    for line in lines:
        try:
            filled = play.filled(line)
        except (StopIteration, KeyError):
            continue  # the thing that the code stands for never came off
        play(filled, None)
    return play


def total(state: State) -> dict[object, int]:
    counted: dict[object, int] = {}
    for lots in state.holdings.values():
        for item, count in lots.items():
            counted[item] = counted.get(item, 0) + count
    return counted


def moves_of(acts):
    return [
        move for act in acts for event in act.events for move in getattr(event, "moves", ()) if isinstance(move, Move)
    ]


@settings(max_examples=120)
@given(JOBS)
def test_nothing_is_ever_gained_or_lost(lines):
    play = played(lines)
    assert set(total(play.job.state).values()) <= {0}, (
        "every movement has two ends, so all places together hold nothing"
    )
    for place, lots in play.job.state.holdings.items():
        if place.kind.value not in ("uncounted", "stock"):
            assert min(lots.values()) > 0


@settings(max_examples=80)
@given(JOBS)
def test_the_picture_grown_step_by_step_is_the_picture_of_a_full_replay(lines):
    play = played(lines)
    stored = [codec.from_document(codec.to_document(act)) for act in play.job.acts]
    assert stored == list(play.job.acts)
    assert fold(stored) == play.job.state
    grown = State()
    for act in play.job.acts:
        undoes = any(type(event).__name__ == "Reversed" for event in act.events)
        grown = fold(stored[: stored.index(act) + 1]) if undoes else advance(grown, act)
    assert grown == play.job.state


@settings(max_examples=80)
@given(JOBS)
def test_undoing_the_last_step_restores_what_was_true_before(lines):
    play = played(lines)
    before = play.job.state
    findings = reconcile(before).findings
    reply = play("put 1 rag at weight LEFT", None)
    if reply.act is None:
        return  # signed off, or another position is asked about
    assert play.job.state != before
    play("undo")
    assert reconcile(play.job.state).findings == findings
    assert play.job.state == before


@settings(max_examples=80)
@given(JOBS)
def test_what_one_position_is_told_is_what_the_whole_check_says_of_it(lines):
    state = played(lines).job.state
    whole = reconcile(state).findings
    for position in state.positions:
        for finding in of_position(Index.of(state), position):
            assert finding in whole


LEFT = ["at weight LEFT", "<tag weight, LEFT>", "up fwd", "<bag weight, LEFT>", "all in new tight safe"]
RIGHT = [line.replace("LEFT", "RIGHT") for line in LEFT]
OFF = ["zone tail LEFT", f"off weight LEFT; mark UP, arrow FWD; {STACK}", "zone tail RIGHT", "same weight RIGHT"]


@given(st.lists(st.booleans(), min_size=10, max_size=10), st.integers(0, 5), st.integers(0, 5))
def test_the_order_of_independent_work_does_not_change_the_findings(choice, most_left, most_right):
    """Two people, each at one side, in whatever order their lines come."""
    one, other = Play(), None
    for line in OFF:
        one(line, None)
    other = Play(one.job, "MB")
    left, right = list(LEFT[:most_left]), list(RIGHT[:most_right])
    for first in choice:
        player, queue = (one, left) if first else (other, right)
        if queue:
            player(queue.pop(0), None)
    for player, queue in ((one, left), (other, right)):
        for line in queue:
            player(line, None)
    straight = Play()
    for line in [*OFF, *LEFT[:most_left], *RIGHT[:most_right]]:
        straight(line, None)
    assert {f.key for f in reconcile(one.job.refresh()).findings} == {
        f.key for f in reconcile(straight.job.state).findings
    }


@given(JOBS)
@settings(max_examples=40)
def test_every_movement_names_what_how_many_from_where_and_to_where(lines):
    for move in moves_of(played(lines).job.acts):
        assert move.count > 0
        assert move.source != move.target
