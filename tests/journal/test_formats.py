"""What was written is read for ever: a record of every version of the format, kept as it was."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tagtrack.core import codec
from tagtrack.core.fold import fold
from tagtrack.core.reconcile import reconcile
from tagtrack.core.shopbook import fold_shop
from tagtrack.journal.tiny import JournalDB

HERE = Path(__file__).parent
# folder, and the check of the job's last line on the day that it was written
FORMATS = [("format_1", "91764b8e470447c2")]


@pytest.mark.parametrize(("folder", "last"), FORMATS)
def test_a_record_of_that_format_is_read_whole(tmp_path, folder, last):
    for name in ("shop.jsonl", "journal.jsonl"):
        shutil.copy(HERE / folder / name, tmp_path / name)
    with JournalDB(tmp_path / "journal.jsonl") as journal:
        assert journal.verify().damage is None
        assert journal.head().sha.startswith(last)
        acts = [codec.from_document(document) for document in journal.documents()]
    state = fold(acts)
    assert state.job.job == "WO-INVENTED"
    assert state.signed is not None
    assert reconcile(state).clean
    with JournalDB(tmp_path / "shop.jsonl") as shop:
        people = fold_shop([codec.from_document(document) for document in shop.documents()]).people
    assert set(people) == {"AE", "BS"}


@pytest.mark.skipif(sys.platform != "linux", reason="coreutils")
@pytest.mark.parametrize(("folder", "last"), FORMATS)
def test_each_line_is_checked_by_the_tools_of_any_computer(folder, last):
    """As DEVELOPERS.md says: the check is the SHA-256 of the line's bytes before it, by coreutils' sha256sum."""
    path = HERE / folder / "journal.jsonl"
    command = f"tail -n 1 '{path}' | head -c -75 | sha256sum"
    told = subprocess.run(["sh", "-c", command], check=True, capture_output=True, text=True).stdout
    assert told.startswith(last)
    assert path.read_bytes()[-67:-3].decode() == told.split()[0]
