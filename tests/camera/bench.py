"""Drawn photos of a bench with tags on it: synthetic, and said to be so. No camera was used.

White labels with a symbol and some text, turned and tilted, on a ground of wood with dark shapes, under light that
falls off, blurred, noised and saved as JPEG. Not drawn: curved labels, lens distortion, a phone's own sharpening.
"""

from __future__ import annotations

import random
from io import BytesIO

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from tagtrack.core.tagcode import ALPHABET, issuable, with_check
from tagtrack.paper.symbol import matrix


def codes(count, seed=1):
    chance = random.Random(seed)
    found = []
    while len(found) < count:
        body = "".join(chance.choice(ALPHABET) for _ in range(7))
        if issuable(body) and with_check(body) not in found:
            found.append(with_check(body))
    return found


def label(code, module, chance, hurt=""):
    """One label of 29 x 70 modules with its symbol, `module` pixels each; hurt by a blob, a scratch, oil or specks."""
    fine = 4
    side = module * fine
    wide, high = round(70 * side), round(29 * side)
    picture = Image.new("L", (wide, high), 246)
    draw = ImageDraw.Draw(picture)
    for y, row in enumerate(matrix(code)):
        for x, black in enumerate(row):
            if black:
                draw.rectangle(((x + 4) * side, (y + 4) * side, (x + 5) * side - 1, (y + 5) * side - 1), fill=24)
    for line in range(3):
        end = (36 + chance.random() * 30) * side
        draw.rectangle((33 * side, (5 + 7 * line) * side, end, (8 + 7 * line) * side), fill=40)
    _hurt(draw, picture, hurt, side, chance)
    return picture.resize((round(wide / fine), round(high / fine)), Image.Resampling.BOX)


def _hurt(draw, picture, hurt, side, chance):
    at = lambda: ((4 + chance.random() * 21) * side, (4 + chance.random() * 21) * side)  # noqa: E731 - a point of the symbol
    if hurt == "scratch":
        draw.line((at(), at()), fill=chance.choice((250, 90)), width=max(1, round(0.25 * side)))
    elif hurt == "oil":
        left, top = 4 * side + chance.random() * 8 * side, 4 * side
        box = (round(left), round(top), round(left + 12 * side), round(top + 21 * side))
        part = picture.crop(box).point([round(g * 0.5) for g in range(256)])
        picture.paste(part, box[:2])
    elif hurt == "specks":
        for _ in range(18):
            x, y = at()
            r = (0.15 + chance.random() * 0.35) * side
            draw.ellipse((x - r, y - r, x + r, y + r), fill=chance.choice((20, 240)))
    elif hurt == "blob":
        x, y = at()
        r = (0.01 * 21 * 21 / 3.14) ** 0.5 * side
        draw.ellipse((x - r, y - r, x + r, y + r), fill=chance.choice((20, 240)))


def photo(tags, *, module, size=(4000, 3000), seed=1, hurt=0.0, blur=0.8, noise=4.0):
    """A photo as an upright grey picture: every tag somewhere on the bench, `module` pixels to a module."""
    chance = random.Random(seed)
    wide, high = size
    rows = np.random.default_rng(seed)
    wood = 120 + 18 * np.sin(np.arange(high) / 37.0)[:, None] + rows.normal(0, 5, (high, 1))
    ground = Image.fromarray(np.clip(np.broadcast_to(wood, (high, wide)), 0, 255).astype(np.uint8))
    draw = ImageDraw.Draw(ground)
    for _ in range(60):
        x, y, r = chance.randrange(wide), chance.randrange(high), chance.randrange(8, 40)
        draw.ellipse((x - r, y - r, x + r, y + r), fill=chance.choice((60, 90, 190)))
    cells = _cells(len(tags), wide, high, module)
    chance.shuffle(cells)
    for code, (x, y) in zip(tags, cells, strict=False):
        kind = chance.choice(("scratch", "oil", "specks", "blob")) if chance.random() < hurt else ""
        one = label(code, module, chance, kind)
        mask = Image.new("L", one.size, 255)
        angle = chance.random() * 360
        turned = one.rotate(angle, expand=True, resample=Image.Resampling.BICUBIC)
        mask = mask.rotate(angle, expand=True, resample=Image.Resampling.BICUBIC)
        ground.paste(turned, (round(x - turned.width / 2), round(y - turned.height / 2)), mask)
    light = np.linspace(1.0, 0.55, wide)[None, :] * np.linspace(1.0, 0.85, high)[:, None]
    ground = ground.filter(ImageFilter.GaussianBlur(blur))
    grey = np.asarray(ground, dtype=np.float32) * light + rows.normal(0, noise, (high, wide))
    out = BytesIO()
    Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8)).save(out, "JPEG", quality=85)
    return Image.open(BytesIO(out.getvalue())).convert("L")


def _cells(count, wide, high, module):
    """Places for so many labels, far enough apart that none lies on another."""
    need = module * 78
    columns, rows = int(wide // need), int(high // need)
    while columns * rows < count:
        # square labels lie closer: they overlap the empty ends of each other's cells
        need *= 0.93
        columns, rows = int(wide // need), int(high // need)
    return [((c + 0.5) * wide / columns, (r + 0.5) * high / rows) for c in range(columns) for r in range(rows)]
