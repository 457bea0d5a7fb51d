"""Pseudo terminals are a matter of POSIX systems: elsewhere those tests are not even read."""

import sys

collect_ignore = ["test_terminal.py"] if sys.platform == "win32" else []
