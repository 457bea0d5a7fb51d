"""A shop with its page served on a free port, as a person's browser meets it."""

from __future__ import annotations

import html
import re
import secrets
import subprocess
import sys
import threading
import time
from contextlib import contextmanager, suppress
from io import BytesIO
from pathlib import Path
from socket import create_connection, socket

from werkzeug.datastructures import FileStorage
from werkzeug.test import encode_multipart

from tagtrack.cli.serving import floor_of
from tagtrack.cli.wiring import means, read_settings, solve
from tagtrack.core.callout import Decoder
from tagtrack.hangar.app import create_app
from tagtrack.hangar.http import http_server
from tagtrack.hangar.pins import Pins
from tagtrack.journal.acts import Folder
from tagtrack.shop import setup
from tagtrack.shop.desk import Shop
from tagtrack.shop.lines.loop import Loop
from tagtrack.shop.ports import Who
from tagtrack.tables.loader import load

PINS = {"KT": "270354", "MB": "918273"}
JOB = "WO-7"
WEIGHT = (
    "off elevator balance weight LEFT; mark UP, arrow FWD; mount INBD; critical; lock cotter; "
    "2x [AN3-5 AN960-10 | AN960-10 AN310-3 MS24665-132!]"
)
FAIRING = "off elevator tip fairing LEFT; 12 AN525-10R8; closes elevator balance weight L"


KNOWLEDGE = Decoder(load())


def make_shop(root: Path) -> None:
    """Make a shop in a folder, with two people who have PINs and one open work order."""
    Folder.create(root, "Example Hangar", "home").close()
    (root / "settings.toml").write_text('name = "Example Hangar"\n')
    folder = Folder(root, "home")
    shop = Shop(folder, means(), KNOWLEDGE, solve)
    who = Who("KT")
    setup.note_person(shop, who, initials="KT", full_name="Kim Tester")
    setup.note_person(shop, who, initials="MB", full_name="Mo Beispiel")
    setup.open_job(shop, who, job=JOB, registration="X-WALK", make="Invented", model="Demo 2")
    pins = Pins(folder.secrets_file)
    for initials, pin in PINS.items():
        pins.set(initials, pin)
    folder.close()


class ShopFolder:
    """A shop in a folder, as a test meets it at the shop's own computer."""

    def __init__(self, root: Path) -> None:
        self.root = root
        self.folder = Folder(root, "home")
        self._others: list[Folder] = []
        self.shop = Shop(self.folder, means(), KNOWLEDGE, solve)

    def say(self, *lines: str, by: str = "KT", job: str = JOB) -> list[str]:
        """Play lines at the shop's own computer, and return what was answered."""
        loop = Loop(self.shop.open(job), by)
        return ["\n".join(loop.line(line).lines) for line in lines]

    def state(self, job: str = JOB):
        return self.shop.open(job).state

    def acts(self, job: str = JOB):
        return self.shop.open(job).acts

    def tag(self, position: str, role: str = "part") -> str:
        """Return the code of a position's part tag or bag."""
        state = self.state()
        for tag in state.tags.values():
            part = state.parts.get(tag.thing)
            if tag.role.value == role and (str(part.home) if part else tag.thing.partition("|")[0]) == position:
                return tag.code
        raise LookupError(position)

    def close(self) -> None:
        """Let go of every file."""
        for folder in (self.folder, *self._others):
            folder.close()

    def app(self, **how):
        hosts = how.pop("hosts", frozenset({"127.0.0.1", "localhost"}))
        fresh = Folder(self.root, "home")
        self._others.append(fresh)
        shop = Shop(fresh, means(), KNOWLEDGE, solve)
        floor = floor_of(shop, fresh, read_settings(self.root), hosts=hosts, https=how.pop("https", False))
        for name, value in how.items():
            setattr(floor, name, value)
        return create_app(floor)


class Device:
    """A browser without scripts: Flask's own client, with the forms' token and keys."""

    def __init__(self, app) -> None:
        self.client = app.test_client()
        self.token = ""

    def get(self, path: str, **how):
        answer = self.client.get(path, **how)
        self._learn(answer)
        # a file that is served is let go of
        answer.get_data()
        answer.close()
        return answer

    def arrive(self, path: str = "/people", **how):
        """Ask for a page as a browser does that brings no cookie: what comes first asks for itself."""
        first = self.get(path, **how)
        return self.get(hop_of(first.text), **how)

    def post(self, path: str, fields=None, **how):
        form = {"form_token": self.token, "key": secrets.token_hex(12), **(fields or {})}
        return self.client.post(path, data=form, **how)

    def sign_in(self, who: str = "KT", pin: str = "") -> str:
        """Sign in and return the token that this person's presses carry."""
        self.get("/people") if self.token else self.arrive()
        answer = self.post("/people", {"who": who, "pin": pin or PINS[who]})
        assert answer.status_code == 303, answer.text
        return self.press_token()

    def press_token(self) -> str:
        page = self.get("/people").text
        return re.search(r'data-as="([^"]*)"', page)[1]

    def upload(self, path: str, *pictures: tuple[str, bytes], **fields: str):
        """Send pictures, each with its file name, as a form does."""
        form = {"form_token": self.token, "key": secrets.token_hex(12), **fields}
        files = [FileStorage(BytesIO(data), name) for name, data in pictures]
        boundary, body = encode_multipart({**form, "picture": files})
        with self.client.post(path, data=body, content_type=f"multipart/form-data; boundary={boundary}") as answer:
            answer.get_data()
            return answer

    def press(self, line: str, job: str = JOB, **fields):
        """Press, and return the answer as the scripts get it."""
        answer = self.post(f"/job/{job}/press", {"line": line, **fields}, headers={"Accept": "application/json"})
        return answer.get_json()

    def _learn(self, answer) -> None:
        found = re.search(r'data-form-token="(\w+)"', answer.text) if answer.mimetype == "text/html" else None
        self.token = found[1] if found else self.token


def hop_of(page: str) -> str:
    """Return where a page leads that asks for itself; nowhere for another."""
    found = re.search(r'content="0;url=([^"]+)"', page)
    return html.unescape(found[1]) if found else ""


@contextmanager
def serving(app, host: str = "127.0.0.1"):
    """Serve an app in this process and yield its address."""
    server = http_server(app, host, 0)

    def run() -> None:
        # the loop of the server may still wait for a line when it is closed under it
        with suppress(OSError):
            server.run()

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    yield f"http://{host}:{server.effective_port}"
    server.close()
    thread.join(timeout=5)


class Process:
    """`tagtrack serve` as a process of its own, to be killed and started again on the same port."""

    def __init__(self, root: Path, port: int = 0, *more: str) -> None:
        self.root, self.port, self.more = root, port or free_port(), more
        self.address = f"http://127.0.0.1:{self.port}"
        self.start()

    def start(self) -> None:
        words = ["-m", "tagtrack", "--shop", str(self.root), "serve", "--port", str(self.port), *self.more]
        self.process = subprocess.Popen([sys.executable, *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        # a machine that does much else is given its time
        for _ in range(1200):
            try:
                create_connection(("127.0.0.1", self.port), timeout=1).close()
            except OSError:
                time.sleep(0.05)
            else:
                return
        self.kill()
        raise AssertionError("it did not begin to serve")

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()


def free_port() -> int:
    with socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
