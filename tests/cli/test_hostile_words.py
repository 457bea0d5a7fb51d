"""Whatever stands behind a command, it ends with an exit code of its own; the one of a crash is never met."""

from __future__ import annotations

import pytest
from cli.console import Console
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tagtrack.cli.outcome import Exit

OWN = set(Exit) - {Exit.CRASH}

# one letter more than a screen shows, bytes that are no text (as lone surrogates), controls, right-to-left marks;
# only a NUL cannot stand in an argument
ANYTHING = st.text(st.characters(exclude_characters="\0"), max_size=30) | st.text(
    st.characters(min_codepoint=0xDC80, max_codepoint=0xDCFF, categories=["Cs"]), max_size=4
)
# what is nearly right goes deeper than noise
TRADE = st.sampled_from([
    "LEFT", "elevator weight LEFT", "cover R", "2 AN3-5A", "2x [AN3-5A | AN310-3]", "[", "0 AN3-5A",
    "99999999999 AN3-5A", "-1", "tail LEFT", "WO-1", "KT", "2345 6789", "mark UP, mark UP", "--json", "--by", "--", ";",
    "=;=", "1e400", "~", "%s",
])  # fmt: skip
WORD = ANYTHING | TRADE

COMMANDS = (
    ("person", 2), ("open", 2), ("open", 1), ("say", 3), ("say", 1), ("labels", 1), ("zone", 2), ("place", 1),
    ("badge", 1), ("explain", 1), ("explain", 2), ("blanks", 1), ("jobs", 1), ("scan", 1),
    ("status --job", 1), ("next --job", 1), ("shortage --job", 1), ("log --job", 1), ("verify --job", 1),
    ("check --area", 1), ("check --closing", 1), ("check --json --closing", 1), ("report --text --job", 1),
    ("sign-off --second", 1), ("sign-off --by", 1), ("labels --template", 1), ("labels --start", 1),
    ("labels --last", 1), ("badge KT --template", 1), ("zone tail --by", 1), ("say off cover LEFT; --job", 1),
)  # fmt: skip


@pytest.fixture(scope="module")
def console(tmp_path_factory):
    root = tmp_path_factory.mktemp("hostile")
    console = Console(root / "hangar")
    console("setup", str(console.root))
    console("person", "KT", "Kari Testad")
    console("open", "WO-1", "X-TEST", "--by", "KT")
    console("say", "off", "cover", "LEFT;", "4 AN525-10R8; closes weight L", "--by", "KT")
    with pytest.MonkeyPatch.context() as patch:
        # else most commands would only ask which work order and who, once there are several
        patch.setenv("TAGTRACK_JOB", "WO-1")
        patch.setenv("TAGTRACK_BY", "KT")
        patch.chdir(root)
        yield console


@settings(max_examples=150)
@given(st.sampled_from(COMMANDS), st.lists(WORD, min_size=2, max_size=2))
@example(("explain", 1), ["[", ""])
@example(("labels --start", 1), ["9" * 400, ""])
def test_no_words_behind_a_command_crash_it(console, command, words):
    name, count = command
    code, ran = console.ends(*name.split(), *words[:count])
    assert code in OWN, ran.err
    if code in (Exit.REFUSED, Exit.FAULT):
        assert ran.err or ran.out


@settings(max_examples=40)
@given(st.text(max_size=200))
def test_no_file_of_lines_crashes_the_loop(console, typed):
    code, ran = console.ends("scan", "--by", "KT", "--job", "WO-1", typed=typed.encode(errors="replace").decode())
    assert code in OWN, ran.err


def test_after_all_that_the_records_are_good(console):
    assert "DAMAGED" not in console("verify").out


@pytest.mark.parametrize("thickness", ["-1/2", "0", "40", "thick", "1e9"])
def test_a_thickness_that_no_parts_have_is_refused_where_it_is_only_explained_too(job, thickness):
    assert "is no thickness" in job("explain", "[AN4-10A | AN310-4]", f"--measured={thickness}", code=4).err
