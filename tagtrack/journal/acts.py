"""Acts on disk: a journal whose documents are acts, and the folder that holds a shop's journals.

A shop folder holds `shop.jsonl` (people, tags, places, jobs) and `jobs/<name>/journal.jsonl`, one for each job.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tagtrack.core import codec
from tagtrack.core.errors import Fault, Full, Refusal, Trouble
from tagtrack.core.events import Act, Head
from tagtrack.journal import chain as chains
from tagtrack.journal.chain import NOTHING, Report
from tagtrack.journal.contents import is_copy
from tagtrack.journal.index import Index
from tagtrack.journal.photos import Photos
from tagtrack.journal.tiny import JournalDB

SHOP_FILE = "shop.jsonl"
JOB_FILE = "journal.jsonl"


class ActJournal:
    """One journal of acts. Acts are decoded once and kept."""

    def __init__(
        self, path: Path, site: str, *, kind: str | None = None, name: str | None = None, copied: bool = False
    ) -> None:
        self._db = JournalDB(path, kind=kind, name=name)
        self._site = site
        # in the copy of a shop nothing is recorded
        self._copied = copied
        self._acts: tuple[Act, ...] = ()
        # the last line that the acts were read from
        self._read = NOTHING
        # the head that was told last, as the journal has it and as the program has it
        self._told = (NOTHING, Head(site, NOTHING.seq, NOTHING.sha))

    def acts(self) -> Sequence[Act]:
        """Return every act, oldest first: the very same ones as before, where the record still goes through them."""
        now = self._db.snapshot()
        if now.head != self._read:
            # an older copy, or another file, may have been put in its place and be longer already
            kept = self._acts if self._db.goes_through(self._read) else ()
            self._acts = (*kept, *map(codec.from_document, now.documents[len(kept) :]))
            self._read = now.head
        return self._acts

    def append(self, act: Act, expected: int) -> Head:
        """Put one act on disk, return how far the journal goes with it; Conflict if others wrote after `expected`."""
        if self._copied:
            raise _only_a_copy(self._db.path)
        return self._as_ours(self._db.record(codec.to_document(act), expected=expected))

    def head(self) -> Head:
        """Return how far the journal goes."""
        return self._as_ours(self._db.head())

    def _as_ours(self, head: chains.Head) -> Head:
        """Return the head as the program has it; the very same one while nothing is written."""
        if head is not self._told[0]:
            self._told = (head, Head(self._site, head.seq, head.sha))
        return self._told[1]

    def goes_through(self, head: Head) -> bool:
        """Return whether a head that was read before is still part of the record."""
        return self._db.goes_through(chains.Head(head.seq, head.hash))

    def check_at(self, seq: int) -> str:
        """Return the check (64 hex digits) of a line, to hold a printed one against; Refusal where there is none."""
        return self._db.at(seq)

    def verify(self) -> Report:
        """Return what is good of the file, and where it is damaged."""
        return self._db.verify()

    def raw(self) -> bytes:
        """Return the file's bytes as they are now, up to the last whole line; Damaged where a line is not true."""
        return self._db.raw()

    @property
    def notices(self) -> Sequence[str]:
        """What was put right by itself when the journal was opened or written: a torn last line set aside."""
        return self._db.notices

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()


