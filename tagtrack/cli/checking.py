"""Commands that look: status, next, check, sign-off, log, verify."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import TYPE_CHECKING, Any

import click

from tagtrack.cli.options import BY, JOB
from tagtrack.cli.outcome import Exit
from tagtrack.cli.placing import tell_doubts
from tagtrack.cli.progress import with_progress
from tagtrack.cli.screen import show, tell
from tagtrack.cli.wiring import initials_of, job_of, opened_shop
from tagtrack.core.ahead import told_unused
from tagtrack.core.errors import Damaged, Fault, Refusal, Trouble
from tagtrack.core.events import Act, Attached, Head, Reversed
from tagtrack.core.findings import Finding
from tagtrack.core.reconcile import Reconciliation, reconcile
from tagtrack.core.records import position
from tagtrack.core.spelling import how_many, nearest
from tagtrack.core.steps import told as step_told
from tagtrack.shop import closing, mending
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.lines import listing, looking
from tagtrack.shop.lines.talk import Bench
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who

if TYPE_CHECKING:
    from tagtrack.journal.acts import ActJournal, Folder
    from tagtrack.journal.photos import Photos


@click.command()
@JOB
@click.pass_obj
def status(shop_folder: str | None, job: str | None) -> None:
    """What is off, and what is wrong now. Nothing is asked of areas that are still being worked."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        show(looking.status(Bench(job_of(shop, job, reading=True), ""), Who(""), ""))


@click.command("next")
@JOB
@click.pass_obj
def next_(shop_folder: str | None, job: str | None) -> None:
    """What can go on now, and what waits for what."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        show(looking.next_steps(Bench(job_of(shop, job, reading=True), ""), Who(""), ""))


@click.command()
@JOB
@click.pass_obj
def shortage(shop_folder: str | None, job: str | None) -> None:
    """What must be had new before the work order can close: by callout and count, with what was drawn already."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        show(looking.shortage(Bench(job_of(shop, job, reading=True), ""), Who(""), ""))


@click.command()
@JOB
@click.option("--area", default="", help="Only this area.")
@click.option("--closing", "cover", default="", metavar="POSITION", help="Only what this cover closes up.")
@click.option("--json", "as_json", is_flag=True, help="For programs.")
@click.pass_obj
def check(shop_folder: str | None, job: str | None, area: str, cover: str, as_json: bool) -> int:  # noqa: FBT001
    """Reconcile what came off with what went back. Exit code 0: clean; 3: a finding stands without an answer."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        opened = job_of(shop, job, reading=True)
        state = opened.refresh()
        named = closing.area_of(state, area) if area else ""
        closed_up = existing(state, position(cover)).position if cover else None
        outcome = reconcile(state, opened.knowledge, area=named, closing=closed_up)
        if as_json:
            asked = {"area": named or None, "closing": str(closed_up) if closed_up else None}
            document = _document(opened.name, opened.head, asked, outcome)
            click.echo(json.dumps(document, ensure_ascii=False, indent=1))
        else:
            scope = named or (f"what {closed_up} closes up" if closed_up else "the whole job")
            head = f"CLEAN: {scope}" if outcome.clean else f"{listing.how_many_found(outcome.unanswered)}: {scope}"
            click.secho(head, bold=True)
            told = listing.finding_lines(outcome.findings)
            if mending.worth_explaining(outcome):
                told += listing.explanation_lines(mending.explanations(opened))
            spare = told_unused(state) if not named and closed_up is None else ""
            told += [spare] if spare else []
            for line in told:
                tell(line)
            click.echo(f"record check number {opened.head}")
        return Exit.CLEAN if outcome.clean else Exit.FINDINGS


def _document(
    job: str, head: Head, asked: dict[str, str | None], outcome: Reconciliation
) -> dict[str, Any]:
    return {
        "job": job,
        "heads": [{"site": head.site, "seq": head.seq, "hash": head.hash}],
        # the one area, or the one cover, that the question was limited to; neither: the whole job
        "asked": asked,
        "clean": outcome.clean,
        "open": [_plain(f) for f in outcome.open],
        "findings": [_plain(f) for f in outcome.findings],
        # what stands in other areas than the one that was asked for
        "elsewhere": [_plain(f) for f in outcome.elsewhere],
    }


def _plain(finding: Finding) -> dict[str, Any]:
    answer = finding.answer
    return {
        "key": finding.key,
        "mark": finding.short,
        "kind": finding.kind.value,
        "severity": finding.severity.value,
        "position": finding.position.name if finding.position else None,
        "side": finding.position.side.value if finding.position else None,
        "area": finding.area or None,
        # of what is lost: the areas in which it may be; none of them, it may be in any
        "areas": list(finding.may_be) if finding.may_be is not None else [finding.area] if finding.area else [],
        # other positions that it holds up
        "also": [str(position) for position in finding.also],
        "thing": finding.thing,
        "expected": finding.expected,
        "seen": finding.seen,
        "acts": list(finding.acts),
        "advice": finding.advice,
        "answer": {"ruling": answer.ruling.value, "reason": answer.reason, "by": answer.by, "at": answer.at}
        if answer
        else None,
    }


@click.command("sign-off")
@JOB
@BY
@click.option("--second", default="", help="The second person, where one signs too.")
@click.pass_obj
def sign_off(shop_folder: str | None, job: str | None, by: str | None, second: str) -> None:
    """Close the work order as reconciled. Refused while a finding stands without an answer."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        opened = job_of(shop, job)
        closing.sign_off(opened, Who(initials_of(shop, by)), second)
        click.echo(f"RECONCILED  {opened.name}, record check number {opened.head}")
        spare = told_unused(opened.state)
        if spare:
            tell(spare)
        tell(f"reconciled is no release to service; print the report: tagtrack report --job {opened.name}")


