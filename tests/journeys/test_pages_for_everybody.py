"""No page keeps anybody out: axe-core finds nothing serious on any, in either light, at every size."""

import pytest
from axe import violations
from benchmark_modules import benchmark
from browsers import LAPTOP, PHONE, PROJECTOR, browser
from practised import begun, files

PAGES = (
    ("/join", PHONE),
    ("/stage?question=trust", PROJECTOR),
    ("/stage?question=trust&edge=Ti+L", LAPTOP),
    ("/stage?question=real&edge=Ti+L", PROJECTOR),
    ("/stage?question=real&edge=Ti+L", PHONE),
    ("/stage?question=real&until=2026-03-01T00:00:00Z", PROJECTOR),
    ("/stage?question=begin", PROJECTOR),
    ("/story", PROJECTOR),
    ("/story", PHONE),
)
"""Each page and the size at which it is looked at: a new one is a line here."""


@pytest.fixture(scope="module")
def stage(tmp_path_factory):
    place = tmp_path_factory.mktemp("room")
    begun(place / "shift", files("TiL") + files("KL")).close()
    with benchmark("_stage_process").staged(place / "shift", place / "settings", "--port", "0") as running:
        yield running


def as_host(chromium, stage) -> dict:
    """What a browser remembers once the host came in; knocking for every page would be too often."""
    page = chromium.page()
    page.goto(stage.host)
    return page.context.storage_state()


@pytest.mark.parametrize("lit", ["light", "dark"])
def test_axe_finds_nothing_serious(stage, lit):
    found = []
    with browser() as chromium:
        remembered = as_host(chromium, stage)
        for path, size in PAGES:
            page = chromium.page(size, storage_state=remembered)
            page.goto(f"{stage.address}{path}{'&' if '?' in path else '?'}room={lit}")
            page.wait_for_timeout(400)
            found += [f"{path} at {size}: {one}" for one in violations(page)]
        assert chromium.faults == []
    assert found == []


def test_axe_finds_nothing_serious_on_the_sheets_that_open(stage):
    with browser() as chromium:
        page = chromium.page(PROJECTOR, storage_state=as_host(chromium, stage))
        page.goto(f"{stage.address}/stage?question=real&edge=Ti+L&lang=fr")
        page.keyboard.press("?")
        found = violations(page)
        page.keyboard.press("Escape")
        page.keyboard.press("t")
        page.locator("#numbers table").first.wait_for()
        assert found + violations(page) == []


def test_axe_would_find_something():
    with browser() as chromium:
        page = chromium.page()
        page.set_content("<html lang=en><title>x</title><main><button></button></main>")
        assert any("button-name" in one for one in violations(page))
