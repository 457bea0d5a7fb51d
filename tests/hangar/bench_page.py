"""What the page costs beside what it is made of, and whether counts survive kills and lost answers.

    python tests/hangar/bench_page.py [photo] [bench] [write] [poll] [kill] [live]

Every figure is a ratio to a floor measured in the same run, or a count. The server is `tagtrack serve` as a process of
its own, asked over loopback; the photos are drawn, not taken (`tests/camera/bench.py`); the camera is Chromium's own,
fed with a film of one of our tags. No real phone, no real Wi-Fi.
"""

from __future__ import annotations

import os
import random
import secrets
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import contextmanager, suppress
from http.client import HTTPConnection, HTTPException
from io import BytesIO
from pathlib import Path
from urllib.parse import urlencode

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[2])]

from camera.bench import photo  # noqa: E402 - found only now, so that it runs from anywhere
from hangar.served import FAIRING, JOB, PINS, WEIGHT, Process, ShopFolder, hop_of, make_shop  # noqa: E402 - same
from PIL import Image  # noqa: E402 - same

from tagtrack.core.places import ItemKind, PlaceKind  # noqa: E402 - same

TRIES = 15
BOUNDARY = "bench-of-the-page"


class Browser:
    """A device over real HTTP: one connection, the cookie, the form token, the token of who is at work."""

    def __init__(self, port: int) -> None:
        self.port = port
        self.cookie = self.form_token = self.token = ""
        self.line = self._opened()

    def _opened(self) -> HTTPConnection:
        return HTTPConnection("127.0.0.1", self.port, timeout=60)

    def ask(self, method: str, path: str, body: bytes = b"", kind: str = "", accept: str = "text/html"):
        """Send one request and return status and body; the connection is opened again where it was lost."""
        headers = {"Cookie": self.cookie, "Accept": accept, **({"Content-Type": kind} if kind else {})}
        if method == "POST" and kind == "image/jpeg":
            headers["X-Form-Token"] = self.form_token
        try:
            self.line.request(method, path, body or None, headers)
            answer = self.line.getresponse()
            data = answer.read()
        except (OSError, HTTPException):
            self.line.close()
            self.line = self._opened()
            raise
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                self.cookie = value.split(";")[0]
        return answer.status, data

    def sign_in(self, who: str = "KT") -> None:
        """Sign in as a person does, and learn the tokens from the page."""
        self._learn()
        fields = {"form_token": self.form_token, "who": who, "pin": PINS[who]}
        status, _ = self.ask("POST", "/people", urlencode(fields).encode(), "application/x-www-form-urlencoded")
        assert status == 303, status
        self._learn()

    def _learn(self) -> None:
        page = self.ask("GET", "/people")[1].decode()
        if hop := hop_of(page):
            page = self.ask("GET", hop)[1].decode()
        self.form_token = page.split('data-form-token="')[1].split('"')[0]
        self.token = page.split('data-as="')[1].split('"')[0]

    def press(self, line: str, key: str = ""):
        """Press one line, with a fresh key or a given one."""
        fields = {"form_token": self.form_token, "as": self.token, "key": key or secrets.token_hex(12), "line": line}
        kind = "application/x-www-form-urlencoded"
        return self.ask("POST", f"/job/{JOB}/press", urlencode(fields).encode(), kind, "application/json")

    def upload(self, path: str, *pictures: bytes):
        """Send photos by the form of a page."""
        head = f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="form_token"\r\n\r\n'
        parts = [f"{head}{self.form_token}\r\n".encode()]
        for number, data in enumerate(pictures):
            head = f'--{BOUNDARY}\r\nContent-Disposition: form-data; name="picture"; filename="{number}.jpg"\r\n'
            parts += [f"{head}Content-Type: image/jpeg\r\n\r\n".encode(), data, b"\r\n"]
        body = b"".join((*parts, f"--{BOUNDARY}--\r\n".encode()))
        return self.ask("POST", path, body, f"multipart/form-data; boundary={BOUNDARY}")


@contextmanager
def served(*lines: str):
    """Serve a fresh shop with these lines said, and yield folder, process and a device that is signed in."""
    with tempfile.TemporaryDirectory() as folder:
        make_shop(Path(folder) / "shop")
        shop = ShopFolder(Path(folder) / "shop")
        shop.say("zone tail LEFT", *lines)
        process = Process(shop.root)
        try:
            device = Browser(process.port)
            device.sign_in()
            yield shop, process, device
        finally:
            process.kill()
            shop.folder.close()


