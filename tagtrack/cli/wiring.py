"""Clock, codes, files and settings for the real world: where the shop folder is, and what is in its settings."""

from __future__ import annotations

import getpass
import os
import secrets
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

from tagtrack.cli.progress import with_progress
from tagtrack.core.errors import Fault, Refusal
from tagtrack.core.exchanges import Matched
from tagtrack.core.tagcode import ALPHABET, BODY, shop_address
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.ports import Means

if TYPE_CHECKING:
    from tagtrack.core.state import State
    from tagtrack.journal.acts import Folder
    from tagtrack.journal.index import Summary

SETTINGS_FILE = "settings.toml"
# so many work orders are named where somebody has to choose
_MOST_NAMES = 12
# one site per folder until several are joined: the name stands in every act from the first day on
DEFAULT_SITE = "home"


@dataclass(frozen=True, slots=True)
class Settings:
    """What a shop may set in settings.toml. Few on purpose."""

    name: str = ""
    site: str = DEFAULT_SITE
    # letter or a4: the paper of reports, and the tag sheet where none is named
    paper: str = "letter"
    # where set, printed symbols hold it before the code: http://192.168.1.20:8765
    address: str = ""


def settings_text(settings: Settings) -> str:
    """Return a settings file with its explanations."""
    return (
        "# Settings of this shop. Few on purpose.\n"
        f'name = "{settings.name}"\n'
        "# what this place is called in every recorded act; do not change it once work has begun\n"
        f'site = "{settings.site}"\n'
        '# "letter" or "a4": the paper of reports, and of tags where no template is named\n'
        f'paper = "{settings.paper}"\n'
        "# where the page is reached, for the camera app of a phone: then printed symbols hold it before the code.\n"
        "# Without it they hold the code alone and read from further away. Old tags are read in any case.\n"
        f'{"" if settings.address else "# "}address = "{settings.address or "http://192.168.1.20:8765"}"\n'
    )


def read_settings(root: Path) -> Settings:
    """Return the settings of a shop folder; a Fault names the file and key where one is wrong."""
    import tomllib

    path = root / SETTINGS_FILE
    if not path.exists():
        return Settings()
    try:
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise Fault(f"{path} cannot be read: {problem}", expected="a TOML file", came="something else",
                    todo="mend the line, or delete the file to go back to the usual settings") from problem  # fmt: skip
    known = {"name": str, "site": str, "paper": str, "address": str}
    for key, value in found.items():
        if key not in known or not isinstance(value, str):
            raise Fault(f"{path}: '{key}' is not understood", expected=", ".join(known), came=f"{key} = {value!r}",
                        todo="mend or delete the line")  # fmt: skip
    settings = Settings(**found)
    if settings.address:
        try:
            settings = replace(settings, address=shop_address(settings.address))
        except Refusal as refusal:
            raise Fault(f"{path}: {refusal.what}", expected=refusal.expected, came=refusal.came,
                        todo="mend or delete the line") from refusal  # fmt: skip
    if settings.paper not in ("letter", "a4"):
        raise Fault(f"{path}: no paper '{settings.paper}'", expected='"letter" or "a4"', came=settings.paper,
                    todo="mend the line")  # fmt: skip
    return settings


def find_root(given: str | None) -> Path:
    """Return the shop folder: as given, or the present folder or the nearest above it that is a shop."""
    if given:
        root = Path(given)
        if not (root / "shop.jsonl").exists():
            raise Refusal(f"{root} is no shop folder", expected="a folder with shop.jsonl in it", came=str(root),
                          todo=f"make it one: tagtrack setup {root}")  # fmt: skip
        return root
    found = _above(Path.cwd())
    if found is None:
        raise Refusal(
            "no shop folder here or above", expected="to be in a shop folder, or --shop FOLDER, or TAGTRACK_SHOP",
            came=str(Path.cwd()), todo="make one: tagtrack setup FOLDER",
        )  # fmt: skip
    return found


def root_if_any(given: str | None) -> Path | None:
    """Return the shop folder as `find_root` does; None where none was given and there is none here or above."""
    return find_root(given) if given else _above(Path.cwd())


def _above(here: Path) -> Path | None:
    found = next((folder for folder in (here, *here.parents) if (folder / "shop.jsonl").exists()), None)
    # a copy says what was true once: nobody looks at it, or works in it, without having named it
    if found is not None and (found / "copy.json").exists():
        raise Refusal(
            f"{found} is a copy of a shop", expected="to be in the shop's own folder", came="a copy that backup made",
            todo=f"to look at it, name it: tagtrack --shop {found} jobs; to go on from it: "
                 f"tagtrack restore {found} NEW-FOLDER",
        )  # fmt: skip
    return found


