"""Every command as a user types it: what it says, what it leaves behind, its exit code."""

from __future__ import annotations

import json
import re
from importlib.metadata import PackageNotFoundError

import pytest
from cli.console import Console

from tagtrack.cli.main import _COMMANDS
from tagtrack.cli.screen import show
from tagtrack.shop.lines.talk import Reply, Tone

APART = """
# a remark in a file
zone tail LEFT
off weight LEFT; mark UP, arrow FWD; 2x [AN3-5A AN960-10 | AN310-3]
off cover LEFT; 4 AN525-10R8; closes weight L
"""


@pytest.fixture
def console(tmp_path):
    made = Console(tmp_path / "hangar")
    made("setup", str(made.root), "--name", "Test Hangar")
    made("person", "KT", "Kari", "Testad", "--certificate", "1001", "--kind", "mechanic")
    return made


@pytest.fixture
def job(console):
    console("open", "WO-1", "X-TEST", "--task", "a task", "--data", "manual 27", "--by", "kt")
    return console


def code_of(console, what):
    listed = console("say", "tags", "--by", "KT").out
    return re.search(rf"([0-9A-Z]{{4}} [0-9A-Z]{{4}}(?: [0-9A-Z])?)  {what}", listed, re.MULTILINE)[1]


def test_a_shop_is_set_up_once(console):
    again = console("setup", str(console.root), code=4)
    assert "is a shop already" in again.err
    assert (console.root / "labels").is_dir()
    assert "Test Hangar" in (console.root / "settings.toml").read_text(encoding="utf-8")


def test_a_shop_without_a_name_gets_one(tmp_path):
    console = Console(tmp_path / "plain")
    told = console("setup", str(console.root)).out
    assert "is the shop 'shop" in told
    assert "next, in that folder: tagtrack person" in told


def test_a_shop_is_found_from_below_by_variable_and_by_option(job, monkeypatch, tmp_path):
    below = job.root / "jobs" / "WO-1"
    job.shop = None
    monkeypatch.chdir(below)
    assert "WO-1" in job("jobs").out
    monkeypatch.chdir(tmp_path)
    assert "no shop folder here or above" in job("jobs", code=4).err
    monkeypatch.setenv("TAGTRACK_SHOP", str(job.root))
    assert "WO-1" in job("jobs").out
    assert "is no shop folder" in job("--shop", str(tmp_path), "jobs", code=4).err


def test_before_there_are_people_or_jobs_the_next_step_is_told(tmp_path):
    console = Console(tmp_path / "new")
    console("setup", str(console.root))
    assert "no work order yet" in console("jobs").out
    assert "nobody works here yet" in console("open", "WO-1", "X-TEST", code=4).err
    assert "add yourself" in console("blanks", "2", code=4).err
    assert "no work order is open" in console("status", code=4).err


def test_a_file_of_lines_is_taken_one_by_one_and_each_is_answered(job):
    ran = job("scan", "--by", "KT", typed=APART)
    assert ran.out.count(" ok OFF") == 2
    assert "remark" not in ran.out
    assert "4 tags to print: tagtrack labels --job WO-1 --last 4" in ran.out
    (job.root / "more.txt").write_bytes("\ufeffput 1 rag at weight LEFT\r\nquit\r\nnever read\r\n".encode())
    ran = job("scan", str(job.root / "more.txt"), "--by", "KT")
    assert "ABOARD" in ran.out
    assert "never read" not in ran.out


def test_a_refused_line_in_a_file_is_told_by_the_exit_code_and_the_rest_is_taken(job):
    ran = job("scan", "--by", "KT", typed="off weight\noff cover LEFT; 4 AN525-10R8\n", code=4)
    assert "which side" in ran.out
    assert " ok OFF" in ran.out


def test_one_line_is_said(job):
    assert " ok OFF" in job("say", "off", "cover", "LEFT", ";", "4", "AN525-10R8").out
    assert "which side" in job("say", "off", "cover", code=4).out
    assert "much like" in job("say", "off", "covre", "LEFT; none", code=4).out


def test_a_check_that_is_said_ends_like_the_check_that_is_called(job):
    job("say", "off", "cover", "LEFT", ";", "4", "AN525-10R8")
    assert "FINDINGS" in job("say", "check", code=3).out
    job("check", code=3)


