"""What only a browser can show: a finger draws, keys draw, drafts outlive a restart, words open."""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path
from shutil import which

import pytest
from a_house import CARDS, FIRED_SCANS, RAW_SCANS, TEXT, scan
from conftest import skip_unless_required

from edgeshift.actions.desk import Desk
from edgeshift.actions.entering import Who
from edgeshift.actions.new import new
from edgeshift.actions.rounds import open_guess_round, open_vote_round
from edgeshift.actions.take import take
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.records.room import Card
from edgeshift.records.shift_state import replay
from edgeshift.web.access import COOKIE, Doors
from edgeshift.web.server import own_key

PHONE = {"width": 390, "height": 844}


def _free_port() -> int:
    with socket.socket() as asked:
        asked.bind(("127.0.0.1", 0))
        return asked.getsockname()[1]


PORT = _free_port()
"""One for this process: a page comes back to the address that it knew."""
HOST = Who("host", "before we look")


@pytest.fixture(scope="module")
def browser():
    chromium = which("chromium") or "/usr/bin/chromium"
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        skip_unless_required("playwright")
    if not Path(chromium).exists():
        skip_unless_required("chromium")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def settings(tmp_path_factory):
    return tmp_path_factory.mktemp("settings")


@pytest.fixture
def shift(tmp_path):
    place = tmp_path / "shift"
    desk = Desk()
    with new(place, TEXT, desk) as folder:
        take(folder, [scan(*each) for each in (*RAW_SCANS, *FIRED_SCANS)], desk)
        open_guess_round(folder, desk, HOST, "Al K", "FIRED-C")
        open_vote_round(folder, desk, HOST, [Card(**card) for card in CARDS])
    return place


@contextmanager
def served(place: Path, settings: Path):
    """The room, served by a process of its own."""
    command = [sys.executable, "-m", "edgeshift.cli", "stage", str(place), "--port", str(PORT)]
    env = {**os.environ, "XDG_CONFIG_HOME": str(settings)}
    process = subprocess.Popen(command, env=env, stdout=subprocess.PIPE, text=True)
    try:
        assert any("ends it" in line for line in process.stdout)
        yield
    finally:
        process.kill()
        process.wait()
        process.stdout.close()


@contextmanager
def phone(browser, place: Path, settings: Path, ticket: str):
    context = browser.new_context(viewport=PHONE, has_touch=True)
    context.add_cookies([{"name": COOKIE, "value": ticket, "url": f"http://127.0.0.1:{PORT}"}])
    page = context.new_page()
    troubles = []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda said: troubles.append(said.text) if "Content Security" in said.text else None)
    page.goto(f"http://127.0.0.1:{PORT}/pocket")
    page.locator("body[data-live=yes]").wait_for()
    yield page
    context.close()
    assert troubles == []


def guest(place: Path, settings: Path) -> str:
    day = Desk().now()[:10]
    return Doors(own_key(settings / "edgeshift"), str(place.resolve()), day).ticket("guest")


def stroke(page, *shares):
    """A finger over the drawing area, through points in shares of its width and height."""
    box = page.locator("[data-pad]").bounding_box()
    places = [(box["x"] + x * box["width"], box["y"] + y * box["height"]) for x, y in shares]
    page.mouse.move(*places[0])
    page.mouse.down()
    for place in places[1:]:
        page.mouse.move(*place, steps=8)
    page.mouse.up()


def points(page):
    return page.evaluate("JSON.parse(document.querySelector('[name=points]').value)")


def rounds(place: Path):
    with ExperimentFolder.open(place) as folder:
        return replay(folder.events()).rounds


def sketches(place: Path):
    return list(rounds(place)["guess-1"].guesses.values())


def test_a_finger_draws_and_a_later_stroke_takes_the_place_of_its_stretch(browser, shift, settings):
    with served(shift, settings), phone(browser, shift, settings, guest(shift, settings)) as page:
        assert page.locator("form[data-guess] .main").is_disabled()
        stroke(page, (0.25, 0.8), (0.5, 0.4), (0.95, 0.5))
        drawn = points(page)
        assert drawn == sorted(drawn) and len(drawn) > 100
        stroke(page, (0.6, 0.75), (0.8, 0.75))
        again = points(page)
        assert len(again) == len(drawn)
        changed = [new[0] for new, old in zip(again, drawn, strict=True) if new != old]
        assert changed[0] > drawn[0][0] + 15 and changed[-1] < drawn[-1][0]
        page.locator("form[data-guess] .main").click()
        page.get_by_text("Your guess is in.").wait_for()
        page.get_by_text("One is in.").first.wait_for()
        assert [list(point) for point in sketches(shift)[0].points] == again
        page.locator("[data-wipe]").click()
        assert points(page) == []


