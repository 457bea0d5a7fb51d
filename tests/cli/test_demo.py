"""The demo: every mistake is caught, the job ends signed off, and what it printed can be read by another program."""

from __future__ import annotations

import json
import re

import pypdf
import pypdfium2
import pytest
import zxingcpp
from cli.console import Console

from tagtrack.cli import demo as demo_module
from tagtrack.cli.demo import play
from tagtrack.cli.demo_story import APART, BACK, ON_FROM_THERE, Step


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
    assert len(outcome.caught) == sum(bool(step.caught) for step in (*APART, *BACK, *ON_FROM_THERE))


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
    assert second.count("CAUGHT") == 15
    assert "invented" in second


def test_every_answer_to_a_mistake_is_loud_or_a_question(tmp_path):
    console = Console(tmp_path)
    console.shop = None
    told = console("demo", str(tmp_path / "shop")).out.splitlines()
    answer = ""
    caught = 0
    for line in told:
        if line.startswith("["):
            answer = ""
        elif "CAUGHT:" in line:
            caught += 1
            assert answer.startswith(("!!! ", "  ? ")), line
        elif not answer:
            answer = line
    assert caught >= 8
    assert "NOT AS PLANNED" not in "\n".join(told)


@pytest.mark.parametrize("paper", ["tags.pdf", "cards.pdf", "report.pdf"])
def test_every_printed_page_says_that_it_is_invented(demo, paper):
    pages = [page.extract_text() for page in pypdf.PdfReader(demo[0] / "papers" / paper).pages]
    assert pages
    for text in pages:
        assert "INVENTED" in text


def test_every_page_of_the_report_bears_the_record_check_number_of_the_closed_record(demo):
    root, _ = demo
    lines = (root / "jobs" / "WO-INVENTED" / "journal.jsonl").read_text(encoding="utf-8").splitlines()
    number = f"{len(lines)}-{json.loads(lines[-1])['sha'][:8]}"
    for page in pypdf.PdfReader(root / "papers" / "report.pdf").pages:
        assert number in page.extract_text()
    text = (root / "papers" / "report.txt").read_text(encoding="utf-8")
    assert number in text
    assert re.search(r"\bRECONCILED\b", text)
    assert "airworthy" not in text.casefold()


@pytest.mark.parametrize(
    ("step", "told"),
    [
        (Step("zone tail RIGHT", caught="a zone is no mistake"), "NOT AS PLANNED: a zone is no mistake"),
        (Step("off weight"), "NOT AS PLANNED: unexpected: off weight: which side is 'weight' on?"),
    ],
)
def test_a_demo_that_does_not_go_as_planned_says_so_and_fails(monkeypatch, tmp_path, step, told):
    monkeypatch.setattr(demo_module, "BACK", (step,))
    console = Console(tmp_path)
    console.shop = None
    assert told in console("demo", str(tmp_path / "shop"), "--quiet", code=1).out


def test_a_step_that_names_what_is_not_there_is_a_fault_of_the_story(monkeypatch, tmp_path):
    monkeypatch.setattr(demo_module, "BACK", (Step("<tag propeller, CENTRE>"),))
    console = Console(tmp_path)
    console.shop = None
    assert "the demo has no <tag propeller" in console("demo", str(tmp_path / "shop"), "--quiet", code=4).err
