"""The demo: every mistake is caught, the job ends signed off, and what it printed can be read by another program."""

from __future__ import annotations

import json

import pypdfium2
import pytest
import zxingcpp
from cli.console import Console

from tagtrack.cli.demo import play
from tagtrack.cli.demo_story import APART, BACK


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    root = tmp_path_factory.mktemp("demo") / "shop"
    outcome = play(root, quiet=True)
    return root, outcome


def codes_in(journal):
    """Return the codes that the journal gave a meaning."""
    lines = [json.loads(line)["doc"] for line in journal.read_text(encoding="utf-8").splitlines()[1:]]
    return {event["tag"] for doc in lines for event in doc["events"] if event["kind"] == "TagBound"}


def test_every_mistake_is_caught_and_nothing_else_goes_wrong(demo):
    _, outcome = demo
    assert outcome.missed == []
    assert len(set(outcome.caught)) >= 8
    assert len(outcome.caught) == sum(bool(step.caught) for step in (*APART, *BACK))


def test_the_job_ends_signed_off_and_clean(demo):
    console = Console(demo[0])
    assert "CLEAN" in console("check", "--job", "WO-INVENTED").out
    assert "signed off" in console("jobs").out
    assert console("verify").out.count("good") == 3


def test_the_printed_symbols_are_read_by_another_program_and_are_the_codes_of_the_journal(demo):
    root, _ = demo
    read = set()
    for paper in ("tags.pdf", "cards.pdf"):
        for page in pypdfium2.PdfDocument(root / "papers" / paper):
            picture = page.render(scale=300 / 72).to_pil().convert("L")
            found = zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode)
            read |= {each.text for each in found}
    given_out = codes_in(root / "jobs" / "WO-INVENTED" / "journal.jsonl") | codes_in(root / "shop.jsonl")
    assert read == given_out


def test_the_same_version_prints_the_same_bytes(demo, tmp_path):
    root, _ = demo
    play(tmp_path / "again", quiet=True)
    for paper in sorted((root / "papers").iterdir()):
        assert paper.read_bytes() == (tmp_path / "again" / "papers" / paper.name).read_bytes(), paper.name


def test_the_command_says_where_the_papers_are_and_takes_the_next_free_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    console = Console(tmp_path)
    console.shop = None
    first = console("demo", "--quiet").out
    assert "mistakes made" in first
    assert str(tmp_path / "tagtrack-demo" / "papers") in first
    second = console("demo").out
    assert str(tmp_path / "tagtrack-demo-2" / "papers") in second
    assert second.count("CAUGHT") == 14
    assert "invented" in second
