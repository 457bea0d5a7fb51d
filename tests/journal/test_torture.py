"""A short form of the torture run; the whole of it is `python tests/journal/torture.py`."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path


def test_the_short_torture_loses_nothing():
    ran = subprocess.run(
        [sys.executable, Path(__file__).with_name("torture.py"), "--short"], check=False, capture_output=True, text=True
    )
    assert ran.returncode == 0, ran.stdout + ran.stderr
    assert ran.stdout.count("0 ") >= 5
