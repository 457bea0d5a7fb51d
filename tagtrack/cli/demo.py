"""`tagtrack demo`: plays the invented job of `demo_story` through the same verbs that a shop uses.

Its clock, codes and identities come from a fixed seed, so that the same version always leaves the same papers.
"""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import click

from tagtrack.cli.demo_story import AIRCRAFT, APART, BACK, DATA, ON_FROM_THERE, PEOPLE, Step
from tagtrack.cli.printing import faces, write_tags
from tagtrack.cli.screen import show, tell
from tagtrack.cli.sheets import write_handover, write_refit, write_report
from tagtrack.cli.wiring import SETTINGS_FILE, Settings, program_version, settings_text, solve
from tagtrack.core.callout import Decoder
from tagtrack.core.errors import Refusal
from tagtrack.core.events import TagsIssued
from tagtrack.core.faces import FaceKind
from tagtrack.core.findings import Kind
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import TagRole
from tagtrack.core.spelling import how_many
from tagtrack.core.tagcode import ALPHABET, BODY, shown
from tagtrack.core.tagwords import blank_face
from tagtrack.journal.acts import Folder
from tagtrack.paper.whole_file import write_atomically
from tagtrack.shop import setup as setting_up
from tagtrack.shop import tagging
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Means, Who
from tagtrack.tables.loader import load

_DAY = "2026-03-02"
_SEED = 20260302


def _means() -> Means:
    chance = random.Random(_SEED)  # noqa: S311 - an invented job, not a secret
    ticks = iter(range(10**6))

    def clock() -> str:
        minutes, seconds = divmod(next(ticks) * 20, 60)
        return f"{_DAY}T{8 + minutes // 60:02}:{minutes % 60:02}:{seconds:02}Z"

    return Means(
        clock=clock,
        new_id=lambda: f"{chance.getrandbits(48):012x}",
        new_body=lambda: "".join(chance.choice(ALPHABET) for _ in range(BODY)),
        site="demo",
        version=program_version(),
    )


@dataclass(slots=True)
class Outcome:
    """What the demo came to."""

    caught: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    papers: list[Path] = field(default_factory=list)


def play(root: Path, *, quiet: bool = False) -> Outcome:
    """Play the whole job in a new shop folder and leave its papers in `papers` there."""
    folder = Folder.create(root, "Example Hangar (invented)", "demo")
    try:
        write_atomically(root / SETTINGS_FILE, settings_text(Settings(name="Example Hangar", site="demo")).encode())
        shop = Shop(folder, _means(), Decoder(load()), solve)
        who = Who(PEOPLE[0][0])
        for initials, name, number, kind in PEOPLE:
            setting_up.note_person(shop, who, initials=initials, full_name=name, certificate=number,
                                   certificate_kind=kind)  # fmt: skip
        other = setting_up.open_job(shop, who, job="WO-OTHER", registration="X-ELSE", task="another invented job")
        job = setting_up.open_job(shop, who, job="WO-INVENTED", data=DATA, **AIRCRAFT)
        for area in ("tail LEFT", "tail RIGHT", "tail CENTRE"):
            tagging.hang_zone_card(job, who, area)
        outcome = Outcome()
        loop = Loop(job, PEOPLE[0][0])
        _play(loop, APART, other, outcome, quiet=quiet)
        papers = root / "papers"
        papers.mkdir()
        outcome.papers += _tags(shop, job, papers)
        outcome.papers += write_refit(job, papers / "refit.pdf", paper="letter", day=_DAY, png=True)
        _play(loop, BACK, other, outcome, quiet=quiet)
        outcome.papers += write_handover(job, papers / "handover.pdf", paper="letter", day=_DAY, png=True)
        _play(loop, ON_FROM_THERE, other, outcome, quiet=quiet)
        outcome.papers += write_report(job, papers / "report.pdf", paper="letter", day=_DAY, png=True)
        return outcome
    finally:
        folder.close()


