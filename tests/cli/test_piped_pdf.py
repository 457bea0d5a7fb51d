"""A PDF in a pipe is the PDF and nothing else; where a disk is full or closed, no half of one stands under its name."""

from __future__ import annotations

import re
import subprocess
import sys
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace

import pytest
from pypdf import PdfReader

from tagtrack.cli import printing, writing

resource = pytest.importorskip("resource", reason="limits of a process are another matter there")


def command(root, *words):
    return [sys.executable, "-m", "tagtrack", "--shop", str(root), *words]


@pytest.fixture
def worked(job):
    """A shop in which three things came off."""
    job("scan", typed="".join(f"off panel {number} LEFT; 4 AN3-4A\n" for number in range(3)))
    return job


def plan_of(job):
    path = job.root / "list.csv"
    path.write_text("position,side\nelevator fairing,LEFT\n", encoding="utf-8")
    return path


PIPED = (("labels",), ("blanks", "3"), ("zone", "tail", "LEFT"), ("place", "shelf", "2"), ("badge", "KT"), ("report",),
         ("refit",), ("handover",), ("controls",), ("templates", "roll-4x2in"))  # fmt: skip


@pytest.mark.parametrize("words", PIPED, ids=lambda words: words[0])
def test_in_a_pipe_the_pdf_comes_alone_and_what_is_said_goes_beside_it(worked, words):
    ran = subprocess.run(command(worked.root, *words, "-o", "-"), capture_output=True, check=False)
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.startswith(b"%PDF-")
    assert ran.stdout.rstrip().endswith(b"%%EOF")
    assert len(PdfReader(BytesIO(ran.stdout)).pages) >= 1
    assert ran.stderr
    assert not Path("-").exists()


def test_a_planned_list_is_piped_too(worked):
    words = ("plan", str(plan_of(worked)), "-o", "-")
    ran = subprocess.run(command(worked.root, *words), capture_output=True, check=False)
    assert ran.stdout.startswith(b"%PDF-")
    assert b"1 planned" in ran.stderr


def test_the_piped_bytes_are_those_of_the_file(worked):
    file = worked.root / "here.pdf"
    worked("labels", "-o", str(file))
    ran = subprocess.run(command(worked.root, "labels", "-o", "-"), capture_output=True, check=True)
    assert ran.stdout == file.read_bytes()


@pytest.mark.parametrize("words", [("-o", "-", "--png"), ("--png", "-o", "-"), ("--thermal", "203", "-o", "-")])
def test_pictures_beside_a_piped_pdf_are_refused_before_anything_is_recorded(worked, words):
    before = (worked.root / "shop.jsonl").read_bytes()
    assert "no picture beside it" in worked("blanks", "3", *words, code=2).err
    assert (worked.root / "shop.jsonl").read_bytes() == before


def test_a_pdf_is_not_thrown_at_a_screen(worked, monkeypatch):
    class Screen:
        def isatty(self):
            return True

    monkeypatch.setattr("tagtrack.cli.options.sys.stdout", Screen(), raising=False)
    monkeypatch.setattr("tagtrack.cli.options.sys", type("Sys", (), {"stdout": Screen()}))
    assert "no text for a screen" in worked("labels", "-o", "-", code=2).err


def test_a_sheet_for_a_thermal_printer_costs_no_blank_tags(worked):
    before = (worked.root / "shop.jsonl").read_bytes()
    told = worked("blanks", "3", "--thermal", "203", "--template", "a4-99x68mm-8up", code=4).err
    assert "is a sheet" in told
    assert (worked.root / "shop.jsonl").read_bytes() == before


def limited():
    """Let no file of the child grow beyond 2,000 bytes, as on a disk that is full."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (2_000, 2_000))


@pytest.mark.parametrize("words", [("labels",), ("labels", "--thermal", "203"), ("report",), ("export",)])
def test_a_disk_that_is_full_while_printing_is_told_and_no_half_file_is_left(worked, words):
    """An older print under the name stays as it was."""
    papers = worked.root / "jobs" / "WO-1"
    old = papers / "tags.pdf"
    old.write_bytes(b"the last print")
    before = {path: path.read_bytes() for path in papers.rglob("*") if path.is_file()}
    ran = subprocess.run(command(worked.root, *words), capture_output=True, check=False, preexec_fn=limited)
    assert ran.returncode == 5
    assert b"could not be written" in ran.stderr
    assert b"File too large" in ran.stderr
    assert b"Traceback" not in ran.stderr
    whole = {path: path.read_bytes() for path in papers.rglob("*") if path.is_file()}
    assert before.items() <= whole.items()
    assert not [path for path in whole if path.suffix in (".pdf", ".png", ".part") and path not in before]


def test_where_many_tags_are_printed_it_is_told_how_far(worked, monkeypatch):
    monkeypatch.setattr(printing, "_MANY", 2)
    told = worked("labels").err
    assert re.findall(r"\d+ of \d+ labels", told) == ["2 of 6 labels", "4 of 6 labels", "6 of 6 labels"]
    told = worked("labels", "--thermal", "203").err
    assert "4 of 6 labels" in told


def test_a_character_that_the_font_lacks_is_told_wherever_on_the_tag_it_stands(worked):
    worked("say", "disconnect", "wires", "LEFT;", "A:", "goes", "to", "端子", "block;", "B:", "terminal", "4")
    assert "the font lacks 端 子" in worked("labels").err


class Sparing(BytesIO):
    """A stream without a buffer, as Python's own where it is told to keep none: it takes some bytes, and says so."""

    def write(self, block):
        return super().write(bytes(block)[:1000])


def test_what_a_pipe_takes_in_pieces_arrives_whole(monkeypatch):
    """On a disk that is nearly full the first piece fits: the rest is tried, or half a sheet would pass for a whole."""
    taken = Sparing()
    monkeypatch.setattr(sys, "stdout", SimpleNamespace(buffer=taken))
    pdf = bytes(range(256)) * 300
    assert writing.write_pdf(pdf, writing.PIPE, png=False) == []
    assert taken.getvalue() == pdf
