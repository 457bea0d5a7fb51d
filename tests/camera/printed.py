"""The label as a thermal printer prints it, then worn and photographed: synthetic, and said to be so.

Printed: the layout's own ink in 1 bit on whole dots, each dot a little larger than meant, a few left out. Worn: what
happens to it falls anywhere on the label, in millimetres of it. Photographed: as `closeup.laid` does.
"""

from __future__ import annotations

import random
from dataclasses import replace
from functools import lru_cache
from io import BytesIO

from camera.closeup import laid
from paper.samples import RICH
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from tagtrack.paper.ink import Symbol
from tagtrack.paper.labels import face_ink
from tagtrack.paper.template import named
from tagtrack.paper.thermal import HEADS, label_png

STOCK = named("roll-4x2in")
# pixels to a millimetre of the photo: a frame of 4000 across 0.8 m of bench
SCALE = 5.0
# of a module of the larger symbol, 0.75 mm
MODULE = 0.75
_PARTS = 3


@lru_cache(maxsize=64)
def printed(code, head, *, two=True):
    """A label in `_PARTS` pixels to a dot: dots spread by a third, three of a thousand left out."""
    ink = face_ink(replace(RICH, code=code), STOCK)
    marks = [mark for mark in ink if isinstance(mark, Symbol)]
    assert len(marks) == 2, "the layout has two symbols"
    if not two:
        ink = tuple(mark for mark in ink if mark is not min(marks, key=lambda mark: mark.module))
    one = Image.open(BytesIO(label_png(ink, wide=STOCK.width, high=STOCK.height, head=head))).convert("L")
    chance = random.Random(code)
    for _ in range(one.width * one.height * 3 // 1000):
        one.putpixel((chance.randrange(one.width), chance.randrange(one.height)), 255)
    large = one.resize((one.width * _PARTS, one.height * _PARTS), Image.Resampling.NEAREST)
    return large.filter(ImageFilter.MinFilter(3)).point([24 + grey * 222 // 255 for grey in range(256)])


def _stains(most):
    def hurt(label, dots, chance):
        draw = ImageDraw.Draw(label)
        for _ in range(4):
            radius = chance.uniform(0.3, 1.0) * most * dots
            x, y = chance.random() * label.width, chance.random() * label.height
            draw.ellipse((x - radius, y - radius, x + radius, y + radius), fill=chance.choice((15, 130, 250)))
        return label

    return hurt


def _creased(label, dots, chance):
    """Three folds right across, half a millimetre of print gone along each, one side a little darker."""
    for _ in range(3):
        x, lean = chance.random() * label.width, (chance.random() - 0.5) * label.height
        line = ((x - lean, -5), (x + lean, label.height + 5))
        draw = ImageDraw.Draw(label)
        draw.line(line, fill=238, width=round(0.5 * dots))
        draw.line([(at + 0.4 * dots, y) for at, y in line], fill=150, width=max(1, round(0.15 * dots)))
    return label


def _smudged(label, dots, chance):
    """Oily thumbs: wide dark smears over a third of the label, and ink drawn out along them."""
    smear = Image.new("L", label.size, 255)
    draw = ImageDraw.Draw(smear)
    for _ in range(3):
        x, y = chance.random() * label.width, chance.random() * label.height
        wide, high = chance.uniform(8, 16) * dots, chance.uniform(5, 9) * dots
        draw.ellipse((x - wide, y - high, x + wide, y + high), fill=chance.randrange(90, 170))
    smear = smear.resize((label.width // 8, label.height // 8)).filter(ImageFilter.GaussianBlur(dots / 8))
    dragged = ImageChops.darker(label, ImageChops.lighter(ImageChops.offset(label, round(0.2 * dots), 0), label.point(
        [min(255, grey + 90) for grey in range(256)])))  # fmt: skip
    return ImageChops.multiply(dragged, smear.resize(label.size))


def _glare(label, dots, chance):
    """Two streaks of clipped light, 2 to 4 mm wide, as on a bag's film."""
    light = Image.new("L", label.size, 0)
    draw = ImageDraw.Draw(light)
    for _ in range(2):
        x, lean = chance.random() * label.width, (chance.random() - 0.5) * label.width
        draw.line(((x - lean, -5), (x + lean, label.height + 5)), fill=255, width=round(chance.uniform(2, 4) * dots))
    small = light.resize((label.width // 4, label.height // 4)).filter(ImageFilter.GaussianBlur(0.3 * dots / 4))
    return ImageChops.lighter(label, small.resize(label.size))


def _whole(label, _dots, _chance):
    return label


# what befell it -> how it is drawn, blur and noise of the photo
CONDITIONS = {
    "as printed": (_whole, 0.8, 4.0),
    "blurred by 1/3 module": (_whole, MODULE * SCALE / 3, 4.0),
    "noise, sigma 24": (_whole, 0.8, 24.0),
    "creased three times": (_creased, 0.8, 4.0),
    "smudged with oil": (_smudged, 0.8, 4.0),
    "four stains of up to 2 mm": (_stains(2.0), 0.8, 4.0),
    "four stains of up to 4 mm": (_stains(4.0), 0.8, 4.0),
    "under glare": (_glare, 0.8, 4.0),
}


def worn(code, head, condition, *, two, seed):
    """A close photo of one printed label that this befell; the same seed hurts it in the same places."""
    hurt, blur, noise = CONDITIONS[condition]
    chance = random.Random(seed)
    dots = HEADS[head] / 25.4 * _PARTS
    label = hurt(printed(code, head, two=two).copy(), dots, chance)
    return laid(label, SCALE / dots, chance, blur=blur, noise=noise)
