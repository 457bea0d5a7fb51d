"""The papers of a work order, made when they are asked for: tags, report, reinstallation and handover sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import BinaryIO

from tagtrack.core.errors import Refusal
from tagtrack.core.handover import handover
from tagtrack.core.leftover import report
from tagtrack.core.records import TagRole
from tagtrack.core.refit_sheet import refit_sheet
from tagtrack.core.tagwords import face_of
from tagtrack.hangar.floor import Floor
from tagtrack.paper.labels import tags_pdf
from tagtrack.paper.report_pdf import Paper, report_pdf
from tagtrack.paper.template import load
from tagtrack.shop.desk import Job

_STOCK = {"letter": "letter-4x2in-10up", "a4": "a4-99x68mm-8up"}


def _tags(floor: Floor, job: Job, day: str, out: BinaryIO) -> None:
    del day
    codes = [code for code in job.open_tags() if job.state.tags[code].role is not TagRole.ZONE]
    if not codes:
        raise Refusal(f"no tag of {job.name} is out", expected="something taken off", came="nothing",
                      todo="take something off first")  # fmt: skip
    made = {act.id: f"{act.by} {act.at[:10]}" for act in job.acts}
    faces = [
        replace(face_of(job.state, code, job.knowledge, proof=str(job.head), by=made.get(job.state.tags[code].act, "")),
                address=floor.address) for code in codes
    ]  # fmt: skip
    tags_pdf(faces, load(_STOCK[floor.paper], shop=floor.labels), out=out, proof=f"{job.name}  {job.head}")


def _report(floor: Floor, job: Job, day: str, out: BinaryIO) -> None:
    sheet = report(job.state, floor.checked(job, asked=True), job.head, printed=day)
    report_pdf(sheet, out=out, paper=Paper(floor.paper))


def _refit(floor: Floor, job: Job, day: str, out: BinaryIO) -> None:
    report_pdf(refit_sheet(job.index(), job.head, printed=day), out=out, paper=Paper(floor.paper))


def _handover(floor: Floor, job: Job, day: str, out: BinaryIO) -> None:
    sheet = handover(job.index(), floor.checked(job, asked=False), job.acts, job.head, printed=day)
    report_pdf(sheet, out=out, paper=Paper(floor.paper))


PAPERS: Mapping[str, Callable[[Floor, Job, str, BinaryIO], None]] = {
    "tags": _tags, "report": _report, "reinstallation": _refit, "handover": _handover,
}
