"""Behind the curtain what is pointed at, read as a table or heard is called P and Q, like all else."""

import json
import re

import pytest
from web.houses import house, visitor

PATH = "question=real&edge=Ti+L"
ARMS = ("raw clay", "pit-fired clay")


@pytest.fixture
def rooms(tmp_path):
    with house(tmp_path) as made:
        yield visitor(made, "host"), visitor(made, "guest")


def test_the_numbers_and_the_lines_a_script_reads_are_called_p_and_q(rooms):
    host, guest = rooms
    before = guest.get(f"/api/tables?{PATH}&full=1").json()
    assert set(ARMS) <= set(before[0]["columns"])
    assert host.post("/api/curtain", json={"drawn": True}).status_code == 200
    behind = guest.get(f"/api/tables?{PATH}&full=1").json()
    assert {"P", "Q", "P, low", "Q, high"} <= set(behind[0]["columns"])
    page = guest.get(f"/stage?{PATH}").text
    assert {"P", "Q"} <= set(re.findall(r'data-name="([^"]+)"', page))
    assert {"p", "q"} <= set(re.findall(r'data-series="([^"]+)"', page))
    for arm in ARMS:
        assert arm not in page and arm not in json.dumps(behind)


def test_a_window_of_a_picture_is_behind_the_curtain_too(rooms):
    host, guest = rooms
    host.post("/api/curtain", json={"drawn": True})
    reply = guest.get(f"/api/picture?{PATH}&low=455&high=470&few=1")
    assert reply.status_code == 200 and 'data-name="P"' in reply.text
    assert not any(arm in reply.text for arm in ARMS)