class Folder:
    """The journals of one shop folder."""

    def __init__(self, root: Path, site: str) -> None:
        self.root = root
        self.copied = is_copy(root)
        self._site = site
        self._open: dict[str, ActJournal] = {}
        self._index: Index | None = None

    @classmethod
    def create(cls, root: Path, name: str, site: str) -> Folder:
        """Make a shop folder, its journal empty; refuse one that is a shop already, or was one."""
        if (root / SHOP_FILE).exists():
            raise Refusal(
                f"{root} is a shop already", expected="a new or empty folder", came=str(root),
                todo="use it as it is, or choose another folder",
            )  # fmt: skip
        left = cls(root, site).on_disk()
        if left:
            raise Refusal(
                f"{root} holds records of work orders already, and no record of their shop",
                expected="a new or empty folder", came=", ".join(f"jobs/{name}" for name in left[:5]),
                todo=f"put {SHOP_FILE} back: look for it in a backup; or choose another folder",
            )  # fmt: skip
        _make(root / "jobs")
        JournalDB.create(root / SHOP_FILE, "shop", name).close()
        return cls(root, site)

    def shop(self) -> ActJournal:
        """Return the shop's own journal."""
        return self._journal("", self.root / SHOP_FILE, "shop")

    def job(self, name: str) -> ActJournal:
        """Return the journal of a job; refuse a job that has none."""
        path = self.job_folder(name) / JOB_FILE
        if not path.exists():
            raise Refusal(
                f"the record of {name} is not there", expected=str(path), came="no such file",
                todo="look for it in a backup; nothing can be recorded for this job meanwhile",
            )  # fmt: skip
        return self._journal(name, path, "job")

    @contextmanager
    def looked_at(self, name: str) -> Iterator[ActJournal]:
        """Lend the journal of a job for a look, as `job` gives it, and let go of it: a shop has thousands of them.

        What is open anyway stays open.
        """
        known = name in self._open
        journal = self.job(name)
        try:
            yield journal
        finally:
            if not known:
                self._open.pop(name).close()

    def create_job(self, name: str) -> ActJournal:
        """Make the journal of a new job; refuse one that exists; a Fault in the copy of a shop."""
        folder = self.job_folder(name)
        if self.copied:
            # no refusal: that would mean that there is a record already
            raise _only_a_copy(folder, Fault)
        _make(folder)
        JournalDB.create(folder / JOB_FILE, "job", name).close()
        return self._journal(name, folder / JOB_FILE, "job")

    def on_disk(self) -> tuple[str, ...]:
        """Return the names of the jobs that have a journal, by what lies in the folder alone."""
        return tuple(sorted(path.parent.name for path in (self.root / "jobs").glob(f"*/{JOB_FILE}")))

    @property
    def notices(self) -> tuple[str, ...]:
        """What a person should know: that this is a copy; what was put right by itself in a journal that was used."""
        copied = (f"{self.root.absolute()} is a copy of a shop: what was recorded since it was taken is not in it",)
        mended = tuple(notice for journal in self._open.values() for notice in journal.notices)
        return (copied if self.copied else ()) + mended

    def job_file(self, name: str) -> Path:
        """Return where the record of a job is, or would be."""
        return self.job_folder(name) / JOB_FILE

    def job_folder(self, name: str) -> Path:
        """Return the folder of a job's journal and papers."""
        return self.root / "jobs" / name

    def photos(self, name: str) -> Photos:
        """Return the photos of a job."""
        return Photos(self.job_folder(name) / "photos")

    @property
    def secrets_file(self) -> Path:
        """Where PINs are kept, apart from the record and readable by the owner alone."""
        return self.root / "secrets"

    @property
    def sign_outs_file(self) -> Path:
        """Where it is kept who signed out of the page, for as long as a sign-in lasts."""
        return self.root / "signed-out.json"

    @property
    def certificate_folder(self) -> Path:
        """Where what https needs is kept."""
        return self.root / "certificate"

    @property
    def index(self) -> Index:
        """What was last seen of each work order; read when first asked for, kept when the folder is closed."""
        if self._index is None:
            self._index = Index(self.root)
        return self._index

    def close(self) -> None:
        """Let go of every file."""
        if self._index is not None:
            self._index.save()
        for journal in self._open.values():
            journal.close()
        self._open.clear()

    def _journal(self, name: str, path: Path, kind: str) -> ActJournal:
        if name not in self._open:
            self._open[name] = ActJournal(path, self._site, kind=kind, name=name or None, copied=self.copied)
        return self._open[name]


def _only_a_copy(place: Path, kind: type[Trouble] = Refusal) -> Trouble:
    return kind(
        "this is a copy of a shop: nothing is recorded in it", expected="the shop itself", came=str(place),
        todo="go to the shop's own folder; if that is lost, go on from the copy: tagtrack restore COPY NEW-FOLDER",
    )  # fmt: skip


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Full(
            f"the folder {folder} cannot be made: {problem.strerror}", expected="a folder that you may write to",
            came=str(folder), todo="choose another folder, or have the rights mended",
        ) from problem  # fmt: skip
