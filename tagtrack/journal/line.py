"""The format of one journal line: bytes to a document and back. No file is touched here.

One line is one commit is one document. A line is a JSON object with four members and a newline:

    {"doc":{...},"prev":"<64 hex>","seq":41,"sha":"<64 hex>"}

`seq` is the number of the line, from 1. `prev` is the `sha` of the line before, or 64 zeros.
`sha` is the SHA-256 of the line's own bytes before it. It stands last, at a fixed width, so a line can be
checked without parsing it, and by hand: `tail -n 1 FILE | head -c -75 | sha256sum`. The hash of the
line before is inside the hashed bytes, so that a line removed or exchanged is told from one cut off.

Keys are sorted, spaces left out, text is UTF-8. With no fractions, ASCII keys and integers
below 2**53 that is the canonical form of RFC 8785, which the tests check against another program.
The hash is taken over the bytes as stored, so reading never depends on writing them again.

Line 1 is a header: the name and version of the format, and the kind and name of the journal.

>>> first = encode(1, NO_LINE, header("job", "N1234"))
>>> decode(first, 1).doc["kind"]
'job'
"""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from operator import itemgetter
from typing import Any, NoReturn

import orjson

from tagtrack.core.errors import Damaged, Fault, Refusal

Document = Mapping[str, Any]

FORMAT = "tagtrack-journal"
VERSION = 1
NO_LINE = "0" * 64

# `,"sha":"` + 64 hex digits + `"}` + newline
CHECK_WIDTH = 8 + 64 + 2 + 1
# Exact in every JSON reader: RFC 8785 and I-JSON allow no integer beyond this.
_LARGEST = 2**53 - 1
_members = itemgetter("doc", "prev", "seq", "sha")
_KINDS = (dict, str, int, str)
# Far above any real document, far below what makes the standard parser give up.
_DEEPEST = 60

# Sorting is right for RFC 8785 only because keys are ASCII.
_as_bytes = partial(orjson.dumps, option=orjson.OPT_SORT_KEYS)


@dataclass(frozen=True, slots=True)
class Line:
    """One verified line: its number, the check of the line before, its document, its own check."""

    seq: int
    prev: str
    doc: dict[str, Any]
    sha: str


def header(kind: str, name: str) -> dict[str, Any]:
    """Return the document of line 1 for a journal of this kind and name."""
    return {"format": FORMAT, "kind": kind, "name": name, "version": VERSION}


def encode(seq: int, prev: str, doc: Document, *, exact: bool = False) -> bytes:
    """Return the line for the document; raise Refusal for what cannot be stored exactly.

    `exact`: whoever made the document has checked its types already. Then only its text is left to look at, and text
    that turns out to be ASCII has one spelling.
    """
    plain = dict(doc)
    whole = {"doc": plain, "prev": prev, "seq": seq}
    text = b""
    if exact:
        # text that UTF-8 cannot hold is named below
        with suppress(orjson.JSONEncodeError):
            text = _as_bytes(whole)
    if not exact or not text.isascii() or not text:
        try:
            _check(plain, 0)
        except _MisfitError as misfit:
            raise _unfit(misfit) from None
        text = text or _as_bytes(whole)
    body = text[:-1]  # the closing brace goes behind the check
    return body + _check_of(body)


def decode(raw: bytes, number: int) -> Line:
    """Return what line `number` holds; raise Damaged, naming the line and what is wrong with it."""
    body, check = raw[:-CHECK_WIDTH], raw[-CHECK_WIDTH:]
    if check != _check_of(body):
        raise _damaged_bytes(raw, number)
    text = raw[:-1].decode(errors="replace")
    try:
        fields, end = _reader.raw_decode(text)
    except (ValueError, RecursionError) as error:
        raise _damaged(number, "is not a journal line", came=str(error)) from error
    # every line of every record passes here: this costs half of what a match over patterns does
    try:
        doc, prev, seq, sha = _members(fields)
    except (KeyError, TypeError):
        raise _damaged(number, "is not a journal line", expected="doc, prev, seq and sha") from None
    if (type(doc), type(prev), type(seq), type(sha)) != _KINDS or len(fields) != len(_KINDS) or end != len(text):
        raise _damaged(number, "is not a journal line", expected="doc, prev, seq and sha")
    if seq != number:
        raise _damaged(
            number,
            "has another line's number: a line was removed, doubled or exchanged",
            expected=f"number {number}",
            came=f"number {seq}",
        )
    return Line(seq, prev, doc, sha)


def check_in(raw: bytes) -> str:
    """Return the check (64 hex digits) that stands at the end of a whole line."""
    return raw[-67:-3].decode()


