"""kill -9 while forty people write: every act that was acknowledged is there, and pages come back alone."""

import socket
import threading
import time

import httpx2
import pytest
from benchmark_modules import benchmark
from browsers import browser
from practised import begun, files

from edgeshift.folder.experiment_folder import ExperimentFolder

PEOPLE = 40


@pytest.fixture
def stage_process():
    """The benchmark's way of starting a real server."""
    return benchmark("_stage_process")


@pytest.fixture
def shift(tmp_path):
    begun(tmp_path / "shift", files("KL")).close()
    return tmp_path / "shift"


@pytest.fixture
def port():
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return str(taken.getsockname()[1])


def writing(stage, told: dict, stop: threading.Event, number: int, cookies: dict) -> None:
    """One guest, who says a claim over and over until nobody answers."""
    with httpx2.Client(base_url=stage.address, headers={"origin": stage.address}, timeout=10) as client:
        client.post("/api/join", json={"code": stage.code}).raise_for_status()
        cookies[number] = dict(client.cookies)
        for said in range(40):
            if stop.is_set():
                return
            try:
                reply = client.post("/api/claim", json={"claim": f"{number} says {said}", "level": 0})
            except httpx2.HTTPError:
                return
            if reply.status_code == 200:
                told[reply.json()["number"]] = f"{number} says {said}"


def test_every_acknowledged_act_outlives_the_server_and_so_do_the_sessions(
    stage_process, shift, tmp_path, port
):
    stage = stage_process.start(shift, tmp_path / "settings", "--port", port)
    told, cookies, stop = {}, {}, threading.Event()
    people = [
        threading.Thread(target=writing, args=(stage, told, stop, number, cookies))
        for number in range(PEOPLE)
    ]
    for one in people:
        one.start()
    while len(told) < 3 * PEOPLE and any(one.is_alive() for one in people):
        time.sleep(0.01)
    stage.kill()
    stop.set()
    for one in people:
        one.join()
    assert len(told) >= 3 * PEOPLE
    with ExperimentFolder.open(shift) as folder:
        kept = {event.number: event.payload.get("claim") for event in folder.events()}
    assert {number: kept.get(number) for number in told} == told
    with stage_process.staged(shift, tmp_path / "settings", "--port", port) as again:
        assert again.code == stage.code
        for mine in list(cookies.values())[:5]:
            reply = httpx2.get(f"{again.address}/api/state", cookies=mine)
            assert reply.status_code == 200
            assert reply.json()["revision"].startswith(str(max(kept)))


def test_an_open_page_comes_back_alone_and_shows_what_happened_meanwhile(
    stage_process, shift, tmp_path, port
):
    with browser() as chromium:
        stage = stage_process.start(shift, tmp_path / "settings", "--port", port)
        page = chromium.page()
        page.goto(stage.host)
        page.goto(f"{stage.address}/stage")
        page.wait_for_selector("body[data-live=yes]")
        assert "6 kept" in page.inner_text("#strip")
        stage.kill()
        page.wait_for_selector("body[data-live=no]", state="attached")
        begun_again = files("TiL")
        (tmp_path / "landing").mkdir()
        for name, data in begun_again[:2]:
            (tmp_path / "landing" / name).write_bytes(data)
        watched = ("--port", port, "--watch", str(tmp_path / "landing"))
        with stage_process.staged(shift, tmp_path / "settings", *watched):
            page.wait_for_selector("body[data-live=yes]", timeout=20_000)
            page.locator("#strip", has_text="8 kept").wait_for()
        assert chromium.asked == []


@pytest.mark.parametrize("path", ["/stage", "/wing", "/pocket", "/story"])
def test_a_page_whose_server_died_says_so_in_words_until_it_is_back(
    stage_process, shift, tmp_path, port, path
):
    with browser() as chromium:
        stage = stage_process.start(shift, tmp_path / "settings", "--port", port)
        page = chromium.page()
        page.goto(stage.host)
        page.goto(f"{stage.address}{path}")
        page.wait_for_selector("body[data-live=yes]")
        said = page.locator("body > .waiting", has_text="does not answer")
        assert not said.is_visible()
        stage.kill()
        said.wait_for(state="visible")
        if path == "/wing":
            page.locator("#curtain-form button").click()
            page.locator("#curtain-form .refused", has_text="does not answer").wait_for()
        with stage_process.staged(shift, tmp_path / "settings", "--port", port):
            said.wait_for(state="hidden", timeout=20_000)
