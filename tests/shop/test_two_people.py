"""Two people at one work order: each sees what the other did, nothing is lost, nothing is written twice."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest
from builders import MemoryRecord, Play, job, means

from tagtrack.core.errors import Conflict, Refusal
from tagtrack.core.events import Seen
from tagtrack.journal.acts import Folder
from tagtrack.shop import desk, setup
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.ports import Who

KT, MB = Who("KT"), Who("MB")


def note(where):
    return lambda _: (Seen("7K4M9QXQ", where),)


def record_of(opened):
    return opened.shop.records.job(opened.name)


class Slipping(MemoryRecord):
    """A record into which somebody else writes in the moment after an append, before its head is asked for."""

    def __init__(self):
        super().__init__()
        self.after = None

    def append(self, act, expected):
        line = super().append(act, expected)
        if self.after:
            slip, self.after = self.after, None
            slip()
        return line


def test_what_another_writes_right_after_my_line_is_seen_at_the_next_look():
    opened = job()
    record = Slipping()
    record.documents = list(record_of(opened).documents)
    mine, other = Job(opened.shop, opened.name, record), Job(opened.shop, opened.name, record)
    record.after = lambda: other.commit(MB, note("shelf 2"))
    mine.commit(KT, note("shelf 1"))
    assert mine.refresh().whereabouts == {"7K4M9QXQ": "shelf 2"}
    assert len(mine.acts) == len(record.documents)
    mine.commit(KT, note("shelf 3"))
    assert other.refresh().whereabouts == {"7K4M9QXQ": "shelf 3"}


def test_a_decision_is_taken_again_on_the_newer_picture():
    opened = job()
    other = Job(opened.shop, opened.name, record_of(opened))
    seen = []

    def decide(state):
        seen.append(dict(state.whereabouts))
        if len(seen) == 1:
            other.commit(MB, note("shelf 2"))
        return (Seen("7K4M9QXQ", "shelf 1"),)

    opened.commit(KT, decide)
    assert seen == [{}, {"7K4M9QXQ": "shelf 2"}]
    assert opened.state.whereabouts == {"7K4M9QXQ": "shelf 1"}


class Busy(MemoryRecord):
    def append(self, *_):
        raise Conflict("others wrote")


def test_when_others_never_stop_writing_it_is_told_and_nothing_is_written():
    opened = job()
    busy = Busy()
    busy.documents = list(record_of(opened).documents)
    crowded = Job(opened.shop, opened.name, busy)
    with pytest.raises(Refusal, match="others kept writing"):
        crowded.commit(KT, note("shelf 1"))
    busy.documents = list(opened.shop.records.shop().documents)
    opened.shop.records.every[""] = busy
    crowded_shop = Shop(opened.shop.records, means())
    with pytest.raises(Refusal, match="others kept writing"):
        crowded_shop.issue(KT, 1)


def real_shop(folder: Path, seed: int) -> Shop:
    return Shop(Folder(folder, "test"), means(seed))


def test_two_programs_on_one_folder_lose_nothing(tmp_path):
    first = Shop(Folder.create(tmp_path / "shop", "x", "test"), means(1))
    for initials, name in (("KT", "Kari"), ("MB", "Mo")):
        setup.note_person(first, KT, initials=initials, full_name=name)
    setup.open_job(first, KT, job="WO-1", registration="X-TEST")

    def work(initials: str, seed: int) -> None:
        opened = real_shop(tmp_path / "shop", seed).open("WO-1")
        play = Play(opened, initials)
        for number in range(15):
            play(f"off panel {seed}{number} LEFT; 2 AN525-10R8")

    threads = [threading.Thread(target=work, args=who) for who in (("KT", 2), ("MB", 3))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    state = real_shop(tmp_path / "shop", 4).open("WO-1").state
    assert len(state.parts) == 30
    assert len({part.identity for part in state.parts.values()}) == 30
    assert len(state.tags) == 60, "no code was given out twice"


def test_codes_are_set_aside_again_when_none_is_left(monkeypatch):
    monkeypatch.setattr(desk, "RESERVE", 3)
    play = Play(job())
    for number in range(4):
        play(f"off panel {number} LEFT; 2 AN525-10R8")
    assert len(play.job.state.tags) == 8
