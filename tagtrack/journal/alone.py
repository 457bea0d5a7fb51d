"""One thread at a time, also in a child that was forked while another thread was inside."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable


class Alone:
    """Keeps other threads out between `with` and its end, once `ready` has looked at this process."""

    def __init__(self, ready: Callable[[int], None]) -> None:
        self._ready = ready
        # A lock per process: the one inherited may be held by a thread that does not exist here.
        self._locks: dict[int, threading.RLock] = {}
        # Touched only by who holds the last one. A child that was forked inside lets go of what its parent held.
        self._held: list[threading.RLock] = []

    def __enter__(self) -> None:
        pid = os.getpid()
        lock = self._locks.get(pid) or self._locks.setdefault(pid, threading.RLock())
        lock.acquire()
        self._held.append(lock)
        try:
            self._ready(pid)
        except BaseException:
            self._held.pop().release()
            raise

    def __exit__(self, *_: object) -> None:
        self._held.pop().release()
