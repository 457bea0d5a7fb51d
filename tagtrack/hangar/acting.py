"""What is pressed: sign-in, change of person, scans, and every press that becomes a line of the loop."""

from __future__ import annotations

from datetime import UTC, datetime
from math import isfinite
from urllib.parse import quote

from flask import jsonify, make_response, redirect, render_template, request, session, url_for
from werkzeug.wrappers import Response

from tagtrack.core.errors import Refusal, Trouble
from tagtrack.core.records import Via
from tagtrack.core.spelling import clean
from tagtrack.core.tagcode import looks_like_code
from tagtrack.core.tagcode import read as read_code
from tagtrack.hangar.compose import Fields, line_of
from tagtrack.hangar.people import SignInNeeded
from tagtrack.hangar.pins import Locked, WrongPin
from tagtrack.hangar.presses import Answer, Press
from tagtrack.hangar.station import LONGEST_AREA, Station, local_path, station, wants_json
from tagtrack.shop.lines.talk import Tone
from tagtrack.shop.tagging import Means, meaning

# a PIN of the one who presses comes as `pin`, one of somebody else as `pin-MB`
_PIN = "pin"
_LONGEST = 4000
# seconds in which whoever pressed surely still looks at the page
_AT_ONCE = 2.0


def sign_in() -> str | Response | tuple[str, int]:
    """A PIN was typed."""
    who, pin = request.form.get("who", ""), request.form.get("pin", "")
    back = local_path(request.form.get("back", "/"))
    try:
        station().people.sign_in(session, who, pin)
    except Refusal as refusal:
        status = 429 if isinstance(refusal, Locked) else 403
        return render_template("people.html", back=back, asked_for=who, trouble=refusal.lines()), status
    return redirect(back, code=303)


def change_over() -> Response:
    """One press: somebody works now who is signed in on this device already; others are asked for the PIN."""
    back, who = local_path(request.form.get("back", "/")), request.form.get("who", "")
    try:
        station().people.change_over(session, who)
    except SignInNeeded:
        return redirect(url_for("people_page", who=who, back=back), code=303)
    return redirect(back, code=303)


def sign_out() -> Response:
    """Somebody goes."""
    waiting = request.form.get("waiting", "").split()
    station().people.sign_out(session, request.form.get("who", ""), waiting)
    return redirect(url_for("people_page"), code=303)


def press(name: str) -> str | Response:
    """A button or form that says one line."""
    line = line_of(Fields(request.form.to_dict(flat=False)))
    try:
        return answered(pressed(name, line), name)
    except SignInNeeded as needed:
        return _sign_in_first(needed, name, line)
    except (WrongPin, Locked) as refusal:
        if wants_json():
            raise
        # without scripts this is another page: it brings along what was typed, to be sent again
        typed = tuple(_pins_typed(station().at_work()))
        page = answered(Answer(tone=Tone.WRONG, lines=refusal.lines(), pin_of=typed), name)
        return make_response(page, 429 if isinstance(refusal, Locked) else 403)


def scan(name: str) -> str | Response:
    """A code that was scanned or typed, or any line of the loop."""
    said = clean(request.form.get("line", ""))[:_LONGEST]
    if not looks_like_code(said):
        try:
            return answered(pressed(name, said), name)
        except SignInNeeded as needed:
            return _sign_in_first(needed, name, said)
    here = station()
    with here.floor.lock:
        job = here.floor.job(name)
        found = meaning(job, said)
    page = url_for("tag", name=job.name, code=found.code, scanned=1)
    if found.means is Means.PERSON:
        return _badge(found.thing, name)
    if found.means is Means.CONNECTION:
        # to take a tag in hand is no connection yet: that is a press of its own
        return answered(Answer(tone=Tone.NOTE, lines=(f"IN HAND  {found.thing.replace('|', ' end ')}",)), name, page)
    answer = pressed(name, found.code)
    fresh = found.means is Means.FREE and not answer.recorded
    return answered(answer, name, page if fresh or found.means in (Means.PART, Means.BAG) else "")


