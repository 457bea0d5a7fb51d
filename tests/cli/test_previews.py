"""Previews beside a PDF: those of the print that lies there, and no older ones."""

from __future__ import annotations

from io import BytesIO

from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from tagtrack.cli.writing import write_pdf


def pdf(pages):
    out = BytesIO()
    canvas = Canvas(out, pagesize=(200, 100))
    for number in range(pages):
        canvas.drawString(20, 50, f"page {number + 1}")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def names(folder):
    return sorted(each.name for each in folder.iterdir())


def test_a_shorter_print_leaves_no_pages_of_the_longer_one_before(tmp_path):
    write_pdf(pdf(4), tmp_path / "report.pdf", png=True)
    write_pdf(pdf(1), tmp_path / "other.pdf", png=True)
    written = write_pdf(pdf(2), tmp_path / "report.pdf", png=True)
    assert [each.name for each in written] == ["report.pdf", "report-1.png", "report-2.png"]
    assert names(tmp_path) == ["other-1.png", "other.pdf", "report-1.png", "report-2.png", "report.pdf"]


def test_what_is_no_preview_of_ours_stays_whatever_it_is_called(tmp_path):
    Image.new("RGB", (40, 30), "red").save(tmp_path / "report-2.png")
    (tmp_path / "report-3.png").write_text("a note", encoding="utf-8")
    write_pdf(pdf(1), tmp_path / "report.pdf", png=True)
    assert names(tmp_path) == ["report-1.png", "report-2.png", "report-3.png", "report.pdf"]


def test_without_previews_asked_for_nothing_is_taken_away(tmp_path):
    write_pdf(pdf(2), tmp_path / "report.pdf", png=True)
    write_pdf(pdf(1), tmp_path / "report.pdf", png=False)
    assert names(tmp_path) == ["report-1.png", "report-2.png", "report.pdf"]
