"""`tagtrack serve`: what it prints, whom it answers, how it ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from contextlib import ExitStack, contextmanager
from http.client import HTTPConnection
from socket import create_connection, socket

from hangar.served import JOB, Process, free_port, serving

from tagtrack.cli.serving import address_of_this_computer
from tagtrack.paper.address_symbol import in_blocks, modules_of


@contextmanager
def served(shop, *more):
    port = free_port()
    words = ["-m", "tagtrack", "--shop", str(shop.root), "serve", "--port", str(port), *more]
    process = subprocess.Popen(
        [sys.executable, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, encoding="utf-8",
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
        # where the tests run in the background, Ctrl-C would be ignored from the start
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 - nothing else is done there
    )  # fmt: skip
    try:
        yield process, port
    finally:
        process.kill()
        process.communicate()


def first_lines(process, until):
    told = ""
    for line in process.stdout:
        told += line
        if until in line:
            break
    return told


def fetched(host, port, **headers):
    line = HTTPConnection(host, port, timeout=10)
    line.request("GET", "/people", headers=headers)
    status = line.getresponse().status
    line.close()
    return status


def test_it_serves_this_computer_alone_unless_asked_for_the_network(shop):
    with served(shop) as (process, port):
        told = first_lines(process, "this computer only")
        assert f"serving http://127.0.0.1:{port}/" in told
        assert fetched("127.0.0.1", port) == 200
        with socket() as probe:
            probe.settimeout(1)
            own = address_of_this_computer()
            assert own.startswith("127.") or probe.connect_ex((own, port)) != 0


def test_on_the_network_it_prints_its_address_as_a_code_that_can_be_scanned(shop):
    with served(shop, "--network", "--name", "shop.local") as (process, port):
        told = first_lines(process, "plain http")
        own = address_of_this_computer()
        assert in_blocks(f"http://{own}:{port}/") in told
        assert "anybody on this network can read along" in told
        assert fetched(own, port) == 200
        assert fetched("127.0.0.1", port, Host=f"shop.local:{port}") == 200
        assert fetched("127.0.0.1", port, Host="evil.example") == 400


def test_the_printed_code_is_read_by_a_decoder_of_its_own():
    import cv2
    import numpy as np

    address = "http://192.168.100.200:8765/"
    grey = np.array(modules_of(address), dtype=np.uint8)
    picture = np.kron(255 * (1 - grey), np.ones((8, 8), dtype=np.uint8))
    assert cv2.QRCodeDetector().detectAndDecode(picture)[0] == address


def test_the_blocks_are_the_modules():
    rows = modules_of("http://10.0.0.1:8765/")
    lines = in_blocks("http://10.0.0.1:8765/").split("\n")
    light = {"\u2588": (1, 1), "\u2580": (1, 0), "\u2584": (0, 1), " ": (0, 0)}
    drawn = [[light[c][half] for c in line] for line in lines for half in (0, 1)]
    assert drawn[: len(rows)] == [[int(not black) for black in row] for row in rows]


def test_people_without_a_pin_are_named(shop):
    from tagtrack.hangar.pins import Pins

    Pins(shop.folder.secrets_file).forget("MB")
    with served(shop) as (process, _):
        assert "no PIN yet: MB; set it: tagtrack pin MB" in first_lines(process, "no PIN")


def test_a_port_that_is_taken_is_a_fault_with_a_way_out(shop):
    with served(shop) as (process, port):
        first_lines(process, "this computer only")
        words = ["-m", "tagtrack", "--shop", str(shop.root), "serve", "--port", str(port)]
        second = subprocess.run([sys.executable, *words], capture_output=True, text=True, timeout=30, check=False)
        assert second.returncode == 5
        assert f"port {port} cannot be used" in second.stderr
        assert "Traceback" not in second.stderr


def test_a_hundred_half_sent_requests_keep_nobody_from_the_page(shop):
    with serving(shop.app()) as address, ExitStack() as half:
        port = int(address.rpartition(":")[2])
        for _ in range(120):
            half.enter_context(create_connection(("127.0.0.1", port), timeout=5)).sendall(b"GET / HTTP/1.1\r\nHost: ")
        connection = HTTPConnection("127.0.0.1", port, timeout=10)
        connection.request("GET", "/people")
        assert connection.getresponse().status == 200
        connection.close()


def test_ctrl_c_ends_it_without_a_word_of_trouble(shop):
    with served(shop) as (process, _):
        first_lines(process, "this computer only")
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=10)
        assert process.returncode == 0
        assert "Traceback" not in told


def test_over_https_the_cookie_is_kept_from_plain_http(browser, shop):
    server = Process(shop.root, 0, "--https")
    try:
        context = browser.new_context(ignore_https_errors=True)
        page = context.new_page()
        given = context.request.get(f"https://localhost:{server.port}/authority")
        assert given.body().startswith(b"-----BEGIN CERTIFICATE-----")
        assert b"PRIVATE" not in given.body()
        page.goto(f"https://localhost:{server.port}/people")
        # the page that asks for itself comes first, and sets none
        page.wait_for_selector("h1:has-text('Who works here?')")
        (cookie,) = context.cookies()
        assert (cookie["secure"], cookie["httpOnly"], cookie["sameSite"]) == (True, True, "Strict")
        assert page.evaluate("isSecureContext")
        page.goto(f"https://localhost:{server.port}/people?who=KT")
        page.fill("#pin", "270354")
        page.click("text=Sign in for this shift")
        page.wait_for_url(f"**/job/{JOB}")
        context.close()
    finally:
        server.kill()


def test_pins_that_others_can_read_are_told(shop):
    shop.folder.secrets_file.chmod(0o644)
    with served(shop) as (process, _):
        first_lines(process, "this computer only")
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=10)
        assert "others on this computer can read" in told
