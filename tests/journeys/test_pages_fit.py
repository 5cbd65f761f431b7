"""Pages fit their sheet: large enough to read and to press, nothing runs over, nothing hides."""

import pytest
from browsers import LAPTOP, PHONE, PROJECTOR
from full_room import come_in

from edgeshift.records.answer import QUESTIONS

TWICE_AS_LARGE, SMALL_PROJECTOR = (640, 360), (1024, 768)
LEAST_SHARE, LEAST_KEY_PX = 0.04, 44
WAIT_MS = 10_000
SHARES = """() => ["h1.sentence", ".words .asked"].map(
  (one) => parseFloat(getComputedStyle(document.querySelector(one)).fontSize) / innerHeight)"""
OVER = """() => {
  const low = document.querySelector("#day").getBoundingClientRect().top;
  const words = [...document.querySelectorAll("h1.sentence, .words .asked")];
  const below = document.querySelector("#room").getBoundingClientRect().top || low;
  return words.filter((one) => one.getBoundingClientRect().bottom > below + 2).map((one) => one.textContent);
}"""
UNPRESSABLE = """(least) => {
  // names on a picture are as near to one another as its lines are
  const keys = [...document.querySelectorAll(
    "button:not(.names *), a.button, summary, select, .edges a, .languages a")];
  const small = [];
  for (const key of keys) {
    if (!key.checkVisibility({ visibilityProperty: true, opacityProperty: true })) continue;
    key.scrollIntoView({ block: "center" });
    const box = key.getBoundingClientRect();
    const middle = box.left + box.width / 2, reach = least / 2 - 0.5;
    const hits = [-reach, reach].map((far) =>
      document.elementFromPoint(middle, box.top + box.height / 2 + far));
    const others = hits.filter((hit) => hit?.closest("button, a, summary, select") !== key);
    if (others.length) small.push(key.textContent.trim());
  }
  return small;
}"""
IN_SIGHT = """() => {
  const whole = (one, within) => {
    const box = one.getBoundingClientRect(), room = within.getBoundingClientRect();
    return box.top >= room.top - 1 && box.bottom <= Math.min(room.bottom, innerHeight) + 1;
  };
  const worries = [...document.querySelectorAll(".worry")];
  const shelf = document.querySelector("#shelf"), day = document.querySelector("#day");
  return {
    worries: worries.filter((one) => whole(one, document.querySelector("#worries"))).length,
    mirror: whole(document.querySelector(".frame"), document.querySelector(".mirror-bay")),
    next: whole(document.querySelector(".numbers"), document.querySelector(".mirror-bay")),
    light: whole(document.querySelector("#foot a[href*=room]"), document.querySelector(".mirror-bay")),
    tongues: whole(document.querySelector("#foot .languages"), document.querySelector(".mirror-bay")),
    impostors: whole(document.querySelector("#impostors"), document.querySelector(".hand")),
    shelf: whole(shelf, document.body) && whole(day, document.body),
    apart: shelf.getBoundingClientRect().bottom <= day.getBoundingClientRect().top + 1,
  };
}"""


@pytest.fixture(scope="module")
def host(chromium, room):
    return come_in(chromium, room)[0]


@pytest.fixture
def opened(chromium, room, host):
    def page(path, size=LAPTOP):
        made = chromium.page(size, storage_state=host, locale="en-GB")
        made.goto(room.address + path)
        made.locator("body[data-live=yes]").wait_for(state="attached")
        made.evaluate("() => document.fonts.ready.then(() => true)")
        return made

    return page


