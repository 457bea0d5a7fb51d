"""Words to scan: each is read back, and each is a line that the loop understands."""

from __future__ import annotations

from io import BytesIO

import pytest
import zxingcpp
from builders import Play
from PIL import Image

from tagtrack.paper.control_sheet import WORDS, control_pages
from tagtrack.paper.pdf import write_pdf
from tagtrack.paper.preview import pages_as_png


@pytest.mark.parametrize(("wide", "high"), [(215.9, 279.4), (210.0, 297.0)])
def test_every_word_is_read_back_from_its_sheet(wide, high):
    words = [*WORDS, *(f"BY {n}T" for n in "ABCDEFGHIJ")]
    out = BytesIO()
    assert write_pdf(control_pages(words, wide=wide, high=high, title="Words to scan"), out=out, title="x") == 2
    found = {
        symbol.text
        for page in pages_as_png(out.getvalue(), dpi=150)
        for symbol in zxingcpp.read_barcodes(Image.open(BytesIO(page)))
    }
    assert found == set(words)


@pytest.mark.parametrize("word", WORDS)
def test_every_word_is_understood_by_the_loop(word):
    play = Play()
    play.lines("~ zone tail LEFT\noff lid LEFT; mark UP, arrow FWD; 4 AN525-10R8; in hole\n? <tag lid, LEFT>")
    assert "no word of the loop" not in play(word, None).lines[0]
