"""Commands that print labels: tags, blanks, zone cards, place codes, badges; the list of templates."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tagtrack.cli.options import BY, JOB, OFFSET, OUT, PNG, START, TEMPLATE, THERMAL
from tagtrack.cli.wiring import Settings, initials_of, job_of, opened_shop, root_if_any
from tagtrack.cli.writing import check_writable, tell_written, write_drawn, write_pdf
from tagtrack.core.errors import Refusal
from tagtrack.core.faces import FaceKind, TagFace
from tagtrack.core.records import TagRole
from tagtrack.core.spelling import how_many
from tagtrack.core.tagcode import read
from tagtrack.core.tagwords import blank_face, face_of
from tagtrack.shop import tagging
from tagtrack.shop.desk import Job
from tagtrack.shop.ports import Who

if TYPE_CHECKING:
    from tagtrack.paper.template import Template

# from so many labels on, progress is told
_MANY = 500
_USUAL = {"letter": "letter-4x2in-10up", "a4": "a4-99x68mm-8up"}


def faces(job: Job, codes: Sequence[str]) -> list[TagFace]:
    """Return what the tags of these codes say, with initials and day of the step that gave each its meaning."""
    state, proof = job.refresh(), str(job.head)
    made = {act.id: f"{act.by} {act.at[:10]}" for act in job.acts}
    by = {code: made.get(tag.act, "") for code, tag in state.tags.items()}
    return [face_of(state, code, job.knowledge, proof=proof, by=by.get(code, "")) for code in codes]


def write_tags(
    tags: Sequence[TagFace], path: Path, *, template: str, shop_labels: Path | None, start: int, proof: str, png: bool,
    offset: tuple[float, float] = (0.0, 0.0), thermal: str | None = None, address: str = "",
) -> list[Path]:  # fmt: skip
    """Write the tags as PDF, with previews if asked, or one 1-bit PNG a tag for a thermal head; return the files.

    With the shop's `address`, symbols hold it before the code where the labels have the room.
    """
    from tagtrack.paper.fonts import missing_characters
    from tagtrack.paper.labels import holds_address, tags_pdf
    from tagtrack.paper.template import load

    stock = load(template, shop=shop_labels)
    lacking = missing_characters(*(text for tag in tags for text in _typed_on(tag)))
    if lacking:
        click.echo(f"note: the font lacks {' '.join(lacking)}; each prints as a box", err=True)
    if address:
        tags = [replace(tag, address=address) for tag in tags]
        if not holds_address(tags[0], stock):
            click.echo(f"note: {stock.name} is too small for symbols with the shop's address; they hold the code alone",
                       err=True)  # fmt: skip
    if thermal:
        return _thermal(tags, path, stock, thermal)
    return write_drawn(
        lambda out: tags_pdf(tags, stock, out=out, start=start, offset_mm=offset, proof=proof, progress=_progress),
        path, png=png,
    )  # fmt: skip


def _typed_on(tag: TagFace) -> tuple[str, ...]:
    """Return what people have typed of all that stands on a tag."""
    return (tag.title, tag.registration, tag.job, tag.marks, tag.goes_to, tag.goes_back, tag.hardware_note, tag.area,
            tag.by, *tag.hardware, *tag.warnings)  # fmt: skip


def _thermal(tags: Sequence[TagFace], path: Path, stock: Template, head: str) -> list[Path]:
    from tagtrack.paper.labels import face_ink
    from tagtrack.paper.thermal import label_png
    from tagtrack.paper.whole_file import write_atomically

    _one_to_a_page(stock)
    written: list[Path] = []
    for number, face in enumerate(tags, start=1):
        picture = label_png(face_ink(face, stock), wide=stock.width, high=stock.height, head=head)
        written.append(path.with_name(f"{path.stem}-{number}.png"))
        write_atomically(written[-1], picture)
        _progress(number, len(tags))
    return written


def _progress(number: int, total: int) -> None:
    if total > _MANY and number % _MANY == 0:
        click.echo(f"{number} of {total} labels", err=True)


def stock_for(settings: Settings, template: str | None, thermal: str | None) -> str:
    """Return the name of the stock: as asked for, else a roll for a thermal printer, else the shop's usual sheet."""
    return template or ("roll-4x2in" if thermal else _USUAL[settings.paper])


