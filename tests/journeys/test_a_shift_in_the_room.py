"""A shift in the room: host, projector and phone in a real browser, from the first file to the vote."""

import pytest
from benchmark_modules import benchmark
from browsers import LAPTOP, PHONE, PROJECTOR, browser
from practised import begun, files

WAIT_MS = 30_000


@pytest.fixture(scope="module")
def chromium():
    with browser() as opened:
        yield opened


@pytest.fixture
def stage(tmp_path):
    begun(tmp_path / "shift", []).close()
    (tmp_path / "landing").mkdir()
    watched = ("--port", "0", "--watch", str(tmp_path / "landing"))
    with benchmark("_stage_process").staged(tmp_path / "shift", tmp_path / "settings", *watched) as running:
        yield running


@pytest.fixture
def land(tmp_path):
    waiting = iter(files("AlK"))

    def some(count: int) -> None:
        for _ in range(count):
            name, data = next(waiting)
            (tmp_path / "landing" / name).write_bytes(data)

    return some


def at(page, address):
    page.goto(address)
    page.locator("body[data-live=yes]").wait_for(state="attached", timeout=WAIT_MS)
    return page


def shows(page, part, words):
    page.locator(part, has_text=words).first.wait_for(timeout=WAIT_MS)


def draw(phone):
    """A finger from left to right over the drawing area."""
    phone.locator("[data-pad]").first.scroll_into_view_if_needed()
    box = phone.locator("[data-pad]").first.bounding_box()
    phone.mouse.move(box["x"] + 0.1 * box["width"], box["y"] + 0.7 * box["height"])
    phone.mouse.down()
    for step in range(1, 9):
        phone.mouse.move(
            box["x"] + (0.1 + 0.1 * step) * box["width"], box["y"] + (0.7 - 0.05 * step) * box["height"]
        )
    phone.mouse.up()


def test_a_whole_shift_from_the_first_file_to_the_vote(chromium, stage, land):
    wing = chromium.page(LAPTOP, locale="en-GB")
    at(wing, stage.host)
    projector = wing.context.new_page()
    projector.set_viewport_size({"width": PROJECTOR[0], "height": PROJECTOR[1]})
    at(projector, f"{stage.address}/stage")
    phone = chromium.page(PHONE, locale="en-GB")
    phone.goto(stage.address)
    phone.fill("#code", stage.code)
    phone.click("button.main")
    phone.wait_for_url("**/pocket")

    land(1)
    shows(projector, "#strip", "keep")

    wing.click("#sketching summary")
    wing.select_option("#invite-edge", "Al K")
    wing.select_option("#invite-specimen", "PIT750-A")
    wing.click("#invite button")
    shows(phone, "main", "This is my guess")
    draw(phone)
    phone.click("form[data-guess] button.main")
    shows(wing, "#sketches", "one sketch is in")
    land(1)
    projector.goto(f"{stage.address}/stage?question=trust&edge=Al+K")
    projector.locator("[data-ghosts]").first.wait_for(state="attached", timeout=WAIT_MS)

    land(4)
    shows(projector, "#strip", "6 kept")
    wing.goto(f"{stage.address}/wing/scan?scan=scan-001")
    wing.fill("form[data-act='/api/judge'] [name=reason]", "the door was open")
    wing.click("button[value=set-aside]")
    shows(projector, "#strip", "1 aside")
    at(wing, f"{stage.address}/wing")
    wing.fill("#back-scan-001", "it was not")
    wing.press("#back-scan-001", "Enter")
    shows(projector, "#strip", "6 kept")

    at(projector, f"{stage.address}/stage?question=real&edge=Al+K")
    shows(projector, "body", "pit-fired clay")
    wing.click("#curtain-form button")
    projector.locator("body", has_text="pit-fired clay").wait_for(state="detached", timeout=WAIT_MS)
    for page in (projector, phone, wing):
        page.reload()
        seen = page.content()
        assert not [word for word in ("pit-fired", "raw clay", "PIT750", "RAW-A") if word in seen]
    wing.fill("#curtain-why", "we have committed")
    wing.press("#curtain-why", "Enter")
    shows(projector, "body", "pit-fired clay")

    wing.goto(f"{stage.address}/wing/cards")
    for number, (title, minutes) in enumerate((("Scan iron", "40"), ("Stop and write", "10")), 1):
        wing.fill(f"#title-{number}", title)
        wing.fill(f"#minutes-{number}", minutes)
    wing.click("button.main")
    wing.wait_for_url("**/wing")
    shows(phone, "main", "Vote for this")
    phone.locator("label.card", has_text="Scan iron").click()
    phone.click("form[data-act='/api/vote'] button.main")
    shows(wing, "#cards", "One voted")
    assert "for it" not in phone.inner_text("main")
    wing.locator("#cards form[data-act='/api/round'] button").first.click()
    shows(wing, "#cards", "one for it")
    shows(phone, "main", "How the room voted")

    moments = projector.locator("[data-time]")
    moments.first.focus()
    moments.first.press("Enter")
    shows(projector, ".sentence", "we knew")
    projector.keyboard.press("Escape")
    projector.locator(".sentence .then").wait_for(state="detached", timeout=WAIT_MS)

    assert chromium.asked == []
    assert chromium.faults == []


def test_a_file_that_grows_is_shown_as_running_until_its_last_point(chromium, stage, land, tmp_path):
    projector = chromium.page(PROJECTOR, locale="en-GB")
    projector.goto(stage.host)
    wing = at(projector.context.new_page(), f"{stage.address}/wing")
    at(projector, f"{stage.address}/stage")
    land(2)
    shows(projector, "#strip", "2 kept")
    running = projector.locator("#day [aria-label^='scan, running']")
    assert running.count() == 0
    name, data = files("AlK")[2]
    lines = data.splitlines(keepends=True)
    with (tmp_path / "landing" / name).open("wb", buffering=0) as growing:
        growing.write(b"".join(lines[:60]))
        running.wait_for(timeout=WAIT_MS)
        shows(wing, "#files", name)
        assert running.locator("path[stroke-dasharray]").bounding_box()["height"] > 8
        growing.write(b"".join(lines[60:-1]))
        projector.wait_for_timeout(2500)
        assert running.count() == 1
        growing.write(lines[-1])
        shows(projector, "#strip", "3 kept")
        running.wait_for(state="detached", timeout=WAIT_MS)
    assert chromium.faults == []
