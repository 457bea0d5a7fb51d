"""Documents and journals that the tests of this folder share."""

from __future__ import annotations

from tagtrack.journal.line import NO_LINE, encode, header
from tagtrack.journal.store import AppendFile


def act(number):
    """Return an act of realistic size and shape, with an id of its own."""
    return {
        "id": f"01J{number:07d}",
        "site": "bench-1",
        "by": "Zoë Ortega",
        "at": "2026-03-04T10:11:12Z",
        "via": "scanned",
        "version": "0.1.0",
        "events": [
            {
                "kind": "TakenOff",
                "position": "elevator balance weight, LEFT",
                "marks": ["mark UP", "arrow FWD"],
                "moves": [{"spec": "AN3-5A", "count": 2, "from": "aircraft", "to": "bag 7"}],
                "critical": True,
                "part": None,
            }
        ],
    }


def lines_of(documents, kind="job", name="N1234"):
    """Return the whole lines, header first, of a journal of this kind and name that holds these documents."""
    lines = [encode(1, NO_LINE, header(kind, name))]
    for number, doc in enumerate(documents, 2):
        lines.append(encode(number, lines[-1][-67:-3].decode(), doc))
    return lines


def written(path, count):
    """Create a journal with this many acts, close it, and return its bytes."""
    with AppendFile.create(path, "job", "N1234") as journal:
        for number in range(count):
            journal.append(act(number), expected=number + 1)
    return path.read_bytes()


def ids(documents):
    """Return the ids of documents, in order."""
    return [doc["id"] for doc in documents]
