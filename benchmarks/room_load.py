"""A full room: forty pages follow while files land, and everything they are told is timed.

    python benchmarks/room_load.py                   forty clients, ten scans a minute for ten minutes
    python benchmarks/room_load.py --minutes 1       a short look
    python benchmarks/room_load.py --polled          the same on a folder that sends no notifications

One page is a real browser on the Stage: a change counts when it is painted. The others follow the stream,
fetch the parts of the Stage at every change, and ask something now and then. A file is written in pieces over
a second, as an instrument does; the clock starts when its last point is written, for its header says how many
there are. It stops by itself. No act that was acknowledged may be missing from the book, every file must be
taken, and every client must end in the same state.

Memory. What grows is what the session knows of the shift, 0.5 to 0.8 MB a scan (measured without clients):
the table as it was read, its columns and flags, its trace, and what was reduced and compared at each look at
its edge. So it is bounded by the scans of a shift, and every new file costs only what it changes. Moments of
the shift, which every act makes anew, are forgotten but for the last 64; pages and pictures live as long as
one state of the room, and a stream holds four notices. The first scans and clients also load what all later
ones share: of a run of three minutes or more memory is measured after the tenth scan; a shorter one tells
little."""

from __future__ import annotations

import argparse
import asyncio
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import NamedTuple

import httpx2
from _stage_process import StageProcess, staged

from edgeshift.actions.desk import steady_desk
from edgeshift.actions.practise import practice_scenario
from edgeshift.folder.experiment_folder import ExperimentFolder
from edgeshift.practice import shift

CLIENTS, SCANS_A_MINUTE, MINUTES = 40, 10, 10.0
WRITING_S, PIECES = 1.0, 10
MEDIAN_MS, P95_MS, POLLED_MS = 300.0, 600.0, 1500.0
MORE_MB_A_SCAN = 1.0
"""A scan may stay in memory: its numbers, its flags, what was reduced of it. Pages may not."""
FIRST = 10
"""Scans after which memory is measured, where there are more: the first load what all others share."""
PAINTED = """
window.painted = {};
addEventListener('DOMContentLoaded', () => new MutationObserver(() => {
  const told = document.querySelector('#strip [href*="trust"] .told').textContent.trim();
  if (!(told in window.painted))
    requestAnimationFrame(() => setTimeout(() => { window.painted[told] ??= Date.now(); }, 0));
}).observe(document.body, {subtree: true, childList: true, characterData: true}));
"""


class Heard(NamedTuple):
    """What one client was told: revisions with their time, and the numbers of acts that were acknowledged."""

    changes: list[tuple[float, str]]
    acts: list[int]


def main() -> int:
    """Run the room and print what was measured; 0 only where every goal is met."""
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--clients", type=int, default=CLIENTS)
    options.add_argument("--minutes", type=float, default=MINUTES)
    options.add_argument("--polled", action="store_true")
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as kept:
        return asyncio.run(measured(Path(kept), asked))


async def measured(place: Path, asked: argparse.Namespace) -> int:
    """The whole run."""
    (place / "landing").mkdir()
    made = shift(practice_scenario(), 1)
    ExperimentFolder.create(place / "shift", made.experiment_text, steady_desk().now()).close()
    follow = ("--port", "0", "--watch", str(place / "landing"), *(("--poll",) if asked.polled else ()))
    with staged(place / "shift", place / "settings", *follow) as stage:
        return await _run(stage, place, asked)


async def _run(stage: StageProcess, place: Path, asked: argparse.Namespace) -> int:
    from playwright.async_api import async_playwright

    heard = [Heard([], []) for _ in range(asked.clients - 1)]
    async with async_playwright() as driver:
        browser = await driver.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = await browser.new_page(viewport={"width": 1280, "height": 720})
        await page.goto(stage.host)
        await page.add_init_script(PAINTED)
        await page.goto(f"{stage.address}/stage")
        clients = [asyncio.create_task(follow(stage, one, number)) for number, one in enumerate(heard)]
        await asyncio.sleep(3)
        memory = [stage.rss_mb(), 0]
        complete = await land(place / "landing", round(asked.minutes * SCANS_A_MINUTE), stage, memory)
        await asyncio.sleep(4)
        painted = await page.evaluate("window.painted")
        after = stage.rss_mb()
        for client in clients:
            client.cancel()
        await asyncio.gather(*clients, return_exceptions=True)
        await browser.close()
    return report(place, asked, heard, complete, painted, (*memory, after))


