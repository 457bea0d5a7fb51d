"""Commands that say what a tag is: where, and read for photos."""

from __future__ import annotations

from pathlib import Path

import click

from tagtrack.cli.options import JOB
from tagtrack.cli.outcome import Exit
from tagtrack.cli.screen import tell
from tagtrack.cli.wiring import job_of, opened_shop
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import text_of
from tagtrack.core.places import Place, PlaceKind
from tagtrack.core.records import TagRole
from tagtrack.core.tagcode import read as read_code
from tagtrack.core.tagcode import shown
from tagtrack.core.tagwords import owner_of
from tagtrack.shop.desk import Job
from tagtrack.shop.tagging import Means, meaning

# may lie about without a question
_HARMLESS = ("blank", "planned")


@click.command()
@click.argument("pictures", nargs=-1, required=True, metavar="PICTURE...")
@JOB
@click.option("--outline", is_flag=True, help="Leave a copy of each picture beside it, every tag outlined and named.")
@click.pass_obj
def read(shop_folder: str | None, pictures: tuple[str, ...], job: str | None, outline: bool) -> int:  # noqa: FBT001
    """Read every tag in photos (JPEG, PNG, WebP, or a folder of them).

    Says what each tag is, what of this work order should lie in the shop and was not seen, and what was seen and has no
    business there. Nothing is recorded. Exit code 0: all that is expected was seen; 3: something was not.
    """
    from tagtrack.camera import ladder, opening
    from tagtrack.camera.outline import outlined

    with opened_shop(shop_folder) as (shop, _, _settings):
        opened = job_of(shop, job, reading=True)
        expected = lying(opened)
        seen: dict[str, str] = {}
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
            sightings = ladder.see(picture, frozenset(expected) - seen.keys(), patient=not expected)
            names = {s.code: told(opened, s.code) for s in sightings if s.code}
            tell(f"{file.name}: {len(sightings)} tag{'s' if len(sightings) != 1 else ''}", bold=True)
            for sighting in sightings:
                x, y = sighting.corners[0]
                what = names.get(sighting.code) or f"not one of our tags: {sighting.said[:40]}"
                tell(f"  {shown(sighting.code) if sighting.code else '?':<11} {what}   (at {x}, {y}; {sighting.look})")
            seen.update(names)
            if outline:
                _keep_copy(file, outlined(picture, sightings, names))
            if len(files) > 10 and number % 10 == 0:
                click.echo(f"{number} of {len(files)} pictures", err=True)
        return _missing(expected, seen, troubled)


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


def _missing(expected: dict[str, str], seen: dict[str, str], troubled: int) -> int:
    missing = [code for code in expected if code not in seen]
    tell(f"EXPECTED AND NOT SEEN: {len(missing)}" if missing else "all that is expected was seen", bold=True)
    for code in missing:
        tell(f"  {shown(code):<11} {expected[code]}")
    strange = [code for code in seen if code not in expected and not seen[code].startswith(_HARMLESS)]
    if strange:
        tell("SEEN, AND NOT EXPECTED ON THE BENCH", bold=True)
        for code in strange:
            tell(f"  {shown(code):<11} {seen[code]}")
    return Exit.FINDINGS if missing or troubled else Exit.CLEAN


def lying(job: Job) -> dict[str, str]:
    """Return the tags of a work order that should lie in the shop now, with what each is: parts off, bags not empty."""
    state = job.refresh()
    found: dict[str, str] = {}
    held = {place.name for place in state.holdings if place.kind is PlaceKind.BAG}
    for tag in state.tags.values():
        part = state.parts.get(tag.thing)
        off = part is not None and part.at is None and part.place.kind is PlaceKind.SPOT
        if tag.end is None and ((tag.role is TagRole.PART and off) or (tag.role is TagRole.BAG and tag.code in held)):
            found[tag.code] = f"{tag.role.value}: {owner_of(state, tag.thing)}"
    return found


def told(job: Job, code: str) -> str:
    """Return what a code is, in shop words, also where it is of another job, void, or never was ours."""
    try:
        found = meaning(job, code)
    except Refusal as refusal:
        return refusal.what
    if found.means is Means.FREE:
        plan = job.state.planned.get(found.code)
        return f"planned, not off yet: {plan.position}" if plan is not None else "blank, not in use yet"
    return f"{found.means.value}: {owner_of(job.state, found.thing)}"


def _keep_copy(file: Path, jpeg: bytes) -> None:
    from tagtrack.camera.opening import OUTLINED
    from tagtrack.paper.whole_file import write_atomically

    copy = file.with_name(f"{file.stem}{OUTLINED}.jpg")
    write_atomically(copy, jpeg)
    tell(f"  outlined: {copy}")
