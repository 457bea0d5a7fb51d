"""What is refused or fails is not recorded, and one broken file does not hide the others."""

from __future__ import annotations

import pytest
from cli.console import Console


@pytest.fixture
def job(tmp_path):
    console = Console(tmp_path / "hangar")
    console("setup", str(console.root))
    console("person", "KT", "Kari Testad")
    console("open", "WO-1", "X-TEST")
    return console


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
