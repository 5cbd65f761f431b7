"""A practice shift with every trap, served to browsers: worries, a shelf, and what a test opens."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchmark_modules import benchmark
from browsers import Browser

from edgeshift.actions.desk import Desk
from edgeshift.actions.practise import How, practise

SEED = 7
CARDS = [
    {"title": "one more fired pot", "minutes": 24, "settles": "the pots", "cannot_fix": "the fire",
     "predicted_ratio": 0.7},
    {"title": "stop and write", "minutes": 30},
]  # fmt: skip
SEND = """async ([kind, body]) => {
  const headers = { "content-type": "application/json" };
  const reply = await fetch(`/api/${kind}`, { method: "POST", headers, body: JSON.stringify(body) });
  return [reply.ok, await reply.text()];
}"""


@contextmanager
def full_room(place: Path) -> Iterator:
    """The running stage of such a shift."""
    practise(place / "shift", SEED, desk=Desk(), how=How(traps="all"))
    with benchmark("_stage_process").staged(place / "shift", place / "settings", "--port", "0") as running:
        yield running


def come_in(chromium: Browser, running) -> tuple[dict, dict]:
    """What the browsers of a host and of a guest remember; knocking for every page would be too often."""
    host, guest = chromium.page(), chromium.page()
    host.goto(running.host)
    guest.goto(running.address)
    guest.fill("#code", running.code)
    guest.click("button.main")
    guest.wait_for_url("**/pocket")
    remembered = host.context.storage_state(), guest.context.storage_state()
    host.context.close()
    guest.context.close()
    return remembered


def act(page, kind: str, **body) -> None:
    """Do on a page of ours what a form there would."""
    done, said = page.evaluate(SEND, [kind, body])
    assert done, said


def all_at_once(page) -> None:
    """Open a round of sketches and a vote, set a scan aside, write and ask."""
    act(page, "invite-guesses", edge="Al K")
    act(page, "invite-votes", cards=CARDS, about="what now?")
    act(page, "judge", scan="scan-004", verdict="set-aside", reason="it fell off its mount")
    act(page, "write", text="who has not spoken yet?")
    act(page, "shy", text="is it dangerous?")
    act(
        page,
        "show",
        now={"question": "trust"},
        next=[{"question": "real", "edge": "Al K"}, {"question": "say"}],
    )
