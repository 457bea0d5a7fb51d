"""What somebody saw, read once more: whether the words say that it is not right.

A look is worth what is said of it. `not right: crack 20 mm long` is a finding until it is looked at again or answered;
words that sound like a defect without that are asked about, so that nobody writes one down and goes on as if it were
none. The words are common practice, no source.
"""

from __future__ import annotations

import re

NOT_RIGHT = "not right"

_VERDICT = re.compile(
    r"(?i)^\s*(?:not right|not ok|not correct|incorrect|no good|bad|wrong|reject(?:ed)?|unsatisfactory|fails?|failed)"
    r"\b[:,; ]*"
)
_DEFECT = re.compile(
    r"(?i)\b(?:crack\w*|corro\w+|rust\w*|missing|absent|lost|loose|slack(?! taken)|jam(?![- ]?nuts?\b)\w*|bind\w*"
    r"|seized|stiff|rubs?|rubbing|chaf\w+|foul\w*|leak(?! (?:check|test))\w*|fray\w*|kink\w*|pitt\w+|burr\w*"
    r"|broken|torn|worn(?! \w+ (?:renewed|replaced))|dent\w*|scored|elongated|upside down|backwards?|reversed|should be"
    r"|damage\w*|gall(?:ed|ing)|gouge\w*|stripped|sloppy|(?:some|much|excessive|noticeable) play"
    r"|none (?:\w+ ){0,2}yet|yet to"
    r"|instead of|finger tight|(?:still|left|panel|cover|door) (?:off|open|out|inside)"
    r"|not (?:yet |properly |quite |fully )?(?:on|in|there|fitted|tight|connected|working|free|full|seated|locked"
    r"|safetied|bent|secured?|torqued)"
    r"|(?:does|do|did|is|are|will|can) ?n[o']t\b|doesn't|isn't|won't|can't|no longer)"
)
# what takes a defect back when it stands just before it
_NONE = re.compile(
    r"(?i)\b(?:no signs? of|no|not|none|nothing|without|never|nor|free of|clear of)(?: (?!and\b|but\b|with\b)\w+)?"
    r"(?:,? (?:or|nor) \w*| \w+ or)* ?$"
)
# what is left on a part, and can be taken off it again
_TRACE = re.compile(r"(?i)corro|rust|pitt|burr|dent|crack|chaf|scored|gall|gouge|worn|torn|damage|fray")
# "corrosion on the bracket removed": what was done to it; not so, or not all of it, is said by a word between or behind
_WORD = r"(?!(?:not?|never|yet|to|still|cannot|but|half|almost|being|\w+ly)\b)[a-z]+"
_MENDED = re.compile(
    rf"(?i)^(?: {_WORD})?(?: (?:on|in|at|of|around|along|under|inside) (?:(?:the|a|its|both) )?{_WORD}(?: {_WORD})?)?"
    r"(?: (?:was|were|is|are|has been|have been|fully|all))*"
    r" (?:removed|treated|repaired|replaced|renewed|cleaned|blended|mended|dressed|corrected|stop[- ]drilled)\b"
    r"(?![ ,]+(?:but|part|partly|partially|mostly|only|except|later|next|tomorrow)\b)"
)
# "leaks: none"
_NONE_BEHIND = re.compile(r"(?i) ?[:=] ?(?:no|none|nil|nothing)\b")
_OF = re.compile(r"\b(\d+) ?(?:of|out of) ?(\d+)\b")


def said_not_right(observation: str) -> str:
    """Return what is wrong where an observation says that it is not right; empty where it does not say so."""
    verdict = _VERDICT.match(observation)
    return observation[verdict.end() :] or NOT_RIGHT if verdict else ""


def sounds_wrong(observation: str) -> str:
    """Return the words of an observation that sound like a defect, or empty text. An inference from words, to be asked.

    >>> sounds_wrong("both pins bent, no crack"), sounds_wrong("crack 20 mm long"), sounds_wrong("8 of 9 tools back")
    ('', 'crack', '8 of 9')
    """
    if said_not_right(observation):
        return ""
    for found in _DEFECT.finditer(observation):
        behind = observation[found.end() :]
        taken_back = _NONE_BEHIND.match(behind) or (_TRACE.match(found[0]) and _MENDED.match(behind))
        if not taken_back and not _NONE.search(observation[: found.start()]):
            return found[0]
    short = next((found for found in _OF.finditer(observation) if int(found[1]) < int(found[2])), None)
    return short[0] if short is not None else ""
