"""A picture full of what looks like parts of tags is given up on, instead of being looked at for ever."""

from __future__ import annotations

from PIL import Image, ImageDraw

from tagtrack.camera import ladder
from tagtrack.camera.finders import finders


def wallpaper(wide, high):
    """Finder patterns side by side, and no symbol."""
    picture = Image.new("L", (wide, high), 255)
    draw = ImageDraw.Draw(picture)
    for x in range(20, wide - 40, 48):
        for y in range(20, high - 40, 48):
            for inset, grey in ((0, 0), (4, 255), (8, 0)):
                draw.rectangle((x + inset, y + inset, x + 27 - inset, y + 27 - inset), fill=grey)
    return picture


def test_after_so_many_patterns_in_vain_the_rest_is_left_alone(monkeypatch):
    picture = wallpaper(500, 400)
    assert len(finders(picture)) > 40
    tried = []
    monkeypatch.setattr(ladder, "_MOST_IN_VAIN", 10)
    monkeypatch.setattr(ladder, "posed", lambda picture, finder: tried.append(finder) or posed(picture, finder))
    assert ladder.see(picture) == ()
    assert len(tried) == 11


posed = ladder.posed