def test_the_words_of_the_loop_are_listed(console):
    listed = console("words").out
    for word in ("off", "same", "inspect", "undo", "tight", "case"):
        assert re.search(rf"^{word}\b", listed, re.MULTILINE)


def test_the_state_of_the_job_is_shown(job):
    job("scan", "--by", "KT", typed=APART)
    assert "OPEN: 4" in job("status").out
    assert "cover, LEFT: for weight, LEFT" in job("next").out
    assert "4 open, 0 wrong now" in job("jobs").out
    log = job("log").out
    assert "taken off: weight, LEFT" in log
    assert "work order opened" in log
    job("say", "undo", "--by", "KT")
    assert re.search(r"^x \w+ .*taken off: cover, LEFT", job("log").out, re.MULTILINE)


def test_a_check_is_a_document_for_programs(job):
    job("scan", "--by", "KT", typed=APART)
    ran = job("check", "--json", code=3)
    told = json.loads(ran.out)
    assert told.keys() == {"job", "heads", "asked", "clean", "open", "findings", "elsewhere"}
    assert told["job"] == "WO-1"
    assert told["clean"] is False
    (head,) = told["heads"]
    assert head.keys() == {"site", "seq", "hash"}
    assert len(head["hash"]) == 64
    assert told["findings"]
    for finding in told["findings"]:
        assert finding.keys() == {
            "key", "mark", "kind", "severity", "position", "side", "area", "areas", "also", "thing", "expected", "seen",
            "acts", "advice", "answer",
        }  # fmt: skip
    kinds = {finding["kind"] for finding in told["findings"]}
    assert kinds == {"missing", "left-over", "tags-out", "not-looked-at"}
    assert {finding["side"] for finding in told["findings"]} == {"LEFT", None}


def test_a_check_of_one_area_and_of_what_one_cover_closes_up(job):
    job("scan", "--by", "KT", typed=APART)
    assert "6 FINDINGS in 4 entries: tail LEFT" in job("check", "--area", "tail left", code=3).out
    closing = job("check", "--closing", "cover LEFT", code=3).out
    assert "weight, LEFT" in closing
    assert "2 FINDINGS in 1 entry: what cover, LEFT closes up" in closing
    assert closing.count("cover, LEFT") == 1, "the cover itself is not asked"
    assert "did you mean cover, LEFT" in job("check", "--closing", "covre LEFT", code=4).err
    assert json.loads(job("check", "--area", "tail LEFT", "--json", code=3).out)["open"] == []


def test_a_check_for_programs_says_what_was_asked_and_where_each_finding_lies(job):
    lines = "zone nose\noff cowl CENTRE; 2 AN3-6A\nlost 1 AN3-6A from stock\nlost 1 AN3-5A from stock in left tail\n"
    job.ends("scan", "--by", "KT", typed=APART + lines)
    whole = json.loads(job("check", "--json", code=3).out)
    assert (whole["asked"], whole["elsewhere"]) == ({"area": None, "closing": None}, [])
    lost = {found["area"]: found for found in whole["findings"] if found["kind"] == "lost"}
    assert (lost["tail LEFT"]["position"], lost["tail LEFT"]["areas"]) == (None, ["tail LEFT"])
    assert lost["tail LEFT"]["mark"] in job("check", code=3).out
    part = json.loads(job("check", "--area", "left tail", "--json", code=3).out)
    assert part["asked"] == {"area": "tail LEFT", "closing": None}
    assert {found["area"] for found in part["findings"]} == {"tail LEFT"}
    assert part["open"] == []
    assert {("lost", "nose"), ("missing", "nose")} <= {(found["kind"], found["area"]) for found in part["elsewhere"]}
    cover = json.loads(job("check", "--closing", "cover LEFT", "--json", code=3).out)
    assert cover["asked"] == {"area": None, "closing": "cover, LEFT"}
    assert {found["kind"] for found in cover["findings"]} >= {"missing", "lost"}


