"""Words for what goes back otherwise than it was found, each with a reason: used, added, back."""

from __future__ import annotations

import re

from tagtrack.core.counting import going_back
from tagtrack.core.errors import Refusal
from tagtrack.core.hardware import Line, parse_flat, text_of
from tagtrack.core.kinship import look_alike
from tagtrack.shop import exchanging
from tagtrack.shop.lines import echo
from tagtrack.shop.lines.clauses import because, cut, one_line
from tagtrack.shop.lines.fasten import receiving, subject
from tagtrack.shop.lines.standing import named_apart, named_in
from tagtrack.shop.lines.talk import Bench, Reply, done, wrong
from tagtrack.shop.meant import as_known
from tagtrack.shop.ports import Who


def used(bench: Bench, who: Who, text: str) -> Reply:
    """`used 1 AN960-10L instead of 1 AN960-10 because it lines up the cotter hole`."""
    said, why = because(text)
    actual, found, instead = cut(named_apart(bench, "used", said), "instead of")
    if not found:
        raise Refusal("instead of what?", expected="used 1 AN960-10L instead of 1 AN960-10 because ...", came=text,
                      todo="name both")  # fmt: skip
    here = receiving(bench, who)
    (stood,) = as_known(bench.job.state, (one_line(instead),), here)
    act = exchanging.used_instead(bench.job, who, one_line(actual), stood, here, why)
    bench.subject = here
    head, rest = f"USED  {actual} instead of {instead}: {here}", "     the other one: stock or scrap it"
    alike = look_alike(bench.job.knowledge, stood.spec, one_line(actual).spec)
    if alike is not None and alike.grave:
        asked = f"     it only looks like it: {alike.words}. Do the maker's data allow it?  else: undo"
        return wrong(act, head, asked, rest)
    return done(act, head, rest)


def added(bench: Bench, who: Who, text: str) -> Reply:
    """`added 1 AN960-10 because the cotter hole did not line up`."""
    said, why = because(text)
    said = named_apart(bench, "added", said)
    here = receiving(bench, who)
    act = exchanging.added(bench.job, who, one_line(said), here, why)
    bench.subject = here
    return done(act, f"ADDED  {said}: {here}", *echo.to_renew(bench.job.index(), here))


def goes_back(bench: Bench, who: Who, text: str) -> Reply:
    """`back 12 AN525-10R8 because one was missing as found`: another count is to go back, here or of POSITION SIDE."""
    said, why = because(text)
    here, said = named_in(bench.job.state, said, counted=True) or (subject(bench), said)
    none = re.fullmatch(r"0 ?[x×]? ?(?P<text>\S.*)", said)
    lines = (Line(0, none["text"]),) if none else parse_flat(said)
    lines = as_known(bench.job.state, lines, here)
    act = exchanging.set_to_go_back(bench.job, who, lines, here, why)
    whole = going_back(bench.job.state, here)[0]
    more = whole.keys() - {line.spec for line in lines}
    return done(act, f"TO GO BACK  {said}: {here}", f"     in all: {text_of(whole)}" if more else "")
