"""The `tagtrack` command: a table of commands, each imported only when it is called."""

from __future__ import annotations

import sys
from importlib import import_module

import click

from tagtrack.cli.outcome import Exit, guarded

# name -> module, attribute, what the help says; in the order of a job
_COMMANDS: dict[str, tuple[str, str, str]] = {
    "demo": ("demo", "demo", "Play an invented job, with mistakes, and leave its papers in a folder."),
    "setup": ("setting_up", "setup", "Make a folder a shop."),
    "person": ("setting_up", "person", "Add somebody who works here."),
    "open": ("setting_up", "open_", "Open a work order."),
    "jobs": ("setting_up", "jobs", "List the work orders."),
    "scan": ("working", "scan", "The scan loop: take apart, put back, close up."),
    "say": ("working", "say", "One line of the scan loop."),
    "words": ("working", "words", "Every word of the scan loop."),
    "explain": ("explaining", "explain", "What a callout or a stack means, by the tables."),
    "labels": ("printing", "labels", "Print tags as PDF."),
    "plan": ("planning", "plan", "Print tags ahead, from a list in any spreadsheet."),
    "blanks": ("printing", "blanks", "Print blank tags that get their meaning when first used."),
    "read": ("seeing", "read", "Read every tag in photos; say what is missing."),
    "zone": ("printing", "zone", "Make and print a zone card."),
    "place": ("printing", "place", "Make and print a place code."),
    "badge": ("printing", "badge", "Make and print a person's badge."),
    "serve": ("serving", "serve", "Serve the page for phones, tablets and scanners."),
    "pin": ("pinning", "pin", "Give a person a PIN for the hangar page."),
    "certificate": ("certifying", "certificate", "Make what https needs: the shop's own authority, a certificate."),
    "photo": ("photographing", "photo", "Keep photos with the work order, and say what they show."),
    "controls": ("sheets", "controls", "A sheet of words to scan, for hands that cannot type."),
    "templates": ("printing", "templates", "List the label templates."),
    "where": ("seeing", "where", "What a tag is, of which work order, and where that lies."),
    "status": ("checking", "status", "What is off, and what is wrong now."),
    "next": ("checking", "next_", "What can go on now, and what waits."),
    "shortage": ("checking", "shortage", "What must be had new before the job can close."),
    "check": ("checking", "check", "Reconcile: every finding. Exit code 3 if one stands."),
    "refit": ("sheets", "refit", "The reinstallation sheet: how each thing goes back, in order."),
    "handover": ("sheets", "handover", "The handover sheet: what is half done, for whoever takes over."),
    "report": ("sheets", "report", "The leftover-hardware report, as PDF and text."),
    "sign-off": ("checking", "sign_off", "Close the work order as reconciled."),
    "log": ("checking", "log", "Every recorded step, oldest first."),
    "verify": ("checking", "verify", "Check the record itself for damage, or against a printed number."),
    "backup": ("keeping", "backup", "Copy the whole shop, checked: one archive, or a folder."),
    "restore": ("keeping", "restore", "Make a shop again from a backup, in an empty folder."),
    "export": ("keeping", "export", "Write a work order as PDF, text and CSV tables."),
}


class _Table(click.Group):
    """A group whose commands are imported when they are called, so that starting costs little."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        del ctx
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        del ctx
        if cmd_name not in _COMMANDS:
            return None
        module, attribute, _ = _COMMANDS[cmd_name]
        command: click.Command = getattr(import_module(f"tagtrack.cli.{module}"), attribute)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        del ctx
        with formatter.section("Commands"):
            formatter.write_dl([(name, told) for name, (_, _, told) in _COMMANDS.items()])


def _version(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:  # noqa: FBT001 - click's signature
    if wanted:
        from tagtrack.cli.wiring import program_version

        click.echo(f"tagtrack {program_version()}")
        ctx.exit()


@click.group(cls=_Table, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.option("--shop", "shop_folder", envvar="TAGTRACK_SHOP", metavar="FOLDER", help="The shop folder.")
@click.option("--version", is_flag=True, expose_value=False, is_eager=True, callback=_version, help="Show the version.")
@click.pass_context
def tagtrack(ctx: click.Context, shop_folder: str | None) -> None:
    """A ledger of custody for what comes off an aircraft.

    Every part, bag and wire that comes off gets a tag; at refit the tags are scanned; a reconciliation tells what
    is missing, swapped or left over. It replaces neither the maker's manual nor the certificated person.

    Exit codes: 0 done or clean; 2 wrong usage; 3 findings stand; 4 refused, nothing written; 5 files in trouble.
    """
    ctx.obj = shop_folder


def run() -> None:
    """Run the command line and leave with its exit code."""
    # a name in any script must never end the program, whatever code page the console has; what is typed outside of it
    # stays visible as such
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    code: list[int] = []
    told_to = sys.stdout

    def work() -> None:
        try:
            result = tagtrack(standalone_mode=False, prog_name="tagtrack")
            code.append(result if isinstance(result, int) else Exit.CLEAN)
        except click.Abort as aborted:
            raise KeyboardInterrupt from aborted
        except SystemExit as gone:
            # where whoever read the answers went away, such as `head` or a closed pager, click wraps the stream
            # before it leaves; where it leaves by itself, such as after completing a word for a shell, it does not
            if sys.stdout is not told_to:
                raise BrokenPipeError from gone
            raise
        except click.ClickException as usage:
            usage.show()
            code.append(Exit.USAGE)

    trouble = guarded(work)
    sys.exit(trouble or (code[0] if code else Exit.CLEAN))
