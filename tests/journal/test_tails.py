"""What is unfinished is set aside and kept; what is damaged is told, and nothing touches it."""

from __future__ import annotations

import random

import pytest
from journal.samples import act, ids, lines_of, written

from tagtrack.core.errors import Damaged
from tagtrack.journal.chain import Chain
from tagtrack.journal.store import AppendFile

LINES = lines_of([act(number) for number in range(6)])
WHOLE = b"".join(LINES)
GOOD = b"".join(LINES[:-1])
LAST = LINES[-1]


def taken(data):
    chain = Chain()
    chain.take(data)
    return chain


def files(path):
    return {file.name: file.read_bytes() for file in path.parent.iterdir() if not file.name.endswith(".lock")}


@pytest.mark.parametrize("filler", [b"", b"\0"], ids=["cut off", "filled with NUL bytes"])
def test_an_unfinished_line_is_recognised_at_every_byte(filler):
    for cut in range(1, len(LAST)):
        chain = taken(GOOD + LAST[:cut] + filler * (len(LAST) - cut))
        assert (chain.head.seq, chain.damage) == (6, None), cut
        assert chain.unfinished == LAST[:cut] + filler * (len(LAST) - cut), cut


@pytest.mark.parametrize("filler", [b"", b"\0"], ids=["cut off", "filled with NUL bytes"])
def test_the_next_writer_keeps_an_unfinished_line_in_a_file_of_its_own(path, filler):
    for cut in range(1, len(LAST)):
        torn = LAST[:cut] + filler * (len(LAST) - cut)
        path.write_bytes(GOOD + torn)
        with AppendFile.open(path) as journal:
            assert journal.append(act(5), expected=6) == 7
            assert len(journal.notices) == 1
        aside = path.with_name("journal.jsonl.torn-1")
        assert (path.read_bytes(), aside.read_bytes()) == (WHOLE, torn), cut
        aside.unlink()


def test_a_reader_leaves_an_unfinished_line_alone(path):
    path.write_bytes(GOOD + LAST[:100])
    with AppendFile.open(path) as journal:
        assert ids(journal.documents()) == [act(number)["id"] for number in range(5)]
        assert journal.verify().unfinished == 100
        assert journal.notices == ()
    assert files(path) == {"journal.jsonl": GOOD + LAST[:100]}


def test_a_line_seen_in_the_middle_of_its_writing_is_read_when_it_is_whole(path):
    path.write_bytes(GOOD)
    with AppendFile.open(path) as journal, path.open("ab") as writer:
        for start in range(0, len(LAST), 50):
            assert journal.head().seq == 6
            writer.write(LAST[start : start + 50])
            writer.flush()
        assert journal.head().seq == 7


def test_each_unfinished_line_gets_a_file_of_its_own(path):
    path.write_bytes(GOOD + b"one")
    with AppendFile.open(path) as journal:
        journal.append(act(8), expected=6)
        with path.open("ab") as writer:
            writer.write(b"two")
        journal.append(act(9), expected=7)
        assert len(journal.notices) == 2
    kept = files(path)
    assert (kept["journal.jsonl.torn-1"], kept["journal.jsonl.torn-2"]) == (b"one", b"two")


def test_asking_again_for_a_recorded_id_leaves_an_unfinished_line_alone(path):
    path.write_bytes(GOOD + b"torn")
    with AppendFile.open(path) as journal:
        assert journal.append(act(0), expected=1) == 2
    assert path.read_bytes() == GOOD + b"torn"


def test_a_lost_block_inside_a_last_line_is_unfinished():
    # A power cut can keep the later blocks of a write and lose an earlier one.
    assert taken(GOOD + LAST[:40] + b"\0" * 60 + LAST[100:]).unfinished


