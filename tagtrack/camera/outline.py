"""A copy of a picture with every symbol outlined and named, so that a person sees what was read and where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from io import BytesIO

from PIL import Image, ImageDraw

from tagtrack.camera.ladder import Sighting


def outlined(picture: Image.Image, sightings: Sequence[Sighting], names: Mapping[str, str]) -> bytes:
    """Return the picture as a JPEG with the outlines on it; `names` says what a code is, else the code stands there."""
    copy = picture.convert("RGB")
    draw = ImageDraw.Draw(copy)
    pen = max(3, min(copy.size) // 400)
    for sighting in sightings:
        corners = [*sighting.corners, sighting.corners[0]]
        # black within white: it shows on any ground, in any print
        draw.line(corners, fill="white", width=pen * 3)
        draw.line(corners, fill="black", width=pen)
        words = names.get(sighting.code) or sighting.code or "foreign"
        at = (min(x for x, _ in corners), max(y for _, y in corners) + pen * 2)
        box = draw.textbbox(at, words, font_size=pen * 8)
        draw.rectangle((box[0] - pen, box[1] - pen, box[2] + pen, box[3] + pen), fill="white", outline="black")
        draw.text(at, words, fill="black", font_size=pen * 8)
    out = BytesIO()
    copy.save(out, "JPEG", quality=85)
    return out.getvalue()
