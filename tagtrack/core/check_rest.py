"""Checks of everything else that must end.

Connections, settings, points to look at, what was put aboard, what lies in the shop, losses, tags that have no
business here, second looks.
"""

from __future__ import annotations

from collections.abc import Mapping

from tagtrack.core.findings import Finding, Kind
from tagtrack.core.index import Index
from tagtrack.core.observations import said_not_right
from tagtrack.core.owners import by_owner
from tagtrack.core.places import KEPT, Item, ItemKind, Place, PlaceKind, told
from tagtrack.core.records import CheckRole, Position, Role, Ruling, TagRole
from tagtrack.core.sense import COMMAND, SENSE, reversed_sense
from tagtrack.core.spelling import how_many, same
from tagtrack.core.state import answered, seen_since, told_not_right, zone
from tagtrack.core.tagcode import shown
from tagtrack.core.things import CheckState, PositionState, RulingState

# what a second person answers for a critical position, each on its own (AMC4 145.A.48(b)(c), in our own words)
ROWS: tuple[tuple[str, str], ...] = (
    ("assembly", "every part that was disturbed is assembled right"),
    ("locking", "every lock is fitted: name each"),
    ("travel", "full and free over the whole range"),
    ("sense", "which way it moves for which command"),
    ("tension", "cable tension and stop clearances"),
    ("interaction", "no fouling with what is linked or near"),
)

# what is judged by moving it, with everything closed up: common practice, no source
FROM_OUTSIDE = frozenset({"travel", SENSE, COMMAND, "function"})

_SENSE_OF = "sense of "

# what is asked of each area before it is closed out (145.A.48 asks the like of larger shops; in our own words)
AREA_ROWS: tuple[tuple[str, str], ...] = (
    ("clear", "clear of parts, tools, rags and chips: what was counted"),
    ("covers", "every cover and panel of it on: which were"),
)

_TAGS_ON_THE_JOB = frozenset({TagRole.PART, TagRole.BAG, TagRole.CONNECTION, TagRole.ZONE})


def connections(index: Index, known: PositionState) -> list[Finding]:
    """Return the ends of this connection that are off, or made at another terminal than they came from."""
    found: list[Finding] = []
    for end in index.state.ends_of(known.position):
        thing = f"{known.position.name}" + (f", end {end.end}" if end.end else "")
        to = f"connected at {end.as_found}" if end.as_found else "connected"
        if not end.made:
            seen, advice = "still disconnected", "connect it and say so: connect TAG"
        elif end.as_found and same(end.terminal) != same(end.as_found):
            seen, advice = f"connected at {end.terminal}", "put it where it came from, or answer why it goes elsewhere"
        else:
            continue
        found.append(
            Finding(kind=Kind.STILL_DISCONNECTED, position=known.position, area=known.area, thing=thing, expected=to,
                    seen=seen, advice=advice, acts=end.acts, since=end.step)
        )  # fmt: skip
    return found


def questions(index: Index, known: PositionState) -> list[Finding]:
    """Return the rows that this position asks and nobody has answered: function checks, points to look at."""
    kind = Kind.STILL_DISCONNECTED if known.role is Role.CONNECTION else Kind.NOT_LOOKED_AT
    found: list[Finding] = []
    for row in known.asks:
        # a function is judged on what is made; made another way later, it is judged anew
        check = (seen_since(index.state, known.position, row) if kind is Kind.STILL_DISCONNECTED
                 else answered(index.state, str(known.position), row))  # fmt: skip
        if check is not None and check.step < known.asked and _right(check):
            # looked at when it was open before, and asked again since
            check = None
        if _right(check):
            continue
        found.append(
            Finding(kind=kind, position=known.position, area=known.area, thing=f"{row} of {known.position.name}",
                    expected="looked at, and what was seen", seen=told_not_right(check) or "no answer",
                    advice="look, and say what you saw; 'not opened, because ...' is an answer too", acts=known.acts,
                    since=check.step if check else known.asked)
        )  # fmt: skip
    return found


def _right(check: CheckState | None) -> bool:
    """Return whether somebody looked, and did not say that it is not right."""
    return check is not None and not said_not_right(check.observation)


