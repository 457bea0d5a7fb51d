"""The browser: the system's Chromium, or the one that Playwright fetches for itself, once, where there is none.

Where neither is to be had, tests fail and are not skipped.
"""

from __future__ import annotations

import functools
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from hangar.served import PINS, ShopFolder, make_shop, serving
from playwright.sync_api import sync_playwright

PHONE = {"viewport": {"width": 360, "height": 740}, "device_scale_factor": 2, "has_touch": True, "is_mobile": True}
TABLET = {"viewport": {"width": 820, "height": 1180}, "has_touch": True, "is_mobile": True}


@functools.cache
def chromium() -> str | None:
    """Return where the system's browser is; None where Playwright has to bring its own, fetched now if it must be."""
    names = ("chromium", "chromium-browser", "google-chrome", "chrome")
    found = os.environ.get("TAGTRACK_CHROMIUM") or next(filter(None, map(shutil.which, names)), None)
    if found is None:
        fetched = subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=False)
        assert fetched.returncode == 0, "no Chromium here: install one, or name it in TAGTRACK_CHROMIUM"
    return found


@pytest.fixture(scope="session")
def play():
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="session")
def browser(play):
    opened = play.chromium.launch(executable_path=chromium(), args=["--no-sandbox", "--disable-dev-shm-usage"])
    yield opened
    opened.close()


@pytest.fixture(scope="session")
def pattern(tmp_path_factory) -> Path:
    """A shop to be copied: making PINs takes its time on purpose."""
    root = tmp_path_factory.mktemp("pattern") / "shop"
    make_shop(root)
    return root


@pytest.fixture
def shop(pattern: Path, tmp_path: Path) -> ShopFolder:
    made = ShopFolder(Path(shutil.copytree(pattern, tmp_path / "shop")))
    yield made
    made.close()


@pytest.fixture
def address(shop):
    with serving(shop.app()) as found:
        yield found


@pytest.fixture
def phone(browser, address):
    """A phone with somebody signed in, showing the board. What its console says ends the test."""
    with opened_phone(browser, address) as page:
        yield page


def opened_phone(browser, address, who="KT", **how):
    return _Phone(browser, address, who, how)


class _Phone:
    def __init__(self, browser, address, who, how) -> None:
        self.context = browser.new_context(base_url=address, **{**PHONE, **how})
        self.who = who
        self.said: list[str] = []

    def __enter__(self):
        page = self.context.new_page()
        # a machine that does much else is given its time
        page.set_default_timeout(20000)
        page.on("pageerror", lambda problem: self.said.append(str(problem)))
        page.on("console", self._console)
        if self.who:
            sign_in(page, self.who)
        return page

    def _console(self, message) -> None:
        if message.type == "error" and "Failed to load resource" not in message.text:
            self.said.append(message.text)

    def __exit__(self, *trouble) -> None:
        self.context.close()
        if not trouble[0]:
            assert self.said == []


def sign_in(page, who: str) -> None:
    page.goto("/people?who=" + who)
    page.fill("#pin", PINS[who])
    page.click("text=Sign in for this shift")
    page.wait_for_url("**/job/*")
