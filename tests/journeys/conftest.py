"""A browser and a full room, for journeys that look at pages."""

import pytest
from browsers import browser
from full_room import full_room


@pytest.fixture(scope="module")
def chromium():
    with browser() as opened:
        yield opened
        assert opened.faults == []


@pytest.fixture(scope="module")
def room(tmp_path_factory):
    with full_room(tmp_path_factory.mktemp("room")) as running:
        yield running