def until(page, true, what: str) -> None:
    for _ in range(WAIT_MS // 50):
        if true():
            return
        page.wait_for_timeout(50)
    pytest.fail(f"it never came to be: {what}")


@pytest.mark.parametrize("size", [PROJECTOR, LAPTOP, SMALL_PROJECTOR])
def test_sentence_and_open_question_are_a_twenty_fifth_of_the_height_and_do_not_run_into_the_picture(
    opened, size
):
    page = opened("/stage", size)
    for question in QUESTIONS:
        for tongue in ("en", "fr"):
            page.goto(f"{page.url.partition('/stage')[0]}/stage?question={question}&lang={tongue}")
            shares = page.evaluate(SHARES)
            assert min(shares) >= LEAST_SHARE, (question, tongue, shares)
            assert page.evaluate(OVER) == []


@pytest.mark.parametrize("size", [PROJECTOR, LAPTOP, PHONE, TWICE_AS_LARGE])
@pytest.mark.parametrize("tongue", ["en", "fr", "es"])
def test_no_page_is_wider_than_its_window(opened, size, tongue):
    page = opened(f"/wing?lang={tongue}", size)
    stages = [f"/stage?question={question}" for question in QUESTIONS]
    start = page.url.partition("/wing")[0]
    for path in ("/wing", "/wing/look", "/wing/scan?scan=scan-024", "/wing/cards", "/wing/experiment",
                 "/pocket", "/stage/join", *stages):  # fmt: skip
        page.goto(start + path)
        wide, window = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
        assert wide <= window, path


@pytest.mark.parametrize("path", ["/wing", "/wing/scan?scan=scan-024", "/wing/look", "/wing/cards", "/pocket",
                                  "/stage?question=real&edge=Al+K"])  # fmt: skip
def test_every_key_can_be_pressed_44_high(opened, path):
    page = opened(path, PHONE if path == "/pocket" else LAPTOP)
    assert page.evaluate(UNPRESSABLE, LEAST_KEY_PX) == []


def test_a_laptop_shows_five_worries_the_mirror_the_shelf_and_the_day_at_once(opened):
    page = opened("/wing")
    assert page.locator(".worry").count() == 5
    assert page.evaluate("() => document.documentElement.scrollHeight <= innerHeight")
    seen = page.evaluate(IN_SIGHT)
    rest = dict.fromkeys(("mirror", "next", "light", "tongues", "impostors", "shelf", "apart"), True)
    assert seen == {"worries": 5} | rest


def test_the_mirror_in_the_wing_is_the_stage_as_a_projector_shows_it(opened):
    page = opened("/wing")
    mirror = next(frame for frame in page.frames if "/stage" in frame.url)
    assert mirror.evaluate("() => [innerWidth, innerHeight]") == list(PROJECTOR)
    frame, shown = (page.locator(one).bounding_box() for one in (".frame", ".frame iframe"))
    assert shown["width"] == pytest.approx(frame["width"], abs=5)
    assert shown["height"] == pytest.approx(frame["height"], abs=5)


def test_the_day_line_of_the_wing_rewinds_to_a_look_of_the_hosts_own(opened):
    page = opened("/wing")
    page.locator("#day [data-time][tabindex='0']").focus()
    page.keyboard.press("Home")
    page.keyboard.press("Enter")
    page.wait_for_url("**/wing/look?until=*")
    assert page.locator("h1 .then").text_content().startswith("At ")
    page.locator("#day [data-time]").last.dispatch_event("click")
    page.locator("a.now").click()
    page.locator("h1 .then").wait_for(state="detached")


def test_keys_of_one_sign_can_be_switched_off_and_on_again(opened):
    page = opened("/stage?question=real&edge=Al+K")
    page.locator("[data-hides]").first.wait_for()
    table, switch = page.locator("#numbers"), page.locator("#help [data-quick-keys]")
    page.keyboard.press("?")
    switch.click()
    assert switch.get_attribute("aria-pressed") == "false"
    page.keyboard.press("Escape")
    for key in "t?dh":
        page.keyboard.press(key)
    assert not table.is_visible() and not switch.is_visible()
    assert page.locator("html").get_attribute("data-room") == "light"
    page.locator(".drawn").focus()
    page.keyboard.press("ArrowRight")
    until(page, lambda: page.locator("#picture .reading").text_content(), "a reading, for arrows stay")
    page.goto(f"{page.url.partition('/stage')[0]}/wing")
    page.locator("body").press("b")
    assert not page.locator("body.big").count()
    page.locator("[data-quick-keys]").click()
    page.locator("body").press("b")
    until(page, lambda: page.locator("body.big").count() == 1, "big keys")
    page.locator("#big-keys").click()