def means(site: str = DEFAULT_SITE) -> Means:
    """Return the real clock and real chance."""
    return Means(
        clock=lambda: time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime()),
        new_id=lambda: os.urandom(6).hex(),
        new_body=lambda: "".join(secrets.choice(ALPHABET) for _ in range(BODY)),
        site=site,
        version=program_version(),
    )


def program_version() -> str:
    """Return the installed version, or 'unknown' in a bare checkout."""
    try:
        return version("tagtrack")
    except PackageNotFoundError:
        return "unknown"


def solve(
    supplies: Sequence[int], demands: Sequence[int], costs: Mapping[tuple[int, int], int], unmatched: int
) -> Matched:
    """Explain by the optimisation library, which is imported only where something has to be explained."""
    from tagtrack.solver import solve as by_library

    return by_library(supplies, demands, costs, unmatched)


@contextmanager
def opened_shop(given: str | None) -> Iterator[tuple[Shop, Folder, Settings]]:
    """Open the shop folder, and let go of its files at the end."""
    from tagtrack.core.callout import Decoder
    from tagtrack.journal.acts import Folder
    from tagtrack.tables.loader import load

    root = find_root(given)
    settings = read_settings(root)
    folder = Folder(root, settings.site)
    try:
        yield Shop(folder, means(settings.site), Decoder(load(root / "hardware")), solve), folder, settings
        for notice in folder.notices:
            print(f"note: {notice}", file=sys.stderr)  # noqa: T201 - what was put right is told, also in a pipe
    finally:
        folder.close()


def summary_of(shop: Shop, name: str) -> Summary:
    """Return a work order in a line: from the index where that still fits the record, else from the record itself."""
    from tagtrack.journal.acts import Folder

    folder = shop.records
    if not isinstance(folder, Folder):
        return _summed(shop, shop.open(name).state)
    known = folder.index.known(name, folder.job_file(name))
    if known is None:
        with folder.looked_at(name):
            known = _summed(shop, shop.open(name).state)
        folder.index.note(name, folder.job_file(name), known)
    return known


def _summed(shop: Shop, state: State) -> Summary:
    from tagtrack.core.reconcile import reconcile
    from tagtrack.journal.index import Summary

    if state.signed is not None:
        return Summary(signed=True, still_open=0, wrong=0)
    outcome = reconcile(state, shop.knowledge, asked=False)
    return Summary(signed=False, still_open=len(outcome.open), wrong=len(outcome.unanswered))


def job_of(shop: Shop, given: str | None, *, reading: bool = False) -> Job:
    """Return the job as given, or the only one that is not signed off; to read, also the only one of the shop."""
    if given:
        return shop.open(given.strip().upper())
    if reading and len(shop.state.jobs) == 1:
        return shop.open(next(iter(shop.state.jobs)))
    still_open = [name for name in with_progress(list(shop.state.jobs), "reading the records")
                  if not summary_of(shop, name).signed]  # fmt: skip
    if len(still_open) == 1:
        return shop.open(still_open[0])
    if not still_open and shop.state.jobs:
        last = list(shop.state.jobs)[-1]
        raise Refusal(
            "no work order is open", expected="a work order that is not signed off", came="none named",
            todo=f"open one: tagtrack open JOB REGISTRATION --by INITIALS; or name a signed one: --job {last}",
        )  # fmt: skip
    shown = [*still_open[:_MOST_NAMES], "..."] if len(still_open) > _MOST_NAMES else still_open
    raise Refusal(
        "which work order?" if still_open else "no work order is open",
        expected=" or ".join(shown) or "a work order",
        came="none named",
        todo="name it: --job JOB" if still_open else "open one: tagtrack open JOB REGISTRATION --by INITIALS",
    )


def initials_of(shop: Shop, given: str | None) -> str:
    """Return the initials as given, or those of the only person of the shop."""
    if given:
        return shop.state.person(given).initials
    if len(shop.state.people) == 1:
        return next(iter(shop.state.people))
    raise Refusal(
        "who is it?", expected=" or ".join(shop.state.people) or "a person of this shop", came="nobody named",
        todo="--by INITIALS, or set TAGTRACK_BY" if shop.state.people else "add yourself: tagtrack person KT 'NAME'",
    )  # fmt: skip


def today() -> str:
    """Return the local day, for printing."""
    return datetime.now().astimezone().strftime("%Y-%m-%d")


def shop_default_name() -> str:
    """Return a name for a new shop that nobody named."""
    try:
        return f"shop of {getpass.getuser()}"
    except (KeyError, OSError):
        return "shop"


def interactive() -> bool:
    """Return whether a person sits at the terminal."""
    return sys.stdin.isatty() and os.environ.get("TERM") != "dumb"
