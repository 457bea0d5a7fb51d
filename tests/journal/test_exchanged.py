"""Another file under a record's name, while a loop runs on it: never is one history written on top of another."""

from __future__ import annotations

import shutil

import pytest
from journal.samples import act, ids, lines_of, written
from journal.test_unpacked import console, tree  # noqa: F401 - a fixture

from tagtrack.cli import wiring
from tagtrack.cli.wiring import DEFAULT_SITE
from tagtrack.core.errors import Conflict, Damaged, Fault
from tagtrack.journal import disk
from tagtrack.journal.acts import Folder
from tagtrack.journal.store import AppendFile
from tagtrack.shop.desk import Shop
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.lines.talk import Tone


@pytest.fixture
def loop(console):  # noqa: F811
    """A loop that runs on the shop's only work order."""
    folder = Folder(console.root, DEFAULT_SITE)
    running = Loop(Shop(folder, wiring.means()).open("WO-1"), "KT")
    running.line("zone tail LEFT")
    yield running
    folder.close()


def replace(path, data):
    """Put another file under the name, as somebody does who restores one."""
    beside = path.with_name("restored")
    beside.write_bytes(data)
    beside.replace(path)


def positions(job):
    return {str(position) for position in job.state.positions}


def agrees(loop, console):  # noqa: F811
    """The picture of the running loop is what the file says, read anew, and the file folds."""
    fresh = Folder(console.root, DEFAULT_SITE)
    job = Shop(fresh, wiring.means()).open("WO-1")
    assert job.state == loop.bench.job.state
    assert [one.id for one in job.acts] == [one.id for one in loop.bench.job.acts]
    fresh.close()


def test_an_older_copy_that_was_put_back_is_told_once_and_work_goes_on_from_it(loop, console):  # noqa: F811
    path = console.root / "jobs/WO-1/journal.jsonl"
    older = path.read_bytes()
    loop.line("off rib 2 LEFT; 2 AN3-5A")
    loop.line("off rib 3 LEFT; 2 AN3-5A")
    given = set(loop.bench.job.state.tags)
    replace(path, older)
    reply = loop.line("off rib 4 LEFT; none")
    assert reply.tone is Tone.WRONG
    assert reply.act is None
    assert "was exchanged for another one" in reply.lines[0]
    assert path.read_bytes() == older
    agrees(loop, console)
    assert loop.line("off rib 4 LEFT; none").act is not None
    agrees(loop, console)
    assert positions(loop.bench.job) == {"panel 1, LEFT", "rib 4, LEFT"}
    # the tags that were given out in what is lost may hang on parts already
    known = positions_tag(loop, "rib 4")
    assert known
    assert known not in given


def positions_tag(loop, name):
    return next(p.tag for p in loop.bench.job.state.parts.values() if p.home.name == name)


@pytest.mark.parametrize("lines", [2, 3, 5])
def test_one_that_others_have_written_on_since_is_never_mixed_with_what_was_read(loop, console, lines):  # noqa: F811
    """Shorter than what was read, as long, and longer: only its length says nothing."""
    path = console.root / "jobs/WO-1/journal.jsonl"
    older = path.read_bytes()
    for number in range(3):
        loop.line(f"off rib {number} LEFT; none")
    replace(path, older)
    for number in range(lines):
        console("say", "--by", "KT", "--job", "WO-1", f"off spar {number} LEFT; none")
    assert "was exchanged" in loop.line("status").lines[0]
    agrees(loop, console)
    assert loop.line("off rib 9 LEFT; none").act is not None
    agrees(loop, console)
    assert "good" in console("verify").out


def test_what_was_in_hand_and_what_was_asked_is_let_go(loop, console):  # noqa: F811
    path = console.root / "jobs/WO-1/journal.jsonl"
    older = path.read_bytes()
    loop.line("off rib 2 LEFT; 2 AN3-5A")
    loop.line(positions_tag(loop, "rib 2"))
    loop.bench.pending = lambda _: pytest.fail("an answer to what was asked before")
    replace(path, older)
    loop.line("yes, because it is so")
    assert loop.bench.part == ""
    assert loop.bench.pending is None


def test_the_record_of_another_work_order_is_not_taken_for_this_one(console, loop):  # noqa: F811
    console("open", "WO-2", "N1INV", "--by", "KT")
    one, two = (console.root / "jobs" / name / "journal.jsonl" for name in ("WO-1", "WO-2"))
    whole = two.read_bytes()
    replace(two, one.read_bytes())
    for words in (("status", "--job", "WO-2"), ("say", "--by", "KT", "--job", "WO-2", "off rib 1 LEFT; none")):
        assert "is another record than the one that belongs there" in console(*words, code=5).err.replace("\n", " ")
    told = console("verify", code=5).out
    assert "WO-1             good" in told
    assert "WO-2             DAMAGED at line 1" in told
    replace(one, whole)
    with pytest.raises(Fault, match="is another record"):
        loop.line("off rib 1 LEFT; none")
    assert one.read_bytes() == whole


