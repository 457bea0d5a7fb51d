"""Photos that a device sent, looked over for tags: one tag, or a whole bench.

It knows no shop, so that nobody waits for a record meanwhile. A sweep of the bench is three steps: what is due, the
photos (`read_photos`, which takes its time), what that makes; then each photo is shown with its tags outlined.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PIL import Image

from tagtrack.camera import ladder
from tagtrack.camera.outline import outlined
from tagtrack.camera.receiving import admitted, received_grey, turn
from tagtrack.core.errors import Refusal

# more photos at once than this are sent in two goes
MOST_PHOTOS = 8


@dataclass(frozen=True, slots=True)
class Photo:
    """One photo that was looked over; or why it could not be."""

    name: str
    sightings: tuple[ladder.Sighting, ...] = ()
    picture: Image.Image | None = None
    refused: str = ""

    @property
    def codes(self) -> tuple[str, ...]:
        """The codes of our tags in it."""
        return tuple(sighting.code for sighting in self.sightings if sighting.code)

    @property
    def foreign(self) -> tuple[str, ...]:
        """What symbols in it say that are no tags of ours."""
        return tuple(sighting.said for sighting in self.sightings if not sighting.code)

    def shown(self, names: Mapping[str, str]) -> bytes:
        """Return a JPEG with every symbol outlined and named; empty where the photo could not be read."""
        return outlined(self.picture, self.sightings, names) if self.picture is not None else b""


def symbols_in(data: bytes, name: str, *, patient: bool = True) -> tuple[ladder.Sighting, ...]:
    """Return the symbols in one photo of a tag; refuse what is no photo.

    `patient`: where a plain look finds no tag of ours, look again in dearer ways. A live frame is looked at once: the
    next one comes soon.
    """
    with admitted(), turn():
        picture = received_grey(data, name)
        found = ladder.see(picture, patient=False)
        if patient and not any(sighting.code for sighting in found):
            found = ladder.see(picture)
        return found


def read_photos(photos: Sequence[tuple[str, bytes]], expected: frozenset[str]) -> tuple[Photo, ...]:
    """Look for tags in photos of the bench, given as name and bytes, until all that is expected was seen.

    One that cannot be read keeps nobody from the others. Refused: more photos than are taken at once, or none.
    """
    if not 0 < len(photos) <= MOST_PHOTOS:
        raise Refusal(f"{len(photos)} photos at once", expected=f"1 to {MOST_PHOTOS} photos", came=str(len(photos)),
                      todo="choose fewer photos" if photos else "take a photo of the bench")  # fmt: skip
    looked: list[Photo] = []
    seen: set[str] = set()
    with admitted():
        for name, data in photos:
            looked.append(_looked(name, data, expected - seen, patient=not expected))
            seen.update(looked[-1].codes)
    return tuple(looked)


def _looked(name: str, data: bytes, expected: frozenset[str], *, patient: bool) -> Photo:
    try:
        with turn():
            picture = received_grey(data, name)
            # where nothing is missing any more, a quick look is enough
            return Photo(name, ladder.see(picture, expected, patient=patient), picture)
    except Refusal as refusal:
        return Photo(name, refused=refusal.what)
