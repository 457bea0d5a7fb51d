"""What was last seen of each work order, so that a shop of thousands need not be read whole to say what is open.

The file can be thrown away at any time: each entry holds the size and time of the journal that it was made from, and
one that does not fit is made anew. It is never trusted for anything that is recorded.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from tempfile import NamedTemporaryFile

FILE = "index.json"
_VERSION = 1
# a work order takes a hundred
_MOST_BYTES = 50_000_000


@dataclass(frozen=True, slots=True)
class Summary:
    """One work order in a line: whether it is signed off, how much is open, how much is wrong now."""

    signed: bool
    still_open: int
    wrong: int


class Index:
    """The summaries of one shop folder. `known` gives one that still fits its journal; `note` and `save` keep it."""

    def __init__(self, root: Path) -> None:
        self._path = root / FILE
        self._entries: dict[str, dict[str, object]] = {}
        self._changed = False
        # whatever is wrong with it, it is only made anew
        with suppress(OSError, ValueError, AttributeError, TypeError, RecursionError):
            # a pipe of that name would keep us waiting, and a huge file is not ours
            if not self._path.is_file() or self._path.stat().st_size > _MOST_BYTES:
                return
            stored = json.loads(self._path.read_text(encoding="utf-8"))
            if stored.get("version") == _VERSION:
                self._entries = {str(name): dict(entry) for name, entry in stored["jobs"].items()}

    def known(self, name: str, journal: Path) -> Summary | None:
        """Return the summary of a work order if it was made from this very journal, else None."""
        entry = self._entries.get(name)
        if entry is None or entry.get("of") != _mark(journal):
            return None
        try:
            return Summary(signed=entry["signed"] is True, still_open=int(str(entry["still_open"])),
                           wrong=int(str(entry["wrong"])))  # fmt: skip
        except (KeyError, ValueError):
            return None

    def note(self, name: str, journal: Path, summary: Summary) -> None:
        """Keep the summary of a work order with what its journal is like now."""
        self._entries[name] = {"of": _mark(journal), **asdict(summary)}
        self._changed = True

    def save(self) -> None:
        """Write the file if anything is new. Where it cannot be written, nothing is lost but time."""
        if not self._changed:
            return
        text = json.dumps({"version": _VERSION, "jobs": self._entries})
        beside: Path | None = None
        try:
            with NamedTemporaryFile(
                "w", encoding="utf-8", dir=self._path.parent, prefix=FILE, suffix=".part", delete=False
            ) as file:
                beside = Path(file.name)
                file.write(text)
            # a temporary file is made for its owner alone; the index is for whoever works in the shop
            beside.chmod(0o644)
            beside.replace(self._path)
        except OSError:
            with suppress(OSError):
                if beside is not None:
                    beside.unlink(missing_ok=True)
        self._changed = False


def _mark(journal: Path) -> str:
    try:
        status = journal.stat()
    except OSError:
        return ""
    return f"{status.st_size} {status.st_mtime_ns}"