def settings(index: Index, known: PositionState) -> list[Finding]:
    """Return a setting without its as-left value, or a difference without a reason."""
    setting = index.state.settings.get(known.position)
    if setting is None or not setting.as_found:
        return []
    early = setting.step < known.fitted
    held, advice = "", "read it again and say so: setting POSITION; as left VALUE"
    if setting.as_left and setting.cycle == known.cycle and early:
        seen = f"as left {setting.as_left}, read before the part went on"
        advice = "read it again now that it is on, and say so: setting POSITION; as left VALUE"
    elif not setting.as_left or setting.cycle != known.cycle:
        held = "as left: not read"
        seen = f"as left {setting.as_left}, read before the last work here" if setting.as_left else held
    elif same(setting.as_left) != same(setting.as_found) and not setting.reason:
        seen, advice = f"as left {setting.as_left}", "say why: setting POSITION; as left VALUE because ..."
    else:
        return []
    return [
        Finding(kind=Kind.SETTING, position=known.position, area=known.area, thing=known.position.name,
                expected=f"as found {setting.as_found}", seen=seen, held=held, advice=advice,
                acts=setting.acts, since=max(setting.set_at, known.fitted if early else 0))
    ]  # fmt: skip


def inspections(index: Index, known: PositionState) -> list[Finding]:
    """Return the rows of a critical position that no second person has answered since it was last apart.

    'Not available' and a second look by the same person close the row, but stay visible as answered findings.
    """
    if not known.critical or not known.cycle or not index.is_back(known.position):
        return []
    found: list[Finding] = []
    for row, meaning in ROWS:
        check = seen_since(index.state, known.position, row)
        if row == SENSE and check is not None and _commanded_since(index, known, check):
            check = None
        if check is not None and check.role is CheckRole.INDEPENDENT and _right(check):
            continue
        other = check is not None and check.role in (CheckRole.NOT_AVAILABLE, CheckRole.REINSPECTED) and _right(check)
        seen = told_not_right(check) or (check.role.value if check is not None and other else "nobody has looked")
        answer = None
        if check is not None and other:
            answer = RulingState(ruling=Ruling.ACCEPTED, reason=check.observation, by=check.by, at=check.at,
                                 act=check.act)  # fmt: skip
        found.append(
            Finding(kind=Kind.NOT_INSPECTED, position=known.position, area=known.area,
                    thing=f"{row} of {known.position.name}", expected=f"a second person: {meaning}", seen=seen,
                    advice="somebody who did none of this work looks: inspect POSITION; "
                    f"{row}: what was seen", acts=known.acts, answer=answer)
        )  # fmt: skip
    return found


def _commanded_since(index: Index, known: PositionState, check: CheckState) -> bool:
    """Return whether another command was given after the movement was seen: nobody said what moved for that one."""
    command = answered(index.state, str(known.position), COMMAND)
    return command is not None and command.step > check.step


def senses(index: Index, known: PositionState) -> list[Finding]:
    """Return a control that was seen to move the wrong way, by the two entries of its sense check."""
    command = answered(index.state, str(known.position), COMMAND)
    moved = seen_since(index.state, known.position, SENSE)
    if command is None or moved is None or command.step > moved.step:
        return []
    wanted = reversed_sense(known.position, command.observation, moved.observation)
    if wanted is None:
        return []
    return [
        Finding(kind=Kind.TURNED, position=known.position, area=known.area, thing=f"{_SENSE_OF}{known.position.name}",
                expected=f"{command.observation}: {wanted.value}", seen=moved.observation,
                advice="STOP: the control is reversed, or the entry is wrong; find out which before anything else",
                acts=(command.act, moved.act), since=max(command.step, moved.step))
    ]  # fmt: skip


def from_outside(finding: Finding) -> bool:
    """Return whether a finding asks for something that is judged from outside, with everything closed up."""
    asks = finding.kind in (Kind.NOT_INSPECTED, Kind.STILL_DISCONNECTED)
    return asks and finding.thing.split(" of ")[0] in FROM_OUTSIDE


def of_sense(finding: Finding) -> bool:
    """Return whether a finding is one of `senses`."""
    return finding.thing.startswith(_SENSE_OF)


def close_out(index: Index) -> list[Finding]:
    """Return what is asked of every area that was worked in before it is closed out, and nobody has answered since."""
    worked: dict[str, int] = {}
    for known in index.state.positions.values():
        if known.cycle:
            worked[known.area] = max(worked.get(known.area, 0), known.worked)
    found: list[Finding] = []
    for area, step in worked.items():
        for row, meaning in AREA_ROWS:
            check = answered(index.state, zone(area), row)
            late = check is not None and check.step < step
            if not late and _right(check):
                continue
            seen = "said before the last work there" if late else told_not_right(check) or "no answer"
            found.append(
                Finding(kind=Kind.NOT_LOOKED_AT, area=area, thing=f"{row}: {area or 'the aircraft'}",
                        expected=meaning, seen=seen, since=max(step, check.step if check else 0),
                        advice=f"look, and say what you saw: {row} {area or 'aircraft'}: ...")
            )  # fmt: skip
    return found


