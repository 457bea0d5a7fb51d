"""Makes `examples/` anew: plays the demo and keeps what it says and what it prints.

    python tests/refresh_examples.py
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from contextlib import redirect_stdout
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1])]

from tagtrack.cli.demo import play  # noqa: E402 - found only now, so that it runs from anywhere

EXAMPLES = Path(__file__).parents[1] / "examples" / "demo"


def played(folder):
    """Play the demo in a folder; return what it said, as lines of a terminal, and where its papers are."""
    said = io.StringIO()
    with redirect_stdout(said):
        outcome = play(folder / "shop")
    assert not outcome.missed, outcome.missed
    return said.getvalue(), folder / "shop" / "papers"


def main():
    with tempfile.TemporaryDirectory() as folder:
        said, papers = played(Path(folder))
        shutil.rmtree(EXAMPLES, ignore_errors=True)
        shutil.copytree(papers, EXAMPLES)
        (EXAMPLES / "job.txt").write_text(said, encoding="utf-8")
    print(f"{len(list(EXAMPLES.iterdir()))} files in {EXAMPLES}")


if __name__ == "__main__":
    main()
