"""The command that attaches photos to what they show."""

from __future__ import annotations

from pathlib import Path

import click

from tagtrack.cli.options import BY, JOB
from tagtrack.cli.screen import tell
from tagtrack.cli.wiring import initials_of, job_of, opened_shop
from tagtrack.core.errors import Refusal
from tagtrack.core.records import position
from tagtrack.shop import picturing
from tagtrack.shop.ports import Who


@click.command()
@click.argument("pictures", nargs=-1, required=True, metavar="PICTURE...")
@click.option("--of", "about", metavar="'POSITION SIDE'", help="The position that they show.")
@click.option("--area", metavar="AREA", help="The area that they show. Without either: the whole job.")
@JOB
@BY
@click.pass_obj
def photo(
    shop_folder: str | None, pictures: tuple[str, ...], about: str | None, area: str | None, job: str | None,
    by: str | None,
) -> None:  # fmt: skip
    """Keep photos with the work order and say what they show. Your files stay as they are.

    Kept upright, without the place where they were taken, at most 2048 pixels a side, under the SHA-256 of their bytes.
    """
    from tagtrack.camera import opening
    from tagtrack.camera.keepsake import keepsake

    with opened_shop(shop_folder) as (shop, folder, _settings):
        opened = job_of(shop, job)
        who = Who(initials_of(shop, by))
        here = position(about) if about else None
        photos = folder.photos(opened.name)
        files = list(opening.pictures([Path(each) for each in pictures]))
        _are_there(files, pictures)
        # all are looked at before the first is kept
        kept = [keepsake(file.read_bytes(), file.name) for file in files]
        for file, each in zip(files, kept, strict=True):
            name = photos.put(each.large, each.small)
            act = picturing.attach(opened, who, name, position=here, area=area or "")
            tell(f"{file.name}: {picturing.subject_of(act)}, {name[:12]}")


def _are_there(files: list[Path], said: tuple[str, ...]) -> None:
    missing = [str(file) for file in files if not file.is_file()]
    if missing or not files:
        raise Refusal("there is no picture there", expected="JPEG, PNG or WebP files",
                      came=", ".join(missing or said), todo="give the file, or the folder that holds it")  # fmt: skip