def test_no_flipped_bit_of_the_last_line_passes_for_an_unfinished_one():
    for bit in range(len(LAST) * 8):
        flipped = bytearray(LAST)
        flipped[bit // 8] ^= 1 << bit % 8
        chain = taken(GOOD + flipped)
        assert chain.damage is not None or flipped[-1] == 0, bit
        assert chain.head.seq == 6, bit


def test_every_flipped_bit_before_the_last_line_is_damage_at_its_line():
    chosen = random.Random(20260304)
    for _ in range(3000):
        bit = chosen.randrange(len(GOOD) * 8)
        flipped = bytearray(WHOLE)
        flipped[bit // 8] ^= 1 << bit % 8
        chain = taken(bytes(flipped))
        line = WHOLE[: bit // 8].count(b"\n") + 1
        assert chain.damage is not None, bit
        assert (chain.damage.line, chain.damage.byte) == (line, len(b"".join(LINES[: line - 1]))), bit


def moved(*order):
    return b"".join(LINES[index] for index in order)


@pytest.mark.parametrize(
    ("data", "line"),
    [
        pytest.param(moved(0, 1, 3, 4, 5, 6), 3, id="a line deleted"),
        pytest.param(moved(0, 1, 2, 3, 4, 6), 6, id="the last but one deleted"),
        pytest.param(moved(1, 2, 3), 1, id="the header deleted"),
        pytest.param(moved(0, 2, 1, 3, 4, 5, 6), 2, id="two lines exchanged"),
        pytest.param(moved(0, 1, 1, 2, 3, 4, 5, 6), 3, id="a line doubled"),
        pytest.param(moved(0, 1, 2) + b"\n" + moved(3, 4), 4, id="an empty line"),
        pytest.param(WHOLE + b"a note\n", 8, id="a note at the end"),
        pytest.param(b"\xef\xbb\xbf" + WHOLE, 1, id="a byte order mark"),
        pytest.param(WHOLE.replace(b"\n", b"\r\n"), 1, id="line ends of another system"),
        pytest.param(moved(0, 1) + b"\0" * 300 + b"\n" + moved(2, 3), 3, id="a hole before good lines"),
        pytest.param(moved(0) + lines_of([act(7), act(8)])[2] + b"", 2, id="a line of another journal"),
        pytest.param(b"".join(lines_of([{"id": "a"}, {"id": "b"}, {"id": "a"}])), 4, id="an id twice"),
        pytest.param(b"".join(lines_of([{"id": "a"}, {"no": "id"}])), 3, id="a document without an id"),
        pytest.param(b"", 1, id="an empty file"),
        pytest.param(LINES[0][:50], 1, id="half a header"),
        pytest.param(b"{}", 1, id="some other JSON"),
        pytest.param(b"\0" * 500, 1, id="nothing but NUL bytes"),
    ],
)
def test_damage_is_told_by_line_and_byte_stops_writing_and_is_left_as_it_is(path, data, line):
    path.write_bytes(data)
    good = data[: sum(len(raw) + 1 for raw in data.split(b"\n")[: line - 1])]
    with AppendFile.open(path) as journal:
        for attempt in (journal.documents, journal.head, lambda: journal.append(act(99), expected=None)):
            with pytest.raises(Damaged) as caught:
                attempt()
            assert f"{path}, line {line}, byte {len(good)}: line {line} " in caught.value.what
        assert len(journal.readable()) == max(line - 2, 0)
        report = journal.verify()
        assert (report.good, report.damage.line, report.damage.byte) == (line - 1, line, len(good))
    assert files(path) == {"journal.jsonl": data}


def test_a_line_that_follows_another_line_than_the_one_before_it_is_damage():
    other = lines_of([act(11), act(12)])
    damage = taken(LINES[0] + LINES[1] + other[2]).damage
    assert (damage.line, "does not follow" in damage.trouble.what) == (3, True)


def test_a_repaired_journal_can_be_written_again_without_being_reopened(path):
    whole = written(path, 3)
    path.write_bytes(whole.replace(b"aircraft", b"aircrafT", 1))
    with AppendFile.open(path) as journal:
        with pytest.raises(Damaged):
            journal.documents()
        path.write_bytes(whole)
        assert journal.append(act(9), expected=4) == 5