def ready(
    settings: Settings, root: Path, *, template: str | None, start: int = 1, out: str | None, thermal: str | None = None
) -> None:
    """Refuse a template, a label number or a file that cannot be, before anything is recorded for it."""
    from tagtrack.paper.grid import corner
    from tagtrack.paper.template import load

    stock = load(stock_for(settings, template, thermal), shop=root / "labels")
    corner(stock, start)
    if thermal:
        _one_to_a_page(stock)
    check_writable(out, root)


def _one_to_a_page(stock: Template) -> None:
    if stock.per_sheet > 1:
        raise Refusal(
            f"{stock.name} is a sheet", expected="a template with one label to a page, such as roll-4x2in",
            came=stock.name, todo="--template roll-4x2in",
        )  # fmt: skip


def print_tags(
    settings: Settings, root: Path, tags: Sequence[TagFace], path: Path, *, template: str | None, start: int, png: bool,
    proof: str = "", offset: tuple[float, float] = (0.0, 0.0), thermal: str | None = None,
) -> None:  # fmt: skip
    """Write the tags on the shop's usual stock, or the one that is asked for, and say where they are."""
    written = write_tags(
        tags, path, template=stock_for(settings, template, thermal), shop_labels=root / "labels", start=start,
        proof=proof, png=png, offset=offset, thermal=thermal, address=settings.address,
    )  # fmt: skip
    tell_written(how_many(len(tags), "tag"), written)


@click.command()
@click.argument("codes", nargs=-1)
@JOB
@TEMPLATE
@START
@OUT
@PNG
@OFFSET
@THERMAL
@click.option("--last", type=click.IntRange(min=1), help="Only the last so many tags.")
@click.pass_obj
def labels(
    shop_folder: str | None, codes: tuple[str, ...], job: str | None, template: str | None, start: int,
    out: str | None, png: bool, offset: tuple[float, float], thermal: str | None, last: int | None,  # noqa: FBT001
) -> None:  # fmt: skip
    """Print the tags of a work order as PDF: all that are out, the last few, or those of CODES."""
    with opened_shop(shop_folder) as (shop, folder, settings):
        opened = job_of(shop, job, reading=True)
        tags = opened.refresh().tags
        # zone cards are printed when they are made; all others when somebody has taken things off
        wanted = [read(code) for code in codes] or [
            code for code in opened.open_tags() if tags[code].role is not TagRole.ZONE
        ]
        wanted = wanted[-last:] if last else wanted
        if not wanted:
            raise Refusal(f"no tag of {opened.name} is out", expected="something taken off", came="nothing",
                          todo="take something off first: tagtrack scan")  # fmt: skip
        path = Path(out) if out else folder.job_folder(opened.name) / "tags.pdf"
        print_tags(settings, folder.root, faces(opened, wanted), path, template=template, start=start, png=png,
               proof=f"{opened.name}  {opened.head}", offset=offset, thermal=thermal)  # fmt: skip


@click.command()
@click.argument("count", type=click.IntRange(1, 500))
@TEMPLATE
@START
@OUT
@PNG
@OFFSET
@THERMAL
@BY
@click.pass_obj
def blanks(
    shop_folder: str | None, count: int, template: str | None, start: int, out: str | None,
    png: bool, offset: tuple[float, float], thermal: str | None, by: str | None,  # noqa: FBT001
) -> None:  # fmt: skip
    """Print COUNT blank tags. Each gets its meaning when it is first scanned."""
    with opened_shop(shop_folder) as (shop, folder, settings):
        ready(settings, folder.root, template=template, start=start, out=out, thermal=thermal)
        codes = shop.issue(Who(initials_of(shop, by)), count)
        tags = [blank_face(code, FaceKind.BLANK) for code in codes]
        path = Path(out) if out else folder.root / "blank-tags.pdf"
        print_tags(settings, folder.root, tags, path, template=template, start=start, png=png, offset=offset,
               thermal=thermal)  # fmt: skip