def scan_anywhere() -> Response:
    """A scan where no work order is chosen: its tag says which."""
    here = station()
    here.at_work()
    code = read_code(request.form.get("line", ""))
    with here.floor.lock:
        person = here.floor.shop.state.badges.get(code, "")
    if person:
        return _badge(person, "")
    target = url_for("by_address", code=code)
    return jsonify(tone="note", lines=[], recorded=False, go=target) if wants_json() else redirect(target, code=303)


def pressed(name: str, line: str) -> Answer:
    """Do what was pressed, by whom the press's own token says; a PIN is looked at where one was typed.

    Whether one was needed is told by what comes of the press. None at all is no guess, and is asked for.
    """
    # a plain mapping: what a form does not hold costs the framework's own more than what it holds
    here, form = station(), request.form.to_dict()
    by, said = _who_pressed(here), clean(line)[:_LONGEST]
    _refuse_change_of_person(here, name, said)
    typed = _pins_typed(by)
    if typed and by != here.at_work():
        raise SignInNeeded(by)
    for initials, pin in typed.items():
        here.people.check(session, initials, pin)
    return here.presses.press(
        Press(
            key=form.get("key", ""), line=said, by=by, job=name, device=here.people.device(session),
            tag=form.get("tag", ""), area=clean(form.get("area", ""))[:LONGEST_AREA], because=form.get("because", ""),
            asked=form.get("asked", ""), via=Via.SCANNED if form.get("scanned") else Via.PAGE,
            device_at=_time(form.get("device_at", "")), vouched=frozenset(typed),
        )
    )  # fmt: skip


def answered(answer: Answer, name: str, go: str = "") -> str | Response:
    """Return an answer as JSON for the scripts, else as a page that fills the screen; `go` is where to go on."""
    here = station()
    with here.floor.lock:
        job = here.floor.job(name)
        here.remember_zone(job)
        if wants_json() and answer.pin_of:
            # what waited is kept where who pressed finds it again; else the page that takes the PIN comes at once
            return jsonify(tone="ask" if _age() < _AT_ONCE else "wrong", lines=answer.lines, recorded=False, asked="",
                           again=False, go=_where_typed(name, answer))  # fmt: skip
        if answer.found:
            # where each of them can be answered
            go = go or url_for("findings", name=name)
        if answer.recorded and request.form.get("after"):
            go = go or local_path(request.form["after"])
        if wants_json():
            return jsonify(tone=answer.level, lines=answer.lines, recorded=answer.recorded, asked=answer.asked,
                           again=answer.again, go=go, stays=answer.asks, offers=answer.offers)  # fmt: skip
        if go and answer.tone in (Tone.ASK, Tone.NOTE) and not answer.asked:
            return redirect(go, code=303)
        back = local_path(request.form.get("back", "") or url_for("board_page", name=name))
        stays = bool(answer.asked) or (answer.tone is Tone.WRONG and not answer.recorded)
        pin_of = answer.pin_of or (tuple(_pins_typed(here.at_work())) if stays else ())
        return render_template("answer.html", answer=answer, go=go or (_as_typed(name) if stays else "") or back,
                               form=request.form, pin_of=pin_of, job=job)  # fmt: skip


def vouch_page(name: str) -> str:
    """What was pressed without the PIN that it takes: here it is typed."""
    here = station()
    by, said = here.at_work(), here.kept()
    if "line" not in said:
        raise Refusal("nothing waits here to be recorded", expected="what was pressed and not recorded",
                      came="an address that this page did not give, or no longer gives",
                      todo="press it again where it stands")  # fmt: skip
    if said.get("by", by) != by:
        raise SignInNeeded(said["by"])
    with here.floor.lock:
        job = here.floor.job(name)
        people = here.floor.shop.state.people
        of = [who for who in said.get("of", "").split() if who in people]
        return render_template("vouch.html", job=job, pin_of=of, asked=said, zone=here.bench(job).area)


def _where_typed(name: str, answer: Answer) -> str:
    """Return the address of the page that takes the PINs, and says the same once more with them."""
    line = line_of(Fields(request.form.to_dict(flat=False)))
    return _kept(name, line, _who_pressed(station()), answer.asked, answer.pin_of)


