"""Shops, jobs and records for tests: in memory, with a clock that ticks and codes that repeat from a seed."""

from __future__ import annotations

import random
import re
from collections.abc import Sequence
from hashlib import sha256

from tagtrack.core import check_rest, codec
from tagtrack.core.errors import Conflict, Refusal
from tagtrack.core.events import Act, Head
from tagtrack.core.tagcode import ALPHABET, BODY
from tagtrack.shop import setup
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Reply, Tone
from tagtrack.shop.ports import Means, Who
from tagtrack.solver import solve


class MemoryRecord:
    """A record that is lost when the test ends; it stores documents, so the codec is always in the way."""

    def __init__(self) -> None:
        self.documents: list[dict[str, object]] = []
        self._acts: list[Act] = []

    def acts(self) -> Sequence[Act]:
        while len(self._acts) < len(self.documents):
            self._acts.append(codec.from_document(self.documents[len(self._acts)]))
        return tuple(self._acts)

    def append(self, act: Act, expected: int) -> Head:
        if expected != len(self.documents):
            raise Conflict("others wrote")
        self.documents.append(codec.to_document(act))
        return self.head()

    def head(self) -> Head:
        return Head("test", len(self.documents), sha256(repr(self.documents[-1:]).encode()).hexdigest())

    def goes_through(self, head: Head) -> bool:
        return head.seq == 0 or (head.seq <= len(self.documents) and head.hash == _check(self.documents[head.seq - 1]))


def _check(document: dict[str, object]) -> str:
    return sha256(repr([document]).encode()).hexdigest()


class MemoryPhotos:
    """Photos that are lost when the test ends; `"ab" * 32` is there from the beginning."""

    def __init__(self) -> None:
        self.names = {"ab" * 32}

    def put(self, large: bytes, small: bytes) -> str:
        del small
        name = sha256(large).hexdigest()
        self.names.add(name)
        return name

    def has(self, name: str) -> bool:
        return name in self.names


class MemoryRecords:
    def __init__(self) -> None:
        self.every: dict[str, MemoryRecord] = {"": MemoryRecord()}
        self.kept: dict[str, MemoryPhotos] = {}

    def shop(self) -> MemoryRecord:
        return self.every[""]

    def job(self, name: str) -> MemoryRecord:
        return self.every[name]

    def photos(self, name: str) -> MemoryPhotos:
        return self.kept.setdefault(name, MemoryPhotos())

    def create_job(self, name: str) -> MemoryRecord:
        if name in self.every:
            raise Refusal("exists")
        self.every[name] = MemoryRecord()
        return self.every[name]


def means(seed: int = 1) -> Means:
    chance = random.Random(seed)
    ticks = iter(range(10**9))

    def clock() -> str:
        minutes, seconds = divmod(next(ticks), 60)
        return f"2026-03-02T{8 + minutes // 60:02}:{minutes % 60:02}:{seconds:02}Z"

    return Means(
        clock=clock,
        new_id=lambda: f"{chance.getrandbits(40):010x}",
        new_body=lambda: "".join(chance.choice(ALPHABET) for _ in range(BODY)),
        site="test",
        version="test",
    )


def shop(seed: int = 1) -> Shop:
    made = Shop(MemoryRecords(), means(seed), solve=solve)
    who = Who("KT")
    setup.note_person(made, who, initials="KT", full_name="Kari Testad", certificate="1001", certificate_kind="A&P")
    setup.note_person(made, who, initials="MB", full_name="Mo Beispiel", certificate="1002", certificate_kind="IA")
    return made


def job(seed: int = 1, name: str = "WO-1") -> Job:
    return setup.open_job(shop(seed), Who("KT"), job=name, registration="X-TEST", make="Invented", model="Demo 2")


class Play:
    """Plays lines into a loop and remembers what they came to."""

    def __init__(self, opened: Job | None = None, initials: str = "KT") -> None:
        self.job = opened or job()
        self.loop = Loop(self.job, initials)
        self.count = 0

    def __call__(self, line: str, tone: Tone | None = Tone.DONE) -> Reply:
        """Play one line; the tone is what is expected of the answer (None: any)."""
        self.count += 1
        reply = self.loop.line(self.filled(line))
        assert tone is None or reply.tone is tone, f"{line!r}: {reply.tone} {reply.lines}"
        return reply

    def lines(self, text: str) -> list[Reply]:
        """Play several lines. `!`, `?` and `~` before a line: the answer must be wrong, a question, a note.

        `<tag POSITION>`, `<bag POSITION>` and `<wire POSITION A>` stand for codes; empty lines are left out.
        """
        tones = {"!": Tone.WRONG, "?": Tone.ASK, "~": Tone.NOTE}
        replies = []
        for line in filter(None, map(str.strip, text.splitlines())):
            tone = tones.get(line[0], Tone.DONE)
            replies.append(self(line.lstrip("!?~ "), tone))
        return replies

    def filled(self, line: str) -> str:
        """Return the line with codes in place of what they stand for."""
        return re.sub(r"<(tag|bag|wire) ([^>]+)>", self._code, line)

    def _code(self, found: re.Match[str]) -> str:
        what, about = found[1], found[2]
        if what == "wire":
            place, _, end = about.rpartition(" ")
            about = f"{place}|{end.replace('keyed', '')}"
            return next(t.code for t in self.job.state.tags.values() if t.thing == about)
        return self.tag(about) if what == "tag" else self.bag(about)

    def close(self) -> None:
        """Bring the tags back, find nothing more to say, and sign off."""
        out = len(self.job.open_tags())
        if out:
            self(f"tags back {out}")
        self.close_out()
        self("check")
        self("sign off")

    def close_out(self) -> None:
        """Answer what is asked of every area that was worked in, where nobody has."""
        for finding in check_rest.close_out(self.job.index()):
            row, _, area = finding.thing.partition(": ")
            self(f"{row} {area}: 12 of 12 tools back, both covers on")

    def tag(self, position: str) -> str:
        """Return the code of the part tag of a position."""
        state = self.job.state
        part = next(p for p in state.parts.values() if str(p.home) == position and not p.replaced_by)
        return part.tag

    def bag(self, position: str) -> str:
        """Return the code of the bag of a position."""
        tags = self.job.state.tags.values()
        return next(t.code for t in tags if t.role.value == "bag" and t.thing == position)

    def kinds(self, **how: object) -> list[str]:
        """Return the kinds of the findings of a check, in order."""
        from tagtrack.core.reconcile import reconcile

        return [f.kind.value for f in reconcile(self.job.refresh(), **how).unanswered]  # type: ignore[arg-type]
