"""No page keeps anybody out: axe-core finds nothing serious on any, in either light and three languages."""

import pytest
from axe import violations
from browsers import LAPTOP, PHONE, PROJECTOR
from full_room import act, all_at_once, come_in

from edgeshift.records.answer import QUESTIONS

TWICE_AS_LARGE = (640, 360)
FORMS = "() => document.querySelectorAll('details').forEach((one) => { one.open = true; })"
BIG = "localStorage.setItem('edgeshift-big-keys', 'yes')"
STAGES = (
    *((f"/stage?question={question}", PROJECTOR) for question in QUESTIONS),
    ("/stage?question=trust&edge=Ti+L", LAPTOP),
    ("/stage?question=here&edge=Fe+L", LAPTOP),
    ("/stage?question=real&edge=Al+K", PROJECTOR),
    ("/stage?question=real&edge=Al+K", PHONE),
    ("/stage?question=real&edge=Al+K", TWICE_AS_LARGE),
    ("/stage?question=real&until=2026-03-01T00:00:00Z", PROJECTOR),
    ("/stage/join", PROJECTOR),
    ("/story", PROJECTOR),
    ("/story", PHONE),
)
WINGS = (
    ("/wing", LAPTOP),
    ("/wing", PROJECTOR),
    ("/wing", TWICE_AS_LARGE),
    ("/wing/look?question=trust", LAPTOP),
    ("/wing/look?question=real&edge=Al+K", LAPTOP),
    ("/wing/look?question=trust&until=2026-03-01T00:00:00Z", LAPTOP),
    ("/wing/scan?scan=scan-024", LAPTOP),
    ("/wing/cards", LAPTOP),
    ("/wing/experiment", LAPTOP),
    ("/print/ballots", LAPTOP),
    ("/design", LAPTOP),
)
"""Each page and the size at which it is looked at: a new one is a line here."""
POCKETS = (("/pocket", PHONE), ("/pocket?question=real", PHONE), ("/pocket", TWICE_AS_LARGE))
REFUSED = (("/wing", PHONE), ("/wing/experiment", LAPTOP), ("/host/a-wrong-word", LAPTOP))
LIGHTS = (("light", "en"), ("dark", "fr"))
SPANISH = (
    ("/stage?question=minutes", PROJECTOR),
    ("/wing", LAPTOP),
    ("/wing/scan?scan=scan-024", LAPTOP),
    ("/pocket", PHONE),
)


@pytest.fixture(scope="module")
def seats(chromium, room):
    return come_in(chromium, room)


def look(chromium, room, seat, pages, lit, tongue, *, ready: str = "", forms: bool = False) -> list[str]:
    """What is grave on these pages; `ready` runs before each, `forms` opens whatever can be opened."""
    found = []
    for path, size in pages:
        page = chromium.page(size, **({"storage_state": seat} if seat else {}))
        if ready:
            page.add_init_script(ready)
        page.goto(f"{room.address}{path}{'&' if '?' in path else '?'}room={lit}&lang={tongue}")
        page.wait_for_timeout(300)
        if forms:
            page.evaluate(FORMS)
        found += [f"{path} at {size} {lit} {tongue}: {one}" for one in violations(page)]
        page.context.close()
    return found


@pytest.mark.parametrize(("lit", "tongue"), LIGHTS)
def test_axe_finds_nothing_serious_on_any_stage(chromium, room, seats, lit, tongue):
    assert look(chromium, room, seats[1], STAGES, lit, tongue) == []


@pytest.mark.parametrize(("lit", "tongue"), LIGHTS)
def test_axe_finds_nothing_serious_at_the_door_or_where_somebody_is_turned_away(
    chromium, room, seats, lit, tongue
):
    found = look(chromium, room, None, (("/join", PHONE), ("/join", LAPTOP), *REFUSED), lit, tongue)
    assert found + look(chromium, room, seats[1], REFUSED, lit, tongue) == []


@pytest.mark.parametrize(("lit", "tongue"), LIGHTS)
def test_axe_finds_nothing_serious_in_a_quiet_wing_and_pocket(chromium, room, seats, lit, tongue):
    found = look(chromium, room, seats[0], WINGS, lit, tongue, forms=True)
    assert found + look(chromium, room, seats[1], POCKETS, lit, tongue, forms=True) == []


def test_axe_finds_nothing_serious_in_spanish(chromium, room, seats):
    assert look(chromium, room, seats[0], SPANISH, "light", "es", forms=True) == []


def test_axe_finds_nothing_serious_on_the_sheets_that_open(chromium, room, seats):
    page = chromium.page(PROJECTOR, storage_state=seats[0])
    page.goto(f"{room.address}/stage?question=real&edge=Al+K&lang=fr")
    page.keyboard.press("?")
    found = violations(page)
    page.keyboard.press("Escape")
    page.keyboard.press("t")
    page.locator("#numbers table").first.wait_for()
    assert found + violations(page) == []


@pytest.fixture(scope="module")
def busy(chromium, room, seats):
    """The same room while it draws and votes."""
    page = chromium.page(LAPTOP, storage_state=seats[0])
    page.goto(f"{room.address}/wing/cards")
    all_at_once(page)
    guest = chromium.page(PHONE, storage_state=seats[1])
    guest.goto(f"{room.address}/pocket")
    act(guest, "claim", claim="The fire did it.", level=1, reason="we saw it", unless="the clay was another")
    return page


@pytest.mark.parametrize(("lit", "tongue"), LIGHTS)
def test_axe_finds_nothing_serious_while_the_room_draws_and_votes(chromium, room, seats, busy, lit, tongue):
    host, guest = seats
    stages = (("/stage?question=minutes", PROJECTOR), ("/stage", PROJECTOR))
    wings = (("/wing", LAPTOP), ("/print/ballots", LAPTOP))
    found = look(chromium, room, guest, (*POCKETS, *stages), lit, tongue, forms=True)
    found += look(chromium, room, host, wings, lit, tongue, forms=True)
    assert found + look(chromium, room, host, (("/wing", LAPTOP),), lit, tongue, ready=BIG, forms=True) == []


def test_axe_finds_nothing_serious_once_the_vote_is_in_and_the_curtain_drawn(chromium, room, seats, busy):
    act(busy, "round", round="vote-1", state="closed")
    act(busy, "curtain", drawn=True)
    found = look(chromium, room, seats[0], (("/wing", LAPTOP), STAGES[8]), "light", "en", forms=True)
    assert found + look(chromium, room, seats[1], (("/pocket", PHONE),), "dark", "en", forms=True) == []


def test_axe_would_find_something(chromium):
    page = chromium.page()
    page.set_content("<html lang=en><title>x</title><main><button></button></main>")
    assert any("button-name" in one for one in violations(page))
