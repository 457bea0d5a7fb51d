"""The tables themselves: all of them load, every row has its source, and a shop's own rows are checked by line."""

from __future__ import annotations

import csv
from importlib.resources import files

import pytest

from tagtrack.core.callout import Decoder
from tagtrack.core.errors import Fault
from tagtrack.core.kinship import always_new
from tagtrack.tables.loader import COLUMNS, load


def test_every_table_loads_and_names_a_source_for_each_row():
    catalogue = load()
    assert len(catalogue.families) > 40
    assert len(catalogue.digest) == 64
    assert all(family.source in catalogue.sources for family in catalogue.families)


def test_every_family_compiles_and_is_its_own_normal_form():
    decoder = Decoder(load())
    for name in ("AN3-5A", "AN173-5A", "NAS6203-4", "AN24-14A", "AN960C-10L", "AN365-1032A", "MS27039-1-08"):
        assert decoder.read(name).normal == name


# AC 43.13-1B Table 7-1, copied a second time by hand: thread, tension, shear, most, most
TABLE_7_1 = """
8-36 12-15 7-9 20 12|10-32 20-25 12-15 40 25|1/4-28 50-70 30-40 100 60|5/16-24 100-140 60-85 225 140
3/8-24 160-190 95-110 390 240|7/16-20 450-500 270-300 840 500|1/2-20 480-690 290-410 1100 660
9/16-18 800-1000 480-600 1600 960|5/8-18 1100-1300 600-780 2400 1400|3/4-16 2300-2500 1300-1500 5000 3000
7/8-14 2500-3000 1500-1800 7000 4200|8-32 12-15 7-9 20 12|10-24 20-25 12-15 35 21|1/4-20 40-50 25-30 75 45
5/16-18 80-90 48-55 160 100|3/8-16 160-185 95-100 275 170|7/16-14 235-255 140-155 475 280
1/2-13 400-480 240-290 880 520|9/16-12 500-700 300-420 1100 650|5/8-11 700-900 420-540 1500 900
3/4-10 1150-1600 700-950 2500 1500|7/8-9 2200-3000 1300-1800 4600 2700
"""
# the same table marks the shear figures of these three as estimated
ESTIMATED = """
1-14 3700-5500 2200-3300 10000 6000|1-1/8-12 5000-7000 3000-4200 15000 9000|1-1/4-12 9000-11000 5400-6600 25000 15000
"""
# AC 43.13-1B Table 7-2, copied a second time by hand: least prevailing torque of used self-locking nuts
TABLE_7_2 = {
    "7/16-20": 8, "1/2-20": 10, "9/16-18": 13, "5/8-18": 18, "3/4-16": 27, "7/8-14": 40, "1-14": 55, "1-1/8-12": 73,
    "1-1/4-12": 94, "7/16-14": 8, "1/2-13": 10, "9/16-12": 14, "5/8-11": 20, "3/4-10": 27, "7/8-9": 40, "1-8": 51,
    "1-1/8-8": 68, "1-1/4-8": 88,
}  # fmt: skip


@pytest.mark.parametrize("line", TABLE_7_1.strip().replace("\n", "|").split("|"))
def test_the_torque_table_is_that_of_the_advisory_circular(line):
    thread, tension, shear, tension_most, shear_most = line.split()
    row = load().torque[thread]
    assert (row.tension, row.shear, row.tension_most, row.shear_most) == (tension, shear, tension_most, shear_most)


@pytest.mark.parametrize("line", ESTIMATED.strip().split("|"))
def test_figures_that_the_circular_estimates_are_marked_so(line):
    thread, tension, shear, tension_most, shear_most = line.split()
    row = load().torque[thread]
    assert (row.tension, row.tension_most, row.shear_most) == (tension, tension_most, shear_most)
    assert row.shear.startswith(shear)
    assert "est" in row.shear


def test_the_table_of_used_self_locking_nuts_is_that_of_the_advisory_circular():
    assert load().prevailing == {thread: str(least) for thread, least in TABLE_7_2.items()}
    assert len(load().torque) == len(TABLE_7_1.strip().replace("\n", "|").split("|")) + 3


def test_the_most_allowed_is_never_less_than_the_usual_and_shear_never_more_than_tension():
    for row in load().torque.values():
        usual, shear = (int(each.split("-")[1].split()[0]) for each in (row.tension, row.shear))
        assert usual <= int(row.tension_most)
        assert shear <= int(row.shear_most)
        assert shear <= usual