def test_arrow_keys_draw_too(browser, shift, settings):
    with served(shift, settings), phone(browser, shift, settings, guest(shift, settings)) as page:
        page.locator("[data-pad]").focus()
        for key in ("ArrowUp", "ArrowUp", *["ArrowRight"] * 10, "ArrowDown", *["ArrowRight"] * 10):
            page.keyboard.press(key)
        heights = [height for _, height in points(page)]
        assert max(heights) > heights[-1] > 0
        assert re.search(r"edge steps at \d+\.\d eV", page.locator("#where").inner_text())
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.get_by_text("Your guess is in.").wait_for()


def test_a_page_comes_back_after_a_restart_with_everything_that_was_begun(browser, shift, settings):
    ticket = guest(shift, settings)
    with served(shift, settings):
        context = phone(browser, shift, settings, ticket)
        page = context.__enter__()
        stroke(page, (0.25, 0.8), (0.9, 0.4))
        drawn = points(page)
        page.locator("#say summary").click()
        page.locator("#claim").fill("the peak moved")
        page.locator("label", has_text="These two specimens differ.").click()
        page.locator("label.card", has_text="stop and write").click()
    page.get_by_text("The room's laptop does not answer.").wait_for(timeout=10_000)
    with served(shift, settings):
        page.locator("body[data-live=yes]").wait_for(timeout=20_000)
        assert points(page) == drawn
        page.reload()
        assert points(page) == drawn
        assert page.locator("#claim").input_value() == "the peak moved"
        page.get_by_role("button", name="Say this").click()
        page.get_by_text("What you said").wait_for()
        page.get_by_role("button", name="Vote for this").click()
        page.get_by_text("Your vote is in.").wait_for()
        page.get_by_role("button", name="This is my guess").click()
        page.get_by_text("Your guess is in.").wait_for()
        page.reload()
        assert page.locator("#claim").input_value() == ""
        assert page.evaluate("Object.keys(localStorage).filter(k => /guess|claim|level/.test(k))") == []
        context.__exit__(None, None, None)
    assert list(rounds(shift)["vote-1"].votes.values()) == ["stop and write"]


def test_somebody_elses_sketch_disturbs_no_stroke(browser, shift, settings):
    with served(shift, settings), phone(browser, shift, settings, guest(shift, settings)) as page:
        box = page.locator("[data-pad]").bounding_box()
        at = (box["x"] + 0.3 * box["width"], box["y"] + 0.7 * box["height"])
        page.mouse.move(*at)
        page.mouse.down()
        page.mouse.move(at[0] + 60, at[1], steps=5)
        with phone(browser, shift, settings, guest(shift, settings)) as other:
            stroke(other, (0.25, 0.8), (0.9, 0.4))
            other.get_by_role("button", name="This is my guess").click()
            other.get_by_text("Your guess is in.").wait_for()
        page.get_by_text("One is in.").first.wait_for()
        page.mouse.move(at[0] + 120, at[1], steps=5)
        page.mouse.up()
        energies = [energy for energy, _ in points(page)]
        steps = [after - before for before, after in zip(energies, energies[1:], strict=False)]
        assert len(energies) > 60 and max(steps) < 2 * min(steps)


def test_a_word_is_touched_and_a_sheet_rises(browser, shift, settings):
    with served(shift, settings), phone(browser, shift, settings, guest(shift, settings)) as page:
        page.goto(f"http://127.0.0.1:{PORT}/pocket?question=trust")
        page.locator("button.word", has_text="scan").first.click()
        sheet = page.locator("#sheet")
        assert sheet.get_by_text("one run along the energies").is_visible()
        page.keyboard.press("Escape")
        assert not sheet.is_visible()
        page.locator("#words summary").click()
        page.locator("#search").fill("thumb of nobody")
        assert page.get_by_text("No such word here.").is_visible()
        page.locator("#search").fill("white line")
        assert page.locator("#words dl > div:visible").count() < 5


def test_nothing_to_press_is_smaller_than_a_thumb(browser, shift, settings):
    with served(shift, settings), phone(browser, shift, settings, guest(shift, settings)) as page:
        for each in page.locator("#say summary, #words summary, #shy summary").all():
            each.click()
        small = page.evaluate(
            """[...document.querySelectorAll('button:not(.word), summary, label.card, .ladder label,'
            + ' textarea, input[type=search]')]
            .filter(e => e.offsetParent && e.getBoundingClientRect().height < 62).map(e => e.outerHTML)"""
        )
        assert small == []
        wide = page.evaluate("document.documentElement.scrollWidth")
        assert wide == PHONE["width"]
        page.set_viewport_size({"width": 195, "height": 422})
        assert page.evaluate("document.documentElement.scrollWidth") == 195
