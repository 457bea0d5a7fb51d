"""Every word of the loop is explained with lines that can be typed as they stand, and these lines work."""

from __future__ import annotations

import re

import pytest
from builders import Play
from cli.console import Console

from tagtrack.core.findings import BY_DESIGN
from tagtrack.core.reconcile import reconcile
from tagtrack.core.records import TagRole
from tagtrack.shop import mending, setup
from tagtrack.shop.lines.loop import WORDS
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.ports import Who

APART = """
~ zone tail LEFT
off weight LEFT; mark UP, arrow FWD; critical; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]
off cover LEFT; 12 AN525-10R8; closes weight L
"""
IN_HAND = APART + "? <tag weight, LEFT>\n"
ON = IN_HAND + "up fwd\n"
BAG = ON + "? <bag weight, LEFT>\n"
ALL_IN = BAG + "all in\n"
LOOSE_BAG = APART + "? <bag weight, LEFT>\n"
COTTER = ON.replace("AN960-10 MS21044N3", "AN960-10 AN310-3 MS24665-132!")
TWO_LIDS = "".join(
    f"off {lid} LEFT; 4 AN525-10R8\n~ at {lid} LEFT\n? <tag {lid}, LEFT>\non\n? <bag {lid}, LEFT>\nall in tight\n"
    for lid in ("lid", "cover")
)
WIRES = "disconnect weight LEFT; A: terminal 3; B: terminal 4; function\n"

# what was done before: behind the line itself, or behind its word, where it needs other than two parts off
BEFORE = {
    "same": APART.replace("LEFT", "RIGHT").replace("weight L", "weight R") + "~ zone tail LEFT\n",
    "same POSITION SIDE; 11 AN525-10R8; pn 99-2":
        "~ zone tail RIGHT\noff weight RIGHT; 12 AN525-10R8\n~ zone tail LEFT\n",
    "hole": "off weight LEFT; 2 AN3-5A; loose\n",
    "found": "off weight LEFT; mark UP, arrow FWD; count later\n",
    "take": APART + "put 2 blue caps at weight LEFT\n",
    "setting POSITION SIDE; as left 3.5 threads because ...": "setting weight LEFT; as found 4 threads\n",
    "off": "", "loosened": "", "aside": "", "drilled": "", "disconnect": "", "setting": "", "sign": "",
    "on": IN_HAND, "sits": ON, "trial": IN_HAND,
    "all": BAG, "tight": ALL_IN, "finger": ALL_IN, "safe": ALL_IN + "tight\n",
    "on POSITION SIDE": "aside weight LEFT; 2 AN3-5A; in hole\n",
    "all in new tight 25 in-lb safe": COTTER + "? <bag weight, LEFT>\n",
    "in": BAG, "new": COTTER, "out": BAG + "! new 2 AN3-6A\n", "used": BAG, "added": ALL_IN,
    "back": "off cover LEFT; 11 AN525-10R8\n? <tag cover, LEFT>\n~ at cover LEFT\non\n",
    "replace": IN_HAND, "scrap": IN_HAND, "stock": LOOSE_BAG, "send": IN_HAND, "condition": IN_HAND,
    "case L1 not aboard by NAME: how": LOOSE_BAG + "! lost 1 AN960-10\ncase L1 searched tail: mirror and lamp\n",
    "lost": IN_HAND, "dropped": IN_HAND, "case": LOOSE_BAG + "! lost 1 AN960-10\n",
    "connect": WIRES, "function": WIRES + "connect weight LEFT; A\nconnect weight LEFT; B\n",
    "design": APART + "~ zone tail RIGHT\noff weight RIGHT; mark UP; 2x [AN3-5A AN960-10 | AN960-10 MS21044N3]\n",
    "mend": BAG + "! in 1 AN3-5A\n", "why": BAG + "! in 1 AN3-5A\n",
    "look": "point weight LEFT\n", "chips": "drilled weight LEFT; 14 MS20470AD4-4\n",
    "inspect": ALL_IN + "finger no tight safe\n~ by MB\n",
    "tags back 4": TWO_LIDS, "tags back CODE CODE": TWO_LIDS, "undo sign-off because ...": "sign off\n",
}  # fmt: skip


def examples():
    """Return each word with every line that its first sentence shows; one that begins with ';' goes on the first."""
    for name, word in WORDS.items():
        shown = re.findall(r"`([^`]+)`", word.__doc__.splitlines()[0])
        assert shown, f"{name} has no example"
        for line in shown:
            yield name, f"{shown[0].split(';')[0]}{line}" if line.startswith(";") else line


def stranger(play):
    """Return the code of a tag of another job of the shop."""
    other = Play(setup.open_job(play.job.shop, Who("KT"), job="WO-2", registration="X-ELSE"))
    other("off lid LEFT; none")
    return other.tag("lid, LEFT")


def typed(play, name, line):
    """Return the example with something real in place of what it only names."""
    findings = reconcile(play.job.refresh(), play.job.knowledge).unanswered
    tags = play.job.state.tags.values()
    codes = [tag.code for tag in tags if tag.role is TagRole.BAG or tag.thing.endswith("|A")]
    named = {
        "POSITION SIDE": "weight LEFT", "COVER SIDE": "cover LEFT", "POSITION": "weight LEFT", "AREA": "tail LEFT",
        "SHA256": "ab" * 32,
        "NAME": "Olga Owner", "REASON": "nobody else works here", "SEEN": "both nuts on, two threads show",
        "CODE CODE": " ".join(codes[:2]), "CODE": stranger(play) if name == "seen" else "".join(codes[:1]),
        "[...]": "[AN3-5A | AN310-3]", "...": "it was so before", "undo ID": f"undo {play.job.acts[-1].id}",
        "4B7A21": next((e.short for e in mending.explanations(play.job)), "") if name == "mend" else "",
        "3F9A2C": next((f.short for f in findings if name != "design" or f.kind in BY_DESIGN), ""),
    }  # fmt: skip
    for what, real in named.items():
        line = line.replace(what, real)
    return line


@pytest.mark.parametrize(("name", "example"), list(examples()))
def test_every_example_can_be_typed(name, example):
    play = Play()
    play.lines(BEFORE.get(example, BEFORE.get(name, APART)))
    reply = play(typed(play, name, example), None)
    told = "\n".join(reply.lines)
    if name == "check":
        assert "FINDINGS" in told
    else:
        # what is amiss with the aircraft is loud, and recorded; only what is refused is not
        assert reply.tone is not Tone.WRONG or reply.act, told


@pytest.mark.parametrize("name", WORDS)
def test_every_word_is_listed_by_the_command_and_by_the_help_of_the_loop(name, tmp_path):
    listed = Console(tmp_path)("words").out
    (line,) = re.findall(rf"^{name} +(.+)$", listed, re.MULTILINE)
    first = next(each for each, word in WORDS.items() if word is WORDS[name])
    assert first in line
    assert "`" not in line
    assert any(line in told for told in Play()("help", Tone.NOTE).lines)
