"""What a camera saw: a photo of a tag, a frame of a live picture, photos of the bench, a photo to keep.

All of them are read by the one decoder of the camera folder. Nothing of a picture is decoded before it was held against
its bounds, and two at a time. The record waits for none of it.
"""

from __future__ import annotations

import secrets
from collections import OrderedDict
from threading import Lock

from flask import Response, jsonify, redirect, render_template, request, send_file, url_for
from werkzeug.wrappers import Response as AnyResponse

from tagtrack.camera import looking, receiving
from tagtrack.camera.keepsake import keepsake
from tagtrack.core.errors import Refusal
from tagtrack.core.spelling import clean
from tagtrack.core.sweep import Lies
from tagtrack.hangar.acting import answered, pressed
from tagtrack.hangar.station import station
from tagtrack.shop.sweeping import due, looked_over
from tagtrack.shop.tagging import meaning

# outlined pictures are looked at once, right after the sweep
_KEPT = 16


class Outlines:
    """The outlined pictures of the last sweeps, each under a name that nobody can guess."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._kept: OrderedDict[str, tuple[str, bytes]] = OrderedDict()

    def keep(self, job: str, jpeg: bytes) -> str:
        """Keep a picture of a work order for a while, and return its name."""
        token = secrets.token_hex(12)
        with self._lock:
            self._kept[token] = (job, jpeg)
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)
        return token

    def of(self, job: str, token: str) -> bytes:
        """Return a picture of that work order; refuse one that is gone."""
        with self._lock:
            owner, jpeg = self._kept.get(token, ("", b""))
        if owner != job:
            raise Refusal("that picture is not kept any more", expected="a sweep just made", came="an older one",
                          todo="sweep again")  # fmt: skip
        return jpeg


OUTLINES = Outlines()


def camera_page(name: str) -> str:
    """A photo of a tag, or the live camera where the browser gives one."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        return render_template("camera.html", job=job, zone=here.bench(job).area)


def photo_scan(name: str) -> str | AnyResponse:
    """A photo of a tag: to its page where one of ours is in it; of several the person chooses, never the program."""
    here = station()
    here.at_work()
    sightings = looking.symbols_in(_picture(), "the photo")
    codes = [s.code for s in sightings if s.code]
    foreign = [s.said for s in sightings if not s.code]
    if not codes and foreign:
        raise Refusal("that symbol is no tag of ours", expected="a tag of this shop", came=clean(foreign[0])[:60],
                      todo="look where it came from")  # fmt: skip
    if not codes:
        raise Refusal("no tag was read in that photo", expected="a tag that fills a third of the picture",
                      came="no symbol that could be read",
                      todo="go nearer, hold still, more light; or type the code under the symbol")  # fmt: skip
    with here.floor.lock:
        job = here.floor.job(name)
        if len(codes) == 1:
            meaning(job, codes[0])
            return redirect(url_for("tag", name=job.name, code=codes[0], scanned=1), 303)
        seen = looked_over(job, codes)
        return render_template("choose.html", job=job, tags=[t for t in seen.tags if t.code in codes],
                               foreign=len(foreign), zone=here.bench(job).area)  # fmt: skip


def frame(name: str) -> AnyResponse:
    """One frame of a live picture: the codes in it, by one quick look."""
    del name
    station().at_work()
    sightings = looking.symbols_in(request.get_data(), "the frame", patient=False)
    return jsonify(codes=[s.code for s in sightings if s.code], foreign=sum(not s.code for s in sightings))


def sweep_page(name: str) -> str:
    """Where photos of the bench are sent."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name)
        return render_template("sweep.html", job=job, result=None, due=len(due(job)), zone=here.bench(job).area)


def sweep(name: str) -> str:
    """Photos of the bench: what lies there, what should, and what should not. Nothing is recorded."""
    here = station()
    here.at_work()
    uploads = [u for u in request.files.getlist("picture") if u.filename]
    with here.floor.lock:
        job = here.floor.job(name)
        expected = frozenset(due(job))
    photos = looking.read_photos([(clean(u.filename or "photo")[:60], u.read()) for u in uploads], expected)
    with here.floor.lock:
        result = looked_over(job, [code for photo in photos for code in photo.codes])
    names = {tag.code: tag.what for tag in result.tags}
    pictures = [OUTLINES.keep(job.name, photo.shown(names)) for photo in photos if photo.picture is not None]
    foreign = [clean(said)[:80] for photo in photos for said in photo.foreign]
    troubled = [(photo.name, photo.refused) for photo in photos if photo.refused]
    with here.floor.lock:
        return render_template("sweep.html", job=job, result=result, Lies=Lies, pictures=pictures, foreign=foreign,
                               troubled=troubled, due=len(expected), zone=here.bench(job).area)  # fmt: skip


def outlined(name: str, which: str) -> Response:
    """A photo of the last sweep with every tag outlined."""
    here = station()
    here.at_work()
    with here.floor.lock:
        job = here.floor.job(name).name
    return Response(OUTLINES.of(job, which), mimetype="image/jpeg")


def attach(name: str) -> str | AnyResponse:
    """A photo to keep: on disk first, then named in the record by a press like any other."""
    here = station()
    here.at_work()
    with receiving.admitted(), receiving.turn():
        made = keepsake(_picture(), "the photo")
    with here.floor.lock:
        job = here.floor.job(name)
        sha = job.shop.records.photos(job.name).put(made.large, made.small)
    about = request.form.get("about", "").replace(", ", " ")
    return answered(pressed(name, f"photo {sha} of {about}" if about else f"photo {sha}"), name)


def photo(name: str, sha: str) -> Response:
    """A photo that was kept; it never changes under its name."""
    here = station()
    here.at_work()
    with here.floor.lock:
        photos = here.floor.shop.records.photos(here.floor.job(name).name)
    path = photos.small(sha) if request.args.get("small") else photos.large(sha)
    answer = send_file(path.resolve(), mimetype="image/jpeg")
    answer.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    return answer


def _picture() -> bytes:
    upload = request.files.get("picture")
    return upload.read() if upload else b""


ROUTES = (
    ("GET", "/job/<name>/camera", camera_page),
    ("POST", "/job/<name>/photo-scan", photo_scan),
    ("POST", "/job/<name>/frame", frame),
    ("GET", "/job/<name>/sweep", sweep_page),
    ("POST", "/job/<name>/sweep", sweep),
    ("GET", "/job/<name>/swept/<which>", outlined),
    ("POST", "/job/<name>/photo", attach),
    ("GET", "/job/<name>/photo/<sha>", photo),
)
