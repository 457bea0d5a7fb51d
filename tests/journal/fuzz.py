"""The reader of the record, fed with what no honest program wrote: never a traceback, never a fold that is not true.

    python tests/journal/fuzz.py [MINUTES] [SEED]

Two kinds. *Hurt*: the bytes of a true journal, with bits flipped, pieces cut out, doubled, exchanged, filled or grafted
from another journal; what is read of it must be a beginning of what was written, and the rest must be told as damage or
as an unfinished end. *Forged*: the documents changed and every check made anew, as somebody with the tool could; each
must be folded, or refused in words. Hypothesis chooses and, where something fails, makes it small; what failed is kept
in `fuzz_found/` and tried first the next time. The seed is printed, so that a run can be had again.
"""

from __future__ import annotations

import json
import sys
import time
from contextlib import suppress
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent)]

from hypothesis import HealthCheck, given, seed, settings  # noqa: E402 - found only now, so that it runs from anywhere
from hypothesis import strategies as st  # noqa: E402 - same
from hypothesis.database import DirectoryBasedExampleDatabase  # noqa: E402 - same
from journal.samples import lines_of  # noqa: E402 - same

from tagtrack.core import codec  # noqa: E402 - same
from tagtrack.core.errors import Trouble  # noqa: E402 - same
from tagtrack.core.fold import fold  # noqa: E402 - same
from tagtrack.core.reconcile import reconcile  # noqa: E402 - same
from tagtrack.core.shopbook import fold_shop  # noqa: E402 - same
from tagtrack.journal.mirror import chain_of  # noqa: E402 - same

TRUE = {name: (HERE / "format_1" / f"{name}.jsonl").read_bytes() for name in ("journal", "shop")}
DOCUMENTS = {name: [dict(doc) for doc in chain_of(data).documents] for name, data in TRUE.items()}
ROUND = 400

places = st.floats(0, 1, exclude_max=True)
hurts = st.one_of(
    st.tuples(st.just("flip"), places, st.integers(0, 7)),
    st.tuples(st.sampled_from(("cut", "double", "blank", "end")), places, st.integers(1, 3000)),
    st.tuples(st.just("insert"), places, st.binary(min_size=1, max_size=40)),
    st.tuples(st.sampled_from(("without", "exchange", "again", "graft")), places, places),
)
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.text(max_size=20) | st.floats(allow_nan=False),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3), max_leaves=6,
)  # fmt: skip
forgeries = st.one_of(
    st.tuples(st.just("set"), places, places, values),
    st.tuples(st.sampled_from(("drop", "swap", "twice", "gone", "borrow")), places, places, st.none()),
)


def hurt(data, other, how):
    """Return the bytes with one thing done to them."""
    kind, where, what = how
    if not data:
        return data
    lines = data.splitlines(keepends=True)
    if kind in ("without", "exchange", "again", "graft"):
        return b"".join(hurt_lines(lines, other.splitlines(keepends=True), kind, int(where * len(lines)), what))
    at = int(where * len(data))
    return {
        "flip": lambda: data[:at] + bytes([data[at] ^ 1 << what]) + data[at + 1 :],
        "cut": lambda: data[:at] + data[at + what :],
        "double": lambda: data[: at + what] + data[at:],
        "blank": lambda: data[:at] + bytes(len(data[at : at + what])) + data[at + what :],
        "end": lambda: data[:-what],
        "insert": lambda: data[:at] + what + data[at:],
    }[kind]()


def hurt_lines(lines, theirs, kind, one, where):
    """Return whole lines with one left out, exchanged, said again, or another journal's from there on."""
    two = int(where * len(theirs if kind == "graft" else lines))
    if kind == "exchange":
        lines[one], lines[two] = lines[two], lines[one]
    return {
        "without": lines[:one] + lines[one + 1 :],
        "exchange": lines,
        "again": lines[: one + 1] + lines[two : two + 1] + lines[one + 1 :],
        "graft": lines[:one] + theirs[two:],
    }[kind]


def check_hurt(name, hows):
    """What is read is a beginning of what was written; what is not read is told."""
    data, other = TRUE[name], TRUE["shop" if name == "journal" else "journal"]
    for how in hows:
        data = hurt(data, other, how)
    chain = chain_of(data)
    good = data[: chain.end]
    assert any(true.startswith(good) for true in TRUE.values()), "something else was read than was written"
    assert chain.damage or chain.unfinished or (chain.end == len(data) and data), "something was left out in silence"
    assert len(chain.documents) == max(good.count(b"\n") - 1, 0)
    assert not chain.damage or chain.damage.trouble.lines()
    folded(name, chain.documents)


def forged(name, hows):
    """Return the documents with things done to them that an honest program never does."""
    documents = json.loads(json.dumps(DOCUMENTS[name]))
    for kind, where, inside, value in hows:
        if not documents:
            break
        one = int(where * len(documents))
        spots = list(spots_of(documents[one]))
        holder, key = spots[int(inside * len(spots))]
        match kind:
            case "set":
                holder[key] = value
            case "drop":
                del holder[key]
            case "swap":
                two = int(inside * len(documents))
                documents[one], documents[two] = documents[two], documents[one]
            case "twice":
                documents.insert(one, {**documents[one], "id": f"again-{len(documents)}"})
            case "gone":
                del documents[one]
            case "borrow":
                theirs = DOCUMENTS["shop" if name == "journal" else "journal"]
                documents[one] = {**theirs[int(inside * len(theirs))], "id": f"theirs-{len(documents)}"}
    return documents


def spots_of(value):
    """Yield every member of a document, at any depth, as what holds it and its key or number."""
    for key in value if isinstance(value, dict) else range(len(value)):
        yield value, key
        if isinstance(value[key], dict | list):
            yield from spots_of(value[key])


def check_forged(name, hows):
    """What has all its checks is folded, or refused in words."""
    documents = forged(name, hows)
    with suppress(Trouble):
        documents = chain_of(b"".join(lines_of(documents))).documents
        folded(name, documents)


def folded(name, documents):
    """Fold and check what was read; Trouble tells what is wrong with it, anything else would be a traceback."""
    try:
        acts = [codec.from_document(document) for document in documents]
        if name == "shop":
            fold_shop(acts)
        else:
            reconcile(fold(acts))
    except Trouble as trouble:
        # a trouble that cannot be told would be as bad as a traceback
        "; ".join(trouble.lines())


names = st.sampled_from(tuple(TRUE))
CHECKS = (
    (check_hurt, given(names, st.lists(hurts, min_size=1, max_size=4))),
    (check_forged, given(names, st.lists(forgeries, min_size=1, max_size=4))),
)
ALIKE = {"deadline": None, "suppress_health_check": list(HealthCheck)}


def main(minutes, first):
    kept = DirectoryBasedExampleDatabase(HERE / "fuzz_found")
    until = time.monotonic() + 60 * minutes
    number = first
    while time.monotonic() < until:
        for check, chosen in CHECKS:
            seed(number)(settings(max_examples=ROUND, database=kept, **ALIKE)(chosen(check)))()
        number += 1
    print(f"seeds {first} to {number - 1}: {2 * ROUND * (number - first)} records hurt or forged; "
          "0 tracebacks, 0 read as something that was not written")  # fmt: skip


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 3.0, int(sys.argv[2]) if len(sys.argv) > 2 else 0)