@click.command()
@click.argument("area", nargs=-1, required=True)
@JOB
@TEMPLATE
@OUT
@PNG
@BY
@click.pass_obj
def zone(
    shop_folder: str | None, area: tuple[str, ...], job: str | None, template: str | None, out: str | None,
    png: bool, by: str | None,  # noqa: FBT001
) -> None:  # fmt: skip
    """Make and print the zone card of AREA (for example: tail LEFT), to hang outside the aircraft."""
    with opened_shop(shop_folder) as (shop, folder, settings):
        opened = job_of(shop, job)
        ready(settings, folder.root, template=template, out=out)
        act = tagging.hang_zone_card(opened, Who(initials_of(shop, by)), " ".join(area))
        code = next(event.tag for event in act.events if hasattr(event, "tag"))
        path = Path(out) if out else folder.job_folder(opened.name) / f"zone-{code}.pdf"
        print_tags(settings, folder.root, faces(opened, [code]), path, template=template, start=1, png=png)


@click.command()
@click.argument("name", nargs=-1, required=True)
@TEMPLATE
@OUT
@PNG
@BY
@click.pass_obj
def place(
    shop_folder: str | None, name: tuple[str, ...], template: str | None, out: str | None,
    png: bool, by: str | None,  # noqa: FBT001
) -> None:  # fmt: skip
    """Make and print the code of a shelf, table or trolley: scan a part, then the place."""
    with opened_shop(shop_folder) as (shop, folder, settings):
        ready(settings, folder.root, template=template, out=out)
        spot = " ".join(name)
        code = tagging.name_place(shop, Who(initials_of(shop, by)), spot)
        path = Path(out) if out else folder.root / f"place-{code}.pdf"
        tags = [blank_face(code, FaceKind.PLACE, spot)]
        print_tags(settings, folder.root, tags, path, template=template, start=1, png=png)


@click.command()
@click.argument("initials")
@TEMPLATE
@OUT
@PNG
@BY
@click.pass_obj
def badge(
    shop_folder: str | None, initials: str, template: str | None, out: str | None, png: bool, by: str | None  # noqa: FBT001
) -> None:
    """Make and print a person's badge: scan it to say who works now."""
    with opened_shop(shop_folder) as (shop, folder, settings):
        ready(settings, folder.root, template=template, out=out)
        person = shop.state.person(initials)
        code = tagging.badge(shop, Who(initials_of(shop, by)), person.initials)
        path = Path(out) if out else folder.root / f"badge-{person.initials}.pdf"
        print_tags(settings, folder.root, [blank_face(code, FaceKind.PERSON, str(person))], path, template=template,
               start=1, png=png)  # fmt: skip


@click.command()
@click.argument("name", required=False)
@OUT
@OFFSET
@PNG
@click.pass_obj
def templates(
    shop_folder: str | None, name: str | None, out: str | None, offset: tuple[float, float], png: bool  # noqa: FBT001
) -> None:
    """List the label templates: the program's, and those in the shop's labels folder.

    With NAME: write that sheet's outlines and a ruler, to be printed on plain paper and held against the stock before
    tags are printed. What is off is mended with --offset, or in a copy of the template in the shop's labels folder.
    """
    from tagtrack.paper.labels import outlines_pdf
    from tagtrack.paper.template import load, names

    root = root_if_any(shop_folder)
    own = root / "labels" if root else None
    if name is None:
        for each in names(shop=own):
            click.echo(each)
        return
    page = BytesIO()
    outlines_pdf(load(name, shop=own), out=page, offset_mm=offset)
    # a name may have points in it, and may be the path of a file
    path = Path(out) if out else Path(f"{Path(name).name.removesuffix('.toml')}-outlines.pdf")
    written = write_pdf(page.getvalue(), path, png=png)
    tell_written("", written)
