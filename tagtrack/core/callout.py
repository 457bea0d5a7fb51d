"""What a callout means: `AN4H10A` read field by field, or the place where it breaks its family's table.

A family's grammar is its shapes, see `shape`; the first that has all its letters gives the normal form.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache

from tagtrack.core.catalogue import (
    EMPTY,
    NOTHING,
    Catalogue,
    Fact,
    Facts,
    Family,
    Kin,
    Status,
    told_inches,
)
from tagtrack.core.hardware import spec_key
from tagtrack.core.shape import NUMBERS, Shape, choices, compiled, head_of, one_spelling, written

_PARTS = {"16": Fraction(1, 16), "32": Fraction(1, 32), "4": Fraction(1, 4), "half16": Fraction(1, 16),
          "mil": Fraction(1, 1000)}  # fmt: skip
# what looks like a standard's number, in the tables or not
_STANDARD = re.compile(r"^(?:AN|MS|NASM|NAS)[0-9]")
# a number with the noun of its piece, before or behind it
_PIECES = "BOLT|SCREW|NUT|LOCKWASHER|WASHER|COTTERPIN|COTTER|CLEVISPIN|PIN|RIVET|CLAMP|LOCKWIRE|GROMMET"
# words that only describe it: castle nuts AN310-3, AN3-5A hex bolt
_HOW = r"(?:CASTLE|SHEAR|PLAIN|FLAT|THIN|HEX|SELF-?LOCKING)"
_NOUN_FIRST = re.compile(rf"(?:{_HOW} )?(?:{_PIECES})S? ")
_NOUN = re.compile(
    rf"(?:{_HOW} )?(?P<before>{_PIECES})S? (?P<first>(?:AN|MS|NASM|NAS)[0-9][^ ]*)"
    rf"|(?P<last>(?:AN|MS|NASM|NAS)[0-9].*?),?{_HOW}?(?P<behind>{_PIECES})S?"
)
# letters that are taken for figures, and the other way round, where a callout is copied by hand
_MISREAD = str.maketrans({"O": "0", "I": "1", "L": "1", "B": "8"})


@dataclass(frozen=True, slots=True)
class Callout:
    """One callout as it was written, and what is known of it.

    `family` is empty for a description in free words and for a number that is not in the tables. `trouble` says where a
    number that belongs to a family breaks its table. `facts` holds what its fields mean, `codes` the fields as written.
    """

    text: str
    family: str = ""
    kind: str = ""
    title: str = ""
    # the family's normal form, keeping its first letters as written
    normal: str = ""
    # the same for all numbers of one part: NASM3-5A and AN3-5A
    same: str = ""
    alias: Kin | None = None
    facts: Facts = field(default_factory=dict)
    codes: Mapping[str, str] = field(default_factory=dict)
    trouble: str = ""

    @property
    def recognised(self) -> bool:
        """Whether the tables hold it."""
        return bool(self.family) and not self.trouble

    def fact(self, name: str) -> str:
        """Return what is known under that name, or an empty text."""
        known = self.facts.get(name)
        return known.value if known else ""

    def number(self, name: str) -> Fraction | None:
        """Return a figure in inches, or None where it is not known."""
        known = self.facts.get(name)
        return known.number if known else None


class Decoder:
    """Reads callouts by one catalogue. Shapes are compiled when first met, and answers are kept."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue = catalogue
        self._by_head: dict[str, list[tuple[Family, str, str, Kin | None]]] = {}
        self._compiled: dict[tuple[str, str, str], Shape] = {}
        for family in catalogue.families:
            for shape in family.shapes:
                head = head_of(shape)
                self._by_head.setdefault(head, []).append((family, shape, head, None))
                for other, kin in family.also:
                    # NASM stands for AN before a field, NASM960 for AN960 before what follows
                    self._by_head.setdefault(other, []).append((family, other + shape[len(head) :], other, kin))
        self._longest = max(map(len, self._by_head), default=0)
        self.read = lru_cache(8192)(self._read)

    def _read(self, text: str) -> Callout:
        key = spec_key(text)
        if not _STANDARD.match(key) and not self._heads(key) and not _NOUN_FIRST.match(key):
            return Callout(text)
        near: Callout | None = None
        for family, shape, head, alias in self._heads(key):
            spelling = self._shape(family, shape, head, alias)
            match = spelling.pattern.fullmatch(key)
            if match:
                callout = self._decoded(text, spelling, match)
                if not callout.trouble:
                    return callout
                near = near or callout
        # the noun in the text's own blanks or, in a spec, without them: AN3-5A bolts, AN3-5ABOLTS
        noun = _NOUN.fullmatch(key)
        if noun:
            bare = self.read(noun["first"] or noun["last"])
            if bare.kind and (noun["before"] or noun["behind"]) in bare.kind.upper().replace(" ", ""):
                return replace(bare, text=text)
        return near or self._not_listed(text, key)

    def _not_listed(self, text: str, key: str) -> Callout:
        """Return what is known of a number that no table lists: often its family all the same, else nothing."""
        if not _STANDARD.match(key):
            return Callout(text)
        trouble = self._why_not(key)
        for family, _, head, alias in self._heads(key):
            # only where the letters and figures are the family's own: AN310, not AN, and not the AN310 of AN3100
            if head[-1].isdigit() and not key[len(head) : len(head) + 1].isdigit():
                return Callout(text, family.name, family.kind, family.title, alias=alias, trouble=trouble)
        return Callout(text, trouble=trouble)

    def _heads(self, key: str) -> list[tuple[Family, str, str, Kin | None]]:
        found: list[tuple[Family, str, str, Kin | None]] = []
        for length in range(min(len(key), self._longest), 0, -1):
            found += self._by_head.get(key[:length], ())
        return found

    def _shape(self, family: Family, shape: str, head: str, alias: Kin | None) -> Shape:
        known = self._compiled.get((family.name, shape, head))
        if known is None:
            known = self._compiled[family.name, shape, head] = compiled(self.catalogue, family, shape, head, alias)
        return known

    def _decoded(self, text: str, shape: Shape, match: re.Match[str]) -> Callout:
        family = shape.family
        codes = {name: code or "" for name, code in match.groupdict().items()}
        facts = dict(family.facts)
        for kind, name, number in shape.pieces:
            if kind == "code":
                facts.update(self.catalogue.codes[family.name, name].get(codes[name], NOTHING))
            elif kind == "number":
                facts.update(_figure(family.status, family.source, name, number, codes[name]))
        # a letter that this spelling leaves out says the same as one left out of the normal form
        first_shape = self._shape(family, family.shapes[0], head_of(family.shapes[0]), None)
        for kind, name, _ in first_shape.pieces if shape is not first_shape else ():
            if kind == "code" and name not in codes:
                codes[name] = ""
                facts.update(self.catalogue.codes[family.name, name].get("", NOTHING))
        normal_shape = self._normal(first_shape, codes)
        for conditions, said in self.catalogue.combinations.get(family.name, ()):
            if all(codes.get(name) == code for name, code in conditions.items()):
                facts.update(said)
        if codes.get("dash", "").startswith("0"):
            codes["dash"] = codes["dash"].lstrip("0") or "0"
        trouble = self._breaks(family, codes, facts)
        if "dash" in codes and not trouble:
            facts.update(self._bolt(family, codes))
        one = one_spelling(normal_shape, codes)
        same = written(normal_shape, one, normal_shape.literal)
        normal = same
        if one is not codes or shape.alias is not None:
            normal = written(normal_shape, codes, shape.literal if shape.alias else normal_shape.literal)
        facts.pop("invalid", None)
        return Callout(
            text, family.name, family.kind, family.title, normal, same, shape.alias, facts, codes, trouble
        )

    def _normal(self, first: Shape, codes: Mapping[str, str]) -> Shape:
        """Return the family's first shape, or the first that can do without a letter that was left out."""
        if all(map(codes.get, first.musts)):
            return first
        others = (self._shape(first.family, shape, head_of(shape), None) for shape in first.family.shapes[1:])
        return next(others, first)

    def _breaks(self, family: Family, codes: Mapping[str, str], facts: Facts) -> str:
        if "invalid" in facts:
            return facts["invalid"].value
        dash = codes.get("dash", "")
        if dash and int(dash[-1]) > 7:
            return f"-{dash} is no length: the last figure is eighths, 0 to 7, and eight eighths is written 10"
        for rule in self.catalogue.allowed.get(family.name, ()):
            if codes.get(rule.field) == rule.code and codes.get(rule.other) not in rule.codes:
                return f"{rule.reason}: {rule.other} {codes.get(rule.other)} with {rule.field} {rule.code}"
        for name, code in codes.items() if dash else ():
            length = self.catalogue.lengths.get((family.name, name, code))
            if length and int(dash) < length.least_dash:
                return f"-{dash} is no length: the table begins at -{length.least_dash}"
        return ""

    @lru_cache(4096)  # noqa: B019 - a decoder lives as long as the program
    def _bolt_figures(self, key: tuple[str, str, str], dash: str) -> Facts:
        """Return grip and length of one bolt and dash, or nothing where there is no rule for it."""
        rule = self.catalogue.lengths.get(key)
        if rule is None:
            return NOTHING
        nominal = Fraction(int(dash) // 10) + Fraction(int(dash) % 10, 8)
        grip = max(nominal - rule.grip_less, rule.least_grip)
        status = Status.DERIVED if rule.status is Status.READ else rule.status
        figures = {
            "grip": Fact(told_inches(grip), status, rule.source),
            "length": Fact(told_inches(nominal + rule.length_more), status, rule.source),
            "thread length": Fact(rule.thread_length, rule.status, rule.source),
        }
        figures.update(self.catalogue.grips.get((*key, dash), NOTHING))
        return figures

    def _bolt(self, family: Family, codes: Mapping[str, str]) -> Facts:
        """Return grip and length: as printed where the very bolt was read, else by its rule, else unknown."""
        for name, code in codes.items():
            figures = self._bolt_figures((family.name, name, code), codes["dash"])
            if figures:
                return figures
        return NOTHING

    def _why_not(self, key: str) -> str:
        """Say which part of a number breaks the family it seems to belong to, or that the tables do not hold it."""
        fixed = key[:2] + key[2:].translate(_MISREAD)
        if fixed != key and self.read(fixed).recognised:
            return f"a letter stands where a figure belongs: {fixed}?"
        best, told = 0, ""
        for family, shape, head, alias in self._heads(key):
            reached, problem = self._reached(self._shape(family, shape, head, alias), key)
            if reached > best:
                best, told = reached, problem
        return told or "this number is not in the tables"

    def _reached(self, shape: Shape, key: str) -> tuple[int, str]:
        pattern, reached = "", len(shape.literal)
        bare = not shape.literal[-1].isdigit()
        for kind, name, number in shape.pieces:
            step = self._step(shape.family, kind, name, number)
            match = re.match(pattern + step, key)
            if match is None:
                # nothing but the first letters fits: it is some other number
                if reached <= len(shape.literal) and bare:
                    return 0, ""
                rest = key[reached:]
                what = f"'{rest}' is no {name}" if rest else f"its {name} is missing"
                known = [c for c in self.catalogue.codes.get((shape.family.name, name), {}) if c]
                return reached, f"{what} of {shape.family.title} {shape.literal}" + (
                    f"; known are {', '.join(known[:14])}" if known and kind == "code" else ""
                )
            pattern, reached = pattern + step, match.end()
            # of AN42 the AN4 fits, and it is some other number all the same
            if bare and kind == "code" and key[len(shape.literal) : reached + 1].isdigit() and reached < len(key):
                return 0, ""
        rest = key[reached:]
        if not rest:
            return reached, "its hyphens stand elsewhere"
        return reached, f"'{rest}' means nothing at the end of {key[:reached]}"

    def _step(self, family: Family, kind: str, name: str, number: str) -> str:
        if kind == "number":
            return f"(?:{NUMBERS[number]})"
        if kind == "text":
            return "-?" if name in ("", "-") else re.escape(name)
        left_out = "" in self.catalogue.codes.get((family.name, name), {})
        return f"(?:{choices(self.catalogue, family, name)})" + ("?" if left_out else "")

    def offers(self, text: str, most: int = 3) -> tuple[str, ...]:
        """Return valid callouts that differ from the text by one slip of hand, the likeliest first."""
        noun = _NOUN.fullmatch(spec_key(text))
        key = (noun["first"] or noun["last"]) if noun else spec_key(text)
        if not _STANDARD.match(key) or len(key) > 24:
            return ()
        found: dict[str, int] = {}
        number = re.match(r"[A-Z]+[0-9]+", key)
        for place in range(2, len(key) + 1):
            # another standard is less likely than another size of this one
            elsewhere = 4 if number and place < number.end() else 0
            for slip, candidate in _slips(key, place):
                cost = slip + elsewhere
                if candidate not in found and self.read(candidate).recognised:
                    found[self.read(candidate).normal] = min(cost, found.get(candidate, 99))
        return tuple(sorted(found, key=lambda one: (found[one], len(one), one))[:most])


NOTHING_KNOWN = Decoder(EMPTY)


def _slips(key: str, place: int) -> list[tuple[int, str]]:
    """Return the key with one character changed, left out or put in, or one figure made two, with how odd each is."""
    before, after = key[:place], key[place:]
    slips = [(8, before + c + after) for c in "ACDHLNRS-0123456789"]
    if after:
        was, rest = after[0], after[1:]
        slips.append((5, before + rest))
        slips += [(_oddness(was, c), before + c + rest) for c in "ACDHLNRS0123456789" if c != was]
        if was in "89":
            slips += [(1 + (was == "9"), f"{before}1{int(was) - 8}{rest}")]
    return slips


def _oddness(was: str, now: str) -> int:
    if was.isdigit() and now.isdigit():
        return 1 + abs(int(was) - int(now))
    return 2 if was.translate(_MISREAD) == now or now.translate(_MISREAD) == was else 9


@lru_cache(4096)
def _figure(status: Status, source: str, name: str, number: str, code: str) -> Facts:
    if number == "eighths":
        return NOTHING
    part = _PARTS.get(number)
    value = told_inches(Fraction(code) * part) if part else code
    return {name: Fact(value, status, source)}
