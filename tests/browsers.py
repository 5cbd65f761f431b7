"""A real headless browser that can reach nothing but this machine, and remembers whom it asked."""

from __future__ import annotations

import contextlib
import os
import shutil
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from conftest import skip_unless_required

NAMES = ("chromium", "chromium-browser", "google-chrome")
OUTSIDE = "MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
PROJECTOR, LAPTOP, PHONE = (1280, 720), (1440, 900), (390, 844)


def chromium() -> str:
    """Where the browser stands; skips with a reason where there is none."""
    named = os.environ.get("EDGESHIFT_CHROMIUM") or next(filter(None, map(shutil.which, NAMES)), None)
    if not named:
        skip_unless_required("no Chromium (put it in, or set EDGESHIFT_CHROMIUM to it)")
    return named


class Browser:
    """Pages of several people in one browser; `asked` holds every address outside this machine."""

    def __init__(self, launched) -> None:
        self._launched = launched
        self.asked: list[str] = []
        self.faults: list[str] = []

    def page(self, size: tuple[int, int] = PROJECTOR, **more):
        """A page of somebody new, with cookies of its own."""
        context = self._launched.new_context(viewport={"width": size[0], "height": size[1]}, **more)
        page = context.new_page()
        page.on("request", self._note)
        page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        return page

    def _note(self, request) -> None:
        where = urlsplit(request.url)
        if where.scheme in ("http", "https", "ws") and where.hostname != "127.0.0.1":
            self.asked.append(request.url)


@contextlib.contextmanager
def browser() -> Iterator[Browser]:
    """A browser for one test."""
    path = chromium()
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as driver:
        launched = driver.chromium.launch(
            executable_path=path, args=["--no-sandbox", f"--host-resolver-rules={OUTSIDE}"]
        )
        try:
            yield Browser(launched)
        finally:
            launched.close()