def _play(loop: Loop, steps: Sequence[Step], other: Job, outcome: Outcome, *, quiet: bool) -> None:
    for step in steps:
        if step.says and not quiet:
            click.secho(f"\n== {step.says}", bold=True)
        if not step.line:
            continue
        line = _filled(loop, step.line, other)
        if not quiet:
            tell(f"[{loop.prompt}] > {line}")
        reply = loop.line(line)
        if not quiet:
            show(reply)
        loud = reply.tone in (Tone.WRONG, Tone.ASK)
        if step.caught:
            (outcome.caught if loud else outcome.missed).append(step.caught)
            if loud and not quiet:
                click.secho(f"    CAUGHT: {step.caught}", bold=True)
        elif reply.tone is Tone.WRONG:
            outcome.missed.append(f"unexpected: {line}: {reply.lines[0]}")


def _filled(loop: Loop, line: str, other: Job) -> str:
    """Return the line with the codes that the job gave out in place of their names."""
    job = loop.bench.job
    if line == "<other job>":
        codes = next(e.codes for a in other.shop.records.shop().acts() for e in a.events
                     if isinstance(e, TagsIssued) and e.job == other.name)  # fmt: skip
        return shown(codes[0])
    if line == "<tags back>":
        return f"tags back {len(job.open_tags())}"
    if line == "<answer pair-differs>":
        finding = next(f for f in reconcile(job.refresh(), job.knowledge).unanswered if f.kind is Kind.PAIR_DIFFERS)
        return f"design {finding.short} because the right fairing has one hole fewer, at the lamp"
    match = re.fullmatch(r"<(tag|bag) (.+)>", line)
    if match is None:
        return line
    for tag in job.state.tags.values():
        part = job.state.parts.get(tag.thing)
        name = str(part.home) if part else tag.thing.rstrip("|")
        if name == match[2] and (tag.role is TagRole.BAG) == (match[1] == "bag"):
            return shown(tag.code)
    raise Refusal(f"the demo has no {line}", todo="this is a fault of the demo")


def _tags(shop: Shop, job: Job, papers: Path) -> list[Path]:
    """Print the tags of the job on Letter, and zone cards, place codes and badges on A4."""
    proof = f"{job.name}  {job.head}"
    every = job.open_tags()
    cards = [code for code in every if job.state.tags[code].role is TagRole.ZONE]
    rest = [code for code in every if code not in cards]
    who = Who(PEOPLE[0][0])
    shelf = tagging.name_place(shop, who, "shelf 2, left half")
    extra = [blank_face(shelf, FaceKind.PLACE, "shelf 2, left half")]
    for initials, name, _, _ in PEOPLE:
        extra.append(blank_face(tagging.badge(shop, who, initials), FaceKind.PERSON, f"{name} ({initials})"))
    return [
        *write_tags(faces(job, rest), papers / "tags.pdf", template="letter-4x2in-10up", shop_labels=None, start=1,
                    proof=proof, png=True),
        *write_tags([*faces(job, cards), *extra], papers / "cards.pdf", template="a4-99x68mm-8up", shop_labels=None,
                    start=1, proof=proof, png=True),
    ]  # fmt: skip


@click.command()
@click.argument("folder", required=False)
@click.option("--quiet", is_flag=True, help="Only the summary.")
def demo(folder: str | None, quiet: bool) -> int:  # noqa: FBT001 - click's signature
    """Play an invented job with its mistakes, and leave tags, report and previews in FOLDER.

    Everything in it is invented: aircraft, shop, people, work. Without FOLDER a new one is made here.
    """
    root = Path(folder) if folder else _free(Path.cwd())
    outcome = play(root, quiet=quiet)
    click.echo()
    click.secho(f"{how_many(len(outcome.caught), 'mistake')} made, {len(outcome.caught)} caught:", bold=True)
    for caught in outcome.caught:
        click.echo(f"  - {caught}")
    for missed in outcome.missed:
        click.echo(f"  NOT AS PLANNED: {missed}")
    click.echo(f"\npapers of the invented job, in {root.resolve() / 'papers'}:")
    for paper in outcome.papers:
        click.echo(f"  {paper.name}")
    click.echo(f"look on with: tagtrack --shop {root} check --job WO-INVENTED")
    return 1 if outcome.missed else 0


def _free(here: Path) -> Path:
    """Return the first folder name that is not taken."""
    number = 1
    while (here / (name := "tagtrack-demo" if number == 1 else f"tagtrack-demo-{number}")).exists():
        number += 1
    return here / name
