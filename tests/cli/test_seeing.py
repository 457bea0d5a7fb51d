"""Photos read from the command line: what a tag is told to be, and how long is looked."""

from __future__ import annotations

from tagtrack.camera import ladder


def test_a_planned_tag_in_a_photo_is_told_with_what_it_is_planned_for(job):
    (job.root / "list.csv").write_text("position,side\nelevator fairing,LEFT\n", encoding="utf-8")
    job("plan", str(job.root / "list.csv"), "-o", str(job.root / "planned.pdf"), "--png")
    told = job("read", str(job.root / "planned-1.png")).out
    assert "planned, not off yet: elevator fairing, LEFT" in told
    assert "NOT EXPECTED" not in told


def test_when_all_that_is_expected_was_seen_the_other_photos_get_a_quick_look(job, monkeypatch):
    """Somebody gives a folder of hundreds; only where something is missing is each of them looked at for long."""
    job("say", "off", "panel", "LEFT;", "none")
    job("labels", "-o", str(job.root / "tags.pdf"), "--png")
    job("blanks", "2", "-o", str(job.root / "blank.pdf"), "--png")
    looks = []
    see = ladder.see

    def counted(picture, expected, **how):
        found = see(picture, expected, **how)
        looks.append((len(expected), how["patient"], len(found)))
        return found

    monkeypatch.setattr(ladder, "see", counted)
    told = job("read", str(job.root / "tags-1.png"), str(job.root / "blank-1.png")).out
    assert looks == [(1, False, 1), (0, False, 2)]
    assert "all that is expected was seen" in told
