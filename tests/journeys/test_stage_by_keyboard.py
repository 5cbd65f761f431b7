"""The Stage without a mouse: zoom, pan, read, hide, table, hear, rewind, language, light. And with one."""

import re

import pytest
from benchmark_modules import benchmark
from browsers import PROJECTOR, browser
from practised import begun, files

LISTENED = """
window.tones = [];
const Real = window.AudioContext;
window.AudioContext = class extends Real {
  createOscillator() {
    const made = super.createOscillator();
    const set = made.frequency.setValueCurveAtTime.bind(made.frequency);
    made.frequency.setValueCurveAtTime = (curve, ...more) => {
      window.tones.push([...curve]);
      return set(curve, ...more);
    };
    return made;
  }
};
"""
"""Takes down what would sound; it runs before the page and beneath its rules."""
LEFT = "() => document.activeElement.getBoundingClientRect().left"
LEFTS = "() => [...document.querySelectorAll('[data-time]')].map((one) => one.getBoundingClientRect().left)"
WAIT_MS = 20_000


@pytest.fixture(scope="module")
def stage(tmp_path_factory):
    place = tmp_path_factory.mktemp("room")
    begun(place / "shift", files("TiL") + files("KL")).close()
    with benchmark("_stage_process").staged(place / "shift", place / "settings", "--port", "0") as running:
        yield running


@pytest.fixture(scope="module")
def chromium():
    with browser() as opened:
        yield opened
        assert opened.faults == [] and opened.asked == []


@pytest.fixture(scope="module")
def remembered(chromium, stage):
    page = chromium.page()
    page.goto(stage.host)
    return page.context.storage_state()


@pytest.fixture
def page(chromium, stage, remembered):
    opened = chromium.page(PROJECTOR, storage_state=remembered, locale="en-GB")
    opened.add_init_script(LISTENED)
    opened.goto(f"{stage.address}/stage?question=real&edge=Ti+L")
    opened.locator("[data-hides]").first.wait_for()
    yield opened
    opened.context.close()


def window(page) -> tuple[float, float]:
    plot = page.locator("#picture rect[data-plot=energy]").first
    return float(plot.get_attribute("data-low")), float(plot.get_attribute("data-high"))