def jpeg(tags, **how) -> bytes:
    out = BytesIO()
    photo(tags, **how).convert("RGB").save(out, "JPEG", quality=90)
    return out.getvalue()


def opening(data: bytes) -> float:
    """Return how long it takes to open a JPEG and decode it in grey, which is the least that any reader must do."""
    began = time.perf_counter()
    with Image.open(BytesIO(data)) as picture:
        picture.draft("L", picture.size)
        picture.load()
    return time.perf_counter() - began


def one_photo() -> None:
    """A photo of 12 megapixels, from upload to code, beside opening its JPEG: goal 8 times."""
    with served(WEIGHT) as (shop, _, device):
        code = shop.tag("elevator balance weight, LEFT")
        data = jpeg([code], module=12, size=(4032, 3024))
        floors, whole = [], []
        for _ in range(TRIES):
            floors.append(opening(data))
            began = time.perf_counter()
            status, _ = device.upload(f"/job/{JOB}/photo-scan", data)
            whole.append(time.perf_counter() - began)
            assert status == 303, status
        floor, took = statistics.median(floors), statistics.median(whole)
        print(f"photo   {len(data) / 1e6:.1f} MB, 12 megapixels: {1e3 * took:.0f} ms, opening {1e3 * floor:.0f} ms: "
              f"x{took / floor:.1f} (goal x8)")  # fmt: skip


def whole_bench() -> None:
    """Forty tags in one photo of 12 megapixels at 3 pixels a module: goal all, none wrong."""
    lines = [f"off cover {number} LEFT; none" for number in range(40)]
    with served(*lines) as (shop, _, device):
        tags = [tag.code for tag in shop.state().tags.values()]
        for seed in range(5):
            data = jpeg(tags, module=3, size=(4032, 3024), seed=seed)
            began = time.perf_counter()
            status, page = device.upload(f"/job/{JOB}/sweep", data)
            took = time.perf_counter() - began
            seen = page.decode().split(" tags that should lie here")[0].rsplit(">", 1)[-1]
            print(f"bench   at 3 pixels a module, photo {seed}: {status}, {seen} tags seen, {took:.1f} s")


def writes() -> None:
    """The same line pressed on the page, and said to the loop in a process of its own: goal 3 times."""
    with served(FAIRING, WEIGHT) as (shop, _, device):
        page, loop = [], []
        # both are warm before they are timed: what a shift is made of, not its first minute
        for number in range(-100, 200):
            began = time.perf_counter()
            status, _ = device.press("put 1 rag at elevator tip fairing LEFT" if number % 2 == 0 else "take 1 rag")
            page.append(time.perf_counter() - began)
            assert status == 200, status
        from tagtrack.shop.lines.loop import Loop

        direct = Loop(shop.shop.open(JOB), "KT")
        for number in range(-100, 200):
            began = time.perf_counter()
            direct.line("put 1 rag at elevator tip fairing LEFT" if number % 2 == 0 else "take 1 rag")
            loop.append(time.perf_counter() - began)
        took, floor = statistics.median(page[100:]), statistics.median(loop[100:])
        print(f"write   {1e3 * took:.1f} ms on the page, {1e3 * floor:.1f} ms without: x{took / floor:.1f} (goal x3)")


