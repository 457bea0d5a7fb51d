"""A shop with one work order; and which tests are read where.

Pseudo terminals and rights by user are a matter of POSIX systems: elsewhere those tests are not even read.
"""

import sys

import pytest
from cli.console import Console

collect_ignore = ["test_terminal.py", "test_pipes.py"] if sys.platform == "win32" else []


@pytest.fixture
def job(tmp_path):
    """Return a console in a shop of its own with one work order, WO-1."""
    console = Console(tmp_path / "hangar")
    console("setup", str(console.root))
    console("person", "KT", "Kari Testad")
    console("open", "WO-1", "X-TEST")
    return console
