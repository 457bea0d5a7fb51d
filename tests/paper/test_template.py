"""Label stocks: what is read, and each way in which a file can be wrong."""

from __future__ import annotations

import re

import pytest

from tagtrack.core.errors import Fault, Refusal
from tagtrack.paper import template
from tagtrack.paper.template import load, named, names, read

GOOD = """unit = "mm"
[sheet]
width = 210
height = 297
[grid]
columns = 2
rows = 4
left = 4.65
top = 13.1
gap_x = 2.5
gap_y = 0
[label]
width = 99.1
height = 67.7
safe = 2
"""


@pytest.fixture
def stock(tmp_path):
    def write(text, name="mine.toml"):
        file = tmp_path / name
        file.write_text(text, encoding="utf-8")
        return file

    return write


def test_every_stock_that_comes_with_the_program_is_read_without_complaint():
    assert {"a4-99x68mm-8up", "letter-4x2in-10up"} < set(names())
    assert all(named(name).name == name for name in names())
    for name in names():
        stock = named(name)
        told = re.search(r"(\d+)up$", name)
        assert stock.per_sheet == (int(told[1]) if told else 1), name


@pytest.mark.parametrize("name", [name for name in names() if name.endswith("up")])
def test_margins_labels_and_gaps_of_a_sheet_sum_to_the_page(name):
    """US Letter is 8.5 x 11 in (ANSI/ASME Y14.1), A4 is 210 x 297 mm (ISO 216); margins are the same on both sides."""
    stock = named(name)
    page = (215.9, 279.4) if name.startswith("letter") else (210.0, 297.0)
    across = 2 * stock.left + stock.columns * stock.width + (stock.columns - 1) * stock.gap_x
    down = 2 * stock.top + stock.rows * stock.height + (stock.rows - 1) * stock.gap_y
    assert (across, down) == pytest.approx(page, abs=0.01)


@pytest.mark.parametrize(("number", "inches"), [(5, (4.75, 2.375)), (8, (6.25, 3.125))])
def test_tie_on_tags_have_the_sizes_of_the_trade(number, inches):
    """Two public charts of shipping-tag sizes agree."""
    (stock,) = [named(name) for name in names() if name.startswith(f"tie-on-{number}-")]
    assert (stock.width / 25.4, stock.height / 25.4) == pytest.approx(inches)
    assert stock.eyelet / 25.4 == pytest.approx(1.0)


def test_inches_become_millimetres():
    letter = named("letter-4x2in-10up")
    assert (letter.sheet_width, letter.sheet_height) == pytest.approx((215.9, 279.4))
    assert (letter.width, letter.height, letter.gap_x) == pytest.approx((101.6, 50.8, 4.7625))


@pytest.mark.parametrize("name", names())
def test_the_figures_that_come_with_the_program_sum_to_the_page(name):
    t = named(name)
    across = 2 * t.left + t.columns * t.width + (t.columns - 1) * t.gap_x
    down = 2 * t.top + t.rows * t.height + (t.rows - 1) * t.gap_y
    assert (across, down) == pytest.approx((t.sheet_width, t.sheet_height), abs=0.001)


def test_the_shops_own_stock_goes_before_the_programs(stock, tmp_path):
    stock(GOOD.replace("13.1", "12.5"), "a4-99x68mm-8up.toml")
    assert named("a4-99x68mm-8up", shop=tmp_path).top == 12.5
    assert named("a4-99x68mm-8up").top == 13.1


def test_the_shops_stocks_are_listed_with_the_programs(stock, tmp_path):
    stock(GOOD)
    assert set(names(shop=tmp_path)) == {*names(), "mine"}


def test_a_shop_folder_that_is_not_there_is_no_trouble(tmp_path):
    assert names(shop=tmp_path / "none") == names()


def test_a_path_is_read_as_a_path_and_a_name_as_a_name(stock):
    file = stock(GOOD)
    assert load(file) == load(str(file)) == read(file)
    assert load("letter-4x2in-10up") == named("letter-4x2in-10up")


def test_a_name_is_never_taken_as_a_path(stock, tmp_path):
    stock(GOOD)
    inner = tmp_path / "labels"
    inner.mkdir()
    with pytest.raises(Refusal):
        named("../mine", shop=inner)


def test_an_unknown_name_is_refused_and_the_nearest_is_offered():
    with pytest.raises(Refusal) as refused:
        named("letter-4x2in")
    assert refused.value.todo == "say letter-4x2in-10up"
    assert "a4-99x68mm-8up" in refused.value.expected


