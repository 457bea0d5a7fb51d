"""Blank tags: taken by one work order only, and never printed a second time for something else."""

from __future__ import annotations

import pytest
from builders import MemoryRecords, Play, means

from tagtrack.core.errors import Conflict, Refusal
from tagtrack.core.events import Seen, TagBound, TagClaimed
from tagtrack.core.fold import fold
from tagtrack.core.records import TagRole
from tagtrack.core.tagcode import BODY
from tagtrack.shop import setup
from tagtrack.shop.desk import Job, Shop
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who
from tagtrack.shop.tagging import claim, usable_blank

KT = Who("KT")


@pytest.fixture
def two_jobs():
    """A shop with three blanks that were printed before its two work orders were opened."""
    shop = Shop(MemoryRecords(), means())
    setup.note_person(shop, KT, initials="KT", full_name="Kari Testad")
    blanks = shop.issue(KT, 3)
    return shop, blanks, *(setup.open_job(shop, KT, job=name, registration=f"X-{name}") for name in ("A", "B"))


def test_a_blank_that_two_work_orders_scan_at_once_belongs_to_one_of_them(two_jobs, monkeypatch):
    shop, blanks, one, other = two_jobs
    record = shop.records.shop()
    append = record.append

    def slower(*_):
        """Somebody at the other aircraft is quicker by a moment."""
        monkeypatch.setattr(record, "append", append)
        claim(other, KT, blanks[0])
        raise Conflict("others wrote")

    monkeypatch.setattr(record, "append", slower)
    with pytest.raises(Refusal, match="belongs to work order B, aircraft X-B"):
        claim(one, KT, blanks[0])
    assert shop.state.issued[blanks[0][:BODY]] == "B"


def test_a_blank_that_was_scanned_and_laid_aside_is_not_printed_for_something_else(two_jobs):
    """It lies about somewhere: a second tag of the same code would be on another part."""
    _, blanks, one, _ = two_jobs
    Play(one)(blanks[0], Tone.NOTE)
    later = Play(one)
    for number in range(70):
        later(f"off panel {number} LEFT; none")
    assert blanks[0] not in one.state.tags
    assert not set(blanks) & set(one.state.tags)
    later(blanks[0], Tone.NOTE)
    later("off fairing LEFT; none")
    assert one.state.tags[blanks[0]].code == blanks[0]


def test_a_blank_scanned_again_by_the_work_order_that_took_it_is_taken_once(two_jobs):
    shop, blanks, one, _ = two_jobs
    for _ in range(2):
        claim(one, KT, blanks[1])
    events = [event for act in shop.records.shop().acts() for event in act.events]
    assert events.count(TagClaimed(blanks[1], "A")) == 1


def test_a_decision_that_looks_again_in_its_middle_is_never_written_on_top_of_what_it_did_not_see(two_jobs):
    """Two people of one work order give the same blank to two things."""
    _, blanks, mine, _ = two_jobs
    other = Job(mine.shop, mine.name, mine.shop.records.job(mine.name))
    seen = []

    def slow(state):
        seen.append(blanks[0] in state.tags)
        if len(seen) == 1:
            Play(other, "KT").lines(f"~{blanks[0]}\noff fairing LEFT; none")
            mine.refresh()
        return (TagBound(usable_blank(mine, state, blanks[0]), TagRole.ZONE, "tail LEFT"),)

    with pytest.raises(Refusal, match="in use already"):
        mine.commit(KT, slow)
    assert seen == [False, True]

    seen.clear()

    def slower(state):
        seen.append(len(state.tags))
        fresh = (TagBound(blanks[1], TagRole.ZONE, "tail LEFT"),) if blanks[1] not in state.tags else ()
        if len(seen) == 1:
            Play(other, "KT").lines(f"~{blanks[1]}\noff panel LEFT; none")
            mine.refresh()
        return fresh or (Seen(blanks[1], "tail"),)

    mine.commit(KT, slower)
    assert len(seen) == 2
    assert fold(mine.shop.records.job(mine.name).acts()).tags[blanks[1]].role is TagRole.PART
