"""A program that scans blank tags into a work order, and prints each once its meaning was confirmed.

Several run at once, on the same blanks, and are killed.

    python claimer.py SHOP JOB PREFIX
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

from tagtrack.cli.wiring import DEFAULT_SITE, means
from tagtrack.core.tagcode import with_check
from tagtrack.journal.acts import Folder
from tagtrack.shop.desk import Shop
from tagtrack.shop.lines.loop import Loop


def main(root, name, prefix):
    shop = Shop(Folder(Path(root), DEFAULT_SITE), means())
    loop = Loop(shop.open(name), "KT")
    every = [with_check(body) for body, owner in shop.state.issued.items() if owner == ""]
    blanks = [code for code in every if code not in shop.state.void]
    os.write(1, b"ready\n")
    sys.stdin.readline()
    for number, code in enumerate(blanks):
        loop.line(code)
        reply = loop.line(f"off panel {prefix}{number} LEFT; none") if loop.bench.blank == code else None
        if reply is not None and reply.act is not None:
            os.write(1, f"{code}\n".encode())


if __name__ == "__main__":
    main(*sys.argv[1:])