def test_the_package_folder_is_looked_into_when_there_is_no_checkout(tmp_path, monkeypatch):
    package = tmp_path / "site" / "tagtrack"
    (package / "label_templates").mkdir(parents=True)
    (package / "label_templates" / "packed.toml").write_text(GOOD, encoding="utf-8")
    monkeypatch.setattr(template, "__file__", str(package / "paper" / "template.py"))
    assert names() == ("packed",)


def test_a_byte_order_mark_is_no_trouble(stock):
    file = stock("\ufeff" + GOOD)
    assert read(file).columns == 2


KEYS = [line.partition(" = ")[0] for line in GOOD.splitlines() if " = " in line]


@pytest.mark.parametrize("number", range(len(KEYS)), ids=[f"{n}-{key}" for n, key in enumerate(KEYS)])
def test_each_missing_key_is_named(stock, number):
    lines = GOOD.splitlines()
    at = [n for n, line in enumerate(lines) if " = " in line][number]
    file = stock("\n".join(lines[:at] + lines[at + 1 :]))
    with pytest.raises(Fault, match=f"{KEYS[number]} is missing") as fault:
        read(file)
    assert str(file) in fault.value.what
    assert fault.value.todo


WRONG = {
    "a unit that is none": ('unit = "mm"', 'unit = "cm"', "unit"),
    "a unit that is a number": ('unit = "mm"', "unit = 25.4", "unit"),
    "a width in words": ("width = 99.1", 'width = "99.1"', "label.width"),
    "a width of zero": ("width = 99.1", "width = 0", "label.width"),
    "a negative height": ("height = 67.7", "height = -67.7", "label.height"),
    "not a number": ("height = 67.7", "height = nan", "label.height"),
    "infinity": ("height = 297", "height = inf", "sheet.height"),
    "a slipped point": ("width = 210", "width = 21000", "sheet.width"),
    "an enormous whole number": ("width = 210", f"width = 1{'0' * 400}", "sheet.width"),
    "true for a length": ("left = 4.65", "left = true", "grid.left"),
    "true for a count": ("rows = 4", "rows = true", "grid.rows"),
    "half a row": ("rows = 4", "rows = 4.5", "grid.rows"),
    "no column": ("columns = 2", "columns = 0", "grid.columns"),
    "labels that overlap across": ("gap_x = 2.5", "gap_x = -2.5", "grid.gap_x"),
    "labels that overlap down": ("gap_y = 0", "gap_y = -1", "grid.gap_y"),
    "labels off the right edge": ("left = 4.65", "left = 15", "grid.columns"),
    "labels off the lower edge": ("rows = 4", "rows = 5", "grid.rows"),
    "an empty table": ("safe = 2", "safe = 2\n[extra]", "extra"),
    "an unknown key": ("safe = 2", "safe = 2\ncolour = 1", "label.colour"),
    "an unknown table": ("[label]", "[extra]\na = 1\n[label]", "extra.a"),
    "a table that is a number": ('unit = "mm"', 'unit = "mm"\nmargin = 3', "margin"),
}


@pytest.mark.parametrize("case", WRONG)
def test_a_wrong_file_is_refused_with_file_key_expectation_and_advice(stock, case):
    old, new, key = WRONG[case]
    assert old in GOOD
    file = stock(GOOD.replace(old, new, 1))
    with pytest.raises(Fault) as fault:
        read(file)
    assert fault.value.what.startswith(f"{file}: {key} ") or fault.value.what.startswith(f"{file}: {key}:")
    assert fault.value.expected
    assert fault.value.came
    assert fault.value.todo


def test_a_safe_area_that_leaves_no_room_is_refused(stock):
    narrow = GOOD.replace("height = 67.7", "height = 40").replace("safe = 2", "safe = 18")
    with pytest.raises(Fault, match="no room inside the label down"):
        read(stock(narrow))


@pytest.mark.parametrize("text", ["unit = ", "a = " + "[" * 5000, "a = 1\na = 2"], ids=["cut", "nested", "twice"])
def test_a_file_that_is_no_toml_is_a_fault_with_its_name(stock, text):
    file = stock(text)
    with pytest.raises(Fault, match="cannot be read") as fault:
        read(file)
    assert str(file) in fault.value.what


def test_bytes_that_are_no_text_and_a_file_that_is_not_there_are_faults(tmp_path):
    file = tmp_path / "x.toml"
    with pytest.raises(Fault):
        read(file)
    file.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(Fault):
        read(file)
