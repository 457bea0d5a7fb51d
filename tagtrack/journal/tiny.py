"""The journal behind TinyDB's own classes: a storage, a table and a database that can only grow.

Everything that reads is TinyDB's: `search`, `get`, `all`, `contains`, `count`, `len`, iteration, with
`tinydb.Query`. A document's `doc_id` is its line number, so the first is 2. What writes goes straight to the end of
the file, because TinyDB's own insert copies the whole table each time, which made an append to
50,000 documents some 180 times slower. What would change or remove is refused.

TinyDB's query cache is off: it would hide what other processes record. Naming a default
capacity on the class does not do that (4.9 bound the default value when it defined `Table`), so the
constructor says it too.

    db = JournalDB.create("journal.jsonl", "job", "N1234")
    db.append({"id": "a1", "by": "Kim"}, expected=db.head().seq)
    db.get(tinydb.Query().by == "Kim").doc_id  # 2
"""

from __future__ import annotations

import os
from collections.abc import ItemsView, Iterable, Iterator, Mapping
from itertools import count
from pathlib import Path
from typing import Any, NoReturn, Self, cast

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document as Found
from tinydb.table import Table

from tagtrack.core.errors import Refusal
from tagtrack.journal.chain import Head, Report, Snapshot
from tagtrack.journal.line import Document
from tagtrack.journal.store import AppendFile

_FIRST = 2  # line 1 is the header
_TABLE = "_default"


class JournalStorage(Storage):
    """TinyDB's storage over one journal file: reads verified documents, appends, and rewrites nothing."""

    def __init__(self, journal: AppendFile) -> None:
        self.journal = journal

    def read(self) -> dict[str, dict[str, Any]]:
        """Return the one table; its rows are a read-only view, which costs nothing to make."""
        # TinyDB asks a table only for len, get and items.
        return {_TABLE: cast("dict[str, Any]", _Rows(self.journal.documents()))}

    def write(self, data: Mapping[str, object]) -> NoReturn:  # noqa: ARG002 - TinyDB's signature
        """Raise Refusal: writing the whole would rewrite what was recorded."""
        raise _append_only("write")

    def append(self, document: Document, *, expected: int | None) -> int:
        """Record one document; see `AppendFile.append`."""
        return self.journal.append(document, expected=expected)

    def record(self, document: Document, *, expected: int | None) -> Head:
        """Record one document that was made for this alone; see `AppendFile.record`."""
        return self.journal.record(document, expected=expected, given_away=True)

    def close(self) -> None:
        """Let go of the file."""
        self.journal.close()


class JournalTable(Table):
    """TinyDB's table over a journal: reads as any table, inserts at the end of the file, changes nothing."""

    default_query_cache_capacity = 0

    def __init__(self, storage: Storage, name: str, cache_size: int = 0) -> None:
        super().__init__(storage, name, cache_size=cache_size)

    def insert(self, document: Mapping[str, Any]) -> int:
        """Record a document wherever the journal now ends; return its doc_id. See `AppendFile.append`."""
        if not isinstance(document, Mapping):
            raise Refusal("this cannot be recorded", expected="a document", came=type(document).__name__)
        if isinstance(document, Found):
            raise Refusal(
                "a document that bears a doc_id cannot be recorded",
                expected="a plain document: the journal numbers its lines itself",
                came=f"doc_id {document.doc_id}",
            )
        return cast("JournalStorage", self.storage).append(document, expected=None)

    def insert_multiple(self, documents: Iterable[Mapping[str, Any]]) -> list[int]:
        """Record the documents one by one, each a commit of its own; return their doc_ids.

        When one fails, those before it are recorded; asking again records none of them twice.
        """
        return [self.insert(document) for document in documents]

    def update(self, *_: object, **__: object) -> NoReturn:
        """Raise Refusal."""
        raise _append_only("update")

    def update_multiple(self, *_: object, **__: object) -> NoReturn:
        """Raise Refusal."""
        raise _append_only("update_multiple")

    def upsert(self, *_: object, **__: object) -> NoReturn:
        """Raise Refusal."""
        raise _append_only("upsert")

    def remove(self, *_: object, **__: object) -> NoReturn:
        """Raise Refusal."""
        raise _append_only("remove")

    def truncate(self) -> NoReturn:
        """Raise Refusal."""
        raise _append_only("truncate")