def _kept(name: str, line: str, by: str, asked: str, pin_of: tuple[str, ...] = ()) -> str:
    """Return the address of a page that shows a line that was not recorded, to be recorded by the same person."""
    form = request.form
    said = {"line": line, "by": by, "tag": form.get("tag", ""), "area": form.get("area", ""), "of": " ".join(pin_of),
            "because": form.get("because", "") if asked else "", "asked": asked}  # fmt: skip
    return url_for("vouch_page", name=name, kept=station().keep(said))


def _sign_in_first(needed: SignInNeeded, name: str, line: str) -> Response:
    """Ask for the sign-in that had ended, and go on from it to what was typed; the scripts keep that by themselves."""
    if wants_json():
        raise needed
    back = _as_typed(name, needed.initials) or _kept(name, line, needed.initials, request.form.get("asked", ""))
    page = render_template("people.html", back=back, asked_for=needed.initials, trouble=needed.lines())
    return make_response(page, 401)


def _pins_typed(by: str) -> dict[str, str]:
    """Return the PINs that came with a press, by whose they are said to be."""
    typed = {(field.removeprefix(f"{_PIN}-") if field != _PIN else by): text for field, text in request.form.items()
             if (field == _PIN or field.startswith(f"{_PIN}-")) and text}  # fmt: skip
    # nobody types more than two
    return dict(list(typed.items())[:2])


def _as_typed(name: str, by: str = "") -> str:
    """Return the address of the page with the rows of a look as they were typed; nothing for another form.

    `by`: who typed them, where somebody else may open the page.
    """
    rows = {field: text for field, text in request.form.items() if field.startswith("row-") and text.strip()}
    kept = station().keep({"by": by, **rows}) if rows else ""
    return url_for("inspect", name=name, at=request.form.get("position", ""), kept=kept) if rows else ""


def _badge(who: str, name: str) -> Response:
    """A badge was scanned: its person works now, if signed in here; else the PIN is asked for."""
    back = local_path(request.form.get("back", "") or (url_for("board_page", name=name) if name else "/"))
    try:
        station().people.change_over(session, who)
        target = back
    except SignInNeeded:
        target = url_for("people_page", who=who, back=back)
    if wants_json():
        return jsonify(tone="note", lines=[f"BY  {who}"], recorded=False, go=target)
    return redirect(target, code=303)


def _who_pressed(here: Station) -> str:
    """Return whose press it is, as its token says; SignInNeeded where that does not hold."""
    token = request.form.get("as", "")
    return here.people.of_token(session, token, _age(), request.form.get("key", "")) if token else here.at_work()


def _age() -> float:
    """Return how many seconds ago it was pressed, by what the page says."""
    try:
        age = float(request.form.get("age", "0") or 0)
    except ValueError:
        return 0.0
    return age if isfinite(age) else 0.0


def _time(said: str) -> str:
    """Return a time as acts have it; nothing where what the device said is none."""
    try:
        return datetime.strptime(said, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
    except ValueError:
        return ""


def _first(said: str) -> str:
    return said.split(" ", 1)[0].casefold().rstrip(",;:")


def _refuse_change_of_person(here: Station, name: str, said: str) -> None:
    """On the page nobody becomes somebody else by a word: that takes a sign-in."""
    person = ""
    if _first(said) == "by":
        person = said[2:].strip(" :,;") or "somebody else"
    elif looks_like_code(said):
        with here.floor.lock:
            try:
                found = meaning(here.floor.job(name), said)
            except Trouble:
                # whatever is wrong with the code is told when it is played
                return
        person = found.thing if found.means is Means.PERSON else ""
    if person:
        raise Refusal(f"to work as {person[:20]}, sign in", expected="a sign-in with the PIN, or one press on the name",
                      came="a word", todo=f"open People: /people?who={quote(person[:4])}")  # fmt: skip


ROUTES = (
    ("POST", "/people", sign_in),
    ("POST", "/people/now", change_over),
    ("POST", "/people/out", sign_out),
    ("GET", "/job/<name>/vouch", vouch_page),
    ("POST", "/job/<name>/press", press),
    ("POST", "/job/<name>/scan", scan),
    ("POST", "/scan", scan_anywhere),
)