def test_from_sign_off_to_report_and_back(job):
    job("scan", "--by", "KT", typed=APART)
    refused = job("sign-off", "--by", "KT", code=4).err
    assert "stand without an answer" in refused
    lines = f"""
    zone tail LEFT
    {code_of(job, "part: weight")}
    up fwd
    {code_of(job, "bag: weight")}
    all in tight
    {code_of(job, "part: cover")}
    on
    {code_of(job, "bag: cover")}
    all in tight
    tags back 4
    complete tail LEFT; clear: 12 of 12 tools back; covers: cover on, 4 screws
    """
    job("scan", "--by", "KT", typed=lines)
    assert "CLEAN" in job("check").out
    assert "RECONCILED  WO-1" in job("sign-off", "--by", "KT", "--second", "Olga Owner").out
    assert "signed off" in job("jobs").out
    assert "no work order is open" in job("say", "status", code=4).err
    text = job("report", "--text").out
    assert "RECONCILED" in text
    assert "airworthy" not in text.lower()
    written = job("report", "--paper", "a4", "--png").out.split(", ")
    assert [name.rsplit(".", 1)[1].strip() for name in written] == ["pdf", "png", "png", "txt"]


def test_tags_are_printed_and_chosen(job):
    job("scan", "--by", "KT", typed=APART)
    assert job("labels").out.startswith("4 tags:")
    assert job("labels", "--last", "1", "-o", str(job.root / "one.pdf"), "--png").out.startswith("1 tag:")
    assert (job.root / "one-1.png").exists()
    code = code_of(job, "part: weight")
    assert job("labels", code, "--template", "a4-99x68mm-8up", "--start", "3").out.startswith("1 tag:")
    assert "misread" in job("labels", code[:-1] + ("2" if code[-1] != "2" else "3"), code=4).err
    assert "has no meaning in this job" in job("labels", job("blanks", "1").first_code(job), code=4).err


def test_zone_cards_places_and_badges_are_printed(job):
    assert "zone-" in job("zone", "tail", "LEFT").out
    assert "place-" in job("place", "shelf", "2").out
    assert "badge-KT" in job("badge", "KT").out
    assert job("blanks", "3", "--png").out.startswith("3 tags:")
    assert "no tag of WO-1 is out" in job("labels", code=4).err, "a zone card is printed when it is made"


def test_the_templates_are_listed_with_those_of_the_shop(job):
    own = job.root / "labels" / "mine.toml"
    own.write_text((job.templates / "a4-99x68mm-8up.toml").read_text(encoding="utf-8"), encoding="utf-8")
    listed = job("templates").out.splitlines()
    assert "mine" in listed
    assert "letter-4x2in-10up" in listed


def test_inside_a_shop_its_own_templates_and_tables_are_used(tmp_path, monkeypatch):
    console = Console(tmp_path / "hangar")
    console("setup", str(console.root))
    (console.root / "labels" / "mine.toml").write_bytes((console.templates / "a4-99x68mm-8up.toml").read_bytes())
    (console.root / "hardware").mkdir()
    (console.root / "hardware" / "bolt_grips.csv").write_text("nonsense\n", encoding="utf-8")
    root, console.shop = console.root, None
    monkeypatch.chdir(tmp_path)
    assert "mine" not in console("templates").out.split()
    assert "hex bolt" in console("explain", "AN3-5A").out
    monkeypatch.chdir(root / "jobs")
    assert "mine" in console("templates").out.split()
    assert "bolt_grips.csv, line 1" in console("explain", "AN3-5A", code=5).err, "the shop's own table is read"


@pytest.mark.parametrize("words", [("templates",), ("explain", "AN3-5A")])
def test_a_shop_that_was_named_must_be_one_even_where_none_is_needed(tmp_path, words):
    assert "is no shop folder" in Console(tmp_path / "none")(*words, code=4).err


def test_whoever_takes_over_gets_a_sheet_and_whoever_asks_a_short_answer(job):
    job("scan", typed="off tab LEFT; 2 AN3-5A\noff cap LEFT; none\n")
    written = job("handover", "--png", "--paper", "a4").out.strip().split(", ")
    assert [name.rsplit("/", 1)[1] for name in written] == ["handover.pdf", "handover-1.png", "handover.txt"]
    text = job("handover", "--text").out
    assert text == (job.root / "jobs" / "WO-1" / "handover.txt").read_text(encoding="utf-8")
    assert "Nothing is half done; 2 off" in text
    assert "DATE AND TIME" in text.upper()
    assert "Nothing is half done; 2 off" in job("say", "handover", "--by", "KT").out
    assert "handover" in job("words").out
    assert "no work order" in job("handover", "--job", "WO-9", code=4).err