def check_header(line: Line) -> None:
    """Raise Fault unless this is the header of a journal that this program can read."""
    doc = line.doc
    if doc.get("format") != FORMAT or not all(isinstance(doc.get(key), str) for key in ("kind", "name")):
        raise _damaged(1, "is not the header of a journal", expected=f"format {FORMAT}, a kind, a name")
    if doc.get("version") != VERSION:
        raise Fault(
            "this journal was written in another version of the format",
            expected=f"version {VERSION}",
            came=f"version {doc.get('version')}",
            todo="use the program version that wrote it, or a newer one",
        )


def _check_of(body: bytes) -> bytes:
    return b',"sha":"' + sha256(body).hexdigest().encode() + b'"}\n'


def _no_fraction(text: str) -> NoReturn:
    raise ValueError(f"{text} is not a whole number")


_reader = json.JSONDecoder(parse_float=_no_fraction, parse_constant=_no_fraction)


def _damaged(number: int, what: str, *, expected: str = "", came: str = "") -> Damaged:
    return Damaged(f"line {number} {what}", expected=expected, came=came)


def _damaged_bytes(raw: bytes, number: int) -> Damaged:
    """Say what is wrong with a line whose check does not fit: the most telling reason first."""
    body, check = raw[:-CHECK_WIDTH], raw[-CHECK_WIDTH:]
    if not raw.endswith(b"\n"):
        return _damaged(number, "has no end", expected="a newline", came=f"{len(raw)} bytes without one")
    if b"\0" in raw:
        return _damaged(number, "holds NUL bytes", came=f"{raw.count(0)} of {len(raw)} bytes are NUL")
    if not body or not check.startswith(b',"sha":"') or not check.endswith(b'"}\n'):
        return _damaged(number, "does not end in its check", expected="sha and 64 hex digits")
    return _damaged(
        number,
        "was changed after it was written",
        expected=f"check {sha256(body).hexdigest()}",
        came=f"check {check[8:72].decode(errors='backslashreplace')}",
    )


class _MisfitError(Exception):
    """A value that JSON would not give back exactly: what was expected, what came, and where, from the inside out."""

    def __init__(self, expected: str, came: str) -> None:
        super().__init__(expected)
        self.expected = expected
        self.came = came
        self.steps: list[str | int] = []


def _check(value: object, depth: int) -> None:
    """Raise _MisfitError if the value would not come back from JSON exactly as it is."""
    # Exact types: a subclass, such as a member of an Enum, would come back as something else.
    kind = type(value)
    if isinstance(value, str) and kind is str:
        if not value.isascii():
            _check_text(value)
    elif isinstance(value, dict) and kind is dict:
        _check_depth(depth)
        for key, inner in value.items():
            if type(key) is not str or not key.isascii():
                raise _MisfitError("keys in ASCII letters", repr(key))
            _check_inside(key, inner, depth)
    elif isinstance(value, list) and kind is list:
        _check_depth(depth)
        for index, inner in enumerate(value):
            _check_inside(index, inner, depth)
    elif isinstance(value, int) and kind is int:
        if not -_LARGEST <= value <= _LARGEST:
            raise _MisfitError("a whole number between -(2**53-1) and 2**53-1", repr(value))
    elif value is not None and kind is not bool:
        raise _MisfitError("text, whole number, true, false, null, list or dict", f"{kind.__name__} {value!r}")


def _check_inside(step: str | int, inner: object, depth: int) -> None:
    try:
        _check(inner, depth + 1)
    except _MisfitError as misfit:
        misfit.steps.append(step)
        raise


def _check_text(text: str) -> None:
    try:
        text.encode()
    except UnicodeEncodeError:
        raise _MisfitError("text that UTF-8 can hold", ascii(text)) from None
    # Two spellings of one word would be two words to every search.
    if not unicodedata.is_normalized("NFC", text):
        raise _MisfitError("text in Unicode form NFC", ascii(text))


def _check_depth(depth: int) -> None:
    if depth >= _DEEPEST:
        raise _MisfitError(f"at most {_DEEPEST} levels, one in another", "more")


def _unfit(misfit: _MisfitError) -> Refusal:
    # of something that is too deep, the first few steps say enough
    steps = misfit.steps[::-1][:3] if len(misfit.steps) >= _DEEPEST else misfit.steps[::-1]
    path = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in steps).lstrip(".")
    return Refusal(
        f"this cannot be recorded: {path or 'the document'} would not be stored exactly",
        expected=misfit.expected,
        came=misfit.came if len(misfit.came) <= 80 else misfit.came[:77] + "...",
        todo="nothing was written; this is a mistake in the program, please report it",
    )
