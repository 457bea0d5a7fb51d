"""The page as a WSGI application: guards, routes, and every trouble turned into a sentence."""

from __future__ import annotations

import os
from typing import Any

from flask import Flask, Response, jsonify, render_template, request, session
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge, SecurityError

from tagtrack.camera.receiving import Busy
from tagtrack.core.errors import Fault, Refusal, Trouble
from tagtrack.core.tagcode import shown
from tagtrack.hangar import acting, guards, pages, seeing
from tagtrack.hangar.floor import Floor
from tagtrack.hangar.guards import MOST_BYTES, Forbidden
from tagtrack.hangar.people import People, SignInNeeded
from tagtrack.hangar.pins import Locked
from tagtrack.hangar.presses import Presses
from tagtrack.hangar.station import Station, fresh_key, own_address, wants_json
from tagtrack.hangar.wording import by_press

_TOO_LARGE = Refusal(
    "that is too large", expected=f"a photo of at most {MOST_BYTES // 2**20} MB", came="more",
    todo="take it again with the phone's usual camera, or choose a smaller size",
)  # fmt: skip


def create_app(floor: Floor) -> Flask:
    """Return the application that serves this shop floor."""
    app = Flask(__name__)
    app.jinja_options = {"trim_blocks": True, "lstrip_blocks": True}
    people = People(floor)
    app.extensions["tagtrack"] = Station(floor, people, Presses(floor))
    guards.install(app, floor, people)
    for method, rule, view in (*pages.ROUTES, *acting.ROUTES, *seeing.ROUTES):
        app.add_url_rule(rule, view_func=view, methods=[method])
    app.add_template_filter(shown, "code")
    # a tile's value and its words are often the same
    app.add_template_filter(lambda values: [(str(each), str(each)) for each in values], "twice")
    app.add_template_filter(lambda told: " ".join(by_press([told])), "by_press")
    app.add_template_global(fresh_key, "fresh")

    @app.context_processor
    def around() -> dict[str, Any]:
        here = people.here(session)
        with floor.lock:
            everybody, badges = floor.shop.state.people, dict(floor.shop.state.badges)
        tokens = people.tokens(session)
        return {
            "tokens": tokens, "badges": badges if tokens else {},
            "shop_name": floor.name, "here": here, "everybody": everybody, "person": everybody.get(here.at_work),
            "form_token": people.form_token(session), "press_token": tokens.get(here.at_work, ""), "key": fresh_key(),
            "zone": "", "job": None, "own": own_address(),
        }  # fmt: skip

    @app.errorhandler(Trouble)
    def trouble(problem: Trouble) -> tuple[Response | str, int]:
        return told(problem, _status(problem))

    @app.errorhandler(RequestEntityTooLarge)
    def too_large(_: RequestEntityTooLarge) -> tuple[Response | str, int]:
        return told(_TOO_LARGE, 413)

    @app.errorhandler(SecurityError)
    def elsewhere(_: SecurityError) -> Response:
        # nothing of the page is made for a name that is not ours
        words = "this page is not served under that name; ask for the address that tagtrack serve shows\n"
        return Response(words, status=400, mimetype="text/plain")

    @app.errorhandler(HTTPException)
    def refused(problem: HTTPException) -> tuple[Response | str, int]:
        words = Refusal(problem.name.lower(), expected="a page of this program", came=request.path[:80],
                        todo="go back to the board")  # fmt: skip
        return told(words, problem.code or 500)

    @app.errorhandler(Exception)
    def failed(problem: Exception) -> tuple[Response | str, int]:
        # one line for whoever serves; the traceback where it is asked for, as with every command
        asked_for = problem if os.environ.get("TAGTRACK_TRACEBACK") else None
        app.logger.error("%s failed: %s: %s", request.path, type(problem).__name__, problem, exc_info=asked_for)
        words = Refusal("the program failed here", expected="an answer", came=type(problem).__name__,
                        todo="what was answered before is recorded; do it again, and tell its developers")  # fmt: skip
        return told(words, 500)

    return app


def told(problem: Trouble, status: int) -> tuple[Response | str, int]:
    """Return trouble as a page, or as JSON for the page's own scripts."""
    if wants_json():
        who = problem.initials if isinstance(problem, SignInNeeded) else ""
        return jsonify(tone="wrong", lines=problem.lines(), recorded=False, sign_in=status == 401, who=who), status
    if isinstance(problem, SignInNeeded) and request.method == "GET":
        return render_template("people.html", back=request.full_path.rstrip("?"), asked_for="", trouble=()), 401
    return render_template("trouble.html", lines=problem.lines(), status=status), status


def _status(problem: Trouble) -> int:
    match problem:
        case Forbidden():
            return 403
        case SignInNeeded():
            return 401
        case Locked():
            return 429
        case Fault() | Busy():
            return 503
        case _:
            return 400
