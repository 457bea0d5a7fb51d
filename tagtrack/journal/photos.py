"""Photos of a work order on disk, each under the SHA-256 of its bytes: the record names it, and proves it unchanged."""

from __future__ import annotations

import os
import re
from hashlib import sha256
from pathlib import Path

from tagtrack.core.errors import Damaged, Refusal
from tagtrack.journal import disk

_NAME = re.compile(r"[0-9a-f]{64}")


class Photos:
    """The photos of one work order. Made when the first is put there; nothing is ever changed or removed."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def put(self, large: bytes, small: bytes) -> str:
        """Keep a photo and its small copy, on disk, and return its name; the same photo again is the same name."""
        name = sha256(large).hexdigest()
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            # what lies there may have been hurt or exchanged since: then it is mended by what comes
            whole = self._is_whole(name)
            # the small one first: where the large one is, both are
            for path, data in ((self._small(name), small), (self._large(name), large)):
                if not whole or not path.exists():
                    self._write(path, data)
        except OSError as problem:
            raise disk.full(problem, self._folder) from problem
        return name

    def _write(self, path: Path, data: bytes) -> None:
        # a name of its own: two devices may send the same photo in the same moment
        beside = path.with_name(f".{path.name}.{os.urandom(6).hex()}.part")
        try:
            disk.write_new(beside, data)
            beside.replace(path)
            disk.sync_folder(path.parent)
        finally:
            beside.unlink(missing_ok=True)

    def has(self, name: str) -> bool:
        """Return whether there is a photo of that name."""
        return bool(_NAME.fullmatch(name)) and self._large(name).exists()

    def large(self, name: str) -> Path:
        """Return where a photo is; refuse a name that none has, or that is none."""
        self._must_have(name)
        return self._large(name)

    def small(self, name: str) -> Path:
        """Return where a photo's small copy is; refuse as `large` does."""
        self._must_have(name)
        return self._small(name)

    def check(self, name: str) -> None:
        """Read a photo again; a Fault tells that it is gone, or not what was kept."""
        if not self.has(name):
            raise Damaged(f"a photo is not there any more: {self._large(name)}", expected="a file of that name",
                          came="none", todo="look for it in a backup")  # fmt: skip
        try:
            found = sha256(self._large(name).read_bytes()).hexdigest()
        except OSError as problem:
            raise Damaged(f"a photo cannot be read: {self._large(name)}", expected="a file of that name",
                          came=str(problem.strerror), todo="look for it in a backup") from problem  # fmt: skip
        if found != name:
            raise Damaged(f"a photo was changed: {self._large(name)}", expected=f"SHA-256 {name[:16]}...",
                          came=f"{found[:16]}...", todo="look for it in a backup")  # fmt: skip

    def _is_whole(self, name: str) -> bool:
        if not self.has(name):
            return False
        try:
            self.check(name)
        except Damaged:
            return False
        return True

    def _must_have(self, name: str) -> None:
        if not self.has(name):
            raise Refusal("there is no such photo", expected="a photo of this work order", came=name[:70] or "nothing",
                          todo="look at the list of its photos")  # fmt: skip

    def _large(self, name: str) -> Path:
        return self._folder / f"{name}.jpg"

    def _small(self, name: str) -> Path:
        return self._folder / f"{name}-small.jpg"