def until(page, true, what: str) -> None:
    """Wait until something is so: the page's rules allow no function to be waited for."""
    for _ in range(WAIT_MS // 50):
        if true():
            return
        page.wait_for_timeout(50)
    pytest.fail(f"it never came to be: {what}")


def test_plus_and_minus_zoom_shift_and_arrows_pan_and_nought_shows_all(page):
    whole = window(page)
    page.locator(".drawn").focus()
    page.keyboard.press("+")
    until(page, lambda: window(page) != whole, "a nearer view")
    low, high = window(page)
    assert whole[0] < low < high < whole[1]
    page.keyboard.press("Shift+ArrowRight")
    until(page, lambda: window(page)[0] > low + 0.1, "a view further right")
    assert window(page)[1] - window(page)[0] == pytest.approx(high - low, abs=0.01)
    assert "Shown from" in page.locator("#picture figcaption").text_content()
    page.keyboard.press("0")
    until(page, lambda: window(page) == whole, "the whole again")


def test_zooming_asks_one_question_at_a_time(page):
    going, most = [0], [0]

    def began(request):
        if "/api/picture" in request.url:
            going[0] += 1
            most[0] = max(most[0], going[0])

    def ended(request):
        going[0] -= "/api/picture" in request.url

    page.on("request", began)
    page.on("requestfinished", ended)
    page.locator(".drawn").focus()
    whole = window(page)
    for _ in range(5):
        page.keyboard.press("+")
    until(page, lambda: going[0] == 0 and window(page) != whole, "the last view")
    assert most[0] == 1


def test_arrows_read_along_the_lines_in_words(page):
    page.locator(".drawn").focus()
    for _ in range(3):
        page.keyboard.press("ArrowRight")
    said = page.locator("#picture .reading")
    until(page, lambda: " to " in (said.text_content() or ""), "words of a reading")
    assert re.match(r"\d+\.\d+ eV; raw clay .+, .+ to .+; pit-fired clay", said.text_content())
    assert page.locator("g.cross text").count() >= 3


def test_the_mouse_points_drags_and_turns_its_wheel(page):
    whole = window(page)
    box = page.locator("#picture rect[data-plot=energy]").first.bounding_box()
    middle = (box["x"] + box["width"] / 2, box["y"] + 60)
    page.mouse.move(*middle)
    page.locator("g.cross").wait_for(state="attached")
    page.mouse.wheel(0, -400)
    until(page, lambda: window(page) != whole, "a nearer view")
    near = window(page)
    page.mouse.down()
    page.mouse.move(middle[0] - 60, middle[1], steps=4)
    page.mouse.up()
    until(page, lambda: window(page)[0] > near[0], "a view further right")
    page.mouse.dblclick(*middle)
    until(page, lambda: window(page) == whole, "the whole again")


def test_a_name_hides_its_line_and_shows_it_again(page):
    button = page.locator("[data-hides=treated]").first
    lines = page.locator("#picture g[data-series=treated]:not(.name) path[data-x]").first
    assert button.get_attribute("aria-pressed") == "true" and lines.is_visible()
    button.focus()
    page.keyboard.press("Enter")
    assert button.get_attribute("aria-pressed") == "false" and not lines.is_visible()
    assert page.locator("#picture .reading").text_content() == "pit-fired clay is hidden."
    page.keyboard.press("Enter")
    assert lines.is_visible()


def test_t_opens_the_numbers_as_a_table(page):
    page.keyboard.press("t")
    table = page.locator("#numbers table").first
    table.wait_for()
    assert table.locator("caption").count() == 1
    assert 10 < table.locator("tbody tr").count() <= 60
    assert table.locator("tbody th[scope=row]").count() == table.locator("tbody tr").count()
    page.keyboard.press("Escape")
    assert not table.is_visible()


def test_h_says_what_will_sound_before_it_sounds_and_stops_when_pressed_again(page):
    said = page.locator("#picture .reading")
    page.keyboard.press("h")
    until(page, lambda: "You hear raw clay" in (said.text_content() or ""), "words before the sound")
    assert said.is_visible() and page.evaluate("() => window.tones.length") == 0
    until(page, lambda: page.evaluate("() => window.tones.length") == 1, "a tone")
    (tone,) = page.evaluate("() => window.tones")
    assert min(tone) < 300 < 600 < max(tone)
    assert tone.index(max(tone)) > tone.index(min(tone))
    page.keyboard.press("h")
    assert said.text_content() == "Silence."


def test_the_day_line_goes_back_and_escape_returns(page, stage):
    page.locator("#day [data-time][tabindex='0']").focus()
    page.keyboard.press("Home")
    first = page.evaluate(LEFT)
    page.keyboard.press("ArrowRight")
    lefts = sorted(page.evaluate(LEFTS))
    assert [first, page.evaluate(LEFT)] == lefts[:2]
    page.keyboard.press("Enter")
    page.locator("h1 .then").wait_for()
    assert "until=" in page.url and re.match(r"At \d+:\d\d we knew: ", page.locator("h1").text_content())
    assert page.locator("#strip .ground [stroke-dasharray='0.1 6']").count() == 1
    assert page.evaluate("() => document.activeElement.hasAttribute('data-time')")
    assert page.locator("#news").text_content() == page.locator("h1").text_content()
    assert page.locator("a.now").is_visible()
    page.keyboard.press("Escape")
    page.locator("h1 .then").wait_for(state="detached")
    assert "until=" not in page.url


def test_d_turns_the_light_and_it_stays_so(page):
    page.keyboard.press("d")
    until(page, lambda: page.locator("html").get_attribute("data-room") == "dark", "a dark room")
    until(page, lambda: page.locator("#picture svg > rect[fill='#10191A']").count() > 0, "a dark picture")
    page.reload()
    assert page.locator("html").get_attribute("data-room") == "dark"


def test_the_sheet_of_keys_chooses_a_language(page):
    page.keyboard.press("?")
    page.locator("#help a[hreflang=fr]").focus()
    page.keyboard.press("Enter")
    page.locator("html[lang=fr]").wait_for(state="attached")
    page.locator("[data-hides]").first.wait_for()
    page.locator(".drawn").focus()
    page.keyboard.press("ArrowRight")
    said = page.locator("#picture .reading")
    until(
        page,
        lambda: re.search(r"\d,\d+ eV; raw clay .*, de .* à ", said.text_content() or ""),
        "French words",
    )
    assert "lang=" not in page.url


def test_everything_is_reached_by_tab_beginning_with_the_way_past_the_strip(page):
    seen = []
    for _ in range(40):
        page.keyboard.press("Tab")
        seen.append(
            page.evaluate(
                "() => document.activeElement.className?.baseVal ?? document.activeElement.className"
            )
        )
        if page.evaluate("() => document.activeElement.matches('a[data-key=d]')"):
            break
    assert seen[0] == "skip" and "drawn" in seen and seen[-1] == "button"
    assert page.evaluate("() => document.activeElement.matches('a[data-key=d]')")


def test_twice_as_large_the_page_is_one_column_that_does_not_run_over(page):
    page.set_viewport_size({"width": 640, "height": 360})
    page.reload()
    until(
        page,
        lambda: page.locator("#picture svg").get_attribute("viewBox").split()[2] != "1184",
        "a narrow picture",
    )
    wide, room = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
    assert wide <= room
    assert page.evaluate("() => parseFloat(getComputedStyle(document.querySelector('h1')).fontSize)") >= 27