class JournalDB(TinyDB):
    """A journal as a TinyDB database. The program records and reads through this."""

    # On this subclass: set on TinyDB itself it would change every database of the process.
    table_class: type[Table] = JournalTable
    default_table_name = _TABLE

    def __init__(
        self, path: str | os.PathLike[str] | AppendFile, *, kind: str | None = None, name: str | None = None
    ) -> None:
        self._journal = path if isinstance(path, AppendFile) else AppendFile.open(path, kind=kind, name=name)
        super().__init__(self._journal, storage=JournalStorage)

    @classmethod
    def create(cls, path: str | os.PathLike[str], kind: str, name: str) -> Self:
        """Create a journal in an existing folder and open it; see `AppendFile.create`."""
        return cls(AppendFile.create(path, kind, name))

    @property
    def path(self) -> Path:
        """Where the journal is."""
        return self._journal.path

    @property
    def kind(self) -> str:
        """The kind of journal, from its header."""
        return self._journal.kind

    @property
    def name(self) -> str:
        """The name of the journal, from its header."""
        return self._journal.name

    @property
    def notices(self) -> tuple[str, ...]:
        """What was mended without asking since this journal was opened, in sentences for a person."""
        return self._journal.notices

    def append(self, doc: Document, *, expected: int | None) -> int:
        """Record the document; return its line number once it is on disk. See `AppendFile.append`."""
        return cast("JournalStorage", self.storage).append(doc, expected=expected)

    def record(self, doc: Document, *, expected: int | None) -> Head:
        """Record a document that was made for this alone; return its line's number and check.

        See `AppendFile.record`.
        """
        return cast("JournalStorage", self.storage).record(doc, expected=expected)

    def documents(self) -> tuple[Document, ...]:
        """Return all documents in order; see `AppendFile.documents`."""
        return self._journal.documents()

    def since(self, seq: int) -> tuple[Document, ...]:
        """Return the documents behind line `seq`; see `AppendFile.since`."""
        return self._journal.since(seq)

    def head(self) -> Head:
        """Return the last line's number and check; see `AppendFile.head`."""
        return self._journal.head()

    def snapshot(self) -> Snapshot:
        """Return the documents and the head of one moment; see `AppendFile.snapshot`."""
        return self._journal.snapshot()

    def at(self, seq: int) -> str:
        """Return the check of line `seq`; see `AppendFile.at`."""
        return self._journal.at(seq)

    def goes_through(self, head: Head) -> bool:
        """Return whether this line, with this check, is one of the journal's; see `AppendFile.goes_through`."""
        return self._journal.goes_through(head)

    def readable(self) -> tuple[Document, ...]:
        """Return the documents before the first damage; see `AppendFile.readable`."""
        return self._journal.readable()

    def raw(self) -> bytes:
        """Return the bytes of all whole lines; see `AppendFile.raw`."""
        return self._journal.raw()

    def verify(self) -> Report:
        """Read and verify the whole file; see `AppendFile.verify`."""
        return self._journal.verify()

    def table(self, name: str, **options: Any) -> Table:
        """Return the one table; raise Refusal for any other name."""
        if name != _TABLE:
            raise Refusal("a journal has one table", expected=_TABLE, came=name)
        return super().table(name, **options)

    def drop_table(self, name: str) -> NoReturn:  # noqa: ARG002 - TinyDB's signature
        """Raise Refusal."""
        raise _append_only("drop_table")

    def drop_tables(self) -> NoReturn:
        """Raise Refusal."""
        raise _append_only("drop_tables")


class _Rows(Mapping[str, Document]):
    """Documents under the row names TinyDB wants: their line numbers, as text."""

    def __init__(self, documents: tuple[Document, ...]) -> None:
        self.documents = documents

    def __getitem__(self, row: str) -> Document:
        index = int(row) - _FIRST if row.isdecimal() else -1
        if not 0 <= index < len(self.documents):
            raise KeyError(row)
        return self.documents[index]

    def __iter__(self) -> Iterator[str]:
        return (str(seq) for seq in range(_FIRST, _FIRST + len(self.documents)))

    def __len__(self) -> int:
        return len(self.documents)

    def items(self) -> ItemsView[str, Document]:
        return _Pairs(self)


class _Pairs(ItemsView[str, Document]):
    """The rows in order, without looking each one up: every search walks all of them."""

    def __init__(self, rows: _Rows) -> None:
        super().__init__(rows)
        self._documents = rows.documents

    def __iter__(self) -> Iterator[tuple[str, Document]]:
        return zip(map(str, count(_FIRST)), self._documents, strict=False)  # the count has no end


def _append_only(verb: str) -> Refusal:
    return Refusal(
        f"'{verb}' is refused: what a journal holds is never changed or removed",
        expected="a new document that says what changed",
        todo="record a reversal or a correction instead",
    )