@click.command()
@JOB
@click.pass_obj
def log(shop_folder: str | None, job: str | None) -> None:
    """Every recorded step of the work order, oldest first; undone ones are marked."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        opened = job_of(shop, job, reading=True)
        undone = {e.act for act in opened.acts for e in act.events if isinstance(e, Reversed)}
        for act in opened.acts:
            mark = "x" if act.id in undone else " "
            despite = f"   DESPITE: {act.despite}" if act.despite else ""
            tell(f"{mark} {act.id}  {act.at}  {act.by:<4} {step_told(act, opened.state)}{despite}")


@click.command()
@JOB
@click.option("--printed", metavar="NUMBER", help="A record check number from a tag or report: 41-9f3a22c1.")
@click.pass_obj
def verify(shop_folder: str | None, job: str | None, printed: str | None) -> int:
    """Check the record itself: every line against its own check sum and its predecessor's, photos against their names.

    With --printed: whether the record still goes through the number that stands on a tag or a report. Exit code 3: it
    does not, so what was printed is not what the record says now.
    """
    with opened_shop(shop_folder) as (shop, folder, _settings):
        if printed:
            return _against(job_of(shop, job, reading=True), folder, printed)
        names = _recorded(shop, folder)
        if job:
            names = [_one_of(names, job.strip().upper())]
        told = [_condition("the shop", nullcontext(folder.shop()), None)]
        told += (_condition(name, folder.looked_at(name), folder.photos(name))
                 for name in with_progress(names, "reading the records"))  # fmt: skip
        for line, _, _ in told:
            click.echo(line)
        tell_doubts(folder.root)
        doubts = [doubt for _, _, its in told for doubt in its]
        for doubt in doubts:
            click.echo(doubt)
        bad = sum(not good for _, good, _ in told)
        if bad:
            raise Damaged(f"{bad} of {how_many(len(told), 'record')} {'is' if bad == 1 else 'are'} damaged",
                          expected="every line good", came="see above",
                          todo="restore that file from a backup; what is good can still be read")  # fmt: skip
        if doubts:
            raise Damaged(f"{how_many(len(doubts), 'photo is', 'photos are')} not what the record names",
                          expected="each by its SHA-256", came="see above",
                          todo="look for them in a backup; the record itself is good")  # fmt: skip
        return Exit.CLEAN


def _photo_doubts(acts: Sequence[Act], photos: Photos) -> list[str]:
    """Return what is wrong with the photos that a good record names."""
    doubts = []
    for sha in dict.fromkeys(e.sha256 for act in acts for e in act.events if isinstance(e, Attached)):
        try:
            photos.check(sha)
        except Damaged as doubt:
            doubts.append(doubt.what)
    return doubts


def _against(job: Job, folder: Folder, printed: str) -> int:
    """Hold a printed record check number against the record, and say what came of it."""
    number, _, check = printed.strip().partition("-")
    if not (number.isdecimal() and len(check) >= 4 and all(c in "0123456789abcdef" for c in check.casefold())):
        raise Refusal(f"'{printed}' is no record check number", expected="as it is printed: 41-9f3a22c1", came=printed,
                      todo="type the number, the hyphen and the letters")  # fmt: skip
    there = folder.job(job.name).check_at(int(number))
    if there.startswith(check.casefold()):
        click.echo(f"{job.name} goes through {printed}: what was printed is in the record, as line {number}")
        return Exit.CLEAN
    click.echo(f"{job.name} does NOT go through {printed}: line {number} has {there[:8]}")
    click.echo("  another record, an older copy of it, or a sheet of another work order")
    return Exit.FINDINGS


def _recorded(shop: Shop, folder: Folder) -> list[str]:
    """Return the names of the work orders; where the shop's own record cannot tell them, by their folders."""
    try:
        return list(shop.state.jobs)
    except Fault:
        return list(folder.on_disk())


def _one_of(names: Sequence[str], wanted: str) -> str:
    if wanted in names:
        return wanted
    near = nearest(wanted, names)
    raise Refusal(f"there is no work order '{wanted}'", expected=", ".join(names[-5:]) or "a work order opened before",
                  came=wanted, todo=f"did you mean {near[0]}?" if near else "tagtrack jobs lists them")  # fmt: skip


def _condition(
    label: str, record: AbstractContextManager[ActJournal], photos: Photos | None
) -> tuple[str, bool, list[str]]:
    """Return what a record is like, as it is listed; whether it is good; and what is wrong with its photos if it is."""
    try:
        with record as opened:
            damage = opened.verify().damage
            if damage is not None:
                told = _listed(f"{label:<16} DAMAGED at line {damage.line}, byte {damage.byte}: ", damage.trouble)
                return told, False, []
            doubts = _photo_doubts(opened.acts(), photos) if photos is not None else []
            return f"{label:<16} good, record check number {opened.head()}", True, doubts
    except Trouble as trouble:
        return _listed(f"{label:<16} NOT READABLE: ", trouble), False, []


def _listed(head: str, trouble: Trouble) -> str:
    first, *rest = trouble.lines()
    return "\n".join((head + first, *(" " * 17 + line for line in rest)))