@pytest.mark.parametrize("words", [("labels",), ("blanks", "2"), ("zone", "tail"), ("report",), ("handover",)],
                         ids=lambda w: w[0])  # fmt: skip
@pytest.mark.parametrize("name", ["papers.txt", "papers.png", "papers"])
def test_a_pdf_is_called_one(job, words, name):
    """A report called papers.txt would overwrite the text that stands beside it."""
    assert "a name that ends in .pdf" in job(*words, "-o", str(job.root / name), code=2).err
    assert not (job.root / name).exists()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (("columns = 2", ""), "columns"),
        (("columns = 2", "columns = 900"), "columns"),
        (("columns = 2", "columns = -1"), "columns"),
        (("columns = 2", "columns = 2\nmood = 'good'"), "mood"),
        (("[grid]", "[grid"), "mine.toml"),
    ],
)
def test_a_template_with_a_missing_or_absurd_key_is_a_fault_by_file_and_key(job, change, told):
    job("scan", "--by", "KT", typed=APART)
    text = (job.templates / "letter-4x2in-10up.toml").read_text(encoding="utf-8")
    (job.root / "labels" / "mine.toml").write_text(text.replace(*change), encoding="utf-8")
    ran = job("labels", "--template", "mine", code=5)
    assert told in ran.err
    assert "do:" in ran.err


@pytest.mark.parametrize(
    "line", ["paper = 'napkin'", "address = 'shop.local'", "mood = 'good'", "name = 5", "name = ", "\xff"]
)
def test_a_wrong_setting_is_a_fault_that_names_the_file(job, line):
    (job.root / "settings.toml").write_bytes(line.encode("latin-1"))
    ran = job("jobs", code=5)
    assert "settings.toml" in ran.err


def test_with_an_address_in_the_settings_tags_hold_it_and_are_read_everywhere(job):
    settings = (job.root / "settings.toml").read_text(encoding="utf-8")
    (job.root / "settings.toml").write_text(settings.replace("# address", "address"), encoding="utf-8")
    job("scan", "--by", "KT", typed=APART)
    job("labels", "-o", str(job.root / "tags.pdf"), "--png")
    assert "all that is expected was seen: 4" in job("read", str(job.root / "tags-1.png")).out
    code = code_of(job, "part: weight").replace(" ", "")
    old = f"http://an-older-name:80/t/{code.lower()}"
    assert "part: weight, LEFT" in job("where", old).out
    assert "IN HAND  weight, LEFT" in job("say", old, "--by", "KT", code=4).out
    small = job("labels", "-o", str(job.root / "s.pdf"), "--template", "a4-38.1x21.2mm-65up").err
    assert "too small for symbols with the shop's address" in small


def test_a_missing_setting_file_means_the_usual_settings(job):
    (job.root / "settings.toml").unlink()
    assert "WO-1" in job("jobs").out


def test_a_sound_record_verifies_and_a_damaged_one_is_named_by_line_and_byte(job):
    job("scan", "--by", "KT", typed=APART)
    assert job("verify").out.count("good, record check number") == 2
    assert job("verify", "--job", "wo-1").out.count("good") == 2
    journal = job.root / "jobs" / "WO-1" / "journal.jsonl"
    whole = journal.read_bytes()
    journal.write_bytes(whole.replace(b"AN3-5A", b"AN3-6A", 1))
    ran = job("verify", code=5)
    assert re.search(r"WO-1 +DAMAGED at line \d+, byte \d+", ran.out)
    assert "was changed after it was written" in ran.out
    assert "line" in job("status", code=5).err
    journal.unlink()
    assert "is not there" in job("status", code=4).err


def test_a_line_cut_off_by_a_crash_is_set_aside_and_told(job):
    job("scan", "--by", "KT", typed=APART)
    shop = job.root / "shop.jsonl"
    shop.write_bytes(shop.read_bytes() + b'{"doc":{"at"')
    ran = job("person", "MB", "Mo Beispiel")
    assert "note:" in ran.err
    assert "Mo Beispiel" in ran.out


def test_which_of_several_jobs_is_asked(job):
    job("open", "WO-2", "X-OTHER", "--by", "KT")
    assert "WO-1 or WO-2" in job("status", code=4).err
    assert "OPEN" in job("status", "--job", "wo-2").out
    assert "did you mean WO-2" in job("status", "--job", "WO-22", code=4).err