async def follow(stage: StageProcess, heard: Heard, number: int) -> None:
    """One guest: joins, follows the stream, fetches what changed, and now and then asks something."""
    origin = {"origin": stage.address}
    async with httpx2.AsyncClient(base_url=stage.address, headers=origin, timeout=60) as client:
        reply = await client.post("/api/join", json={"code": stage.code})
        reply.raise_for_status()
        async with client.stream("GET", "/events") as stream:
            async for line in stream.aiter_lines():
                if not line.startswith("data: "):
                    continue
                heard.changes.append((time.time(), line[6:]))
                await client.get("/stage", headers={"x-part": "1"})
                if len(heard.changes) % 20 == number % 20:
                    reply = await client.post("/api/shy", json={"text": "what is that bump?"})
                    if reply.status_code == 200:
                        heard.acts.append(reply.json()["number"])


async def land(landing: Path, count: int, stage: StageProcess, memory: list[float]) -> list[float]:
    """Let `count` files land at their pace; when each was complete. `memory` hears where it begins."""
    files = [file for seed in range(1, 2 + count // 40) for file in shift(practice_scenario(), seed).files]
    complete = []
    for number in range(count):
        begun = time.time()
        data = files[number].data
        with (landing / f"{number:04d}.dat").open("wb", buffering=0) as writing:
            size = -(-len(data) // PIECES)
            for at in range(0, len(data), size):
                await asyncio.sleep(WRITING_S / PIECES)
                writing.write(data[at : at + size])
            complete.append(time.time())
        if number % 10 == 9:
            print(f"  {number + 1} of {count} landed, {stage.rss_mb():.0f} MB", flush=True)
        if number + 1 == FIRST and count >= 3 * FIRST:
            await asyncio.sleep(1.0)
            memory[:] = [stage.rss_mb(), number + 1]
        await asyncio.sleep(max(0.0, 60 / SCANS_A_MINUTE - (time.time() - begun)))
    return complete


def report(place: Path, asked, heard: list[Heard], complete, painted, memory) -> int:
    """Print it, and whether all goals were met."""
    kept = sorted(at / 1000 for at in painted.values())
    waits = [min((at - when for at in kept if at >= when), default=float("inf")) * 1000 for when in complete]
    told = [
        min((at - when for at, _ in one.changes if at >= when), default=float("inf")) * 1000
        for one in heard
        for when in complete
    ]
    median, p95 = statistics.median(waits), sorted(waits)[int(0.95 * (len(waits) - 1))]
    with ExperimentFolder.open(place / "shift") as folder:
        numbers = {event.number for event in folder.events()}
        arrived = sum(event.kind == "arrival" for event in folder.events())
    lost = [act for one in heard for act in one.acts if act not in numbers]
    last = {one.changes[-1][1] for one in heard}
    grown = (memory[2] - memory[0]) / max(1, len(complete) - memory[1])
    goals = (POLLED_MS, POLLED_MS) if asked.polled else (MEDIAN_MS, P95_MS)
    acts = sum(len(one.acts) for one in heard)
    print(f"{asked.clients} clients, {len(complete)} scans in {asked.minutes:g} min, {arrived} taken")
    print(f"complete to painted: median {median:.0f} ms (below {goals[0]:.0f})", end=", ")
    print(f"p95 {p95:.0f} ms (below {goals[1]:.0f})")
    print(f"complete to told, all clients: median {statistics.median(told):.0f} ms, worst {max(told):.0f} ms")
    print(f"acts acknowledged {acts}, lost {len(lost)}; last states heard: {len(last)}")
    print(f"memory {memory[0]:.0f} to {memory[2]:.0f} MB from scan {memory[1]} on", end=", ")
    print(f"{grown:.2f} MB a scan (below {MORE_MB_A_SCAN:g})")
    fine = median < goals[0] and p95 < goals[1] and not lost and len(last) == 1
    return 0 if fine and arrived == len(complete) and grown < MORE_MB_A_SCAN else 1


if __name__ == "__main__":
    sys.exit(main())
