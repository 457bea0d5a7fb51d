"""Says what speaks against the place of a shop folder: where one is made or checked, or a work order opened."""

from __future__ import annotations

from pathlib import Path

import click


def tell_doubts(root: Path) -> None:
    """Tell on standard error what speaks against keeping a shop in that folder, as far as it can be seen."""
    from tagtrack.journal.whereabouts import doubts

    for doubt in doubts(root):
        click.echo(f"note: {doubt}", err=True)
