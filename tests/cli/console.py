"""The command line in this process: words in, what came out, and the exit code that was to be expected."""

from __future__ import annotations

import contextlib
import io
import re
import sys
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

from tagtrack.cli.main import run


@dataclass(frozen=True)
class Ran:
    out: str
    err: str

    def first_code(self, console):
        """Return a code of the shop that has no meaning yet."""
        text = (console.root / "shop.jsonl").read_text(encoding="utf-8")
        return re.findall(r'"codes":\["([0-9A-Z]{8})"', text)[-1]


class Console:
    """Runs commands on one shop folder."""

    templates = Path(__file__).parents[2] / "label_templates"

    def __init__(self, root: Path) -> None:
        self.root = root
        self.shop: Path | None = root

    def __call__(self, *words: str, typed: str = "", code: int = 0) -> Ran:
        """Run a command; what is typed comes in as from a pipe. Any other exit code than expected fails the test."""
        came, ran = self.ends(*words, typed=typed)
        assert came == code, f"{words}: exit code {came}\n{ran.out}\n{ran.err}"
        return ran

    def ends(self, *words: str, typed: str = "") -> tuple[int, Ran]:
        """Run a command and return its exit code, whatever it is, with what it said."""
        argv = ["tagtrack", *words]
        if self.shop is not None and words[0] not in ("setup", "--version"):
            argv[1:1] = ["--shop", str(self.shop)]
        out, err = io.StringIO(), io.StringIO()
        inside = io.TextIOWrapper(io.BytesIO(typed.encode()), encoding="utf-8")
        with (
            mock.patch.object(sys, "argv", argv),
            mock.patch.object(sys, "stdin", inside),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            try:
                run()
            except SystemExit as leaving:
                came = leaving.code
        assert "Traceback" not in err.getvalue()
        return came, Ran(out.getvalue(), err.getvalue())
