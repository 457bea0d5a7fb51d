"""Taking a step back: which one, while nothing rests on it, and what else goes with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from tagtrack.core.errors import Refusal
from tagtrack.core.events import Act, Checked, Event, Reversed, Ruled, SignedOff, TypeRuled
from tagtrack.core.fold import standing
from tagtrack.core.records import CheckRole, Ruling
from tagtrack.core.reversal import refuse_if_rested_on, taken_back, undoes
from tagtrack.core.shopbook import type_of
from tagtrack.core.spelling import reason
from tagtrack.core.state import State
from tagtrack.shop.closing import remember
from tagtrack.shop.desk import Job
from tagtrack.shop.ports import Who


def sign_off_act(job: Job) -> str:
    """Return the id of the act that signed the work order off; refuse where it is not signed off."""
    job.refresh()
    for act in reversed(standing(job.acts)):
        if any(isinstance(event, SignedOff) for event in act.events):
            return act.id
    raise Refusal(f"{job.name} is not signed off", expected="a sign-off", came="undo sign-off", todo="nothing to do")


def _undone_by(job: Job, who: Who, act_id: str = "") -> Act | None:
    """Return the act that an undoing would take back: the one named, or this person's last; None: there is none."""
    job.refresh()
    acts = job.acts
    stands = {act.id for act in standing(acts)}
    if act_id:
        target = next((a for a in acts if a.id == act_id), None)
    else:
        target = next((a for a in reversed(acts) if a.by == who.initials and a.id in stands and not undoes(a)), None)
    return None if target is None or target.id not in stands or target is acts[0] else target


def minutes_since(job: Job, act: Act) -> float:
    """Return how many minutes ago an act was recorded, by the clock of this computer."""
    return (datetime.fromisoformat(job.shop.means.clock()) - datetime.fromisoformat(act.at)).total_seconds() / 60


def undo(
    job: Job, who: Who, act_id: str = "", why: str = "", *, doubt: Callable[[Act], None] = lambda _: None
) -> tuple[Act, Act]:
    """Undo an act, by default the last one of this person; refused while a later one rests on it.

    `doubt` may object to the act that would be taken back, once it is known that it can be.
    Returns the act that undoes and the one that is undone.
    """
    target = _undone_by(job, who, act_id)
    acts = job.acts
    if target is None:
        raise Refusal(
            "there is nothing to undo", expected="a step of this job that was not undone yet",
            came=act_id or "no step of yours", todo="look at the history: tagtrack log",
        )  # fmt: skip
    wanted = target
    signs = any(isinstance(event, SignedOff) for event in wanted.events)
    if undoes(wanted) and any(isinstance(event, SignedOff) for event in taken_back(acts, wanted).events):
        raise Refusal("a sign-off that was taken back does not come back by itself", expected="a new sign-off",
                      came=f"undo {wanted.id}", todo="check again, then: sign off")  # fmt: skip

    looks = [e for e in wanted.events if isinstance(e, Checked) and e.role is CheckRole.INDEPENDENT]
    if looks and wanted.by != who.initials:
        raise Refusal(
            f"{wanted.by} saw that: {looks[0].observation}", expected=f"{wanted.by}, who takes it back, or looks again",
            came=f"undo by {who.initials}", todo=f"by {wanted.by}: undo {wanted.id}",
        )  # fmt: skip

    refuse_if_rested_on(acts, wanted)
    doubt(wanted)

    def make(state: State) -> Sequence[Event]:
        del state
        refuse_if_rested_on(job.acts, wanted)
        # a sign-off that is taken back has been printed and shown: the reason belongs to the record
        return (Reversed(wanted.id, reason(why) if signs or why else ""),)

    # with a sign-off standing, nothing but the sign-off itself is taken back
    act = job.commit(who, make, after_sign_off=signs)
    _remember_as_it_stands(job, who, wanted)
    return act, wanted


def _remember_as_it_stands(job: Job, who: Who, about: Act) -> None:
    """Keep with the type, or forget, what an act that was undone, or brought back, had ruled by design."""
    root = taken_back(job.acts, about)
    ruled = [e for e in root.events if isinstance(e, Ruled) and e.ruling is Ruling.BY_DESIGN]
    if not ruled:
        return
    opened = job.opened()
    known = job.shop.state.by_design.get(type_of(opened.make, opened.model), {})
    if root in standing(job.acts):
        remember(job, who, root)
    elif gone := [e for e in ruled if known.get(e.key) == e.reason]:
        job.shop.commit(who, lambda _: [
            TypeRuled(opened.make, opened.model, e.key, e.reason, withdrawn=True) for e in gone
        ])  # fmt: skip
