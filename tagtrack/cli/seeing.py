"""Commands that say what a tag is: where, and read for photos."""

from __future__ import annotations

from pathlib import Path

import click

from tagtrack.cli.options import JOB
from tagtrack.cli.outcome import Exit
from tagtrack.cli.screen import tell
from tagtrack.cli.wiring import job_of, opened_shop
from tagtrack.core.ahead import what_it_is_for
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import text_of
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import TagRole
from tagtrack.core.spelling import clean, how_many
from tagtrack.core.sweep import Lies, Sweep
from tagtrack.core.tagcode import read as read_code
from tagtrack.core.tagcode import shown
from tagtrack.core.tagwords import owner_of
from tagtrack.shop.desk import Job
from tagtrack.shop.sweeping import due, looked_over
from tagtrack.shop.tagging import Means, meaning


@click.command()
@click.argument("pictures", nargs=-1, required=True, metavar="PICTURE...")
@JOB
@click.option("--at", "place", default="", metavar="PLACE", help="Only what was put there is looked for: shelf 2.")
@click.option("--outline", is_flag=True, help="Leave a copy of each picture beside it, every tag outlined and named.")
@click.pass_obj
def read(shop_folder: str | None, pictures: tuple[str, ...], job: str | None, place: str, outline: bool) -> int:  # noqa: FBT001
    """Read every tag in photos of the bench (JPEG, PNG, WebP, or a folder of them).

    Says what each tag is, what of this work order should lie there and was not seen, and what was seen and has no
    business there. Nothing is recorded. Exit code 0: all that is expected was seen, and nothing else; 3: not so.
    """
    from tagtrack.camera import ladder, opening
    from tagtrack.camera.outline import outlined

    with opened_shop(shop_folder) as (shop, _, _settings):
        opened = job_of(shop, job, reading=True)
        expected = frozenset(due(opened, clean(place)))
        seen: dict[str, None] = {}
        files = list(opening.pictures([Path(each) for each in pictures]))
        if not files:
            raise Refusal("there is no picture there", expected="JPEG, PNG or WebP files", came=", ".join(pictures),
                          todo="give the file, or the folder that holds it")  # fmt: skip
        troubled = 0
        for number, file in enumerate(files, start=1):
            try:
                picture = opening.opened(file)
            except Refusal as refusal:
                # one bad photo of a folder keeps nobody from the others
                if len(files) == 1:
                    raise
                troubled += 1
                tell(f"{file.name}: {refusal.what}")
                continue
            # once all that is expected was seen, a quick look for what else lies there is enough
            sightings = ladder.see(picture, expected - seen.keys(), patient=not expected)
            seen.update(dict.fromkeys(s.code for s in sightings if s.code))
            names = {tag.code: tag.what for tag in looked_over(opened, seen, clean(place)).tags}
            tell(f"{file.name}: {how_many(len(sightings), 'tag')}", bold=True)
            for sighting in sightings:
                x, y = sighting.corners[0]
                what = names.get(sighting.code) or f"not one of our tags: {clean(sighting.said)[:40]}"
                tell(f"  {shown(sighting.code) if sighting.code else '?':<11} {what}   (at {x}, {y}; {sighting.look})")
            if outline:
                _keep_copy(file, outlined(picture, sightings, names))
            if len(files) > 10 and number % 10 == 0:
                click.echo(f"{number} of {len(files)} pictures", err=True)
        return _told_over(looked_over(opened, seen, clean(place)), troubled)


@click.command()
@click.argument("code", nargs=-1, required=True)
@click.pass_obj
def where(shop_folder: str | None, code: tuple[str, ...]) -> None:
    """What the tag CODE is, in whichever work order, and where that lies now."""
    with opened_shop(shop_folder) as (shop, _, _settings):
        wanted = read_code(" ".join(code))
        if wanted in shop.state.places or wanted in shop.state.badges:
            name = shop.state.places.get(wanted) or shop.state.badges[wanted]
            tell(f"{shown(wanted)}  {'place' if wanted in shop.state.places else 'badge'}: {name}")
            return
        owner = shop.state.job_of(wanted)
        if not owner:
            tell(f"{shown(wanted)}  blank, not in use yet")
            return
        opened = shop.open(owner)
        opened.refresh()
        tell(f"{shown(wanted)}  {told(opened, wanted)}")
        tell(f"  work order {owner}, {opened.opened().registration}"
             + (", signed off" if opened.state.signed else ""))  # fmt: skip
        tell(f"  {_lies(opened, wanted)}")


def _lies(job: Job, code: str) -> str:
    tag = job.state.tags.get(code)
    part = job.state.parts.get(tag.thing) if tag else None
    if part is not None:
        return f"the part is {'on the aircraft at' if part.at else 'at'} {part.at or job.index().lies(part.place)}"
    place = Place(PlaceKind.BAG, code)
    lots = job.state.holdings.get(place, {})
    if lots:
        return f"{job.index().lies(place)} holds {text_of({item.name: count for item, count in lots.items()})}"
    return "nothing lies in it by the record" if tag and tag.role is TagRole.BAG else "nothing more is recorded of it"


_HEADS = {
    Lies.MISSING: "EXPECTED AND NOT SEEN", Lies.ASTRAY: "SEEN, AND HAS NO BUSINESS HERE",
    Lies.FOREIGN: "SEEN, AND NOT OF THIS WORK ORDER", Lies.SPARE: "seen, and nothing hangs on it",
}  # fmt: skip


def _told_over(swept: Sweep, troubled: int) -> int:
    """Say what is missing and what does not fit, and return the exit code."""
    if not swept.of(Lies.MISSING):
        tell(f"all that is expected was seen: {len(swept.of(Lies.THERE))}", bold=True)
    for lies, head in _HEADS.items():
        tags = swept.of(lies)
        if tags:
            tell(f"{head}: {len(tags)}", bold=lies is not Lies.SPARE)
        for tag in tags:
            tell(f"  {shown(tag.code):<11} {tag.what}" + (f" ({tag.why})" if tag.why else ""))
    return Exit.CLEAN if swept.all_there and not troubled else Exit.FINDINGS


def told(job: Job, code: str) -> str:
    """Return what a code is, in shop words, also where it is of another job, void, or never was ours."""
    try:
        found = meaning(job, code)
    except Refusal as refusal:
        return refusal.what
    if found.means is Means.FREE:
        plan = job.state.planned.get(found.code)
        if plan is not None:
            return f"planned, not off yet: {what_it_is_for(plan, found.code)}"
        return "blank, not in use yet"
    return f"{found.means.value}: {owner_of(job.state, found.thing)}"


def _keep_copy(file: Path, jpeg: bytes) -> None:
    from tagtrack.camera.opening import OUTLINED
    from tagtrack.paper.whole_file import write_atomically

    copy = file.with_name(f"{file.stem}{OUTLINED}.jpg")
    write_atomically(copy, jpeg)
    tell(f"  outlined: {copy}")
