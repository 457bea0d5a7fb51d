"""What is refused or fails is not recorded, and one broken file does not hide the others."""

from __future__ import annotations

import pytest


def everything(root):
    """Return the bytes of every record of the shop."""
    return {path: path.read_bytes() for path in sorted(root.rglob("*.jsonl"))}


PRINTS = (("blanks", "3"), ("zone", "tail", "LEFT"), ("place", "shelf", "2"), ("badge", "KT"))


@pytest.mark.parametrize("command", PRINTS, ids=lambda words: words[0])
def test_what_cannot_be_printed_is_not_recorded(job, command):
    before = everything(job.root)
    assert "there is no label template 'nope'" in job(*command, "--template", "nope", code=4).err
    missing = job.root / "not" / "there.pdf"
    assert "nothing was recorded" in job(*command, "-o", str(missing), code=5).err
    assert everything(job.root) == before


def test_a_label_that_the_sheet_has_not_costs_no_blank_tags(job):
    before = everything(job.root)
    assert "the sheet has no label 99" in job("blanks", "3", "--start", "99", code=4).err
    assert everything(job.root) == before


def harm(path):
    """Change one letter of what was recorded, as a failing disk or an editor would."""
    whole = path.read_bytes()
    path.write_bytes(whole.replace(b"Kari", b"Kary", 1))
    assert path.read_bytes() != whole


def test_a_damaged_shop_record_does_not_hide_that_the_jobs_are_good(job):
    harm(job.root / "shop.jsonl")
    for words in ((), ("--job", "wo-1")):
        ran = job("verify", *words, code=5)
        assert "the shop         DAMAGED at line 2" in ran.out
        assert "WO-1             good, record check number" in ran.out
        assert "1 of 2 records is damaged" in ran.err


def test_a_damaged_job_does_not_hide_the_others(job):
    job("open", "WO-2", "X-OTHER")
    harm(job.root / "jobs" / "WO-1" / "journal.jsonl")
    ran = job("jobs", code=5)
    assert "NOT READABLE" in ran.out.splitlines()[0]
    assert "0 open, 0 wrong now" in ran.out.splitlines()[1]
    assert "1 of 2 work orders cannot be read" in ran.err
    assert " ok OFF" in job("say", "--job", "WO-2", "off", "cover", "LEFT;", "none").out
    (job.root / "jobs" / "WO-1" / "journal.jsonl").unlink()
    told = job("verify", code=5).out.splitlines()
    assert told[1] == "WO-1             NOT READABLE: the record of WO-1 is not there"
    assert told[2].startswith(" " * 17 + "expected:")
    assert told[-1].startswith("WO-2             good")


def test_only_records_of_this_shop_are_verified(job):
    (job.root.parent / "journal.jsonl").write_bytes((job.root / "jobs" / "WO-1" / "journal.jsonl").read_bytes())
    assert "there is no work order '../..'" in job("verify", "--job", "../..", code=4).err
    assert "did you mean WO-1?" in job("verify", "--job", "WO-11", code=4).err


def test_a_line_of_a_job_that_a_crash_cut_off_is_set_aside_and_told(job):
    journal = job.root / "jobs" / "WO-1" / "journal.jsonl"
    journal.write_bytes(journal.read_bytes() + b'{"doc":{"at"')
    ran = job("say", "off", "cover", "LEFT;", "none")
    assert " ok OFF" in ran.out
    assert "note:" in ran.err
    assert job("verify").out.count("good") == 2
