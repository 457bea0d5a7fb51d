"""The walk in README.md is typed again, line by line, and must be answered as it stands there."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

README = Path(__file__).parents[1] / "README.md"
# where the shop of the walk lies, in the words of the README
HOME = "/home/kim"
_CODE = re.compile(r"\b(?=[A-Z ]*[2-9])[2-9A-HJ-KMNP-Z]{4} ?[2-9A-HJ-KMNP-Z]{4}\b")
# six figures mark a finding, and eight behind a hyphen check the record: both hang on the codes
_CHECKS = re.compile(r"\b[0-9A-F]{6}(?=  )|\b\d+-[0-9a-f]{8}\b")


def walk():
    """Return every command of the README's console blocks: its words, what is typed into it, what it answers."""
    steps = []
    for block in re.findall(r"^```console\n(.*?)^```", README.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE):
        for line in block.splitlines():
            if line.startswith("$ "):
                steps.append((shlex.split(line[2:]), [], []))
                continue
            _, typed, answers = steps[-1]
            if line.startswith("["):
                typed.append(line.partition("] > ")[2])
            answers.append(line)
    return steps


def with_codes(text, codes):
    """Return the text with the codes of the README exchanged for those that were really given out."""
    return _CODE.sub(lambda m: codes.get(m[0].replace(" ", ""), m[0]), text)


def learn(expected, came, codes):
    """Take the codes that were given out in place of the README's, where both stand in the same place."""
    for mine, real in zip(_CODE.findall(expected), _CODE.findall(came), strict=False):
        codes.setdefault(mine.replace(" ", ""), real)


def plain(text):
    """Return the text without what must differ between two runs."""
    words = _CODE.sub("CODE", _CHECKS.sub("#", text.replace("\\", "/")))
    # codes stand in a list in their own order
    return [line.rstrip() for line in words.splitlines()]


def test_the_walk_is_answered_as_the_readme_says(tmp_path):
    codes: dict[str, str] = {}
    here = tmp_path
    environment = {**os.environ, "COLUMNS": "200", "PYTHONIOENCODING": "utf-8"}
    for words, typed, answers in walk():
        if words[0] == "cd":
            here = here / words[1]
            continue
        assert words[0] == "tagtrack"
        program = [sys.executable, "-m", "tagtrack", *(with_codes(word, codes) for word in words[1:])]
        lines = "".join(with_codes(line, codes) + "\n" for line in typed)
        ran = subprocess.run(
            program, cwd=here, input=lines, capture_output=True, text=True, encoding="utf-8", env=environment,
            check=False,
        )  # fmt: skip
        came = (ran.stdout + ran.stderr).replace(str(tmp_path), HOME)
        came += f"(exit code {ran.returncode})\n" if ran.returncode else ""
        expected = "\n".join(answers)
        assert plain(came) == plain(expected), words
        learn(expected, came, codes)


def test_the_walk_ends_signed_off_and_shows_every_kind_of_step():
    said = [" ".join(words) for words, _, _ in walk()]
    assert any(line.startswith("tagtrack sign-off") for line in said)
    assert sum(len(typed) for _, typed, _ in walk()) >= 20


def test_the_readme_names_every_command():
    from tagtrack.cli.main import _COMMANDS

    text = README.read_text(encoding="utf-8")
    assert [name for name in _COMMANDS if f"`{name}" not in text and f"tagtrack {name}" not in text] == []
