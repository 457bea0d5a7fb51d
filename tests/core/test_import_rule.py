"""Who may import whom. The rule is held against every module, and against planted wrong imports."""

from __future__ import annotations

from pathlib import Path

import pytest
from core.import_rule import MAY_IMPORT, wrong

import tagtrack
from tagtrack.core import READING_ORDER

PACKAGE = Path(tagtrack.__file__).parent
MODULES = sorted(path.relative_to(PACKAGE).as_posix() for path in PACKAGE.rglob("*.py"))


@pytest.mark.parametrize("place", MODULES)
def test_a_module_imports_only_what_it_may(place):
    assert wrong(place, (PACKAGE / place).read_text(encoding="utf-8")) == []


def test_every_module_of_core_stands_in_the_reading_order():
    there = {path.stem for path in (PACKAGE / "core").glob("*.py")} - {"__init__"}
    assert there == set(READING_ORDER)
    assert len(READING_ORDER) == len(set(READING_ORDER))


def test_every_folder_has_its_rule():
    folders = {path.split("/")[0] for path in MODULES if "/" in path}
    assert folders <= MAY_IMPORT.keys()


@pytest.mark.parametrize(
    ("place", "planted"),
    [
        ("core/axes.py", "import click"),
        ("core/axes.py", "from tagtrack.core.marks import Marks"),
        ("core/axes.py", "from tagtrack.core import marks"),
        ("core/axes.py", "import time"),
        ("core/axes.py", "from pathlib import Path"),
        ("core/axes.py", "def late():\n    import random"),
        ("core/axes.py", "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from tagtrack.shop.desk import Job"),
        ("core/axes.py", "def f():\n    print('x')"),
        ("core/axes.py", "x = open('file')"),
        ("core/codec.py", "import numpy"),
        ("paper/ink.py", "from tagtrack.shop.desk import Job"),
        ("paper/ink.py", "import tinydb"),
        ("journal/store.py", "from tagtrack.paper import ink"),
        ("shop/desk.py", "from tagtrack.journal.acts import Folder"),
        ("shop/lines/loop.py", "import click"),
        ("cli/main.py", "from reportlab.pdfgen import canvas"),
    ],
)
def test_a_planted_wrong_import_is_found(place, planted):
    assert wrong(place, planted)
