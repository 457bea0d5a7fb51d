"""What the page says for whoever presses; each hint is taken from the very line that brings it about."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from hangar.served import FAIRING, JOB, WEIGHT, Device, ShopFolder

from tagtrack.hangar import wording
from tagtrack.hangar.wording import by_press
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.ports import Who

TWINS = ("off wing tip cap LEFT; 3 AN525-10R8", "off wing tip cap RIGHT; 4 AN525-10R8")
ALIKE = ("off trim tab LEFT; mark UP; 4 AN3-5A; critical; mount INBD",
         "off trim tab RIGHT; mark UP; 4 AN3-5A; critical")  # fmt: skip
LOST = ("zone tail LEFT", WEIGHT, "lost 1 AN960-10")
SEARCHED = (*LOST, "case L1 searched tail LEFT: mirror and lamp")
# @ is the part's tag, @@ its bag's, % a blank one, & takes the last step back
ON = ("zone tail LEFT", WEIGHT, "@", "up fwd")
IN = (*ON, "@@", "all in new")
TIGHT = (*ON, "@@", "all in new tight safe")
NUTS = ("zone tail LEFT", "off elevator balance weight LEFT; mark UP; 4x [AN3-5A AN960-10 | AN960-10 AN365-1032]")
SIGNED = ("sign off",)

# what was said before, what is said then, and what the page tells of it
TOLD = [
    (LOST[:2], LOST[2], "     open Check, case L1: FOUND, or Searched;   nothing closes up until it is"),
    (SEARCHED, "case L1 accepted by MB: searched twice",
     "     Mo Beispiel says it too: change over to MB, open Check, press: MB SAYS IT TOO"),
    (LOST, "case L1 accepted by the owner: none", "expected: Check, case L1: Searched, before it is accepted"),
    (LOST, "complete tail LEFT; clear: 9 of 9 tools; covers: all on",
     "do:       search, and say how: open Check, case L1: Searched"),
    (LOST, "check", "          -> search, and say so: open Check, case L1"),
    ((), "case L9 searched tail: mirror", "do:       open Check"),
    (TWINS[:1], TWINS[1], "         why? open Check, MARK: By design of the type, or Answer"),
    (ALIKE[:1], ALIKE[1], "         cannot go on that way: open Check, MARK: Answer it"),
    (("off tail light wire CENTRE; none",), "at nothing of the kind LEFT", "do:       look at the board"),
    (("zone tail LEFT", "off elevator balance weight LEFT; 2 AN3-5A; in hole", "@", "on"), "tight",
     "do:       scan its tag, and press ALL IN"),
    ((), "undo abc", "do:       look at its page: History"),
    (("zone tail LEFT",), "disconnect tail light plug CENTRE; keyed; 2 AN3-5A",
     "     its small hardware lies loose: scan a bag's tag, or press on its page: It is back in its hole"),
    (("zone tail LEFT", "%"), FAIRING, "     scan the bag's tag, or press on its page: It is back in its hole"),
    (IN, "check", "          -> tighten per the data and press TIGHT"),
    (IN, "check", "          -> fit its lock and press SAFE"),
    (ON, "tight", "do:       scan its bag, and press ALL IN"),
    (ON, "all in", "do:       scan the bag's tag, and press ALL IN"),
    ((*NUTS, "@", "up", "@@", "all in tight"), "check",
     "          -> try it, scan its tag or bag, and say what it does there; where it does run on, fit new ones"),
    (TIGHT, "check", "          -> somebody who did none of this work looks: Inspect, on its page"),
    (TIGHT, "check", "             nobody there: press Inspect: No second person is to be had"),
    (TIGHT, "check", "          -> look, and say what you saw: Close up"),
    (TIGHT, "check", "          -> count the tags that came back: Close up, Tags back in the box"),
    (TIGHT, "inspect elevator balance weight LEFT; assembly: pins bent, both legs",
     "do:       have somebody else look; if nobody is to be had: press Inspect: No second person is to be had"),
    (ON, "command elevator balance weight LEFT: stick back",
     "     the one who watches says which way it moved: Inspect, in the row sense"),
    ((*TIGHT, "by MB"), "inspect elevator balance weight LEFT; sense: UP",
     "do:       the other one says what was moved: Inspect, Commanded; then again"),
    (TIGHT, "complete tail LEFT; tools: 9 of 9", "do:       open Close up, and say both of the area"),
    (("sign off", "undo sign-off because one more"), "&", "do:       Check again, then Close up: SIGN OFF"),
    (SIGNED, "off tip cap LEFT; none", "do:       first open Close up: Take the sign-off back"),
    (("zone tail", "disconnect tail light plug CENTRE; keyed"), "check",
     "          -> connect it, scan its tag, and press CONNECTED"),
    ((*ON, "@@", "lost 1 AN960-10"), "case L1 found: tail cone",
     "     it lies on the bench: put it in: scan its bag, and press IN"),
    (("zone tail LEFT", WEIGHT, "zone tail RIGHT"), "@",
     "do:       put it down; or scan the zone card of where you are, or choose it on the board"),
    (("zone tail LEFT", WEIGHT, FAIRING, "@"), "tags back 1",
     "do:       count again, or scan each: tags back CODE CODE ...; a lost tag is ended there: Close up, A tag is lost "
     "or torn"),
    (("zone tail LEFT", "off cap LEFT; none", f"{WEIGHT}; closes cap LEFT", "@"), "up fwd",
     "do:       finish those first; to try the fit press Trial fit; to hold it on a few screws: "
     "temporarily elevator balance weight LEFT held by 2 screws"),
    ((*ON, "in 4 AN960-10"), "in 2 AN310-3", "     still to go in, NEW: 2 MS24665-132"),
]  # fmt: skip


def typed(shop, before, line) -> tuple[str, ...]:
    """Play lines and return what is told to whoever types the last of them."""
    loop = Loop(shop.shop.open(JOB), "KT")
    told: tuple[str, ...] = ()
    for each in (*before, line):
        match each:
            case "@":
                said = shop.tag("elevator balance weight, LEFT")
            case "@@":
                said = shop.tag("elevator balance weight, LEFT", "bag")
            case "%":
                (said,) = shop.shop.issue(Who("KT"), 1)
            case "&":
                said = f"undo {shop.acts()[-1].id}"
            case _:
                said = each
        told = loop.line(said).lines
    return told


def unmarked(lines) -> list[str]:
    """Return the lines one by one, each mark of a finding as MARK."""
    return [re.sub(r"\b[0-9A-F]{6}\b", "MARK", each) for line in lines for each in line.split("\n")]


@pytest.mark.parametrize(("before", "line", "told"), TOLD, ids=range(len(TOLD)))
def test_a_hint_names_what_is_pressed(shop, before, line, told):
    plain = typed(shop, before, line)
    assert told not in unmarked(plain)
    assert told in unmarked(by_press(plain))


def test_every_hint_that_is_reworded_is_one_that_the_program_gives(pattern, tmp_path):
    never = {hint.pattern for hint, _ in wording.HINTS}
    for number, (before, line, _) in enumerate(TOLD):
        shop = ShopFolder(Path(shutil.copytree(pattern, tmp_path / str(number))))
        plain = typed(shop, before, line)
        shop.close()
        never -= {hint.pattern for hint, _ in wording.HINTS if any(map(hint.search, plain))}
    assert never == set()


@pytest.mark.parametrize("line", [
    "answered by KT: undo the sign-off first", "     seen: say so: tight, and safe", "came:     really so? type: yes",
    "answered by KT: look at the list: check it twice", "scan its bag and say: all in, he said",
])  # fmt: skip
def test_what_people_said_stays_as_they_said_it(line):
    assert by_press([line]) == (line,)


def test_the_page_tells_it_so_in_answers_refusals_questions_and_findings(shop):
    shop.say("zone tail LEFT", WEIGHT)
    device = Device(shop.app())
    device.sign_in()
    lost = device.press("lost 1 AN960-10", tag=shop.tag("elevator balance weight, LEFT", "bag"), area="tail LEFT")
    assert any("open Check, case L1" in line for line in lost["lines"])
    complete = device.press("complete tail LEFT; clear: 9 of 9 tools; covers: on")
    assert "do:       search, and say how: open Check, case L1: Searched" in complete["lines"]
    device.press("zone tail RIGHT")
    question = device.press("off wing tip cap LEFT; none")
    assert question["asked"]
    assert not any("type" in line for line in question["lines"])
    page = device.get(f"/job/{JOB}/findings").text
    assert "look, and say what you saw: Close up" in page
    assert "clear tail LEFT: ..." not in page
