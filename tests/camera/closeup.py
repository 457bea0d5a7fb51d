"""Close photos of one label whose symbol lost a share of its area: synthetic, and said to be so. No camera was used.

The loss is laid as oil, tears and glare lay it: one to six round blobs, black, grey or white, anywhere on the symbol,
each covering its share of what is lost, finder patterns or not. The label lies on a darker ground, turned by any angle,
tilted a little, blurred, noised, saved as JPEG.
"""

from __future__ import annotations

import random
from io import BytesIO

import numpy as np
from camera.bench import label
from PIL import Image, ImageDraw, ImageFilter

# the symbol's own area, in modules
_AREA = 21 * 21
# pixels to a module as the label is drawn
FINE = 12


def blobs(picture, side, chance, share):
    """Cover this share of the symbol at module (4, 4) of a label, `side` pixels a module, with one to six blobs."""
    draw = ImageDraw.Draw(picture)
    count = chance.randint(1, 6)
    parts = [chance.random() + 0.2 for _ in range(count)]
    for part in parts:
        radius = (share * _AREA * part / sum(parts) / 3.14159) ** 0.5
        # the whole of the blob lies on the symbol: what falls beside it would be no loss
        x, y = (4 + radius + chance.random() * (21 - 2 * radius) for _ in range(2))
        box = ((x - radius) * side, (y - radius) * side, (x + radius) * side, (y + radius) * side)
        draw.ellipse(box, fill=chance.choice((15, 130, 250)))


def hurt_label(code, share, seed):
    """A drawn label of which `share` of the symbol is lost, and the chance that goes on to lay it."""
    chance = random.Random(seed)
    one = label(code, FINE, chance)
    blobs(one, FINE, chance, share)
    return one, chance


def closeup(code, *, share, seed, module=5.0, blur=0.8, noise=4.0):
    """A close photo of one label of which `share` of the symbol is lost, `module` pixels to a module."""
    one, chance = hurt_label(code, share, seed)
    return laid(one, module / FINE, chance, blur=blur, noise=noise)


def laid(one, scale, chance, *, blur, noise):
    """Lay a drawn label on a darker ground as a camera sees it, so many pixels of the photo to a pixel of the label."""
    wide, high = one.width * scale, one.height * scale
    angle = chance.random() * 2 * np.pi
    tilt = (chance.random() - 0.5) * 0.3, (chance.random() - 0.5) * 0.3
    size = round(1.2 * np.hypot(wide, high)) + 40
    corners = []
    for x, y in ((-wide / 2, -high / 2), (wide / 2, -high / 2), (wide / 2, high / 2), (-wide / 2, high / 2)):
        across, down = x * np.cos(angle) - y * np.sin(angle), x * np.sin(angle) + y * np.cos(angle)
        away = 1 + (tilt[0] * across + tilt[1] * down) / max(wide, high)
        corners.append((size / 2 + across / away, size / 2 + down / away))
    here = [(0, 0), (one.width, 0), (one.width, one.height), (0, one.height)]
    how = {"resample": Image.Resampling.BICUBIC}
    # drawn twice as large, so that small modules are averaged, not picked
    twice = _perspective([(2 * x, 2 * y) for x, y in corners], here)
    paper = one.transform((2 * size, 2 * size), Image.Transform.PERSPECTIVE, twice, **how)
    mask = Image.new("L", one.size, 255).transform((2 * size, 2 * size), Image.Transform.PERSPECTIVE, twice, **how)
    ground = Image.new("L", (2 * size, 2 * size), 105)
    ground.paste(paper, (0, 0), mask)
    ground = ground.resize((size, size), Image.Resampling.BOX).filter(ImageFilter.GaussianBlur(blur))
    rows = np.random.default_rng(chance.randrange(10**6))
    light = np.linspace(1.0, 0.75, size)[None, :]
    grey = np.asarray(ground, dtype=np.float32) * light + rows.normal(0, noise, (size, size))
    out = BytesIO()
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).save(out, "JPEG", quality=85)
    return Image.open(BytesIO(out.getvalue())).convert("L")


def _perspective(seen, drawn):
    """The eight figures by which Pillow finds the drawn point of a seen one."""
    rows, right = [], []
    for (x, y), (u, v) in zip(seen, drawn, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return tuple(np.linalg.solve(np.array(rows), np.array(right)))
