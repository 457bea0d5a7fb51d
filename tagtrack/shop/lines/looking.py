"""Words that look and record nothing: check, why, status, next, handover, shortage."""

from __future__ import annotations

from tagtrack.core import ahead
from tagtrack.core import handover as sheet
from tagtrack.core.half_done import interruption
from tagtrack.core.reconcile import Reconciliation, reconcile
from tagtrack.core.shortage import needs
from tagtrack.shop import closing, mending
from tagtrack.shop.lines import listing
from tagtrack.shop.lines.talk import Bench, Reply, Tone, note
from tagtrack.shop.ports import Who


def check(bench: Bench, who: Who, text: str) -> Reply:
    """`check`, or `check AREA`: what is still open counts as a finding."""
    del who
    state = bench.job.refresh()
    area = closing.area_of(state, text) if text else ""
    outcome = reconcile(state, bench.job.knowledge, area=area)
    if outcome.clean:
        answered = listing.finding_lines(outcome.findings)
        clean = f"CLEAN  {area or 'the whole job'}: no finding stands without an answer"
        return Reply(Tone.DONE, (clean, *answered, *printed_ahead(bench, area)))
    told = (listing.how_many_found(outcome.unanswered), *listing.finding_lines(outcome.findings),
            *printed_ahead(bench, area))  # fmt: skip
    return Reply(Tone.WRONG, (*told, *_explained(bench, outcome)), found=len(outcome.unanswered))


def printed_ahead(bench: Bench, area: str = "") -> list[str]:
    """Return what is to be done with tags that were printed ahead and never used; of one area nothing is asked."""
    told = "" if area else ahead.told_unused(bench.job.state)
    return [f"     {told}"] if told else []


def _explained(bench: Bench, outcome: Reconciliation) -> list[str]:
    if not mending.worth_explaining(outcome):
        return []
    return listing.explanation_lines(mending.explanations(bench.job))


def why(bench: Bench, who: Who, text: str) -> Reply:
    """`why`: what most likely happened where counts do not add up or parts are exchanged."""
    del who, text
    told = listing.explanation_lines(mending.explanations(bench.job))
    return note(*(told or ["nothing has to be explained, or nothing in the record explains it"]))


def status(bench: Bench, who: Who, text: str) -> Reply:
    """`status`: what is off, and what is wrong already; nothing is asked of what is still being worked."""
    del who, text
    outcome = reconcile(bench.job.refresh(), bench.job.knowledge, asked=False)
    # what somebody has answered waits for nothing; a check lists it with its answer
    still = tuple(f for f in outcome.open if f.answer is None)
    planned = ahead.still_on(bench.job.state)
    wrong_now = [f"WRONG NOW: {len(outcome.unanswered)}", *listing.finding_lines(outcome.unanswered)]
    return Reply(
        Tone.WRONG if outcome.unanswered else Tone.NOTE,
        (*(wrong_now if outcome.unanswered else ()), f"OPEN: {len(still)}", *listing.open_lines(still),
         *listing.planned_lines(planned)),
        found=len(outcome.unanswered),
    )


def next_steps(bench: Bench, who: Who, text: str) -> Reply:
    """`next`: what can go on now, and what waits for what."""
    del who, text
    steps = closing.next_steps(bench.job)
    told = ["CAN GO ON NOW, last off first"]
    told += [f"  {p}" for p in steps.now if p not in steps.off_too] or ["  nothing"]
    if steps.off_too:
        told += ["GOES WITH WHAT IS OFF TOO (it is part of it, or one bolt holds both)",
                 *(f"  {p}: with {'; '.join(map(str, steps.off_too[p]))}" for p in steps.now if p in steps.off_too)]
    if steps.waiting:
        told += ["WAITS", *(f"  {p}: for {'; '.join(map(str, below))}" for p, below in steps.waiting)]
    return note(*told)


def handover(bench: Bench, who: Who, text: str) -> Reply:
    """`handover`: what is half done, for whoever goes on with it; the whole sheet is a paper."""
    del who, text
    state = bench.job.refresh()
    outcome = reconcile(state, bench.job.knowledge, asked=False)
    left = interruption(bench.job.index(), outcome, bench.job.acts)
    told = [sheet.verdict(state, left)]
    for each in left.half:
        told.append(f"  {sheet.named_critical(each.position, critical=each.critical)}")
        told += [f"      {line}" for line in ("; ".join(each.stands), *each.lacks)]
        told.append(f"      last: {sheet.last_step(each)}")
    told += ["WRONG NOW"] if left.wrong else []
    told += [f"  {f.kind.value}: {sheet.where_and_what(f)}: {f.seen}{sheet.frozen(f)}" for f in left.wrong]
    told += ["LOOK AT THESE LAST STEPS BEFORE GOING ON" if not state.signed else "LAST STEPS"]
    told += [f"  {act.at[:16].replace('T', ' ')} UTC  {act.by}  {words}"
             for act, words, look in sheet.last_steps(state, bench.job.acts) if look]  # fmt: skip
    told += [f"the whole sheet, to be signed by both: tagtrack handover --job {bench.job.name}, or the page's papers"]
    return Reply(Tone.WRONG if left.wrong else Tone.NOTE, tuple(told), found=len(left.wrong))


def shortage(bench: Bench, who: Who, text: str) -> Reply:
    """`shortage`: what must be had new before the job can close."""
    del who, text
    bench.job.refresh()
    lacking = needs(bench.job.index())
    if not lacking:
        return note("NOTHING more has to be had new, by the record")
    return note("TO BE HAD NEW", *(
        f"  {need.lacking} {need.text}: {'; '.join(map(str, need.where))}"
        + (f"   ({need.drawn} drawn already)" if need.drawn else "")
        for need in lacking
    ))  # fmt: skip
