"""What stands between the network and the page: host, origin, form token, headers, sizes.

Plain http on a shop's network cannot be kept secret; what can be kept out is another site's page in the same browser,
a name that was made to point here, and code that was slipped into a text.
"""

from __future__ import annotations

import hmac
from html import escape
from urllib.parse import quote, urlencode

from flask import Flask, Request, Response, g, request, session
from flask.sessions import SecureCookieSessionInterface, SessionMixin
from itsdangerous import BadSignature, URLSafeSerializer, URLSafeTimedSerializer
from werkzeug.exceptions import SecurityError

from tagtrack.core.errors import Refusal
from tagtrack.hangar.floor import Floor
from tagtrack.hangar.hosts import name_of
from tagtrack.hangar.people import People

# a photo of a phone; what is larger is answered with a sentence up to the server's own limit
MOST_BYTES = 24 * 2**20
# werkzeug reads forms in pieces of 64 KiB and counts a piece with what is kept: less would refuse every photo
_MOST_FORM = 256 * 2**10
# below what the servers take
_MOST_SWEEP = 60 * 2**20
COOKIE = "tagtrack"
# what a page is asked with for the second time, and how many seconds that is good for
AGAIN = "again"
_SOON = 60.0
# what needs no sign-in and sets no cookie
_FOR_ALL = frozenset({"static", "authority"})
_CHANGES = frozenset({"POST", "PUT", "PATCH", "DELETE"})

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "media-src 'self' blob:; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)


class Forbidden(Refusal):
    """The request is not from a page of this program, as far as can be told."""


class _Cookies(SecureCookieSessionInterface):
    """Flask's own cookies; none is set for somebody who may have one already that did not come along.

    The key never changes while this runs, so what signs and reads them is made once.
    """

    def __init__(self) -> None:
        self._signing: URLSafeTimedSerializer | None = None

    def get_signing_serializer(self, app: Flask) -> URLSafeTimedSerializer | None:
        """Return what signs the cookies of this page."""
        if self._signing is None:
            self._signing = super().get_signing_serializer(app)
        return self._signing

    def should_set_cookie(self, app: Flask, session: SessionMixin) -> bool:
        """Return whether the answer sets the cookie."""
        return not g.get("from_elsewhere", False) and super().should_set_cookie(app, session)


def install(app: Flask, floor: Floor, people: People) -> None:
    """Put every guard in front of the app's routes."""
    app.config.update(
        SECRET_KEY=floor.pins.key(), SESSION_COOKIE_NAME=COOKIE, SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Strict", SESSION_COOKIE_SECURE=floor.https, PERMANENT_SESSION_LIFETIME=30 * 86400,
        MAX_CONTENT_LENGTH=MOST_BYTES, MAX_FORM_MEMORY_SIZE=_MOST_FORM, MAX_FORM_PARTS=200,
        # an answer that comes late must not put an old cookie over a sign-in
        SESSION_REFRESH_EACH_REQUEST=False,
    )  # fmt: skip

    app.session_interface = _Cookies()
    signer = URLSafeSerializer(floor.pins.key(), salt=AGAIN)

    def comes_again() -> bool:
        try:
            asked_at = float(signer.loads(request.args.get(AGAIN, "")))
        except (BadSignature, ValueError, TypeError):
            return False
        return 0 <= floor.now() - asked_at <= _SOON

    ours = frozenset(name.casefold() for name in floor.hosts)

    @app.before_request
    def look() -> Response | None:
        asked_for = name_of(request.host)
        if asked_for not in ours and not floor.also(asked_for):
            raise SecurityError(f"{asked_for} is no name of this page")
        if COOKIE not in request.cookies:
            # only the page that asks for itself shows that there is none: anything else may be another site's doing
            page = request.method == "GET" and request.endpoint not in _FOR_ALL
            g.from_elsewhere = not page or not comes_again()
            if page and g.from_elsewhere and request.accept_mimetypes.best != "application/json":
                return _own_hop(str(signer.dumps(floor.now())))
        if not session.permanent:
            session.permanent = True
        if request.mimetype == "application/x-www-form-urlencoded":
            # such a form is read whole, and holds no photo
            request.max_content_length = _MOST_FORM
        if request.endpoint == "sweep":
            # several photos of the bench at once, each held against its own bound
            request.max_content_length = _MOST_SWEEP
        if request.method in _CHANGES:
            refuse_foreign(request, people.form_token(session))
        return None

    @app.after_request
    def seal(response: Response) -> Response:
        response.headers["Content-Security-Policy"] = POLICY
        response.headers["X-Content-Type-Options"] = "nosniff"
        # not no-referrer: with that our own forms would say Origin: null
        response.headers["Referrer-Policy"] = "same-origin"
        response.headers["Permissions-Policy"] = "camera=(self), microphone=(), geolocation=()"
        response.headers.setdefault("Cache-Control", "no-store")
        return response


def _own_hop(token: str) -> Response:
    """Return a page that asks for itself, to whoever comes without our cookie for the first time.

    A camera app, or a link on another site, brings no cookie that is kept from other sites, although there is one. A
    fresh one must not take its place, or a scan with the phone's own camera would sign everybody out. What is asked for
    from our own page brings the cookie along, if there is one. `token`: what shows that it is asked for from there;
    nobody else can make one.
    """
    others = [(name, value) for name, value in request.args.items(multi=True) if name != AGAIN]
    target = escape(f"{quote(request.path)}?{urlencode([*others, (AGAIN, token)])}")
    return Response(
        f'<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">'
        f'<meta http-equiv="refresh" content="0;url={target}"><title>tagtrack</title>'
        f'<p><a href="{target}">go on</a></p></html>',
        mimetype="text/html",
    )  # fmt: skip


def refuse_foreign(asked: Request, token: str) -> None:
    """Refuse a change that another site's page may have sent: a foreign Origin, or no token of this device."""
    origin = asked.headers.get("Origin")
    if origin is not None and origin != f"{asked.scheme}://{asked.host}":
        raise Forbidden("that came from another site", expected=f"a page of {asked.host}", came=origin[:100],
                        todo="open the page itself and press there")  # fmt: skip
    sent = asked.headers.get("X-Form-Token") or asked.form.get("form_token", "")
    if not hmac.compare_digest(sent.encode(), token.encode()):
        raise Forbidden("that page is not of this device, or too old", expected="a page loaded on this device",
                        came="one without its token", todo="load the page again; what waits is kept")  # fmt: skip