def test_the_record_of_another_shop_ends_the_loop_and_nothing_is_written_into_it(console, loop, tmp_path):  # noqa: F811
    other = tmp_path / "other"
    console("setup", str(other), "--name", "Other")
    console.shop = other
    console("person", "KT", "Kari Testad")
    console("person", "MB", "Mo Bench")
    console("open", "WO-1", "N9OTH", "--by", "KT")
    path = console.root / "shop.jsonl"
    theirs = (other / "shop.jsonl").read_bytes()
    replace(path, theirs)
    before = tree(console.root / "jobs")
    with pytest.raises(Damaged, match="exchanged for another one"):
        loop.line("off rib 1 LEFT; none")
    assert path.read_bytes() == theirs
    assert tree(console.root / "jobs") == before
    # nor does a program that starts anew take the one for the other
    console.shop = console.root
    for words in (("status",), ("say", "--by", "KT", "off rib 1 LEFT; none")):
        assert "is not of the work order that this shop opened" in console(*words, code=5).err.replace("\n", " ")


def test_an_older_record_of_the_shop_ends_the_loop_and_a_new_one_goes_on_from_it(console, loop):  # noqa: F811
    path = console.root / "shop.jsonl"
    older = path.read_bytes()
    console("person", "MB", "Mo Bench")
    loop.line("by MB")
    replace(path, older)
    for _ in range(2):
        with pytest.raises(Damaged, match="exchanged for another one"):
            loop.line("off rib 1 LEFT; none")
    assert path.read_bytes() == older
    assert "OFF  rib 1, LEFT" in console("say", "--by", "KT", "off rib 1 LEFT; none").out
    assert "good" in console("verify").out


def test_a_folder_whose_shop_record_is_gone_is_not_made_another_shop(console):  # noqa: F811
    (console.root / "shop.jsonl").unlink()
    console.shop = None
    said = console("setup", str(console.root), code=4).err
    assert "holds records of work orders already" in said.replace("\n", " ")
    assert not (console.root / "shop.jsonl").exists()


def test_a_lock_that_is_a_folder_is_told_and_nothing_is_recorded(console):  # noqa: F811
    lock = console.root / "jobs/WO-1/journal.jsonl.lock"
    lock.unlink()
    lock.mkdir()
    before = (console.root / "jobs/WO-1/journal.jsonl").read_bytes()
    assert "journal.jsonl.lock could not be written" in console(
        "say", "--by", "KT", "off rib 1 LEFT; none", code=5
    ).err.replace("\n  ", " ").replace("\n", " ")
    assert (console.root / "jobs/WO-1/journal.jsonl").read_bytes() == before
    assert "panel 1" in console("status").out


def test_a_shop_record_of_the_wrong_kind_is_told(console):  # noqa: F811
    replace(console.root / "shop.jsonl", (console.root / "jobs/WO-1/journal.jsonl").read_bytes())
    assert "is another record" in console("jobs", code=5).err
    assert "the shop         DAMAGED" in console("verify", code=5).out


def test_a_record_that_is_put_in_place_while_one_is_being_written_gets_no_false_answer(path, monkeypatch):
    """Between the last look and the answer: what was written went into a file without a name."""
    shorter = written(path, 2)
    sync = disk.sync
    with AppendFile.open(path) as journal:
        journal.append(act(2), expected=3)

        def meanwhile(handle):
            sync(handle)
            replace(path, shorter)

        monkeypatch.setattr(disk, "sync", meanwhile)
        with pytest.raises(Conflict, match="in this moment"):
            journal.append(act(3), expected=4)
        monkeypatch.setattr(disk, "sync", sync)
        assert ids(journal.documents()) == ids(act(n) for n in range(2))
        assert journal.append(act(4), expected=3) == 4
    assert path.read_bytes() == b"".join(lines_of(act(n) for n in (0, 1, 4)))


def test_a_work_order_folder_that_is_deleted_while_the_loop_runs_is_a_fault_and_is_not_made_again(loop, console):  # noqa: F811
    shutil.rmtree(console.root / "jobs" / "WO-1")
    for _ in range(2):
        with pytest.raises(Fault):
            loop.line("off rib 1 LEFT; none")
    assert not (console.root / "jobs" / "WO-1").exists()
    assert "NOT READABLE" in console("jobs", code=5).out
