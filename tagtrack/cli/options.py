"""Options that several commands share, each said once."""

from __future__ import annotations

import click

JOB = click.option("--job", envvar="TAGTRACK_JOB", metavar="JOB", help="The work order; not needed where one is open.")
BY = click.option("--by", envvar="TAGTRACK_BY", metavar="INITIALS", help="Who does it.")
TEMPLATE = click.option("--template", metavar="NAME", help="The label template; see `tagtrack templates`.")
START = click.option("--start", default=1, show_default=True, help="First free label of a part-used sheet.")
OUT = click.option("-o", "--out", metavar="FILE", help="Where to write the PDF.")
PNG = click.option("--png", is_flag=True, help="Also leave a PNG preview of each page beside the PDF.")
