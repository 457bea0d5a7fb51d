"""Pseudo terminals and rights by user are a matter of POSIX systems: elsewhere those tests are not even read."""

import sys

collect_ignore = ["test_terminal.py", "test_pipes.py"] if sys.platform == "win32" else []
