"""How two callouts stand to each other: the same number, a successor, an alternate, never; or a look-alike.

Relations come from the tables. Look-alikes are worked out from decoded fields: the thread is the same, so that one
goes where the other should, and little else differs. Nothing here is approved by being found.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from tagtrack.core.callout import Callout, Decoder
from tagtrack.core.catalogue import Kin, Relation, Reuse, SingleUse, Status
from tagtrack.core.hardware import Line, Stack
from tagtrack.core.plain_words import named

EIGHTH = Fraction(1, 8)


# the same few callouts of a job are compared at every line
_KEPT = 16384


@lru_cache(_KEPT)
def relation(decoder: Decoder, one: str, other: str) -> Relation | None:
    """Return how two callouts stand to each other by the standards, or None where nothing is known of it."""
    a, b = decoder.read(one), decoder.read(other)
    if not (a.recognised and b.recognised):
        plain = not (a.family or a.trouble or b.family or b.trouble)
        same_words = plain and _of_one(one) == _of_one(other)
        return Relation(Kin.SAME, "one piece or several", Status.DERIVED, "rule") if same_words else None
    if a.same == b.same:
        alias = Kin.SUCCESSOR if Kin.SUCCESSOR in (a.alias, b.alias) else Kin.SAME
        return Relation(alias, "", Status.READ, "owner")
    one_by_one, families = decoder.catalogue.relations, decoder.catalogue.family_relations
    known = one_by_one.get((a.same, b.same)) or one_by_one.get((b.same, a.same))
    return known or families.get((a.family, b.family)) or families.get((b.family, a.family))


def _of_one(description: str) -> str:
    """Return a description as of one piece: `trim screws, short` and `trim screw, short` are the same."""
    return re.sub(r"(?<=[a-z]{2})(?<!s)s\b", "", description.casefold())


def counts_as(decoder: Decoder, spec: str, wanted: str) -> bool:
    """Return whether the one may be counted as the other: the same number, or its successor."""
    known = relation(decoder, spec, wanted)
    return known is not None and known.kin in (Kin.SAME, Kin.SUCCESSOR)


# what is turned tight or driven, as against what lies under it or locks it: common practice, no source
_HEADS = frozenset({"bolt", "clevis bolt", "clevis pin", "screw", "rivet", "clamp"})
_HEAD_WORDS = re.compile(r"(?i)\b(?:bolt|screw|stud|rivet|clamp)s?\b")


@lru_cache(_KEPT)
def made_tight(decoder: Decoder, text: str) -> bool:
    """Return whether a piece of this callout, or described so, is itself made tight: a bolt, a screw, a clamp."""
    callout = decoder.read(text)
    return callout.kind in _HEADS if callout.family else bool(_HEAD_WORDS.search(text))


def threaded(decoder: Decoder, text: str) -> bool:
    """Return whether a piece of this callout, or described so, is turned tight: a bolt, a screw, a clamp; no rivet."""
    callout = decoder.read(text)
    if callout.family:
        return callout.kind in _HEADS - {"rivet", "clevis pin"}
    named_first = _HEAD_WORDS.search(text)
    return named_first is not None and not named_first[0].casefold().startswith("rivet")


# put through a hole and held by a lock, never turned tight: common practice, no source
_PIN_KINDS = frozenset({"clevis pin", "cotter pin"})
_PIN_WORDS = re.compile(r"(?i)\b(?:pins?|hinge wires?|cotters?)\b")
_NUT_WORDS = re.compile(r"(?i)\b(?:\w*nut|nutplate)s?\b")
# held by their own spring or their press fit: common practice, no source
_HELD_BY_ITSELF = re.compile(r"(?i)\b(?:roll|spring|dowel|groove|press|pip|ball[- ]lock|quick[- ]release)\b")


@lru_cache(_KEPT)
def is_pin(decoder: Decoder, text: str) -> bool:
    """Return whether a piece of this callout, or described so, is a pin: nothing of it is made tight."""
    callout = decoder.read(text)
    if callout.family:
        return callout.kind in _PIN_KINDS
    return bool(_PIN_WORDS.search(text)) and not _HEAD_WORDS.search(text)


@lru_cache(_KEPT)
def is_nut(decoder: Decoder, text: str) -> bool:
    """Return whether a piece of this callout, or described so, is a nut."""
    callout = decoder.read(text)
    return callout.kind == "nut" if callout.family else bool(_NUT_WORDS.search(text))


def holds_itself(decoder: Decoder, text: str) -> bool:
    """Return whether a pin in plain words needs no lock: a roll pin, a dowel."""
    return not decoder.read(text).family and bool(_HELD_BY_ITSELF.search(text))


_LAST = frozenset({"cotter pin", "lockwire"})
_LAST_WORDS = re.compile(r"(?i)\b(?:(?:cotter|split)(?: pin|er)?|(?:safety|lock) ?wire)s?\b")


def goes_last(decoder: Decoder, text: str) -> bool:
    """Return whether a piece of this callout, or described so, locks a joint from outside once it is tight."""
    callout = decoder.read(text)
    return callout.kind in _LAST if callout.family else bool(_LAST_WORDS.search(text))


def locks_last(decoder: Decoder, stack: Stack) -> tuple[str, ...]:
    """Return the specs of a stack that lock it from outside and go in once it is tight: pins and wire."""
    return tuple(dict.fromkeys(line.spec for line in stack.lines if goes_last(decoder, line.text)))


def heads(decoder: Decoder, stack: Stack) -> tuple[str, ...]:
    """Return the specs of a stack that are made tight: of an ordered one the first, of a plain list bolts and screws.

    A plain list in which none is known to be one begins with it, as mechanics name the bolt first: common practice, no
    source.
    """
    if not stack.is_set:
        return ()
    found = dict.fromkeys(line.spec for line in stack.lines if made_tight(decoder, line.text))
    return tuple(found) or (stack.lines[0].spec,)


@lru_cache(_KEPT)
def single_use(decoder: Decoder, spec: str) -> SingleUse | None:
    """Return the rule for a piece that is used once, or only after a test; None where it may go back if it is sound."""
    callout = decoder.read(spec)
    # the family alone will do: a dash that no table lists is a cotter pin all the same
    if not callout.family:
        return named(decoder.catalogue.single_use_words, spec)
    for rule in decoder.catalogue.single_use:
        if rule.kind == callout.kind and rule.family in ("", callout.family):
            return rule
    return None


def kind_of(decoder: Decoder, text: str) -> str:
    """Return what kind of piece it is, by its number or by what it is called; empty where nothing is known of it."""
    rule = single_use(decoder, text)
    return decoder.read(text).kind or (rule.kind if rule else "")


# what keeps a joint from working loose, once it is bent or twisted
_LOCKS = frozenset({"cotter pin", "lockwire", "lockwasher", "lock plate"})


def locks(decoder: Decoder, text: str) -> bool:
    """Return whether a piece of this callout, or described so, locks a joint: a cotter pin, lockwire, a lockwasher."""
    return kind_of(decoder, text) in _LOCKS


def always_new(decoder: Decoder, spec: str) -> bool:
    """Return whether the tables say that a piece of this callout is never used a second time."""
    rule = single_use(decoder, spec)
    return rule is not None and rule.rule is Reuse.ALWAYS_NEW


def used_once(knowledge: Decoder, stacks: tuple[Stack, ...]) -> tuple[Stack, ...]:
    """Return the stacks with every piece marked that is never used a second time, by the tables.

    It is marked once, when it comes off, so that tables which change later do not change what was recorded.
    """

    def marked(line: Line) -> Line:
        return line if line.once or not always_new(knowledge, line.text) else replace(line, once=True)

    def marked_all(stack: Stack) -> Stack:
        lines = tuple(map(marked, stack.lines))
        return stack if lines == stack.lines else replace(stack, lines=lines)

    return tuple(map(marked_all, stacks))


def finger_test(decoder: Decoder, spec: str) -> bool:
    """Return whether it goes back only if it cannot be run on by finger: self-locking nuts."""
    rule = single_use(decoder, spec)
    return rule is not None and rule.rule is Reuse.FINGER_TEST


@dataclass(frozen=True, slots=True)
class LookAlike:
    """How the second differs from the first, in shop words; `grave` where it must be told as a mix-up."""

    words: str
    grave: bool
    # whether they are taken for each other by eye: a castle nut and a self-locking one fit the same bolt, no more
    by_eye: bool = True


# what tells two pieces of one thread apart, and whether taking one for the other is grave
_TELLING: tuple[tuple[str, str, bool], ...] = (
    ("head", "its head is {}", True),
    ("shank", "its shank is {}", True),
    ("fit", "its shank is of {} fit", True),
    ("material", "it is of {}", True),
    ("load", "it is for {}", True),
    ("lock", "its lock is {}", True),
    ("insert", "its insert is {}", True),
    ("grade", "it is {}", True),
    ("hand", "its thread is {}-hand", True),
    ("head angle", "its head is of {}", True),
    ("head shape", "its head is {}", False),
    ("cushion", "its cushion is {}", False),
    ("band", "its band is {}", False),
    ("outside", "its outside diameter is {}", False),
    ("alloy", "it is of {}", True),
)
# what a glance tells apart: the form of the head, how a nut locks; common practice, no source
_AT_A_GLANCE = ("head shape", "lock", "insert")
# differences beyond which two pieces no longer look alike on a bench
_MOST = 2
_FASTENERS = frozenset({"bolt", "clevis bolt"})


@lru_cache(_KEPT)
def look_alike(decoder: Decoder, one: str, other: str) -> LookAlike | None:
    """Return how the other differs from the one where they are easily taken for each other, else None."""
    a, b = decoder.read(one), decoder.read(other)
    kinds = {a.kind, b.kind}
    comparable = a.kind == b.kind or kinds == _FASTENERS
    if not (a.recognised and b.recognised) or a.same == b.same or not comparable:
        return None
    if _size(a) is None or _size(a) != _size(b):
        return _number_trap(a, b)
    if a.kind != b.kind:
        clevis = b.kind == "clevis bolt"
        words = "it is a clevis bolt, for shear only" if clevis else "it is no clevis bolt"
        # a slot and a hexagon are told apart at a glance
        return LookAlike(words, grave=True, by_eye=False)
    told: list[str] = []
    grave = False
    if a.fact("thread") != b.fact("thread"):
        told.append(f"its thread is {b.fact('thread')}")
        grave = True
    for name, words, is_grave in _TELLING:
        mine, its = a.fact(name), b.fact(name)
        if mine and its and mine != its and not _one_says_less(name, mine, its):
            told.append(words.format(its))
            grave = grave or is_grave
    for measure in (_by_length, _by_thickness):
        difference = measure(a, b)
        if difference is None:
            return None
        told += difference
        grave = grave or (bool(difference) and measure is _by_length)
    if not told or len(told) > _MOST:
        return None
    return LookAlike(", ".join(told), grave, by_eye=all(a.fact(name) == b.fact(name) for name in _AT_A_GLANCE))


def _one_says_less(name: str, mine: str, its: str) -> bool:
    """Return whether one table says 'steel' where the other says of which plating."""
    plain = all("steel" in words and "corrosion" not in words for words in (mine, its))
    return name == "material" and plain


def _size(callout: Callout) -> Fraction | None:
    """Return what must be the same for one to go where the other should: the diameter, or the size of a clamp."""
    return callout.number("diameter") or callout.number("size")


def _by_length(a: Callout, b: Callout) -> list[str] | None:
    """Return the difference in grip or length in words; None where nobody would take one for the other."""
    for name in ("grip", "length"):
        mine, its = a.number(name), b.number(name)
        if mine is None or its is None:
            continue
        if mine == its:
            return []
        step = abs(its - mine)
        if step > 3 * EIGHTH:
            return None
        longer = "longer" if its > mine else "shorter"
        if name == "grip" and step == EIGHTH:
            return [f"one grip {longer}"]
        return [f"{float(step):.3f} in {longer}".replace("0.", ".", 1)]
    return []


def _by_thickness(a: Callout, b: Callout) -> list[str] | None:
    mine, its = a.number("thickness"), b.number("thickness")
    if mine is None or its is None or mine == its:
        return []
    return ["thinner" if its < mine else "thicker"]


def _number_trap(a: Callout, b: Callout) -> LookAlike | None:
    """Tell two sizes whose numbers are read for each other, such as MS21042-4 and MS21042-04."""
    sizes = [c.codes.get("size") or c.codes.get("thread") or "" for c in (a, b)]
    if a.family != b.family or a.family.startswith(("AN3-", "AN173")) or not all(sizes) or sizes[0] == sizes[1]:
        return None
    short, long = sorted(sizes, key=len)
    if short.lstrip("0") != long.lstrip("0") and not long.startswith(short):
        return None
    return LookAlike(f"its size is {b.fact('thread') or b.fact('for bolt')}", grave=True)
