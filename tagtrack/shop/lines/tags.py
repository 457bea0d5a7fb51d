"""Words for tags: which are out, counted back, void, printed anew, seen where they have no business."""

from __future__ import annotations

import re

from tagtrack.core.errors import Refusal
from tagtrack.core.events import TagBound
from tagtrack.core.records import position
from tagtrack.core.spelling import how_many
from tagtrack.core.tagcode import looks_like_code, read, shown
from tagtrack.core.tagwords import owner_of
from tagtrack.shop import tagging
from tagtrack.shop.lines.clauses import because, cut
from tagtrack.shop.lines.looking import printed_ahead
from tagtrack.shop.lines.talk import Bench, Reply, done, note, wrong
from tagtrack.shop.naming import existing
from tagtrack.shop.ports import Who


def tags(bench: Bench, who: Who, text: str) -> Reply:
    """`tags`, `tags back 4`, `tags back CODE CODE`: which are out; they came back, counted or scanned."""
    bench.job.refresh()
    out = bench.job.open_tags()
    rest = re.sub(r"(?i)^back ?", "", text)
    if not rest and not text:
        listed = (f"  {shown(code)}  {_on(bench, code)}" for code in out)
        return note(f"{how_many(len(out), 'TAG', 'TAGS')} OUT", *listed, *printed_ahead(bench))
    if rest.strip().isdecimal() and len(rest.strip()) <= 4:
        act = tagging.all_back(bench.job, who, int(rest))
        return done(act, f"TAGS BACK  {int(rest)}, all of them")
    codes = _codes(rest)
    act = tagging.back(bench.job, who, codes)
    return done(act, f"TAGS BACK  {len(codes)}; still out: {len(bench.job.open_tags())}")


def _codes(text: str) -> list[str]:
    words = text.replace(",", " ").split()
    found: list[str] = []
    while words:
        for size in (3, 2, 1):
            candidate = " ".join(words[:size])
            if looks_like_code(candidate):
                found.append(read(candidate))
                words = words[size:]
                break
        else:
            raise Refusal(f"'{words[0]}' is no tag code", expected="tags back 52, or tags back CODE CODE", came=text,
                          todo="scan or type the codes")  # fmt: skip
    return found


def _on(bench: Bench, code: str) -> str:
    tag = bench.job.state.tags[code]
    return f"{tag.role.value}: {owner_of(bench.job.state, tag.thing)}"


def void(bench: Bench, who: Who, text: str, *, by_tag: bool = False) -> Reply:
    """`void CODE because torn off`, `void bag of POSITION because ...`: the tag means nothing from now on."""
    said, why = because(text)
    code = _code_of(bench, said)
    about = _on(bench, code) if code in bench.job.state.tags else ""
    act = tagging.void(bench.job, who, code, why, by_tag=by_tag)
    fresh = [event.tag for event in act.events if isinstance(event, TagBound)]
    bench.to_print += len(fresh)
    told = [f"     new tag {shown(new)}: print it" for new in fresh]
    if fresh and not looks_like_code(said):
        told.append("     hang it only on what you know it to be: hold it against its marks, number and place")
    return done(act, f"VOID  {shown(code)}" + (f"  {about}" if about else ""), *told)


def _code_of(bench: Bench, said: str) -> str:
    """Return the code of a tag that is named: by itself, or by what it hangs on, where nobody can read it any more."""
    if looks_like_code(said):
        return read(said)
    state = bench.job.refresh()
    bag = re.match(r"(?i)bag (?:of )?(?=.)", said)
    end = re.search(r"(?i)[ ,;]+(?:end )?([AB])$", said)
    where = said[bag.end() if bag else 0 : end.start() if end else len(said)]
    here = existing(state, position(where)).position
    return tagging.hanging_at(state, here, bag=bag is not None, end=end[1].upper() if end else "")


def reprint(bench: Bench, who: Who, text: str) -> Reply:
    """`reprint CODE because oily`, `reprint POSITION because lost`, `reprint bag of POSITION because lost`: new tag."""
    return void(bench, who, text, by_tag=True)


def seen(bench: Bench, who: Who, text: str) -> Reply:
    """`seen CODE at POSITION`: a tag of another job really is on this aircraft."""
    code, _, where = cut(text, "at")
    act = tagging.stranger(bench.job, who, code, where or bench.area or "not said")
    return wrong(act, f"SEEN  {shown(read(code))}: not this job")
