"""What is looked at: sign-in, the shop's work orders, the board, a tag, findings, papers. Nothing here records."""

from __future__ import annotations

from datetime import UTC, datetime
from functools import partial
from io import BytesIO

from flask import Response, redirect, render_template, request, url_for
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from tagtrack.core.axes import Side, side_or_none
from tagtrack.core.check_rest import AREA_ROWS, ROWS
from tagtrack.core.errors import Refusal
from tagtrack.core.findings import Finding, Kind
from tagtrack.core.records import Position, position
from tagtrack.core.tagcode import read as read_code
from tagtrack.hangar import drawing, papers
from tagtrack.hangar.board import board, closed_out, looks, tag_of
from tagtrack.hangar.station import local_path, station
from tagtrack.hangar.tag_page import Next, history, owes, tag_page, ways
from tagtrack.shop.desk import Job
from tagtrack.shop.lines.loop import WORDS
from tagtrack.shop.lines.standing import is_elsewhere
from tagtrack.shop.losing import colleague
from tagtrack.shop.naming import existing

_USUAL = 6
_SIDES = tuple(side.value for side in (Side.LEFT, Side.CENTRE, Side.RIGHT))


def utc() -> str:
    """Return the time now as acts have it."""
    return datetime.now(UTC).isoformat(timespec="seconds").replace("+00:00", "Z")


def people_page() -> str:
    """Who works here: the people signed in on this device, and everybody else."""
    back = local_path(request.args.get("back", "/"))
    return render_template("people.html", back=back, asked_for=request.args.get("who", "").upper(), trouble=())


def home() -> str | AnyResponse:
    """The shop's work orders; where there is one, its board."""
    here = station()
    here.at_work()
    with here.floor.lock:
        jobs = here.floor.shop.state.jobs
        if len(jobs) == 1:
            return redirect(url_for("board_page", name=next(iter(jobs))))
        rows = [(opened, here.floor.summary(name)) for name, opened in jobs.items()]
        return render_template("home.html", rows=[row for row in rows if not row[1].signed],
                               signed=[opened for opened, summed in rows if summed.signed])  # fmt: skip


def board_page(name: str) -> str:
    """The board of a work order."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        alone = [loss for loss in job.state.losses.values() if loss.alone and not job.state.signed]
        return render_template("board.html", job=job, board=board(here.floor, job, utc()), zone=here.bench(job).area,
                               areas=job.state.areas(), alone=alone)  # fmt: skip


def changes(name: str) -> dict[str, object]:
    """How far the record goes: asked every few seconds by every device, so it is all that is looked at."""
    here = station()
    here.at_work()
    with here.floor.lock:
        try:
            head = str(here.floor.job(name).head)
        except Refusal:
            # nobody reads the answer to this: what it says stands below till it was shown
            if not here.floor.exchanged(name):
                raise
            head = str(here.floor.job(name).head)
        return {"head": head, "exchanged": here.floor.exchanged(name)}


def by_address(code: str) -> AnyResponse:
    """A tag by the shop's address, as a phone's own camera app opens it."""
    wanted, here = read_code(code), station()
    here.at_work()
    with here.floor.lock:
        return redirect(url_for("tag", name=here.floor.job_of(wanted), code=wanted, scanned=1))


def tag(name: str, code: str) -> str:
    """The page of one tag: only looked at, unless its address says that it was scanned."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        page = tag_page(job, code)
        bench = here.bench(job)
        return render_template(
            "tag.html", job=job, page=page, scanned=request.args.get("scanned") == "1",
            zone=bench.area, stands=bench.at, loose=bench.loose is not None and bench.loose == page.position,
            elsewhere=page.next is Next.FASTEN and page.position is not None and is_elsewhere(bench, page.position),
            Next=Next, orientation=_drawn(page.orientation), stack=_drawn(page.stack),
            symbol=_drawn(drawing.symbol(page.code)), areas=job.state.areas(), **_for_removal(job, bench.last_off),
        )  # fmt: skip


def _drawn(svg: str) -> Markup:
    return Markup(svg)  # noqa: S704 - drawn by the paper folder, which escapes every text in it


def position_page(name: str) -> str:
    """A position that has no tag: a joint that was only loosened, a setting, a point to look at."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        spot = existing(job.state, position(request.args.get("at", ""))).position
        return render_template("position.html", job=job, here_at=spot, owes=owes(job, spot),
                               zone=here.bench(job).area, history=history(job, spot),
                               critical=job.state.positions[spot].critical)  # fmt: skip


def off(name: str) -> str:
    """The removal form, without a blank tag in hand."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        bench = here.bench(job)
        return render_template("off.html", job=job, zone=bench.area, page=None, **_for_removal(job, bench.last_off))


def findings(name: str) -> str:
    """Every finding, to be answered: of a check, or only what is wrong already."""
    here = station()
    here.at_work()
    asked = request.args.get("asked", "1") == "1"
    with here.floor.lock:
        job = here.floor.job(name)
        return render_template("findings.html", job=job, outcome=here.floor.checked(job, asked=asked), asked=asked,
                               leads_to=partial(_leads_to, job),
                               losses=[loss for loss in job.state.losses.values() if loss.stands],
                               alone=[(loss, colleague(job, loss.second)) for loss in job.state.losses.values()
                                      if loss.alone], zone=here.bench(job).area)  # fmt: skip


