"""What lies in `examples/` is what the demo prints today."""

from __future__ import annotations

import re

import pypdf
from refresh_examples import EXAMPLES, played

# the record check number hangs on the version that wrote the record
_HEAD = re.compile(r"\b\d+-[0-9a-f]{8}\b")


def plain(text):
    return _HEAD.sub("#", text)


def test_the_examples_are_what_the_demo_says_and_prints(tmp_path):
    said, papers = played(tmp_path)
    assert plain(said) == plain((EXAMPLES / "job.txt").read_text(encoding="utf-8"))
    assert {p.name for p in papers.iterdir()} | {"job.txt"} == {p.name for p in EXAMPLES.iterdir()}
    assert plain((papers / "report.txt").read_text(encoding="utf-8")) == plain(
        (EXAMPLES / "report.txt").read_text(encoding="utf-8")
    )
    for made in papers.glob("*.pdf"):
        mine, kept = pypdf.PdfReader(made), pypdf.PdfReader(EXAMPLES / made.name)
        assert [plain(page.extract_text()) for page in mine.pages] == [
            plain(page.extract_text()) for page in kept.pages
        ], made.name


def test_every_example_says_that_it_is_invented():
    for name in ("job.txt", "report.txt"):
        assert "nvented" in (EXAMPLES / name).read_text(encoding="utf-8")
