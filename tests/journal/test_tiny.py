"""The journal as a TinyDB database: TinyDB's reading, our appending, and no changing."""

from __future__ import annotations

import pytest
from journal.samples import act, ids, written
from tinydb import Query, TinyDB, where
from tinydb.storages import MemoryStorage, Storage
from tinydb.table import Document, Table

from tagtrack.core.errors import Conflict, Refusal
from tagtrack.journal.store import AppendFile
from tagtrack.journal.tiny import JournalDB, JournalStorage, JournalTable


@pytest.fixture
def db(path):
    """A database of three acts."""
    written(path, 3)
    with JournalDB(path) as opened:
        yield opened


def test_the_journal_stands_behind_tinydbs_own_classes(db):
    assert isinstance(db, TinyDB)
    assert isinstance(db.table(db.default_table_name), Table)
    assert isinstance(db.storage, Storage)


def test_a_new_database_is_a_new_journal(path):
    with JournalDB.create(path, "shop", "hangar 2") as db:
        assert (db.kind, db.name, db.path, len(db), db.head().seq) == ("shop", "hangar 2", path, 0, 1)


def test_documents_are_numbered_by_their_lines(db):
    assert [(doc.doc_id, doc) for doc in db] == [(2, act(0)), (3, act(1)), (4, act(2))]
    assert db.all() == list(db)
    assert len(db) == 3


def test_tinydb_queries_work(db):
    other = {"id": "b", "by": "Kim", "events": [{"count": 5}]}
    db.append(other, expected=4)
    person = Query()
    assert [found.doc_id for found in db.search(person.by == "Kim")] == [5]
    assert db.get(where("id") == act(1)["id"]).doc_id == 3
    assert db.search(person.events.any(person.count > 4)) == [other]
    assert db.search((person.by == "Kim") | (person.id == act(0)["id"])) == [act(0), other]
    assert db.count(~(person.by == "Kim")) == 3
    assert db.contains(person.by == "Kim")
    assert not db.contains(person.by == "Lee")


@pytest.mark.parametrize(("doc_id", "there"), [(1, False), (2, True), (4, True), (5, False), (-1, False)])
def test_a_document_is_found_by_its_line_number(db, doc_id, there):
    found = db.get(doc_id=doc_id)
    assert db.contains(doc_id=doc_id) is there
    assert (found == act(doc_id - 2)) if there else (found is None)


def test_several_documents_are_found_by_their_line_numbers(db):
    assert [found.doc_id for found in db.get(doc_ids=[4, 2, 99])] == [2, 4]


def test_a_search_sees_what_another_process_recorded_since_the_same_search(db, path):
    # TinyDB's query cache would go on giving the first answer.
    assert db.search(where("by") == "Kim") == []
    with AppendFile.open(path) as other:
        other.append({"id": "b", "by": "Kim"}, expected=4)
    assert ids(db.search(where("by") == "Kim")) == ["b"]


def test_append_goes_through_and_returns_the_line_number(db, path):
    assert db.append(act(7), expected=4) == 5
    with AppendFile.open(path) as journal:
        assert journal.documents() == db.documents()


def test_append_tells_a_conflict(db):
    with pytest.raises(Conflict):
        db.append(act(7), expected=3)


def test_insert_appends_and_returns_the_doc_id(db):
    assert db.insert(act(7)) == 5
    assert db.get(doc_id=5) == act(7)
    assert db.insert_multiple(act(number) for number in (8, 9)) == [6, 7]


def test_inserting_again_with_the_same_id_returns_the_same_doc_id(db):
    assert db.insert(act(1)) == 3
    assert db.insert_multiple([act(0), act(7), act(7)]) == [2, 5, 5]
    assert len(db) == 4


@pytest.mark.parametrize("doc", [["no mapping"], {"no": "id"}, Document(act(9), doc_id=9)])
def test_what_is_no_plain_document_with_an_id_is_not_inserted(db, doc):
    with pytest.raises(Refusal):
        db.insert(doc)
    assert len(db) == 3


@pytest.mark.parametrize(
    "change",
    [
        lambda db: db.update({"by": "Lee"}),
        lambda db: db.update({"by": "Lee"}, where("by") == "Kim"),
        lambda db: db.update_multiple([({"by": "Lee"}, where("by") == "Kim")]),
        lambda db: db.upsert({"by": "Lee"}, where("by") == "Kim"),
        lambda db: db.upsert(Document(act(0), doc_id=2)),
        lambda db: db.remove(where("by") == "Kim"),
        lambda db: db.remove(doc_ids=[2]),
        lambda db: db.truncate(),
        lambda db: db.drop_table("_default"),
        lambda db: db.drop_tables(),
        lambda db: db.storage.write({}),
        lambda db: db.table("_default").update({"by": "Lee"}),
        lambda db: db.table("another"),
    ],
)
def test_what_would_change_or_remove_is_refused_and_the_file_stays(db, path, change):
    before = path.read_bytes()
    with pytest.raises(Refusal):
        change(db)
    assert path.read_bytes() == before
    assert len(db) == 3


def test_every_public_way_of_tinydbs_table_is_either_inherited_on_purpose_or_ours():
    # A later TinyDB with a new way to write must not get past us unseen.
    reads = {"all", "clear_cache", "contains", "count", "get", "name", "search", "storage"}
    settings = {"default_query_cache_capacity", "document_class", "document_id_class", "query_cache_class"}
    ours = set(vars(JournalTable))
    theirs = {name for name in vars(Table) if not name.startswith("_")}
    assert theirs - ours == (reads | settings) - ours


def test_the_query_cache_holds_nothing(db):
    db.search(where("by") == "Kim")
    assert len(db.table("_default")._query_cache) == 0  # noqa: SLF001 - TinyDB shows it nowhere else


def test_other_databases_of_the_process_keep_tinydbs_own_table():
    assert TinyDB.table_class is Table
    with TinyDB(storage=MemoryStorage) as other:
        assert other.insert({"plain": 1.5}) == 1


def test_the_rest_of_the_journal_is_reached_through_the_database(db):
    assert db.snapshot().documents == db.documents() == db.readable()
    assert db.since(3) == (act(2),)
    assert db.at(4) == db.head().sha
    assert (db.verify().good, db.notices) == (4, ())


def test_a_row_is_read_only_and_names_only_lines(db):
    rows = db.storage.read()["_default"]
    assert list(rows) == ["2", "3", "4"]
    assert [rows[row] for row in rows] == [doc for _, doc in rows.items()]
    for row in ("1", "5", "x", "-2"):
        assert rows.get(row) is None
    with pytest.raises(TypeError):
        rows["5"] = {}


def test_closing_the_database_closes_the_journal(path):
    written(path, 1)
    journal = AppendFile.open(path)
    db = JournalDB(journal)
    assert isinstance(db.storage, JournalStorage)
    db.close()
    with pytest.raises(Exception, match="not open"):
        journal.head()
