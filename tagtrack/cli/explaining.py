"""The command that says what a callout or a stack means, by the tables."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import click

from tagtrack.cli.screen import tell
from tagtrack.cli.wiring import root_if_any
from tagtrack.core import stack_sense
from tagtrack.core.callout import Callout, Decoder
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import Stack, parse
from tagtrack.core.kinship import single_use
from tagtrack.core.stack_shape import shape_of
from tagtrack.shop.lines.clauses import thickness


@click.command()
@click.argument("callout", nargs=-1, required=True)
@click.option("-o", "--out", metavar="FILE", help="Draw the first stack into this file: .svg, .pdf or .png.")
@click.option("--measured", metavar="INCHES", default="", help="How thick the gripped parts are: 5/8, 1-3/16, .640.")
@click.pass_obj
def explain(shop_folder: str | None, callout: tuple[str, ...], out: str | None, measured: str) -> None:
    """What a callout or a stack means: tagtrack explain AN4H-10A, tagtrack explain '[AN3-5A AN960-10 | AN310-3]'.

    It describes. It approves nothing: the maker's data and the certificated person do.
    """
    from tagtrack.tables.loader import load

    root = root_if_any(shop_folder)
    decoder = Decoder(load(root / "hardware" if root else None))
    text = " ".join(callout)
    measured = thickness(measured) if measured else ""
    if out:
        _draw(decoder, text, Path(out), measured)
    if "[" not in text and "," not in text:
        _one(decoder, decoder.read(text))
        return
    for stack in parse(text):
        for line in stack.lines:
            _one(decoder, decoder.read(line.text), short=True)
        for asked in stack_sense.questions(decoder, stack, span=measured):
            tell(f"  ? {asked}")
        _reference(decoder, stack)


def _draw(decoder: Decoder, text: str, out: Path, measured: str) -> None:
    shapes = [shape for stack in parse(text) if (shape := shape_of(decoder, stack, measured)) is not None]
    if not shapes or out.suffix.lower() not in (".svg", ".pdf", ".png"):
        raise Refusal(
            "nothing was drawn", expected="a stack in order, and a file that ends in .svg, .pdf or .png",
            came=f"{text} into {out}", todo="tagtrack explain '[AN3-5 AN960-10 | AN310-3]' -o stack.svg",
        )  # fmt: skip
    from tagtrack.paper.pdf import write_pdf
    from tagtrack.paper.preview import pages_as_png
    from tagtrack.paper.stack_drawing import page
    from tagtrack.paper.svg import svg
    from tagtrack.paper.whole_file import write_atomically

    drawing = page(shapes[0])
    if out.suffix.lower() == ".svg":
        picture = svg(drawing)
    else:
        whole = BytesIO()
        write_pdf([drawing], out=whole, title=text)
        picture = whole.getvalue()
        if out.suffix.lower() == ".png":
            picture = next(pages_as_png(picture, dpi=150))
    write_atomically(out, picture)
    tell(f"drawn: {out}")


def _one(decoder: Decoder, callout: Callout, *, short: bool = False) -> None:
    if not callout.recognised:
        tell(f"{callout.text}: not recognised", bold=True)
        tell(f"  {callout.trouble or 'taken as a description in free words'}")
        for offer in decoder.offers(callout.text):
            tell(f"  meant {offer}?")
        _again(decoder, callout)
        return
    tell(f"{callout.text}: {callout.title}", bold=True)
    if short:
        tell("  " + "; ".join(f"{name} {fact}" for name, fact in callout.facts.items()))
        return
    if callout.normal != callout.text:
        tell(f"  {'written':<16} {callout.normal}")
    for name, fact in callout.facts.items():
        tell(f"  {name:<16} {fact!s:<44} {decoder.catalogue.sources.get(fact.source, fact.source)}")
    if callout.kind == "bolt":
        for name in ("grip", "length"):
            if name not in callout.facts:
                tell(f"  {name:<16} unknown: measure it")
    _again(decoder, callout)


def _again(decoder: Decoder, callout: Callout) -> None:
    """Tell whether it may go back, which the family or plain words show even where the number is not known."""
    rule = single_use(decoder, callout.text)
    if rule is not None:
        tell(f"  {'again':<16} {rule.why}")


def _reference(decoder: Decoder, stack: Stack) -> None:
    found = stack_sense.reference(decoder, stack)
    if found is None:
        return
    tell(f"  reference torque {found.thread}: {found.told} (AC 43.13-1B Table 7-1)")
    if found.running:
        tell(f"  {found.running}")
    for line in filter(None, (found.turned_by, found.cotter)):
        tell(f"  {line}")
    tell(f"  {stack_sense.CAUTION}")