def left_over(index: Index) -> list[Finding]:
    """Return the bags, trays and holes of this job in which hardware still lies, one finding for each owner."""
    found: list[Finding] = []
    for place, joint, lots in by_owner(index, [place for place in index.state.holdings if place.kind in KEPT]):
        inside = _inside(lots)
        home = joint.positions[0] if joint else None
        where = f"{index.lies(place)}: put it where it belongs,"
        if home and place.kind is PlaceKind.HOLE:
            where = f"put it in, and say so: at {home.name} {home.side.value}, then: all in;   or"
        if inside:
            found.append(
                Finding(kind=Kind.LEFT_OVER, position=home, area=index.area(home) if home else "", thing=told(place),
                        expected="nothing left in it", seen=inside,
                        advice=f"{where} return it to stock, or scrap it and say why",
                        acts=joint.acts if joint else (),
                        since=max(index.state.lain_since.get((place, item), 0) for item in lots))
            )  # fmt: skip
    return found


def _inside(lots: Mapping[Item, int]) -> str:
    words = [
        f"{count} {'new ' if item.kind is ItemKind.NEW else ''}{item.name}"
        for item, count in sorted(lots.items(), key=lambda lot: lot[0].name)
        if item.kind in (ItemKind.USED, ItemKind.NEW)
    ]
    return ", ".join(words)


def uncounted(index: Index, known: PositionState) -> list[Finding]:
    """Return hardware that went into a bag uncounted and was never counted at the bench."""
    del index
    if not known.uncounted:
        return []
    return [
        Finding(kind=Kind.LEFT_OVER, position=known.position, area=known.area, thing="hardware never counted",
                expected="counted at the bench", seen="no count", acts=known.acts,
                advice="count it: found POSITION; 4 AN3-5A, 4 AN960-10")
    ]  # fmt: skip


def aboard(index: Index, known: PositionState) -> list[Finding]:
    """Return temporary items that are still on the aircraft at this position."""
    return _aboard(index, str(known.position), known.position, known.area)


def aboard_elsewhere(index: Index) -> list[Finding]:
    """Return temporary items that are still on the aircraft, in an area rather than at a position."""
    names = {str(position) for position in index.state.positions}
    others = [p.name for p in index.state.holdings if p.kind is PlaceKind.ABOARD and p.name not in names]
    return [finding for name in others for finding in _aboard(index, name, None, name)]


def _aboard(index: Index, name: str, at: Position | None, area: str) -> list[Finding]:
    lots = index.state.holdings.get(Place(PlaceKind.ABOARD, name), {})
    return [
        Finding(kind=Kind.STILL_ABOARD, position=at, area=area, thing=item.name, expected="off the aircraft",
                seen=f"{count} {item.name} at {name}", advice=f"take it off and say so: take {count} {item.name}",
                since=index.state.aboard_since.get(name, 0))
        for item, count in lots.items()
    ]  # fmt: skip


def tags(index: Index) -> list[Finding]:
    """Return the tags of this job that have neither come back nor been declared void, as one finding."""
    open_tags = sorted(t.code for t in index.state.tags.values() if t.role in _TAGS_ON_THE_JOB and t.end is None)
    if not open_tags:
        return []
    listed = ", ".join(shown(code) for code in open_tags[:40]) + (" ..." if len(open_tags) > 40 else "")
    return [
        Finding(kind=Kind.TAGS_OUT, thing=how_many(len(open_tags), "tag"),
                expected="every tag back in the box, or void", seen=listed,
                advice=f"count the tags that came back; all of them: tags back {len(open_tags)}")
    ]  # fmt: skip


def losses(index: Index) -> list[Finding]:
    """Return the losses that are neither found nor accepted by a second person."""
    return [
        Finding(kind=Kind.LOST, area=loss.areas[0] if loss.areas else "", thing=loss.what,
                expected="found, or proved not aboard, or accepted by a second person",
                seen=f"case {loss.case}: {loss.still} {loss.what}; "
                f"{how_many(len(loss.search), 'search', 'searches')} recorded",
                advice=f"search, and say so: case {loss.case} searched AREA: how; then case {loss.case} found: where; "
                "or not aboard by NAME: how, or accepted by NAME: how",
                acts=loss.acts, may_be=loss.areas)
        for loss in index.state.losses.values()
        if loss.stands
    ]  # fmt: skip


def strangers(index: Index) -> list[Finding]:
    """Return the tags that were seen here and have no business here."""
    return [
        Finding(kind=Kind.NOT_THIS_JOB, area=seen.where, thing=f"tag {shown(seen.code)}", expected="a tag of this job",
                seen=seen.verdict, advice="find out what it is on, and take that out of this aircraft",
                acts=(seen.act,), since=seen.step)
        for seen in index.state.sightings.values()
    ]  # fmt: skip