@pytest.mark.parametrize(
    ("thread", "wrench"), [("10-32", "3/8"), ("1/4-28", "7/16"), ("5/16-24", "1/2"), ("3/8-24", "9/16")]
)
def test_wrenches_are_those_in_every_drawer(thread, wrench):
    """Common practice, no source: a 3/8 in socket for an AN3 bolt, 7/16 for an AN4."""
    assert load().fittings[thread].wrench.value == wrench


def test_the_files_hold_the_columns_that_are_promised():
    for name, columns in COLUMNS.items():
        text = (files("tagtrack.tables") / f"{name}.csv").read_text(encoding="utf-8")
        assert tuple(next(csv.reader(text.splitlines()))) == columns


def own(tmp_path, name, *lines):
    (tmp_path / f"{name}.csv").write_text("\n".join((",".join(COLUMNS[name]), *lines)), encoding="utf-8")
    return load(tmp_path)


def test_a_shop_adds_a_family_of_its_own(tmp_path):
    (tmp_path / "codes.csv").write_text(
        ",".join(COLUMNS["codes"]) + "\nHX,size,7,thread=10-32; diameter=0.190,read,shop\n", encoding="utf-8"
    )
    decoder = Decoder(own(tmp_path, "families", "HX,HX-{size},,bolt,hangar bolt,head=plain,read,shop"))
    callout = decoder.read("hx-7")
    assert callout.title == "hangar bolt"
    assert callout.fact("thread") == "10-32"
    assert decoder.catalogue.digest != load().digest


@pytest.mark.parametrize(
    ("name", "line", "told"),
    [
        ("families", "HX,HX-{size},,bolt,hangar bolt,head=plain,read", "line 2: 7 cells"),
        ("families", "HX,HX-{size},,bolt,hangar bolt,head,read,shop", "line 2, column 'sets'"),
        ("families", "HX,{size},,bolt,hangar bolt,,read,shop", "line 2, column 'shapes'"),
        ("families", "HX,HX-{size},NX,bolt,hangar bolt,,read,shop", "line 2, column 'also'"),
        ("families", "HX,HX-{size},,bolt,hangar bolt,,heard,shop", "line 2, column 'status'"),
        ("families", "HX,HX-{size},,bolt,hangar bolt,,read,neighbour", "line 2, column 'source'"),
        ("codes", "QQ,size,7,,read,shop", "line 2, column 'family'"),
        ("combinations", "AN960,size,thickness=1,read,shop", "line 2, column 'when'"),
        ("bolt_lengths", "AN3-20,d,9,wide,1/32,.4,3,1/16,read,shop", "line 2, column 'grip less'"),
        ("bolt_lengths", "AN3-20,d,9,3/8,1/32,.4,x,1/16,read,shop", "line 2, column 'least dash'"),
        ("relations", "AN3-5A,AN3-6A,cousin,,read,shop", "line 2, column 'relation'"),
        ("relations", '"AN3-5A,AN3-6A', "line 2"),
        ("single_use_words", "pin 3,cotter pin,,read,shop", "line 2, column 'words'"),
        ("single_use_words", "peg,peg,,read,shop", "line 2, column 'kind'"),
        ("single_use_words", "peg,cotter pin,,heard,shop", "line 2, column 'status'"),
        ("cotter_holes", "10-32,wide,read,shop", "line 2, column 'hole'"),
    ],
)
def test_a_wrong_row_is_told_by_file_line_and_column(tmp_path, name, line, told):
    with pytest.raises(Fault) as fault:
        own(tmp_path, name, line)
    assert f"{name}.csv" in fault.value.what
    assert told in fault.value.what
    assert fault.value.todo


def test_other_columns_and_other_bytes_are_told(tmp_path):
    (tmp_path / "codes.csv").write_text("a,b\n", encoding="utf-8")
    with pytest.raises(Fault, match="line 1: the columns are others"):
        load(tmp_path)
    (tmp_path / "codes.csv").write_bytes(b"\xff\xfe")
    with pytest.raises(Fault, match="cannot be read"):
        load(tmp_path / ".." / tmp_path.name)


def test_a_table_under_a_name_that_nobody_reads_is_told(tmp_path):
    (tmp_path / "familys.csv").write_text("family,shapes\n", encoding="utf-8")
    with pytest.raises(Fault) as told:
        load(tmp_path)
    assert "familys.csv is no table" in str(told.value)
    assert "families.csv" in told.value.expected


def test_a_shop_adds_a_word_of_its_own(tmp_path):
    decoder = Decoder(own(tmp_path, "single_use_words", "hairpin,cotter pin,,read,shop"))
    assert always_new(decoder, "2 hairpins")
    assert not always_new(Decoder(load()), "2 hairpins")