def test_who_it_is_is_asked_where_several_work(job):
    job("person", "MB", "Mo Beispiel")
    assert "who is it?" in job("say", "status", code=4).err
    assert "KT or MB" in job("say", "status", "--by", "XX", code=4).err


@pytest.mark.parametrize("command", _COMMANDS)
def test_every_command_explains_itself(console, command):
    ran = console(command, "--help")
    assert "Usage:" in ran.out
    assert len(ran.out.splitlines()) > 4


def test_wrong_usage_is_click_s_own_code(console):
    assert "No such command" in console("levitate", code=2).err
    assert "No such option" in console("status", "--mood", code=2).err
    assert "tagtrack" in console("--version").out


def test_a_callout_and_a_stack_are_explained(console):
    told = console("explain", "AN4H10A").out
    assert re.search(r"grip +9/16", told)
    assert "written          AN4H-10A" in told
    assert "cotter pins are not used again" in console("explain", "MS24665-132").out
    assert "unknown: measure it" in console("explain", "AN173-5A").out
    assert "meant AN3-10A?" in console("explain", "AN3-8A").out
    assert "free words" in console("explain", "trim", "screws").out
    stack = console("explain", "[AN3-5A AN960-10 | AN310-3]").out
    assert "is not drilled for a cotter pin?" in stack
    assert "20-25 in-lb, at most 40" in stack
    assert "The maker's manual prevails" in stack
    assert "no number in the table" in console("explain", "[AN3-5A | MS21044N3]").out


@pytest.mark.parametrize(("name", "begins"), [("s.svg", b"<svg"), ("s.pdf", b"%PDF"), ("s.png", b"\x89PNG")])
def test_a_stack_is_drawn_into_a_file(console, name, begins):
    out = console.root / name
    assert "drawn" in console("explain", "[AN3-5 AN960-10 | AN310-3]", "-o", str(out)).out
    assert out.read_bytes().startswith(begins)


@pytest.mark.parametrize(("text", "name"), [("AN3-5A, 2 AN960-10", "s.svg"), ("[AN3-5 | AN310-3]", "s.gif")])
def test_what_cannot_be_drawn_is_refused(console, text, name):
    assert "nothing was drawn" in console("explain", f"1 {text}", "-o", str(console.root / name), code=4).err


def test_what_must_be_had_new_is_listed(job):
    job("say", "off", "horn", "LEFT;", "2x [AN3-5 | AN310-3 MS24665-132]", "--by", "KT")
    assert "2 MS24665-132: horn, LEFT" in job("shortage").out


def test_names_in_any_script_pass_through(job):
    for line in (
        "off кронштейн LEFT; 2 AN3-5A",
        "off כנף LEFT; 2 ברגים",
        "off 补助翼 LEFT; none",
        "off 🛩 wing LEFT; none",
    ):
        assert " ok OFF" in job("say", *line.split(), "--by", "KT").out
    ran = job("labels")
    assert "the font lacks" in ran.err, "characters that would print as boxes are told before"
    assert "кронштейн" in job("report", "--text").out


def test_the_whole_command_tells_its_commands_in_the_order_of_a_job(console):
    told = console("--help").out
    at = [told.index(f"\n  {name} ") for name in _COMMANDS]
    assert at == sorted(at)
    assert "neither the maker's manual nor the certificated person" in " ".join(told.split())
    assert "Exit codes" in told


def test_an_installation_without_version_and_a_user_without_name_are_told_so(tmp_path, monkeypatch):
    def missing(*_):
        raise PackageNotFoundError

    def nameless():
        raise KeyError

    monkeypatch.setattr("tagtrack.cli.wiring.version", missing)
    monkeypatch.setattr("getpass.getuser", nameless)
    console = Console(tmp_path / "plain")
    assert console("--version").out == "tagtrack unknown\n"
    assert "is the shop 'shop'" in console("setup", str(console.root)).out


def sits_at_the_terminal(monkeypatch, *lines):
    """Let a person type these lines; what is an exception is raised in place of a line."""
    typing = iter(lines)

    def typed(prompt):
        print(prompt, end="")
        line = next(typing)
        if isinstance(line, BaseException):
            raise line
        return line

    monkeypatch.setattr("tagtrack.cli.working.interactive", lambda: True)
    monkeypatch.setattr("builtins.input", typed)