def processor(pid: int) -> float:
    """Return the seconds of processor time that a process has used, by Linux's own count."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def polling(devices: int = 20, writes: int = 6) -> None:
    """Twenty devices that ask every three seconds: when each has seen a change, and what that costs the server."""
    with served(FAIRING) as (_, process, writer):
        seen: list[tuple[str, float]] = []
        over = threading.Event()

        def poll(device: Browser, offset: float) -> None:
            time.sleep(offset)
            head = ""
            while not over.is_set():
                now = device.ask("GET", f"/job/{JOB}/changes", accept="application/json")[1].decode()
                if head and now != head:
                    # as the page does: it fetches itself anew
                    device.ask("GET", f"/job/{JOB}")
                    seen.append((now, time.perf_counter()))
                head = now
                over.wait(3.0)

        fleet = [Browser(process.port) for _ in range(devices)]
        for device in fleet:
            device.sign_in()
        threads = [threading.Thread(target=poll, args=(device, random.random() * 3)) for device in fleet]
        for thread in threads:
            thread.start()
        time.sleep(6)
        spent, began = processor(process.process.pid), time.perf_counter()
        written = {}
        for number in range(writes):
            writer.press("put 1 rag at elevator tip fairing LEFT" if number % 2 == 0 else "take 1 rag")
            head = writer.ask("GET", f"/job/{JOB}/changes", accept="application/json")[1].decode()
            written[head] = time.perf_counter()
            time.sleep(4)
        share = (processor(process.process.pid) - spent) / (time.perf_counter() - began)
        over.set()
        for thread in threads:
            thread.join()
        delays = [at - written[head] for head, at in seen if head in written]
        print(f"poll    {devices} devices, {writes} changes: seen {len(delays)} of {devices * writes}, at the latest "
              f"after {max(delays):.1f} s (goal 3.5), {100 * share:.1f} % of one core (goal 5)")  # fmt: skip


def kills(runs: int = 100) -> None:
    """Presses kept and sent again by their keys, as the page's queue does, while the server is killed and answers are
    lost: goal every count exact, in every run.
    """
    wrong = presses = killed = lost = 0
    chance = random.Random(8)
    with served(FAIRING) as (shop, process, device):
        due = 0
        for run in range(runs):
            count = chance.randint(2, 6)
            queue = [secrets.token_hex(12) for _ in range(count)]
            moment = chance.randrange(count)
            for number, key in enumerate(queue):
                if number == moment:
                    # killed while this press is on its way
                    timer = threading.Timer(chance.random() * 0.012, process.process.kill)
                    timer.start()
                    killed += 1
                while True:
                    try:
                        status, _ = device.press("put 1 rag at elevator tip fairing LEFT", key)
                    except (OSError, HTTPException):
                        # killed; or only the line was cut
                        with suppress(subprocess.TimeoutExpired):
                            process.process.wait(timeout=0.5)
                            process.start()
                        continue
                    # an answer that never arrives: the press is sent once more
                    if status == 200 and chance.random() < 0.3:
                        lost += 1
                        chance.random()
                        continue
                    assert status == 200, status
                    break
                if number == moment:
                    timer.join()
                    if process.process.poll() is not None:
                        process.start()
            due += count
            presses += count
            shop.shop.open(JOB)
            held = sum(n for place, lots in shop.state().holdings.items() if place.kind is PlaceKind.ABOARD
                       for item, n in lots.items() if item.kind is ItemKind.TEMPORARY)  # fmt: skip
            wrong += held != due
            if (run + 1) % 20 == 0:
                print(f"kill    {run + 1} runs, {presses} presses, {killed} kills, {lost} answers lost: "
                      f"{wrong} counts wrong")  # fmt: skip


def live(times: int = 20) -> None:
    """The live camera with a film of a tag, from the start button to the tag's page: goal 20 of 20."""
    from hangar.conftest import chromium
    from playwright.sync_api import sync_playwright

    with served(WEIGHT) as (shop, process, _), sync_playwright() as play, tempfile.TemporaryDirectory() as folder:
        code = shop.tag("elevator balance weight, LEFT")
        film = Path(folder) / "film.mjpeg"
        film.write_bytes(frames(code))
        args = ["--no-sandbox", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
                f"--use-file-for-fake-video-capture={film}"]  # fmt: skip
        read = 0
        for _ in range(times):
            browser = play.chromium.launch(executable_path=chromium(), args=args)
            page = browser.new_context(viewport={"width": 360, "height": 740}).new_page()
            page.goto(f"{process.address}/people?who=KT")
            page.fill("#pin", PINS["KT"])
            page.click("text=Sign in for this shift")
            page.goto(f"{process.address}/job/{JOB}/camera")
            page.click("#camera-start")
            with suppress(Exception):
                page.wait_for_url(f"**/t/{code}*", timeout=12_000)
                read += 1
            browser.close()
        print(f"live    {read} of {times} read (goal all)")


def frames(code: str) -> bytes:
    """Return a film of 640 x 480: empty at first, then a tag held before the camera."""
    empty, tag = photo([], module=3, size=(640, 480)), photo([code], module=7, size=(640, 480))
    out = BytesIO()
    for number in range(24):
        (empty if number < 6 else tag).convert("RGB").save(out, "JPEG", quality=85)
    return out.getvalue()


PARTS = {"photo": one_photo, "bench": whole_bench, "write": writes, "poll": polling, "kill": kills, "live": live}

if __name__ == "__main__":
    for name in sys.argv[1:] or PARTS:
        PARTS[name]()
