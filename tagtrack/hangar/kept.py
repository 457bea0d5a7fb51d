"""What was typed and is not recorded, in an address of its own, until it is pressed again.

Such an address fills a page with words that somebody is about to sign with a PIN. So it is signed: a link that comes
from elsewhere puts words into nobody's mouth.
"""

from __future__ import annotations

from collections.abc import Mapping

from itsdangerous import BadSignature, URLSafeSerializer

_LONGEST = 4000


def sealed(key: bytes, said: Mapping[str, str]) -> str:
    """Return what was said, by field, as text for an address; what says nothing is left out."""
    return str(_seal(key).dumps({field: text[:_LONGEST] for field, text in said.items() if text.strip()}))


def opened(key: bytes, text: str) -> dict[str, str]:
    """Return what `sealed` was given; nothing where it is not our own work, or was altered."""
    try:
        said = _seal(key).loads(text)
    except BadSignature:
        return {}
    return {str(field): str(words) for field, words in said.items()} if isinstance(said, dict) else {}


def _seal(key: bytes) -> URLSafeSerializer:
    return URLSafeSerializer(key, salt="kept")