def test_a_person_at_the_terminal_is_asked_line_by_line_until_the_end_of_input(job, monkeypatch):
    sits_at_the_terminal(monkeypatch, "off cover", "off cover LEFT; none", EOFError())
    ran = job("scan")
    assert "WO-1 X-TEST: scan a tag or type a word" in ran.out
    assert "which side" in ran.out
    assert "[KT] > " in ran.out
    assert "1 tag to print: tagtrack labels --job WO-1 --last 1" in ran.out


def test_a_scanned_code_is_recorded_as_scanned_and_a_word_as_typed(job, monkeypatch):
    job("say", "disconnect", "strap", "LEFT;", "keyed; goes to the stud")
    code = code_of(job, "connection: strap, LEFT$")
    sits_at_the_terminal(monkeypatch, "zone tail LEFT", code, "off cover LEFT; none", "quit")
    job("scan")
    lines = (job.root / "jobs" / "WO-1" / "journal.jsonl").read_text(encoding="utf-8").splitlines()[-2:]
    assert [json.loads(line)["doc"]["via"] for line in lines] == ["scanned", "typed"]


def test_ctrl_c_at_the_prompt_stops_and_keeps_what_was_answered(job, monkeypatch):
    sits_at_the_terminal(monkeypatch, "off cover LEFT; none", KeyboardInterrupt())
    ran = job("scan")
    assert "nothing is half-written" in ran.err
    assert "cover, LEFT" in job("status").out


def test_a_bolt_too_large_for_the_wrench_table_has_its_torque_alone(console):
    told = console("explain", "[AN12-10 | AN310-12]").out
    assert "reference torque 3/4-16: 2300-2500 in-lb, at most 5000 (AC 43.13-1B Table 7-1)" in told
    assert "wrench" not in told


def test_a_stack_of_descriptions_is_explained_without_figures(console):
    told = console("explain", "[trim screw | speed clip]").out
    assert "taken as a description in free words" in told
    assert "reference torque" not in told


def test_a_wrong_answer_rings_the_bell_only_where_somebody_sits(monkeypatch, capsys):
    reply = Reply(Tone.WRONG, ("STOP: this is the other side's",))
    show(reply)
    assert "\a" not in capsys.readouterr().out
    monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)
    show(reply)
    assert capsys.readouterr().out.startswith("\a")


def test_tags_are_read_in_a_photo_and_what_is_missing_is_told(job):
    job("scan", "--by", "KT", typed=APART)
    job("labels", "-o", str(job.root / "tags.pdf"), "--png")
    told = job("read", str(job.root / "tags-1.png"), "--outline").out
    assert "all that is expected was seen" in told
    assert "part: weight, LEFT" in told
    assert (job.root / "tags-1-read.jpg").exists()
    job("labels", "--last", "1", "-o", str(job.root / "one.pdf"), "--png")
    some = job("read", str(job.root / "one-1.png"), code=3).out
    assert "EXPECTED AND NOT SEEN: 3" in some
    job("blanks", "1", "-o", str(job.root / "blank.pdf"), "--png")
    assert "blank, not in use yet" in job("read", str(job.root / "blank-1.png"), code=3).out
    assert "all that is expected was seen: 0" in job("read", str(job.root / "blank-1.png"), "--at", "shelf 9").out
    (job.root / "no.jpg").write_bytes(b"no picture")
    assert "is no picture" in job("read", str(job.root / "no.jpg"), code=4).err
    assert "there is no picture there" in job("read", str(job.root / "labels"), code=4).err


def test_labels_for_a_thermal_printer_and_the_outlines_of_a_sheet(job):
    job("scan", "--by", "KT", typed=APART)
    written = job("labels", "--thermal", "203", "-o", str(job.root / "t.pdf")).out
    assert "4 tags:" in written
    assert all((job.root / f"t-{n}.png").exists() for n in range(1, 5))
    refused = job("labels", "--thermal", "203", "--template", "a4-99x68mm-8up", code=4).err
    assert "is a sheet" in refused
    out = job.root / "outlines.pdf"
    assert str(out) in job("templates", "letter-2.625x1in-30up", "-o", str(out), "--offset", "1", "-0.5").out
    assert out.read_bytes().startswith(b"%PDF")
    assert "cannot be right" in job("templates", "letter-2.625x1in-30up", "--offset", "40", "0", code=4).err


