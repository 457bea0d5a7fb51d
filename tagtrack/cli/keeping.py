"""Commands that keep the record: backup, restore, export."""

from __future__ import annotations

import csv
import io
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tagtrack.cli.options import JOB
from tagtrack.cli.outcome import Exit
from tagtrack.cli.screen import tell
from tagtrack.cli.sheets import write_refit, write_report
from tagtrack.cli.wiring import find_root, job_of, opened_shop, today
from tagtrack.core.errors import Fault
from tagtrack.core.hardware import text_of
from tagtrack.core.places import told
from tagtrack.core.reconcile import reconcile
from tagtrack.core.spelling import how_many
from tagtrack.core.steps import told as step_told
from tagtrack.core.tagcode import shown
from tagtrack.shop.desk import Job

if TYPE_CHECKING:
    from tagtrack.journal.contents import Copied


@click.command()
@click.argument("folder", required=False, metavar="[FOLDER]")
@click.option("--unpacked", is_flag=True, help="As a folder that opens as it lies: tagtrack --shop COPY jobs.")
@click.option("--keep", type=click.IntRange(min=1), default=14, show_default=True, help="So many generations.")
@click.pass_obj
def backup(shop_folder: str | None, folder: str | None, unpacked: bool, keep: int) -> int:  # noqa: FBT001
    """Copy the whole shop into FOLDER, into one archive, and check it. Work may go on meanwhile.

    Best on another disk. Without FOLDER: beside the shop's own folder. The oldest copies of this shop go, but never one
    that holds a record or a photo which the shop does not hold any more. Exit code 5, where a work order's record is
    not there: everything else is copied.
    """
    from tagtrack.journal.backup import back_up
    from tagtrack.journal.unpacked import copy_out

    root = Path(os.path.abspath(find_root(shop_folder)))  # noqa: PTH100 - beside the name that people use for it
    into = Path(folder) if folder else root.parent / f"{root.name}-backups"
    stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%SZ")
    copied, rotated = (copy_out if unpacked else back_up)(root, into, stamp=stamp, keep=keep)
    tell(f"{copied.path}")
    tell(f"  {_told_of(copied)}; read back and good; {how_many(rotated.kept, 'generation')} there")
    for note in rotated.notes:
        tell(f"  note: {note}")
    if unpacked:
        tell(f"look at it: tagtrack --shop {copied.path} jobs")
    if copied.missing:
        raise Fault(f"the record of {', '.join(copied.missing)} is not there; everything else was copied",
                    expected="a record of each work order that the shop tells of", came=f"none in {root / 'jobs'}",
                    todo="look for it in an earlier backup, and put its folder back by hand")  # fmt: skip
    return Exit.CLEAN


def _told_of(copied: Copied) -> str:
    return ", ".join((how_many(copied.journals, "record"), how_many(copied.lines, "line"),
                      how_many(copied.others, "other file")))  # fmt: skip


@click.command()
@click.argument("backup", type=click.Path(exists=True))
@click.argument("folder")
def restore(backup: str, folder: str) -> None:
    """Make a shop again from BACKUP, an archive or a folder, and check every record.

    FOLDER must be new or empty.
    """
    from tagtrack.journal.restore import restore as put_back

    copied = put_back(Path(backup), Path(folder))
    tell(f"{copied.path}: {_told_of(copied)}; all good")
    tell(f"look at it: tagtrack --shop {folder} jobs")


@click.command()
@JOB
@click.option("-o", "--out", metavar="FOLDER", help="Where to; a folder of the work order otherwise.")
@click.pass_obj
def export(shop_folder: str | None, job: str | None, out: str | None) -> None:
    """Write a work order so that it can be read without this program: PDF, plain text, CSV tables, its raw record."""
    from tagtrack.paper.whole_file import write_atomically

    with opened_shop(shop_folder) as (shop, folder, settings):
        opened = job_of(shop, job, reading=True)
        opened.refresh()
        into = Path(out) if out else folder.job_folder(opened.name) / "export"
        into.mkdir(parents=True, exist_ok=True)
        written = [
            *write_report(opened, into / "report.pdf", paper=settings.paper, day=today(), png=False),
            *write_refit(opened, into / "refit.pdf", paper=settings.paper, day=today(), png=False, everything=True),
        ]
        for name, rows in _tables(opened).items():
            text = io.StringIO()
            csv.writer(text).writerows(rows)
            written.append(into / f"{name}.csv")
            # a mark at the beginning, so that spreadsheets know the coding
            write_atomically(written[-1], text.getvalue().encode("utf-8-sig"))
        written.append(into / "record.jsonl")
        write_atomically(written[-1], folder.job(opened.name).raw())
        for path in written:
            tell(str(path))


_PARTS = (
    "position", "side", "part number", "serial number", "life", "marks", "marks at refit", "is now", "tag", "condition",
)  # fmt: skip


def _tables(job: Job) -> dict[str, list[tuple[str, ...]]]:
    """Return the parts, hardware, findings and steps of a work order as rows under headings."""
    state = job.state
    outcome = reconcile(state, job.knowledge)
    parts = [
        (p.home.name, p.home.side.value, p.number, p.serial, p.life, str(p.marks), str(p.seen), told(p.place),
         shown(p.tag) if p.tag else "", p.condition.value)
        for p in state.parts.values()
    ]  # fmt: skip
    hardware = [
        ("; ".join(map(str, j.positions)), str(j.stack), text_of({line.spec: line.count for line in j.back}),
         told(j.kept), str(j.tight), j.torque, "yes" if j.safe else "no")
        for j in state.joints.values()
    ]  # fmt: skip
    findings = [
        (f.kind.value, f.severity.value, str(f.position or f.area), f.thing, f.expected, f.seen,
         f.answer.reason if f.answer else "", f.answer.by if f.answer else "")
        for f in outcome.findings
    ]  # fmt: skip
    steps = [(a.id, a.at, a.by, a.via.value, step_told(a, job.state), a.despite) for a in job.acts]
    return {
        "parts": [_PARTS, *parts],
        "hardware": [("joint", "found", "to go back", "kept in", "tight", "torque", "safetied"), *hardware],
        "findings": [("kind", "severity", "where", "thing", "expected", "seen", "answer", "by"), *findings],
        "steps": [("step", "at", "by", "via", "what", "despite"), *steps],
    }  # fmt: skip
