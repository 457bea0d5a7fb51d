"""A look over the bench: what should lie there, what was seen, what does not fit. Nothing of it is recorded."""

from __future__ import annotations

import random

import pytest
from builders import Play
from hypothesis import given
from hypothesis import strategies as st

from tagtrack.core.sweep import Lies, lying
from tagtrack.core.tagcode import suffixed
from tagtrack.shop import planning, setup, tagging
from tagtrack.shop.ports import Who
from tagtrack.shop.sweeping import due, looked_over

KT = Who("KT")


@pytest.fixture
def play():
    made = Play()
    made.lines("""
        ~ zone tail LEFT
        off weight LEFT; mark UP, arrow FWD; 2 AN3-5A
        off lid LEFT; 4 AN525-10R8; put shelf 2
        off fairing LEFT; none
        disconnect beacon wire LEFT; A: terminal 3; B: terminal 4
    """)
    return made


def verdicts(play, seen, place=""):
    return {tag.code: (tag.lies, tag.why or tag.what) for tag in looked_over(play.job, seen, place).tags}


def all_due(play):
    return list(due(play.job))


def test_parts_that_are_off_and_bags_that_are_not_empty_are_due_and_nothing_else(play):
    assert sorted(due(play.job).values()) == [
        "bag: lid, LEFT", "bag: weight, LEFT", "part: fairing, LEFT", "part: lid, LEFT", "part: weight, LEFT",
    ]  # fmt: skip


def test_all_seen_is_all_there(play):
    swept = looked_over(play.job, all_due(play))
    assert swept.all_there
    assert len(swept.of(Lies.THERE)) == 5


def test_what_is_not_seen_is_missing_and_says_where_it_was_put(play):
    seen = [code for code in all_due(play) if code != play.tag("lid, LEFT")]
    swept = looked_over(play.job, seen)
    assert not swept.all_there
    (missing,) = swept.of(Lies.MISSING)
    assert (missing.code, missing.why) == (play.tag("lid, LEFT"), "put at shelf 2")
    assert swept.tags[0] is missing, "the worst stands first"


def test_one_place_alone_is_looked_over_and_what_was_put_elsewhere_is_astray(play):
    assert list(due(play.job, "Shelf 2").values()) == ["part: lid, LEFT"]
    found = verdicts(play, [play.tag("lid, LEFT"), play.tag("weight, LEFT")], "shelf 2")
    assert found[play.tag("lid, LEFT")][0] is Lies.THERE
    assert found[play.tag("weight, LEFT")] == (Lies.ASTRAY, "put at bench")


def test_the_tag_of_a_part_that_is_on_is_astray_until_it_is_counted_back(play):
    play.lines("""
        ? <tag fairing, LEFT>
        on
    """)
    tag = play.tag("fairing, LEFT")
    lies, why = verdicts(play, [*all_due(play), tag])[tag]
    assert lies is Lies.ASTRAY
    assert why.startswith("on the aircraft at fairing, LEFT")
    play(f"tags back {tag}")
    assert verdicts(play, [tag])[tag] == (Lies.SPARE, "counted back already")


def test_what_was_scrapped_does_not_lie_on_the_bench(play):
    play.lines("""
        ? <tag fairing, LEFT>
        scrap because cracked
    """)
    tag = play.tag("fairing, LEFT")
    assert tag not in due(play.job)
    assert verdicts(play, [tag])[tag] == (Lies.ASTRAY, "by the record: scrap")


def test_a_wires_tag_on_the_bench_is_astray_while_its_end_is_loose(play):
    wire = play.filled("<wire beacon wire, LEFT A>")
    assert verdicts(play, [wire])[wire][0] is Lies.ASTRAY
    play("connect beacon wire LEFT; A", None)
    assert verdicts(play, [wire])[wire][0] is Lies.SPARE


def test_an_empty_bag_is_told_as_empty(play):
    play.lines("""
        ? <tag weight, LEFT>
        up fwd
        ? <bag weight, LEFT>
        all in
    """)
    bag = play.bag("weight, LEFT")
    lies, why = verdicts(play, [bag])[bag]
    assert lies is Lies.SPARE
    assert "empty by the record" in why


def test_cards_blanks_stubs_and_planned_tags_are_told_as_what_they_are(play):
    shop = play.job.shop
    place, badge = tagging.name_place(shop, KT, "shelf 2"), tagging.badge(shop, KT, "MB")
    blank, cut = shop.issue(KT, 2)
    zone = tagging.hang_zone_card(play.job, KT, "tail LEFT").events[0].tag
    stub, half = suffixed(play.tag("weight, LEFT"), "S"), suffixed(cut, "S")
    found = verdicts(play, [place, badge, blank, zone, stub, half])
    assert found[place] == (Lies.SPARE, "place: shelf 2")
    assert found[badge] == (Lies.SPARE, "badge: MB")
    assert found[blank] == (Lies.SPARE, "blank, not in use yet")
    assert found[zone][0] is Lies.SPARE
    assert found[stub] == (Lies.ASTRAY, "stub: it stays at weight, LEFT")
    assert found[half][1].startswith("half of a blank")


def test_tags_of_another_job_void_ones_and_another_shops_are_foreign(play):
    other = Play(setup.open_job(play.job.shop, KT, job="WO-2", registration="X-ELSE"))
    other("off lid LEFT; none")
    void = play.tag("fairing, LEFT")
    play(f"reprint {void} because torn")
    strange = "7K4M9QXQ"
    found = verdicts(play, [other.tag("lid, LEFT"), void, strange])
    assert {lies for lies, _ in found.values() if lies is not Lies.MISSING} == {Lies.FOREIGN}
    assert "work order WO-2, aircraft X-ELSE" in found[other.tag("lid, LEFT")][1]
    assert "is void" in found[void][1]
    assert "never issued here" in found[strange][1]


def test_a_planned_tag_hangs_on_nothing_yet(play):
    act = planning.plan(play.job, KT, planning.read_list(b"position,side,hardware\nhorn,L,2 AN3-5A\n"))
    tag = act.events[0].tag
    assert tag not in due(play.job)
    assert verdicts(play, [tag])[tag] == (Lies.SPARE, "planned, not off yet: horn, LEFT")


@given(st.integers(0, 2**16))
def test_every_due_tag_is_told_once_seen_or_not(seed):
    play = Play()
    for name in ("a", "b", "c"):
        play(f"off {name} cover LEFT; 2 AN3-5A")
    chance = random.Random(seed)
    codes = all_due(play)
    seen = [code for code in codes if chance.random() < 0.5]
    chance.shuffle(seen)
    swept = looked_over(play.job, seen * 2)
    assert sorted(tag.code for tag in swept.tags) == sorted(codes)
    assert {tag.code for tag in swept.of(Lies.THERE)} == set(seen)
    assert swept.all_there is (len(seen) == len(codes))
    assert lying(play.job.state) == due(play.job)
