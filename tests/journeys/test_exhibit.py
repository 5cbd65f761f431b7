"""The exhibit on a phone, from a file, without any network: guess, reveal, slide, rewind, touch a word."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from acted import EVENING, acted
from axe import violations
from browsers import PHONE, PROJECTOR, browser

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.gathering import gather
from edgeshift.actions.gathering_exhibit import gather_hands_on
from edgeshift.actions.room import Room
from edgeshift.publish.exhibit import MOST_BYTES, exhibit
from edgeshift.wording.screen import ENGLISH

SIZES = {"phone": PHONE, "projector": PROJECTOR}


@pytest.fixture(scope="module")
def shift(tmp_path_factory):
    place = tmp_path_factory.mktemp("exhibit")
    desk = steady_desk(EVENING)
    acted(place / "shift", desk).close()
    room = Room(place / "shift", desk)
    material, tries = gather(room), gather_hands_on(room)
    room.close()
    return place, material, tries


@pytest.fixture(scope="module")
def file(shift) -> Path:
    place, material, tries = shift
    data = exhibit(material, tries)["exhibit.html"]
    assert len(data) < MOST_BYTES
    (place / "exhibit.html").write_bytes(data)
    return place / "exhibit.html"


@pytest.fixture(scope="module")
def chromium():
    with browser() as opened:
        yield opened
        assert opened.faults == [] and opened.asked == []


@pytest.fixture
def page(chromium, file):
    opened = chromium.page(PHONE, has_touch=True)
    opened.context.set_offline(True)
    asked: list[str] = []
    opened.on("request", lambda request: asked.append(request.url))
    opened.goto(file.as_uri())
    yield opened
    assert [one for one in asked if not one.startswith("data:")] == [file.as_uri()]
    opened.context.close()


def draw(page) -> None:
    """A stroke across the sheet with a mouse."""
    box = page.locator("[data-pad]").bounding_box()
    page.mouse.move(box["x"] + 0.4 * box["width"], box["y"] + 0.6 * box["height"])
    page.mouse.down()
    for nth in range(8):
        page.mouse.move(box["x"] + (0.4 + 0.06 * nth) * box["width"], box["y"] + 0.4 * box["height"])
    page.mouse.up()


def revealed(page) -> None:
    page.click("[data-skip]")


def test_nothing_is_told_before_the_guess_and_the_line_stays_after_it(page):
    assert not page.locator("#found").is_visible()
    assert not page.locator(".pad .shown").is_visible()
    assert page.locator("[data-show]").is_disabled()
    draw(page)
    line = page.locator(".pencil .fine").get_attribute("d")
    assert line.count("L") > 20
    page.click("[data-show]")
    assert page.locator("#found").is_visible() and page.locator(".pad .shown").is_visible()
    draw(page)
    assert page.locator(".pencil .fine").get_attribute("d") == line, "once it is shown nobody draws any more"


def test_a_guess_can_be_drawn_with_the_keys_alone(page):
    page.locator("[data-pad]").focus()
    for key in ("ArrowUp", "ArrowRight", "ArrowRight", "ArrowDown"):
        page.keyboard.press(key)
    assert "eV" in page.locator("#where").inner_text()
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    assert page.locator("#found").is_visible()


def test_the_same_numbers_stand_there_as_the_answers_hold(page, shift):
    _, material, _ = shift
    revealed(page)
    text = re.sub(r"\s+", " ", page.locator("#found").evaluate("(one) => one.textContent"))
    for told in material.answers:
        for said in (told.sentence, *told.facts):
            assert re.sub(r"\s+", " ", said.text) in text


def test_every_change_shows_the_answer_that_was_given_to_it(page, shift):
    _, _, tries = shift
    revealed(page)
    for nth, slid in enumerate(tries.slid):
        page.click(f'[data-edge="{nth}"]')
        here = page.locator(f'[data-slid="{nth}"]')
        along = [one for one in slid.tried if one.kind != "without"]
        dial = here.locator("[data-along]")
        dial.focus()
        page.keyboard.press("Home")
        for tried in along:
            assert reading(here) == expected(tried)
            assert dial.get_attribute("aria-valuetext") == tried.said.text
            page.keyboard.press("ArrowRight")
        for tried in (one for one in slid.tried if one.kind == "without"):
            here.get_by_role("button", name=tried.said.text, exact=True).click()
            assert reading(here) == expected(tried)
            assert dial.get_attribute("aria-valuetext") == "as it was measured"


def reading(here) -> list[str]:
    """What is told of the one change that is shown."""
    (seen,) = [one for one in here.locator(".tried").all() if one.is_visible()]
    assert seen.locator("svg").is_visible()
    return seen.locator(".supposed, .verdict, li").all_inner_texts()


def expected(tried) -> list[str]:
    told = tried.told
    return [tried.said.text, told.sentence.text, *(fact.text for fact in told.facts[:4])]


def test_the_day_rewinds_and_shows_the_six_answers_of_then(page, shift):
    _, _, tries = shift
    revealed(page)
    back = page.locator('[data-go="-1"]')
    for one in reversed(tries.rewound):
        (seen,) = [each for each in page.locator("[data-moment-at]").all() if each.is_visible()]
        assert seen.locator(".then b").inner_text() == one.at
        told = seen.locator(".six .told").all_text_contents()
        assert [" ".join(text.split()) for text in told] == [
            f"{spoken(station.state)}: {station.said.text}" for station in one.six
        ]
        back.click()


def spoken(state: str) -> str:
    return ENGLISH(f"state.{state}")


def test_a_word_of_the_trade_is_explained_where_it_is_touched(page):
    revealed(page)
    word = page.locator("#found .verdict .word").first
    word.tap()
    meaning = page.locator(f"#{word.get_attribute('popovertarget')}")
    assert meaning.is_visible()
    page.keyboard.press("Escape")
    assert not meaning.is_visible()


@pytest.mark.parametrize("lit", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_it_keeps_nobody_out(chromium, file, lit, size):
    page = chromium.page(SIZES[size], color_scheme=lit)
    page.goto(file.as_uri())
    found = violations(page)
    revealed(page)
    for one in page.locator("details").all():
        one.evaluate("(each) => { each.open = true }")
    assert found + violations(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    page.context.close()


def test_the_light_can_be_turned(page):
    sheet = "getComputedStyle(document.body).backgroundColor"
    before = page.evaluate(sheet)
    page.click("[data-turn]")
    assert page.evaluate(sheet) != before


def test_without_its_script_everything_can_be_read(chromium, file, shift):
    _, _, tries = shift
    page = chromium.page(PHONE, java_script_enabled=False)
    page.goto(file.as_uri())
    for place in ("#found", ".pad .shown", "#slide details", "#said", "#more", "#day"):
        assert page.locator(place).first.is_visible(), place
    assert page.locator("[data-moment-at]").first.is_visible()
    assert page.locator("#slide details tbody tr").count() == sum(len(one.tried) for one in tries.slid)
    assert not page.locator("button[data-show]").is_visible()
    page.context.close()