def test_the_stub_of_a_tag_says_where_one_stands(job):
    from tagtrack.core.tagcode import suffixed

    job("scan", "--by", "KT", typed=APART)
    stub = suffixed(code_of(job, "part: weight").replace(" ", ""), "S")
    assert "AT  weight, LEFT" in job("say", stub, "--by", "KT").out


def test_tags_of_a_list_are_printed_ahead(job):
    (job.root / "list.csv").write_text("position,side,hardware\nhorn,L,2 AN3-5A\n", encoding="utf-8")
    told = job("plan", str(job.root / "list.csv"), "--by", "KT", "--png").out
    assert "2 tags:" in told
    assert "1 planned; nothing is recorded as removed" in told
    assert "OPEN: 0\n    PLANNED, not off yet: 1\n      horn, LEFT: tag " in job("status").out
    assert "cannot be read" in job("plan", str(job.root / "none.csv"), "--by", "KT", code=4).err


def test_a_printed_number_is_held_against_the_record(job):
    job("scan", "--by", "KT", typed=APART)
    number = re.search(r"record check number (\d+-[0-9a-f]+)", job("verify").out.splitlines()[1])[1]
    job("say", "put 1 rag at weight LEFT", "--by", "KT")
    assert "what was printed is in the record" in job("verify", "--printed", number).out
    other = number[:-1] + ("0" if number[-1] != "0" else "1")
    assert "does NOT go through" in job("verify", "--printed", other, code=3).out
    assert "has no line 999" in job("verify", "--printed", "999-abcdef01", code=4).err
    assert "is no record check number" in job("verify", "--printed", "tomorrow", code=4).err


def test_a_shop_is_backed_up_and_restored(job, tmp_path):
    job("scan", "--by", "KT", typed=APART)
    told = job("backup", str(tmp_path / "keep")).out
    assert "read back and good; 1 generation there" in told
    archive = next((tmp_path / "keep").glob("*.zip"))
    assert "all good" in job("restore", str(archive), str(tmp_path / "again")).out
    before = job("status").out
    job.shop = tmp_path / "again"
    assert job("status").out == before


def test_a_work_order_is_exported_for_people_without_the_program(job, tmp_path):
    job("scan", "--by", "KT", typed=APART)
    job("export", "-o", str(tmp_path / "out"))
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"report.pdf", "report.txt", "refit.pdf", "refit.txt", "parts.csv", "hardware.csv", "findings.csv",
                     "steps.csv", "record.jsonl"}  # fmt: skip
    parts = (tmp_path / "out" / "parts.csv").read_text(encoding="utf-8-sig")
    assert "weight,LEFT" in parts
    assert "taken off" in (tmp_path / "out" / "steps.csv").read_text(encoding="utf-8-sig")


def test_a_tag_is_told_by_what_it_is_and_where_that_lies(job):
    job("scan", "--by", "KT", typed=APART)
    assert "the part is at bench" in job("where", code_of(job, "part: weight")).out
    bag = job("where", *code_of(job, "bag: weight").split()).out
    assert "holds 2 AN3-5" in bag
    assert "work order WO-1, X-TEST" in bag
    blank = re.search(r"[0-9A-Z]{4} [0-9A-Z]{4}", job("where", job("blanks", "1").first_code(job)).out)[0]
    assert "blank, not in use yet" in job("where", blank).out
    assert "was never issued here" in job("where", "22K4 M9QX", code=4).err or "misread" in job(
        "where", "22K4 M9QX", code=4).err


def test_the_index_makes_no_difference_but_time(job):
    job("scan", "--by", "KT", typed=APART)
    listed = job("jobs").out
    assert (job.root / "index.json").exists()
    assert job("jobs").out == listed
    (job.root / "index.json").write_text("rubbish")
    assert job("jobs").out == listed


def test_a_sheet_of_words_to_scan_names_the_people(job):
    job("controls", "-o", str(job.root / "words.pdf"), "--png")
    from pypdf import PdfReader

    text = "".join(page.extract_text() for page in PdfReader(job.root / "words.pdf").pages)
    assert "BY KT" in text
    assert "ALL IN TIGHT" in text