def inspect(name: str) -> str | AnyResponse:
    """The second person's look at a position, row by row; where none is named, at the next one that waits."""
    here = station()
    by = here.at_work()
    # what somebody else saw is nobody's own look
    typed = kept if (kept := here.kept()).get("by", by) == by else {}
    with here.floor.lock:
        job = here.floor.job(name)
        if not request.args.get("at"):
            mine = [p for p in looks(here.floor, job) if by not in job.state.performers(p)]
            if not mine:
                return redirect(url_for("board_page", name=job.name))
            return redirect(url_for("inspect", name=job.name, at=str(mine[0])))
        spot = existing(job.state, position(request.args.get("at", ""))).position
        return render_template("inspect.html", job=job, here_at=spot, rows=ROWS, zone=here.bench(job).area, typed=typed,
                               performers=sorted(job.state.performers(spot)))  # fmt: skip


def close(name: str) -> str:
    """Areas to be declared complete, tags to be counted back, the sign-off."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        # what is still to be closed out comes first
        told = [(area, closed_out(job.state, area)) for area in job.state.areas()]
        areas = sorted(told, key=lambda each: bool(each[1]))
        return render_template("close.html", job=job, areas=areas, rows=AREA_ROWS, zone=here.bench(job).area,
                               tags=job.open_tags(), outcome=here.floor.checked(job, asked=True))  # fmt: skip


def words(name: str) -> str:
    """Every word that can be typed."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        # what stands between two marks is said word for word: every second piece
        told = [(word.__doc__ or "").split("\n")[0].split("`") for word in dict.fromkeys(WORDS.values())]
        return render_template("words.html", job=job, words=told, zone=here.bench(job).area)


def paper(name: str, kind: str) -> Response:
    """A paper of the work order as PDF."""
    here = station()
    here.at_work()
    made = papers.PAPERS.get(kind)
    if made is None:
        raise Refusal(f"there is no paper called '{kind[:40]}'", expected=", ".join(papers.PAPERS), came=kind[:40],
                      todo="choose one of these")  # fmt: skip
    out = BytesIO()
    with here.floor.lock:
        job = here.floor.job(name)
        made(here.floor, job, datetime.now().astimezone().strftime("%Y-%m-%d"), out)
    answer = Response(out.getvalue(), mimetype="application/pdf")
    answer.headers["Content-Disposition"] = f'inline; filename="{job.name}-{kind}.pdf"'
    return answer


def authority() -> Response:
    """The certificate of the shop's own authority, for a phone to install. It is no secret, and asks for no sign-in."""
    file = station().floor.authority
    if file is None:
        raise Refusal("this page is served by plain http", expected="tagtrack serve --https", came="http",
                      todo="nothing has to be installed")  # fmt: skip
    answer = Response(file.read_bytes(), mimetype="application/x-x509-ca-cert")
    answer.headers["Content-Disposition"] = 'attachment; filename="tagtrack-authority.crt"'
    return answer


ROUTES = (
    ("GET", "/authority", authority),
    ("GET", "/people", people_page),
    ("GET", "/", home),
    ("GET", "/job/<name>", board_page),
    ("GET", "/job/<name>/changes", changes),
    ("GET", "/t/<code>", by_address),
    # in capitals a symbol of the address is smaller
    ("GET", "/T/<code>", by_address),
    ("GET", "/job/<name>/t/<code>", tag),
    ("GET", "/job/<name>/at", position_page),
    ("GET", "/job/<name>/off", off),
    ("GET", "/job/<name>/findings", findings),
    ("GET", "/job/<name>/look", inspect),
    ("GET", "/job/<name>/close", close),
    ("GET", "/job/<name>/words", words),
    ("GET", "/job/<name>/paper/<kind>.pdf", paper),
)


def _leads_to(job: Job, finding: Finding) -> tuple[str, str] | None:
    """Return what stands on the button that leads to where a finding is put right, and its address."""
    where = finding.position
    if where is None:
        at_closing = finding.kind in (Kind.TAGS_OUT, Kind.NOT_LOOKED_AT)
        return ("Close up", url_for("close", name=job.name)) if at_closing else None
    if where not in job.state.positions:
        return None
    if finding.kind is Kind.NOT_INSPECTED:
        return "Inspect", url_for("inspect", name=job.name, at=str(where))
    tag = tag_of(job.state, where)
    page = url_for("tag", name=job.name, code=tag) if tag else url_for("position_page", name=job.name, at=str(where))
    return "Its page", page


def _for_removal(job: Job, last: Position | None) -> dict[str, object]:
    """Return what the removal form offers: known positions, usual hardware, and what is off on one side only."""
    state = job.state
    usual = dict.fromkeys(str(joint.stack) for joint in reversed(state.joints.values()))
    names = dict.fromkeys(p.name for p in reversed(state.positions))
    off_here = [p for p, known in state.positions.items() if known.cycle and p.side is not Side.CENTRE]
    # the twin of the last removal first
    others = sorted((p.mirrored for p in off_here if p.mirrored not in state.positions),
                    key=lambda p: last is None or p != last.mirrored)  # fmt: skip
    return {
        "others": others,
        "names": list(names), "usual": list(usual)[:_USUAL], "sides": _SIDES,
        "all_ways": ways(Side.LEFT), "side_or_none": side_or_none,
    }  # fmt: skip
